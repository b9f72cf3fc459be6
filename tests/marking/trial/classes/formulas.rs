//! A step worked with another rule than its own.

use crate::trial::bench::{Bench, Case};
use crate::trial::is_true::Done;
use crate::trial::slips::Slip;
use crate::trial::student::{Wrong, looked_ahead};
use foldmark::formula::Values;

/// The slips in turn, carried on and not.
pub fn any(bench: &Bench, index: usize) -> Option<Case> {
    let slip = bench.slips.get(index % bench.slips.len().max(1))?;
    one_formula(bench, slip, index, (index / bench.slips.len()).is_multiple_of(2))
}

pub fn one_formula(bench: &Bench, slip: &Slip, index: usize, carried: bool) -> Option<Case> {
    let mut dice = bench.dice(index, "formula");
    let exercise = bench.exercise;
    bench.thrown(&mut dice, |dice| {
        let problem = dice.below(bench.problems.len());
        if bench.is_foreseen(slip, problem) {
            return None;
        }
        let (student, first) = bench.student(problem, dice)?;
        let wrong = Wrong {
            step: slip.step,
            row: None,
            value: Box::new(|hand, row, _| slip.value(hand, row)),
            carried,
            held: looked_ahead(exercise, slip.step, slip.used.uses()),
        };
        let worked = student.work(&student.givens.measures, &[wrong], Some(&first))?;
        let slot = exercise.steps[slip.step].slot;
        let guilty: Vec<_> = (0..worked.paper.count(exercise, slot)).map(|row| (slip.step, row)).collect();
        // What reads the same on the ruler is no mistake that anyone could see.
        let shows = guilty.iter().any(|(_, row)| worked.paper.value(slot, *row) != first.paper.value(slot, *row));
        shows.then(|| Case {
            problem,
            worked,
            texts: Default::default(),
            done: Done::Formula { slip: slip.clone(), carried },
            guilty,
            what: slip.what.clone(),
            kind: slip.kind,
        })
    })
}
