//! The exercises that are worked with: the shipped ones, and an instructor's folder beside them.

use super::files::{Files, read_text};
use super::told::shown;
use crate::exercise::{Shelf, read, shipped};
use crate::text::Fault;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

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
    pub fn with_folder(files: &dyn Files, folder: &Path) -> Result<Library, String> {
        let mut library = Library::shipped();
        let entries = files.entries(folder);
        let entries =
            entries.map_err(|told| format!("{}: the folder of exercises can't be read: {}", told.file, told.says))?;
        let is_exercise =
            |path: &PathBuf| path.extension().is_some_and(|ending| ending == "toml") && files.is_file(path);
        for path in &entries.into_iter().map(|(path, _)| path).filter(is_exercise).collect::<Vec<_>>() {
            match library.put(files, path) {
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

    fn put(&mut self, files: &dyn Files, path: &Path) -> Result<Option<Notice>, Vec<String>> {
        let name = name_of(path);
        let text = read_text(files, path).map_err(|told| vec![told.to_string()])?;
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
