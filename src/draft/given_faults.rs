//! What is wrong with givens as they were written.

use crate::exercise::{Given, GivenKind};
use crate::text::{Fault, Place, harmless};
use std::fmt;

/// So many faults are told; a sheet with more has something wrong as a whole.
const MOST: usize = 50;

/// Where a value belongs, written out only when there is something wrong with it.
#[derive(Clone, Copy)]
pub(super) enum Key<'k> {
    Single(&'k str),
    Cell(&'k str, usize, &'k str),
}

impl fmt::Display for Key<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Key::Single(name) => f.write_str(&harmless(name, 40)),
            Key::Cell(table, row, column) => write!(f, "{table}.{}.{}", row + 1, harmless(column, 40)),
        }
    }
}

/// The faults found so far.
#[derive(Default)]
pub(super) struct Faults(Vec<Fault>);

impl Faults {
    pub(super) fn note(&mut self, place: Option<Place>, key: Key, message: String) {
        if self.0.len() < MOST {
            self.0.push(Fault { place, key: format!("given.{key}"), message });
        }
    }

    /// Notes it, if a table of givens has too few or too many rows.
    pub(super) fn count(&mut self, given: &Given, rows: usize, place: Option<Place>) {
        let GivenKind::Table { rows: (least, most), each, .. } = &given.kind else { return };
        if (*least..=*most).contains(&rows) {
            return;
        }
        let wanted = match (least, most) {
            (1, most) => format!("give at least one {each}, and at most {most} kinds"),
            (least, most) => format!("give from {least} to {most} rows, one for each {each}"),
        };
        let found = match rows {
            0 => "there is none".to_owned(),
            count => format!("there are {count} rows"),
        };
        self.note(place, Key::Single(&given.name), format!("{found}; {wanted}"));
    }

    /// Whether there are none.
    ///
    /// # Errors
    /// All there are.
    pub(super) fn none(self) -> Result<(), Vec<Fault>> {
        if self.0.is_empty() { Ok(()) } else { Err(self.0) }
    }
}
