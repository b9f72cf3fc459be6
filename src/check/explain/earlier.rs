//! A slip in a step that has no answer, tried by judging the sheet again with what it would have given: it counts for every
//! wrong answer that comes out right then.

use super::candidates::Candidate;
use super::evidence::{Evidence, Fit, WrongAnswer};
use crate::check::judge::follows;
use crate::check::result::{Cause, Explanation};

/// Adds the slips, as long as so much is left to be worked out, in steps without an answer that account for some of the wrong answers.
pub(super) fn add_earlier(evidence: &Evidence, wrong: &mut [WrongAnswer], mut left: u64) {
    // One change costs a whole marking: only where something is left to explain, or may be explained better.
    let is_settled = match &wrong[..] {
        [only] => !only.fits.is_empty(),
        several => several.iter().all(|cell| cell.fits.iter().any(|fit| fit.accounts == several.len())),
    };
    if is_settled {
        return;
    }
    let Evidence { judge, answers, givens, worked, .. } = *evidence;
    let exercise = judge.exercise;
    let mut room = worked.clone();
    let weight = judge.weight(givens, answers);
    for (index, slip) in exercise.slips.iter_enumerated() {
        let step = &exercise.steps[slip.step];
        let cells = answers.cells(slip.step);
        let is_open = cells.len() == 1
            && answers.get(cells.start).is_none()
            && worked.rests.own[slip.step].is_none()
            && !step.is_choice();
        if !is_open || !slip.when.as_ref().is_none_or(|when| when.holds(&worked.own)) {
            continue;
        }
        let Some(still) = left.checked_sub(weight) else { return };
        left = still;
        let mut changed = answers.clone();
        changed.set(cells.start, follows(step, &slip.used, &worked.own, 0));
        if judge.judge(givens, &changed, &mut room, None).is_err() {
            continue;
        }
        let earns = |cell: usize| room.judged[cell].verdict.earns();
        let accounts = wrong.iter().filter(|wrong| earns(wrong.cell)).count();
        let is_spoiled = |cell: usize| worked.judged[cell].verdict.earns() && !earns(cell);
        if accounts == 0 || (0..answers.len()).any(is_spoiled) {
            continue;
        }
        for wrong in wrong.iter_mut().filter(|wrong| earns(wrong.cell)) {
            let explanation = Explanation { cause: Cause::Earlier(index), and: None };
            wrong.fits.push(Fit { candidate: Candidate { explanation, value: wrong.answer }, accounts });
        }
    }
}
