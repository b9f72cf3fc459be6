//! What rests on a choice that is missing.

use crate::exercise::{Exercise, Step, StepId};
use typed_index_collections::TiVec;

/// Which steps rest on a choice that is missing or can't be read, directly or through others: by the true
/// values, and by the student's own answers. A choice that was made carries nothing on: what follows it is
/// worked from the choice itself.
#[derive(Debug, Clone)]
pub(in crate::check) struct Rests {
    pub truth: TiVec<StepId, Option<StepId>>,
    pub own: TiVec<StepId, Option<StepId>>,
    /// What each step carries on to those that use it.
    pub true_carry: TiVec<StepId, Option<StepId>>,
    /// The same, by the student's own answers.
    pub own_carry: TiVec<StepId, Option<StepId>>,
    /// Whether no step rests on anything.
    is_clear: bool,
}

impl Rests {
    pub fn none(exercise: &Exercise) -> Rests {
        let nothing = || vec![None; exercise.steps.len()].into();
        Rests { truth: nothing(), own: nothing(), true_carry: nothing(), own_carry: nothing(), is_clear: true }
    }

    pub fn clear(&mut self) {
        if std::mem::replace(&mut self.is_clear, true) {
            return;
        }
        for rests in [&mut self.truth, &mut self.own, &mut self.true_carry, &mut self.own_carry] {
            rests.fill(None);
        }
    }

    /// What a step rests on, once those that it uses were left.
    pub fn enter(&mut self, step: &Step, index: StepId) {
        self.is_clear = false;
        self.truth[index] = step.uses.iter().find_map(|used| self.true_carry[*used]);
        self.own[index] = step.uses.iter().find_map(|used| self.own_carry[*used]);
    }

    /// What a step carries on.
    pub fn leave(&mut self, step: &Step, index: StepId, is_answered: bool) {
        self.true_carry[index] = if step.is_choice() { (!is_answered).then_some(index) } else { self.truth[index] };
        self.own_carry[index] = match (is_answered, step.is_choice()) {
            (true, _) => None,
            (false, true) => Some(index),
            (false, false) => self.own[index],
        };
    }
}
