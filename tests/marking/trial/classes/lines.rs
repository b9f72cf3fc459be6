//! Right numbers on lines that are not theirs.

use crate::trial::bench::{Bench, Case};
use crate::trial::is_true::Done;
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::StepId;
use foldmark::formula::Values;

/// From some line on every answer one line too low, and the last lost; or too high, and the last line empty.
pub fn shifted(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "shift");
    let problem = dice.below(bench.problems.len());
    let (_, worked) = bench.student(problem, &mut dice)?;
    let lines = bench.lines(&worked.paper);
    let from = dice.below(lines.len().saturating_sub(3));
    let down = dice.percent(50);
    let text = |(step, row): (StepId, usize)| {
        worked
            .paper
            .value(bench.exercise.steps[step].slot, row)
            .map_or_else(String::new, |value| bench.text(step, value))
    };
    let moved = (from..lines.len()).map(|at| {
        let whose =
            if down { at.checked_sub(1).filter(|_| at > from) } else { Some(at + 1).filter(|at| *at < lines.len()) };
        (lines[at], whose.map_or_else(String::new, |whose| text(lines[whose])))
    });
    let texts = moved.collect();
    let beside = |at: Option<usize>| at.and_then(|at| lines.get(at)).map(|line| line.0);
    let done = Done::Shift { from: [beside(Some(from)), beside(Some(from + 1)), beside(from.checked_sub(1))], down };
    let way = if down { "down" } else { "up" };
    let what = format!("{way} from {}", bench.exercise.steps[lines[from].0].name);
    let guilty = lines[from..].to_vec();
    Some(Case { problem, worked: worked.clone(), texts, done, guilty, what, kind: way })
}

/// Two answers, near each other or not, in each other's place.
pub fn exchanged(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "exchange");
    bench.thrown(&mut dice, |dice| {
        let problem = dice.below(bench.problems.len());
        let (_, worked) = bench.student(problem, dice)?;
        let lines = bench.lines(&worked.paper);
        let one = dice.below(lines.len());
        let other = if dice.percent(50) { one + 1 + dice.below(2) } else { dice.below(lines.len()) };
        let (one, other) = (lines[one], *lines.get(other)?);
        let kind = |line: (StepId, usize)| bench.exercise.steps[line.0].kind.base;
        let value = |line: (StepId, usize)| worked.paper.value(bench.exercise.steps[line.0].slot, line.1);
        let apart = (value(one)? - value(other)?).abs();
        if one.0 == other.0 || kind(one) != kind(other) || apart < 3.0 * bench.tick() {
            return None;
        }
        let name = |line: (StepId, usize)| &bench.exercise.steps[line.0].name;
        let what = format!("{} and {}", name(one), name(other));
        let texts = [(one, bench.text(one.0, value(other)?)), (other, bench.text(other.0, value(one)?))].into();
        let done = Done::Exchange(one.0, other.0);
        Some(Case { problem, worked: worked.clone(), texts, done, guilty: vec![one, other], what, kind: "exchange" })
    })
}

/// The exercise's example worked rightly, under one's own givens; where it has tables, of as many rows.
pub fn example(bench: &Bench, index: usize) -> Option<Case> {
    let exercise = bench.exercise;
    let example = Givens::read(exercise, &Raw::example(exercise), None, bench.ruler).ok()?;
    let example = Draft::new(exercise, example).ok()?;
    let mut dice = bench.dice(index, "example");
    bench.thrown(&mut dice, |dice| {
        let problem = dice.below(bench.problems.len());
        let (student, worked) = bench.student(problem, dice)?;
        let lines = bench.lines(&worked.paper);
        if lines != bench.lines(&example.measures) {
            return None;
        }
        let mut texts = std::collections::BTreeMap::new();
        for (step, row) in &lines {
            let step_of = &exercise.steps[*step];
            let written = student.written(step_of, example.measures.value(step_of.slot, *row)?)?;
            texts.insert((*step, *row), bench.text(*step, written));
        }
        let what = "the example's answers".to_owned();
        Some(Case { problem, worked, texts, done: Done::Example, guilty: lines, what, kind: "example" })
    })
}
