//! What is to be marked: the files that the paths on the command line stand for, and the class's policy above them.

use super::results::is_gradebook;
use super::terminal::{Failure, notice};
use super::told::Told;
use crate::class::Policy;
use crate::exercise::Shelf;
use crate::files::{read_text, shown, why};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The name under which a class's policy lies with its answers.
pub(super) const CLASS_FILE: &str = "class.toml";

/// The name under which lies with its key what a set was made from.
pub(super) const RECORD_FILE: &str = "set.toml";

/// A file to be marked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Source {
    /// The answers of one student: an answer file, or a letter that they stand in.
    Sheet(PathBuf),
    /// A table with a row for each student.
    Table(PathBuf),
    /// A spreadsheet with such tables.
    Spreadsheet(PathBuf),
}

/// The files that paths stand for, each once, and a sentence for each that can't be marked. `is_passed_over` tells what of a
/// folder is none of the answers.
pub(super) fn sources(paths: &[PathBuf], is_passed_over: &dyn Fn(&Path) -> bool) -> (Vec<Source>, Vec<Told>) {
    let (mut sources, mut faults) = (Vec::new(), Vec::new());
    let mut seen = BTreeSet::new();
    for path in paths {
        if is_class_file(path) {
            faults.push(told(path, "this is no answer file, but what a class lays down; name it with --class"));
        } else if path.is_dir() {
            let before = (seen.len(), faults.len());
            let mut files = Vec::new();
            folder(path, is_passed_over, &mut files, &mut faults);
            for file in files.into_iter().filter(|file| seen.insert(file.clone())) {
                match source(&file) {
                    Ok(source) => sources.push(source),
                    Err(unread) => faults.push(told(&file, unread)),
                }
            }
            if before == (seen.len(), faults.len()) {
                let says = "there are no answer files (.toml) and no tables (.csv) in this folder";
                faults.push(told(path, says));
            }
        } else if seen.insert(path.clone()) {
            // What is named is meant to be read, whatever it is called.
            match source(path) {
                Err(unread) if is_known(path) => faults.push(told(path, unread)),
                source => sources.push(source.unwrap_or_else(|_| Source::Sheet(path.clone()))),
            }
        }
    }
    (sources, faults)
}

fn told(path: &Path, says: impl Into<String>) -> Told {
    Told { file: shown(path), says: says.into() }
}

/// What is said of files of a kind that are not read.
const UNREAD: [(&[&str], &str); 6] = [
    (
        &["doc", "docx", "odt", "rtf", "pages"],
        "this is a document of a word processor, and is not read; save it as plain text (.txt)",
    ),
    (&["pdf", "html", "htm"], "pages are not read; copy the answers out of it into a text (.txt) or a table"),
    (
        &["jpg", "jpeg", "png", "heic", "webp", "gif", "tif", "tiff", "bmp", "svg"],
        "pictures are not read; type the answers in it into the set's table",
    ),
    (&["xls", "numbers", "xlsb"], "spreadsheets of this kind are not read; save it as .xlsx, .ods or .csv"),
    (&["zip", "rar", "7z", "gz", "tar"], "archives are not read; unpack it here"),
    (&["eml", "msg", "mbox"], "mail of this kind is not read; save the message as plain text (.txt)"),
];

fn is_known(path: &Path) -> bool {
    UNREAD.iter().any(|(endings, _)| has_ending(path, endings))
}

/// What a file is, or why it is not read.
fn source(path: &Path) -> Result<Source, String> {
    let own = path.to_owned();
    if has_ending(path, &["csv", "tsv", "tab"]) {
        return Ok(Source::Table(own));
    }
    if has_ending(path, &["xlsx", "ods"]) {
        return Ok(Source::Spreadsheet(own));
    }
    if has_ending(path, &["toml", "txt", "text"]) {
        return Ok(Source::Sheet(own));
    }
    let known = UNREAD.iter().find(|(endings, _)| has_ending(path, endings));
    Err(known.map_or_else(
        || "files of this kind are not read; answers come as .toml, .txt, .csv, .tsv, .xlsx or .ods".to_owned(),
        |(_, says)| (*says).to_owned(),
    ))
}

fn has_ending(path: &Path, endings: &[&str]) -> bool {
    path.extension().is_some_and(|ending| endings.iter().any(|known| ending.eq_ignore_ascii_case(known)))
}

fn is_class_file(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name.eq_ignore_ascii_case(CLASS_FILE))
}

/// The files of a folder and of those below it, in the order of their names. What is hidden, what a program keeps beside an
/// open file, and gradebooks are none of them; nor are folders of results or of another class.
fn folder(path: &Path, is_passed_over: &dyn Fn(&Path) -> bool, files: &mut Vec<PathBuf>, faults: &mut Vec<Told>) {
    let entries = match fs::read_dir(path) {
        Ok(entries) => entries,
        Err(error) => {
            faults.push(told(path, format!("the folder can't be read: {}", why(&error))));
            return;
        }
    };
    // Beside a key lies what the set was made from, and the pages of the key.
    let is_key = path.join(RECORD_FILE).is_file();
    let is_ours = |path: &Path| {
        let is_answers = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with("key-"));
        is_key && !(is_answers && has_ending(path, &["toml"]))
    };
    let mut found: Vec<(PathBuf, bool)> = entries
        .flatten()
        // A link to a folder may lead in a circle, and is told of as no file.
        .map(|entry| (entry.path(), entry.file_type().is_ok_and(|kind| kind.is_dir())))
        .filter(|(path, _)| !is_hidden(path) && !is_class_file(path) && !is_passed_over(path) && !is_ours(path))
        .collect();
    found.sort();
    for (path, is_folder) in found {
        if !is_folder {
            if !(has_ending(&path, &["csv"]) && is_gradebook(&path)) {
                files.push(path);
            }
        } else if !is_gradebook(&path.join("gradebook.csv")) && !path.join(CLASS_FILE).is_file() {
            folder(&path, is_passed_over, files, faults);
        }
    }
}

fn is_hidden(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    name.starts_with(['.', '~']) || ["Thumbs.db", "desktop.ini"].iter().any(|known| name.eq_ignore_ascii_case(known))
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
