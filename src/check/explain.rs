//! Why answers are wrong, judged on all the answers of a sheet together. A false accusation is worse than silence:
//! a mistake is named only when it fits within half a tick and no other fits as well.
//!
//! Mistakes within one answer come from [`super::candidates`]; those that change what the whole sheet is worked from,
//! from [`super::whole_sheet`]. A mistake that accounts for more answers is preferred; where two are left, both are
//! offered as a question.

use super::candidates::{Asked, Candidate};
use super::cause::Cause;
use super::judge::{Answers, Judge, Judged, LAST_DECIMAL, Worked};
use crate::draft::Measures;
use crate::exercise::{StepId, StepRule};
use crate::formula::{Base, Slot, Values};
use crate::length::Ruler;
use typed_index_collections::TiSlice;

/// Why an answer is wrong: one mistake, or two together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Explanation {
    /// The mistakes.
    pub causes: Vec<Cause>,
    /// How many of the sheet's wrong answers it accounts for.
    pub accounts: usize,
}

/// How likely a pair of mistakes may fit by chance and still be named.
const CHANCE: f64 = 0.03;

/// A wrong answer that an explanation is looked for.
pub(super) struct Wrong<'a, 'e> {
    pub asked: Asked<'a, 'e>,
    pub answer: f64,
    judged: Judged,
    pub fits: Vec<Fit>,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Fit {
    pub candidate: Candidate,
    pub accounts: usize,
}

/// What the explaining is done with.
pub(super) struct Evidence<'a, 'e> {
    pub judge: &'a Judge<'e>,
    pub allowances: &'a [Slot],
    pub ruler: Ruler,
    pub givens: &'a Measures,
    pub answers: &'a Answers,
    pub worked: &'a Worked,
    /// By cell.
    pub judged: &'a [Judged],
}

impl<'a, 'e> Evidence<'a, 'e> {
    /// For each cell its explanation: none, one, or two as a question.
    pub fn explain(&self) -> Vec<Vec<Explanation>> {
        let mut explained = vec![Vec::new(); self.answers.len()];
        let mut wrong = self.wrong();
        if wrong.is_empty() {
            return explained;
        }
        for cell in &mut wrong {
            cell.fits = self.fitting(cell, |asked, values| asked.singles(values));
        }
        self.count(&mut wrong);
        self.whole_sheet(&mut wrong);
        let mut known: Vec<Cause> = Vec::new();
        for cell in &wrong {
            let chosen = self.choose(cell);
            known.extend(chosen.iter().flat_map(|explanation| &explanation.causes));
            explained[self.answers.cell(cell.asked.step, cell.asked.row)] = chosen;
        }
        for cell in wrong.iter_mut().filter(|cell| cell.fits.is_empty()) {
            cell.fits = self.fitting(cell, |asked, values| asked.pairs(values));
        }
        self.count(&mut wrong);
        for cell in &wrong {
            if cell.fits.first().is_some_and(|fit| fit.candidate.and.is_some()) && self.is_no_chance(cell, &known) {
                explained[self.answers.cell(cell.asked.step, cell.asked.row)] = self.choose(cell);
            }
        }
        explained
    }

    fn wrong(&self) -> Vec<Wrong<'a, 'e>> {
        let mut wrong = Vec::new();
        for step in self.judge.exercise.steps.keys() {
            for (row, cell) in self.answers.cells(step).enumerate() {
                let judged = self.judged[cell];
                if let Some(answer) = self.answers.get(step, row).filter(|_| judged.verdict.is_wrong()) {
                    let (judge, allowances, ruler) = (self.judge, self.allowances, self.ruler);
                    let asked = Asked { judge, allowances, ruler, step, row };
                    wrong.push(Wrong { asked, answer, judged, fits: Vec::new() });
                }
            }
        }
        wrong
    }

    /// The candidates that lead to the answer, worked from the student's own figures or from the true ones.
    fn fitting(
        &self,
        wrong: &Wrong<'a, 'e>,
        candidates: impl Fn(&Asked<'a, 'e>, &Measures) -> Vec<Candidate>,
    ) -> Vec<Fit> {
        let asked = &wrong.asked;
        let mut fits: Vec<Fit> = Vec::new();
        for (values, carry) in
            [(&self.worked.own, &self.worked.rests.own_carry), (&self.worked.truth, &self.worked.rests.true_carry)]
        {
            for candidate in candidates(asked, values) {
                let is_new = fits.iter().all(|fit| !is_same_name(&fit.candidate, &candidate));
                if is_new && self.leads_to(wrong, &candidate) && self.is_known(asked, &candidate, carry) {
                    fits.push(Fit { candidate, accounts: 1 });
                }
            }
        }
        fits
    }

    /// Whether a candidate's value is the answer, and apart from what would have been right.
    fn leads_to(&self, wrong: &Wrong, candidate: &Candidate) -> bool {
        // What lies as near to a right answer as to the mistake can't be told from a right answer; a choice beyond
        // its limits is not right anyhow.
        let width = self.judge.widths[wrong.asked.step];
        let is_apart =
            |right: f64| wrong.asked.is_choice() || right.is_nan() || (candidate.value - right).abs() > width;
        (wrong.answer - candidate.value).abs() <= self.slack(wrong.asked.step, candidate)
            && is_apart(wrong.judged.expected)
            && is_apart(wrong.judged.own)
    }

    /// Half a tick; of a number in another unit, half of what that unit's ruler shows.
    fn slack(&self, step: StepId, candidate: &Candidate) -> f64 {
        if self.judge.exercise.steps[step].kind.base != Base::Length {
            return LAST_DECIMAL;
        }
        let half = self.ruler.tick().as_nm_f64() / 2.0;
        let unit = [Some(candidate.cause), candidate.and].into_iter().flatten().find_map(|cause| match cause {
            Cause::Unit { wrote, meant } => Some((wrote, meant)),
            _ => None,
        });
        let Some((wrote, meant)) = unit else { return half };
        let tick = if meant.is_metric() { Ruler::MILLIMETRE } else { Ruler::EIGHTH }.tick();
        half.max(tick.as_nm_f64() / 2.0 * wrote.length().as_nm_f64() / meant.length().as_nm_f64())
    }

    /// A mistake worked from a choice that the student never made would be a guess.
    fn is_known(&self, asked: &Asked, candidate: &Candidate, carry: &TiSlice<StepId, Option<StepId>>) -> bool {
        let exercise = self.judge.exercise;
        let knows =
            |slot: &Slot| exercise.steps.position(|step| step.slot == *slot).is_none_or(|step| carry[step].is_none());
        let of = |cause: Cause| match cause {
            Cause::Slip(slip) => exercise.slips[slip].used.uses().iter().all(knows),
            Cause::Neighbour(step) => carry[step].is_none(),
            _ => match &exercise.steps[asked.step].rule {
                StepRule::Value(rule) => rule.uses().iter().all(knows),
                StepRule::Within { .. } => true,
            },
        };
        of(candidate.cause) && candidate.and.is_none_or(of)
    }

    /// How many wrong answers each mistake accounts for.
    fn count(&self, wrong: &mut [Wrong]) {
        let all: Vec<Candidate> = wrong.iter().flat_map(|cell| &cell.fits).map(|fit| fit.candidate).collect();
        for cell in wrong {
            for fit in &mut cell.fits {
                fit.accounts = all.iter().filter(|other| is_same_name(other, &fit.candidate)).count();
            }
        }
    }

    /// The best explanations of one answer: those that account for most, each mistake once.
    fn choose(&self, cell: &Wrong) -> Vec<Explanation> {
        let mut kinds: Vec<Vec<Fit>> = Vec::new();
        let elsewhere = self.elsewhere(cell);
        for fit in &cell.fits {
            match kinds.iter_mut().find(|kind| self.is_same_mistake(&kind[0].candidate, &fit.candidate, &elsewhere)) {
                Some(kind) => kind.push(*fit),
                None => kinds.push(vec![*fit]),
            }
        }
        let weight = |kind: &Vec<Fit>| kind.iter().map(|fit| fit.accounts).max().unwrap_or(0);
        // What the exercise's author knows that people do is likelier than what anyone may do anywhere.
        let rank = |kind: &Vec<Fit>| {
            let likely = kind.iter().map(|fit| fit.candidate.likelihood()).max();
            (weight(kind), likely)
        };
        let best = kinds.iter().map(rank).max();
        kinds.retain(|kind| Some(rank(kind)) == best);
        if kinds.len() > 2 {
            return Vec::new();
        }
        let explanation = |kind: &Vec<Fit>| {
            // The exercise's own words come first in the list, and are the better ones.
            let candidate = kind[0].candidate;
            Explanation {
                causes: std::iter::once(candidate.cause).chain(candidate.and).collect(),
                accounts: weight(kind),
            }
        };
        kinds.iter().map(explanation).collect()
    }

    /// Whether two mistakes are one in different words: they lead to the same value whatever the measures.
    fn is_same_mistake(&self, one: &Candidate, other: &Candidate, elsewhere: &[Vec<Candidate>]) -> bool {
        if is_same_name(one, other) {
            return true;
        }
        // How coarsely the parts were rounded makes no other mistake.
        if let (Cause::RoundedParts { .. }, Cause::RoundedParts { .. }) = (one.cause, other.cause) {
            return true;
        }
        // Two slips that the author keeps apart are two, even where these givens lead both to the same value.
        if let (Cause::Slip(_), Cause::Slip(_)) = (one.cause, other.cause) {
            return false;
        }
        elsewhere.iter().all(|all| {
            let value =
                |wanted: &Candidate| all.iter().find(|found| is_same_name(found, wanted)).map(|found| found.value);
            match (value(one), value(other)) {
                (Some(one), Some(other)) => (one - other).abs() <= 2.0 + one.abs() * 1e-9,
                _ => false,
            }
        })
    }

    /// What an answer's candidates lead to with other measures; more than once, since what is rounded up coarsely may
    /// agree by chance.
    fn elsewhere(&self, cell: &Wrong) -> Vec<Vec<Candidate>> {
        let has_pair = cell.fits.iter().any(|fit| fit.candidate.and.is_some());
        let candidates = |turn| {
            let shaken = self.shaken(turn);
            let mut all = cell.asked.singles(&shaken);
            if has_pair {
                all.extend(cell.asked.pairs(&shaken));
            }
            all
        };
        if cell.fits.len() < 2 { Vec::new() } else { (1..=3).map(candidates).collect() }
    }

    /// The measures with every length changed in its own way, up to twice as long.
    fn shaken(&self, turn: usize) -> Measures {
        let exercise = self.judge.exercise;
        let mut shaken = self.worked.own.clone();
        for slot in (0..exercise.scope.len()).map(Slot) {
            if exercise.scope.kind(slot).base == Base::Length {
                for row in 0..shaken.count(exercise, slot) {
                    let factor = 1.0 + libm::fmod((turn * 31 + slot.0 * 7 + row) as f64 * 0.618_034, 1.0);
                    shaken.set(slot, row, shaken.value(slot, row).map(|value| libm::round(value * factor)));
                }
            }
        }
        shaken
    }

    /// Whether a pair fits too well for chance: it accounts for several answers, or one half of it is known from
    /// elsewhere, or there are few pairs that lead to anything like the answer.
    fn is_no_chance(&self, cell: &Wrong, known: &[Cause]) -> bool {
        if cell.fits.iter().all(|fit| fit.accounts > 1) {
            return true;
        }
        let is_known = |candidate: &Candidate| {
            known.contains(&candidate.cause) || candidate.and.is_some_and(|and| known.contains(&and))
        };
        let (low, high) = (cell.answer / 1.5, cell.answer * 1.5);
        let pairs = cell.asked.pairs(&self.worked.own);
        let has_known = cell.fits.iter().any(|fit| is_known(&fit.candidate));
        let likely = cell.fits.iter().map(|fit| fit.candidate.likelihood()).max();
        let mut near: Vec<f64> = pairs
            .iter()
            .filter(|pair| (!has_known || is_known(pair)) && Some(pair.likelihood()) >= likely)
            .filter(|pair| (low..=high).contains(&pair.value))
            .map(|pair| pair.value)
            .collect();
        near.sort_by(f64::total_cmp);
        near.dedup_by(|one, other| (*one - *other).abs() < self.ruler.tick().as_nm_f64() / 2.0);
        near.len() as f64 * self.ruler.tick().as_nm_f64() <= CHANCE * (high - low)
    }
}

fn is_same_name(one: &Candidate, other: &Candidate) -> bool {
    one.cause == other.cause && one.and == other.and
}
