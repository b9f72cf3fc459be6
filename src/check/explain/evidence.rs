//! The wrong answers of a sheet, and which mistakes would lead to each of them.

use super::candidates::{Asked, Candidate};
use super::weight::weight;
use crate::check::handed_in::Answers;
use crate::check::judge::{Judge, Judged, LAST_DECIMAL, Reading, Worked};
use crate::check::result::{Cause, Explanation, Pen, Verdict};
use crate::draft::Measures;
use crate::exercise::{StepId, StepRule};
use crate::formula::{Base, Slot};
use crate::length::{Length, Ruler};
use std::cell::OnceCell;
use typed_index_collections::TiSlice;

/// A wrong answer that an explanation is looked for.
pub(super) struct WrongAnswer<'a, 'e> {
    pub asked: Asked<'a, 'e>,
    pub cell: usize,
    pub answer: f64,
    judged: Judged,
    /// Whether it was worked on with; nothing, where no other answer tells.
    pub went_on: Option<bool>,
    /// What would lead to it.
    pub fits: Vec<Fit>,
}

impl WrongAnswer<'_, '_> {
    /// Whether only two mistakes together lead to it.
    pub fn is_of_two(&self) -> bool {
        self.fits.first().is_some_and(|fit| fit.candidate.explanation.and.is_some())
    }

    /// How likely a mistake is here.
    pub fn weight(&self, explanation: &Explanation) -> f64 {
        weight(explanation, self.asked.judge.exercise, self.went_on)
    }
}

/// A mistake that leads to a wrong answer.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fit {
    pub candidate: Candidate,
    /// How many of the sheet's wrong answers it accounts for.
    pub accounts: usize,
}

/// What the explaining is done with.
pub(in crate::check) struct Evidence<'a, 'e> {
    pub judge: &'a Judge<'e>,
    pub allowances: &'a [Slot],
    pub ruler: Ruler,
    pub givens: &'a Measures,
    pub answers: &'a Answers,
    pub worked: &'a Worked,
    /// What accounts for several answers at once.
    pub reading: Option<&'a Reading>,
    /// Other measures, by which mistakes are told from one another; once they are asked for.
    pub shaken: OnceCell<Vec<Measures>>,
}

/// Where more mistakes than this lead to an answer, nobody can tell which it was.
const MOST_FITS: usize = 60;

impl<'a, 'e> Evidence<'a, 'e> {
    /// The wrong answers, with nothing that fits yet.
    pub(super) fn wrong(&self) -> Vec<WrongAnswer<'a, 'e>> {
        let mut wrong = Vec::new();
        for step in self.judge.exercise.steps.keys() {
            let went_on = self.went_on(step);
            for (row, cell) in self.answers.cells(step).enumerate() {
                let judged = self.worked.judged[cell];
                // What is charged with the sheet's one cause is explained by it.
                let is_charged = self.reading.is_some_and(|reading| reading.charged == cell);
                let is_wrong = judged.verdict.is_wrong() && !is_charged;
                if let Some(answer) = self.answers.get(cell).filter(|_| is_wrong) {
                    let (judge, allowances, ruler) = (self.judge, self.allowances, self.ruler);
                    let asked = Asked { judge, allowances, ruler, step, row };
                    wrong.push(WrongAnswer { asked, cell, answer, judged, went_on, fits: Vec::new() });
                }
            }
        }
        wrong
    }

    /// Whether what is worked from a step was worked from the answer that is written, or from the right one: an answer that
    /// nobody went on with was written otherwise than it was worked out.
    fn went_on(&self, step: StepId) -> Option<bool> {
        let exercise = self.judge.exercise;
        let follow =
            exercise.steps.iter_enumerated().filter(|(_, other)| other.uses.contains(&step) && !other.is_choice());
        let told = follow.flat_map(|(follow, _)| {
            let width = self.judge.widths[follow];
            self.answers.cells(follow).filter_map(move |cell| {
                let judged = self.worked.judged[cell];
                let is_apart = (judged.own? - judged.expected?).abs() > width;
                let is_answered = is_apart && self.answers.get(cell).is_some();
                let is_own = judged.verdict == Verdict::RightFromOwn;
                (is_answered && (is_own || judged.verdict == Verdict::Right)).then_some(is_own)
            })
        });
        told.reduce(|one, other| one && other)
    }

    /// The candidates that lead to the answer, worked from the student's own figures or from the true ones.
    pub(super) fn fitting(
        &self,
        wrong: &WrongAnswer<'a, 'e>,
        candidates: impl Fn(&Asked<'a, 'e>, &Measures) -> Vec<Candidate>,
    ) -> Vec<Fit> {
        let asked = &wrong.asked;
        let mut fits: Vec<Fit> = Vec::new();
        for (values, carry) in
            [(&self.worked.own, &self.worked.rests.own_carry), (&self.worked.truth, &self.worked.rests.true_carry)]
        {
            for candidate in candidates(asked, values) {
                let is_new = fits.iter().all(|fit| fit.candidate.explanation != candidate.explanation);
                // What was worked on with was not only written so; a whole inch may be lost before.
                let is_whole = matches!(candidate.explanation.cause, Cause::Pen(Pen::WholeMore | Pen::WholeLess));
                let is_of_pen = matches!(candidate.explanation.cause, Cause::Pen(_) | Cause::Fraction);
                let may_be = wrong.went_on != Some(true) || !is_of_pen || is_whole;
                if is_new && may_be && self.leads_to(wrong, &candidate) && self.is_known(asked, &candidate, carry) {
                    fits.push(Fit { candidate, accounts: 1 });
                }
            }
        }
        if fits.len() > MOST_FITS {
            fits.clear();
        }
        fits
    }

    /// That an answer nobody went on with was meant as it should have been.
    pub(super) fn written_otherwise(&self, wrong: &WrongAnswer) -> Option<Fit> {
        let Asked { step, row, .. } = wrong.asked;
        let asked = &self.judge.exercise.steps[step];
        let is_open = wrong.went_on == Some(false) && !asked.is_choice() && asked.kind.base == Base::Length;
        let right = wrong.judged.own.or(wrong.judged.expected).filter(|right| is_open && *right >= 0.0)?;
        let meant = self.ruler.nearest(Length::from_nm_f64(right)?);
        let explanation = Explanation { cause: Cause::Miswritten { step, row, meant }, and: None };
        Some(Fit { candidate: Candidate { explanation, value: wrong.answer }, accounts: 1 })
    }

    /// Whether a candidate's value is the answer, and apart from what would have been right.
    fn leads_to(&self, wrong: &WrongAnswer, candidate: &Candidate) -> bool {
        // What lies as near to a right answer as to the mistake can't be told from a right answer; a choice beyond
        // its limits is not right anyhow.
        let width = self.judge.widths[wrong.asked.step];
        let is_apart = |right: Option<f64>| right.is_none_or(|right| (candidate.value - right).abs() > width);
        let is_choice = self.judge.exercise.steps[wrong.asked.step].is_choice();
        (wrong.answer - candidate.value).abs() <= self.slack(wrong.asked.step, candidate)
            && (is_choice || is_apart(wrong.judged.expected) && is_apart(wrong.judged.own))
    }

    /// Half a tick; of a number in another unit, half of what that unit's ruler shows.
    fn slack(&self, step: StepId, candidate: &Candidate) -> f64 {
        if self.judge.exercise.steps[step].kind.base != Base::Length {
            return LAST_DECIMAL;
        }
        let half = self.ruler.tick().as_nm_f64() / 2.0;
        if let Cause::Pen(_) = candidate.explanation.cause {
            // What a pen wrote is read to the digit.
            return half / 50.0;
        }
        let unit = candidate
            .explanation
            .causes()
            .find_map(|cause| if let Cause::Unit { wrote, meant } = *cause { Some((wrote, meant)) } else { None });
        let Some((wrote, meant)) = unit else { return half };
        let tick = if meant.is_metric() { Ruler::MILLIMETRE } else { Ruler::EIGHTH }.tick();
        half.max(tick.as_nm_f64() / 2.0 * wrote.length().as_nm_f64() / meant.length().as_nm_f64())
    }

    /// Whether a value stands in a row of a step.
    fn is_written(&self, step: StepId, row: usize, value: f64) -> bool {
        let answer = self.answers.cells(step).nth(row).and_then(|cell| self.answers.get(cell));
        answer.is_some_and(|answer| (answer - value).abs() <= self.ruler.tick().as_nm_f64() / 2.0)
    }

    /// A mistake worked from a choice that the student never made would be a guess.
    fn is_known(&self, asked: &Asked, candidate: &Candidate, carry: &TiSlice<StepId, Option<StepId>>) -> bool {
        let exercise = self.judge.exercise;
        let knows =
            |slot: &Slot| exercise.steps.position(|step| step.slot == *slot).is_none_or(|step| carry[step].is_none());
        let of = |cause: &Cause| match *cause {
            Cause::Slip(slip) => exercise.slips[slip].used.uses().iter().all(knows),
            // Only where it stands on that line, too.
            Cause::Neighbour(step) => carry[step].is_none() && self.is_written(step, asked.row, candidate.value),
            Cause::Changed { step, at } => exercise.changes(step)[at].formula.uses().iter().all(knows),
            Cause::Earlier(_)
            | Cause::Counted { .. }
            | Cause::Halved
            | Cause::Doubled
            | Cause::Unit { .. }
            | Cause::Fraction
            | Cause::Row { .. }
            | Cause::RoundedParts { .. }
            | Cause::Exchanged(..)
            | Cause::Shifted { .. }
            | Cause::Miswritten { .. }
            | Cause::AtOdds { .. }
            | Cause::Example
            | Cause::OtherRow { .. }
            | Cause::Pen(_)
            | Cause::Misread { .. } => match &exercise.steps[asked.step].rule {
                StepRule::Value(rule) => rule.uses().iter().all(knows),
                StepRule::Within { .. } => true,
            },
        };
        candidate.explanation.causes().all(of)
    }
}
