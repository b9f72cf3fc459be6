//! TOML read with its places, so that every fault in a file is told at once, each with line, column
//! and key. Used for exercises, answer files and the blocks in lessons alike.

use super::fault::{Fault, Lines, Place};
use super::harmless::harmless;
use ::toml::de::DeTable;
use std::cell::{Cell, RefCell};
use std::ops::Range;

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
                    let line =
                        self.text.get(..span.start).map_or(0, |before| before.rfind('\n').map_or(0, |at| at + 1));
                    let line = self.text.get(line..).and_then(|rest| rest.lines().next()).unwrap_or_default();
                    let advice = percent(line).unwrap_or_else(|| in_plain_words(other));
                    self.note(span, "", advice);
                }
            }
        }
        table.into_inner()
    }

    /// What stands at a place of the text.
    pub(super) fn written(&self, span: Range<usize>) -> String {
        self.text.get(span).unwrap_or_default().to_owned()
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
    let marks = "put quotation marks round the value, such as flap = \"4 in\"; straight ones, not curly ones";
    let known = [
        ("string values must be quoted", marks),
        ("invalid float", marks),
        ("invalid integer", marks),
        ("invalid date", marks),
        ("invalid time", marks),
        ("invalid basic string", "a quotation mark is missing at the end of this value"),
        ("invalid literal string", "a quotation mark is missing at the end of this value"),
        ("invalid multi-line", "three quotation marks are missing at the end of this value"),
        ("missing escaped value", "there is a backslash in this value; leave it out, or write it twice"),
        (
            "carriage return must be followed",
            "the lines of this file end in a way that is not understood; save it as plain text (UTF-8)",
        ),
        ("key with no value", "a line is a name, an equals sign and a value, such as flap = \"4 in\""),
        ("invalid unquoted key", "a line is a name, an equals sign and a value, such as flap = \"4 in\""),
        ("unexpected key or value", "something is left over after this value; a line has one value alone"),
        ("unclosed array,", "a list begins here with [, and the ] at its end is missing"),
        ("unclosed inline table", "a list of names and values begins here with {, and the } at its end is missing"),
        ("unclosed", "a heading begins here with [, and the ] at its end is missing"),
    ];
    let plain = known.iter().find(|(start, _)| message.starts_with(start)).map(|(_, plain)| *plain);
    plain
        .unwrap_or("this can't be read; a line is a name, an equals sign and a value, such as flap = \"4 in\"")
        .to_owned()
}

/// What to write in place of a number with a sign for percent.
fn percent(line: &str) -> Option<String> {
    let (key, value) = line.split_once('=')?;
    let number = value.trim().split('%').next().filter(|_| value.contains('%'))?.trim();
    let is_number = !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit());
    is_number.then(|| format!("percent are written as a number alone: {} = {number}", harmless(key.trim(), 40)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// No word of the TOML reader comes through to someone who sews.
    #[test]
    fn faults_of_form_are_told_in_plain_words() {
        let told = |text: &str| {
            let document = Document::new(text);
            document.parse();
            let faults = document.into_faults();
            assert!(!faults.is_empty(), "{text}");
            let jargon = ["TOML", "expected", "newline", "literal", "string", "`", "inline", "array"];
            for fault in &faults {
                assert!(!jargon.iter().any(|word| fault.message.contains(word)), "{text:?}: {fault}");
            }
            faults[0].message.clone()
        };
        assert_eq!(told("follow_through = 50%"), "percent are written as a number alone: follow_through = 50");
        assert!(told("flap = 12 1/2").starts_with("put quotation marks"));
        assert!(told("flap = \"12 1/2\"\"").starts_with("something is left over"));
        for text in [
            "a b",
            "a = ",
            "= 3",
            "[a",
            "[[a]",
            "a = [1, 2",
            "a = {x = 1",
            "a = \"\"\"x",
            "a = 'x",
            "a: 3",
            "a = \"\\q\"",
            "a = 1.5.2",
            "a = 2026-13-45",
            "a=1\r b=2",
        ] {
            told(text);
        }
    }
}
