//! The code on a sheet stands for everything that is given there.

use foldmark::check::{Marker, read_answers};
use foldmark::class::Policy;
use foldmark::exercise::Shelf;
use foldmark::length::Ruler;
use foldmark::practice::{Maker, Problem, Task, coded_file, recall};

fn problem(shelf: &Shelf) -> Problem<'_> {
    Maker::new(shelf.get("flap-roll").unwrap(), 2, Task::Draft, Ruler::EIGHTH).unwrap().set(1, 3).unwrap().remove(0)
}

fn fault(shelf: &Shelf, file: &str) -> String {
    let mut sheet = read_answers(file).unwrap();
    recall(&mut sheet, shelf).unwrap_err()[0].to_string()
}

#[test]
fn the_givens_of_a_file_with_a_code_do_not_count() {
    let shelf = Shelf::shipped();
    let problem = problem(&shelf);
    let file = coded_file(&problem, "Tansy", true).replace("[answer]", "[given]\nallowance = \"2 in\"\n\n[answer]");
    let mut sheet = read_answers(&file).unwrap();
    recall(&mut sheet, &shelf).unwrap();
    let marked = Marker::new(problem.draft.exercise, &Policy::default()).mark(&sheet).unwrap();
    assert!(marked.all_right());
    assert_eq!(
        marked.remarks,
        ["the file has givens of its own, which are not looked at: the sheet's code says what is given"]
    );
    assert_eq!(marked.truth.text("allowance", 0), problem.draft.text("allowance", 0));
}

#[test]
fn a_class_s_givens_do_not_change_a_sheet_with_a_code() {
    let shelf = Shelf::shipped();
    let problem = problem(&shelf);
    let policy = Policy::read("[given]\nallowance = \"1 in\"\n", &shelf).unwrap();
    let mut sheet = read_answers(&coded_file(&problem, "Tansy", true)).unwrap();
    recall(&mut sheet, &shelf).unwrap();
    assert!(Marker::new(problem.draft.exercise, &policy).mark(&sheet).unwrap().all_right());
}

#[test]
fn what_is_wrong_with_a_code_is_told() {
    let shelf = Shelf::shipped();
    let problem = problem(&shelf);
    let code = problem.code.to_string();
    let file = coded_file(&problem, "Tansy", true);
    let last = if code.ends_with('0') { "1" } else { "0" };
    let damaged = file.replace(&code, &format!("{}{last}", &code[..code.len() - 1]));
    assert_eq!(
        fault(&shelf, &damaged),
        "code: this code is damaged: a letter or digit of it is wrong; copy it from the head of the sheet"
    );
    assert_eq!(
        fault(&shelf, &file.replace(&code, "12 1/2 in")),
        "code: \"/\" stands in no code; copy it from the head of the sheet"
    );
    assert_eq!(
        fault(&shelf, &file.replace("flap-roll", "zip-pouch")),
        "code: this code is of a sheet for flap-roll, and the file says zip-pouch"
    );
    let mut newer = shelf.clone();
    let mut exercise = shelf.get("flap-roll").unwrap().clone();
    exercise.version += 1;
    newer.put(exercise);
    assert_eq!(
        fault(&newer, &file),
        "code: this code is of another exercise, or of another version of flap-roll, which has version 3 now"
    );
}
