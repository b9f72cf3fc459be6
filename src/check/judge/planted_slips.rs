//! A finished draft with slips planted in it, of which a student has to say where they are.

use crate::check::result::Verdict;
use crate::draft::{Measures, whole};
use crate::exercise::{Exercise, SlipId, StepId, StepRule};
use crate::formula::Values;
use typed_index_collections::TiSlice;

/// A worked draft as someone shows it who made slips: what follows from a slip is
/// worked from the wrong figure, and choices are those of the draft. Nothing, if it can't be worked out.
///
/// ```
/// use foldmark::{check::with_slips, draft::{Draft, Givens, Raw}, exercise::Shelf, formula::Values, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let slip = roll.slips.position(|slip| slip.name == "side-ease-missing").unwrap();
/// let shown = with_slips(roll, &draft.measures, &[slip]).unwrap();
/// let width = |measures: &foldmark::draft::Measures| measures.value(roll.step("cut_width").unwrap().slot, 0);
/// assert!(width(&shown) < width(&draft.measures));
/// ```
pub fn with_slips(exercise: &Exercise, worked: &Measures, slips: &[SlipId]) -> Option<Measures> {
    let mut shown = worked.clone();
    for &index in &exercise.order {
        let step = &exercise.steps[index];
        let StepRule::Value(rule) = &step.rule else { continue };
        let slip = slips.iter().map(|slip| &exercise.slips[*slip]).find(|slip| slip.step == index);
        let used = slip.map_or(rule, |slip| &slip.used);
        for row in 0..shown.count(exercise, step.slot) {
            let value = whole(step, used.evaluate(&shown, Some(row))?)?;
            shown.set(step.slot, row, value);
        }
    }
    Some(shown)
}

/// A draft with slips in it beside the draft as it should be.
pub(in crate::check) struct Planted<'p> {
    pub exercise: &'p Exercise,
    pub slips: &'p [SlipId],
    pub truth: &'p Measures,
    pub shown: &'p Measures,
    /// How far each step's answer may be off.
    pub widths: &'p TiSlice<StepId, f64>,
}

impl Planted<'_> {
    /// The right value of a measure.
    pub fn right(&self, step: StepId, row: usize) -> Option<f64> {
        self.truth.value(self.exercise.steps[step].slot, row)
    }

    /// What is found about a measure that a student named, or left out, and what is to be said of it; nothing, where it has
    /// no part in the task. Each measure with a slip in it has to be named with its right value. A right measure that is
    /// named counts as a wrong answer; one that only follows from a slip may be named as well.
    pub fn judge(&self, step: StepId, row: usize, answer: Option<f64>) -> Option<(Verdict, &'static str)> {
        let right = self.right(step, row)?;
        let is_right = |value: f64| (value - right).abs() <= self.widths[step];
        let is_wrong_as_shown = !self.shown.value(self.exercise.steps[step].slot, row).is_some_and(is_right);
        let is_made_here = self.slips.iter().any(|slip| self.exercise.slips[*slip].step == step);
        match (answer, is_made_here && is_wrong_as_shown) {
            (None, is_faulty) => is_faulty.then_some((Verdict::Missing, "")),
            (Some(value), is_faulty) if is_right(value) && is_wrong_as_shown => {
                is_faulty.then_some((Verdict::Right, ""))
            }
            // Of a list with a slip in it, a row that the slip left as it was may be named with the others.
            (Some(value), false) if is_right(value) && is_made_here => None,
            (Some(_), true) => Some((Verdict::NotRight, "")),
            (Some(_), false) if is_wrong_as_shown => {
                Some((Verdict::NotRight, "no slip was made here: it only follows from another measure"))
            }
            (Some(_), false) => Some((Verdict::NotRight, "this measure was right as it stood")),
        }
    }
}
