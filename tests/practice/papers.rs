//! Sheets on paper: their bytes never change for the same exercise, seed and options.

use super::shared::is_update;
use foldmark::exercise::Shelf;
use foldmark::length::Ruler;
use foldmark::practice::{Maker, Sheets, Task, coded_file, document};
use std::path::Path;

/// Twelve sheets with their answer files, as they were when this version of the exercise was first set. Written by
/// `FOLDMARK_UPDATE=1 cargo test --test practice papers`, for a change that is meant: a new version of the exercise, or of the page.
#[test]
fn twelve_sheets_are_what_they_always_were() {
    let shelf = Shelf::shipped();
    let maker = Maker::new(shelf.get("sleeve").unwrap(), 2, Task::Draft, Ruler::EIGHTH).unwrap();
    let mut sheets = Sheets::default();
    let problems = maker.set(12, 7).unwrap();
    let pages: String = problems.iter().map(|problem| sheets.page(problem, None)).collect();
    let files: String = problems.iter().map(|problem| coded_file(problem, "", true)).collect();
    let made = document("Twelve sheets", &pages) + &files;
    let place = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/practice/twelve-sheets.txt");
    if is_update() {
        std::fs::write(&place, &made).unwrap();
    }
    let known = std::fs::read_to_string(&place).unwrap();
    assert!(known == made, "the sheets differ from tests/practice/twelve-sheets.txt");
}
