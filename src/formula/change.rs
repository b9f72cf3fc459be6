//! A rule with one thing done otherwise: what someone may have worked out instead.

use super::compiled::Formula;
use super::function::{Extreme, Fold, Of, Round, Tick};
use super::kind::{Base, Kind};
use super::node::Node;
use super::parse::Operator;
use super::values::Slot;

/// What was done otherwise with a part of a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Change {
    /// A term of a sum was left out.
    LeftOut,
    /// A term was counted twice.
    Twice,
    /// Half a term was counted.
    Halved,
    /// A term was added that is taken off.
    Added,
    /// A term was taken off that is added.
    TakenOff,
    /// A factor was left out; the part is what it belongs to.
    NotTimes,
    /// Counted so many times, where the rule has another number.
    Times {
        /// How often it was counted.
        counted: u16,
        /// How often it belongs.
        belongs: u16,
    },
    /// What is divided was not.
    NotDivided,
    /// What is halved was not.
    NotHalved,
    /// What is halved was halved twice.
    HalvedTwice,
    /// The circle's ratio taken for three.
    PiIsThree,
    /// The smallest taken for the largest.
    Smallest,
    /// The largest taken for the smallest.
    Largest,
    /// Only the first of a list.
    First,
    /// Only the last of a list.
    Last,
    /// What is to be rounded was not.
    NotRounded,
    /// Rounded down that is rounded up, or the other way.
    RoundedOtherwise,
    /// One measure taken for another, which is the part.
    Instead,
    /// The rule of the other case; the part is that rule.
    OtherCase,
}

/// A rule with one change.
#[derive(Debug, Clone)]
pub struct Changed {
    /// What was done otherwise.
    pub change: Change,
    /// With which part of the rule.
    pub part: Formula,
    /// What the change has to do with: the measure in the part's place, the factor as the rule has it.
    pub other: Option<Formula>,
    /// The rule as it was worked then.
    pub formula: Formula,
}

/// A rule of more parts than this is not changed part by part.
const MOST_PARTS: u64 = 60;

/// So many changes are known of one rule at the most.
const MOST_CHANGES: usize = 400;

impl Formula {
    /// The formula with one change, in every way that is known. `beside` gives the measures that one may be taken for.
    ///
    /// ```
    /// use foldmark::formula::{Change, Formula, NoNames, NoValues};
    /// let rule = Formula::compile("3 in + 2 * 1/2 in", &NoNames).unwrap();
    /// let nm = |inches: f64| Some(inches * 25_400_000.0);
    /// let worked = |change: Change| {
    ///     let changes = rule.changes(&|_| Vec::new());
    ///     changes.iter().filter(|known| known.change == change).map(|known| known.formula.evaluate(&NoValues, None)).collect::<Vec<_>>()
    /// };
    /// assert_eq!(worked(Change::NotTimes), [nm(3.5)]);
    /// assert_eq!(worked(Change::LeftOut), [nm(1.0), nm(3.0)]);
    /// ```
    pub fn changes(&self, beside: &dyn Fn(Slot) -> Vec<(Slot, Kind)>) -> Vec<Changed> {
        if self.root().cost(&|_| 1) > MOST_PARTS {
            return Vec::new();
        }
        let edits = Editor { beside }.edits(self.root());
        let of = |node: Node| Formula::of(node, self.kind());
        let changed = |Edit { change, part, other, whole }: Edit| Changed {
            change,
            part: of(part),
            other: other.map(of),
            formula: of(whole),
        };
        edits.into_iter().take(MOST_CHANGES).map(changed).collect()
    }

    /// The formula with another number for the circle's ratio; nothing, if it does without.
    ///
    /// ```
    /// use foldmark::formula::{Formula, NoNames, NoValues};
    /// let round = Formula::compile("pi * 2 mm", &NoNames).unwrap();
    /// assert_eq!(round.with_pi(3.14).unwrap().evaluate(&NoValues, None), Some(6_280_000.0));
    /// assert!(Formula::compile("3 * 2 mm", &NoNames).unwrap().with_pi(3.14).is_none());
    /// ```
    pub fn with_pi(&self, ratio: f64) -> Option<Formula> {
        if !self.is_round() {
            return None;
        }
        let mut root = self.root().clone();
        root.put_for_pi(ratio);
        Some(Formula::of(root, self.kind()))
    }
}

/// A part of a tree that was changed, and the tree with the change.
struct Edit {
    change: Change,
    part: Node,
    other: Option<Node>,
    whole: Node,
}

impl Edit {
    fn new(change: Change, part: &Node, whole: Node) -> Edit {
        Edit { change, part: part.clone(), other: None, whole }
    }
}

/// A term of a sum, and whether it is taken off.
type Term<'n> = (bool, &'n Node);

struct Editor<'b> {
    beside: &'b dyn Fn(Slot) -> Vec<(Slot, Kind)>,
}

impl Editor<'_> {
    /// Every change of a part and of the parts in it.
    fn edits(&self, node: &Node) -> Vec<Edit> {
        let mut found = Vec::new();
        match node {
            Node::Binary(Operator::Add | Operator::Subtract, ..) => self.of_sum(node, &mut found),
            Node::Binary(Operator::Multiply, left, right) => {
                for (factor, rest) in [(left, right), (right, left)] {
                    of_factor(factor, rest, &mut found);
                }
            }
            Node::Binary(Operator::Divide, top, bottom) if is_number(bottom) => {
                found.push(Edit {
                    other: Some((**bottom).clone()),
                    ..Edit::new(Change::NotDivided, top, (**top).clone())
                });
            }
            Node::Of(Of::Half, inner) => {
                found.push(Edit::new(Change::NotHalved, inner, (**inner).clone()));
                found.push(Edit::new(Change::HalvedTwice, inner, half(node)));
            }
            Node::Fold(Fold::Extreme(extreme), table, inner) => {
                let (change, otherwise) = opposite(*extreme);
                let with = |fold| Node::Fold(fold, *table, inner.clone());
                found.push(Edit::new(change, inner, with(Fold::Extreme(otherwise))));
                found.push(Edit::new(Change::First, inner, with(Fold::First)));
                found.push(Edit::new(Change::Last, inner, with(Fold::Last)));
            }
            Node::Fold(Fold::First, table, inner) => {
                found.push(Edit::new(Change::Last, inner, Node::Fold(Fold::Last, *table, inner.clone())));
            }
            Node::Fold(Fold::Last, table, inner) => {
                found.push(Edit::new(Change::First, inner, Node::Fold(Fold::First, *table, inner.clone())));
            }
            Node::Pick(extreme, nodes) => {
                let (change, otherwise) = opposite(*extreme);
                found.push(Edit::new(change, node, Node::Pick(otherwise, nodes.clone())));
            }
            Node::Tick(Tick::Round(way), inner, tick, kind) => {
                found.push(Edit::new(Change::NotRounded, inner, (**inner).clone()));
                let otherwise = if *way == Round::Down { Round::Up } else { Round::Down };
                let whole = Node::Tick(Tick::Round(otherwise), inner.clone(), tick.clone(), *kind);
                found.push(Edit::new(Change::RoundedOtherwise, inner, whole));
            }
            Node::If(condition, yes, no) => {
                let swapped = Node::If(condition.clone(), no.clone(), yes.clone());
                found.push(Edit::new(Change::OtherCase, &swapped, swapped.clone()));
            }
            Node::Measure(slot, kind) => {
                let fits = |(_, other): &(Slot, Kind)| other == kind && kind.base == Base::Length;
                found.extend((self.beside)(*slot).into_iter().filter(fits).map(|(slot, kind)| {
                    let other = Node::Measure(slot, kind);
                    Edit { other: Some(other.clone()), ..Edit::new(Change::Instead, node, other) }
                }));
            }
            Node::Pi => found.push(Edit::new(Change::PiIsThree, node, Node::Literal(3.0, Kind::NUMBER))),
            Node::Literal(..)
            | Node::Word(..)
            | Node::Negate(_)
            | Node::Not(_)
            | Node::Binary(..)
            | Node::Fold(Fold::Sum | Fold::Count, ..)
            | Node::Of(Of::Abs | Of::Sqrt | Of::Odd, _)
            | Node::Tick(Tick::On, ..) => {}
        }
        for (at, child) in node.parts().into_iter().enumerate() {
            // The sums in a sum are one with it.
            let is_done = is_sum(node) && is_sum(child);
            for edit in self.edits(child).into_iter().filter(|edit| !is_done || !edit.change.is_of_term()) {
                found.push(Edit { whole: node.with_part(at, edit.whole.clone()), ..edit });
            }
        }
        found
    }

    fn of_sum(&self, node: &Node, found: &mut Vec<Edit>) {
        let mut terms = Vec::new();
        flatten(node, false, &mut terms);
        for (at, &(is_off, term)) in terms.iter().enumerate() {
            let with = |changed: &[Term]| {
                let mut all = terms.clone();
                all.splice(at..=at, changed.iter().copied());
                sum(&all)
            };
            let mut push = |change, whole: Option<Node>| {
                found.extend(whole.map(|whole| Edit::new(change, term, whole)));
            };
            push(Change::LeftOut, with(&[]));
            // What the rule counts several times already has its own changes.
            if !matches!(term, Node::Binary(Operator::Multiply, left, right) if is_number(left) || is_number(right)) {
                push(Change::Twice, with(&[(is_off, term), (is_off, term)]));
            }
            push(Change::Halved, with(&[(is_off, &half(term))]));
            push(if is_off { Change::Added } else { Change::TakenOff }, with(&[(!is_off, term)]));
        }
    }
}

impl Change {
    /// Whether people make it every day: with a whole term, a factor, or the largest for the smallest.
    pub fn is_common(self) -> bool {
        match self {
            Change::LeftOut
            | Change::Twice
            | Change::Added
            | Change::TakenOff
            | Change::NotTimes
            | Change::NotDivided
            | Change::NotHalved
            | Change::Smallest
            | Change::Largest => true,
            Change::Halved
            | Change::Times { .. }
            | Change::HalvedTwice
            | Change::PiIsThree
            | Change::First
            | Change::Last
            | Change::NotRounded
            | Change::RoundedOtherwise
            | Change::Instead
            | Change::OtherCase => false,
        }
    }

    /// Whether it is made to a term of a sum.
    fn is_of_term(self) -> bool {
        matches!(self, Change::LeftOut | Change::Twice | Change::Halved | Change::Added | Change::TakenOff)
    }
}

fn of_factor(factor: &Node, rest: &Node, found: &mut Vec<Edit>) {
    if !is_number(factor) {
        return;
    }
    found.push(Edit { other: Some(factor.clone()), ..Edit::new(Change::NotTimes, rest, rest.clone()) });
    let Node::Literal(times, _) = factor else { return };
    if !(2.0..=1000.0).contains(times) || libm::floor(*times) != *times {
        return;
    }
    for otherwise in [times - 1.0, times + 1.0, times * 2.0, times / 2.0] {
        let is_known =
            otherwise == 1.0 || libm::floor(otherwise) != otherwise || otherwise == times - 1.0 && *times == 2.0;
        if !is_known {
            let whole = times_of(otherwise, rest);
            let change = Change::Times { counted: otherwise as u16, belongs: *times as u16 };
            found.push(Edit::new(change, rest, whole));
        }
    }
}

fn times_of(times: f64, rest: &Node) -> Node {
    Node::Binary(Operator::Multiply, Box::new(Node::Literal(times, Kind::NUMBER)), Box::new(rest.clone()))
}

fn half(node: &Node) -> Node {
    Node::Of(Of::Half, Box::new(node.clone()))
}

fn opposite(extreme: Extreme) -> (Change, Extreme) {
    match extreme {
        Extreme::Max => (Change::Smallest, Extreme::Min),
        Extreme::Min => (Change::Largest, Extreme::Max),
    }
}

fn is_sum(node: &Node) -> bool {
    matches!(node, Node::Binary(Operator::Add | Operator::Subtract, ..))
}

/// Whether a part is a plain number as it stands: a literal, the circle's ratio, the root of a number.
fn is_number(node: &Node) -> bool {
    match node {
        Node::Literal(_, kind) | Node::Measure(_, kind) => kind.base == Base::Number,
        Node::Pi => true,
        Node::Of(Of::Sqrt | Of::Half, inner) => is_number(inner),
        Node::Fold(Fold::Count, ..) => true,
        Node::Fold(_, _, inner) | Node::Tick(Tick::Round(_), inner, ..) => is_number(inner),
        Node::Binary(Operator::Add | Operator::Subtract | Operator::Multiply | Operator::Divide, left, right) => {
            is_number(left) && is_number(right)
        }
        Node::Word(..)
        | Node::Negate(_)
        | Node::Not(_)
        | Node::Binary(..)
        | Node::Pick(..)
        | Node::Of(..)
        | Node::Tick(..)
        | Node::If(..) => false,
    }
}

/// The terms of a sum of sums, each with its sign.
fn flatten<'n>(node: &'n Node, is_off: bool, into: &mut Vec<Term<'n>>) {
    match node {
        Node::Binary(Operator::Add, left, right) => {
            flatten(left, is_off, into);
            flatten(right, is_off, into);
        }
        Node::Binary(Operator::Subtract, left, right) => {
            flatten(left, is_off, into);
            flatten(right, !is_off, into);
        }
        Node::Negate(inner) => flatten(inner, !is_off, into),
        Node::Literal(..)
        | Node::Pi
        | Node::Word(..)
        | Node::Measure(..)
        | Node::Not(_)
        | Node::Binary(..)
        | Node::Fold(..)
        | Node::Pick(..)
        | Node::Of(..)
        | Node::Tick(..)
        | Node::If(..) => into.push((is_off, node)),
    }
}

/// What the terms come to.
fn sum(terms: &[Term]) -> Option<Node> {
    let (&(is_off, first), rest) = terms.split_first()?;
    let first = if is_off { Node::Negate(Box::new(first.clone())) } else { first.clone() };
    Some(rest.iter().fold(first, |so_far, &(is_off, term)| {
        let operator = if is_off { Operator::Subtract } else { Operator::Add };
        Node::Binary(operator, Box::new(so_far), Box::new(term.clone()))
    }))
}
