//! Practice sheets on paper: one page a student, on A4 and on Letter, whatever the exercise and the level.

use crate::marking::PAPERS;
use crate::{WIDTHS, open_tab};
use foldmark::exercise::Shelf;
use foldmark::practice::{Maker, Sheets, Task, document};
use std::fs;

#[test]
fn a_sheet_is_one_page_of_paper() {
    let folder = tempfile::tempdir().expect("a temporary directory");
    let file = folder.path().join("sheets.html");
    let mut tab = open_tab();
    let shelf = Shelf::shipped();
    let mut complaints = Vec::new();
    for exercise in shelf.iter() {
        let kinds = [(1, Task::Draft), (2, Task::Draft), (3, Task::Draft), (4, Task::Draft), (2, Task::FindSlips(2))];
        let mut sheets = Sheets::default();
        let mut pages = String::new();
        for (metric, (level, task)) in [false, true].into_iter().flat_map(|metric| kinds.map(|kind| (metric, kind))) {
            let ruler = exercise.at_level(level).expect("it has the level").usual_ruler(metric);
            let maker = Maker::new(exercise, level, task, ruler).expect("its own ruler");
            for problem in maker.set(1, 5).expect("there is a problem") {
                pages += &sheets.page(&problem, None);
            }
        }
        fs::write(&file, document(&exercise.title, &pages)).expect("the sheets are written");
        let url = format!("file://{}", file.display());
        for width in WIDTHS {
            tab.load(&url, width, "").unwrap_or_else(|error| panic!("{}: {error}", exercise.name));
            let wide = tab.evaluate("document.documentElement.scrollWidth - window.innerWidth");
            let wide = wide.ok().and_then(|wide| wide.as_f64()).unwrap_or(f64::NAN);
            if wide != 0.0 {
                complaints.push(format!("{}: {wide} px too wide for {width} px", exercise.name));
            }
        }
        for paper in PAPERS {
            let printed = tab.sheets(paper).unwrap_or_else(|error| panic!("{}: {error}", exercise.name));
            if printed != 2 * kinds.len() {
                complaints.push(format!(
                    "{}: {printed} sheets of paper for {}, {paper:?}",
                    exercise.name,
                    2 * kinds.len()
                ));
            }
        }
    }
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}
