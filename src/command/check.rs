//! `foldmark check`: answer files marked, one after another; one that can't be read stops none.

use super::args::CheckArgs;
use super::shelf::open;
use super::terminal::{Done, Progress, Status, error, print, print_json, shown};
use crate::check::{
    ClassTally, MarkedSheet, Results, SheetReport, Show, mark, read_answers, report_text, sheet_report,
};
use crate::exercise::Shelf;
use crate::lesson::read_text;
use std::fs;
use std::path::{Path, PathBuf};

pub(super) fn run(args: &CheckArgs) -> Done {
    let shelf = open(&args.shelf)?;
    let mut faults = Vec::new();
    let files: Vec<PathBuf> = args.paths.iter().flat_map(|path| answer_files(path, &mut faults)).collect();
    let mut class = Marking::new(args.show.into(), args.json);
    let progress = Progress::new(files.len(), "marking");
    for file in &files {
        match read_text(file) {
            Ok(text) => class.mark(&shelf, &shown(file), &text),
            Err(sentence) => class.faults.push(sentence),
        }
        progress.step();
    }
    drop(progress);
    class.faults.splice(0..0, faults);
    class.finish()
}

/// The answer files a path stands for: itself, or the `.toml` files of a folder in the order of their names.
fn answer_files(path: &Path, faults: &mut Vec<String>) -> Vec<PathBuf> {
    if !path.is_dir() {
        return vec![path.to_owned()];
    }
    let entries = match fs::read_dir(path) {
        Ok(entries) => entries,
        Err(error) => {
            faults.push(format!("{}: the folder can't be read: {error}", shown(path)));
            return Vec::new();
        }
    };
    let is_toml = |path: &PathBuf| path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"));
    let mut files: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).filter(is_toml).collect();
    files.sort();
    if files.is_empty() {
        faults.push(format!("{}: there are no answer files (.toml) in this folder", shown(path)));
    }
    files
}

/// The marking of a class as it goes on.
pub(super) struct Marking {
    show: Show,
    json: bool,
    text: String,
    data: Vec<SheetReport>,
    tally: ClassTally,
    /// A sentence for everything that could not be read.
    pub faults: Vec<String>,
    all_right: bool,
}

impl Marking {
    pub(super) fn new(show: Show, json: bool) -> Marking {
        Marking {
            show,
            json,
            text: String::new(),
            data: Vec::new(),
            tally: ClassTally::default(),
            faults: Vec::new(),
            all_right: true,
        }
    }

    /// Marks one file. `name` is how it is called in faults.
    pub(super) fn mark(&mut self, shelf: &Shelf, name: &str, text: &str) {
        let marked = read_answers(text).and_then(|sheet| {
            let exercise = shelf.get(&sheet.exercise);
            let exercise = exercise.map_err(|sentence| {
                vec![crate::exercise::Fault { place: None, key: "exercise".to_owned(), message: sentence }]
            })?;
            mark(exercise, &sheet)
        });
        match marked {
            Ok(sheet) => self.take(name, &sheet),
            Err(faults) => self.faults.extend(faults.iter().map(|fault| format!("{name}: {fault}"))),
        }
    }

    fn take(&mut self, name: &str, sheet: &MarkedSheet) {
        self.faults.extend(sheet.faults.iter().map(|fault| format!("{name}: {fault}")));
        for cell in sheet.cells.iter().filter(|cell| cell.verdict == crate::check::Verdict::Unreadable) {
            let step = &sheet.truth.exercise.steps[cell.step].name;
            let place = cell.place.map_or_else(String::new, |place| format!("{place}: "));
            self.faults.push(format!("{name}: {place}answer.{step}: {}", cell.remark));
        }
        self.all_right &= sheet.all_right();
        self.tally.count(sheet);
        if self.json {
            self.data.push(sheet_report(sheet, self.show));
        } else {
            self.text += &report_text(sheet, self.show);
            self.text.push('\n');
        }
    }

    /// The report as text.
    pub(super) fn text(&self) -> String {
        let tally = self.tally.text();
        format!("{}{tally}", self.text)
    }

    /// Prints the result, then what could not be read.
    fn finish(self) -> Done {
        if self.json {
            print_json(&Results { sheets: self.data, faults: self.faults.clone() })?;
        } else {
            print(&self.text())?;
        }
        for sentence in &self.faults {
            error(sentence);
        }
        Ok(if !self.faults.is_empty() {
            Status::NotDone
        } else if self.all_right {
            Status::Well
        } else {
            Status::NotRight
        })
    }
}
