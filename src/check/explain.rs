//! Why an answer is wrong: the exercise's slips, tried against it. A false accusation is worse than
//! silence, so a slip is named only when it fits within half a tick and no other fits as well.

use super::mark::{MarkedCell, Rests, tolerance};
use crate::draft::Draft;
use crate::exercise::StepRule;
use crate::length::Tolerance;

/// The slip that accounts for a wrong answer, worked from the student's own answers or from the true
/// values; `None` if none does, or more than one.
pub(super) fn explain(cell: &MarkedCell, truth: &Draft, own: &Draft, rests: &Rests) -> Option<usize> {
    let answer = cell.answer?;
    let exercise = truth.exercise;
    let ruler = truth.givens.ruler;
    let close = Tolerance::half_tick(ruler).width().as_nm_f64();
    let fits = |draft: &Draft, slip: usize, is_known: &dyn Fn(usize) -> bool| {
        let slip = &exercise.slips[slip];
        // A slip worked from a choice that the student never made would be a guess.
        let is_known = slip
            .used
            .uses()
            .iter()
            .all(|slot| exercise.steps.iter().position(|step| step.slot == *slot).is_none_or(is_known));
        let can_be = slip.when.as_ref().is_none_or(|when| when.evaluate(&draft.measures, None) != 0.0);
        let value = slip.used.evaluate(&draft.measures, Some(cell.row));
        (is_known && can_be && (answer - value).abs() <= close).then_some(value)
    };
    let mut fitting =
        (0..exercise.slips.len()).filter(|slip| exercise.slips[*slip].step == cell.step).filter_map(|slip| {
            let value = fits(own, slip, &|step| rests.own_carry[step].is_none());
            let value = value.or_else(|| fits(truth, slip, &|step| rests.true_carry[step].is_none()))?;
            Some((slip, value))
        });
    match (fitting.next(), fitting.next()) {
        (Some((slip, value)), None) => {
            // What lies as near to a right answer as to the slip can't be told from a right answer.
            let clear = tolerance(&exercise.steps[cell.step], ruler).width().as_nm_f64();
            // A choice beyond its limits is not right anyhow.
            let is_choice = matches!(exercise.steps[cell.step].rule, StepRule::Within { .. });
            let is_apart = |right: f64| is_choice || right.is_nan() || (value - right).abs() > clear;
            (is_apart(cell.expected) && is_apart(cell.own)).then_some(slip)
        }
        _ => None,
    }
}
