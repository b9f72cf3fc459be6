//! The typeface of a pattern: a part of DejaVu Sans with Latin, Greek and Cyrillic letters.

use super::fault::PatternFault;
use crate::text::harmless;
use ttf_parser::{Face, GlyphId};
use unicode_normalization::UnicodeNormalization;

/// The part of the typeface, with its licence beside it.
pub(super) const FILE: &[u8] = include_bytes!("font/DejaVuSans-part.ttf");

/// Longer than any caution: what is longer is cut, and says so.
const LONGEST: usize = 4000;

/// The typeface, read.
pub(super) struct Letters(Face<'static>);

impl Letters {
    pub(super) fn new() -> Result<Letters, PatternFault> {
        Face::parse(FILE, 0).map(Letters).map_err(|error| PatternFault(format!("the typeface can't be read: {error}")))
    }

    pub(super) fn face(&self) -> &Face<'static> {
        &self.0
    }

    /// The glyph of each character; the missing one, where there is none.
    pub(super) fn glyphs<'t>(&'t self, text: &'t str) -> impl Iterator<Item = (char, GlyphId)> + 't {
        text.chars().map(|letter| (letter, self.0.glyph_index(letter).unwrap_or(GlyphId(0))))
    }

    /// How wide a text is set.
    pub(super) fn width(&self, text: &str, size: f64) -> f64 {
        let units: u32 =
            self.glyphs(text).map(|(_, glyph)| u32::from(self.0.glyph_hor_advance(glyph).unwrap_or(0))).sum();
        f64::from(units) * size / f64::from(self.0.units_per_em())
    }

    /// A text as it can be set: letters composed with their accents.
    ///
    /// # Errors
    /// A letter that the typeface lacks.
    pub(super) fn set(&self, text: &str) -> Result<String, PatternFault> {
        let text: String = harmless(text, LONGEST).nfc().collect();
        match text.chars().find(|letter| self.0.glyph_index(*letter).is_none()) {
            None => Ok(text),
            Some(letter) => Err(PatternFault(format!(
                "\"{text}\" can't be printed on the pattern: its letter \"{letter}\" is in none of the scripts there \
                 are, which are Latin, Greek and Cyrillic; write it in one of these"
            ))),
        }
    }
}
