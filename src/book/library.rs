//! The exercises a book or a command works with: the shipped ones, and an instructor's folder beside them.

use crate::exercise::{Shelf, read, shipped};
use crate::files::{read_text, shown, why};
use crate::text::Fault;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Something the user should know that is no fault: one sentence.
pub type Notice = String;

/// Exercises from the program and from a folder.
#[derive(Debug, Clone)]
pub struct Library {
    /// The exercises.
    pub shelf: Shelf,
    /// What there is to say about them.
    pub notices: Vec<Notice>,
    /// What is wrong with those of the folder that are not on the shelf.
    pub faults: Vec<String>,
    /// The texts of the folder's exercises, by name.
    own: BTreeMap<String, String>,
}

impl Library {
    /// The shipped exercises.
    pub fn shipped() -> Library {
        Library { shelf: Shelf::shipped(), notices: Vec::new(), faults: Vec::new(), own: BTreeMap::new() }
    }

    /// The shipped exercises and every `.toml` file of a folder; a file with the name of a shipped
    /// exercise replaces it, with a notice unless it says the same. One with faults stops none of the others.
    ///
    /// # Errors
    /// That the folder can't be read.
    pub fn with_folder(folder: &Path) -> Result<Library, String> {
        let mut library = Library::shipped();
        let unread = |error| format!("{}: the folder of exercises can't be read: {}", shown(folder), why(&error));
        let mut files = Vec::new();
        for entry in fs::read_dir(folder).map_err(unread)? {
            let path = entry.map_err(unread)?.path();
            if path.extension().is_some_and(|ending| ending == "toml") && path.is_file() {
                files.push(path);
            }
        }
        // The order of a folder differs from machine to machine.
        files.sort();
        for path in &files {
            match library.put(path) {
                Ok(notice) => library.notices.extend(notice),
                Err(faults) => {
                    library.faults.extend(faults);
                    library.shelf.put_faulty(&name_of(path));
                }
            }
        }
        Ok(library)
    }

    /// The text of an exercise.
    pub fn text(&self, name: &str) -> Option<&str> {
        let shipped = || shipped().find(|(known, _)| *known == name).map(|(_, text)| text);
        self.own.get(name).map(String::as_str).or_else(shipped)
    }

    fn put(&mut self, path: &Path) -> Result<Option<Notice>, Vec<String>> {
        let name = name_of(path);
        let text = read_text(path).map_err(|fault| vec![fault.to_string()])?;
        if shipped().any(|known| known == (name.as_str(), text.as_str())) {
            return Ok(None);
        }
        let exercise = read(&name, &text).map_err(|faults| located(path, &faults))?;
        let replaced = self.shelf.put(exercise);
        self.own.insert(name.clone(), text);
        Ok(replaced.then(|| format!("{} replaces the shipped exercise {name}", shown(path))))
    }
}

/// An exercise is called as its file.
fn name_of(path: &Path) -> String {
    path.file_stem().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

/// Faults of a file, one line each, as compilers write them: path, line, column.
fn located(path: &Path, faults: &[Fault]) -> Vec<String> {
    faults.iter().map(|fault| format!("{}: {fault}", shown(path))).collect()
}
