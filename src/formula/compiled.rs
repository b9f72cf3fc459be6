//! A formula, read once and worked out as often as needed.

use super::compile::compile;
use super::fault::FormulaFault;
use super::function::{Round, Tick};
use super::kind::{Kind, TableId};
use super::names::Names;
use super::node::Node;
use super::parse::parse;
use super::say::{self, Say};
use super::values::{Slot, Values};

/// A formula that has been read and whose kinds fit.
#[derive(Debug, Clone)]
pub struct Formula {
    text: String,
    kind: Kind,
    root: Node,
    uses: Vec<Slot>,
    is_round: bool,
}

impl Formula {
    /// Reads a formula and checks that its kinds fit.
    ///
    /// # Errors
    /// The first thing in the text that could not be read or does not fit, with its place.
    pub fn compile(text: &str, names: &dyn Names) -> Result<Formula, FormulaFault> {
        let tree = parse(text)?;
        let (root, kind) = compile(&tree, names)?;
        Ok(Formula { text: text.to_owned(), ..Formula::of(root, kind) })
    }

    /// A formula that was put together, and has no text.
    pub(super) fn of(root: Node, kind: Kind) -> Formula {
        let mut uses = Vec::new();
        root.collect_slots(&mut uses);
        uses.sort_unstable();
        uses.dedup();
        let is_round = root.has_pi();
        Formula { text: String::new(), kind, root, uses, is_round }
    }

    /// Whether the circle's ratio stands in it.
    pub(super) fn is_round(&self) -> bool {
        self.is_round
    }

    pub(super) fn root(&self) -> &Node {
        &self.root
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
        self.kind.list.map_or(1, rows).saturating_mul(self.cost_of_row(rows))
    }

    /// The same for one row of a list.
    ///
    /// ```
    /// use foldmark::formula::{Formula, NoNames};
    /// let formula = Formula::compile("2 * (1 in + 3 in)", &NoNames).unwrap();
    /// assert_eq!(formula.cost_of_row(&|_| 0), formula.cost(&|_| 0));
    /// ```
    pub fn cost_of_row(&self, rows: &dyn Fn(TableId) -> u64) -> u64 {
        self.root.cost(rows)
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
        let (way, name) = if up { (Round::Up, "round_up") } else { (Round::Down, "round_down") };
        let root = Node::Tick(Tick::Round(way), Box::new(self.root.clone()), None, self.kind);
        Formula { text: format!("{name}({})", self.text), root, ..self.clone() }
    }

    /// Its value: for a list, the value in `row` (counted from 0). None when it rests on a value that is not known, divides
    /// by zero or takes the root of a negative number: the caller says which step that was. Allocates nothing.
    #[inline]
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
    #[inline]
    pub fn holds(&self, values: &(impl Values + ?Sized)) -> bool {
        self.root.evaluate(values, 0) != 0.0
    }

    /// The arithmetic in words and numbers, as a person would write it, with what `say` gives for each
    /// measure. Of an `if` only the branch that is taken is written.
    pub fn say(&self, say: &dyn Say, values: &dyn Values, row: Option<usize>) -> String {
        say::say(&self.root, say, values, row)
    }
}
