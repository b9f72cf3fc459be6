//! Steps of the draft, and the mistakes that are known to be made in them.

use super::index::StepId;
use super::mark::Drawn;
use crate::formula::{Changed, Formula, Kind, Slot};
use crate::length::Length;
use std::sync::OnceLock;

/// A step of the draft: one measure the student works out.
#[derive(Debug, Clone)]
pub struct Step {
    /// Its name in formulas and answer files.
    pub name: String,
    /// For people.
    pub title: String,
    /// The title as it reads within a sentence or a formula.
    pub short: String,
    /// Where its value lies.
    pub slot: Slot,
    /// Its kind: a length or a number, or a list of one of these.
    pub kind: Kind,
    /// How it is worked out.
    pub rule: StepRule,
    /// The steps its rule uses, each once.
    pub uses: Vec<StepId>,
    /// The reason for the rule.
    pub why: String,
    /// A nudge that gives no answer away.
    pub nudge: String,
    /// What a right answer earns.
    pub points: u32,
    /// How far an answer may be off, where that is not one tick of the ruler.
    pub tolerance: Option<Length>,
    /// Whether it can't be measured on the draft, and is handed in as it was reckoned.
    pub is_reckoned: bool,
    /// What the step adds to the figure.
    pub draw: Vec<Drawn>,
    /// What a sheet does with it; see [`Exercise::at_level`](super::Exercise::at_level).
    pub on_sheet: OnSheet,
    /// Whether an answer has to be right to the tick, not only to within one.
    pub is_exact: bool,
    /// Its rule with one change each, once that was asked for; see [`Exercise::changes`](super::Exercise::changes).
    pub(in crate::exercise) changes: OnceLock<Vec<Changed>>,
}

impl Step {
    /// Whether the student chooses it, within limits.
    pub fn is_choice(&self) -> bool {
        match self.rule {
            StepRule::Value(_) => false,
            StepRule::Within { .. } => true,
        }
    }

    /// Every formula of its rule.
    pub fn formulas(&self) -> impl Iterator<Item = &Formula> {
        let (value, limits, suggest) = match &self.rule {
            StepRule::Value(value) => (Some(value), &[][..], None),
            StepRule::Within { limits, suggest } => (None, &limits[..], Some(suggest)),
        };
        value.into_iter().chain(limits.iter().map(|limit| &limit.value)).chain(suggest)
    }
}

/// How a step is worked out.
#[derive(Debug, Clone)]
pub enum StepRule {
    /// By a formula.
    Value(Formula),
    /// By the student's choice, within limits.
    Within {
        /// The limits.
        limits: Vec<Limit>,
        /// What the program chooses where nobody did.
        suggest: Formula,
    },
}

/// A limit of a choice.
#[derive(Debug, Clone)]
pub struct Limit {
    /// Which side, and whether the limit itself may be chosen.
    pub kind: LimitKind,
    /// Where it lies.
    pub value: Formula,
    /// What is wrong beyond it; part of a sentence.
    pub why: String,
}

/// Which side of a choice a limit bounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LimitKind {
    /// The limit may be chosen; read to within a tick.
    AtLeast,
    /// The limit itself is too little.
    Above,
    /// The limit may be chosen; read to within a tick.
    AtMost,
    /// The limit itself is too much.
    Below,
}

impl LimitKind {
    /// In words, before a value.
    pub fn words(self) -> &'static str {
        match self {
            LimitKind::AtLeast => "at least",
            LimitKind::Above => "more than",
            LimitKind::AtMost => "at most",
            LimitKind::Below => "less than",
        }
    }

    /// Whether it bounds from below.
    pub fn is_lower(self) -> bool {
        matches!(self, LimitKind::AtLeast | LimitKind::Above)
    }
}

/// What a sheet does with a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum OnSheet {
    /// It asks for the step.
    #[default]
    Asked,
    /// It tells the step's value.
    Told,
    /// It leaves the step out.
    Silent,
}

/// A known mistake, as the formula that the student in fact used.
#[derive(Debug, Clone)]
pub struct Slip {
    /// Its name, for counting it over a class.
    pub name: String,
    /// Index of the step it is made in.
    pub step: StepId,
    /// What was worked out instead.
    pub used: Formula,
    /// Condition under which it can be made at all.
    pub when: Option<Formula>,
    /// What to tell the student.
    pub says: String,
}
