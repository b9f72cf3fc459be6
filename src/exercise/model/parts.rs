//! Numbers with a fraction: counted in parts of a whole, so that halves and tenths are exact.

use crate::length::read_number;
use std::fmt;

/// Into how many parts a whole is divided: 1 for whole numbers, 2 for halves, 10 for tenths. A number is kept as the
/// count of its parts.
///
/// ```
/// use foldmark::exercise::Parts;
/// let halves = Parts::new(2).unwrap();
/// assert_eq!(halves.read("2 1/2"), Some(5));
/// assert_eq!(halves.read("2,5"), Some(5));
/// assert_eq!(halves.read("2.25"), None);
/// assert_eq!(halves.value(5), 2.5);
/// assert_eq!(halves.write(5), "2.5");
/// assert_eq!(Parts::WHOLE.read("60"), Some(60));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Parts(i64);

impl Parts {
    /// Whole numbers.
    pub const WHOLE: Parts = Parts(1);

    /// The finest there are: a decimal of three places writes each of them in full.
    const FINEST: i64 = 1_000;

    /// So many parts to a whole; `None` where a decimal of three places can't write them all, as it can't thirds.
    pub fn new(parts: i64) -> Option<Parts> {
        (parts >= 1 && Parts::FINEST % parts == 0).then_some(Parts(parts))
    }

    /// The number that has so many parts.
    pub fn value(self, count: i64) -> f64 {
        count as f64 / self.0 as f64
    }

    /// The number as it is written: as a decimal.
    pub fn write(self, count: i64) -> String {
        self.value(count).to_string()
    }

    /// How many parts a number as written has: `3`, `2 1/2`, `2½`, `2.5` and `2,5`; `None` where it is no number, or has
    /// finer parts.
    pub fn read(self, text: &str) -> Option<i64> {
        if self == Parts::WHOLE {
            return text.trim().parse().ok();
        }
        let (top, bottom) = read_number(text.trim())?;
        let parts = top * self.0 as u128;
        parts.is_multiple_of(bottom).then(|| i64::try_from(parts / bottom).ok())?
    }
}

/// What such a number is called: "a whole number", "a number in steps of 0.5".
impl fmt::Display for Parts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Parts::WHOLE => f.write_str("a whole number"),
            parts => write!(f, "a number in steps of {}", parts.write(1)),
        }
    }
}
