//! What rests on what.

use super::exercise::Exercise;
use super::index::StepId;
use super::step::StepRule;
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
        &self.dependents.get_or_init(|| (0..self.scope.len()).map(Slot).map(|slot| self.worked_from(slot)).collect())
            [slot.0]
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
