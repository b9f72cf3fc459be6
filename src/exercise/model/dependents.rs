//! What rests on what.

use super::exercise::{Dependents, Exercise};
use super::index::StepId;
use super::step::{Step, StepRule};
use crate::formula::Slot;

impl Exercise {
    /// The steps whose values are worked from a measure, directly or through others, in the order of work. A choice is not:
    /// only its limits are.
    ///
    /// ```
    /// use foldmark::exercise::Shelf;
    /// let shelf = Shelf::shipped();
    /// let tote = shelf.get("boxed-tote").unwrap();
    /// let on_tip = tote.dependents(tote.step("tip").unwrap().slot);
    /// assert_eq!(on_tip, [tote.step_id("across").unwrap()]);
    /// ```
    pub fn dependents(&self, slot: Slot) -> &[StepId] {
        &self.on(slot).worked
    }

    /// The choices whose limits, or what is suggested for them, rest on a measure.
    ///
    /// ```
    /// use foldmark::exercise::Shelf;
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let on_grip = roll.limited(roll.scope.slot("grip").unwrap());
    /// assert_eq!(on_grip, [roll.step_id("pocket_height").unwrap()]);
    /// ```
    pub fn limited(&self, slot: Slot) -> &[StepId] {
        &self.on(slot).limited
    }

    fn on(&self, slot: Slot) -> &Dependents {
        let of = |slot: usize| {
            let worked = self.worked_from(Slot(slot));
            let limited = self.limited_by(Slot(slot), &worked);
            Dependents { worked, limited }
        };
        &self.dependents.get_or_init(|| (0..self.scope.len()).map(of).collect())[slot.0]
    }

    fn limited_by(&self, slot: Slot, worked: &[StepId]) -> Vec<StepId> {
        let is_on = |used: &Slot| *used == slot || worked.iter().any(|step| self.steps[*step].slot == *used);
        let is_limited =
            |step: &Step| step.is_choice() && step.formulas().any(|formula| formula.uses().iter().any(is_on));
        self.steps.iter_enumerated().filter(|(_, step)| is_limited(step)).map(|(index, _)| index).collect()
    }

    fn worked_from(&self, slot: Slot) -> Vec<StepId> {
        let mut slots = vec![slot];
        let mut found = Vec::new();
        for &index in &self.order {
            let step = &self.steps[index];
            if let StepRule::Value(rule) = &step.rule
                && rule.uses().iter().any(|used| slots.contains(used))
            {
                slots.push(step.slot);
                found.push(index);
            }
        }
        found
    }
}
