//! Which words a formula mentions, and which may be names.

use super::function::Function;
use super::lex::{Token, lex};
use crate::length::Unit;

/// The names a formula mentions, measures and functions alike, without checking anything else: enough to
/// put steps in an order in which their kinds can be found.
///
/// ```
/// assert_eq!(foldmark::formula::names_in("2 * flap + 1/2 in"), ["flap"]);
/// ```
pub fn names_in(text: &str) -> Vec<String> {
    let tokens = lex(text).unwrap_or_default();
    let names = tokens.into_iter().filter_map(|placed| {
        let Token::Name(name) = placed.token else { return None };
        Some(name)
    });
    names.collect()
}

/// Whether a word is spelled as names are: letters, digits and `_`, a letter first.
pub fn spelled_as_name(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_alphabetic()) && word.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
}

/// Whether a word may name a measure: spelled as names are, and no word that the formula language
/// itself or a unit has taken.
pub fn may_name(word: &str) -> bool {
    let taken =
        ["pi", "and", "or", "not"].contains(&word) || Function::named(word).is_some() || Unit::read(word).is_some();
    spelled_as_name(word) && !taken
}
