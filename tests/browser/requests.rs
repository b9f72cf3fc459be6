//! What a page asks of the engine, as text: for shipped exercises, the chapters of a built book, answer files and problems.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use foldmark::check::{AnswerSheet, answer_file, read_answers};
use foldmark::draft::{Draft, Givens, Raw, RawRow};
use foldmark::exercise::{Exercise, shipped};
use foldmark::length::Ruler;
use serde_json::{Value, json};

/// Puts every shipped exercise on the engine's shelf.
pub fn exercises() -> Vec<String> {
    shipped().map(|(name, text)| json!({ "ask": "exercise", "name": name, "text": text }).to_string()).collect()
}

/// What a built book's pages tell the engine of their chapters: the chapter's path, and the request.
pub fn chapters(book: &Path) -> Vec<(String, String)> {
    let mut files: Vec<_> = fs::read_dir(book.join("foldmark/lessons"))
        .expect("the book has lessons")
        .map(|file| file.expect("a lesson").path())
        .collect();
    files.sort();
    let chapter = |file: &std::path::PathBuf| {
        let script = fs::read_to_string(file).expect("a lesson is text");
        let handed = script.split_once("take(...").and_then(|(_, rest)| rest.trim_end().strip_suffix(");"));
        let handed: Value =
            serde_json::from_str(handed.expect("it hands something over")).expect("what it hands is JSON");
        let lesson = &handed[2];
        let path = lesson["path"].as_str().expect("a path").to_owned();
        let request = json!({ "ask": "chapter", "path": path, "found": lesson["found"] });
        (path, request.to_string())
    };
    files.iter().map(chapter).collect()
}

/// Givens as a reader types them.
pub fn own(raw: &Raw, ruler: &str) -> Value {
    let single: BTreeMap<&str, &str> =
        raw.singles.iter().map(|entry| (entry.key.as_str(), entry.text.as_str())).collect();
    let table: BTreeMap<&str, Vec<_>> =
        raw.tables.iter().map(|(name, rows)| (name.as_str(), rows.iter().map(row).collect())).collect();
    json!({ "ruler": ruler, "single": single, "table": table, "choice": {} })
}

fn row(row: &RawRow) -> BTreeMap<&str, &str> {
    let cells = row.cells.iter().map(|cell| (cell.key.as_str(), cell.text.as_str()));
    cells.chain([("name", row.name.as_str())]).collect()
}

/// An exercise's own example on a ruler, with everything that its sheet asks for.
pub fn example(exercise: &Exercise, ruler: Ruler) -> Option<AnswerSheet> {
    let givens = Givens::read(exercise, &Raw::example(exercise), None, ruler).ok()?;
    let draft = Draft::new(exercise, givens).ok()?;
    read_answers(&answer_file(&draft, "Tansy", true)).ok()
}

/// What is written in place of an answer, which is counted from 0.
pub type Writing<'w> = &'w dyn Fn(usize, &str) -> String;

/// A sheet as a page asks of it: `ask` is `mark` or `file`, and `write` says what stands in place of each answer.
pub fn sheet(ask: &str, sheet: &AnswerSheet, show: &str, write: Writing) -> Value {
    let mut count = 0;
    let mut answers: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for answer in &sheet.answers {
        let values = answer.values.iter().map(|value| {
            count += 1;
            write(count - 1, &value.text)
        });
        answers.insert(&answer.step, values.collect());
    }
    let ruler = sheet.ruler.map(|ruler| ruler.to_string()).unwrap_or_default();
    json!({
        "ask": ask, "exercise": sheet.exercise, "student": sheet.student, "show": show, "code": sheet.code,
        "own": own(&sheet.given, &ruler), "answers": answers,
    })
}

/// As it was written.
pub fn as_written(_: usize, text: &str) -> String {
    text.to_owned()
}
