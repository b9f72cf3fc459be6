//! Why practice can't be set.

use crate::length::Ruler;
use std::fmt;

/// The most sheets that are made in one set.
pub const MOST_SHEETS: usize = 10_000;

/// Why a set can't be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PracticeFault {
    /// No sheets, or too many, were asked for.
    Count(usize),
    /// The exercise has no such level.
    NoLevel {
        /// Which was asked for.
        asked: u8,
        /// Those it has.
        known: Vec<u8>,
    },
    /// None of the values for a given falls on the ruler.
    NothingOnRuler {
        /// The given's title.
        given: String,
        /// The ruler.
        ruler: Ruler,
    },
    /// Fewer different problems exist than were asked for.
    TooFew {
        /// How many there are, or were found.
        exist: usize,
        /// How many possibilities were looked at, if that was not all of them.
        tries: Option<usize>,
        /// How many were asked for.
        asked: usize,
    },
}

impl fmt::Display for PracticeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PracticeFault::Count(0) => f.write_str("a set needs at least one sheet"),
            PracticeFault::Count(asked) => {
                write!(f, "{asked} sheets are more than one set holds; ask for at most {MOST_SHEETS}")
            }
            PracticeFault::NoLevel { asked, known } if known.is_empty() => {
                write!(f, "there is no level {asked}: this exercise has no levels of practice; leave --level out")
            }
            PracticeFault::NoLevel { asked, known } => {
                let known: Vec<String> = known.iter().map(u8::to_string).collect();
                write!(f, "there is no level {asked}; this exercise has the levels {}", known.join(", "))
            }
            PracticeFault::NothingOnRuler { given, ruler } => {
                write!(
                    f,
                    "{given}: the exercise has no practice value that falls on a ruler of {ruler}; choose a finer ruler"
                )
            }
            PracticeFault::TooFew { exist, tries: None, asked } => {
                write!(f, "{asked} different sheets were asked for, but only {exist} exist; nothing was written")
            }
            PracticeFault::TooFew { exist, tries: Some(tries), asked } => write!(
                f,
                "{asked} different sheets were asked for, but only {exist} were found in {tries} tries; nothing was written"
            ),
        }
    }
}

impl std::error::Error for PracticeFault {}
