//! Numbers by chance.

use crate::trial::bench::{Bench, Case};
use crate::trial::classes::pen::worked_lengths;
use crate::trial::is_true::{Done, Hand};
use crate::trial::student::{Wrong, on_ruler};
use foldmark::formula::Values;
use foldmark::length::Rounding;

/// A tick between half and twice the right value, worked on with or not.
pub fn number(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "chance");
    bench.thrown(&mut dice, |dice| {
        let problem = dice.below(bench.problems.len());
        let (student, first) = bench.student(problem, dice)?;
        let (step, row) = *dice.pick(&worked_lengths(bench, &first.paper))?;
        let meant = first.paper.value(bench.exercise.steps[step].slot, row)?;
        let value = on_ruler(bench.ruler, Rounding::Nearest, meant * (0.5 + 1.5 * dice.share()))?;
        if (value - meant).abs() < 1.5 * bench.tick() {
            return None;
        }
        let carried = dice.percent(50);
        let wrong =
            Wrong { step, row: Some(row), value: Box::new(move |_, _, _| Some(value)), carried, held: Vec::new() };
        let worked = student.work(&student.givens.measures, &[wrong], Some(&first))?;
        let by = if carried { Hand::Chance } else { Hand::Any };
        let what = format!("a number by chance in {}", bench.exercise.steps[step].name);
        let done = Done::Written { step, row, meant, by };
        Some(Case { problem, worked, texts: Default::default(), done, guilty: vec![(step, row)], what, kind: "chance" })
    })
}
