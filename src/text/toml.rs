//! TOML read with its places, so that every fault in a file is told at once, each with line, column
//! and key. Used for exercises, answer files and the blocks in lessons alike.

use super::fault::{Fault, Lines, Place};
use super::harmless::{harmless, is_hidden};
use super::nearest::nearest;
use ::toml::de::{DeTable, DeValue};
use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::ops::Range;

/// Longest text that is read, in bytes.
const LONGEST_TEXT: usize = 4_000;

/// A piece of text from the file, with its place.
#[derive(Debug, Clone)]
pub struct Text {
    /// The text.
    pub value: String,
    /// Where it lies in the file, in bytes.
    pub span: Range<usize>,
}

/// A file being read: its text, and the faults found so far.
pub struct Document<'t> {
    text: &'t str,
    lines: Lines<'t>,
    faults: RefCell<Vec<Fault>>,
    broken: Cell<bool>,
}

/// So many faults are told; a file with more has something wrong as a whole.
const MOST_FAULTS: usize = 50;

impl<'t> Document<'t> {
    /// Starts on a text.
    pub fn new(text: &'t str) -> Document<'t> {
        Document { text, lines: Lines::new(text), faults: RefCell::default(), broken: Cell::new(false) }
    }

    /// Parses the TOML. Syntax faults are noted; what could be recovered is returned.
    pub fn parse(&self) -> DeTable<'t> {
        let (table, errors) = DeTable::parse_recoverable(self.text);
        for error in errors {
            let span = error.span().unwrap_or(0..0);
            match error.message() {
                "duplicate key" => {
                    let key = harmless(self.text.get(span.clone()).unwrap_or_default().trim(), 40);
                    self.note(span, &key, "this key stands here twice; keep one of the two");
                }
                other => {
                    self.broken.set(true);
                    self.note(span, "", in_plain_words(other));
                }
            }
        }
        table.into_inner()
    }

    /// Whether the text is no TOML at some place: what is missing then may merely not have been
    /// understood, and is not worth a fault of its own.
    pub fn is_broken(&self) -> bool {
        self.broken.get()
    }

    /// Whether so many faults were noted that no more are.
    pub fn is_full(&self) -> bool {
        self.faults.borrow().len() > MOST_FAULTS
    }

    /// The place of a byte offset.
    pub fn place(&self, offset: usize) -> Place {
        self.lines.place(offset)
    }

    /// Notes a fault.
    pub fn note(&self, span: Range<usize>, key: &str, message: impl Into<String>) {
        if self.is_full() {
            return;
        }
        let fault = Fault { place: Some(self.place(span.start)), key: key.to_owned(), message: message.into() };
        self.faults.borrow_mut().push(fault);
    }

    /// Notes a fault `offset` bytes into a text value, where that can be told: not through escapes.
    pub fn note_within(&self, text: &Text, offset: usize, key: &str, message: impl Into<String>) {
        let start = text.span.start;
        let plain = self.text.get(start + 1..start + 1 + text.value.len()) == Some(text.value.as_str());
        let at = if plain { start + 1 + offset } else { start };
        self.note(at..at, key, message);
    }

    /// The faults, in the order of their places.
    pub fn into_faults(self) -> Vec<Fault> {
        let is_full = self.is_full();
        let mut faults = self.faults.into_inner();
        faults.sort_by_key(|fault| fault.place);
        faults.dedup();
        if is_full {
            faults.truncate(MOST_FAULTS);
            faults.push(Fault::whole("there is more wrong than is told here; mend this first"));
        }
        faults
    }
}

/// What the TOML reader says, for someone who does not know TOML.
fn in_plain_words(message: &str) -> String {
    let known = [
        (
            "string values must be quoted",
            "put quotation marks round the value, such as flap = \"4 in\"; straight ones, not curly ones",
        ),
        ("invalid basic string", "a quotation mark is missing at the end of this value"),
        (
            "carriage return must be followed",
            "the lines of this file end in a way that is not understood; save it as plain text (UTF-8)",
        ),
        ("invalid unquoted key", "a line is a name, an equals sign and a value, such as flap = \"4 in\""),
    ];
    let plain = known.iter().find(|(start, _)| message.starts_with(start)).map(|(_, plain)| (*plain).to_owned());
    plain.unwrap_or_else(|| format!("this is not TOML: {}", message.replace('\n', "; ")))
}

/// One table of the file. Keys are asked for by name; [`Section::finish`] notes those nobody asked for.
pub struct Section<'d, 't> {
    document: &'d Document<'t>,
    table: &'d DeTable<'t>,
    /// Where the section stands.
    pub span: Range<usize>,
    /// Its key path, for faults.
    pub path: String,
    asked: RefCell<BTreeSet<&'static str>>,
}

impl<'d, 't> Section<'d, 't> {
    /// The whole file as a section.
    pub fn root(document: &'d Document<'t>, table: &'d DeTable<'t>) -> Section<'d, 't> {
        Section { document, table, span: 0..0, path: String::new(), asked: RefCell::default() }
    }

    fn section(&self, table: &'d DeTable<'t>, span: Range<usize>, path: String) -> Section<'d, 't> {
        Section { document: self.document, table, span, path, asked: RefCell::default() }
    }

    /// The path of one of its keys.
    pub fn key(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    /// Notes a fault of one of its keys: at the key's value, or at the section itself if it has no such key.
    pub fn note(&self, key: &str, message: impl Into<String>) {
        let span = self.table.get(key).map_or_else(|| self.span.clone(), ::toml::Spanned::span);
        let path = if key.is_empty() { self.path.clone() } else { self.key(key) };
        self.document.note(span, &path, message);
    }

    fn value(&self, key: &'static str) -> Option<(&'d DeValue<'t>, Range<usize>)> {
        self.asked.borrow_mut().insert(key);
        self.table.get(key).map(|value| (value.get_ref(), value.span()))
    }

    fn wrong(&self, key: &str, span: Range<usize>, wanted: &str, found: &DeValue<'_>) {
        let found = match whole_number(found) {
            Some(number) => number.to_string(),
            None => kind_of(found).to_owned(),
        };
        self.document.note(span, &self.key(key), format!("{wanted} was expected here, but this is {found}"));
    }

    /// Whether the key is there.
    pub fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// A text as it is used; what can't be shown as it is, or is too long to be, is a fault.
    fn fit(&self, key: &str, text: &str, span: Range<usize>) -> Text {
        if let Some(hidden) = text.chars().find(|letter| is_hidden(*letter) && !letter.is_whitespace()) {
            let message = format!("there is an invisible character in it ({}); take it out", hidden.escape_unicode());
            self.document.note(span.clone(), &self.key(key), message);
        }
        if text.len() > LONGEST_TEXT {
            self.document.note(span.clone(), &self.key(key), format!("a text has at most {LONGEST_TEXT} bytes"));
        }
        Text { value: text.to_owned(), span }
    }

    /// A text, if the key is there.
    pub fn text(&self, key: &'static str) -> Option<Text> {
        let (value, span) = self.value(key)?;
        match value {
            DeValue::String(text) => Some(self.fit(key, text, span)),
            other => {
                self.wrong(key, span, "text in quotation marks", other);
                None
            }
        }
    }

    /// A text that has to be there and not be empty; a fault is noted otherwise.
    pub fn required_text(&self, key: &'static str) -> Option<Text> {
        let text = self.text(key);
        if !self.has(key) {
            self.note("", format!("`{key}` is missing"));
        }
        let text = text?;
        if text.value.trim().is_empty() {
            self.document.note(text.span, &self.key(key), "this is empty");
            return None;
        }
        Some(text)
    }

    /// A yes-or-no, if the key is there.
    pub fn truth(&self, key: &'static str) -> Option<bool> {
        let (value, span) = self.value(key)?;
        let truth = value.as_bool();
        if truth.is_none() {
            self.wrong(key, span, "true or false", value);
        }
        truth
    }

    /// A whole number between the limits, if the key is there.
    pub fn whole(&self, key: &'static str, limits: std::ops::RangeInclusive<i64>) -> Option<i64> {
        let (value, span) = self.value(key)?;
        match whole_number(value) {
            Some(number) if limits.contains(&number) => Some(number),
            _ => {
                let wanted = format!("a whole number from {} to {}", limits.start(), limits.end());
                self.wrong(key, span, &wanted, value);
                None
            }
        }
    }

    /// A list of whole numbers between the limits; empty if the key is not there.
    pub fn wholes(&self, key: &'static str, limits: std::ops::RangeInclusive<i64>) -> Vec<i64> {
        let Some((value, span)) = self.value(key) else { return Vec::new() };
        let items = value.as_array().map(|items| items.iter().collect::<Vec<_>>()).unwrap_or_default();
        let mut numbers = Vec::new();
        for item in items {
            match whole_number(item.get_ref()) {
                Some(number) if limits.contains(&number) => numbers.push(number),
                _ => {
                    let wanted = format!("a whole number from {} to {}", limits.start(), limits.end());
                    self.wrong(key, span.clone(), &wanted, item.get_ref());
                }
            }
        }
        numbers
    }

    /// Texts and tables under one key, alone or in a list: a text as `Ok`, a table as `Err`.
    pub fn tables_or_texts(&self, key: &'static str) -> Vec<Result<Text, Section<'d, 't>>> {
        let Some((value, span)) = self.value(key) else { return Vec::new() };
        let items: Vec<(&'d DeValue<'t>, Range<usize>)> = match value {
            DeValue::Array(items) => items.iter().map(|item| (item.get_ref(), item.span())).collect(),
            single => vec![(single, span)],
        };
        let mut read = Vec::new();
        for (item, span) in items {
            match item {
                DeValue::String(text) => read.push(Ok(self.fit(key, text, span))),
                DeValue::Table(table) => read.push(Err(self.section(table, span, self.key(key)))),
                other => self.wrong(key, span, "text in quotation marks, or a table,", other),
            }
        }
        read
    }

    /// A list of texts; a single text counts as a list of one; empty if the key is not there.
    pub fn texts(&self, key: &'static str) -> Vec<Text> {
        let Some((value, span)) = self.value(key) else { return Vec::new() };
        match value {
            DeValue::String(text) => vec![self.fit(key, text, span)],
            DeValue::Array(items) => items
                .iter()
                .filter_map(|item| match item.get_ref() {
                    DeValue::String(text) => Some(self.fit(key, text, item.span())),
                    other => {
                        self.wrong(key, item.span(), "text in quotation marks", other);
                        None
                    }
                })
                .collect(),
            other => {
                self.wrong(key, span, "text in quotation marks, or a list of texts,", other);
                Vec::new()
            }
        }
    }

    /// A list of lists of texts; empty if the key is not there.
    pub fn text_lists(&self, key: &'static str) -> Vec<Vec<Text>> {
        let Some((value, span)) = self.value(key) else { return Vec::new() };
        let DeValue::Array(items) = value else {
            self.wrong(key, span, "a list of lists of texts", value);
            return Vec::new();
        };
        let mut lists = Vec::new();
        for item in items {
            let DeValue::Array(texts) = item.get_ref() else {
                self.wrong(key, item.span(), "a list of texts", item.get_ref());
                continue;
            };
            let mut list = Vec::new();
            for text in texts {
                match text.get_ref() {
                    DeValue::String(found) => list.push(self.fit(key, found, text.span())),
                    other => self.wrong(key, text.span(), "text in quotation marks", other),
                }
            }
            lists.push(list);
        }
        lists
    }

    /// A table, if the key is there.
    pub fn table(&self, key: &'static str) -> Option<Section<'d, 't>> {
        let (value, span) = self.value(key)?;
        match value {
            DeValue::Table(table) => Some(self.section(table, span, self.key(key))),
            other => {
                self.wrong(key, span, "a table", other);
                None
            }
        }
    }

    /// A list of tables, each called by its `name` in faults; empty if the key is not there.
    pub fn tables(&self, key: &'static str) -> Vec<Section<'d, 't>> {
        let Some((value, span)) = self.value(key) else { return Vec::new() };
        let DeValue::Array(items) = value else {
            self.wrong(key, span, "a list of tables", value);
            return Vec::new();
        };
        let mut sections = Vec::new();
        for (index, item) in items.iter().enumerate() {
            match item.get_ref() {
                DeValue::Table(table) => {
                    let name = table.get("name").and_then(|name| name.get_ref().as_str());
                    let called = name.map_or_else(|| (index + 1).to_string(), |name| harmless(name, 40).into_owned());
                    sections.push(self.section(table, item.span(), format!("{}.{called}", self.key(key))));
                }
                other => self.wrong(key, item.span(), "a table", other),
            }
        }
        sections
    }

    /// As [`Section::tables`], but so many at the most; more are a fault, and left out.
    pub fn few(&self, key: &'static str, most: usize) -> Vec<Section<'d, 't>> {
        let mut sections = self.tables(key);
        if sections.len() > most {
            let message = format!("there are {} of them, and at most {most} are read", sections.len());
            self.document.note(sections[most].span.clone(), &self.key(key), message);
            sections.truncate(most);
        }
        sections
    }

    /// Every entry whose value is text or a number, with the number as it was written; anything else is
    /// a fault. For tables whose keys the file's writer chooses.
    pub fn entries(&self) -> Vec<(Text, Vec<Text>)> {
        self.entries_except([])
    }

    /// As [`Section::entries`], passing over some keys.
    pub fn entries_except<'k>(&self, keys: impl IntoIterator<Item = &'k str>) -> Vec<(Text, Vec<Text>)> {
        let skipped: BTreeSet<&str> = keys.into_iter().collect();
        let mut entries = Vec::new();
        for (key, value) in self.table {
            if self.document.is_full() {
                break;
            }
            if skipped.contains(key.get_ref().as_ref()) {
                continue;
            }
            let name = Text { value: key.get_ref().to_string(), span: key.span() };
            let path = harmless(&name.value, 40);
            match value.get_ref() {
                DeValue::Array(items) => {
                    let read = items.iter().filter_map(|item| self.loose(&path, item.get_ref(), item.span())).collect();
                    entries.push((name, read));
                }
                single => entries.extend(self.loose(&path, single, value.span()).map(|text| (name, vec![text]))),
            }
        }
        entries.sort_by_key(|(name, _)| name.span.start);
        entries
    }

    fn loose(&self, key: &str, value: &DeValue<'_>, span: Range<usize>) -> Option<Text> {
        let text = match value {
            DeValue::String(text) => text.to_string(),
            DeValue::Integer(number) if number.radix() == 10 => number.as_str().to_owned(),
            DeValue::Float(number) => number.as_str().to_owned(),
            DeValue::Table(_) => {
                let key = self.key(key);
                self.document.note(span, &key, format!("a list of rows is written with two brackets: [[{key}]]"));
                return None;
            }
            other => {
                self.wrong(key, span, "a measurement, such as \"12 1/2 in\",", other);
                return None;
            }
        };
        Some(Text { value: text, span })
    }

    /// The names of its entries that are lists of tables, with the tables: [`Section::entries`] for tables.
    pub fn lists_of_tables(&self) -> Vec<(Text, Vec<Section<'d, 't>>)> {
        let mut lists = Vec::new();
        for (key, value) in self.table {
            let DeValue::Array(items) = value.get_ref() else { continue };
            let tables: Vec<_> =
                items.iter().filter_map(|item| Some((item.get_ref().as_table()?, item.span()))).collect();
            if tables.is_empty() || tables.len() != items.len() {
                continue;
            }
            let name = Text { value: key.get_ref().to_string(), span: key.span() };
            let path = self.key(&harmless(&name.value, 40));
            let sections = tables
                .into_iter()
                .enumerate()
                .map(|(index, (table, span))| self.section(table, span, format!("{path}.{}", index + 1)))
                .collect();
            lists.push((name, sections));
        }
        lists
    }

    /// The document, for noting faults in values.
    pub fn document(&self) -> &'d Document<'t> {
        self.document
    }

    /// Notes every key that was never asked for, with the nearest key that would have been understood.
    pub fn finish(self) {
        let asked = self.asked.borrow();
        // A section that could not be told for what it is has a fault of its own already.
        if asked.is_empty() {
            return;
        }
        for key in self.table.keys() {
            let name: &str = key.get_ref();
            if self.document.is_full() {
                return;
            }
            if asked.contains(name) {
                continue;
            }
            let hint = match nearest(name, asked.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("known here: {}", asked.iter().copied().collect::<Vec<_>>().join(", ")),
            };
            let path = self.key(&harmless(name, 40));
            self.document.note(key.span(), &path, format!("this key is not known; {hint}"));
        }
    }
}

fn whole_number(value: &DeValue<'_>) -> Option<i64> {
    value.as_integer().and_then(|digits| i64::from_str_radix(digits.as_str(), digits.radix()).ok())
}

fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a decimal number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
