//! Slips put into a finished draft, for a student to find.

use super::choose::{Chooser, Dice};
use crate::check::{is_told_apart, with_slips};
use crate::draft::{Draft, Measures, broken_limit};
use crate::exercise::{Exercise, OnSheet, SlipId, StepId, StepRule};
use crate::formula::Values;
use crate::length::{Ruler, Tolerance};

/// Chooses so many slips, evenly among those that can be found: each makes its own measure wrong by more than a tick, what
/// follows from two never comes out right again, and no choice of the draft looks out of bounds because of them. Nothing,
/// if there are none.
pub(super) fn slips(draft: &Draft, count: usize, dice: &mut Dice) -> Option<Vec<SlipId>> {
    let exercise = draft.exercise;
    let single: Vec<_> = exercise.slips.keys().filter(|slip| is_fair(draft, &[*slip])).collect();
    let mut sets: Vec<Vec<SlipId>> = match count {
        1 => single.into_iter().map(|slip| vec![slip]).collect(),
        _ => {
            let pairs = single.iter().flat_map(|one| single.iter().map(move |other| vec![*one, *other]));
            pairs.filter(|pair| exercise.slips[pair[0]].step < exercise.slips[pair[1]].step).collect()
        }
    };
    // The first fair one of a shuffled row is as likely to be any of them; most need no look.
    while !sets.is_empty() {
        let set = sets.swap_remove(dice.choose(sets.len()));
        if is_fair(draft, &set) {
            return Some(set);
        }
    }
    None
}

/// Whether slips can be found by someone who works the draft again.
fn is_fair(draft: &Draft, slips: &[SlipId]) -> bool {
    let (exercise, truth, ruler) = (draft.exercise, &draft.measures, draft.givens.ruler);
    let can_be = |slip: &SlipId| {
        let slip = &exercise.slips[*slip];
        let step = &exercise.steps[slip.step];
        let is_made = slip.when.as_ref().is_none_or(|when| when.holds(truth));
        is_made && step.on_sheet == OnSheet::Asked && matches!(step.rule, StepRule::Value(_))
    };
    if !slips.iter().all(can_be) {
        return false;
    }
    let Some(shown) = with_slips(exercise, truth, slips) else { return false };
    let sees = Seen { exercise, truth, shown: &shown, ruler };
    let is_sound = exercise.steps.keys().all(|step| sees.is_sound(step));
    let is_seen = slips.iter().all(|slip| sees.differs(exercise.slips[*slip].step, true));
    let made_in: Vec<_> = slips.iter().map(|slip| exercise.slips[*slip].step).collect();
    let cancels = |step: StepId| {
        let rests_on_all = made_in.iter().all(|made| step == *made || exercise.rests_on(step, &|other| other == *made));
        made_in.len() > 1 && rests_on_all && !sees.differs(step, false)
    };
    is_sound && is_seen && !exercise.steps.keys().any(cancels)
}

/// A draft beside what is shown of it.
struct Seen<'s> {
    exercise: &'s Exercise,
    truth: &'s Measures,
    shown: &'s Measures,
    ruler: Ruler,
}

impl Seen<'_> {
    /// Whether what is shown of a step looks possible: no length less than nothing, no choice beyond its limits.
    fn is_sound(&self, step: StepId) -> bool {
        let step = &self.exercise.steps[step];
        (0..self.truth.count(self.exercise, step.slot)).all(|row| {
            self.shown.value(step.slot, row).is_some_and(|value| {
                value >= 0.0 && broken_limit(step, value, self.shown, row, Tolerance::exactly()).is_none()
            })
        })
    }

    /// Whether what is shown of a step can be told from what is right, and, if `from_own` says so, from what would be right
    /// by the figures shown before it: in some row of it at least.
    fn differs(&self, index: StepId, from_own: bool) -> bool {
        let step = &self.exercise.steps[index];
        let StepRule::Value(rule) = &step.rule else { return true };
        (0..self.truth.count(self.exercise, step.slot)).any(|row| {
            let shown = self.shown.value(step.slot, row);
            let differs = |right: Option<f64>| {
                shown.zip(right).is_some_and(|(shown, right)| is_told_apart(step, shown, right, self.ruler))
            };
            differs(self.truth.value(step.slot, row)) && (!from_own || differs(rule.evaluate(self.shown, Some(row))))
        })
    }
}
