//! Givens as they were written, before anyone knows what they mean.

use crate::exercise::{Exercise, GivenKind};
use crate::text::{Place, Section, Text, harmless};
use std::fmt;

/// A value as it was written, with its place where there is one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its key.
    pub key: String,
    /// The text.
    pub text: String,
    /// Where it stands in the file.
    pub place: Option<Place>,
}

/// A row of a table as it was written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RawRow {
    /// What the object is called.
    pub name: String,
    /// Its cells.
    pub cells: Vec<Entry>,
    /// Where it stands in the file.
    pub place: Option<Place>,
}

/// Givens as they were written: in an answer file, in a lesson, or on the command line.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Raw {
    /// Single values.
    pub singles: Vec<Entry>,
    /// Tables, by key.
    pub tables: Vec<(String, Vec<RawRow>)>,
    /// Where they begin in the file.
    pub place: Option<Place>,
}

/// What was written and is no given. Its `Display` is a whole sentence that says how to write one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RawFault {
    /// What was written.
    pub written: String,
}

impl std::error::Error for RawFault {}

impl fmt::Display for RawFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "\"{}\" is not a given; write name=value, such as \"allowance=1/2 in\", or a row such as \
             \"objects=name: chisel, length: 9 in, count: 4\"",
            harmless(&self.written, 60)
        )
    }
}

impl Raw {
    /// From a table of a TOML file.
    pub fn from_section(section: &Section) -> Raw {
        let document = section.document();
        let mut raw = Raw { place: Some(document.place(section.span.start)), ..Raw::default() };
        let lists = section.lists_of_tables();
        for (key, texts) in section.entries_except(lists.iter().map(|(key, _)| key.value.as_str())) {
            raw.singles.extend(one(section, &key, texts));
        }
        for (key, rows) in lists {
            let rows = rows.iter().map(raw_row).collect();
            raw.tables.push((key.value, rows));
        }
        raw
    }

    /// The exercise's own example, with everything else as usual.
    pub fn example(exercise: &Exercise) -> Raw {
        let mut raw = Raw::default();
        for given in &exercise.givens {
            if let Some(text) = &given.example {
                raw.singles.push(Entry { key: given.name.clone(), text: text.clone(), place: None });
            }
            let GivenKind::Table { example, .. } = &given.kind else { continue };
            let row = |row: &crate::exercise::Row| RawRow {
                name: row.name.clone(),
                cells: row
                    .cells
                    .iter()
                    .map(|(key, text)| Entry { key: key.clone(), text: text.clone(), place: None })
                    .collect(),
                place: None,
            };
            raw.tables.push((given.name.clone(), example.iter().map(row).collect()));
        }
        raw
    }

    /// Adds what was written as `key=value`, or `table=column: value, column: value` for a row.
    ///
    /// ```
    /// use foldmark::draft::Raw;
    /// let mut raw = Raw::default();
    /// raw.add("allowance=3/8 in").unwrap();
    /// raw.add("objects=name: chisel, length: 9 in, girth: 3 in, count: 4").unwrap();
    /// assert_eq!(raw.tables[0].1[0].cells.len(), 3);
    /// ```
    ///
    /// # Errors
    /// That it is written in no such way.
    pub fn add(&mut self, written: &str) -> Result<(), RawFault> {
        let fault = || RawFault { written: written.to_owned() };
        let (key, value) = written.split_once('=').ok_or_else(fault)?;
        let (key, value) = (key.trim(), value.trim());
        if key.is_empty() || value.is_empty() {
            return Err(fault());
        }
        if !value.contains(':') {
            self.singles.push(Entry { key: key.to_owned(), text: value.to_owned(), place: None });
            return Ok(());
        }
        let mut row = RawRow::default();
        // A comma may also be a decimal comma, so a cell begins only where a column's name follows.
        for cell in cells(value) {
            let (column, text) = cell.split_once(':').ok_or_else(fault)?;
            match (column.trim(), text.trim()) {
                ("name", text) => row.name = text.to_owned(),
                (column, text) => row.cells.push(Entry { key: column.to_owned(), text: text.to_owned(), place: None }),
            }
        }
        match self.tables.iter_mut().find(|(known, _)| known == key) {
            Some((_, rows)) => rows.push(row),
            None => self.tables.push((key.to_owned(), vec![row])),
        }
        Ok(())
    }
}

/// Splits `name: chisel, length: 31,75 cm` at the commas that a column's name follows.
fn cells(text: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut start = 0;
    for (at, _) in text.match_indices(',') {
        let rest = text[at + 1..].trim_start();
        let name = rest.find(|c: char| !(c.is_ascii_alphanumeric() || c == '_')).unwrap_or(rest.len());
        if name > 0 && rest.starts_with(|c: char| c.is_ascii_alphabetic()) && rest[name..].trim_start().starts_with(':')
        {
            parts.push(&text[start..at]);
            start = at + 1;
        }
    }
    parts.push(&text[start..]);
    parts
}

fn raw_row(section: &Section) -> RawRow {
    let mut row = RawRow { place: Some(section.document().place(section.span.start)), ..RawRow::default() };
    for (key, values) in section.entries() {
        let Some(entry) = one(section, &key, values) else { continue };
        if entry.key == "name" {
            row.name = entry.text;
        } else {
            row.cells.push(entry);
        }
    }
    row
}

/// The one value of a key; a list is a fault.
fn one(section: &Section, key: &Text, mut values: Vec<Text>) -> Option<Entry> {
    let document = section.document();
    if values.len() != 1 {
        let path = section.key(&harmless(&key.value, 40));
        document.note(key.span.clone(), &path, "one value is expected here, not a list");
        return None;
    }
    let value = values.remove(0);
    Some(Entry { key: key.value.clone(), text: value.value, place: Some(document.place(value.span.start)) })
}
