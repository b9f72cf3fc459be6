//! The lines of `book.toml` that a book with lessons needs.

use super::companions::{FOLDER, SCRIPT, STYLE};
use crate::files::{FileFault, read_text, refresh};
use std::path::Path;
use toml_edit::{Array, DocumentMut, Item, Table, value};

/// Adds what is missing to the `book.toml` in a folder, and leaves everything else in it as it stands; returns the lines that
/// were added, by key.
///
/// # Errors
/// That there is no such file, or that it is no `book.toml`.
pub fn install(root: &Path) -> Result<Vec<String>, FileFault> {
    let path = root.join("book.toml");
    let text = read_text(&path)?;
    let fault = |message: String| FileFault::of(&path, message);
    let mut document: DocumentMut =
        text.parse().map_err(|error: toml_edit::TomlError| fault(error.message().to_owned()))?;
    let source =
        document.get("book").and_then(|book| book.get("src")).and_then(Item::as_str).unwrap_or("src").to_owned();
    let beside = |name: &str| format!("{source}/{FOLDER}/{name}");
    let mut added = Vec::new();
    let ours = table(&mut document, &["preprocessor", "foldmark"]).map_err(fault)?;
    if !ours.contains_key("command") {
        ours.insert("command", value("mdbook-foldmark"));
        added.push("preprocessor.foldmark.command".to_owned());
    }
    // What a chapter includes may hold blocks, and what a block says is never a directive.
    push(ours, "after", "links").map_err(fault)?.then(|| added.push("preprocessor.foldmark.after".to_owned()));
    let exercises = ours.get("exercises").and_then(Item::as_str).map(str::to_owned);
    let html = table(&mut document, &["output", "html"]).map_err(fault)?;
    for (key, name) in [("additional-css", STYLE), ("additional-js", SCRIPT)] {
        push(html, key, &beside(name)).map_err(fault)?.then(|| added.push(format!("output.html.{key}")));
    }
    if let Some(folder) = exercises {
        let build = table(&mut document, &["build"]).map_err(fault)?;
        push(build, "extra-watch-dirs", &folder)
            .map_err(fault)?
            .then(|| added.push("build.extra-watch-dirs".to_owned()));
    }
    refresh(&path, document.to_string().as_bytes())?;
    Ok(added)
}

/// The table of this path, made where there is none.
fn table<'d>(document: &'d mut DocumentMut, path: &[&str]) -> Result<&'d mut Table, String> {
    let mut table = document.as_table_mut();
    for (depth, key) in path.iter().enumerate() {
        let is_last = depth + 1 == path.len();
        let mut made = Table::new();
        made.set_implicit(!is_last);
        table = table.entry(key).or_insert(Item::Table(made)).as_table_mut().ok_or_else(|| {
            format!("[{}] is not a table of its own; write it with a line in square brackets", path.join("."))
        })?;
    }
    Ok(table)
}

/// Adds a text to a list, unless it is there; returns whether it was added.
fn push(table: &mut Table, key: &str, text: &str) -> Result<bool, String> {
    let list = table.entry(key).or_insert(value(Array::new()));
    let list = list.as_array_mut().ok_or_else(|| format!("`{key}` has to be a list, in square brackets"))?;
    if list.iter().any(|known| known.as_str() == Some(text)) {
        return Ok(false);
    }
    list.push(text);
    Ok(true)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    fn installed(text: &str) -> (Result<Vec<String>, FileFault>, String) {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("book.toml"), text).unwrap();
        let added = install(folder.path());
        (added, fs::read_to_string(folder.path().join("book.toml")).unwrap())
    }

    #[test]
    fn what_is_missing_is_added_once() {
        let text = "# Mine\n[book]\ntitle = \"Bags\" # a comment\nsrc = \"text\"\n\n[output.html]\nadditional-css = [\"own.css\"]\n";
        let (added, first) = installed(text);
        assert_eq!(added.unwrap().len(), 4);
        assert!(first.starts_with("# Mine\n[book]\ntitle = \"Bags\" # a comment\n"));
        assert!(first.contains("additional-css = [\"own.css\", \"text/foldmark/lesson.css\"]"), "{first}");
        assert!(
            first.contains("[preprocessor.foldmark]\ncommand = \"mdbook-foldmark\"\nafter = [\"links\"]"),
            "{first}"
        );
        let (added, second) = installed(&first);
        assert!(added.unwrap().is_empty());
        assert_eq!(first, second);
    }

    #[test]
    fn what_is_no_book_is_left_alone() {
        for text in ["[output]\nhtml = 3\n", "[output.html]\nadditional-js = \"own.js\"\n", "[book\n"] {
            let (added, after) = installed(text);
            assert!(added.is_err());
            assert_eq!(after, text);
        }
        assert!(install(Path::new("/no/such/folder")).unwrap_err().to_string().contains("no such file"));
    }
}
