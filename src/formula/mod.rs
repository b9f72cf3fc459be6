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

mod compile;
mod function;
mod kind;
mod lex;
mod node;
mod parse;
mod say;

pub use function::{FUNCTIONS, Function};
pub use kind::{Base, Kind, TableId};
pub use say::Say;

use node::Node;
use std::fmt;

/// Where a measure's value lies in the values a formula is evaluated with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Slot(pub usize);

/// Which given a choice word belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct WordSet(pub usize);

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

/// The values a formula is evaluated with. Lengths are nanometres, areas square nanometres,
/// truths 0 or 1, words the number that [`Names::word`] gave.
pub trait Values {
    /// The value in a slot, if it is known; for a list, the value in one row of its table.
    fn value(&self, slot: Slot, row: usize) -> Option<f64>;
    /// How many rows a table has.
    fn rows(&self, table: TableId) -> usize;
    /// The tick of the ruler in use, in nanometres: what `round_up(x)` rounds to.
    fn tick(&self) -> f64;
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

/// No values at all, and a ruler of sixteenths of an inch: for formulas made of literals only.
#[derive(Debug, Clone, Copy)]
pub struct NoValues;

impl Values for NoValues {
    fn value(&self, _: Slot, _: usize) -> Option<f64> {
        None
    }
    fn rows(&self, _: TableId) -> usize {
        0
    }
    fn tick(&self) -> f64 {
        25_400_000.0 / 16.0
    }
}

/// What is wrong in a formula, and where in its text (bytes).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormulaFault {
    /// Offset of the first byte concerned.
    pub start: usize,
    /// Offset after the last byte concerned.
    pub end: usize,
    /// One sentence without a full stop.
    pub message: String,
}

impl FormulaFault {
    fn new(span: (usize, usize), message: impl Into<String>) -> Self {
        FormulaFault { start: span.0, end: span.1, message: message.into() }
    }
}

impl fmt::Display for FormulaFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for FormulaFault {}

/// The names a formula mentions, measures and functions alike, without checking anything else: enough to
/// put steps in an order in which their kinds can be found.
///
/// ```
/// assert_eq!(foldmark::formula::names_in("2 * flap + 1/2 in"), ["flap"]);
/// ```
pub fn names_in(text: &str) -> Vec<String> {
    let tokens = lex::lex(text).unwrap_or_default();
    let names = tokens.into_iter().filter_map(|placed| match placed.token {
        lex::Token::Name(name) => Some(name),
        _ => None,
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
    let taken = ["pi", "and", "or", "not"].contains(&word)
        || Function::named(word).is_some()
        || crate::length::Unit::read(word).is_some();
    spelled_as_name(word) && !taken
}

/// A formula that has been read and whose kinds fit.
#[derive(Debug, Clone)]
pub struct Formula {
    text: String,
    kind: Kind,
    root: Node,
    uses: Vec<Slot>,
}

impl Formula {
    /// Reads a formula and checks that its kinds fit.
    ///
    /// # Errors
    /// The first thing in the text that could not be read or does not fit, with its place.
    pub fn compile(text: &str, names: &dyn Names) -> Result<Formula, FormulaFault> {
        let tree = parse::parse(text)?;
        let (root, kind) = compile::compile(&tree, names)?;
        let mut uses = Vec::new();
        root.collect_slots(&mut uses);
        uses.sort_unstable();
        uses.dedup();
        Ok(Formula { text: text.to_owned(), kind, root, uses })
    }

    /// The text it was read from.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The kind of its value.
    pub fn kind(&self) -> Kind {
        self.kind
    }

    /// The slots it reads, in order, each once.
    pub fn uses(&self) -> &[Slot] {
        &self.uses
    }

    /// How much there is to work out: the parts of the formula, those within a list once for each row, all of a list
    /// step's once for each row again. `rows` tells how many rows a table has.
    ///
    /// ```
    /// use foldmark::formula::{Formula, NoNames};
    /// let formula = Formula::compile("2 * (1 in + 3 in)", &NoNames).unwrap();
    /// assert_eq!(formula.cost(&|_| 0), 5);
    /// ```
    pub fn cost(&self, rows: &dyn Fn(TableId) -> u64) -> u64 {
        self.kind.list.map_or(1, rows).saturating_mul(self.root.cost(rows))
    }

    /// The same length, rounded to a tick of the ruler: up, or down.
    ///
    /// ```
    /// use foldmark::formula::{Formula, NoNames, NoValues};
    /// let formula = Formula::compile("1/10 in", &NoNames).unwrap();
    /// assert_eq!(formula.rounded(true).evaluate(&NoValues, None), Some(25_400_000.0 / 8.0));
    /// assert_eq!(formula.rounded(false).evaluate(&NoValues, None), Some(25_400_000.0 / 16.0));
    /// ```
    pub fn rounded(&self, up: bool) -> Formula {
        let (function, name) = if up { (Function::RoundUp, "round_up") } else { (Function::RoundDown, "round_down") };
        let root = Node::Tick(function, Box::new(self.root.clone()), None, self.kind);
        Formula { text: format!("{name}({})", self.text), root, ..self.clone() }
    }

    /// Its value: for a list, the value in `row` (counted from 0). None when it rests on a value that is not known, divides
    /// by zero or takes the root of a negative number: the caller says which step that was. Allocates nothing.
    pub fn evaluate(&self, values: &(impl Values + ?Sized), row: Option<usize>) -> Option<f64> {
        Some(self.root.evaluate(values, row.unwrap_or(0))).filter(|value| value.is_finite())
    }

    /// Whether a condition holds.
    ///
    /// ```
    /// use foldmark::formula::{Formula, NoNames, NoValues};
    /// let condition = Formula::compile("1/2 in < 1 cm", &NoNames).unwrap();
    /// assert!(!condition.holds(&NoValues));
    /// ```
    pub fn holds(&self, values: &(impl Values + ?Sized)) -> bool {
        self.root.evaluate(values, 0) != 0.0
    }

    /// The arithmetic in words and numbers, as a person would write it, with what `say` gives for each
    /// measure. Of an `if` only the branch that is taken is written.
    pub fn say(&self, say: &dyn Say, values: &dyn Values, row: Option<usize>) -> String {
        say::say(&self.root, say, values, row)
    }
}
