//! Where the result of a marking goes besides the terminal: a gradebook, or a folder of pages. Neither is there before it
//! is whole, and an earlier one stays until then.

use super::terminal::{Failure, Progress};
use crate::check::{ClassTally, class_page, gradebook_head};
use crate::desk::{JSON_HEAD, Keeper, is_gradebook, json_end, json_gap};
use crate::files::{Disk, FileFault, Growing, Staged, StagedFile, settle_for, shown, why};
use std::fs;
use std::path::Path;

/// What stands in a folder of results.
const ENTRIES: [&str; 4] = ["index.html", "students", "gradebook.csv", "result.json"];

/// Begins a gradebook. With `force` an earlier one is replaced, and nothing else.
pub(super) fn gradebook(place: &Path, force: bool) -> Result<StagedFile, Failure> {
    if place.is_file() && !is_gradebook(&Disk, place) {
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
            if !is_gradebook(&Disk, &place.join("gradebook.csv")) {
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
    fn add(&mut self, page: &str, line: &str, data: &str) -> Result<(), FileFault> {
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

/// Keeps what comes of each sheet where the command line wants it.
#[derive(Default)]
pub(super) struct Kept {
    pub gradebook: Option<StagedFile>,
    pub folder: Option<Folder>,
    pub progress: Option<Progress>,
    /// Whether something was told already, and not kept.
    pub has_told: bool,
}

impl Keeper for Kept {
    fn wants_pages(&self) -> bool {
        self.folder.is_some()
    }

    fn wants_lines(&self) -> bool {
        self.gradebook.is_some()
    }

    fn keep(&mut self, page: &str, line: &str, data: &str) -> Result<(), String> {
        if let Some(gradebook) = &mut self.gradebook {
            gradebook.add(line).map_err(|fault| fault.to_string())?;
        }
        if let Some(folder) = &mut self.folder {
            folder.add(page, line, data).map_err(|fault| fault.to_string())?;
        }
        Ok(())
    }

    fn begin(&mut self, work: u64) {
        self.progress = Some(Progress::new(work as usize, "marking"));
    }

    fn advance(&mut self, work: u64) {
        self.progress.iter().for_each(|progress| progress.advance(work));
    }

    fn end(&mut self) {
        self.progress = None;
    }
}

impl Kept {
    /// Puts what was written into its place.
    pub(super) fn put(self, class: &ClassTally, title: &str, faults: &[String]) -> Result<(), Failure> {
        if let Some(gradebook) = self.gradebook {
            gradebook.put()?;
        }
        if let Some(folder) = self.folder {
            folder.put(class, title, faults)?;
        }
        Ok(())
    }
}
