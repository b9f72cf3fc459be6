//! The sets that a class was given, as they are kept with their keys: whose code is whose, and the exercises that each set was
//! made from, so that its sheets are marked by those, whatever became of the exercise since.

use super::files::{Files, read_text};
use super::library::Library;
use super::names::{MADE_FROM, RECORD_FILE};
use super::told::{Say, shown};
use crate::check::AnswerSheet;
use crate::class::{SetRecord, SetSheet};
use crate::exercise::{Shelf, read};
use crate::practice::Code;
use std::path::{Path, PathBuf};

/// A set as it is kept.
pub(crate) struct KeptSet {
    /// The name of its folder, such as `week-1`.
    pub name: String,
    pub record: SetRecord,
    /// Which shelf its sheets are marked with.
    shelf: usize,
}

impl KeptSet {
    /// Which shelf its sheets are marked with.
    pub fn shelf(&self) -> usize {
        self.shelf
    }
}

/// The sets of a class.
pub(crate) struct KeptSets {
    pub sets: Vec<KeptSet>,
    /// The exercises as they are now, and for each set that was made from others those.
    pub shelves: Vec<Shelf>,
}

impl KeptSets {
    /// Those below the folder of keys; without one none. A set that can't be read is told of, and stops nothing.
    pub fn open(files: &dyn Files, keys: Option<&Path>, library: &Library, say: Say<'_>) -> KeptSets {
        let mut kept = KeptSets { sets: Vec::new(), shelves: vec![library.shelf.clone()] };
        let entries = keys.and_then(|keys| files.entries(keys).ok()).unwrap_or_default();
        let is_set = |folder: &PathBuf| files.is_file(&folder.join(RECORD_FILE));
        for folder in entries.into_iter().map(|(folder, _)| folder).filter(is_set) {
            match kept_set(files, &folder, library) {
                Ok((record, shelf)) => {
                    let name = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
                    let at = shelf.map_or(0, |shelf| {
                        kept.shelves.push(shelf);
                        kept.shelves.len() - 1
                    });
                    kept.sets.push(KeptSet { name, record, shelf: at });
                }
                Err(says) => say(&format!("{says}; the sheets of this set are marked as if it had not been kept")),
            }
        }
        kept
    }

    /// The set that a code is of, and the sheet in it.
    pub fn of_code(&self, code: &str) -> Option<(&KeptSet, &SetSheet)> {
        let code = Code::read(code).ok()?.to_string();
        self.sets.iter().find_map(|set| Some((set, set.record.sheets.iter().find(|sheet| sheet.code == code)?)))
    }

    /// Which shelf a sheet is marked with: that of its set; else the first that has the version it is for.
    pub fn shelf_of(&self, sheet: &AnswerSheet) -> usize {
        if let Some((set, _)) = self.of_code(&sheet.code) {
            return set.shelf;
        }
        let code = Code::read(&sheet.code).ok();
        let fits = |shelf: &&Shelf| {
            let Ok(exercise) = shelf.get(&sheet.exercise) else { return false };
            match &code {
                Some(code) => code.is_for(&exercise.name, exercise.version),
                None => sheet.version.is_none_or(|version| version == exercise.version),
            }
        };
        self.shelves.iter().position(|shelf| fits(&shelf)).unwrap_or(0)
    }
}

/// What a set was made from; its own shelf, if an exercise on it is another now.
fn kept_set(files: &dyn Files, folder: &Path, library: &Library) -> Result<(SetRecord, Option<Shelf>), String> {
    let file = folder.join(RECORD_FILE);
    let text = read_text(files, &file).map_err(|told| told.to_string())?;
    let record = SetRecord::read(&text).map_err(|faults| format!("{}: {}", shown(&file), faults[0]))?;
    let mut own: Option<Shelf> = None;
    let entries = files.entries(&folder.join(MADE_FROM)).unwrap_or_default().into_iter().map(|(path, _)| path);
    for file in entries.filter(|file| file.extension().is_some_and(|ending| ending == "toml")) {
        let name = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let text = read_text(files, &file).map_err(|told| told.to_string())?;
        if library.text(&name) == Some(text.as_str()) {
            continue;
        }
        let exercise = read(&name, &text).map_err(|faults| format!("{}: {}", shown(&file), faults[0]))?;
        let shelf = own.get_or_insert_with(|| library.shelf.clone());
        shelf.put(exercise);
    }
    Ok((record, own))
}
