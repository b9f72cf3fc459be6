//! What of a folder is to be marked: what every file is, or why it is not read.

use super::files::Files;
use super::names::{CLASS_FILE, RECORD_FILE};
use super::result::is_gradebook;
use super::told::Told;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// A file to be marked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Source {
    /// The answers of one student: an answer file, or a letter that they stand in.
    Sheet(PathBuf),
    /// A table with a row for each student.
    Table(PathBuf),
    /// A spreadsheet with such tables.
    Spreadsheet(PathBuf),
}

/// The files that paths stand for, each once, and a sentence for each that can't be marked. `is_passed_over` tells what of a
/// folder is none of the answers.
pub(crate) fn sources(
    on: &dyn Files,
    paths: &[PathBuf],
    is_passed_over: &dyn Fn(&Path) -> bool,
) -> (Vec<Source>, Vec<Told>) {
    let (mut sources, mut faults) = (Vec::new(), Vec::new());
    let mut seen = BTreeSet::new();
    for path in paths {
        if is_class_file(path) {
            faults.push(Told::of(path, "this is no answer file, but what a class lays down; name it with --class"));
        } else if on.is_folder(path) {
            let before = (seen.len(), faults.len());
            let mut files = Vec::new();
            folder(on, path, is_passed_over, &mut files, &mut faults);
            for file in files.into_iter().filter(|file| seen.insert(file.clone())) {
                match source(&file) {
                    Ok(source) => sources.push(source),
                    Err(unread) => faults.push(Told::of(&file, unread)),
                }
            }
            if before == (seen.len(), faults.len()) {
                let says = "there are no answer files (.toml) and no tables (.csv) in this folder";
                faults.push(Told::of(path, says));
            }
        } else if seen.insert(path.clone()) {
            // What is named is meant to be read, whatever it is called.
            match source(path) {
                Err(unread) if is_known(path) => faults.push(Told::of(path, unread)),
                source => sources.push(source.unwrap_or_else(|_| Source::Sheet(path.clone()))),
            }
        }
    }
    (sources, faults)
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

pub(crate) fn is_class_file(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name.eq_ignore_ascii_case(CLASS_FILE))
}

/// The files of a folder and of those below it, in the order of their names. What is hidden, what a program keeps beside an
/// open file, and gradebooks are none of them; nor are folders of results or of another class.
fn folder(
    on: &dyn Files,
    path: &Path,
    is_passed_over: &dyn Fn(&Path) -> bool,
    files: &mut Vec<PathBuf>,
    faults: &mut Vec<Told>,
) {
    let entries = match on.entries(path) {
        Ok(entries) => entries,
        Err(Told { file, says }) => {
            faults.push(Told { file, says: format!("the folder can't be read: {says}") });
            return;
        }
    };
    // Beside a key lies what the set was made from, and the pages of the key.
    let is_key = on.is_file(&path.join(RECORD_FILE));
    let is_ours = |path: &Path| {
        let is_answers = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with("key-"));
        is_key && !(is_answers && has_ending(path, &["toml"]))
    };
    let is_answers = |path: &Path| !is_hidden(path) && !is_class_file(path) && !is_passed_over(path) && !is_ours(path);
    for (path, is_folder) in entries.into_iter().filter(|(path, _)| is_answers(path)) {
        if !is_folder {
            if !(has_ending(&path, &["csv"]) && is_gradebook(on, &path)) {
                files.push(path);
            }
        } else if !is_gradebook(on, &path.join("gradebook.csv")) && !on.is_file(&path.join(CLASS_FILE)) {
            folder(on, &path, is_passed_over, files, faults);
        }
    }
}

/// Whether a file is none of a person's making, by its name.
pub(super) fn is_hidden(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    name.starts_with(['.', '~']) || ["Thumbs.db", "desktop.ini"].iter().any(|known| name.eq_ignore_ascii_case(known))
}
