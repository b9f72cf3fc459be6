//! Why answers are wrong, judged on all the answers of a sheet together. A false accusation is worse than silence:
//! a mistake is named only when it fits within half a tick and no other fits as well.
//!
//! Mistakes within one answer come from [`super::candidates`]; a slip in a step without an answer from
//! [`super::earlier`]. A mistake that accounts for more answers is preferred; where two are left, both are
//! offered as a question.

use super::candidates::Candidate;
use super::earlier::add_earlier;
use super::evidence::{Evidence, Fit, WrongAnswer};
use crate::check::judge::MOST_WORK;
use crate::check::result::{Cause, Explanation};
use crate::draft::Measures;
use crate::formula::{Base, Slot, Values};
use std::collections::HashMap;

/// How likely a pair of mistakes may fit by chance and still be named.
const CHANCE: f64 = 0.03;

/// For each cell its explanations: none, one, or two as a question.
pub(in crate::check) fn explain(evidence: &Evidence) -> Vec<Vec<Explanation>> {
    let mut explained = vec![Vec::new(); evidence.answers.len()];
    if let Some(reading) = evidence.reading {
        let causes = reading.causes.iter();
        explained[reading.charged] = causes.map(|cause| Explanation { cause: *cause, and: None }).collect();
    }
    let mut wrong = evidence.wrong();
    let left = keep_workable(&mut wrong);
    for cell in &mut wrong {
        cell.fits = evidence.fitting(cell, |asked, values| asked.singles(values));
    }
    count(&mut wrong);
    add_earlier(evidence, &mut wrong, left);
    let mut known: Vec<Cause> = Vec::new();
    for cell in &wrong {
        let chosen = choose(evidence, cell);
        known.extend(chosen.iter().flat_map(Explanation::causes));
        explained[cell.cell] = chosen;
    }
    for cell in wrong.iter_mut().filter(|cell| cell.fits.is_empty()) {
        cell.fits = evidence.fitting(cell, |asked, values| asked.pairs(values));
    }
    count(&mut wrong);
    let is_pair = |cell: &WrongAnswer| cell.fits.first().is_some_and(|fit| fit.candidate.explanation.and.is_some());
    for cell in wrong.iter().filter(|cell| is_pair(cell)) {
        if is_no_chance(evidence, cell, &known) {
            explained[cell.cell] = choose(evidence, cell);
        }
    }
    explained
}

/// Keeps the wrong answers for which there is not too much to work out, in their order, and tells how much may be worked out
/// beside them. The others are marked, and not explained.
fn keep_workable(wrong: &mut Vec<WrongAnswer>) -> u64 {
    let mut left = MOST_WORK;
    let mut of_step = None;
    wrong.retain(|cell| {
        let step = cell.asked.step;
        // Each is worked with two sets of measures, and with three others to tell mistakes apart, and perhaps in pairs.
        let work =
            of_step.filter(|(known, _)| *known == step).map_or_else(|| 12 * cell.asked.weight(), |(_, work)| work);
        of_step = Some((step, work));
        let still = left.checked_sub(work);
        left = still.unwrap_or(left);
        still.is_some()
    });
    left
}

/// How many wrong answers each mistake accounts for.
fn count(wrong: &mut [WrongAnswer]) {
    let mut all: HashMap<Explanation, usize> = HashMap::new();
    for fit in wrong.iter().flat_map(|cell| &cell.fits) {
        *all.entry(fit.candidate.explanation).or_default() += 1;
    }
    for cell in wrong {
        for fit in &mut cell.fits {
            // A pen slips on one line at a time.
            let is_of_one_line = matches!(fit.candidate.explanation.cause, Cause::Pen(_) | Cause::Fraction)
                && fit.candidate.explanation.and.is_none();
            fit.accounts = if is_of_one_line { 1 } else { all[&fit.candidate.explanation] };
        }
    }
}

/// The best explanations of one answer: those that account for most, each mistake once.
fn choose(evidence: &Evidence, cell: &WrongAnswer) -> Vec<Explanation> {
    let mut kinds: Vec<Vec<Fit>> = Vec::new();
    let elsewhere = elsewhere(evidence, cell);
    for fit in &cell.fits {
        match kinds
            .iter_mut()
            .find(|kind| is_same_mistake(&kind[0].candidate.explanation, &fit.candidate.explanation, &elsewhere))
        {
            Some(kind) => kind.push(*fit),
            None => kinds.push(vec![*fit]),
        }
    }
    let weight = |kind: &Vec<Fit>| kind.iter().map(|fit| fit.accounts).max().unwrap_or(0);
    // What the exercise's author knows that people do is likelier than what anyone may do anywhere.
    let rank = |kind: &Vec<Fit>| {
        let likely = kind.iter().map(|fit| cell.likelihood(&fit.candidate.explanation)).max();
        (weight(kind), likely)
    };
    let best = kinds.iter().map(rank).max();
    kinds.retain(|kind| Some(rank(kind)) == best);
    if kinds.len() > 2 || is_one_of_many(evidence, cell, &kinds) {
        return Vec::new();
    }
    // The exercise's own words come first in the list, and are the better ones.
    kinds.iter().map(|kind| kind[0].candidate.explanation).collect()
}

/// Whether only changes of the rule are left, and so many of them lead to something like the answer that one would fit
/// whatever was written.
fn is_one_of_many(evidence: &Evidence, cell: &WrongAnswer, kinds: &[Vec<Fit>]) -> bool {
    let is_of_rule = |kind: &Vec<Fit>| {
        let cause = kind[0].candidate.explanation.cause;
        matches!(cause, Cause::Changed { .. }) || matches!(cause, Cause::Counted { belongs: 0, .. })
    };
    let accounts = kinds.iter().flatten().map(|fit| fit.accounts).max();
    let likely = kinds.iter().map(|kind| cell.likelihood(&kind[0].candidate.explanation)).max();
    let Some(likely) = likely.filter(|_| accounts == Some(1) && kinds.iter().all(is_of_rule)) else { return false };
    let singles = cell.asked.singles(&evidence.worked.own);
    let as_likely = singles.iter().filter(|single| cell.likelihood(&single.explanation) >= likely);
    // Who went on with an answer worked it out so; what nobody went on with is first of all a slip of the pen.
    let most = match (cell.went_on, likely.0 >= 3) {
        (Some(false), false) => 0.03,
        (Some(false), true) => 0.12,
        (None, false) => 0.12,
        (None, true) => 0.3,
        (Some(true), false) => 0.4,
        (Some(true), true) => return false,
    };
    chance(evidence, cell, as_likely.map(|single| single.value)) > most
}

/// The share of all that might be written for an answer that some mistake leads to: its chance to fit whatever it is.
fn chance(evidence: &Evidence, cell: &WrongAnswer, values: impl Iterator<Item = f64>) -> f64 {
    let (low, high) = (cell.answer / 1.5, cell.answer * 1.5);
    let tick = evidence.ruler.tick().as_nm_f64();
    let mut near: Vec<f64> = values.filter(|value| (low..=high).contains(value)).collect();
    near.sort_by(f64::total_cmp);
    near.dedup_by(|one, other| (*one - *other).abs() < tick / 2.0);
    near.len() as f64 * tick / (high - low)
}

/// Whether two mistakes are one in different words: they lead to the same value whatever the measures.
fn is_same_mistake(one: &Explanation, other: &Explanation, elsewhere: &[Vec<Candidate>]) -> bool {
    if one == other {
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
            |wanted: &Explanation| all.iter().find(|found| found.explanation == *wanted).map(|found| found.value);
        match (value(one), value(other)) {
            (Some(one), Some(other)) => (one - other).abs() <= 2.0 + one.abs() * 1e-9,
            (None, _) | (_, None) => false,
        }
    })
}

/// What an answer's candidates lead to with other measures; more than once, since what is rounded up coarsely may
/// agree by chance.
fn elsewhere(evidence: &Evidence, cell: &WrongAnswer) -> Vec<Vec<Candidate>> {
    let has_pair = cell.fits.iter().any(|fit| fit.candidate.explanation.and.is_some());
    if cell.fits.len() < 2 {
        return Vec::new();
    }
    let candidates = |shaken: &Measures| {
        let mut all = cell.asked.singles(shaken);
        if has_pair {
            all.extend(cell.asked.pairs(shaken));
        }
        all
    };
    let all = evidence.shaken.get_or_init(|| (1..=3).map(|turn| shaken(evidence, turn)).collect());
    all.iter().map(candidates).collect()
}

/// The measures with every length changed in its own way, up to twice as long.
fn shaken(evidence: &Evidence, turn: usize) -> Measures {
    let exercise = evidence.judge.exercise;
    let mut shaken = evidence.worked.own.clone();
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
fn is_no_chance(evidence: &Evidence, cell: &WrongAnswer, known: &[Cause]) -> bool {
    if cell.fits.iter().all(|fit| fit.accounts > 1) {
        return true;
    }
    let is_known = |candidate: &Candidate| candidate.explanation.causes().any(|cause| known.contains(cause));
    let pairs = cell.asked.pairs(&evidence.worked.own);
    let has_known = cell.fits.iter().any(|fit| is_known(&fit.candidate));
    let likely = cell.fits.iter().map(|fit| cell.likelihood(&fit.candidate.explanation)).max();
    let as_likely = pairs
        .iter()
        .filter(|pair| (!has_known || is_known(pair)) && Some(cell.likelihood(&pair.explanation)) >= likely);
    chance(evidence, cell, as_likely.map(|pair| pair.value)) <= CHANCE
}
