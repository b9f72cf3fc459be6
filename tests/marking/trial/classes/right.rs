//! Right sheets, as students work them.

use crate::trial::bench::{Bench, Case};
use crate::trial::is_true::Done;
use crate::trial::student::Student;
use foldmark::length::{Length, Rounding, Ruler, Unit};

pub fn right(
    bench: &Bench,
    index: usize,
    what: &str,
    work: impl Fn(Student<'_>, usize) -> Option<Student<'_>>,
) -> Option<Case> {
    let mut dice = bench.dice(index, what);
    let problem = dice.below(bench.problems.len());
    let (student, _) = bench.student(problem, &mut dice)?;
    let worked = work(student, index)?.right()?;
    let (texts, guilty) = Default::default();
    Some(Case { problem, worked, texts, done: Done::Nothing, guilty, what: what.to_owned(), kind: "right" })
}

pub fn nearest(bench: &Bench, index: usize) -> Option<Case> {
    right(bench, index, "nearest", |student, _| Some(student))
}

pub fn at_ends(bench: &Bench, index: usize) -> Option<Case> {
    right(bench, index, "at the ends", |student, index| Some(student.choosing_at((index % 2) as f64)))
}

pub fn up_or_down(bench: &Bench, index: usize) -> Option<Case> {
    right(bench, index, "up or down", |mut student, index| {
        student.rounding = if index.is_multiple_of(2) { Rounding::Up } else { Rounding::Down };
        Some(student)
    })
}

/// Five millimetres on a sheet in millimetres.
pub fn coarser_metric(bench: &Bench, index: usize) -> Option<Case> {
    right(bench, index, "a coarser ruler", |mut student, _| {
        student.ruler = Ruler::FIVE_MILLIMETRES;
        bench.ruler.is_metric().then_some(student)
    })
}

/// Twice the tick that an inch sheet names.
pub fn coarser_inch(bench: &Bench, index: usize) -> Option<Case> {
    right(bench, index, "a coarser ruler", |mut student, _| {
        student.ruler = Ruler::new(Length::from_nm(bench.ruler.tick().nm() * 2), Unit::Inch).ok()?;
        (!bench.ruler.is_metric()).then_some(student)
    })
}

pub fn pi(bench: &Bench, index: usize) -> Option<Case> {
    right(bench, index, "pi", |student, index| {
        let student = student.with_pi(["3.14", "(22/7)"][index % 2]);
        student.rules.iter().any(Option::is_some).then_some(student)
    })
}
