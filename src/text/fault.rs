//! What is wrong with a file, and where.

use std::fmt;

/// A place in a text: line and column, both counted from 1, columns in characters.
#[cfg_attr(feature = "cli", derive(schemars::JsonSchema))]
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Column, from 1.
    pub column: usize,
}

impl Place {
    /// The place of a byte offset in a text. For many places in one text, [`Lines`] is quicker.
    ///
    /// ```
    /// use foldmark::text::Place;
    /// assert_eq!(Place::of("a = 1\nbé = 2", 10), Place { line: 2, column: 4 });
    /// ```
    pub fn of(text: &str, offset: usize) -> Place {
        Lines::new(text).place(offset)
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}, column {}", self.line, self.column)
    }
}

/// Where the lines of a text begin, to find many places in it.
#[derive(Debug, Clone)]
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

/// In a line longer than this, columns are counted in bytes.
const LONG_LINE: usize = 2_000;

impl<'t> Lines<'t> {
    /// The lines of a text.
    pub fn new(text: &'t str) -> Lines<'t> {
        let after = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1);
        Lines { text, starts: std::iter::once(0).chain(after).collect() }
    }

    /// The place of a byte offset.
    pub fn place(&self, offset: usize) -> Place {
        let offset = offset.min(self.text.len());
        let line = self.starts.partition_point(|start| *start <= offset);
        let before = &self.text.as_bytes()[self.starts[line - 1]..offset];
        let column = if before.len() > LONG_LINE {
            before.len()
        } else {
            // Every character has one byte that does not go on from another.
            before.iter().filter(|byte| **byte & 0xc0 != 0x80).count()
        };
        Place { line, column: column + 1 }
    }
}

/// One thing wrong with a file: where, under which key, and what to do about it.
#[cfg_attr(feature = "cli", derive(schemars::JsonSchema))]
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Fault {
    /// Where, if it can be tied to a place.
    pub place: Option<Place>,
    /// The key concerned, such as `step.flap.value`; empty for the file as a whole.
    pub key: String,
    /// One sentence without a full stop.
    pub message: String,
}

impl Fault {
    /// A fault of the file as a whole.
    pub fn whole(message: impl Into<String>) -> Fault {
        Fault { place: None, key: String::new(), message: message.into() }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = self.place {
            write!(f, "{place}: ")?;
        }
        if !self.key.is_empty() {
            write!(f, "{}: ", self.key)?;
        }
        f.write_str(&self.message)
    }
}
