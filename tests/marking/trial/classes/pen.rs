//! Numbers one slip of the pen, or of the eye, away from what was meant.

use crate::trial::bench::{Bench, Case};
use crate::trial::is_true::{Done, Hand};
use crate::trial::problem::Dice;
use crate::trial::student::Wrong;
use foldmark::exercise::{StepId, StepRule};
use foldmark::formula::{Base, Values};
use foldmark::length::Length;

/// A slip of the pen: what it makes of a written number, if it can.
pub type PenSlip = (&'static str, fn(&str) -> Option<String>);

pub const PEN: [PenSlip; 7] = [
    ("turned digits", |text| {
        let digits: Vec<char> = text.chars().collect();
        let at = digits.windows(2).position(|pair| pair.iter().all(char::is_ascii_digit) && pair[0] != pair[1])?;
        let mut digits = digits;
        digits.swap(at, at + 1);
        (digits[at] != '0').then(|| digits.into_iter().collect())
    }),
    ("whole and numerator exchanged", |text| {
        let (whole, numerator, denominator) = parts(text)?;
        Some(format!("{numerator} {whole}/{denominator}"))
    }),
    ("fraction upside down", |text| {
        let (whole, numerator, denominator) = parts(text)?;
        Some(format!("{whole} {denominator}/{numerator}"))
    }),
    ("space lost", |text| {
        let (whole, numerator, denominator) = parts(text)?;
        Some(format!("{whole}{numerator}/{denominator}"))
    }),
    ("fraction lost", |text| parts(text).map(|(whole, ..)| whole.to_owned())),
    ("what follows the point lost", |text| text.split_once('.').map(|(whole, _)| whole.to_owned())),
    ("point lost", |text| text.split_once('.').map(|(whole, part)| format!("{whole}{part}"))),
];

/// Whole number, numerator and denominator of `14 3/4`.
fn parts(text: &str) -> Option<(&str, &str, &str)> {
    let (whole, fraction) = text.split_once(' ')?;
    let (numerator, denominator) = fraction.split_once('/')?;
    Some((whole, numerator, denominator))
}

/// A worked answer's number, one pen slip away.
pub fn digits(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "digits");
    bench.thrown(&mut dice, |dice| match dice.below(10) {
        0..8 => pen_slip(bench, dice, &PEN),
        8 => whole_off(bench, dice),
        _ => mark_beside(bench, dice),
    })
}

pub fn pen_slip(bench: &Bench, dice: &mut Dice, slips: &[PenSlip]) -> Option<Case> {
    let (kind, slip) = *dice.pick(slips)?;
    written_otherwise(bench, dice, kind, Hand::Digits, |text, _| slip(text))
}

/// An answer that is written otherwise than it was worked, and not worked on with.
pub fn written_otherwise(
    bench: &Bench,
    dice: &mut Dice,
    kind: &'static str,
    by: Hand,
    otherwise: impl Fn(&str, f64) -> Option<String>,
) -> Option<Case> {
    let problem = dice.below(bench.problems.len());
    let (_, worked) = bench.student(problem, dice)?;
    let (step, row) = *dice.pick(&worked_lengths(bench, &worked.paper))?;
    let meant = worked.paper.value(bench.exercise.steps[step].slot, row)?;
    let right = bench.text(step, meant);
    let text = otherwise(&right, meant)?;
    let read = Length::read(&text, Some(bench.ruler.unit()));
    if read.is_ok_and(|length| (length.as_nm_f64() - meant).abs() < 1.5 * bench.tick()) {
        return None;
    }
    let what = format!("{kind}, {} {right} -> {text}", bench.exercise.steps[step].name);
    let done = Done::Written { step, row, meant, by };
    Some(Case { problem, worked, texts: [((step, row), text)].into(), done, guilty: vec![(step, row)], what, kind })
}

/// The answers that are lengths and worked out.
pub fn worked_lengths(bench: &Bench, paper: &foldmark::draft::Measures) -> Vec<(StepId, usize)> {
    let mut lines = bench.lines(paper);
    lines.retain(|(step, _)| {
        let step = &bench.exercise.steps[*step];
        step.kind.base == Base::Length && matches!(step.rule, StepRule::Value(_))
    });
    lines
}

/// A whole inch or centimetre off, worked on with or not.
fn whole_off(bench: &Bench, dice: &mut Dice) -> Option<Case> {
    let more = dice.percent(50);
    let whole = if bench.ruler.is_metric() { 1e7 } else { 2.54e7 };
    let off = if more { whole } else { -whole };
    moved(bench, dice, "a whole inch or centimetre off", Hand::WholeOff { more }, |_| Some(off))
}

/// The next mark of the same kind on the ruler: 5/8 for 3/8, the half centimetre for the whole one.
fn mark_beside(bench: &Bench, dice: &mut Dice) -> Option<Case> {
    let up = dice.percent(50);
    moved(bench, dice, "a mark of the ruler off", Hand::Mark, |meant| {
        let ticks = (meant / bench.tick()).round() as i64;
        let (whole, off) = if bench.ruler.is_metric() {
            (10, 5)
        } else {
            // A fraction in its lowest terms is an odd number of marks of its kind.
            let whole = (2.54e7 / bench.tick()).round() as i64;
            (whole, 2 << (ticks.rem_euclid(whole) + whole).trailing_zeros())
        };
        let part = ticks.rem_euclid(whole);
        let other = if up { part + off } else { part - off };
        (part != 0 && (0..whole).contains(&other)).then(|| (other - part) as f64 * bench.tick())
    })
}

fn moved(
    bench: &Bench,
    dice: &mut Dice,
    kind: &'static str,
    by: Hand,
    off: impl Fn(f64) -> Option<f64>,
) -> Option<Case> {
    let problem = dice.below(bench.problems.len());
    let (student, first) = bench.student(problem, dice)?;
    let (step, row) = *dice.pick(&worked_lengths(bench, &first.paper))?;
    let meant = first.paper.value(bench.exercise.steps[step].slot, row)?;
    let carried = dice.percent(50);
    let off = off(meant)?;
    let value = Box::new(move |_: &_, _, _| Some(meant + off));
    let wrong = Wrong { step, row: Some(row), value, carried, held: Vec::new() };
    let worked = student.work(&student.givens.measures, &[wrong], Some(&first))?;
    let what = format!("{kind}, {}", bench.exercise.steps[step].name);
    let done = Done::Written { step, row, meant, by };
    Some(Case { problem, worked, texts: Default::default(), done, guilty: vec![(step, row)], what, kind })
}

/// Some other number within a quarter, while the right one was worked on with.
pub fn misspelt(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "misspelt");
    bench.thrown(&mut dice, |dice| {
        let share = 0.75 + 0.5 * dice.share();
        written_otherwise(bench, dice, "misspelt", Hand::Any, |_, meant| {
            let other = foldmark::length::Length::from_nm_f64(meant * share)?;
            Some(bench.ruler.write_bare(bench.ruler.nearest(other)).number())
        })
    })
}
