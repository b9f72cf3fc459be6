//! What rests on what.

use super::exercise::Exercise;
use super::index::StepId;
use crate::formula::Slot;

impl Exercise {
    /// The steps that are worked from a measure, directly or through others, in the order of work.
    ///
    /// ```
    /// use foldmark::exercise::Shelf;
    /// let shelf = Shelf::shipped();
    /// let tote = shelf.get("boxed-tote").unwrap();
    /// let on_tip = tote.dependents(tote.step("tip").unwrap().slot);
    /// assert_eq!(on_tip, [tote.step_id("across").unwrap()]);
    /// ```
    pub fn dependents(&self, slot: Slot) -> &[StepId] {
        let of = |slot: Slot| {
            let uses = |step: StepId| self.steps[step].formulas().any(|formula| formula.uses().contains(&slot));
            self.steps.keys().filter(|step| uses(*step) || self.rests_on(*step, &uses)).collect()
        };
        &self.dependents.get_or_init(|| (0..self.scope.len()).map(Slot).map(of).collect())[slot.0]
    }
}
