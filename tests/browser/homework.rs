//! Homework done on a telephone by touch alone, from opening the page to the saved file, and what marking then says of that file.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;
use std::time::Duration;
use std::{fs, thread};

use foldmark::check::with_slips;
use foldmark::draft::{Draft, Measures};
use foldmark::exercise::{Exercise, GivenKind, Shelf, SlipId};
use foldmark::formula::{Base, Values};
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::built_book;
use crate::devtools::Result;
use crate::kit::{Hand, Kit, first_seed};
use crate::marking::PAPERS;
use crate::phone::{Done, Phone, button, field};
use crate::server::Server;

const PANEL: &str = "section[aria-label=\"My answers\"]";

/// The lessons: the page, the exercise, and whether it is done in centimetres.
const LESSONS: [(&str, &str, bool); 3] =
    [("roll", "flap-roll", false), ("zip-pouch", "zip-pouch", false), ("kit-cylinder", "kit-cylinder", true)];

/// How a sheet is filled in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sheet {
    Right,
    /// One slip, and everything worked on from it.
    Slip,
    /// Every second answer.
    Half,
    /// Some answers that nobody can read.
    Unreadable,
}

const SHEETS: [(Sheet, &str); 4] = [
    (Sheet::Right, "Sorrel"),
    (Sheet::Slip, "Bog Myrtle"),
    (Sheet::Half, "Lady’s Mantle"),
    (Sheet::Unreadable, "Ærø Ivy"),
];

/// The answers by their field: the step and the row.
type Answers = BTreeMap<String, String>;

/// What someone measures whose draft has these measures, on the ticks of their ruler and in its unit.
fn measured(draft: &Draft, measures: &Measures) -> Answers {
    let ruler = draft.givens.ruler;
    let unit = format!(" {}", ruler.unit().symbol());
    let mut answers = Answers::new();
    for step in &draft.exercise.steps {
        for row in 0..draft.rows(step) {
            let text = match (step.kind.base, measures.length(step.slot, row)) {
                (Base::Length, Some(length)) => ruler.write_exactly(ruler.nearest(length)).replace(&unit, ""),
                _ => draft.text_at(step.slot, row),
            };
            answers.insert(format!("{} {row}", step.name), text);
        }
    }
    answers
}

/// A slip that shows, and from which something follows that shows, too.
fn telling_slip(draft: &Draft) -> Option<SlipId> {
    let exercise = draft.exercise;
    let enough = 3.0 * draft.givens.ruler.tick().as_nm_f64();
    let is_telling = |slip: &SlipId| {
        let made = &exercise.slips[*slip];
        let Some(shown) = with_slips(exercise, &draft.measures, &[*slip]) else { return false };
        let off = |name: &foldmark::exercise::Step| {
            let [one, other] = [&draft.measures, &shown].map(|measures| measures.value(name.slot, 0));
            one.zip(other).is_some_and(|(one, other)| other > 0.0 && (one - other).abs() > enough)
        };
        let follows = exercise
            .steps
            .iter_enumerated()
            .any(|(id, step)| !step.is_choice() && exercise.rests_on(id, &|under| under == made.step) && off(step));
        let can_be = made.when.as_ref().is_none_or(|when| when.holds(&draft.measures));
        can_be && off(&exercise.steps[made.step]) && follows
    };
    exercise.slips.keys().find(is_telling)
}

impl Sheet {
    fn answers(self, draft: &Draft) -> Answers {
        let right = measured(draft, &draft.measures);
        match self {
            Sheet::Right => right,
            Sheet::Slip => {
                let slip = telling_slip(draft).expect("a slip of the exercise shows");
                let shown = with_slips(draft.exercise, &draft.measures, &[slip]).expect("it can be worked");
                measured(draft, &shown)
            }
            Sheet::Half => right.into_iter().step_by(2).collect(),
            Sheet::Unreadable => {
                let mut answers = right;
                let lengths = draft.exercise.steps.iter().filter(|step| step.kind.base == Base::Length);
                let bad = ["about a hand", self.meant(draft).0, "", "12 cmm", "?"];
                for (step, text) in lengths.zip(bad) {
                    answers.insert(format!("{} 0", step.name), text.to_owned());
                }
                answers
            }
        }
    }

    /// What is written for the second length, and what it is meant to be.
    fn meant(self, draft: &Draft) -> (&'static str, &'static str) {
        if draft.givens.ruler.is_metric() { ("7..5", "7.5 cm") } else { ("l0 1/2", "10 1/2 in") }
    }
}

/// One sheet from the opened page to the saved file.
fn do_homework(
    phone: &mut Phone,
    url: &str,
    kit: &Kit,
    exercise: &Exercise,
    sheet: (Sheet, &str),
    folder: &Path,
) -> Result<(String, Answers)> {
    let (sheet, student) = sheet;
    let draft = kit.draft(exercise);
    phone.open(url)?;
    if kit.ruler.is_metric() {
        phone.tap(&button(".foldmark-units", "centimetres"))?;
    }
    phone.tap_for(&button("main", "Fill in my answers here"), &format!("document.querySelector('{PANEL}')"))?;
    phone.type_into(&format!("document.querySelector('{PANEL} > .foldmark-field input')"), student)?;
    fill_in_objects(phone, exercise, kit)?;

    let is_asked = format!("document.querySelector('{PANEL} .foldmark-sheet input')");
    if !phone.comes(&is_asked, Duration::from_secs(5))? {
        let said = phone.evaluate(&format!("document.querySelector('{PANEL}').innerText"))?;
        return Err(format!("no answers are asked for: {said}").into());
    }
    // What nobody asked for is folded away.
    let more = format!("document.querySelector('{PANEL} .foldmark-sheet details > summary')");
    if phone.evaluate(&format!("{more} !== null"))? == true {
        phone.tap(&more)?;
    }
    let mut answers = sheet.answers(&draft);
    let asked =
        format!("[...document.querySelectorAll('{PANEL} .foldmark-sheet input')].map((input) => input.dataset.key)");
    let asked: Vec<String> = serde_json::from_value(phone.evaluate(&asked)?)?;
    for key in &asked {
        match answers.get(key).filter(|text| !text.is_empty()) {
            Some(text) if text.starts_with(|letter: char| letter.is_ascii_digit()) => {
                phone.measure_into(&field(PANEL, key), text)?;
            }
            Some(text) => phone.type_into(&field(PANEL, key), text)?,
            None => continue,
        }
    }
    if sheet == Sheet::Unreadable {
        let lengths = exercise.steps.iter().filter(|step| step.kind.base == Base::Length);
        let key = format!("{} 0", lengths.skip(1).map(|step| &step.name).next().ok_or("no second length")?);
        let (_, meant) = sheet.meant(&draft);
        let of_field = format!("{}.closest('.foldmark-field')", field(PANEL, &key));
        // Nothing is judged before the field is left, and it is the last but a few: it was left long ago.
        let said = phone.evaluate(&format!("{of_field}.querySelector('.foldmark-said').textContent"))?;
        let question = format!("Did you mean {meant}?");
        if !said.as_str().unwrap_or_default().contains(&question) {
            return Err(format!("“{question}” is not asked, but: {said}").into());
        }
        // The line names its unit already.
        let number = meant.trim_end_matches(char::is_alphabetic).trim_end();
        phone.tap_for(
            &format!("{of_field}.querySelector('.foldmark-said button')"),
            &format!("{}.value === '{number}'", field(PANEL, &key)),
        )?;
        answers.insert(key, number.to_owned());
    }
    let told = format!("document.querySelector('{PANEL}').textContent.match(/Saved as (.*?\\.toml)/)?.[1]");
    phone.tap_for(&button(PANEL, "Save my answers"), &told)?;
    let name = phone.evaluate(&told)?;
    let file = folder.join(name.as_str().ok_or("no name")?);
    for _ in 0..400 {
        if file.exists() {
            break;
        }
        thread::sleep(Duration::from_millis(10));
    }
    answers.retain(|key, text| asked.contains(key) && !text.is_empty());
    Ok((fs::read_to_string(&file).map_err(|error| format!("{}: {error}", file.display()))?, answers))
}

fn fill_in_objects(phone: &mut Phone, exercise: &Exercise, kit: &Kit) -> Result<()> {
    let is_open = phone.evaluate(&format!("document.querySelector('{PANEL} > details').open"))?;
    if is_open != true {
        phone.tap(&format!("document.querySelector('{PANEL} > details > summary')"))?;
    }
    for given in &exercise.givens {
        let typed = kit.raw.singles.iter().find(|entry| entry.key == given.name);
        if let (GivenKind::Choice { words, usual, .. }, Some(typed)) = (&given.kind, typed)
            && usual.is_none_or(|usual| words[usual].word != typed.text)
        {
            phone.pick(&field(PANEL, &format!("given.{}", given.name)), &typed.text)?;
        }
    }
    for (table, rows) in &kit.raw.tables {
        for (at, row) in rows.iter().enumerate() {
            let key = |column: &str| field(PANEL, &format!("given.{table}.{}.{column}", at + 1));
            if at > 0 {
                let GivenKind::Table { each, .. } = &exercise.given(table).ok_or("no table")?.kind else { continue };
                phone.tap_for(&button(PANEL, &format!("One more {each}")), &key("name"))?;
            }
            phone.type_into(&key("name"), &row.name)?;
            for cell in &row.cells {
                phone.measure_into(&key(&cell.key), &cell.text)?;
            }
        }
    }
    let (mut closed, open): (Vec<_>, Vec<_>) = kit.raw.singles.iter().partition(|entry| {
        let is_usual = match exercise.given(&entry.key).map(|given| &given.kind) {
            Some(GivenKind::Length { usual, .. }) => !usual.is_empty(),
            Some(GivenKind::Number { usual, .. }) => usual.is_some(),
            _ => false,
        };
        is_usual && !kit.raw.tables.is_empty()
    });
    closed.retain(|entry| !entry.text.is_empty());
    if !closed.is_empty() {
        phone.tap(&button(PANEL, "What else is given"))?;
    }
    for entry in open.into_iter().chain(closed) {
        let is_word = exercise.given(&entry.key).is_some_and(|given| matches!(given.kind, GivenKind::Choice { .. }));
        if !is_word {
            phone.measure_into(&field(PANEL, &format!("given.{}", entry.key)), &entry.text)?;
        }
    }
    Ok(())
}

/// Sign and words of a verdict, as the chapter on answers tells them.
fn sign(verdict: &str) -> &'static str {
    match verdict {
        "right" => "✓ right",
        "right-from-own" => "(✓) right from your own figure",
        "outside-rule" => "! outside the rule",
        "not-right" => "✗ not right",
        "unreadable" => "? unreadable",
        "cant-be-judged" => "○ can't be judged",
        other => panic!("a verdict that nobody is told of: {other}"),
    }
}

/// What marking says of a file: by field the verdict, and what a page has to say of it.
fn marked(file: &Path) -> Result<BTreeMap<String, (String, String)>> {
    let output = Command::new(env!("CARGO_BIN_EXE_foldmark"))
        .args(["check", "--json", "--show", "coach"])
        .arg(file)
        .current_dir(file.parent().ok_or("no folder")?)
        .output()?;
    let lines = crate::shared::json_lines(std::str::from_utf8(&output.stdout)?);
    let sheet = lines.iter().find(|line| line.get("fault").is_none()).ok_or("no sheet")?;
    let mut rows: BTreeMap<&str, usize> = BTreeMap::new();
    let mut said = BTreeMap::new();
    for answer in sheet["answers"].as_array().ok_or("no answers")? {
        let text = |key: &str| answer[key].as_str().unwrap_or_default();
        let row = rows.entry(text("step")).or_default();
        let key = format!("{} {row}", text("step"));
        *row += 1;
        let verdict = text("verdict");
        let says: Vec<&str> = answer["says"].as_array().into_iter().flatten().filter_map(|one| one.as_str()).collect();
        let words = if verdict == "missing" {
            String::new()
        } else {
            [&[format!("{}.", sign(verdict)).as_str()], &says[..]].concat().join(" ")
        };
        said.insert(key, (verdict.to_owned(), words));
    }
    // What can't be read is told with its line as well; nothing else is wrong with the file.
    let unreadable = said.values().filter(|(verdict, _)| verdict == "unreadable").count();
    let faults = lines.len() - 1;
    if sheet["faults"] != json!([]) || faults != unreadable {
        return Err(format!("the file has faults: {} lines, {}", lines.len(), sheet["faults"]).into());
    }
    Ok(said)
}

/// What the page says of each field.
fn said(phone: &mut Phone) -> Result<BTreeMap<String, String>> {
    let all = format!(
        "Object.fromEntries([...document.querySelectorAll('{PANEL} .foldmark-sheet input')].map((input) =>
            [input.dataset.key, document.getElementById(`${{input.id}}-said`).firstChild?.textContent ?? '']))"
    );
    Ok(serde_json::from_value(phone.evaluate(&all)?)?)
}

/// What was measured of the sheets.
#[derive(Debug, Default)]
struct Tally {
    sheets: usize,
    verdicts: BTreeMap<String, usize>,
}

fn all_sheets(page: &dyn Fn(&str) -> String) -> Result<(Tally, Vec<String>)> {
    let shelf = Shelf::shipped();
    let mut phone = Phone::new()?;
    let (mut tally, mut complaints) = (Tally::default(), Vec::new());
    for (name, exercise, is_metric) in LESSONS {
        let exercise = shelf.get(exercise)?;
        let ruler = exercise.rulers.iter().find(|ruler| ruler.is_metric() == is_metric).ok_or("no ruler")?;
        for (at, sheet) in (0..).zip(SHEETS) {
            let kit = Kit::problem(exercise, 2, *ruler, first_seed() + 10 + at, Hand::Bare);
            let what = format!("{name}, {sheet:?}");
            let folder = tempfile::tempdir()?;
            phone.tab.save_into(folder.path())?;
            match one_sheet(&mut phone, &page(name), &kit, exercise, sheet, &folder) {
                Ok((verdicts, faults)) => {
                    tally.sheets += 1;
                    for verdict in verdicts {
                        *tally.verdicts.entry(verdict).or_default() += 1;
                    }
                    complaints.extend(faults.iter().map(|fault| format!("{what}: {fault}")));
                }
                Err(error) => complaints.push(format!("{what}: {error}")),
            }
            let Done { taps, fields, scrolls, lost, small } = phone.done.clone();
            println!("{what}: {taps} taps, {fields} fields, {scrolls} scrolls, {} taps lost", lost.len());
            let wide = phone.evaluate("document.documentElement.scrollWidth - innerWidth")?;
            if wide != 0 {
                complaints.push(format!("{what}: {wide} px too wide"));
            }
            complaints.extend(small.iter().map(|small| format!("{what}: too small for a finger: {small}")));
            complaints.extend(phone.tab.errors.iter().map(|error| format!("{what}: console: {error}")));
        }
    }
    Ok((tally, complaints))
}

/// The verdicts of a sheet, and where page and marking differ.
fn one_sheet(
    phone: &mut Phone,
    url: &str,
    kit: &Kit,
    exercise: &Exercise,
    sheet: (Sheet, &str),
    folder: &TempDir,
) -> Result<(Vec<String>, Vec<String>)> {
    let (file, answers) = do_homework(phone, url, kit, exercise, sheet, folder.path())?;
    let mut faults = Vec::new();
    let is_named = file.lines().any(|line| line == format!("student = \"{}\"", sheet.1));
    if !is_named {
        faults.push(format!("{} is not named in the file", sheet.1));
    }
    let saved = folder.path().join("sheet.toml");
    fs::write(&saved, &file)?;
    let marked = marked(&saved)?;
    let said = said(phone)?;
    // What was not asked for and not handed in has a line on the page, and no verdict.
    let is_left_out = |key: &&String| !marked.contains_key(*key) && !answers.contains_key(*key);
    if said.keys().filter(|key| !is_left_out(key)).ne(marked.keys()) {
        faults.push(format!("the page asks for {:?}, marking for {:?}", said.keys(), marked.keys()));
    }
    let mut verdicts = Vec::new();
    for (key, (verdict, words)) in marked {
        // What was probably meant is asked besides.
        let shown = said.get(&key).map_or("", String::as_str);
        let [shown, words] =
            [shown, words.as_str()].map(|says| says.split(" Did you mean ").next().unwrap_or_default());
        if shown != words {
            faults.push(format!("{key} ({:?}): the page says “{shown}”, marking “{words}”", answers.get(&key)));
        }
        if answers.contains_key(&key) == (verdict == "missing") {
            faults.push(format!("{key} ({:?}) is {verdict}", answers.get(&key)));
        }
        verdicts.push(verdict);
    }
    let has = |verdict: &str| verdicts.iter().any(|known| known == verdict);
    let is_as_meant = match sheet.0 {
        Sheet::Right => verdicts.iter().all(|verdict| verdict == "right"),
        Sheet::Slip => has("not-right") && has("right-from-own"),
        Sheet::Half => has("missing") && has("right"),
        Sheet::Unreadable => has("unreadable"),
    };
    if !is_as_meant {
        faults.push(format!("the verdicts are {verdicts:?}"));
    }
    faults.extend(on_paper(phone, sheet.1)?);
    Ok((verdicts, faults))
}

/// The filled-in sheet as it is printed: one page of it on either paper, with the name and every answer, and nothing of the
/// lesson.
fn on_paper(phone: &mut Phone, student: &str) -> Result<Vec<String>> {
    phone.evaluate("window.print = () => {}")?;
    let print = |phone: &mut Phone| phone.tap_for(&button(PANEL, "Print"), "document.querySelector('.foldmark-paper')");
    print(phone)?;
    let mut faults = Vec::new();
    phone.tab.print(true)?;
    let shown = phone.evaluate(
        "[...document.body.children].filter((one) => one.checkVisibility()).map((one) => one.className).join()",
    )?;
    if shown != "foldmark-paper" {
        faults.push(format!("on paper is {shown}"));
    }
    let text = phone.evaluate("document.querySelector('.foldmark-paper').innerText")?;
    let answers =
        format!("[...document.querySelectorAll('{PANEL} .foldmark-sheet input')].map((input) => input.value)");
    let answers: Vec<String> = serde_json::from_value(phone.evaluate(&answers)?)?;
    let text = text.as_str().unwrap_or_default();
    faults.extend(
        answers.iter().filter(|answer| !text.contains(answer.as_str())).map(|it| format!("{it} is not on paper")),
    );
    if !text.contains(student) {
        faults.push(format!("{student} is not on paper"));
    }
    phone.tab.print(false)?;
    for (at, paper) in PAPERS.into_iter().enumerate() {
        // What was printed once is taken away.
        if at > 0 {
            print(phone)?;
        }
        match phone.tab.sheets(paper)? {
            1 => {}
            sheets => faults.push(format!("printed on {sheets} sheets of {paper:?}")),
        }
    }
    Ok(faults)
}

fn verify(result: Result<(Tally, Vec<String>)>) {
    let (tally, complaints) = result.unwrap_or_else(|error| panic!("{error}"));
    println!("{tally:?}");
    assert!(complaints.is_empty(), "{} complaints:\n{}", complaints.len(), complaints.join("\n"));
    assert_eq!(tally.sheets, LESSONS.len() * SHEETS.len());
}

/// From a folder: every sheet gets the verdicts from marking that the page showed when it was saved.
#[test]
fn homework_on_a_telephone_from_a_folder() {
    let book = built_book();
    verify(all_sheets(&|name| format!("file://{}/{name}.html", book.path().display())));
}

/// From a site the same; and nothing is asked of the site but its files.
#[test]
fn homework_on_a_telephone_from_a_site() {
    let book = built_book();
    let server = Server::new(book.path());
    verify(all_sheets(&|name| server.url(&format!("{name}.html"))));
    assert_eq!(server.others_than_reading(), Vec::<String>::new());
}

/// A touch of a button counts, also where it ends the typing into a field whose judgement moves what lies below.
#[test]
fn a_touch_right_after_typing_counts() {
    let book = built_book();
    let mut phone = Phone::new().expect("a telephone");
    let mut touch = || -> Result<Value> {
        phone.open(&format!("file://{}/zip-pouch.html", book.path().display()))?;
        phone.tap_for(&button("main", "Fill in my answers here"), &format!("document.querySelector('{PANEL}')"))?;
        phone.type_into(&format!("document.querySelector('{PANEL} > .foldmark-field input')"), "Sorrel")?;
        let key = format!(
            "[...document.querySelectorAll('{PANEL} .foldmark-sheet input')].filter((input) => !input.closest('details:not([open])')).at(-1)"
        );
        phone.type_into(&key, "9 3/8")?;
        let listen = "globalThis.heard = []; for (const kind of ['pointerdown', 'mousedown', 'change', 'mouseup', 'click'])
            addEventListener(kind, (event) => heard.push(`${kind} ${event.target.tagName} ${event.target.textContent.slice(0, 20)}`), true);";
        phone.evaluate(listen)?;
        let save = button(PANEL, "Save my answers");
        phone.evaluate(&format!("{save}.addEventListener('click', () => {{ globalThis.isSaved = true; }})"))?;
        phone.tap(&save)?;
        thread::sleep(Duration::from_millis(500));
        phone.evaluate("[globalThis.isSaved ?? false, globalThis.heard]")
    };
    let heard = touch().unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(heard[0], true, "{}", heard[1]);
}
