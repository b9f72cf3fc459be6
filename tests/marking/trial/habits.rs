//! Habits of students that no list foresaw: what they do with a sheet, whatever the checker may call it.

use super::general::{allowances, in_other_unit, misread};
use super::injections::{Injection, mistake, own_slip, worked_cells};
use super::problem::Dice;
use super::student::{Mistake, Sheet, Student};
use foldmark::exercise::{Exercise, GivenKind, StepId, StepRule};
use foldmark::formula::{Base, Slot, Values};

pub type Habit = for<'e> fn(&Student<'e>, &Sheet, &mut Dice) -> Option<Injection<'e>>;

pub const HABITS: [Habit; 9] = [
    rounds_each_slot,
    rounds_each_measure,
    misreads_a_given,
    has_a_margin,
    forgets_the_fold,
    swaps_pocket_and_flap,
    takes_the_row_beside,
    works_in_the_other_unit,
    leaves_the_line_empty,
];

/// A grid that people like to round to, and whether they round up.
fn coarse(student: &Student, dice: &mut Dice) -> (f64, bool) {
    let grids =
        if student.givens.ruler.is_metric() { [5_000_000.0, 10_000_000.0] } else { [6_350_000.0, 12_700_000.0] };
    (grids[dice.below(2)], dice.percent(50))
}

/// Every part is rounded before it is used; the answers to the steps before stand as they were.
fn rounding<'e>(student: &Student<'e>, index: StepId, slots: Vec<Slot>, dice: &mut Dice) -> Mistake<'e> {
    let exercise = student.exercise;
    let (grid, up) = coarse(student, dice);
    mistake(index, None, move |moment| {
        let StepRule::Value(formula) = &exercise.steps[index].rule else { return moment.so_far };
        let mut rounded = moment.hand.clone();
        for slot in &slots {
            for row in 0..rounded.count(exercise, *slot) {
                let parts = rounded.value(*slot, row).unwrap_or(f64::NAN) / grid;
                rounded.set(*slot, row, grid * if up { parts.ceil() } else { parts.round() });
            }
        }
        formula.evaluate(&rounded, Some(moment.row)).unwrap_or(f64::NAN)
    })
}

fn lengths_used(exercise: &Exercise, index: StepId, lists: bool) -> Vec<Slot> {
    let StepRule::Value(formula) = &exercise.steps[index].rule else { return Vec::new() };
    let fits = |slot: &Slot| {
        let kind = exercise.scope.kind(*slot);
        kind.base == Base::Length && kind.list.is_some() == lists
    };
    formula.uses().iter().copied().filter(fits).collect()
}

fn rounds_each_slot<'e>(student: &Student<'e>, _: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let sums =
        |index: &StepId| exercise.steps[*index].kind.list.is_none() && !lengths_used(exercise, *index, true).is_empty();
    let index = *dice.pick(&exercise.steps.keys().filter(sums).collect::<Vec<_>>())?;
    let made = rounding(student, index, lengths_used(exercise, index, true), dice);
    let what = format!("rounds each slot in {}", exercise.steps[index].name);
    Some(Injection::one("rounds each slot", what, made, vec!["rounded-parts"]))
}

fn rounds_each_measure<'e>(student: &Student<'e>, _: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let several = |index: &StepId| lengths_used(exercise, *index, false).len() >= 2;
    let index = *dice.pick(&exercise.steps.keys().filter(several).collect::<Vec<_>>())?;
    let made = rounding(student, index, lengths_used(exercise, index, false), dice);
    let what = format!("rounds each measure in {}", exercise.steps[index].name);
    Some(Injection::one("rounds each measure", what, made, vec!["rounded-parts"]))
}

fn misreads_a_given<'e>(student: &Student<'e>, _: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let measures = &student.givens.measures;
    let mut cells: Vec<(Slot, usize)> = Vec::new();
    for given in &exercise.givens {
        match &given.kind {
            GivenKind::Length { slot, .. } => cells.push((*slot, 0)),
            GivenKind::Table { table, columns, .. } => {
                for column in columns.iter().filter(|column| column.is_length) {
                    cells.extend((0..measures.rows(*table)).map(|row| (column.slot, row)));
                }
            }
            _ => {}
        }
    }
    let (slot, row) = *dice.pick(&cells)?;
    let value = *dice.pick(&misread(student.givens.ruler, measures.value(slot, row).unwrap_or(f64::NAN)))?;
    Some(Injection {
        label: "a given misread, in one step",
        what: format!("{} misread", exercise.scope.name(slot)),
        mistakes: Vec::new(),
        names: Vec::new(),
        misread: Some((slot, row, value)),
        everywhere: vec!["given-misread"],
    })
}

/// Nothing that the checker knows: it should say nothing.
fn has_a_margin<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let margins: &[f64] = if student.givens.ruler.is_metric() {
        &[10.0, 12.0, 15.0, 20.0, 25.0]
    } else {
        &[12.7, 15.875, 19.05, 25.4, 31.75]
    };
    let margin = dice.pick(margins)? * 1_000_000.0;
    // A margin as wide as an allowance, or two, is a mistake that is known.
    let is_known = |allowance: Slot| {
        let times = margin / student.givens.measures.value(allowance, 0).unwrap_or(f64::NAN);
        (times - 1.0).abs() < 0.2 || (times - 2.0).abs() < 0.2
    };
    if allowances(student.exercise).into_iter().any(is_known) {
        return None;
    }
    let (index, row, _) = *dice.pick(&worked_cells(student.exercise, &first.hand))?;
    let mut made = mistake(index, Some(row), move |moment| moment.so_far + margin);
    made.carried = dice.percent(50);
    let what = format!("a margin of one's own in {}", student.exercise.steps[index].name);
    Some(Injection::one("a margin of one's own", what, made, Vec::new()))
}

/// Opened out what was to be folded, or folded what was to be opened out.
fn forgets_the_fold<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let is_folded = |index: StepId| {
        let step = &exercise.steps[index];
        format!("{} {}", step.title, step.why)
            .to_lowercase()
            .split(|c: char| !c.is_alphabetic())
            .any(|word| word.starts_with("fold") || word == "opened")
    };
    let cells: Vec<_> =
        worked_cells(exercise, &first.hand).into_iter().filter(|(index, ..)| is_folded(*index)).collect();
    let (index, row, _) = *dice.pick(&cells)?;
    let (factor, name) = if dice.percent(50) { (2.0, "doubled") } else { (0.5, "halved") };
    let made = mistake(index, Some(row), move |moment| moment.so_far * factor);
    let what = format!("fold forgotten, {name} in {}", exercise.steps[index].name);
    Some(Injection::one("fold forgotten", what, made, vec![name]))
}

fn swaps_pocket_and_flap<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let named = |word: &str| -> Vec<StepId> {
        let has =
            |index: &StepId| exercise.steps[*index].name.contains(word) && exercise.steps[*index].kind.list.is_none();
        exercise.steps.keys().filter(has).collect()
    };
    let (pocket, flap) = (*dice.pick(&named("pocket"))?, *dice.pick(&named("flap"))?);
    if pocket == flap {
        return None;
    }
    let carried = dice.percent(50);
    let swap = |here: StepId, there: StepId| {
        let value = first.hand.value(exercise.steps[there].slot, 0).unwrap_or(f64::NAN);
        Mistake { carried, ..mistake(here, Some(0), move |_| value) }
    };
    Some(Injection {
        label: if carried { "pocket and flap swapped, and on" } else { "pocket and flap swapped on paper" },
        what: format!("{} and {} swapped", exercise.steps[pocket].name, exercise.steps[flap].name),
        mistakes: vec![swap(pocket, flap), swap(flap, pocket)],
        names: vec![vec!["exchanged"], vec!["exchanged"]],
        misread: None,
        everywhere: Vec::new(),
    })
}

/// Row by row through the table, one line too far or not far enough, and on with it.
fn takes_the_row_beside<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let lists: Vec<_> = worked_cells(exercise, &first.hand)
        .into_iter()
        .filter(|(index, ..)| exercise.steps[*index].kind.list.is_some())
        .collect();
    let (index, row, _) = *dice.pick(&lists)?;
    let rows = first.hand.count(exercise, exercise.steps[index].slot);
    let beside = if dice.percent(50) { row + 1 } else { row.checked_sub(1)? };
    if beside >= rows {
        return None;
    }
    let made = mistake(index, Some(row), move |moment| {
        moment.hand.value(exercise.steps[index].slot, beside).unwrap_or(f64::NAN)
    });
    let what = format!("neighbour's row in {}", exercise.steps[index].name);
    Some(Injection::one("neighbour's row, and on", what, made, vec!["neighbouring-row"]))
}

/// The whole sheet measured with the other ruler, and the numbers written down as they were read there.
fn works_in_the_other_unit<'e>(student: &Student<'e>, first: &Sheet, _: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let metric = student.givens.ruler.is_metric();
    let steps: Vec<StepId> =
        exercise.steps.keys().filter(|index| exercise.steps[*index].kind.base == Base::Length).collect();
    let made = |index: &StepId| {
        let slot = exercise.steps[*index].slot;
        let rights: Vec<f64> =
            (0..first.hand.count(exercise, slot)).map(|row| first.hand.value(slot, row).unwrap_or(f64::NAN)).collect();
        let mut made = mistake(*index, None, move |moment| {
            let tick = if metric { 1_587_500.0 } else { 1_000_000.0 };
            let read = (rights[moment.row] / tick).round() * tick;
            in_other_unit(moment.ruler, read)
        });
        (made.carried, made.exact) = (false, true);
        made
    };
    Some(Injection {
        label: "sheet in the other unit",
        what: "sheet in the other unit".to_owned(),
        mistakes: steps.iter().map(made).collect(),
        names: steps.iter().map(|_| vec!["wrong-unit"]).collect(),
        misread: None,
        everywhere: vec!["wrong-unit"],
    })
}

/// Worked with a slip, not written down, and on with it.
fn leaves_the_line_empty<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let (mut made, name) = own_slip(student, first, dice)?;
    if !made.held.is_empty() || matches!(exercise.steps[made.step].rule, StepRule::Within { .. }) {
        return None;
    }
    made.blank = true;
    Some(Injection {
        label: "slip in a line left empty",
        what: format!("{name}, line left empty"),
        mistakes: vec![made],
        names: vec![vec![name]],
        misread: None,
        everywhere: vec![name],
    })
}
