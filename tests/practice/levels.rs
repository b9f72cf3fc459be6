//! What the levels of every exercise promise. A debug build tries fewer sheets than `cargo test --release --test practice`.

use foldmark::check::{Marker, read_answers};
use foldmark::class::Policy;
use foldmark::exercise::{Exercise, Level, OnSheet, Shelf, StepRule};
use foldmark::formula::{Base, Values};
use foldmark::length::{Length, Ruler};
use foldmark::practice::{Maker, PracticeFault, Problem, Sheets, Task, coded_file, recall};
use std::collections::BTreeSet;

const SHEETS: usize = if cfg!(debug_assertions) { 60 } else { 10_000 };

/// Calls `look` with every exercise that has levels, each of its levels, and the usual ruler of either system.
fn everywhere(look: impl Fn(&Shelf, &Maker, &Level, Ruler) + Sync) {
    let shelf = Shelf::shipped();
    let shelf = &shelf;
    let look = &look;
    std::thread::scope(|scope| {
        for metric in [false, true] {
            scope.spawn(move || {
                for exercise in shelf.iter() {
                    assert!(!exercise.practice.levels.is_empty(), "{} has no levels", exercise.name);
                    for level in &exercise.practice.levels {
                        let ruler = exercise.at_level(level.level).unwrap().usual_ruler(metric);
                        let maker = Maker::new(exercise, level.level, Task::Draft, ruler).unwrap();
                        look(shelf, &maker, level, ruler);
                    }
                }
            });
        }
    });
}

/// A set as large as there can be, up to so many sheets.
fn most<'e>(maker: &Maker<'e>, seed: u64) -> Vec<Problem<'e>> {
    let mut count = SHEETS;
    loop {
        match maker.set(count, seed) {
            Ok(problems) => return problems,
            Err(PracticeFault::TooFew { exist, asked, .. }) => {
                assert!(exist < asked && exist >= 20, "{}: {exist} problems", maker.exercise().name);
                count = exist;
            }
            Err(fault) => panic!("{}: {fault}", maker.exercise().name),
        }
    }
}

#[test]
fn every_key_is_right_and_every_condition_holds() {
    everywhere(|shelf, maker, level, ruler| {
        let exercise = maker.exercise();
        let what = format!("{} at level {} on {ruler}", exercise.name, level.level);
        let problems = most(maker, 2026);
        let marker = Marker::new(exercise, &Policy::default());
        let mut answers = BTreeSet::new();
        let steps_of = |problem: &Problem| -> usize {
            problem.asked().into_iter().map(|step| problem.draft.rows(&exercise.steps[step])).sum()
        };
        let words = |problem: &Problem| coded_file(problem, "", false).lines().skip(8).map(str::len).count();
        for problem in &problems {
            let draft = &problem.draft;
            let file = coded_file(problem, "Clover", true);
            let mut sheet = read_answers(&file).unwrap();
            for value in sheet.answers.iter().flat_map(|answer| &answer.values) {
                let length = Length::read(&value.text, None);
                assert!(length.is_err() || value.text.ends_with(ruler.unit().symbol()), "{what}: {}", value.text);
                assert!(length.is_ok_and(|length| ruler.on_tick(length)), "{what}: {} is on no tick", value.text);
            }
            recall(&mut sheet, shelf).unwrap_or_else(|faults| panic!("{what}: {faults:?}"));
            let marked = marker.mark(&sheet).unwrap();
            assert!(marked.all_right() && marked.points == marked.out_of, "{what}: {file}");
            // As they are written, to the ruler, two may well be alike.
            let asked = exercise.steps.iter().filter(|step| step.on_sheet == OnSheet::Asked);
            let exactly: Vec<_> =
                asked.flat_map(|step| (0..draft.rows(step)).map(|row| draft.measures.value(step.slot, row))).collect();
            assert!(answers.insert(format!("{exactly:?}")), "{what}: two alike: {file}");
            assert_eq!((steps_of(problem), words(problem)), (steps_of(&problems[0]), words(&problems[0])), "{what}");
            for requirement in &exercise.practice.require {
                assert!(requirement.rule.holds(&draft.measures), "{what}: {}", requirement.says);
            }
            for (index, step) in exercise.steps.iter_enumerated() {
                for row in 0..draft.rows(step) {
                    let value = draft.measures.value(step.slot, row).unwrap();
                    assert!(value >= 0.0, "{what}: {}", step.name);
                    let is_free = !level.on_tick || level.off_tick.contains(&index) || step.on_sheet != OnSheet::Asked;
                    let is_rounded = level.rounds_up.contains(&index);
                    if step.kind.base == Base::Length && (is_rounded || !is_free) {
                        // In whole nanometres, apart from the arithmetic of formulas.
                        assert_eq!(value as i64 % ruler.tick().nm(), 0, "{what}: {}", step.name);
                    }
                }
            }
        }
    });
}

/// A sheet that asks for nothing but one thing is no practice, and one with dozens of measures nobody types in.
#[test]
fn every_level_asks_for_a_few() {
    for exercise in Shelf::shipped().iter() {
        let levels = exercise.practice.levels.iter().map(|level| level.level);
        for level in std::iter::once(0).chain(levels) {
            let set = exercise.at_level(level).unwrap();
            let asked = set.steps.keys().filter(|step| set.asks(*step)).count();
            assert!((5..=10).contains(&asked), "{} at level {level} asks for {asked}", exercise.name);
        }
    }
}

/// The problem of a code does not depend on what a sheet asks for: a code that was given out stays good.
#[test]
fn a_problem_is_the_same_whatever_is_asked_for() {
    for exercise in Shelf::shipped().iter() {
        let asking = exercise.asking(&[exercise.steps.last_key().unwrap()]);
        for level in exercise.practice.levels.iter().map(|level| level.level) {
            let problems = |exercise| {
                let ruler = Exercise::at_level(exercise, level).unwrap().usual_ruler(false);
                let set = Maker::new(exercise, level, Task::Draft, ruler).unwrap().set(3, 11).unwrap();
                set.into_iter().map(|one| (one.code.to_string(), one.draft.measures)).collect::<Vec<_>>()
            };
            assert!(problems(exercise) == problems(&asking), "{} at level {level}", exercise.name);
        }
    }
}

/// What is rounded up is never less than what the exercise works out without rounding, and less than a tick more.
#[test]
fn ease_is_rounded_up_and_never_down() {
    everywhere(|shelf, maker, level, ruler| {
        let plain = shelf.get(&maker.exercise().name).unwrap();
        for problem in maker.set(20, 5).unwrap() {
            for &step in &level.rounds_up {
                let StepRule::Value(value) = &plain.steps[step].rule else { panic!("{}", plain.steps[step].name) };
                let step = &plain.steps[step];
                for row in 0..problem.draft.rows(step) {
                    let more = problem.draft.measures.value(step.slot, row).unwrap()
                        - value.evaluate(&problem.draft.measures, Some(row)).unwrap();
                    assert!((-1.0..ruler.tick().as_nm_f64()).contains(&more), "{}: {more}", step.name);
                }
            }
        }
    });
}

/// The answers stand nowhere on the sheet: not in what is to be filled in, and not in the figure, which is the same for all.
#[test]
fn a_sheet_gives_nothing_away() {
    everywhere(|_, maker, level, ruler| {
        let exercise = maker.exercise();
        let mut sheets = Sheets::default();
        let mut figures = BTreeSet::new();
        for problem in most(maker, 11) {
            let page = sheets.page(&problem, None);
            let (head, grid) = page.split_once("<ol class=\"grid\">").unwrap();
            let grid = grid.split_once("</ol>").unwrap().0;
            // Beside the names of measures nothing stands there that could be a number.
            let beside =
                grid.split("<span class=\"name\">").map(|part| part.split_once("</span>").map_or(part, |it| it.1));
            let beside: String = beside.collect();
            assert!(!beside.contains(|letter: char| letter.is_ascii_digit()), "{}: {beside}", exercise.name);
            let figure = head.split_once("<figure>").map_or("", |(_, figure)| figure);
            figures.insert(figure.replace(&format!(" id=\"sheet-{}-{}\"", exercise.name, problem.number), ""));
            for &hidden in &level.hides {
                let title = &exercise.givens[hidden].title;
                assert!(
                    !page.contains(&format!("<td>{title}</td>")) && !page.contains(&format!("<td>{title} <span")),
                    "{}: {title} on {ruler}",
                    exercise.name
                );
            }
        }
        assert_eq!(figures.len(), 1, "{} at level {} on {ruler}", exercise.name, level.level);
    });
}
