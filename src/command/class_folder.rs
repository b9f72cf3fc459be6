//! The folder of a class: what its `class.toml` says where a command is run in it, or below it.

use super::inputs::{read_policy, upward};
use super::terminal::{Failure, error, notice};
use crate::class::{Policy, Wishes};
use crate::desk::Roster;
use crate::exercise::Shelf;
use crate::files::{Disk, read_text, shown};
use crate::text::quoted;
use std::path::{Path, PathBuf};

/// The folder of the exercises of a class, if its `class.toml` names one. What else that file says is not read yet.
pub(super) fn exercises(class_file: &Path) -> Result<Option<PathBuf>, Failure> {
    let named = read_text(class_file).ok().and_then(|text| Policy::own_exercises(&text));
    let Some(named) = named else { return Ok(None) };
    let folder = class_file.with_file_name(&named);
    if folder.is_dir() {
        return Ok(Some(folder));
    }
    let (file, named) = (shown(class_file), quoted(&named));
    Err(format!(
        "{file}: folders.exercises is {named}, but there is no such folder beside it; make it, or take the line out"
    )
    .into())
}

/// The class in whose folder this is, or in one below it: its folder, and what it lays down.
pub(super) fn here(shelf: &Shelf) -> Result<Option<(PathBuf, Policy)>, Failure> {
    let Some(file) = upward(Path::new("")) else { return Ok(None) };
    let folder = file.parent().unwrap_or(Path::new("")).to_owned();
    Ok(Some((folder, read_policy(&file, shelf)?)))
}

/// Who is on a roster. Rows of which nobody can be read are told of.
pub(super) fn roster(file: &Path) -> Result<Roster, Failure> {
    let roster = crate::desk::roster(&Disk, file).map_err(Failure)?;
    roster.faults.iter().for_each(|fault| error(fault));
    Ok(roster)
}

/// The same with what it says of each student's sheets; columns that are not known are told of.
pub(super) fn roster_with_wishes(file: &Path) -> Result<(Roster, Vec<Wishes>), Failure> {
    let (roster, wishes) = crate::desk::roster_with_wishes(&Disk, file, &notice).map_err(Failure)?;
    roster.faults.iter().for_each(|fault| error(fault));
    Ok((roster, wishes))
}
