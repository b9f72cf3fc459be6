//! The class of what a command is about: what it lays down, and where that lies.

use super::terminal::{Failure, notice};
use crate::class::Policy;
use crate::desk::CLASS_FILE;
use crate::exercise::Shelf;
use crate::files::{read_text, shown};
use std::fs;
use std::path::{Path, PathBuf};

/// The policy of the class that a file lays down, and says so unless it was named; without a file none.
pub(super) fn policy(file: Option<&Path>, is_named: bool, shelf: &Shelf) -> Result<Policy, Failure> {
    let Some(file) = file else { return Ok(Policy::default()) };
    let policy = read_policy(file, shelf)?;
    if !is_named {
        notice(&format!("marked by what {} lays down", shown(file)));
    }
    Ok(policy)
}

/// Reads what a class lays down.
pub(super) fn read_policy(file: &Path, shelf: &Shelf) -> Result<Policy, Failure> {
    let path = shown(file);
    let read = Policy::read(&read_text(file)?, shelf);
    read.map_err(|faults| Failure(faults.iter().map(|fault| format!("{path}: {fault}")).collect()))
}

/// Where the policy of the class lies: in `class.toml` in a folder that is marked, or of which a file is marked, or in the
/// nearest of those that it lies in; else in the current folder or above it; else nowhere.
pub(super) fn class_file(paths: &[PathBuf]) -> Result<Option<PathBuf>, Failure> {
    let mut found: Vec<PathBuf> = Vec::new();
    for path in paths {
        let folder = if path.is_dir() { path.as_path() } else { path.parent().unwrap_or(Path::new("")) };
        let there = upward(folder);
        found.extend(there.filter(|file| !found.iter().any(|known| is_same(known, file))));
    }
    match &found[..] {
        [] => Ok(upward(Path::new(""))),
        [only] => Ok(Some(only.clone())),
        [first, second, ..] => Err(format!(
            "these are of different classes, by {} and {}; mark them one after the other, or name one of the two with --class",
            shown(first),
            shown(second)
        )
        .into()),
    }
}

/// The class's file in a folder or in the nearest above it that has one.
pub(super) fn upward(folder: &Path) -> Option<PathBuf> {
    let whole = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let above = fs::canonicalize(whole).map_or(0, |path| path.ancestors().count() - 1);
    let mut folder = folder.to_owned();
    for _ in 0..=above {
        let file = folder.join(CLASS_FILE);
        if file.is_file() {
            return Some(file);
        }
        // As people write it, as far as that can be said by taking a name off.
        folder = match (folder.file_name(), folder.parent()) {
            (Some(_), Some(parent)) => parent.to_owned(),
            _ => folder.join(".."),
        };
    }
    None
}

fn is_same(one: &Path, other: &Path) -> bool {
    match (fs::canonicalize(one), fs::canonicalize(other)) {
        (Ok(one), Ok(other)) => one == other,
        _ => one == other,
    }
}
