//! Arithmetic with units: the language in which an exercise states its rules.
//!
//! A formula is read once ([`Formula::compile`]), its kinds are checked then, and it is evaluated many
//! times without allocating ([`Formula::evaluate`]). Lengths are counted in nanometres as `f64`: whole
//! numbers of nanometres below 2^53 (9,000 km) are exact in it, and `+ - * / sqrt` are defined to the
//! last bit by IEEE 754, so that every machine gets the same answer.
//!
//! ```
//! use foldmark::formula::{Formula, Kind, NoNames, NoValues};
//! let formula = Formula::compile("2 * (12 1/2 in + 1/2 in)", &NoNames).unwrap();
//! assert_eq!(formula.kind().base, foldmark::formula::Base::Length);
//! assert_eq!(formula.evaluate(&NoValues, None), Some(26.0 * 25_400_000.0));
//!
//! let fault = Formula::compile("1/2 in + 3", &NoNames).unwrap_err();
//! assert_eq!(fault.message, "a length and a number can't be added; give 3 a unit, or multiply instead");
//! # let _ = Kind::LENGTH;
//! ```

mod change;
mod compile;
mod compiled;
mod fault;
mod function;
mod kind;
mod lex;
mod names;
mod node;
mod parse;
mod say;
mod values;
mod words;

pub use change::{Change, Changed};
pub use compiled::Formula;
pub use fault::FormulaFault;
pub use function::{Extreme, FUNCTIONS, Fold, Function, Of, Round, Tick};
pub use kind::{Base, Kind, TableId, WordSet};
pub use names::{Names, NoNames, Symbol};
pub use say::Say;
pub use values::{NoValues, Slot, Values};
pub use words::{may_name, names_in, spelled_as_name};
