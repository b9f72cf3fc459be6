//! What the names in a formula stand for.

use super::kind::{Kind, WordSet};
use super::values::Slot;

/// What a name stands for: where its value lies and of what kind it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Symbol {
    /// Where the value lies.
    pub slot: Slot,
    /// Its kind.
    pub kind: Kind,
}

/// The names a formula may use.
pub trait Names {
    /// The measure of this name, if there is one. Columns are asked for as `table.column`.
    fn symbol(&self, name: &str) -> Option<Symbol>;
    /// Every name, for suggestions.
    fn all(&self) -> Vec<String>;
    /// The number that stands for `word` in the set, or the words of the set.
    ///
    /// # Errors
    /// The words that would have been understood.
    fn word(&self, set: WordSet, word: &str) -> Result<f64, Vec<String>>;
}

/// No names at all: for formulas made of literals only.
#[derive(Debug, Clone, Copy)]
pub struct NoNames;

impl Names for NoNames {
    fn symbol(&self, _: &str) -> Option<Symbol> {
        None
    }
    fn all(&self) -> Vec<String> {
        Vec::new()
    }
    fn word(&self, _: WordSet, _: &str) -> Result<f64, Vec<String>> {
        Err(Vec::new())
    }
}
