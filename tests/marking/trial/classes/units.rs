//! The other unit.

use crate::trial::bench::{Bench, Case};
use crate::trial::classes::pen::worked_lengths;
use crate::trial::is_true::Done;
use foldmark::formula::{Base, Values};
use foldmark::length::{Length, Rounding, Ruler, Unit};

pub fn other(bench: &Bench) -> (Unit, Ruler) {
    if bench.ruler.is_metric() { (Unit::Inch, Ruler::SIXTEENTH) } else { (Unit::Centimetre, Ruler::MILLIMETRE) }
}

/// Everything worked and measured with a ruler of the other system, and the bare numbers written down.
pub fn whole_sheet(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "unit");
    let problem = dice.below(bench.problems.len());
    let (mut student, _) = bench.student(problem, &mut dice)?;
    let (unit, ruler) = other(bench);
    (student.ruler, student.rounding) = (ruler, Rounding::Nearest);
    let worked = student.right()?;
    let mut texts = std::collections::BTreeMap::new();
    for (step, row) in bench.lines(&worked.paper) {
        let step_of = &bench.exercise.steps[step];
        if step_of.kind.base == Base::Length {
            let length = Length::from_nm_f64(worked.paper.value(step_of.slot, row)?)?;
            texts.insert((step, row), ruler.bare(length));
        }
    }
    let guilty = texts.keys().copied().collect();
    let what = format!("the whole sheet in {}", unit.symbol());
    Some(Case { problem, worked, texts, done: Done::Unit { meant: unit }, guilty, what, kind: "whole sheet" })
}

/// A right number, with the other unit behind it.
pub fn name(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "unit's name");
    bench.thrown(&mut dice, |dice| {
        let problem = dice.below(bench.problems.len());
        let (_, worked) = bench.student(problem, dice)?;
        let (step, row) = *dice.pick(&worked_lengths(bench, &worked.paper))?;
        let value = worked.paper.value(bench.exercise.steps[step].slot, row)?;
        let text = format!("{} {}", bench.text(step, value), other(bench).0.symbol());
        let what = format!("{} written {text}", bench.exercise.steps[step].name);
        let done = Done::Unit { meant: bench.ruler.unit() };
        (value > 2.0 * bench.tick()).then(|| Case {
            problem,
            worked,
            texts: [((step, row), text)].into(),
            done,
            guilty: vec![(step, row)],
            what,
            kind: "unit's name",
        })
    })
}
