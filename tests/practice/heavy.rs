//! Exercises within all limits that take long to be worked: what is made of them is bounded, by counting, and `proof` says so.

use super::shared::heavy;
use foldmark::check::{Marker, Verdict, read_answers};
use foldmark::class::Policy;
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::{Exercise, read};
use foldmark::formula::Values;
use foldmark::length::Ruler;
use foldmark::practice::{set, try_out};
use std::fmt::Write;

fn exercise(text: &str) -> Exercise {
    read("heavy", text).unwrap_or_else(|faults| panic!("{}", faults[0]))
}

/// A sheet with the example's givens, and twice as much in every answer as belongs there.
fn all_wrong(exercise: &Exercise) -> String {
    let raw = Raw::example(exercise);
    let draft = Draft::new(exercise, Givens::read(exercise, &raw, None, Ruler::EIGHTH).unwrap()).unwrap();
    let mut text = "exercise = \"heavy\"\nstudent = \"Tansy\"\nunit = \"in\"\n[given]\n".to_owned();
    for entry in &raw.singles {
        let _ = writeln!(text, "{} = \"{}\"", entry.key, entry.text);
    }
    for (table, rows) in &raw.tables {
        for row in rows {
            let _ = writeln!(text, "[[given.{table}]]\nname = \"{}\"", row.name);
            row.cells.iter().for_each(|cell| {
                let _ = writeln!(text, "{} = \"{}\"", cell.key, cell.text);
            });
        }
    }
    text += "[answer]\n";
    for step in &exercise.steps {
        let cells =
            (0..draft.measures.count(exercise, step.slot)).filter_map(|row| draft.measures.value(step.slot, row));
        let cells: Vec<String> = cells.map(|value| format!("\"{:.1}\"", value / 12_700_000.0)).collect();
        let _ = match step.kind.list {
            Some(_) => writeln!(text, "{} = [{}]", step.name, cells.join(", ")),
            None => writeln!(text, "{} = {}", step.name, cells[0]),
        };
    }
    text
}

#[test]
#[cfg_attr(debug_assertions, ignore = "a debug build takes minutes")]
fn every_answer_is_marked_and_not_all_are_explained() {
    for (name, text) in heavy::all() {
        let exercise = exercise(&text);
        let sheet = read_answers(&all_wrong(&exercise)).unwrap();
        let marked = Marker::new(&exercise, &Policy::default()).mark(&sheet).unwrap();
        let again = Marker::new(&exercise, &Policy::default()).mark(&sheet).unwrap();
        let explained = |marked: &foldmark::check::MarkedSheet| {
            marked.cells.iter().filter(|cell| !cell.explained.is_empty()).count()
        };
        assert_eq!(explained(&marked), explained(&again), "{name}");
        let is_judged = |verdict| !matches!(verdict, Verdict::Missing | Verdict::Unreadable);
        assert!(marked.cells.iter().all(|cell| is_judged(cell.verdict)), "{name}");
        println!("{name}: {} of {} answers explained", explained(&marked), marked.cells.len());
        // A slip at the end of a chain is found on every line; of sixty thousand wrong answers only some are looked into.
        assert!(name != "chain" || explained(&marked) == marked.cells.len());
        assert!(name != "lists" || explained(&marked) < 30_000);
    }
}

#[test]
#[cfg_attr(debug_assertions, ignore = "a debug build takes minutes")]
fn practice_gives_up_and_sets_what_there_is() {
    for (name, text) in heavy::all() {
        assert_eq!(set(&exercise(&text), Ruler::EIGHTH, 12, 7).unwrap().len(), 12, "{name}");
        let told = set(&exercise(&heavy::barren(&text)), Ruler::EIGHTH, 12, 7).unwrap_err().to_string();
        println!("{name}: {told}");
        assert!(told.starts_with("12 different sheets were asked for, but only 0 were found in "), "{name}: {told}");
    }
}

#[test]
#[cfg_attr(debug_assertions, ignore = "a debug build takes minutes")]
fn proof_says_that_there_is_much_to_work_out() {
    let notes = try_out(&exercise(&heavy::deep())).notes;
    assert!(notes.iter().any(|note| note.contains("parts to work out") && note.contains("times as many as is usual")));
    let shelf = foldmark::exercise::Shelf::shipped();
    assert!(
        shelf.iter().all(|exercise| !try_out(exercise).notes.iter().any(|note| note.contains("parts to work out")))
    );
}
