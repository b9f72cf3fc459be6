//! A formula as a person would write it: with names ("height to the fold − pocket height") or with the
//! numbers put in ("6 1/2 in − 4 in").

use super::function::Function;
use super::kind::Kind;
use super::node::Node;
use super::parse::Operator;
use super::{Slot, Values};

/// How measures and literals are written.
pub trait Say {
    /// A measure; `row` is the row of its table where a list is written out row by row.
    fn measure(&self, slot: Slot, row: Option<usize>, kind: Kind) -> String;
    /// A literal of the formula.
    fn literal(&self, value: f64, kind: Kind) -> String;
    /// Whether both outcomes of an `if` are written, with its condition; otherwise only the one that is taken.
    fn both_branches(&self) -> bool {
        false
    }
    /// Whether lists are written out row by row (with the numbers put in) or named once.
    fn row_by_row(&self) -> bool;
}

/// Rows past this many are not written out one by one.
const ROWS_SHOWN: usize = 6;

/// How tightly a written part binds, so that brackets stand only where they are needed.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Binds {
    Or,
    And,
    Comparison,
    Sum,
    /// Something divided: in brackets within a sum, since "3 in ÷ 2 + 1/4 in" invites dividing the sum.
    Quotient,
    Product,
    Tight,
}

pub(super) fn say(root: &Node, say: &dyn Say, values: &dyn Values, row: Option<usize>) -> String {
    Speaker { say, values }.part(root, row).0
}

struct Speaker<'s> {
    say: &'s dyn Say,
    values: &'s dyn Values,
}

impl Speaker<'_> {
    fn part(&self, node: &Node, row: Option<usize>) -> (String, Binds) {
        match node {
            Node::Literal(value, kind) => (self.say.literal(*value, *kind), Binds::Tight),
            Node::Pi => ("π".to_owned(), Binds::Tight),
            Node::Word(_, text) => (text.clone(), Binds::Tight),
            Node::Measure(slot, kind) => (self.say.measure(*slot, row, *kind), Binds::Tight),
            Node::Negate(inner) => (format!("−{}", self.within(inner, row, Binds::Tight)), Binds::Product),
            Node::Not(inner) => (format!("not {}", self.within(inner, row, Binds::Tight)), Binds::Comparison),
            Node::Binary(operator, left, right) => self.binary(*operator, left, right, row),
            Node::Fold(function, table, inner) => self.fold(*function, self.values.rows(*table), inner),
            Node::Pick(function, nodes) => {
                let parts: Vec<_> = nodes.iter().map(|node| self.part(node, row).0).collect();
                (format!("the {} of {}", extreme(*function), list(&parts)), Binds::Or)
            }
            Node::Of(Function::Half, inner) => {
                (format!("{} ÷ 2", self.within(inner, row, Binds::Product)), Binds::Quotient)
            }
            Node::Of(Function::Sqrt, inner) => (format!("√({})", self.part(inner, row).0), Binds::Tight),
            Node::Of(Function::Abs, inner) => (format!("|{}|", self.part(inner, row).0), Binds::Tight),
            Node::Of(_, inner) => (format!("{} is odd", self.within(inner, row, Binds::Sum)), Binds::Comparison),
            Node::Tick(function, inner, tick, _) => {
                let way = match function {
                    Function::RoundUp => "rounded up",
                    Function::RoundDown => "rounded down",
                    Function::RoundNear => "rounded",
                    _ => "falls on a tick",
                };
                let to = tick.as_ref().map(|tick| format!(" to a multiple of {}", self.part(tick, row).0));
                let inner = self.within(inner, row, Binds::Sum);
                (format!("{inner}, {way}{}", to.unwrap_or_default()), Binds::Or)
            }
            Node::If(condition, yes, no) if self.say.both_branches() => {
                let [condition, yes, no] = [condition, yes, no].map(|node| self.part(node, row).0);
                (format!("if {condition}: {yes}; otherwise: {no}"), Binds::Or)
            }
            Node::If(condition, yes, no) => {
                let taken = condition.evaluate(self.values, row.unwrap_or(0)) != 0.0;
                self.part(if taken { yes } else { no }, row)
            }
        }
    }

    /// The part, in brackets if it binds less tightly than its surroundings ask.
    fn within(&self, node: &Node, row: Option<usize>, least: Binds) -> String {
        let (text, binds) = self.part(node, row);
        if binds < least { format!("({text})") } else { text }
    }

    fn binary(&self, operator: Operator, left: &Node, right: &Node, row: Option<usize>) -> (String, Binds) {
        use Operator::*;
        if let Some(share) = self.share(operator, left, right, row) {
            return share;
        }
        // The right side of − and ÷ needs brackets at its own level: a − (b + c).
        let (sign, binds, right_binds) = match operator {
            Add => ("+", Binds::Sum, Binds::Sum),
            Subtract => ("−", Binds::Sum, Binds::Product),
            Multiply => ("×", Binds::Product, Binds::Product),
            Divide => ("÷", Binds::Quotient, Binds::Tight),
            And => ("and", Binds::And, Binds::And),
            Or => ("or", Binds::Or, Binds::Or),
            Less => ("<", Binds::Comparison, Binds::Sum),
            LessOrEqual => ("≤", Binds::Comparison, Binds::Sum),
            Greater => (">", Binds::Comparison, Binds::Sum),
            GreaterOrEqual => ("≥", Binds::Comparison, Binds::Sum),
            Equal => ("is", Binds::Comparison, Binds::Sum),
            Unequal => ("is not", Binds::Comparison, Binds::Sum),
        };
        let left_binds = match binds {
            Binds::Comparison => Binds::Sum,
            Binds::Quotient => Binds::Product,
            other => other,
        };
        let side = |node: &Node, least: Binds| {
            let (text, found) = self.part(node, row);
            let is_share = binds == Binds::Sum && found == Binds::Quotient;
            if found < least || is_share { format!("({text})") } else { text }
        };
        (format!("{} {sign} {}", side(left, left_binds), side(right, right_binds)), binds)
    }

    /// `x * 2 / 3` as people say it, "2/3 of x", and `x * 3 / 2` as "1 1/2 × x".
    fn share(&self, operator: Operator, left: &Node, right: &Node, row: Option<usize>) -> Option<(String, Binds)> {
        let (Operator::Divide, Node::Binary(Operator::Multiply, whole, top), Node::Literal(below, kind)) =
            (operator, left, right)
        else {
            return None;
        };
        let Node::Literal(top, top_kind) = **top else { return None };
        let is_count = |value: f64| value >= 1.0 && libm::floor(value) == value;
        if *kind != Kind::NUMBER || top_kind != Kind::NUMBER || !is_count(top) || !is_count(*below) {
            return None;
        }
        let whole = self.within(whole, row, Binds::Tight);
        let (times, rest) = (libm::floor(top / below), libm::fmod(top, *below));
        Some(if times == 0.0 {
            (format!("{top}/{below} of {whole}"), Binds::Quotient)
        } else if rest == 0.0 {
            (format!("{times} × {whole}"), Binds::Product)
        } else {
            (format!("{times} {rest}/{below} × {whole}"), Binds::Product)
        })
    }

    fn fold(&self, function: Function, rows: usize, inner: &Node) -> (String, Binds) {
        let out = self.say.row_by_row() && rows <= ROWS_SHOWN;
        let shown = |least| -> Vec<String> { (0..rows).map(|row| self.within(inner, Some(row), least)).collect() };
        match function {
            Function::Count => {
                (if self.say.row_by_row() { rows.to_string() } else { "number of rows".to_owned() }, Binds::Tight)
            }
            Function::First if self.say.row_by_row() => self.part(inner, Some(0)),
            Function::Last if self.say.row_by_row() => self.part(inner, Some(rows.saturating_sub(1))),
            _ if out && rows == 1 => self.part(inner, Some(0)),
            Function::Sum if out && rows > 0 => (shown(Binds::Sum).join(" + "), Binds::Sum),
            Function::Max | Function::Min if out && rows > 0 => {
                (format!("the {} of {}", extreme(function), list(&shown(Binds::Or))), Binds::Or)
            }
            _ => {
                let what = match function {
                    Function::Sum => "sum of",
                    Function::First => "first",
                    Function::Last => "last",
                    other => extreme(other),
                };
                (format!("{what} {}", self.within(inner, None, Binds::Tight)), Binds::Tight)
            }
        }
    }
}

fn extreme(function: Function) -> &'static str {
    if function == Function::Max { "largest" } else { "smallest" }
}

fn list(parts: &[String]) -> String {
    match parts.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => parts.concat(),
    }
}
