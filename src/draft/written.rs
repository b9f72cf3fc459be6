//! Values as they are written.

use crate::formula::Base;
use crate::length::{Length, Ruler};

/// A value as it is written: a length on the ruler, a number with at most four decimals, an area in
/// square centimetres; "?", if it is not known.
///
/// ```
/// use foldmark::{draft::value_text, formula::Base, length::Ruler};
/// assert_eq!(value_text(Base::Length, 25_400_000.0 * 12.5, Ruler::EIGHTH), "12 1/2 in");
/// assert_eq!(value_text(Base::Number, 2.5, Ruler::EIGHTH), "2.5");
/// ```
pub fn value_text(base: Base, value: impl Into<Option<f64>>, ruler: Ruler) -> String {
    let Some(value) = value.into() else { return "?".to_owned() };
    match base {
        Base::Length => match Length::from_nm_f64(value) {
            Some(length) => ruler.write(length).to_string(),
            None => "?".to_owned(),
        },
        Base::Area => format!("{} cm²", number_text(value / 1e14)),
        Base::Number | Base::Truth | Base::Word(_) => number_text(value),
    }
}

fn number_text(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
