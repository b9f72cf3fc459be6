//! Which answers rest on what: asked before a sheet is read again, since most causes are ruled out by it.

use crate::exercise::{Exercise, StepId};
use crate::formula::Slot;

/// For each slot the steps that are worked from it, directly or through others.
#[derive(Debug, Clone)]
pub(super) struct Dependents(Vec<Vec<StepId>>);

impl Dependents {
    pub fn new(exercise: &Exercise) -> Dependents {
        let of = |slot: Slot| {
            let uses = |step: StepId| exercise.steps[step].formulas().any(|formula| formula.uses().contains(&slot));
            exercise.steps.keys().filter(|step| uses(*step) || exercise.rests_on(*step, &uses)).collect()
        };
        Dependents((0..exercise.scope.len()).map(Slot).map(of).collect())
    }

    pub fn of(&self, slot: Slot) -> &[StepId] {
        &self.0[slot.0]
    }
}
