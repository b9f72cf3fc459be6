//! The paper, and the part of it that is drawn on.

use super::fault::PatternFault;
use crate::length::{Length, Unit};

/// Below what is drawn, on every sheet: the test squares and what is said beside them.
pub(super) const FOOT: f64 = 59.0;
/// How far neighbouring sheets overlap.
pub(super) const OVERLAP: f64 = 10.0;
/// What printers can't reach, all round: 4 mm are usual, some need up to 10 (manuals of printers).
const MARGIN: f64 = 10.0;

/// A sheet of paper, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paper {
    /// Across.
    pub width: f64,
    /// Up.
    pub height: f64,
}

/// ISO 216, and the usual sheet of North America.
const NAMES: [(&str, Paper); 6] = [
    ("a4", Paper::A4),
    ("letter", Paper::LETTER),
    ("a3", Paper { width: 297.0, height: 420.0 }),
    ("a2", Paper { width: 420.0, height: 594.0 }),
    ("a1", Paper { width: 594.0, height: 841.0 }),
    ("a0", Paper { width: 841.0, height: 1189.0 }),
];

impl Paper {
    /// ISO 216.
    pub const A4: Paper = Paper { width: 210.0, height: 297.0 };
    /// 8 1/2 × 11 in.
    pub const LETTER: Paper = Paper { width: 215.9, height: 279.4 };

    /// Reads `a4`, `letter`, another of `a0` to `a3`, or a width and a height; a bare number is in millimetres.
    ///
    /// ```
    /// use foldmark::pattern::Paper;
    /// assert_eq!(Paper::read("A4").unwrap(), Paper::A4);
    /// assert_eq!(Paper::read("36in x 48in").unwrap(), Paper { width: 914.4, height: 1219.2 });
    /// assert!(Paper::read("40x40").is_err());
    /// ```
    ///
    /// # Errors
    /// What was read is no size of paper, or is too small or too large to be drawn on.
    pub fn read(text: &str) -> Result<Paper, PatternFault> {
        let text = text.trim().to_lowercase();
        if let Some((_, paper)) = NAMES.iter().find(|(name, _)| *name == text) {
            return Ok(*paper);
        }
        let Some((width, height)) = text.split_once(['x', '×']) else {
            return Err(PatternFault(
                "write a4, letter, another of a0 to a3, or width x height, such as 841x1189 or 36inx48in".to_owned(),
            ));
        };
        let side = |text: &str| {
            let length = Length::read(text, Some(Unit::Millimetre)).map_err(|error| PatternFault(error.to_string()))?;
            Ok(length.as_nm_f64() / crate::length::NM_PER_MM)
        };
        let paper = Paper { width: side(width)?, height: side(height)? };
        // A page of a PDF has at most 14,400 units of 1/72 in (PDF Reference 1.6, appendix C).
        let sides = [("wide", paper.width, 210.0), ("high", paper.height, 150.0)];
        for (what, mm, least) in sides {
            if !(least..=5080.0).contains(&mm) {
                return Err(PatternFault(format!(
                    "paper {mm} mm {what} can't be used; it has to be from {least} to 5080 mm {what}"
                )));
            }
        }
        Ok(paper)
    }

    /// The part that is drawn on, above the foot: on A4 and Letter the same.
    pub(super) fn field(self) -> (f64, f64) {
        let (width, height) = if self == Paper::A4 || self == Paper::LETTER {
            (190.0, 259.0)
        } else {
            (self.width - 2.0 * MARGIN, self.height - 2.0 * MARGIN)
        };
        (width, height - FOOT)
    }

    /// Lower left corner of the foot.
    pub(super) fn corner(self) -> (f64, f64) {
        let (width, height) = self.field();
        ((self.width - width) / 2.0, (self.height - height - FOOT) / 2.0)
    }
}
