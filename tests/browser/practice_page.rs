//! Practice in a lesson's page: the sheet of a code is the one that the program sets, the key's answers are right there and
//! where the class is marked, and a wrong one is wrong in both.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use foldmark::draft::Draft;
use foldmark::exercise::{Exercise, OnSheet, Shelf, Step, StepId};
use foldmark::formula::Base;
use foldmark::length::{Length, Ruler};
use foldmark::practice::{Code, Maker, Problem, Task, on_screen};
use serde_json::{Value, json};

use crate::devtools::{Result, Tab};
use crate::engine::kinds;
use crate::seeded::Seeded;
use crate::{built_book, open_tab, shared};

/// The page on which each exercise is practised.
fn practised(book: &Path, shelf: &Shelf) -> BTreeMap<String, String> {
    let page = |(path, request): (String, String)| {
        let mut live = foldmark::live::Live::new();
        let drafts: Value = serde_json::from_str(&live.answer(&request)).expect("an answer is JSON");
        let exercise = drafts["drafts"][0]["exercise"].as_str()?.to_owned();
        shelf.get(&exercise).ok()?;
        Some((exercise, path.replace(".md", ".html")))
    };
    let pages = crate::requests::chapters(book).into_iter().filter_map(page);
    pages
        .filter(|(_, page)| {
            std::fs::read_to_string(book.join(page)).is_ok_and(|it| it.contains("data-block=\"homework\""))
        })
        .collect()
}

fn open(tab: &mut Tab, book: &Path, page: &str) -> Result<()> {
    tab.load(&format!("file://{}", book.join(page).display()), 768, "localStorage.clear();")?;
    tab.evaluate(include_str!("practice_page.js"))?;
    tab.evaluate("trial.open()")?;
    Ok(())
}

/// A field of a sheet: its key in the page, and what the program says of it.
struct Field {
    key: String,
    label: String,
    /// Exactly, and as a page writes it.
    right: String,
    shown: String,
    step: StepId,
}

/// The fields that a sheet has by the program.
fn fields(problem: &Problem) -> Vec<Field> {
    let draft = &problem.draft;
    let letters: BTreeMap<usize, String> =
        on_screen(problem, "x").letters.into_iter().map(|(letter, step)| (usize::from(step), letter)).collect();
    let mut fields = Vec::new();
    // What may be handed in beside what is asked for stands below it.
    let asked = problem.asked();
    let steps = &draft.exercise.steps;
    let more = steps.keys().filter(|id| steps[*id].on_sheet == OnSheet::Asked && !asked.contains(id));
    for id in asked.iter().copied().chain(more) {
        let step = &steps[id];
        for row in 0..draft.rows(step) {
            let letter = letters.get(&usize::from(id)).map(|letter| format!("{letter}  ")).unwrap_or_default();
            let choice = match () {
                () if step.is_choice() => " (your choice)",
                () if step.is_reckoned => " (as you reckoned it)",
                () => "",
            };
            fields.push(Field {
                key: format!("{} {row}", step.name),
                label: format!("{letter}{}{choice}", draft.label(step, row)),
                right: exactly(draft, step, row),
                shown: draft.text_at(step.slot, row),
                step: id,
            });
        }
    }
    fields
}

/// What is right, as a key has it: never rounded.
fn exactly(draft: &Draft, step: &Step, row: usize) -> String {
    let length = draft.measures.length(step.slot, row).filter(|_| step.kind.base == Base::Length);
    length.map_or_else(|| draft.text_at(step.slot, row), |length| draft.givens.ruler.write_exactly(length))
}

/// A length that is some ticks longer.
fn off(text: &str, ruler: Ruler, ticks: i64) -> String {
    let length = Length::read(text, Some(ruler.unit())).expect("a length of the key");
    ruler.write_exactly(Length::from_nm(length.nm() + ticks * ruler.tick().nm()))
}

/// What a page did with one code.
struct Worked {
    student: String,
    code: String,
    is_right: bool,
}

fn work(tab: &mut Tab, problem: &Problem, at: usize, folder: &Path, told: &mut Vec<String>) -> Result<Vec<Worked>> {
    let code = problem.code.to_string();
    let exercise: &Exercise = problem.draft.exercise;
    let what = format!("{} {code} ({:?}, level {})", exercise.name, problem.code.task, problem.code.level);
    let typed = if at.is_multiple_of(2) { code.clone() } else { code.to_lowercase().replace('-', " ") };
    let html = on_screen(problem, "foldmark-outline").html;
    let shown = tab.evaluate(&format!("trial.code({}, {})", json!(typed), json!(html)))?;
    if shown["code"] != code || shown["isSet"] != true || shown["told"] != "" {
        told.push(format!("{what}: the page shows another sheet: {}, {}", shown["code"], shown["told"]));
    }
    let fields = fields(problem);
    let labels: Vec<&str> = fields.iter().map(|field| field.label.as_str()).collect();
    let seen: Vec<&str> =
        shown["fields"].as_array().into_iter().flatten().filter_map(|it| it["label"].as_str()).collect();
    if labels != seen {
        told.push(format!("{what}: the fields are {seen:?}, and not {labels:?}"));
        return Ok(Vec::new());
    }
    let planted: BTreeSet<usize> = problem.slips.iter().map(|slip| usize::from(exercise.slips[*slip].step)).collect();
    // Of a finished draft only what has a slip in it is put right.
    let shows = |field: &Field| {
        let of = shown["fields"].as_array().into_iter().flatten().find(|it| it["key"] == field.key.as_str());
        of.and_then(|it| it["says"].as_str()).unwrap_or_default().contains(&format!("The draft shows {}.", field.shown))
    };
    let filled: Vec<&Field> = fields
        .iter()
        .filter(|field| planted.is_empty() || (planted.contains(&usize::from(field.step)) && !shows(field)))
        .collect();
    let answers: serde_json::Map<String, Value> =
        filled.iter().map(|field| (field.key.clone(), json!(field.right))).collect();
    let marked = tab.evaluate(&format!("trial.fill({})", json!(answers)))?;
    let marks = marked["fields"].as_array().cloned().unwrap_or_default();
    for mark in &marks {
        let is_right = mark["said"].as_str().is_some_and(|said| said.starts_with('✓'));
        if answers.contains_key(mark["key"].as_str().unwrap_or_default()) != is_right {
            told.push(format!("{what}: {} is {}: {}", mark["label"], mark["value"], mark["said"]));
        }
    }
    let mut done = Vec::new();
    let mut save = |tab: &mut Tab, kind: &str, is_right: bool| -> Result<()> {
        let student = format!("Tansy {at} {kind}");
        let file = tab.evaluate(&format!("trial.save({})", json!(student)))?;
        shared::write(folder, &format!("{at}-{kind}.toml"), file.as_str().unwrap_or_default());
        done.push(Worked { student, code: code.clone(), is_right });
        Ok(())
    };
    save(tab, "right", true)?;
    // One that counts and has to be measured, and is no choice, off by three to nine ticks.
    let ruler = problem.draft.givens.ruler;
    let is_fixed =
        |field: &Field| marks.iter().any(|mark| mark["key"] == field.key.as_str() && mark["isFixed"] == true);
    let lengths: Vec<&&Field> = filled
        .iter()
        .filter(|field| {
            let step = &exercise.steps[field.step];
            step.kind.base == Base::Length && exercise.asks(field.step) && !step.is_choice() && !is_fixed(field)
        })
        .collect();
    if let Some(field) = lengths.get(at % lengths.len().max(1)) {
        let wrong = off(&field.right, ruler, 3 + (at % 7) as i64);
        let marked = tab.evaluate(&format!("trial.fill({})", json!({ field.key.clone(): wrong })))?;
        let mark =
            marked["fields"].as_array().into_iter().flatten().find(|it| it["key"] == field.key.as_str()).cloned();
        let said = mark.unwrap_or_default()["said"].as_str().unwrap_or_default().to_owned();
        if said.is_empty() || said.starts_with('✓') {
            told.push(format!("{what}: {} is {wrong}, not {}: “{said}”", field.label, field.right));
        }
        save(tab, "wrong", false)?;
    }
    Ok(done)
}

/// Two hundred sheets by their codes, over all lessons, levels and rulers.
#[test]
fn the_sheet_of_a_code_is_the_programs() {
    sheets(200, |task| task == Task::Draft);
}

/// The same of finished drafts with slips in them: a line for every measure, so that nothing tells where to look.
#[test]
fn a_finished_draft_does_not_tell_where_its_slips_are() {
    sheets(100, |task| task != Task::Draft);
}

fn sheets(count: usize, is_wanted: impl Fn(Task) -> bool) {
    let shelf = Shelf::shipped();
    let book = built_book();
    let folder = shared::folder();
    let pages = practised(book.path(), &shelf);
    assert!(pages.len() > 10, "{pages:?}");
    let mut problems: BTreeMap<&str, Vec<Problem>> = BTreeMap::new();
    let mut seeds = Seeded(200);
    let kinds = kinds(&shelf);
    let mut made = 0;
    for (exercise, level, ruler, task) in kinds.iter().cycle().take(10_000) {
        let of = problems.entry(exercise.name.as_str()).or_default();
        // As many of each lesson.
        let is_full = made == count || of.len() > count / pages.len();
        if is_full || !is_wanted(*task) || !pages.contains_key(&exercise.name) {
            continue;
        }
        let Ok(maker) = Maker::new(exercise, *level, *task, *ruler) else { continue };
        of.extend((0..100).find_map(|_| maker.problem(seeds.next() as u32)).inspect(|_| made += 1));
    }
    assert_eq!(made, count, "{} kinds", kinds.len());
    let mut tab = open_tab();
    let mut told = Vec::new();
    let mut done = Vec::new();
    for (name, problems) in problems.iter().filter(|(_, problems)| !problems.is_empty()) {
        open(&mut tab, book.path(), &pages[*name]).unwrap_or_else(|error| panic!("{name}: {error}"));
        for problem in problems {
            let at = done.len();
            match work(&mut tab, problem, at, folder.path(), &mut told) {
                Ok(more) => done.extend(more),
                Err(error) => told.push(format!("{name} {}: {error}", problem.code)),
            }
        }
        told.extend(tab.errors.drain(..).map(|error| format!("{name}: console: {error}")));
    }
    let wrong = done.iter().filter(|worked| !worked.is_right).count();
    let (_, json, _) = shared::run(folder.path(), &["check", ".", "--json"]);
    let checked = shared::json_lines(&json);
    let sheets: BTreeMap<&str, &Value> =
        checked.iter().filter_map(|sheet| Some((sheet["student"].as_str()?, sheet))).collect();
    let faults: Vec<&Value> = checked.iter().filter_map(|line| line.get("fault")).collect();
    assert_eq!(sheets.len(), done.len(), "{faults:?}");
    for worked in &done {
        let sheet = sheets[worked.student.as_str()];
        if sheet["all_right"] != worked.is_right {
            told.push(format!(
                "{} ({}): check says all_right {}: {sheet}",
                worked.student, worked.code, sheet["all_right"]
            ));
        }
    }
    assert!(told.is_empty(), "{}:\n{}", told.len(), told[..told.len().min(20)].join("\n"));
    println!(
        "{made} sheets by their codes on {} pages: {} right and {wrong} wrong ones in page and program",
        pages.len(),
        done.len() - wrong
    );
}

fn strangers() -> Result<()> {
    let shelf = Shelf::shipped();
    let book = built_book();
    let pages = practised(book.path(), &shelf);
    let mut tab = open_tab();
    let code = |name: &str| {
        let exercise = shelf.get(name).expect("a shipped exercise");
        let level = exercise.practice.levels.first().map_or(0, |level| level.level);
        let maker = Maker::new(exercise, level, Task::Draft, exercise.usual_ruler(false)).expect("a maker");
        (0..1_000).find_map(|seed| maker.problem(seed)).expect("a problem").code.to_string()
    };
    open(&mut tab, book.path(), &pages["flap-roll"])?;
    let mut links = Vec::new();
    for (exercise, page) in pages.iter().filter(|(name, _)| *name != "flap-roll") {
        let shown = tab.evaluate(&format!("trial.code({})", json!(code(exercise))))?;
        let link = format!("file://{}", book.path().join(page).display());
        assert_eq!(shown["links"], json!([link]), "{exercise}: {}", shown["told"]);
        links.push((exercise, link));
    }
    // The last of them is followed, and the code opens its sheet there.
    let (exercise, link) = links.last().ok_or("no links")?;
    tab.load(link, 360, "")?;
    tab.evaluate(include_str!("practice_page.js"))?;
    tab.evaluate("trial.open()")?;
    let its = code(exercise);
    assert_eq!(tab.evaluate(&format!("trial.code({})", json!(its)))?["code"], its.as_str());

    // Damaged, too short, of signs that no code has, of nothing, of an exercise that nobody knows.
    open(&mut tab, book.path(), &pages["flap-roll"])?;
    let whole = code("flap-roll");
    let other = if whole.starts_with('Z') { "Y" } else { "Z" };
    let unknown = Code::new("unheard-of", 1, 1, Task::Draft, Ruler::EIGHTH, 7);
    for (text, says) in [
        (format!("{other}{}", &whole[1..]), "damaged"),
        (whole[..whole.len() - 1].to_owned(), "15 letters and digits, and this has 14"),
        (whole.replacen(&whole[..1], "!", 1), "stands in no code"),
        (String::new(), "this has 0"),
        ("<b>bold</b>".to_owned(), "stands in no code"),
        (unknown.to_string(), "of another exercise"),
    ] {
        let shown = tab.evaluate(&format!("trial.code({})", json!(text)))?;
        let told = shown["told"].as_str().unwrap_or_default();
        assert!(told.contains(says) && shown["code"] == "", "{text}: {shown}");
        assert!(told.ends_with('.') && !told.ends_with(".."), "{text}: {told}");
    }
    assert_eq!(tab.errors, Vec::<String>::new());
    Ok(())
}

/// A code of another lesson's exercise leads there, and a damaged one is told.
#[test]
fn a_code_that_does_not_belong_here_is_told() {
    strangers().unwrap_or_else(|error| panic!("{error}"));
}

fn handed_out() -> Result<()> {
    let shelf = Shelf::shipped();
    let book = built_book();
    let exercise = shelf.get("zip-pouch")?;
    let maker = Maker::new(exercise, 1, Task::Draft, Ruler::EIGHTH)?;
    let problem = (0..1_000).find_map(|seed| maker.problem(seed)).ok_or("no problem")?;
    let mut tab = open_tab();
    open(&mut tab, book.path(), &practised(book.path(), &shelf)["zip-pouch"])?;
    let shown = tab.evaluate(&format!("trial.code({})", json!(problem.code.to_string())))?;
    let fields = shown["fields"].as_array().cloned().unwrap_or_default();
    let filled: Vec<String> = fields
        .iter()
        .filter(|field| field["value"] != "")
        .map(|field| format!("{} {} {}", field["label"], field["value"], field["says"]))
        .collect();
    assert!(filled.is_empty(), "{} of {} are filled in: {filled:#?}", filled.len(), fields.len());
    Ok(())
}

/// Of a sheet that was handed out, and is opened by its code, nothing is filled in, not even for someone who never practised
/// here: what is saved of it is handed in.
#[test]
fn a_sheet_that_was_handed_out_is_empty() {
    handed_out().unwrap_or_else(|error| panic!("{error}"));
}

/// What stands filled in of a reader's first problem is right.
#[test]
fn what_is_filled_in_for_a_reader_is_right() {
    let shelf = Shelf::shipped();
    let mut live = foldmark::live::Live::new();
    for request in crate::requests::exercises() {
        live.answer(&request);
    }
    let mut ask = |request: Value| -> Value {
        serde_json::from_str(&live.answer(&request.to_string())).expect("an answer is JSON")
    };
    let mut seeds = Seeded(3);
    let mut told = Vec::new();
    let mut count = 0;
    for (exercise, level, ruler, task) in kinds(&shelf).into_iter().filter(|(_, _, _, task)| *task == Task::Draft) {
        let Ok(maker) = Maker::new(exercise, level, task, ruler) else { continue };
        for problem in (0..100).filter_map(|_| maker.problem(seeds.next() as u32)).take(4) {
            let code = problem.code.to_string();
            let set = ask(json!({ "ask": "coded", "exercise": exercise.name, "code": code }));
            let marked = ask(json!({ "ask": "mark", "exercise": exercise.name, "student": "Tansy", "show": "full",
                "code": code, "own": { "ruler": set["ruler"] }, "answers": set["half"] }));
            count += 1;
            for answer in marked["answers"].as_array().into_iter().flatten() {
                // What rests on a measure that is not there yet can't be judged yet.
                if answer["sign"]["words"] == "not right" {
                    told.push(format!(
                        "{} level {level} {ruler} {code}: {} = {}: {}",
                        exercise.name, answer["label"], answer["written"], answer["sign"]["words"]
                    ));
                }
            }
        }
    }
    assert!(told.is_empty(), "{} in {count} problems:\n{}", told.len(), told[..told.len().min(12)].join("\n"));
}
