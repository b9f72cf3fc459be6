//! Lessons worked for a reader's own objects: what the page then says is what the command line says.

use std::path::Path;

use foldmark::draft::{Draft, Givens, range};
use foldmark::exercise::{Exercise, GivenKind, Shelf, StepId};
use foldmark::length::Length;
use serde_json::{Value, json};

use crate::devtools::{Result, Tab};
use crate::kit::{Hand, Kit, first_seed};
use crate::oracle::{Lesson, lessons};
use crate::phone::FORGET;
use crate::{built_book, open_tab};

const PANEL: &str = "section[aria-label=\"My own objects\"]";

/// Five kits for an exercise: its example in both systems, and what practice makes, from the easiest to the hardest level.
fn kits(exercise: &Exercise) -> Vec<Kit> {
    let seed = first_seed();
    let of = |is_metric: bool| exercise.rulers.iter().copied().filter(move |ruler| ruler.is_metric() == is_metric);
    let (inch, metric) = (of(false).next().expect("an inch ruler"), of(true).next().expect("a metric ruler"));
    let finest = of(false).next_back().unwrap_or(inch);
    let levels: Vec<u8> = exercise.practice.levels.iter().map(|level| level.level).collect();
    let level = |at: usize| levels.get(at).or(levels.last()).copied().unwrap_or(0);
    vec![
        Kit::example(exercise, metric),
        Kit::problem(exercise, level(0), inch, seed, Hand::Full),
        Kit::problem(exercise, level(usize::MAX), metric, seed + 1, Hand::Bare),
        Kit::problem(exercise, level(1), finest, seed + 2, Hand::Short),
        Kit::example(exercise, inch),
    ]
}

/// Types a kit into the form, in place of whatever stands there.
fn fill_in(tab: &mut Tab, exercise: &Exercise, kit: &Kit) -> Result<()> {
    let ruler = format!(
        "(() => {{ const select = document.querySelector('{PANEL} select:not([data-key])');
            select.value = '{}'; select.dispatchEvent(new Event('change')); return select.value; }})()",
        kit.ruler
    );
    assert_eq!(tab.evaluate(&ruler)?, kit.ruler.to_string(), "the ruler is not there to be chosen");
    let typed = |key: &str| kit.raw.singles.iter().find(|entry| entry.key == key).map(|entry| entry.text.as_str());
    for given in &exercise.givens {
        let GivenKind::Choice { words, usual, .. } = &given.kind else { continue };
        let word = typed(&given.name).or(usual.map(|usual| words[usual].word.as_str())).unwrap_or_default();
        let choose = format!(
            "(() => {{ const select = document.querySelector('{PANEL} select[data-key=\"given.{}\"]');
                if (select) {{ select.value = '{word}'; select.dispatchEvent(new Event('change')); }} }})()",
            given.name
        );
        tab.evaluate(&choose)?;
    }
    for (table, rows) in &kit.raw.tables {
        let count = format!(
            "(() => {{
                const group = () => document.querySelector('{PANEL} [data-key^=\"given.{table}.\"]').closest('[role=group]');
                const press = (words) => [...group().querySelectorAll('button')]
                    .findLast((button) => button.textContent.startsWith(words)).click();
                const rows = () => group().querySelectorAll('fieldset').length;
                while (rows() < {0}) press('One more');
                while (rows() > {0}) press('Take out');
                return rows();
            }})()",
            rows.len()
        );
        assert_eq!(tab.evaluate(&count)?, rows.len(), "{}: rows of {table}", exercise.name);
    }
    let open = format!("for (const one of document.querySelectorAll('{PANEL} details')) one.open = true;");
    tab.evaluate(&open)?;
    let keys =
        format!("[...document.querySelectorAll('{PANEL} input')].map((input) => [input.dataset.key, input.value])");
    let fields = tab.evaluate(&keys)?;
    for field in fields.as_array().ok_or("no fields")? {
        let [key, now] = [0, 1].map(|at| field[at].as_str().unwrap_or_default());
        let text = text_for(kit, key);
        if text != now {
            type_into(tab, &format!("{PANEL} [data-key=\"{key}\"]"), &text)?;
        }
    }
    Ok(())
}

/// What a kit has for a field; nothing, where it leaves it out.
fn text_for(kit: &Kit, key: &str) -> String {
    let key = key.strip_prefix("given.").unwrap_or(key);
    if let [table, row, column] = key.split('.').collect::<Vec<_>>()[..] {
        let rows = kit.raw.tables.iter().find(|(name, _)| name == table).map(|(_, rows)| rows);
        let row = rows.and_then(|rows| rows.get(row.parse::<usize>().ok()? - 1));
        let cell = row.and_then(|row| match column {
            "name" => Some(row.name.clone()),
            _ => row.cells.iter().find(|cell| cell.key == column).map(|cell| cell.text.clone()),
        });
        return cell.unwrap_or_default();
    }
    kit.raw.singles.iter().find(|entry| entry.key == key).map(|entry| entry.text.clone()).unwrap_or_default()
}

/// Types in place of what stands in a field.
fn type_into(tab: &mut Tab, selector: &str, text: &str) -> Result<()> {
    let begin = format!(
        "(() => {{ const input = document.querySelector('{selector}'); input.focus(); input.select();
            return document.activeElement === input; }})()"
    );
    assert_eq!(tab.evaluate(&begin)?, true, "{selector} can't be typed into");
    if text.is_empty() {
        tab.evaluate("document.execCommand('delete')")?;
        return Ok(());
    }
    tab.insert(text)
}

/// Whether every part says what is expected; how many parts and figures there are.
fn compare(tab: &mut Tab, expected: &Value, what: &str, complaints: &mut Vec<String>) -> Result<(u64, u64)> {
    tab.more_time();
    let found = tab.evaluate(&format!("{}({expected}, 10000)", include_str!("own.js")))?;
    let faults = found["faults"].as_array().ok_or("no list of faults")?;
    complaints.extend(faults.iter().map(|fault| format!("{what}: {}", fault.as_str().unwrap_or_default())));
    Ok((found["parts"].as_u64().unwrap_or(0), found["figures"].as_u64().unwrap_or(0)))
}

/// The choices in the page: by the step's title, what is chosen.
fn choices(tab: &mut Tab) -> Result<Vec<(String, String)>> {
    let all = "[...document.querySelectorAll('.foldmark-choice')].map((one) => [one.getAttribute('aria-label'), one.querySelector('output').textContent])";
    Ok(serde_json::from_value(tab.evaluate(all)?)?)
}

/// Steps a choice to its end: every value on the way, the limit, whether that stands out, and whether one more press does
/// nothing.
fn step_to_the_end(tab: &mut Tab, title: &str, is_more: bool) -> Result<Value> {
    tab.more_time();
    let steps = format!(
        "(async () => {{
            const group = [...document.querySelectorAll('.foldmark-choice')].find((one) => one.getAttribute('aria-label') === '{title}');
            const [less, more] = group.querySelectorAll('button');
            const button = {is_more} ? more : less, said = group.querySelectorAll('p')[{is_more} ? 1 : 0];
            const value = group.querySelector('output');
            const frame = () => new Promise(requestAnimationFrame);
            const values = [value.textContent];
            while (button.getAttribute('aria-disabled') === 'false' && values.length < 400) {{
                const before = value.textContent;
                button.click();
                for (let i = 0; i < 300 && value.textContent === before; i++) await frame();
                values.push(value.textContent);
            }}
            button.click();
            for (let i = 0; i < 3; i++) await frame();
            const after = value.textContent;
            const weights = [...group.querySelectorAll('p')].map((one) => getComputedStyle(one).fontWeight);
            return {{ values, after, limit: said.textContent, weights }};
        }})()"
    );
    tab.evaluate(&steps)
}

/// The choice with the fewest ticks between its limits, of those that leave some.
fn shortest<'e>(draft: &Draft<'e>, shown: &[(String, String)]) -> Option<&'e str> {
    let tick = draft.givens.ruler.tick().nm();
    let ticks = |name: &str| {
        let room = draft.room(draft.exercise.step(name)?, 0)?;
        room.high?;
        Some((room.highest - room.lowest).nm() / tick).filter(|ticks| *ticks >= 2)
    };
    let choices = draft.exercise.steps.iter().filter(|step| step.is_choice());
    let choices = choices.filter(|step| shown.iter().any(|(title, _)| *title == step.title));
    choices.filter_map(|step| Some((ticks(&step.name)?, step.name.as_str()))).min().map(|(_, name)| name)
}

/// A choice moved to both of its ends.
fn try_a_choice(
    tab: &mut Tab,
    lesson: &Lesson,
    exercise: &Exercise,
    kit: &Kit,
    complaints: &mut Vec<String>,
) -> Result<usize> {
    let draft = kit.draft(exercise);
    let Some(name) = shortest(&draft, &choices(tab)?) else { return Ok(0) };
    let step = exercise.step(name).ok_or("no step")?;
    let ruler = draft.givens.ruler;
    let mut presses = 0;
    for is_more in [false, true] {
        let what = format!("{}: {} to its {} end", exercise.name, step.title, if is_more { "upper" } else { "lower" });
        let found = step_to_the_end(tab, &step.title, is_more)?;
        let values: Vec<String> = serde_json::from_value(found["values"].clone())?;
        presses += values.len() - 1;
        let read = |text: &str| Length::read(text, None).map_err(|fault| fault.to_string());
        for pair in values.windows(2) {
            let from = read(&pair[0])?;
            let to = if is_more { ruler.tick_above(from) } else { ruler.tick_below(from) };
            if read(&pair[1])? != to {
                complaints.push(format!("{what}: from {} it goes to {}", pair[0], pair[1]));
            }
        }
        let last = values.last().ok_or("no value")?;
        if found["after"] != json!(last) {
            complaints.push(format!("{what}: beyond its end {last} it goes on to {}", found["after"]));
        }
        let weight = |at: usize| found["weights"][at].as_str().and_then(|weight| weight.parse::<u32>().ok());
        let (held, free) = if is_more { (1, 0) } else { (0, 1) };
        if weight(held) < Some(600) || weight(free) >= Some(600) {
            complaints.push(format!("{what}: what holds it does not stand out: {}", found["weights"]));
        }
        // As the command line works it with that choice; one tick further would be beyond the limit.
        let chosen = [(name.to_owned(), last.clone())];
        let drafted = choosing(exercise, kit, &chosen);
        let expected = lesson.expected(kit, &chosen, &drafted);
        compare(tab, &expected, &what, complaints)?;
        let (low, high) = range(step, &drafted.measures, 0);
        let bound = if is_more { high } else { low }.ok_or("no limit")?;
        let tick = ruler.tick().as_nm_f64();
        let (room, end) = (read(last)?.as_nm_f64() - bound.value, bound.value);
        let room = if is_more { -room } else { room };
        if !(0.0..=tick).contains(&room) {
            complaints.push(format!("{what}: it ends at {last}, and the limit is {end} nm"));
        }
        let limit = found["limit"].as_str().unwrap_or_default();
        let stated = drafted.write_limit(&bound);
        let reason = if bound.limit.why.is_empty() { stated } else { format!("{stated}: {}", bound.limit.why) };
        if limit != reason {
            complaints.push(format!("{what}: “{limit}” instead of “{reason}”"));
        }
    }
    Ok(presses)
}

fn choosing<'e>(exercise: &'e Exercise, kit: &Kit, chosen: &[(String, String)]) -> Draft<'e> {
    let unit = Some(kit.ruler.unit());
    let givens = Givens::read(exercise, &kit.raw, unit, kit.ruler).expect("the kit is in range");
    let value =
        |name: &str| chosen.iter().find(|(known, _)| known == name).and_then(|(_, text)| Length::read(text, unit).ok());
    let choose = |step: StepId, _: usize| value(&exercise.steps[step].name).map(Length::as_nm_f64);
    Draft::choosing(exercise, givens, &choose).expect("the choice is within its limits")
}

/// What was measured of the page.
#[derive(Debug, Default)]
struct Tally {
    kits: usize,
    parts: u64,
    figures: u64,
    presses: usize,
}

fn work_a_lesson(tab: &mut Tab, book: &Path, name: &str, shelf: &Shelf, complaints: &mut Vec<String>) -> Result<Tally> {
    let lesson = Lesson::read(book, name);
    let exercise = shelf.get(&lesson.exercise)?;
    let mut tally = Tally::default();
    tab.load(&format!("file://{}", book.join(format!("{name}.html")).display()), 360, FORGET)?;
    let main = "document.querySelector('main').innerHTML";
    let before = tab.evaluate(main)?;
    let press = |words: &str| {
        format!("[...document.querySelectorAll('button')].find((button) => button.textContent === '{words}').click()")
    };
    tab.evaluate(&press("Work this with my own objects"))?;
    wait_for(tab, &format!("document.querySelector('{PANEL}') !== null"))?;
    for (at, kit) in kits(exercise).iter().enumerate() {
        let what = format!("{name}, kit {}", at + 1);
        fill_in(tab, exercise, kit)?;
        let draft = kit.draft(exercise);
        let (parts, figures) = compare(tab, &lesson.expected(kit, &[], &draft), &what, complaints)?;
        tally.kits += 1;
        tally.parts += parts;
        tally.figures += figures;
        for (title, value) in choices(tab)? {
            let step = exercise.steps.iter().find(|step| step.title == title).ok_or("a choice of no step")?;
            if value != draft.text_at(step.slot, 0) {
                complaints.push(format!("{what}: {title} starts with {value}, not {}", draft.text_at(step.slot, 0)));
            }
        }
        let said = tab.evaluate(&format!(
            "[...document.querySelectorAll('{PANEL} .foldmark-said')].map((one) => one.textContent).join('')"
        ))?;
        if said != "" {
            complaints.push(format!("{what}: it complains: {said}"));
        }
        let wide = tab.evaluate("document.documentElement.scrollWidth - innerWidth")?;
        if wide != 0 {
            complaints.push(format!("{what}: {wide} px too wide for a telephone"));
        }
        if at + 1 == 5 {
            tally.presses += try_a_choice(tab, &lesson, exercise, kit, complaints)?;
        }
    }
    tab.evaluate(&press("Back to the lesson’s kit"))?;
    if tab.evaluate(main)? != before {
        complaints.push(format!("{name}: the page is another after “Back to the lesson’s kit”"));
    }
    complaints.extend(tab.errors.iter().map(|error| format!("{name}: console: {error}")));
    Ok(tally)
}

/// Waits until a condition holds in the page.
pub fn wait_for(tab: &mut Tab, condition: &str) -> Result<()> {
    tab.more_time();
    let wait = format!(
        "(async () => {{ for (let i = 0; i < 400; i++) {{ if ({condition}) return true; await new Promise((done) => setTimeout(done, 25)); }}
            return false; }})()"
    );
    if tab.evaluate(&wait)? == true { Ok(()) } else { Err(format!("it never came to be that {condition}").into()) }
}

/// With five kits typed into every lesson, each part about the worked draft says what `foldmark draft` says for the same
/// givens; choices start as suggested and go tick by tick to their limits; and the way back leads to the very same page.
#[test]
fn a_lesson_says_of_own_objects_what_the_command_line_says() {
    let book = built_book();
    let shelf = Shelf::shipped();
    let mut tab = open_tab();
    let (mut complaints, mut all) = (Vec::new(), Tally::default());
    let names = lessons(book.path());
    for name in &names {
        let begun = std::time::Instant::now();
        let worked = work_a_lesson(&mut tab, book.path(), name, &shelf, &mut complaints);
        match worked {
            Ok(tally) => {
                all.kits += tally.kits;
                all.parts += tally.parts;
                all.figures += tally.figures;
                all.presses += tally.presses;
            }
            Err(error) => complaints.push(format!("{name}: {error}")),
        }
        println!("{name} {:?}", begun.elapsed());
    }
    println!("{} lessons, {all:?}", names.len());
    assert!(complaints.is_empty(), "{} complaints:\n{}", complaints.len(), complaints.join("\n"));
    assert!(names.len() >= 12 && all.kits == 5 * names.len(), "{} lessons, {all:?}", names.len());
    assert!(all.presses > names.len(), "{all:?}");
}

/// The roll in the page, worked for objects of so many lengths.
fn roll_for(tab: &mut Tab, book: &Path, lengths: &[&str]) -> Result<Kit> {
    let shelf = Shelf::shipped();
    let exercise = shelf.get("flap-roll")?;
    let mut kit = Kit::example(exercise, exercise.rulers[0]);
    let rows = &mut kit.raw.tables[0].1;
    rows.truncate(1);
    let row = rows.remove(0);
    rows.extend(lengths.iter().enumerate().map(|(at, length)| {
        let mut row = row.clone();
        row.name = format!("tool {}", at + 1);
        let cell = row.cells.iter_mut().find(|cell| cell.key == "length").expect("it has a length");
        (*length).clone_into(&mut cell.text);
        row
    }));
    if tab.evaluate(&format!("document.querySelector('{PANEL}') === null"))? == true {
        tab.load(&format!("file://{}", book.join("roll.html").display()), 1280, FORGET)?;
        let press = "[...document.querySelectorAll('button')].find((one) => one.textContent === 'Work this with my own objects').click()";
        tab.evaluate(press)?;
        wait_for(tab, &format!("document.querySelector('{PANEL}') !== null"))?;
    }
    fill_in(tab, exercise, &kit)?;
    Ok(kit)
}

/// Objects for which there is no choice within the limits are refused by the command line, and the page says as much: the
/// longest asks for a pocket of 5 3/8 in, and the shortest for one of 3 in.
#[test]
fn what_is_impossible_is_told() {
    let book = built_book();
    let mut tab = open_tab();
    let mut look = || -> Result<(Value, Value)> {
        roll_for(&mut tab, book.path(), &["10 in", "8 in"])?;
        wait_for(
            &mut tab,
            "document.querySelector('[aria-label=\"Pocket height\"] output')?.textContent === '6 1/2 in'",
        )?;
        roll_for(&mut tab, book.path(), &["10 in", "4 in"])?;
        wait_for(&mut tab, "document.querySelector('main').textContent.includes('no pocket height is possible')")?;
        let said =
            format!("[...document.querySelectorAll('{PANEL} .foldmark-said')].map((one) => one.textContent).join('')");
        let said = tab.evaluate(&said)?;
        let shown =
            tab.evaluate("document.querySelector('[aria-label=\"Pocket height\"] output')?.textContent ?? ''")?;
        Ok((said, shown))
    };
    let (said, shown) = look().unwrap_or_else(|error| panic!("{error}"));
    assert_ne!(said, "", "nothing is said");
    assert_eq!(shown, "", "a choice of other objects is still offered");
}

/// Steps that are tried before they are shown follow the reader's own objects, also where these are more than the lesson's.
#[test]
fn a_step_to_be_tried_asks_for_own_objects() {
    let book = built_book();
    let mut tab = open_tab();
    let mut look = || -> Result<Value> {
        roll_for(&mut tab, book.path(), &["9 in"])?;
        let press = |words: &str| {
            format!("[...document.querySelectorAll('button')].find((one) => one.textContent === '{words}').click()")
        };
        tab.evaluate(&press("Let me try each step before it is shown"))?;
        wait_for(&mut tab, "[...document.querySelectorAll('button')].some((one) => one.textContent === 'Check')")?;
        roll_for(&mut tab, book.path(), &["9 in", "8 in", "8 in", "8 in"])?;
        wait_for(&mut tab, "document.querySelector('[data-block=draft]').textContent.includes('tool 4')")?;
        tab.evaluate(&press("Check"))?;
        tab.evaluate(
            "[...document.querySelectorAll('label')].filter((one) => one.textContent.includes('“Slot, tool')).length",
        )
    };
    let asked = look().unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(tab.errors, Vec::<String>::new());
    assert_eq!(asked, 4);
}
