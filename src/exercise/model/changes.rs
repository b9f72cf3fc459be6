//! What may be done otherwise in a step's rule.

use super::exercise::Exercise;
use super::index::StepId;
use super::step::StepRule;
use crate::formula::{Changed, Kind, Slot};

/// So many measures that one may be taken for are looked at.
const MOST_BESIDE: usize = 40;

impl Exercise {
    /// A step's rule with one change, in every way that is known: a term left out or counted twice, a factor forgotten, one
    /// measure taken for another that stands near it. Always the same in the same order, made when
    /// they are first asked for; none for a choice.
    ///
    /// ```
    /// use foldmark::exercise::Shelf;
    /// use foldmark::formula::Change;
    /// let shelf = Shelf::shipped();
    /// let tote = shelf.get("boxed-tote").unwrap();
    /// let changes = tote.changes(tote.step_id("cut_height").unwrap());
    /// // flat_height + hem + seam
    /// assert_eq!(changes.iter().filter(|known| known.change == Change::LeftOut).count(), 3);
    /// ```
    pub fn changes(&self, step: StepId) -> &[Changed] {
        self.steps[step].changes.get_or_init(|| match &self.steps[step].rule {
            StepRule::Value(rule) => rule.changes(&|slot| self.beside(step, slot)),
            StepRule::Within { .. } => Vec::new(),
        })
    }

    /// The measures that one may be taken for in a step's rule: those before and after it in the text, those that the rule
    /// uses too, and what it is worked from or into.
    fn beside(&self, step: StepId, slot: Slot) -> Vec<(Slot, Kind)> {
        let mut near = vec![slot.0.wrapping_sub(1), slot.0 + 1];
        let uses = |step: StepId| self.steps[step].formulas().flat_map(|formula| formula.uses()).map(|used| used.0);
        near.extend(uses(step));
        for (index, other) in self.steps.iter_enumerated() {
            if other.slot == slot {
                near.extend(uses(index));
            } else if !other.is_choice() && other.formulas().any(|formula| formula.uses().contains(&slot)) {
                near.push(other.slot.0);
            }
        }
        near.sort_unstable();
        near.dedup();
        near.truncate(MOST_BESIDE);
        // What rests on the step itself is not there yet when it is worked.
        let is_there = |near: &Slot| {
            let later = self.steps.position(|other| other.slot == *near);
            *near != slot
                && near.0 < self.scope.len()
                && later.is_none_or(|later| later != step && !self.rests_on(later, &|used| used == step))
        };
        near.into_iter().map(Slot).filter(is_there).map(|near| (near, self.scope.kind(near))).collect()
    }
}
