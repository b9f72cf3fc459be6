//! What can be wrong with a length as written, said to people who sew.

use super::signs::is_blank;
use super::unit::Unit;
use crate::text::quoted;
use std::fmt;

/// The most characters of someone's text that are quoted back.
const MOST_QUOTED: usize = 40;

/// Why a length could not be read: the text, and its [`ReadFaultKind`]. Its `Display` is a whole
/// sentence that says what was understood, what is wrong and what to write.
///
/// ```
/// use foldmark::length::read;
/// let error = read("12 1/2 bananas", None).unwrap_err();
/// assert_eq!(
///     error.to_string(),
///     "\"12 1/2 bananas\": read 12 1/2, but \"bananas\" is not a unit; \
///      write in, ft, yd, mm, cm or m"
/// );
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadFault {
    text: String,
    kind: ReadFaultKind,
}

impl ReadFault {
    pub(super) fn new(text: &str, kind: ReadFaultKind) -> ReadFault {
        ReadFault { text: safe(text), kind }
    }

    /// What was read, at most 40 characters of it, with unprintable characters spelled out.
    ///
    /// ```
    /// let error = foldmark::length::read("x\u{202e}", None).unwrap_err();
    /// assert_eq!(error.text(), "x\\u{202e}");
    /// ```
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What is wrong with it.
    ///
    /// ```
    /// use foldmark::length::{ReadFaultKind, read};
    /// assert_eq!(read(" ", None).unwrap_err().kind(), &ReadFaultKind::Empty);
    /// ```
    #[must_use]
    pub fn kind(&self) -> &ReadFaultKind {
        &self.kind
    }
}

impl std::error::Error for ReadFault {}

impl fmt::Display for ReadFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "\"{}\": {}", self.text, self.kind)
    }
}

/// What is wrong with a length as written. Texts inside are safe to print.
///
/// ```
/// use foldmark::length::{ReadFaultKind, read};
/// let fault = read("1' 3", None).unwrap_err().kind().clone();
/// assert_eq!(fault, ReadFaultKind::PartWithoutUnit { number: "3".into() });
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReadFaultKind {
    /// Nothing but blanks.
    Empty,
    /// More than 64 characters.
    TooManyCharacters,
    /// A number was expected at the start, and there is none.
    NoNumber,
    /// More digits than a length can need.
    TooManyDigits {
        /// The number as written.
        number: String,
    },
    /// More than one decimal point or comma in one number.
    TwoPoints {
        /// The number as written.
        number: String,
    },
    /// `12.`: digits were expected after the point.
    NothingAfterPoint {
        /// The number as written.
        number: String,
        /// What comes before the point.
        whole: String,
    },
    /// `1,250`: a comma before exactly three digits is a thousands comma to some.
    ThousandsOrDecimal {
        /// The number as written.
        number: String,
        /// As a thousands comma: `1250`.
        thousands: String,
        /// As a decimal comma: `1.25`.
        decimal: String,
    },
    /// `12.5 1/2`: a decimal and a fraction in one number.
    DecimalAndFraction {
        /// The number as written.
        number: String,
    },
    /// `12 - 1/2`: a mixed number, or one less the other.
    DoubtfulDash {
        /// The whole number.
        whole: String,
        /// The fraction after the dash.
        fraction: String,
    },
    /// `12 5/4`: the fraction of a mixed number must be less than 1.
    FractionNotBelowOne {
        /// The whole number.
        whole: String,
        /// The fraction after it.
        fraction: String,
    },
    /// `5/`: a number was expected under the line.
    NothingUnderFraction {
        /// The fraction as written.
        fraction: String,
    },
    /// `5/0`.
    ZeroUnderFraction {
        /// The fraction as written.
        fraction: String,
    },
    /// A number over 1000 under the line.
    FractionTooFine {
        /// The fraction as written.
        fraction: String,
    },
    /// A number alone, where no unit is understood.
    NoUnit {
        /// The number as written.
        number: String,
    },
    /// `1' 3`: one of several numbers has no unit.
    PartWithoutUnit {
        /// The number as written.
        number: String,
    },
    /// A word where a unit was expected.
    UnknownUnit {
        /// What was read before it.
        read: String,
        /// The word.
        word: String,
    },
    /// `12 in long`: something after the length.
    LeftOver {
        /// What was read.
        read: String,
        /// What was not.
        left: String,
    },
    /// `1 ft 3 cm`.
    MixedSystems {
        /// The unit before.
        first: Unit,
        /// The unit of the other system.
        second: Unit,
    },
    /// `3 in 1 ft` or `3 in 1 in`: units must go from large to small.
    UnitsNotDescending {
        /// The unit before.
        first: Unit,
        /// The unit that is as large or larger.
        second: Unit,
    },
    /// Over 100 m.
    OverLimit,
    /// `5-Aug`: a spreadsheet took a fraction for a date.
    Date {
        /// The fraction that it probably was: `5/8`.
        fraction: Option<String>,
    },
}

impl fmt::Display for ReadFaultKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ReadFaultKind::Empty => f.write_str("nothing is written; write a length like 12 1/2 in or 31.8 cm"),
            ReadFaultKind::TooManyCharacters => {
                f.write_str("longer than 64 characters; write the length alone, like 12 1/2 in or 31.8 cm")
            }
            ReadFaultKind::NoNumber => {
                f.write_str("it does not start with a number; write it in figures, like 12 1/2 in or 31.8 cm")
            }
            ReadFaultKind::TooManyDigits { number } => {
                write!(f, "{number} has too many digits; write 12 at most on each side")
            }
            ReadFaultKind::TwoPoints { number } => write!(
                f,
                "{number} has more than one point or comma; \
                 write just one, before the decimals, like 1250.5"
            ),
            ReadFaultKind::NothingAfterPoint { number, whole } => {
                write!(f, "no digits follow the point in {number}; write {whole} or {whole}.5")
            }
            ReadFaultKind::ThousandsOrDecimal { number, thousands, decimal } => {
                write!(f, "{number} can be read in two ways; write {thousands} or {decimal}")
            }
            ReadFaultKind::DecimalAndFraction { number } => {
                write!(f, "{number} has both decimals and a fraction; write one of them, like 12.5 or 12 1/2")
            }
            ReadFaultKind::DoubtfulDash { whole, fraction } => write!(
                f,
                "is that {whole} {fraction}, or {whole} less {fraction}? \
                 write {whole} {fraction}, or work out the difference"
            ),
            ReadFaultKind::FractionNotBelowOne { whole, fraction } => write!(
                f,
                "read {whole}, but the fraction after it must be less than 1 \
                 and {fraction} is not; check {fraction}"
            ),
            ReadFaultKind::NothingUnderFraction { fraction } => {
                write!(f, "no number follows the line in {fraction}; write the whole fraction, like 5/8")
            }
            ReadFaultKind::ZeroUnderFraction { fraction } => {
                write!(f, "{fraction} divides by nothing; write a fraction like 5/8")
            }
            ReadFaultKind::FractionTooFine { fraction } => {
                write!(f, "{fraction} is finer than thousandths; write a coarser fraction, like 5/8")
            }
            ReadFaultKind::NoUnit { number } => {
                write!(f, "read {number}, but it has no unit; add in, ft, yd, mm, cm or m")
            }
            ReadFaultKind::PartWithoutUnit { number } => {
                write!(f, "the {number} has no unit; write a unit after each number, like 1 ft 3 in")
            }
            ReadFaultKind::UnknownUnit { read, word } => {
                write!(f, "read {read}, but \"{word}\" is not a unit; write in, ft, yd, mm, cm or m")
            }
            ReadFaultKind::LeftOver { read, left } => write!(
                f,
                "read {read}, but \"{left}\" was left over; \
                 write the length alone, like 12 1/2 in or 31.8 cm"
            ),
            ReadFaultKind::MixedSystems { first, second } => {
                let (first, second) = (first.symbol(), second.symbol());
                write!(f, "{first} and {second} do not go together; write it all in one of them")
            }
            ReadFaultKind::UnitsNotDescending { first, second } if first == second => {
                write!(f, "{} is there twice; write each unit once, like 1 ft 3 in", first.symbol())
            }
            ReadFaultKind::UnitsNotDescending { first, second } => {
                let (first, second) = (first.symbol(), second.symbol());
                write!(f, "{second} is larger than {first}; write the larger unit first")
            }
            ReadFaultKind::OverLimit => f.write_str("longer than 100 m; check the number and its unit"),
            ReadFaultKind::Date { fraction } => {
                let was = fraction.as_ref().map_or_else(String::new, |fraction| format!("was this {fraction}? "));
                write!(
                    f,
                    "a spreadsheet has made a date of it; {was}Format the column as text, and write the fraction again"
                )
            }
        }
    }
}

/// A word that is no unit. Its `Display` is a whole sentence that says what to write.
///
/// ```
/// use foldmark::length::Unit;
/// let fault = Unit::named("bananas").unwrap_err();
/// assert_eq!(fault.to_string(), "\"bananas\" is not a unit; write in, ft, yd, mm, cm or m");
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitFault {
    word: String,
}

impl std::error::Error for UnitFault {}

impl fmt::Display for UnitFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} is not a unit; write in, ft, yd, mm, cm or m", quoted(&self.word))
    }
}

impl Unit {
    /// As [`Unit::read`], for a word that has to be a unit.
    ///
    /// # Errors
    /// A sentence that says what to write.
    pub fn named(word: &str) -> Result<Unit, UnitFault> {
        Unit::read(word).ok_or_else(|| UnitFault { word: word.to_owned() })
    }
}

/// Someone's text made safe to print on one line: at most 40 characters, blanks as spaces, and
/// control, zero-width and direction-changing characters spelled out.
pub(super) fn safe(text: &str) -> String {
    // Nearly every text is short and plain.
    if text.len() <= MOST_QUOTED && text.bytes().all(|byte| (b' '..=b'~').contains(&byte)) {
        return text.to_owned();
    }
    let mut shown = String::new();
    let (mut used, mut room_for_dots) = (0, 0);
    for c in text.chars() {
        let before = shown.len();
        match c {
            '"' | '\'' | '\\' => shown.push(c),
            '\t' => shown.push_str("\\t"),
            _ if is_blank(c) => shown.push(' '),
            _ if crate::text::is_invisible(c) => shown.extend(c.escape_unicode()),
            _ => shown.extend(c.escape_debug()),
        }
        used += shown.get(before..).map_or(0, |piece| piece.chars().count());
        if used < MOST_QUOTED {
            room_for_dots = shown.len();
        }
        if used > MOST_QUOTED {
            shown.truncate(room_for_dots);
            shown.push('…');
            break;
        }
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_characters_are_spelled_out() {
        assert_eq!(safe("a\u{1b}[31mb\n\0"), "a\\u{1b}[31mb\\u{a}\\u{0}");
        assert_eq!(safe("1\u{200b}2\u{202e}3\u{feff}\u{2066}"), { "1\\u{200b}2\\u{202e}3\\u{feff}\\u{2066}" });
        assert_eq!(safe("12\u{a0}½\u{2009}″ '\\\""), "12 ½ ″ '\\\"");
        assert_eq!(safe("\t\u{301}\u{ad}\u{2028}"), "\\t\\u{301}\\u{ad}\\u{2028}");
    }

    #[test]
    fn long_texts_are_shortened_to_forty() {
        assert_eq!(safe(&"x".repeat(40)), "x".repeat(40));
        assert_eq!(safe(&"½".repeat(41)), format!("{}…", "½".repeat(39)));
        let cut = safe(&format!("{}\u{202e}{}", "x".repeat(37), "y".repeat(500)));
        assert_eq!(cut, format!("{}…", "x".repeat(37)));
    }
}
