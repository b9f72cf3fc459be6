//! How fresh problems are made: what an author lays down for all of them, and for each level.

use super::index::{GivenId, StepId};
use super::step::OnSheet;
use crate::formula::Formula;
use crate::length::Ruler;

/// How fresh problems are made.
#[derive(Debug, Clone, Default)]
pub struct Practice {
    /// The situation in a sentence, for the head of a sheet.
    pub tells: String,
    /// What has to hold for a problem to be set.
    pub require: Vec<Requirement>,
    /// Its levels, the easiest first.
    pub levels: Vec<Level>,
}

/// A condition on a problem.
#[derive(Debug, Clone)]
pub struct Requirement {
    /// What has to hold.
    pub rule: Formula,
    /// In words.
    pub says: String,
}

/// A level of practice, as the exercise states it.
#[derive(Debug, Clone, Default)]
pub struct Level {
    /// From 1, the easiest.
    pub level: u8,
    /// What it trains, for instructors.
    pub says: String,
    /// Rulers of its own, coarser ones for easy numbers; the exercise's, where there is none.
    pub rulers: Vec<Ruler>,
    /// Whether every length that is worked out falls on a tick of the ruler.
    pub on_tick: bool,
    /// Steps whose answers need not do so.
    pub off_tick: Vec<StepId>,
    /// Givens that keep their usual value.
    pub keeps: Vec<GivenId>,
    /// How many ticks apart the values of a given lie, where that is not as its own `varies` says.
    pub every: Option<i64>,
    /// How many rows each table has; as many as its own `varies` says, where there is none.
    pub rows: Option<usize>,
    /// Whether the givens are stated in the other system of units than the ruler's.
    pub converts: bool,
    /// Givens that the sheet leaves out: they have to be worked backwards.
    pub hides: Vec<GivenId>,
    /// Steps whose values the sheet tells.
    pub tells: Vec<StepId>,
    /// Steps that the sheet asks for; all that it does not tell, where there is none.
    pub asks: Vec<StepId>,
    /// Steps whose answers are rounded up to a tick, never down.
    pub rounds_up: Vec<StepId>,
    /// Whether an answer has to be right to the tick, not only to within one.
    pub exact: bool,
    /// What has to hold for a problem, beside what holds at every level.
    pub require: Vec<Requirement>,
}

impl Level {
    /// What a sheet of this level does with a step.
    pub fn on_sheet(&self, step: StepId) -> OnSheet {
        match () {
            () if self.tells.contains(&step) => OnSheet::Told,
            () if self.asks.is_empty() || self.asks.contains(&step) => OnSheet::Asked,
            () => OnSheet::Silent,
        }
    }
}
