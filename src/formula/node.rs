//! The checked tree, and its evaluation.

use super::function::{Extreme, Fold, Of, Tick};
use super::kind::{Base, Kind, TableId};
use super::parse::Operator;
use super::values::{Slot, Values};

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Node {
    /// A literal, with its kind for printing.
    Literal(f64, Kind),
    /// The circle's ratio.
    Pi,
    /// A word of a choice, with its text for printing.
    Word(f64, String),
    Measure(Slot, Kind),
    Negate(Box<Node>),
    Not(Box<Node>),
    Binary(Operator, Box<Node>, Box<Node>),
    /// A list folded over the rows of its table.
    Fold(Fold, TableId, Box<Node>),
    /// The largest or smallest of several values.
    Pick(Extreme, Vec<Node>),
    /// What is made of one value.
    Of(Of, Box<Node>),
    /// Rounding and `on_tick`: a value and a tick, the ruler's where none is named.
    Tick(Tick, Box<Node>, Option<Box<Node>>, Kind),
    If(Box<Node>, Box<Node>, Box<Node>),
}

fn truth(holds: bool) -> f64 {
    f64::from(holds)
}

impl Node {
    #[inline]
    pub(super) fn evaluate(&self, values: &(impl Values + ?Sized), row: usize) -> f64 {
        // Most parts of a formula have no parts of their own.
        match self {
            Node::Literal(value, _) | Node::Word(value, _) => *value,
            // What is not known makes what rests on it unknown: within a formula it is no number.
            Node::Measure(slot, _) => values.value(*slot, row).unwrap_or(f64::NAN),
            Node::Pi
            | Node::Negate(_)
            | Node::Not(_)
            | Node::Binary(..)
            | Node::Fold(..)
            | Node::Pick(..)
            | Node::Of(..)
            | Node::Tick(..)
            | Node::If(..) => self.put_together(values, row),
        }
    }

    fn put_together(&self, values: &(impl Values + ?Sized), row: usize) -> f64 {
        match self {
            Node::Literal(..) | Node::Word(..) | Node::Measure(..) => self.evaluate(values, row),
            Node::Pi => std::f64::consts::PI,
            Node::Negate(inner) => -inner.evaluate(values, row),
            Node::Not(inner) => truth(inner.evaluate(values, row) == 0.0),
            Node::Binary(operator, left, right) => {
                let left = left.evaluate(values, row);
                // `and` and `or` need no short cut: evaluation has no side effects.
                apply(*operator, left, right.evaluate(values, row))
            }
            Node::Fold(fold, table, inner) => {
                let value = fold.value(values.rows(*table), |row| inner.evaluate(values, row));
                value.unwrap_or(f64::NAN)
            }
            Node::Pick(extreme, nodes) => {
                let picked = nodes.iter().map(|node| node.evaluate(values, row));
                picked.reduce(|best, next| extreme.pick(best, next)).unwrap_or(f64::NAN)
            }
            Node::Of(of, inner) => of.value(inner.evaluate(values, row)),
            Node::Tick(function, inner, tick, kind) => {
                let tick = match tick {
                    Some(tick) => tick.evaluate(values, row),
                    None if kind.base == Base::Length => values.tick(),
                    None => 1.0,
                };
                function.value(inner.evaluate(values, row), tick)
            }
            Node::If(condition, yes, no) => {
                let branch = if condition.evaluate(values, row) != 0.0 { yes } else { no };
                branch.evaluate(values, row)
            }
        }
    }

    /// How many parts are worked out for one value, with so many rows in each table.
    pub(super) fn cost(&self, rows: &dyn Fn(TableId) -> u64) -> u64 {
        let inner = match self {
            Node::Literal(..) | Node::Pi | Node::Word(..) | Node::Measure(..) => 0,
            Node::Negate(inner) | Node::Not(inner) | Node::Of(_, inner) => inner.cost(rows),
            Node::Fold(_, table, inner) => rows(*table).saturating_mul(inner.cost(rows)),
            Node::Binary(_, left, right) => left.cost(rows).saturating_add(right.cost(rows)),
            Node::Pick(_, nodes) => nodes.iter().fold(0, |sum, node| node.cost(rows).saturating_add(sum)),
            Node::Tick(_, inner, tick, _) => {
                tick.as_ref().map_or(0, |tick| tick.cost(rows)).saturating_add(inner.cost(rows))
            }
            Node::If(condition, yes, no) => {
                [condition, yes, no].into_iter().fold(0, |sum, node| node.cost(rows).saturating_add(sum))
            }
        };
        inner.saturating_add(1)
    }

    /// The parts that it is made of and that have a size: not a condition, nor the tick that is rounded to.
    pub(super) fn parts(&self) -> Vec<&Node> {
        match self {
            Node::Literal(..) | Node::Pi | Node::Word(..) | Node::Measure(..) | Node::Not(_) => Vec::new(),
            Node::Negate(inner) | Node::Of(_, inner) | Node::Fold(_, _, inner) | Node::Tick(_, inner, ..) => {
                vec![inner]
            }
            Node::Binary(_, left, right) | Node::If(_, left, right) => vec![left, right],
            Node::Pick(_, nodes) => nodes.iter().collect(),
        }
    }

    /// The same, by [`Node::parts`].
    fn parts_mut(&mut self) -> Vec<&mut Node> {
        match self {
            Node::Literal(..) | Node::Pi | Node::Word(..) | Node::Measure(..) | Node::Not(_) => Vec::new(),
            Node::Negate(inner) | Node::Of(_, inner) | Node::Fold(_, _, inner) | Node::Tick(_, inner, ..) => {
                vec![inner]
            }
            Node::Binary(_, left, right) | Node::If(_, left, right) => vec![left, right],
            Node::Pick(_, nodes) => nodes.iter_mut().collect(),
        }
    }

    /// The same with one of its parts put differently.
    pub(super) fn with_part(&self, at: usize, part: Node) -> Node {
        let mut with = self.clone();
        *with.parts_mut()[at] = part;
        with
    }

    /// Whether the circle's ratio stands in it.
    pub(super) fn has_pi(&self) -> bool {
        *self == Node::Pi || self.parts().into_iter().any(Node::has_pi)
    }

    /// Puts another number for the circle's ratio.
    pub(super) fn put_for_pi(&mut self, ratio: f64) {
        if *self == Node::Pi {
            *self = Node::Literal(ratio, Kind::NUMBER);
        }
        self.parts_mut().into_iter().for_each(|part| part.put_for_pi(ratio));
    }

    pub(super) fn collect_slots(&self, into: &mut Vec<Slot>) {
        match self {
            Node::Literal(..) | Node::Pi | Node::Word(..) => {}
            Node::Measure(slot, _) => into.push(*slot),
            Node::Negate(inner) | Node::Not(inner) | Node::Of(_, inner) | Node::Fold(_, _, inner) => {
                inner.collect_slots(into);
            }
            Node::Binary(_, left, right) => {
                left.collect_slots(into);
                right.collect_slots(into);
            }
            Node::Pick(_, nodes) => nodes.iter().for_each(|node| node.collect_slots(into)),
            Node::Tick(_, inner, tick, _) => {
                inner.collect_slots(into);
                tick.iter().for_each(|tick| tick.collect_slots(into));
            }
            Node::If(condition, yes, no) => {
                for node in [condition, yes, no] {
                    node.collect_slots(into);
                }
            }
        }
    }
}

fn apply(operator: Operator, left: f64, right: f64) -> f64 {
    match operator {
        Operator::Add => left + right,
        Operator::Subtract => left - right,
        Operator::Multiply => left * right,
        Operator::Divide => left / right,
        Operator::Less => truth(left < right),
        Operator::LessOrEqual => truth(left <= right),
        Operator::Greater => truth(left > right),
        Operator::GreaterOrEqual => truth(left >= right),
        Operator::Equal => truth(left == right),
        Operator::Unequal => truth(left != right),
        Operator::And => truth(left != 0.0 && right != 0.0),
        Operator::Or => truth(left != 0.0 || right != 0.0),
    }
}
