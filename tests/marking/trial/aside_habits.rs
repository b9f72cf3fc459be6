//! Set aside: habits of other kinds than the open ones.

use super::bench::{Bench, Case};
use super::classes::pen::{PenSlip, pen_slip};
use super::classes::{Class, FORMULA, Rulers, class, formulas, givens, right};
use super::is_true::Done;
use super::problem::Dice;
use foldmark::exercise::{GivenKind, StepId, usual_on};
use foldmark::formula::{Base, Slot, Values};
use foldmark::length::{Length, Unit};
use std::collections::BTreeMap;

pub const CLASSES: [Class; 11] = [
    Class {
        rulers: Rulers::All,
        ..class(
            FORMULA,
            "a slip in a rule that the author did not foresee",
            "named ≥ 85 %, false < 1 %",
            formulas::any,
            2,
        )
    },
    class("digits", "a slip of the pen in the digits, not worked on with", "named ≥ 60 %, false < 1.5 %", digits, 60),
    class("usual", "a given's usual value in place of one's own, throughout", "named ≥ 92 %, false 0", usual, 40),
    class("given-for-given", "another given's value, throughout", "named ≥ 92 %, false 0", given_for_given, 40),
    class("hem-for-seam", "one allowance for another, throughout", "named once, charged once", hem_for_seam, 40),
    class("millimetres", "a whole right sheet in bare millimetres", "named once, charged once", millimetres, 30),
    class("ring", "three answers each on the next one's line", "0 innocents", ring, 40),
    right("wavering", "right, rounded up in some steps and down in others", wavering, 60),
    right("loosely", "right, written as people write", loosely, 60),
    right("rough-pi", "right with π as 3.1416", rough_pi, 60),
    class("one-empty", "right, one answer left empty", "0 innocents", one_empty, 40),
];

const PEN: [PenSlip; 6] = [
    ("a digit twice", |text| {
        let at = text.find(|c: char| c.is_ascii_digit())?;
        Some(format!("{}{}", &text[..=at], &text[at..]))
    }),
    ("a digit lost", |text| {
        let digits = text.chars().take_while(char::is_ascii_digit).count();
        (digits > 1).then(|| format!("{}{}", &text[..1], &text[2..]))
    }),
    ("six for nine", |text| {
        let at = text.find(['6', '9'])?;
        let other = if text[at..].starts_with('6') { "9" } else { "6" };
        Some(format!("{}{other}{}", &text[..at], &text[at + 1..]))
    }),
    ("one for seven", |text| {
        let at = text.find(['1', '7'])?;
        let other = if text[at..].starts_with('1') { "7" } else { "1" };
        (!text[at + 1..].starts_with('/')).then(|| format!("{}{other}{}", &text[..at], &text[at + 1..]))
    }),
    ("fourths for eighths", |text| text.strip_suffix("/8").map(|rest| format!("{rest}/4"))),
    ("the point a place too far left", |text| {
        let (whole, part) = text.split_once('.')?;
        let (left, last) = whole.split_at(whole.len() - 1);
        (!left.is_empty()).then(|| format!("{left}.{last}{part}"))
    }),
];

fn digits(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "other digits");
    bench.thrown(&mut dice, |dice| pen_slip(bench, dice, &PEN))
}

/// A problem, and a single length that is given there.
fn single(bench: &Bench, dice: &mut Dice) -> Option<(usize, Slot)> {
    let problem = dice.below(bench.problems.len());
    let lengths: Vec<Slot> = bench
        .exercise
        .givens
        .iter()
        .filter_map(|given| match given.kind {
            GivenKind::Length { slot, .. } => Some(slot),
            _ => None,
        })
        .collect();
    Some((problem, *dice.pick(&lengths)?))
}

fn usual(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "usual");
    bench.thrown(&mut dice, |dice| {
        let (problem, slot) = single(bench, dice)?;
        let usual = bench.exercise.givens.iter().find_map(|given| match &given.kind {
            GivenKind::Length { slot: at, usual, .. } if *at == slot => usual_on(bench.ruler, usual),
            _ => None,
        })?;
        givens::read_throughout(bench, dice, problem, (slot, 0, usual.as_nm_f64()), 2..)
    })
}

fn given_for_given(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "given for given");
    bench.thrown(&mut dice, |dice| {
        let (problem, slot) = single(bench, dice)?;
        let other = single(bench, dice)?.1;
        let value = bench.problems[problem].measures.value(other, 0)?;
        let given = bench.problems[problem].measures.value(slot, 0)?;
        let likely = (0.4..=2.5).contains(&(value / given));
        if likely { givens::read_throughout(bench, dice, problem, (slot, 0, value), 2..) } else { None }
    })
}

fn hem_for_seam(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "hem for seam");
    bench.thrown(&mut dice, |dice| {
        let problem = dice.below(bench.problems.len());
        let allowances = super::changes::allowances(bench.exercise);
        let (slot, other) = (*dice.pick(&allowances)?, *dice.pick(&allowances)?);
        let value = bench.problems[problem].measures.value(other, 0)?;
        givens::read_throughout(bench, dice, problem, (slot, 0, value), 2..)
    })
}

fn millimetres(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "millimetres");
    let problem = dice.below(bench.problems.len());
    let (mut student, _) = bench.student(problem, &mut dice)?;
    student.ruler = foldmark::length::Ruler::MILLIMETRE;
    let worked = student.right()?;
    let mut texts = BTreeMap::new();
    for (step, row) in bench.lines(&worked.paper) {
        if bench.exercise.steps[step].kind.base == Base::Length {
            let value = worked.paper.value(bench.exercise.steps[step].slot, row)?;
            texts.insert((step, row), format!("{}", (value / 1e6).round()));
        }
    }
    let guilty = texts.keys().copied().collect();
    let done = Done::Unit { meant: Unit::Millimetre };
    Some(Case { problem, worked, texts, done, guilty, what: "in millimetres".to_owned(), kind: "whole sheet" })
}

fn ring(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "ring");
    bench.thrown(&mut dice, |dice| {
        let problem = dice.below(bench.problems.len());
        let (_, worked) = bench.student(problem, dice)?;
        let lines = bench.lines(&worked.paper);
        let from = dice.below(lines.len().saturating_sub(2));
        let three: Vec<(StepId, usize)> = lines.get(from..from + 3)?.to_vec();
        let value = |at: usize| worked.paper.value(bench.exercise.steps[three[at].0].slot, three[at].1);
        let apart = |one: usize, other: usize| Some((value(one)? - value(other)?).abs() > 2.5 * bench.tick());
        let kind = |at: usize| bench.exercise.steps[three[at].0].kind.base;
        if !(apart(0, 1)? && apart(1, 2)? && apart(0, 2)?) || kind(0) != kind(1) || kind(1) != kind(2) {
            return None;
        }
        let mut texts = BTreeMap::new();
        for (at, line) in three.iter().enumerate() {
            texts.insert(*line, bench.text(line.0, value((at + 1) % 3)?));
        }
        let what = "three answers in a ring".to_owned();
        Some(Case { problem, worked: worked.clone(), texts, done: Done::Unnamed, guilty: three, what, kind: "ring" })
    })
}

const fn right(
    key: &'static str,
    title: &'static str,
    make: fn(&Bench, usize) -> Option<Case>,
    sheets: usize,
) -> Class {
    Class { rulers: Rulers::All, is_right: true, ..class(key, title, "0 faulted", make, sheets) }
}

fn wavering(bench: &Bench, index: usize) -> Option<Case> {
    right::right(bench, index, "wavering", |mut student, _| {
        student.wavers = true;
        Some(student)
    })
}

fn rough_pi(bench: &Bench, index: usize) -> Option<Case> {
    right::right(bench, index, "rough pi", |student, _| {
        let student = student.with_pi("3.1416");
        student.rules.iter().any(Option::is_some).then_some(student)
    })
}

/// With the unit behind some, fractions not in their lowest terms, decimals of an inch, commas.
fn loosely(bench: &Bench, index: usize) -> Option<Case> {
    let mut case = right::right(bench, index, "loosely", |student, _| Some(student))?;
    for (at, (step, row)) in bench.lines(&case.worked.paper).into_iter().enumerate() {
        let step_of = &bench.exercise.steps[step];
        if step_of.kind.base != Base::Length {
            continue;
        }
        let value = case.worked.paper.value(step_of.slot, row)?;
        let (bare, unit) = (bench.text(step, value), bench.ruler.unit());
        let number = value / unit.length().as_nm_f64();
        let text = match ((at + index) % 4, bench.ruler.is_metric()) {
            (0, _) => format!("{bare} {}", unit.symbol()),
            (1, true) => bare.replace('.', ","),
            (1, false) => format!("{number}"),
            (2, true) => format!("{} mm", (value / 1e6).round()),
            (2, false) => {
                let sixteenths = (value / unit.length().as_nm_f64() * 16.0).round() as i64;
                format!("{} {}/16", sixteenths / 16, sixteenths % 16)
            }
            _ => bare,
        };
        let is_same = Length::read(&text, Some(unit)).is_ok_and(|read| (read.as_nm_f64() - value).abs() < 2.0);
        if is_same {
            case.texts.insert((step, row), text);
        }
    }
    Some(case)
}

fn one_empty(bench: &Bench, index: usize) -> Option<Case> {
    let mut case = right::right(bench, index, "one empty", |student, _| Some(student))?;
    let lines = bench.lines(&case.worked.paper);
    let line = lines[index % lines.len()];
    case.texts.insert(line, String::new());
    (case.guilty, case.done, case.kind) = (vec![line], Done::Unnamed, "one empty");
    // What rests on a choice that is missing can't be judged.
    (!bench.exercise.steps[line.0].is_choice()).then_some(case)
}
