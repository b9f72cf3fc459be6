//! Slips to be found in finished drafts.

use foldmark::check::{Marker, Verdict, read_answers, with_slips};
use foldmark::class::Policy;
use foldmark::exercise::{OnSheet, Shelf};
use foldmark::formula::Values;
use foldmark::practice::{Maker, Task, coded_file, recall};

const SHEETS: usize = if cfg!(debug_assertions) { 12 } else { 200 };

#[test]
fn every_exercise_has_slips_to_be_found_and_the_key_finds_them() {
    let shelf = Shelf::shipped();
    for exercise in shelf.iter() {
        for (level, slips) in [(1, 1), (2, 1), (2, 2)] {
            let ruler = exercise.at_level(level).unwrap().usual_ruler(slips == 2);
            let maker = Maker::new(exercise, level, Task::FindSlips(slips), ruler).unwrap();
            let set = maker.exercise();
            let problems = maker.set(SHEETS, 9).unwrap_or_else(|fault| panic!("{}: {fault}", exercise.name));
            for problem in problems {
                assert_eq!(problem.slips.len(), usize::from(slips));
                let mut sheet = read_answers(&coded_file(&problem, "Clover", true)).unwrap();
                recall(&mut sheet, &shelf).unwrap();
                let marker = Marker::new(set, &Policy::default());
                let marked = marker.mark(&sheet).unwrap();
                assert!(marked.all_right() && marked.points == marked.out_of, "{}", exercise.name);
                // Nothing found is nothing earned, and each slip is told as missing.
                let mut nothing = read_answers(&coded_file(&problem, "Clover", false)).unwrap();
                recall(&mut nothing, &shelf).unwrap();
                let marked = marker.mark(&nothing).unwrap();
                assert!(marked.points.to_string() == "0" && !marked.cells.is_empty());
                assert!(marked.cells.iter().all(|cell| cell.verdict == Verdict::Missing));
                // Two never cancel: what rests on both is wrong as shown.
                let shown = with_slips(set, &problem.draft.measures, &problem.slips).unwrap();
                let made_in: Vec<_> = problem.slips.iter().map(|slip| set.slips[*slip].step).collect();
                for (index, step) in set.steps.iter_enumerated() {
                    let rests =
                        made_in.iter().all(|made| index == *made || set.rests_on(index, &|other| other == *made));
                    if rests
                        && step.on_sheet == OnSheet::Asked
                        && matches!(step.rule, foldmark::exercise::StepRule::Value(_))
                        && (slips == 2 || made_in.contains(&index))
                    {
                        let rows = 0..problem.draft.rows(step);
                        let differs = |row| shown.value(step.slot, row) != problem.draft.measures.value(step.slot, row);
                        assert!(rows.into_iter().any(differs), "{}: {}", exercise.name, step.name);
                    }
                }
            }
        }
    }
}

#[test]
fn a_measure_named_without_a_slip_counts_against_the_answer() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let maker = Maker::new(roll, 1, Task::FindSlips(1), foldmark::length::Ruler::EIGHTH).unwrap();
    let problem = &maker.set(1, 4).unwrap()[0];
    let right = coded_file(problem, "Sorrel", true);
    let made_in = &roll.steps[roll.slips[problem.slips[0]].step];
    let other = if made_in.name == "cut_height" { "full_height" } else { "cut_height" };
    let named = right.replace(&format!("{other} = \"\""), &format!("{other} = \"77 in\""));
    assert_ne!(right, named);
    let mut sheet = read_answers(&named).unwrap();
    recall(&mut sheet, &shelf).unwrap();
    let marked = Marker::new(maker.exercise(), &Policy::default()).mark(&sheet).unwrap();
    assert_eq!((marked.points.to_string(), marked.out_of.to_string()), ("1".to_owned(), "2".to_owned()));
    let cell = marked.cells.iter().find(|cell| maker.exercise().steps[cell.step].name == other).unwrap();
    assert_eq!(cell.verdict, Verdict::NotRight);
    assert!(
        ["this measure was right as it stood", "no slip was made here: it only follows from another measure"]
            .contains(&cell.remark.as_str())
    );
}
