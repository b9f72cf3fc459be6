//! Givens read as something else, throughout the sheet.

use crate::trial::bench::{Bench, Case};
use crate::trial::changes::allowances;
use crate::trial::is_true::Done;
use crate::trial::problem::Dice;
use crate::trial::student::{Student, Worked};
use foldmark::draft::{Measures, broken_limit, work};
use foldmark::exercise::{GivenKind, StepId, StepRule};
use foldmark::formula::{Base, Slot, Values};
use foldmark::length::{Length, Tolerance};

/// A given that shows in two answers at the least.
pub fn misread(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "given");
    bench.thrown(&mut dice, |dice| {
        let (problem, slot, row) = any_given(bench, dice)?;
        let read_as = read_otherwise(bench, dice, bench.problems[problem].measures.value(slot, row)?);
        read_throughout(bench, dice, problem, (slot, row, read_as), 2..)
    })
}

pub fn misread_in_one(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "given in one");
    bench.thrown(&mut dice, |dice| {
        let (problem, slot, row) = any_given(bench, dice)?;
        let read_as = read_otherwise(bench, dice, bench.problems[problem].measures.value(slot, row)?);
        read_throughout(bench, dice, problem, (slot, row, read_as), 1..2)
    })
}

pub fn allowance(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "allowance");
    let usual: &[f64] = if bench.ruler.is_metric() {
        &[6e6, 8e6, 1e7, 1.2e7, 1.5e7, 2e7, 2.5e7]
    } else {
        &[6.35e6, 9.525e6, 1.27e7, 1.5875e7, 1.905e7, 2.54e7]
    };
    bench.thrown(&mut dice, |dice| {
        let problem = dice.below(bench.problems.len());
        let slot = *dice.pick(&allowances(bench.exercise))?;
        read_throughout(bench, dice, problem, (slot, 0, *dice.clone().pick(usual)?), 2..)
    })
}

/// Of a table's two rows each read where the other stands, or one of them read twice.
pub fn row(bench: &Bench, index: usize) -> Option<Case> {
    let mut dice = bench.dice(index, "row");
    bench.thrown(&mut dice, |dice| {
        let problem = dice.below(bench.problems.len());
        let givens = &bench.problems[problem].measures;
        let tables: Vec<_> = bench
            .exercise
            .givens
            .iter()
            .filter_map(|given| match &given.kind {
                GivenKind::Table { table, columns, .. } => Some((*table, columns)),
                _ => None,
            })
            .collect();
        let (table, columns) = *dice.pick(&tables)?;
        let rows = givens.rows(table);
        let (row, taken) = (dice.below(rows), dice.below(rows));
        let mut read = givens.clone();
        // The count is read off the right row: it is the measuring that went to the other one.
        for column in columns.iter().filter(|column| column.is_length) {
            read.set(column.slot, row, givens.value(column.slot, taken));
        }
        if row == taken {
            return None;
        }
        let (student, _) = bench.student(problem, dice)?;
        let worked = student.work(&read, &[], None)?;
        let done = Done::Row { table, row, taken };
        given_case(bench, &student, problem, worked, done, "a row for another".to_owned(), 1..)
    })
}

/// A length that is given, single or in a table.
fn any_given(bench: &Bench, dice: &mut Dice) -> Option<(usize, Slot, usize)> {
    let problem = dice.below(bench.problems.len());
    let givens = &bench.problems[problem].measures;
    let first_step = bench.exercise.steps.iter().map(|step| step.slot.0).min()?;
    let is_length = |slot: &Slot| bench.exercise.scope.kind(*slot).base == Base::Length;
    let slots: Vec<Slot> = (0..first_step).map(Slot).filter(is_length).collect();
    let slot = *dice.pick(&slots)?;
    Some((problem, slot, dice.below(givens.count(bench.exercise, slot))))
}

/// As somebody misreads or misremembers a number: some ticks off, a whole one off, digits turned, another one altogether.
fn read_otherwise(bench: &Bench, dice: &mut Dice, value: f64) -> f64 {
    let whole = if bench.ruler.is_metric() { 1e7 } else { 2.54e7 };
    let way = if dice.percent(50) { 1.0 } else { -1.0 };
    let other = match dice.below(4) {
        0 => value + way * bench.tick() * (1 + dice.below(4)) as f64,
        1 => value + way * whole,
        2 => {
            let ones = (value / whole).floor();
            let turned = (ones % 10.0) * 10.0 + (ones / 10.0).floor();
            if ones >= 10.0 { value + (turned - ones) * whole } else { value + 2.0 * way * whole }
        }
        _ => value * (0.7 + 0.6 * dice.share()),
    };
    (other / bench.tick()).round() * bench.tick()
}

pub fn read_throughout(
    bench: &Bench,
    dice: &mut Dice,
    problem: usize,
    (slot, row, read_as): (Slot, usize, f64),
    shows: impl std::ops::RangeBounds<usize>,
) -> Option<Case> {
    let given = bench.problems[problem].measures.value(slot, row)?;
    if read_as < bench.tick() || (read_as - given).abs() < 1.5 * bench.tick() {
        return None;
    }
    let (student, _) = bench.student(problem, dice)?;
    let mut read = student.givens.measures.clone();
    read.set(slot, row, read_as);
    let worked = student.work(&read, &[], None)?;
    let text = |value: f64| Length::from_nm_f64(value).map(|length| bench.ruler.write_exactly(length));
    let what = format!("{} read as {} for {}", bench.exercise.scope.name(slot), text(read_as)?, text(given)?);
    given_case(bench, &student, problem, worked, Done::Given { slot, row, read_as }, what, shows)
}

pub fn given_case(
    bench: &Bench,
    student: &Student,
    problem: usize,
    worked: Worked,
    done: Done,
    what: String,
    shows: impl std::ops::RangeBounds<usize>,
) -> Option<Case> {
    let guilty = wrong_by_rule(bench, student, &worked.paper)?;
    shows.contains(&guilty.len()).then(|| Case {
        problem,
        worked,
        texts: Default::default(),
        done,
        guilty,
        what,
        kind: "given",
    })
}

/// What would be read off the sheet by the rules alone, as a teacher with a pencil would: which answers are a tick and
/// more off both by the true values and by the student's own, or break a limit by both.
pub fn wrong_by_rule(bench: &Bench, student: &Student, paper: &Measures) -> Option<Vec<(StepId, usize)>> {
    let exercise = bench.exercise;
    let on_paper = |index: StepId, row: usize| paper.value(exercise.steps[index].slot, row);
    let is_choice = |index: StepId| matches!(exercise.steps[index].rule, StepRule::Within { .. });
    let (mut truth, mut own) = (student.givens.measures.clone(), student.givens.measures.clone());
    work(exercise, &mut truth, &|index, row| on_paper(index, row).filter(|_| is_choice(index))).ok()?;
    work(exercise, &mut own, &on_paper).ok()?;
    let mut wrong = bench.lines(paper);
    wrong.retain(|(index, row)| {
        let step = &exercise.steps[*index];
        let Some(value) = on_paper(*index, *row) else { return false };
        let is_wrong = |measures: &Measures| match &step.rule {
            StepRule::Value(rule) => {
                rule.evaluate(measures, Some(*row)).is_some_and(|right| (value - right).abs() > bench.tick() - 1.0)
            }
            StepRule::Within { .. } => {
                broken_limit(step, value, measures, *row, Tolerance::one_tick(bench.ruler)).is_some()
            }
        };
        is_wrong(&truth) && is_wrong(&own)
    });
    Some(wrong)
}
