//! How wrong answers are told: a trial with invented students on every exercise of the shelf.
//!
//! Students are made up who work problems with a ruler, step by step, and go wrong in known ways. The ways are written
//! from the exercises' text and from what happens at a table, apart from the explanations, and the code here knows the marking
//! only from outside: answers go in, causes come out. Whether a cause is the true one is worked out here (`is_true`): a mistake
//! that gives the same value on other givens is the same mistake.
//!
//!     cargo test --release --test marking trial -- --nocapture
//!
//! prints the tables. `FOLDMARK_SEED=7` takes other problems and other mistakes, `FOLDMARK_TRIAL=3` three times as many sheets,
//! `FOLDMARK_MOST=10` lists the most frequent confusions of each class, and `FOLDMARK_CASE='flap-roll:1/8 in:digits:17'` shows the
//! case of that name, as those lists give it. `FOLDMARK_ASIDE=1` tries the part that is set aside in place of the open one: kinds of
//! slips and habits that nobody looks at who works on the explanations. A case is the same in every release build.

mod aside_by_hand;
mod aside_changes;
mod aside_habits;
mod bench;
mod by_hand;
mod changes;
mod classes;
mod is_true;
mod judge;
pub mod problem;
mod slips;
pub mod student;
mod table;
mod tree;

use crate::shared::whole_shelf;
use bench::{Bench, Case};
use classes::{CLASSES, Class, FORMULA};
use foldmark::check::{first_of_all, sentences};
use foldmark::class::Show;
use foldmark::draft::value_text;
use foldmark::exercise::Exercise;
use foldmark::length::Ruler;
use judge::{Said, judge};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use table::{Results, Told};

const RULERS: [Ruler; 4] = [Ruler::EIGHTH, Ruler::SIXTEENTH, Ruler::MILLIMETRE, Ruler::FIVE_MILLIMETRES];

/// So many problems for each exercise and ruler.
const PROBLEMS: usize = if cfg!(debug_assertions) { 24 } else { 60 };

/// A debug build tries every so many-th sheet.
const STRIDE: usize = if cfg!(debug_assertions) { 7 } else { 1 };

/// One part of the trial: what is open to whoever works on the marking, or what is set aside.
struct Part {
    name: &'static str,
    classes: &'static [Class],
    changes: &'static [changes::Change],
    by_hand: &'static [by_hand::ByHand],
}

const OPEN: Part = Part { name: "open", classes: &CLASSES, changes: &changes::CHANGES, by_hand: by_hand::BY_HAND };

const ASIDE: Part = Part {
    name: "set aside",
    classes: &aside_habits::CLASSES,
    changes: &aside_changes::CHANGES,
    by_hand: aside_by_hand::BY_HAND,
};

#[test]
fn trial() {
    let shelf = whole_shelf();
    let exercises: Vec<&Exercise> = shelf.iter().collect();
    let is_aside = std::env::var_os("FOLDMARK_ASIDE").is_some();
    let part = if is_aside { &ASIDE } else { &OPEN };
    if let Ok(case) = std::env::var("FOLDMARK_CASE") {
        part.show(&exercises, &case);
        return;
    }
    let number = |name: &str| std::env::var(name).ok().and_then(|count| count.parse().ok());
    let times = number("FOLDMARK_TRIAL").unwrap_or(1);
    let (next, done) = (AtomicUsize::new(0), Mutex::new(Vec::new()));
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) {
            scope.spawn(|| {
                while let Some(exercise) = exercises.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let results = part.tried(exercise, times);
                    done.lock().unwrap_or_else(PoisonError::into_inner).push((exercise.name.clone(), results));
                }
            });
        }
    });
    let mut all = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    all.sort_by(|(one, _), (other, _)| one.cmp(other));
    assert_eq!(all.len(), exercises.len(), "some exercise was not tried to its end");
    let mut total = Results::default();
    all.into_iter().for_each(|(_, results)| total.merge(results));
    println!("\nThe part that is {}: {} kinds of slips in a rule\n", part.name, total.slips);
    println!("{}", total.table(part.classes));
    let [twins, accused] = total.line(FORMULA).twins;
    println!(
        "{twins} slips in a rule gave the figures of one that the author foresaw; a false cause was named on {accused} of these.\n"
    );
    println!("Slips in a rule, by what was changed:\n\n{}", total.kinds(FORMULA));
    println!("Slips of the pen:\n\n{}", total.kinds("digits"));
    if !is_aside {
        println!("{}", total.confusions(number("FOLDMARK_MOST").unwrap_or(0)));
        holds(&total);
    }
}

/// What is reached: of a class the least that is named, and the most that gets a false cause, faults an innocent answer and
/// passes as right; in percent.
const REACHED: &[(&str, [f64; 4])] = &[
    (FORMULA, [54.5, 10.5, 0.5, 0.6]),
    ("digits", [73.5, 7.5, 1.5, 0.1]),
    ("given", [94.5, 2.5, 0.3, 0.0]),
    ("allowance", [98.5, 0.8, 0.3, 0.0]),
    ("given-in-one", [0.0, 42.0, 0.5, 0.2]),
    ("row", [26.5, 26.0, 1.5, 0.0]),
    ("unit", [100.0, 0.0, 0.0, 0.0]),
    ("unit-name", [100.0, 0.0, 0.0, 0.0]),
    ("shift", [78.0, 8.5, 0.8, 0.0]),
    ("exchange", [80.5, 11.5, 7.0, 0.3]),
    ("choice", [56.0, 11.5, 42.0, 1.1]),
    ("misspelt", [37.5, 19.5, 1.0, 0.1]),
    ("chance", [0.0, 13.5, 1.0, 0.1]),
    ("example", [98.0, 0.5, 0.0, 0.0]),
    ("limit", [0.0, 0.1, 0.0, 0.0]),
    ("right", [0.0, 0.0, 0.0, 100.0]),
    ("ends", [0.0, 0.0, 0.0, 100.0]),
    ("fine-up-down", [0.0, 0.0, 0.0, 100.0]),
    ("coarse", [0.0, 0.0, 0.0, 100.0]),
    ("coarser-metric", [0.0, 0.5, 1.0, 100.0]),
    ("coarser-inch", [0.0, 4.0, 18.5, 100.0]),
    ("pi", [0.0, 0.0, 0.0, 100.0]),
];

/// Holds the figures against what is reached, less what chance may cost where there are fewer sheets. None is none.
fn holds(total: &Results) {
    let slack = if cfg!(debug_assertions) { 8.0 } else { 1.0 };
    for &(key, [named, accused, innocents, passed]) in REACHED {
        let line = total.line(key);
        let most = |what: &str, found: f64, most: f64| {
            let most = if most > 0.0 { most + slack } else { 0.0 };
            assert!(found <= most, "{key}: {found:.1} % {what}, and at most {most} was reached");
        };
        assert!(
            line.sheets > 0 && line.percent(Said::Named) >= named - slack,
            "{key}: {:.1} %",
            line.percent(Said::Named)
        );
        most("falsely accused", line.percent(Said::False), accused);
        most("with an innocent answer faulted", line.share(line.innocents), innocents);
        most("passed as right", line.percent(Said::Passed), passed);
    }
}

impl Part {
    fn bench<'e>(&self, exercise: &'e Exercise, ruler: Ruler) -> Bench<'e> {
        let mut bench = Bench::new(exercise, ruler, PROBLEMS);
        let drafts: Vec<_> = bench.drafts.iter().take(24).collect();
        bench.slips = slips::slips(exercise, ruler.is_metric(), self.changes, self.by_hand, &drafts);
        bench
    }

    fn tried(&self, exercise: &Exercise, times: usize) -> Results {
        let mut results = Results::default();
        for (nth, ruler) in RULERS.into_iter().enumerate() {
            if ruler == Ruler::FIVE_MILLIMETRES && !exercise.rulers.contains(&ruler) {
                continue;
            }
            let bench = self.bench(exercise, ruler);
            results.slips = results.slips.max(bench.slips.len());
            for class in self.classes.iter().filter(|class| class.rulers.has(ruler)) {
                let sheets = class.sheets * times * if class.key == FORMULA { bench.slips.len() } else { 1 };
                for index in (nth..sheets).step_by(STRIDE) {
                    match (class.make)(&bench, index) {
                        Some(case) => count(&bench, class, index, &case, &mut results),
                        None => *results.none.entry(class.key).or_default() += 1,
                    }
                }
            }
        }
        results
    }

    /// Shows one case.
    fn show(&self, exercises: &[&Exercise], name: &str) {
        let parts: Vec<&str> = name.split(':').collect();
        let found = |parts: &[&str]| {
            let [exercise, ruler, class, index] = parts else { return None };
            let exercise = exercises.iter().find(|known| known.name == *exercise)?;
            let ruler = RULERS.into_iter().find(|known| known.to_string() == *ruler)?;
            let class = self.classes.iter().find(|known| known.key == *class)?;
            Some((self.bench(exercise, ruler), class, index.parse().ok()?))
        };
        let (bench, class, index) = found(&parts)
            .unwrap_or_else(|| panic!("no case is called {name}; write one like flap-roll:1/8 in:digits:17"));
        let case = (class.make)(&bench, index).unwrap_or_else(|| panic!("{name} can't be made"));
        let marked = bench.marked(&case);
        let judged = judge(&bench, &case, &marked);
        println!("{}\n{:?}, {:.0} % of the points: {}\n", case.what, judged.said, 100.0 * judged.points, judged.words);
        let givens = &bench.problems[case.problem];
        for given in &bench.exercise.givens {
            let value = bench.exercise.scope.slot(&given.name).and_then(|slot| givens.text(bench.exercise, slot, 0));
            println!("{} = {}", given.name, value.unwrap_or_else(|| "a table".to_owned()));
        }
        println!("{:?}\n", bench.sheet(&case).given.tables);
        println!("{}", first_of_all(&marked, Show::Full).unwrap_or_else(|| "No one cause.".to_owned()));
        for cell in &marked.cells {
            let step = &bench.exercise.steps[cell.step];
            let text = |value: Option<f64>| value_text(step.kind.base, value, bench.ruler);
            let (expected, own) = (text(cell.expected), text(cell.own));
            let guilty = if case.guilty.contains(&(cell.step, cell.row)) { "*" } else { " " };
            let verdict = cell.verdict.words();
            println!(
                "{guilty} {} {} = {}: {verdict}, expected {expected}, from own {own}",
                step.name, cell.row, cell.written
            );
            if !cell.verdict.earns() || !cell.explained.is_empty() {
                println!("      {:?}\n      {}", cell.explained, sentences(&marked, cell, Show::Full).join(" "));
            }
        }
    }
}

fn count(bench: &Bench, class: &'static Class, index: usize, case: &Case, results: &mut Results) {
    let marked = bench.marked(case);
    let judged = judge(bench, case, &marked);
    let exercise = bench.exercise;
    let step = case.guilty.first().filter(|_| class.key != FORMULA);
    let what =
        step.map_or_else(|| case.what.clone(), |(step, _)| format!("{} in {}", case.kind, exercise.steps[*step].name));
    let told = Told {
        class,
        kind: case.kind,
        exercise: &exercise.name,
        what,
        case: format!("{}:{}:{}:{index}", exercise.name, bench.ruler, class.key),
        innocents: judged.innocents.iter().map(|step| &exercise.steps[*step].name[..]).collect(),
    };
    results.add(&told, &judged);
}
