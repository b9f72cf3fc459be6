//! Why answers are wrong, judged on all the answers of a sheet together. A false accusation is worse than silence:
//! a mistake is named only when it fits within half a tick and no other fits as well.
//!
//! Mistakes within one answer come from [`super::candidates`]; a slip in a step without an answer from
//! [`super::earlier`]. A mistake that accounts for more answers is preferred; where two are left, both are
//! offered as a question.

use super::candidates::Candidate;
use super::earlier::add_earlier;
use super::evidence::{Evidence, Fit, WrongAnswer};
use super::weight::is_of_the_pen;
use crate::check::judge::MOST_WORK;
use crate::check::result::{Cause, Explanation};
use crate::draft::Measures;
use crate::formula::{Base, Slot, Values};
use std::collections::HashMap;

/// How likely a pair of mistakes may fit by chance and still be named.
const CHANCE: f64 = 0.03;

/// So much likelier is a mistake for each further answer that it accounts for.
const SHARED: f64 = 10.0;

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
    for cell in wrong.iter().filter(|cell| cell.is_of_two()) {
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

/// So sure a mistake has to be, of all that may be behind an answer, to be named; or two of them together.
const SURE: f64 = 0.75;

/// What is less likely than this is not the second of two.
const POSSIBLE: f64 = 0.2;

/// The explanation of one answer that leaves little room for another, or two that do; each mistake once.
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
    let of = |fit: &Fit| cell.weight(&fit.candidate.explanation) * SHARED.powi(fit.accounts as i32 - 1);
    let weight = |kind: &Vec<Fit>| kind.iter().map(of).fold(0.0, f64::max);
    let mut weighed: Vec<(f64, Vec<Fit>)> = kinds.into_iter().map(|kind| (weight(&kind), kind)).collect();
    // A pair is chosen only where chance is out of the question already; and that another number is written than was worked on
    // with is no chance. A slip of the pen says the same, and how.
    let written = evidence.written_otherwise(cell).filter(|_| !cell.is_of_two());
    let by_chance = if cell.is_of_two() || written.is_some() { 0.0 } else { 1.0 };
    let has_pen = weighed.iter().flat_map(|(_, kind)| kind).any(|fit| is_of_the_pen(&fit.candidate.explanation.cause));
    weighed.extend(written.filter(|_| !has_pen).map(|fit| (of(&fit), vec![fit])));
    weighed.sort_by(|(one, _), (other, _)| other.total_cmp(one));
    let all: f64 = weighed.iter().map(|(weight, _)| weight).sum::<f64>() + by_chance;
    let shares: Vec<f64> = weighed.iter().map(|(weight, _)| weight / all).collect();
    let enough = match shares[..] {
        [first, ..] if first >= SURE => 1,
        [first, second, ..] if first + second >= SURE && second >= POSSIBLE => 2,
        _ => 0,
    };
    // The exercise's own words come first in the list, and are the better ones.
    weighed.iter().take(enough).map(|(_, kind)| kind[0].candidate.explanation).collect()
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
    let has_pair = cell.is_of_two();
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
    let likely = cell.fits.iter().map(|fit| cell.weight(&fit.candidate.explanation)).fold(0.0, f64::max);
    let as_likely =
        pairs.iter().filter(|pair| (!has_known || is_known(pair)) && cell.weight(&pair.explanation) >= likely);
    chance(evidence, cell, as_likely.map(|pair| pair.value)) <= CHANCE
}
