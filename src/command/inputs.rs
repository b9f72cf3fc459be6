//! What is to be marked: the files that the paths on the command line stand for, and the class's policy beside them.

use super::results::is_gradebook;
use super::terminal::{Failure, notice};
use crate::check::has_answers;
use crate::class::Policy;
use crate::exercise::Shelf;
use crate::files::{read_text, shown};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The name under which a class's policy lies with its answers.
pub(super) const CLASS_FILE: &str = "class.toml";

/// A file to be marked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Source {
    /// An answer file of one student.
    Sheet(PathBuf),
    /// A table with a row for each student.
    Table(PathBuf),
}

/// The files that paths stand for, each once, and a sentence for what can't be marked.
pub(super) fn sources(paths: &[PathBuf]) -> (Vec<Source>, Vec<String>) {
    let (mut sources, mut faults) = (Vec::new(), Vec::new());
    let mut seen = BTreeSet::new();
    for path in paths {
        let files = if path.is_dir() {
            folder(path).unwrap_or_else(|sentence| {
                faults.push(sentence);
                Vec::new()
            })
        } else if is_class_file(path) {
            let path = shown(path);
            faults.push(format!("{path}: this is no answer file, but what a class lays down; name it with --class"));
            Vec::new()
        } else {
            vec![path.clone()]
        };
        sources.extend(files.into_iter().filter(|file| seen.insert(file.clone())).map(source));
    }
    (sources, faults)
}

fn source(path: PathBuf) -> Source {
    if has_ending(&path, &["csv", "tsv"]) { Source::Table(path) } else { Source::Sheet(path) }
}

fn has_ending(path: &Path, endings: &[&str]) -> bool {
    path.extension().is_some_and(|ending| endings.iter().any(|known| ending.eq_ignore_ascii_case(known)))
}

/// Whether a file is a letter that may hold answers.
pub(super) fn is_letter(path: &Path) -> bool {
    has_ending(path, &["txt"])
}

fn is_class_file(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name.eq_ignore_ascii_case(CLASS_FILE))
}

/// The answer files and tables of a folder, in the order of their names.
fn folder(path: &Path) -> Result<Vec<PathBuf>, String> {
    let entries = fs::read_dir(path).map_err(|error| format!("{}: the folder can't be read: {error}", shown(path)))?;
    // Of letters only those that say that they hold answers: a folder may hold other texts.
    let is_letter = |path: &PathBuf| is_letter(path) && read_text(path).is_ok_and(|text| has_answers(&text));
    let is_ours = |path: &PathBuf| has_ending(path, &["toml", "csv", "tsv"]) && !is_class_file(path) || is_letter(path);
    let mut files: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).filter(is_ours).collect();
    files.retain(|file| !has_ending(file, &["csv"]) || !is_gradebook(file));
    files.sort();
    if files.is_empty() {
        return Err(format!("{}: there are no answer files (.toml) and no tables (.csv) in this folder", shown(path)));
    }
    Ok(files)
}

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

/// Where the policy of the class lies: in `class.toml` in a folder that is marked, or of which a file is marked, or in that
/// in which this lies; else in that in the current folder; else nowhere.
pub(super) fn class_file(paths: &[PathBuf]) -> Result<Option<PathBuf>, Failure> {
    let mut found: Vec<PathBuf> = Vec::new();
    for path in paths {
        let candidates = if path.is_dir() {
            [path.join(CLASS_FILE), beside(path)]
        } else {
            let folder = path.parent().unwrap_or(Path::new(""));
            [folder.join(CLASS_FILE), beside(folder)]
        };
        let there = candidates.into_iter().find(|file| file.is_file());
        found.extend(there.filter(|file| !found.iter().any(|known| is_same(known, file))));
    }
    match &found[..] {
        [] => Ok(Some(PathBuf::from(CLASS_FILE)).filter(|file| file.is_file())),
        [only] => Ok(Some(only.clone())),
        [first, second, ..] => Err(format!(
            "these are of different classes, by {} and {}; mark them one after the other, or name one of the two with --class",
            shown(first),
            shown(second)
        )
        .into()),
    }
}

/// The policy in the folder that a path lies in.
fn beside(path: &Path) -> PathBuf {
    match (path.file_name(), path.parent()) {
        (Some(_), Some(parent)) => parent.join(CLASS_FILE),
        // Such as "." or "..".
        _ => path.join("..").join(CLASS_FILE),
    }
}

fn is_same(one: &Path, other: &Path) -> bool {
    match (fs::canonicalize(one), fs::canonicalize(other)) {
        (Ok(one), Ok(other)) => one == other,
        _ => one == other,
    }
}
