//! The levels of practice: what an author lays down for each, and the exercise as a sheet of that level sets it.

use super::index::{GivenId, StepId};
use super::model::{Exercise, Requirement, Slip, StepRule};
use crate::length::Ruler;
use std::sync::OnceLock;

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
    pub(super) exercise: OnceLock<Box<Exercise>>,
}

/// What a sheet does with a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Part {
    /// It asks for the step.
    #[default]
    Asked,
    /// It tells the step's value.
    Told,
    /// It leaves the step out.
    Silent,
}

impl Level {
    /// What a sheet of this level does with a step.
    pub fn part(&self, step: StepId) -> Part {
        match () {
            () if self.tells.contains(&step) => Part::Told,
            () if self.asks.is_empty() || self.asks.contains(&step) => Part::Asked,
            () => Part::Silent,
        }
    }
}

impl Exercise {
    /// What the exercise lays down for a level of practice.
    pub fn level(&self, level: u8) -> Option<&Level> {
        self.practice.levels.iter().find(|known| known.level == level)
    }

    /// The exercise as a sheet of a level sets it: with the steps that are asked for and told there, and how exactly. Level 0
    /// is the exercise itself; nothing, if it has no such level.
    ///
    /// ```
    /// use foldmark::exercise::{Part, Shelf};
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let worked_backwards = roll.at_level(4).unwrap();
    /// assert!(worked_backwards.steps.iter().any(|step| step.part == Part::Told));
    /// assert!(roll.steps.iter().all(|step| step.part == Part::Asked));
    /// ```
    pub fn at_level(&self, level: u8) -> Option<&Exercise> {
        if level == 0 {
            return Some(self);
        }
        let level = self.level(level)?;
        Some(level.exercise.get_or_init(|| Box::new(self.set_at(level))))
    }

    fn set_at(&self, level: &Level) -> Exercise {
        let mut set = self.clone();
        // A copy needs no copies of its own.
        set.practice.levels.clear();
        set.practice.require.extend(level.require.iter().cloned());
        if !level.rulers.is_empty() {
            set.rulers.clone_from(&level.rulers);
        }
        for (index, step) in set.steps.iter_mut_enumerated() {
            step.part = level.part(index);
            step.is_exact = level.exact;
            let StepRule::Value(value) = &mut step.rule else { continue };
            if level.rounds_up.contains(&index) {
                set.slips.push(Slip {
                    name: format!("{}-rounded-down", step.name.replace('_', "-")),
                    step: index,
                    used: value.rounded(false),
                    when: None,
                    says: "It was rounded down. What leaves room is rounded up: a tick too much does no harm, and \
                           a tick too little is too tight."
                        .to_owned(),
                });
                *value = value.rounded(true);
            }
        }
        set
    }
}
