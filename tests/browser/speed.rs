//! How soon a page answers: from the first touch to the panel, and from a keystroke to the end of the frame that shows what
//! came of it. What is measured is printed; since the gate runs on machines that do other work as well, only the median is held, to
//! five times what is aimed at.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

use foldmark::exercise::Shelf;
use serde_json::Value;

use crate::devtools::{Result, Tab};
use crate::requests;
use crate::{built_book, open_tab};

/// In milliseconds: from the first touch to the panel, and the work for a keystroke.
const AIM_READY: f64 = 100.0;
const AIM_KEY: f64 = 16.0;
const AT_MOST: f64 = 5.0;

/// Of these tests one runs at a time.
static ALONE: Mutex<()> = Mutex::new(());

/// The lessons that are longest, and what is drafted there.
const LONGEST: [(&str, &str); 2] = [("roll.html", "flap-roll"), ("mixed-roll.html", "mixed-roll")];

/// The value of which so many hundredths are below.
fn share(measured: &[Value], what: &str, hundredths: usize) -> f64 {
    let mut values: Vec<f64> = measured.iter().map(|one| one[what].as_f64().expect("a time")).collect();
    values.sort_by(f64::total_cmp);
    values[(values.len() * hundredths / 100).min(values.len() - 1)]
}

/// Median and 95th percentile of each, as a line.
fn told(measured: &[Value], whats: &[&str]) -> String {
    let one = |what: &&str| format!("{what} {:.1} ({:.1})", share(measured, what, 50), share(measured, what, 95));
    whats.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// What the browser counted for each of a hundred touches, with what it did in between when it had time.
fn counted(before: &BTreeMap<String, f64>, after: &BTreeMap<String, f64>) -> String {
    let each = |(what, name): (&str, &str)| {
        let took = after.get(name).zip(before.get(name)).map_or(f64::NAN, |(after, before)| after - before);
        format!("{what} {:.1}", took * 1_000.0 / 100.0)
    };
    let whats = [
        ("scripts with the engine", "ScriptDuration"),
        ("style", "RecalcStyleDuration"),
        ("layout", "LayoutDuration"),
        ("everything", "TaskDuration"),
    ];
    format!("counted for each: {}", whats.map(each).join(", "))
}

/// Loads a lesson with the exercise's example typed in as one's own objects.
fn load(tab: &mut Tab, book: &Path, page: &str, exercise: &str) -> Result<()> {
    let shelf = Shelf::shipped();
    let exercise = shelf.get(exercise)?;
    let ruler = exercise.usual_ruler(false);
    let own = requests::own(&requests::example(exercise, ruler).ok_or("no example")?.given, &ruler.to_string());
    let before = format!(
        "localStorage.clear(); localStorage.setItem('foldmark-own-{}', JSON.stringify({own}));\n{}",
        exercise.name,
        include_str!("speed.js")
    );
    tab.load(&format!("file://{}", book.join(page).display()), 360, &before)?;
    tab.evaluate("new Promise((done) => setTimeout(done, 300))")?;
    Ok(())
}

/// From the first touch of a page to its panel.
#[test]
fn the_engine_is_soon_ready() {
    let _alone = ALONE.lock().unwrap_or_else(PoisonError::into_inner);
    let book = built_book();
    let mut tab = open_tab();
    let mut measure = |page: &str, exercise: &str| -> Result<()> {
        let mut measured = Vec::new();
        for _ in 0..12 {
            load(&mut tab, book.path(), page, exercise)?;
            measured.push(tab.evaluate("trial.open()")?);
        }
        let whats = ["ready", "seen", "load", "unpack", "compile", "engine", "rest"];
        println!("{page}, ms from the first touch, median (p95): {}", told(&measured, &whats));
        let median = share(&measured, "ready", 50);
        assert!(median < AT_MOST * AIM_READY, "{page}: {median} ms");
        assert_eq!(tab.errors, Vec::<String>::new());
        Ok(())
    };
    for (page, exercise) in LONGEST {
        measure(page, exercise).unwrap_or_else(|error| panic!("{page}: {error}"));
    }
}

/// From a keystroke in the form, and from a choice moved by a tick beside the largest figure, to the end of the frame in which
/// what can be seen is drawn anew. `whole` has the wait for that frame in it, which comes sixty times a second; `work` has not.
#[test]
fn a_page_follows_a_keystroke() {
    let _alone = ALONE.lock().unwrap_or_else(PoisonError::into_inner);
    let book = built_book();
    let mut tab = open_tab();
    let mut measure = |page: &str, exercise: &str| -> Result<()> {
        let whats = ["whole", "work", "engine", "script", "paint"];
        load(&mut tab, book.path(), page, exercise)?;
        tab.evaluate("trial.open()")?;
        tab.evaluate("trial.begin()")?;
        let before = tab.metrics()?;
        for at in 0..100 {
            tab.evaluate("trial.mark()")?;
            tab.type_letter(char::from(b'1' + at % 9))?;
        }
        let typed = tab.evaluate("trial.mark().then(() => trial.touches)")?;
        let by_key = counted(&before, &tab.metrics()?);
        load(&mut tab, book.path(), page, exercise)?;
        tab.evaluate("trial.open()")?;
        tab.evaluate("trial.prepare()")?;
        let before = tab.metrics()?;
        tab.evaluate("trial.choose(100)")?;
        let chosen = tab.evaluate("trial.touches")?;
        let by_choice = counted(&before, &tab.metrics()?);
        for (kind, measured, counted) in [("keystroke", typed, by_key), ("choice", chosen, by_choice)] {
            let measured = measured.as_array().ok_or("no list")?;
            assert!(measured.len() >= 95, "only {} were measured", measured.len());
            println!("{page}, ms from a {kind}, median (p95): {}; {counted}", told(measured, &whats));
            let median = share(measured, "work", 50);
            assert!(median < AT_MOST * AIM_KEY, "{page}: {median} ms");
        }
        assert_eq!(tab.errors, Vec::<String>::new());
        Ok(())
    };
    for (page, exercise) in LONGEST {
        measure(page, exercise).unwrap_or_else(|error| panic!("{page}: {error}"));
    }
}
