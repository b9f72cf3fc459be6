//! Mistakes that change what the whole sheet is worked from: a sheet in the other unit, two answers exchanged, a given
//! misread, a slip in a step that has no answer. Each is tried by judging the sheet again with the change made, and
//! counts for every wrong answer that it puts right.

use super::candidates::{Candidate, units};
use super::evidence::{Evidence, Fit, WrongAnswer};
use crate::check::handed_in::Answers;
use crate::check::judge::{Judge, Judged, Worked, follows};
use crate::check::result::{Cause, Explanation, Verdict};
use crate::draft::Measures;
use crate::exercise::{GivenKind, StepId, StepRule};
use crate::formula::{Base, Kind, Slot, Values};
use crate::length::{Length, Ruler, Unit};

/// Adds the mistakes that account for several of the wrong answers.
pub(super) fn add_whole_sheet<'a, 'e>(evidence: &Evidence<'a, 'e>, wrong: &mut [WrongAnswer<'a, 'e>]) {
    // One change costs a whole marking: only where something is left to explain, or may be explained better.
    let is_settled = match &wrong[..] {
        [only] => !only.fits.is_empty(),
        several => several.iter().all(|cell| cell.fits.iter().any(|fit| fit.accounts == several.len())),
    };
    if is_settled {
        return;
    }
    let mut trial = Trial { evidence, wrong, worked: evidence.worked.clone() };
    trial.other_unit();
    trial.exchanged();
    trial.misread();
    trial.earlier();
}

/// So many wrong answers have to come out right for two answers to have been exchanged, or a given misread.
const SEVERAL: usize = 2;

/// A sheet as it would be without a mistake.
struct Change<'c> {
    cause: Cause,
    givens: &'c Measures,
    answers: &'c Answers,
    /// How many wrong answers have to come out right for the mistake to be believed.
    enough: usize,
    /// Steps that may come out wrong, though they were right: they rest on what is changed.
    spares: &'c dyn Fn(StepId) -> bool,
}

/// Changes being tried on a sheet.
struct Trial<'t, 'a, 'e> {
    evidence: &'t Evidence<'a, 'e>,
    wrong: &'t mut [WrongAnswer<'a, 'e>],
    /// Room to work the changed sheets in.
    worked: Worked,
}

impl Trial<'_, '_, '_> {
    /// Adds a mistake to every wrong answer that comes out right once the change is made; nothing if the change
    /// spoils an answer that was right, or puts fewer right than are needed to believe it.
    fn try_change(&mut self, judge: &Judge, change: &Change) {
        let Evidence { answers, worked: before, .. } = self.evidence;
        if judge.judge(change.givens, change.answers, &mut self.worked, None).is_err() {
            return;
        }
        let earns = |judged: &[Judged], cell: usize| judged[cell].verdict.earns();
        let after = &self.worked.judged;
        let accounts = self.wrong.iter().filter(|wrong| earns(after, wrong.cell)).count();
        if accounts < change.enough {
            return;
        }
        let mut kept =
            judge.exercise.steps.keys().filter(|step| !(change.spares)(*step)).flat_map(|step| answers.cells(step));
        if kept.any(|cell| earns(&before.judged, cell) && !earns(after, cell)) {
            return;
        }
        for wrong in self.wrong.iter_mut().filter(|wrong| earns(after, wrong.cell)) {
            let explanation = Explanation { cause: change.cause, and: None };
            wrong.fits.push(Fit { candidate: Candidate { explanation, value: wrong.answer }, accounts });
        }
    }

    /// Every answer measured in one unit and handed in as another: nearly all that is wrong comes out right then, to
    /// what the other unit's ruler shows.
    fn other_unit(&mut self) {
        if self.wrong.len() < 3 {
            return;
        }
        let Evidence { judge, answers, givens, ruler, .. } = *self.evidence;
        let exercise = judge.exercise;
        for &(wrote, meant) in units(ruler) {
            let ratio = meant.length().as_nm_f64() / wrote.length().as_nm_f64();
            let shown = if meant.is_metric() { Ruler::MILLIMETRE } else { Ruler::EIGHTH }.tick().as_nm_f64();
            let (mut judge, mut changed) = (judge.clone(), answers.clone());
            for (index, _) in exercise.steps.iter_enumerated().filter(|(_, step)| step.kind.base == Base::Length) {
                judge.widths[index] = judge.widths[index].max(shown);
                for cell in answers.cells(index) {
                    changed.set(cell, answers.get(cell).map(|answer| libm::round(answer * ratio)));
                }
            }
            let cause = Cause::Unit { wrote, meant };
            let enough = (self.wrong.len() * 2).div_ceil(3).max(3);
            // A choice that happens to be one in either unit is no proof.
            let spares = |step: StepId| exercise.steps[step].is_choice();
            self.try_change(&judge, &Change { cause, givens, answers: &changed, enough, spares: &spares });
        }
    }

    fn exchanged(&mut self) {
        let Evidence { judge, answers, givens, .. } = *self.evidence;
        let exercise = judge.exercise;
        let is_length = |wrong: &&WrongAnswer| exercise.steps[wrong.asked.step].kind == Kind::LENGTH;
        let cells: Vec<(StepId, usize, f64)> =
            self.wrong.iter().filter(is_length).map(|wrong| (wrong.asked.step, wrong.cell, wrong.answer)).collect();
        // In a sheet where nearly everything is wrong, something always fits.
        if cells.len() > 8 {
            return;
        }
        for (at, &(one, here, first)) in cells.iter().enumerate() {
            for &(other, there, second) in &cells[at + 1..] {
                let mut changed = answers.clone();
                changed.set(here, Some(second));
                changed.set(there, Some(first));
                let cause = Cause::Exchanged(one, other);
                // Who went on from the exchanged figures is right by them, and wrong without.
                let spares = |step: StepId| exercise.rests_on(step, &|used| used == one || used == other);
                self.try_change(judge, &Change { cause, givens, answers: &changed, enough: SEVERAL, spares: &spares });
            }
        }
    }

    fn misread(&mut self) {
        let Evidence { judge, givens, .. } = *self.evidence;
        for given in &judge.exercise.givens {
            match &given.kind {
                GivenKind::Length { slot, usual, .. } if self.may_be_misread(*slot) => {
                    let usual: Vec<Length> = usual.iter().map(|stated| stated.length).collect();
                    self.misread_as(*slot, 0, &usual);
                }
                GivenKind::Table { table, columns, .. } => {
                    for column in columns.iter().filter(|column| column.is_length) {
                        let rows = if self.may_be_misread(column.slot) { givens.rows(*table) } else { 0 };
                        (0..rows).for_each(|row| self.misread_as(column.slot, row, &[]));
                    }
                }
                GivenKind::Length { .. } | GivenKind::Number { .. } | GivenKind::Choice { .. } => {}
            }
        }
    }

    /// Whether a given may have been misread: several wrong answers rest on it, and what is worked straight from it is wrong
    /// wherever it is answered.
    fn may_be_misread(&self, given: Slot) -> bool {
        let Evidence { judge, answers, worked, .. } = self.evidence;
        let exercise = judge.exercise;
        let uses = |step: StepId| exercise.steps[step].formulas().any(|formula| formula.uses().contains(&given));
        let rests = |step: StepId| uses(step) || exercise.rests_on(step, &uses);
        if self.wrong.iter().filter(|wrong| rests(wrong.asked.step)).count() < SEVERAL {
            return false;
        }
        let mut is_anything_wrong = false;
        for (index, step) in exercise.steps.iter_enumerated() {
            let StepRule::Value(rule) = &step.rule else { continue };
            if rule.uses().contains(&given) {
                let verdicts = || worked.judged[answers.cells(index)].iter().map(|judged| judged.verdict);
                if step.kind.list.is_none() && verdicts().any(|verdict| verdict == Verdict::Right) {
                    return false;
                }
                is_anything_wrong |= verdicts().any(Verdict::is_wrong);
            }
        }
        is_anything_wrong
    }

    fn misread_as(&mut self, given: Slot, row: usize, usual: &[Length]) {
        let Evidence { judge, answers, givens, ruler, .. } = *self.evidence;
        let Some(value) = givens.value(given, row) else { return };
        for read_as in other_values(value, usual, ruler) {
            let mut changed = givens.clone();
            changed.set(given, row, read_as.as_nm_f64());
            let cause = Cause::Misread { given, row, read_as };
            self.try_change(judge, &Change { cause, givens: &changed, answers, enough: SEVERAL, spares: &|_| false });
        }
    }

    /// A slip in a step that has no answer shows in those that follow from it.
    fn earlier(&mut self) {
        let Evidence { judge, answers, givens, worked, .. } = *self.evidence;
        let exercise = judge.exercise;
        for (index, slip) in exercise.slips.iter_enumerated() {
            let step = &exercise.steps[slip.step];
            let cells = answers.cells(slip.step);
            let is_open = cells.len() == 1
                && answers.get(cells.start).is_none()
                && worked.rests.own[slip.step].is_none()
                && !step.is_choice();
            if is_open && slip.when.as_ref().is_none_or(|when| when.holds(&worked.own)) {
                let mut changed = answers.clone();
                changed.set(cells.start, follows(step, &slip.used, &worked.own, 0));
                let cause = Cause::Earlier(index);
                self.try_change(judge, &Change { cause, givens, answers: &changed, enough: 1, spares: &|_| false });
            }
        }
    }
}

/// What a length may have been read as: the fractions beside it, and the usual values.
fn other_values(value: f64, usual: &[Length], ruler: Ruler) -> Vec<Length> {
    let mut values: Vec<Length> = usual.to_vec();
    if !ruler.is_metric() {
        let eighth = Unit::Inch.length().nm() / 8;
        values.extend([-2, 2].into_iter().filter_map(|parts| {
            Length::from_nm_f64(value).map(|length| Length::from_nm(length.nm() + parts * eighth))
        }));
    }
    values.retain(|length| length.nm() > 0 && (length.as_nm_f64() - value).abs() > ruler.tick().as_nm_f64() / 2.0);
    values
}
