//! Choices: written otherwise than they were worked on with, or a tick beyond what is allowed.

use crate::trial::bench::{Bench, Case};
use crate::trial::is_true::{Done, Hand};
use crate::trial::student::{Wrong, on_ruler};
use foldmark::draft::range;
use foldmark::exercise::{LimitKind, StepRule};
use foldmark::formula::Values;
use foldmark::length::Rounding;

/// A choice that a later answer was worked with, written as another number.
pub fn miswritten(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "choice");
    bench.thrown(&mut dice, |dice| {
        let problem = dice.below(bench.problems.len());
        let (_, worked) = bench.student(problem, dice)?;
        let exercise = bench.exercise;
        let mut choices = bench.lines(&worked.paper);
        choices.retain(|(step, _)| {
            let slot = exercise.steps[*step].slot;
            let is_used = |rule: &StepRule| matches!(rule, StepRule::Value(rule) if rule.uses().contains(&slot));
            exercise.steps[*step].is_choice() && exercise.steps.iter().any(|step| is_used(&step.rule))
        });
        let (step, row) = *dice.pick(&choices)?;
        let meant = worked.paper.value(exercise.steps[step].slot, row)?;
        let written = on_ruler(bench.ruler, Rounding::Nearest, meant * (0.7 + 0.6 * dice.share()))?;
        if (written - meant).abs() < 2.5 * bench.tick() {
            return None;
        }
        let what = exercise.steps[step].name.clone();
        let done = Done::Written { step, row, meant, by: Hand::Any };
        let texts = [((step, row), bench.text(step, written))].into();
        Some(Case { problem, worked, texts, done, guilty: vec![(step, row)], what, kind: "choice" })
    })
}

/// A choice exactly one tick beyond a limit that falls on a tick, and the rest worked from it.
pub fn one_tick_beyond(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "limit");
    let tick = bench.tick();
    bench.thrown(&mut dice, |dice| {
        let problem = dice.below(bench.problems.len());
        let (student, first) = bench.student(problem, dice)?;
        let exercise = bench.exercise;
        let mut choices = bench.lines(&first.paper);
        choices.retain(|(step, _)| exercise.steps[*step].is_choice());
        let (index, row) = *dice.pick(&choices)?;
        let step = &exercise.steps[index];
        let lower = dice.percent(50);
        let bound = |measures: &foldmark::draft::Measures| {
            let (low, high) = range(step, measures, row);
            if lower { low } else { high }.map(|bound| (bound.value, bound.limit.kind))
        };
        let (limit, kind) = bound(&first.hand)?;
        let mut truth = student.givens.measures.clone();
        let choose = |index: foldmark::exercise::StepId, row| {
            first.paper.value(exercise.steps[index].slot, row).filter(|_| exercise.steps[index].is_choice())
        };
        foldmark::draft::work(exercise, &mut truth, &choose).ok()?;
        // By the true figures as by the student's own, so that nobody could find it within.
        let same = bound(&truth).is_some_and(|(other, _)| (other - limit).abs() < 2.0);
        let on_tick = (limit / tick - (limit / tick).round()).abs() < 1e-6;
        let beyond = match kind {
            LimitKind::AtLeast => limit - tick,
            LimitKind::AtMost => limit + tick,
            LimitKind::Above | LimitKind::Below => limit,
        };
        // Where the two limits are closer than a tick there is nothing to choose, and nothing to overstep.
        let has_room = match range(step, &first.hand, row) {
            (Some(low), Some(high)) => high.value - low.value >= tick,
            _ => true,
        };
        if !same || !on_tick || beyond < tick || !has_room {
            return None;
        }
        let value = Box::new(move |_: &_, _, _| Some(beyond));
        let wrong = Wrong { step: index, row: Some(row), value, carried: true, held: Vec::new() };
        let worked = student.work(&student.givens.measures, &[wrong], Some(&first))?;
        let what = format!("{} {}", step.name, if lower { "below" } else { "above" });
        let done = Done::Written { step: index, row, meant: limit, by: Hand::Chance };
        Some(Case { problem, worked, texts: Default::default(), done, guilty: vec![(index, row)], what, kind: "limit" })
    })
}
