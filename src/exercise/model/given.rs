//! What the student is given: lengths, numbers, choices and tables, and how practice varies them.

use super::parts::Parts;
use crate::formula::{Formula, Slot, TableId, Values};
use crate::length::{Length, Ruler};

/// Something the student is given.
#[derive(Debug, Clone)]
pub struct Given {
    /// Its name in formulas.
    pub name: String,
    /// For people.
    pub title: String,
    /// A sentence of explanation, or empty.
    pub says: String,
    /// Condition under which it matters; always, if there is none.
    pub needed: Option<Formula>,
    /// A value to show the exercise with, as text, where there is no usual one.
    pub example: Option<String>,
    /// What it is.
    pub kind: GivenKind,
}

impl Given {
    /// Whether it matters: its condition holds, or it has none.
    pub fn is_needed(&self, values: &dyn Values) -> bool {
        holds(self.needed.as_ref(), values)
    }
}

/// A length as an author states it: which system of units it is written in says which sheets it is meant for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stated {
    /// The length.
    pub length: Length,
    /// Whether it is written in metric units.
    pub is_metric: bool,
}

/// The usual value for a ruler. Of those written in the ruler's own system of units it is the first that falls on a
/// tick, or that one of a finer ruler would show; where none does, the same of those in the other system; else the first.
///
/// ```
/// use foldmark::{exercise::{Stated, usual_on}, length::{Length, Ruler}};
/// let stated = |text, is_metric| Stated { length: Length::read(text, None).unwrap(), is_metric };
/// let usual = [stated("10 in", false), stated("25 cm", true)];
/// // 10 in is 254 mm, which a ruler in millimetres would show too.
/// assert_eq!(usual_on(Ruler::MILLIMETRE, &usual), Some(usual[1].length));
/// assert_eq!(usual_on(Ruler::EIGHTH, &usual), Some(usual[0].length));
/// ```
pub fn usual_on(ruler: Ruler, usual: &[Stated]) -> Option<Length> {
    let finer = if ruler.is_metric() { Ruler::MILLIMETRE } else { Ruler::SIXTEENTH };
    let on = |own: bool, ruler: Ruler| {
        usual.iter().find(|one| (one.is_metric == ruler.is_metric()) == own && ruler.on_tick(one.length))
    };
    let found = on(true, ruler).or_else(|| on(true, finer)).or_else(|| on(false, ruler)).or_else(|| on(false, finer));
    found.or(usual.first()).map(|one| one.length)
}

/// The lengths on offer for a ruler: those that fall on a tick and are written in its own system of units; where there
/// are none, all that fall on a tick.
///
/// ```
/// use foldmark::{exercise::{Stated, offered_on}, length::{Length, Ruler}};
/// let stated = |text, is_metric| Stated { length: Length::read(text, None).unwrap(), is_metric };
/// let offered = [stated("5 in", false), stated("6 in", false), stated("12 cm", true)];
/// assert_eq!(offered_on(Ruler::MILLIMETRE, &offered), [offered[2].length]);
/// assert_eq!(offered_on(Ruler::MILLIMETRE, &offered[..1]), [offered[0].length]);
/// ```
pub fn offered_on(ruler: Ruler, lengths: &[Stated]) -> Vec<Length> {
    let on_tick = || lengths.iter().filter(|one| ruler.on_tick(one.length));
    let own: Vec<Length> = on_tick().filter(|one| one.is_metric == ruler.is_metric()).map(|one| one.length).collect();
    if own.is_empty() { on_tick().map(|one| one.length).collect() } else { own }
}

fn holds(condition: Option<&Formula>, values: &dyn Values) -> bool {
    condition.is_none_or(|condition| condition.holds(values))
}

/// What a given is.
#[derive(Debug, Clone)]
pub enum GivenKind {
    /// A length between two limits.
    Length {
        /// Where its value lies.
        slot: Slot,
        /// Least and greatest.
        range: (Length, Length),
        /// Usual values, of which [`usual_on`] takes one; empty if it has to be given.
        usual: Vec<Stated>,
        /// How practice varies it.
        varies: Option<Vary>,
    },
    /// A number between two limits.
    Number {
        /// Where its value lies.
        slot: Slot,
        /// In what it counts.
        parts: Parts,
        /// Least and greatest, in parts.
        range: (i64, i64),
        /// The usual value in parts, if there is one.
        usual: Option<i64>,
        /// How practice varies it.
        varies: Option<Vary>,
    },
    /// One of several words.
    Choice {
        /// Where its value lies: the index of the word.
        slot: Slot,
        /// Each word, and what it means.
        words: Vec<Choice>,
        /// Index of the usual word, if there is one.
        usual: Option<usize>,
        /// How practice varies it.
        varies: Option<Vary>,
    },
    /// A table: one row for each object.
    Table {
        /// Which table.
        table: TableId,
        /// What a row is called: "object".
        each: String,
        /// Fewest and most rows.
        rows: (usize, usize),
        /// Its columns.
        columns: Vec<Column>,
        /// Rows to show the exercise with.
        example: Vec<Row>,
        /// How practice varies the rows: how many, and what they are called.
        varies: Option<(usize, usize, Vec<String>)>,
    },
}

/// A word of a choice.
#[derive(Debug, Clone)]
pub struct Choice {
    /// As formulas and answer files write it.
    pub word: String,
    /// What it means.
    pub says: String,
}

/// A column of a table.
#[derive(Debug, Clone)]
pub struct Column {
    /// Its name in formulas, after the table's.
    pub name: String,
    /// For people.
    pub title: String,
    /// A few words of explanation, or empty.
    pub says: String,
    /// Where its values lie.
    pub slot: Slot,
    /// Whether it holds lengths; otherwise numbers.
    pub is_length: bool,
    /// In what its numbers count.
    pub parts: Parts,
    /// Least and greatest: of lengths in nanometres, of numbers in parts.
    pub range: (i64, i64),
    /// Condition under which it has to be given; always, if there is none.
    pub needed: Option<Formula>,
    /// How practice varies it.
    pub varies: Option<Vary>,
}

impl Column {
    /// Whether the column has to be given: its condition holds, or it has none.
    pub fn is_needed(&self, values: &dyn Values) -> bool {
        holds(self.needed.as_ref(), values)
    }
}

/// A row of a table as text: its name and its cells by column.
#[derive(Debug, Clone, Default)]
pub struct Row {
    /// What the object is called.
    pub name: String,
    /// Column and text.
    pub cells: Vec<(String, String)>,
}

/// How practice varies a given.
#[derive(Debug, Clone)]
pub enum Vary {
    /// Every so many ticks of the ruler, from a length to a length.
    Ticks {
        /// Least.
        from: Length,
        /// Greatest.
        to: Length,
        /// How many ticks apart.
        every: i64,
    },
    /// One of these, as far as [`offered_on`] has them on the ruler.
    OneOf(Vec<Stated>),
    /// Any number between two.
    Number {
        /// In what it counts.
        parts: Parts,
        /// Least, in parts.
        from: i64,
        /// Greatest, in parts.
        to: i64,
    },
    /// One of these words, by index.
    Words(Vec<usize>),
}
