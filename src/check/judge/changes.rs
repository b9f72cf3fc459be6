//! The rules of an exercise with one change each, made when they are first asked for.

use crate::exercise::{Exercise, StepId};
use crate::formula::Changed;
use std::sync::OnceLock;
use typed_index_collections::TiVec;

#[derive(Debug, Clone)]
pub(in crate::check) struct Changes<'e> {
    exercise: &'e Exercise,
    by_step: TiVec<StepId, OnceLock<Vec<Changed>>>,
}

impl<'e> Changes<'e> {
    pub fn new(exercise: &'e Exercise) -> Changes<'e> {
        Changes { exercise, by_step: exercise.steps.iter().map(|_| OnceLock::new()).collect() }
    }

    /// A step's rule with one change, in the order of [`Exercise::changes`].
    pub fn of(&self, step: StepId) -> &[Changed] {
        self.by_step[step].get_or_init(|| self.exercise.changes(step))
    }
}
