//! Where the result of a marking goes besides the terminal: a gradebook, or a folder of pages. Neither is there before it
//! is whole, and an earlier one stays until then.

use super::terminal::Failure;
use crate::check::{COURSE_BEGINS, ClassTally, GRADEBOOK_BEGINS, class_page, gradebook_head};
use crate::files::{Growing, Staged, StagedFile, settle_for, shown, why};
use std::fs::{self, File};
use std::io::Read;
use std::path::Path;

/// What stands in a folder of results.
const ENTRIES: [&str; 4] = ["index.html", "students", "gradebook.csv", "result.json"];

/// Whether a file is a gradebook that was written here.
pub(super) fn is_gradebook(path: &Path) -> bool {
    // Opening something else than a file might take for ever.
    let is_file = fs::metadata(path).is_ok_and(|about| about.is_file());
    let mut begins = Vec::new();
    let read = |file: File| file.take(100).read_to_end(&mut begins);
    let of_sheets = GRADEBOOK_BEGINS.replacen("student", "set,student", 1);
    is_file
        && File::open(path).and_then(read).is_ok()
        && [GRADEBOOK_BEGINS, COURSE_BEGINS, &of_sheets].iter().any(|known| begins.starts_with(known.as_bytes()))
}

/// Begins a gradebook. With `force` an earlier one is replaced, and nothing else.
pub(super) fn gradebook(place: &Path, force: bool) -> Result<StagedFile, Failure> {
    if place.is_file() && !is_gradebook(place) {
        return Err(format!("{}: this is no gradebook, and is not replaced; choose another place", shown(place)).into());
    }
    let mut file = StagedFile::new(place, force)?;
    file.add(&gradebook_head())?;
    Ok(file)
}

/// A folder of results while it is written.
pub(super) struct Folder {
    staged: Staged,
    force: bool,
    gradebook: Growing,
    json: Growing,
    pages: usize,
}

impl Folder {
    /// Begins a folder. With `force` an earlier one is replaced, and nothing else.
    pub(super) fn new(place: &Path, force: bool) -> Result<Folder, Failure> {
        settle_for(place);
        let there = ENTRIES.iter().map(|entry| place.join(entry)).find(|path| path.symlink_metadata().is_ok());
        if let Some(first) = there {
            let first = shown(&first);
            if !force {
                return Err(format!(
                    "{first}: this exists already; choose another place, or add --force to replace it"
                )
                .into());
            }
            if !is_gradebook(&place.join("gradebook.csv")) {
                return Err(
                    format!("{first}: this is not of an earlier marking; move it, or choose another place").into()
                );
            }
            refuse_foreign_files(&place.join("students"))?;
        }
        let staged = Staged::new(place)?;
        let (mut gradebook, mut json) = (staged.begin("gradebook.csv")?, staged.begin("result.json")?);
        gradebook.add(&gradebook_head())?;
        json.add(JSON_HEAD)?;
        fs::create_dir_all(staged.path("students")).map_err(|error| format!("{}: {}", shown(place), why(&error)))?;
        Ok(Folder { staged, force, gradebook, json, pages: 0 })
    }

    /// Adds a student's sheet: its page, its line of the gradebook, and the sheet as JSON.
    pub(super) fn add(&mut self, page: &str, line: &str, data: &str) -> Result<(), Failure> {
        self.staged.write(&page_of(self.pages), page)?;
        self.gradebook.add(line)?;
        self.json.add(json_gap(self.pages))?;
        self.json.add(data)?;
        self.pages += 1;
        Ok(())
    }

    /// Adds the page of the class, and puts everything in its place.
    pub(super) fn put(mut self, class: &ClassTally, title: &str, faults: &[String]) -> Result<(), Failure> {
        self.staged.write("index.html", &class_page(class, title, &|line| Some(page_of(line))))?;
        self.json.add(&json_end(faults)?)?;
        self.json.end()?;
        self.gradebook.end()?;
        Ok(self.staged.put(&ENTRIES, self.force)?)
    }
}

/// A student's page, by the place of the sheet in the class: never by the student's name.
fn page_of(line: usize) -> String {
    format!("students/{:03}.html", line + 1)
}

/// Replacing an earlier result takes its pages away; what someone else put among them would be lost.
fn refuse_foreign_files(students: &Path) -> Result<(), Failure> {
    for entry in fs::read_dir(students).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let number = name.to_str().and_then(|name| name.strip_suffix(".html")).unwrap_or_default();
        if number.is_empty() || !number.bytes().all(|byte| byte.is_ascii_digit()) {
            let path = shown(&entry.path());
            return Err(format!("{path}: this is not of an earlier marking; move it, or choose another place").into());
        }
    }
    Ok(())
}

/// The data of [`Results`](crate::check::Results), written sheet by sheet: how it begins.
pub(super) const JSON_HEAD: &str = "{\"sheets\":[";

/// What stands before a sheet.
pub(super) fn json_gap(before: usize) -> &'static str {
    if before == 0 { "\n" } else { ",\n" }
}

/// How it ends.
pub(super) fn json_end(faults: &[String]) -> Result<String, Failure> {
    Ok(format!("\n],\n\"faults\":{}}}\n", serde_json::to_string(faults)?))
}
