//! Whether a cause that the marking names is the one that was at work. What a cause means is worked out here anew, from
//! its words, and compared with what was done on other givens: what gives the same value everywhere is the same mistake.

use super::slips::{Slip, alike};
use foldmark::check::{Cause, Pen};
use foldmark::draft::Measures;
use foldmark::exercise::{Exercise, StepId, StepRule};
use foldmark::formula::{Slot, TableId, Values};
use foldmark::length::{Length, Unit};

/// What was done on a sheet.
pub enum Done {
    /// Nothing wrong.
    Nothing,
    /// A step worked with another formula.
    Formula { slip: Slip, carried: bool },
    /// An answer written otherwise than it was worked: as the pen or the eye slipped, or as any other number.
    Written { step: StepId, row: usize, meant: f64, by: Hand },
    /// A given read as something else, throughout.
    Given { slot: Slot, row: usize, read_as: f64 },
    /// Everything measured and written in another unit, or one number.
    Unit { meant: Unit },
    /// From one line on, the answers stand on the line beside theirs; also true would be the lines beside this one.
    Shift { from: [Option<StepId>; 3], down: bool },
    /// Two answers in each other's place.
    Exchange(StepId, StepId),
    /// The example's answers.
    Example,
    /// Something that no cause can say yet.
    Unnamed,
    /// One row of a table taken for another, throughout: which, and what was read.
    Row { table: TableId, row: usize, taken: usize },
}

/// How a number came to be written.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Hand {
    /// A slip of the pen in its digits.
    Digits,
    /// A whole inch or centimetre too much or too little.
    WholeOff { more: bool },
    /// The neighbouring mark of the ruler.
    Mark,
    /// Any other number, while the right one was worked on with.
    Any,
    /// A number by chance, worked on with: there is no cause to name.
    Chance,
}

/// Drafts of the same exercise on other givens, with the same words chosen.
pub struct Elsewhere<'t> {
    pub exercise: &'t Exercise,
    pub drafts: Vec<&'t Measures>,
    /// What the student worked with.
    pub here: &'t Measures,
    pub tick: f64,
    /// The step, and the row, of which the cause is said.
    pub said_of: (StepId, usize),
}

/// Whether a cause that was named is what was done.
pub fn is_true(cause: &Cause, done: &Done, elsewhere: &Elsewhere) -> bool {
    // What was meant can be solved from rounded answers to within a tick, and no closer.
    let near = |length: Length, value: f64| (length.as_nm_f64() - value).abs() <= elsewhere.tick + 1.0;
    match (done, cause) {
        (Done::Formula { slip, .. }, _) => {
            elsewhere.said_of.0 == slip.step && is_same_everywhere(cause, slip, elsewhere)
        }
        (Done::Written { step, row, meant, by }, Cause::Miswritten { step: said, row: said_row, meant: told }) => {
            *by != Hand::Chance && (step, row) == (said, said_row) && near(*told, *meant)
        }
        (Done::Written { step, row, by, .. }, Cause::Pen(pen)) => {
            let whole = match by {
                Hand::Digits => !matches!(pen, Pen::WholeMore | Pen::WholeLess),
                Hand::WholeOff { more } => *pen == if *more { Pen::WholeMore } else { Pen::WholeLess },
                Hand::Mark | Hand::Any | Hand::Chance => false,
            };
            whole && elsewhere.said_of == (*step, *row)
        }
        (Done::Written { step, row, by: Hand::Mark, .. }, Cause::Fraction) => elsewhere.said_of == (*step, *row),
        (Done::Given { slot, row, read_as }, Cause::Misread { given, row: said_row, read_as: told }) => {
            (slot, row) == (given, said_row) && near(*told, *read_as)
        }
        (Done::Unit { meant }, Cause::Unit { meant: told, .. }) => meant == told,
        (Done::Shift { from, down }, Cause::Shifted { from: told, down: told_down, .. }) => {
            from.contains(&Some(*told)) && down == told_down
        }
        (Done::Exchange(one, other), Cause::Exchanged(a, b)) => (one, other) == (a, b) || (one, other) == (b, a),
        (Done::Example, Cause::Example) => true,
        (Done::Row { table, row, taken }, Cause::OtherRow { table: of, row: said, taken: told }) => {
            (table, row, taken) == (of, said, told)
        }
        (Done::Row { row, taken, .. }, Cause::Row { below }) => {
            let beside = if *below { Some(row + 1) } else { row.checked_sub(1) };
            elsewhere.said_of.1 == *row && beside == Some(*taken)
        }
        (Done::Row { table, row, taken }, Cause::Misread { given, row: said_row, read_as }) => {
            let of_the_table = elsewhere.exercise.scope.kind(*given).list == Some(*table);
            let there = elsewhere.here.value(*given, *taken);
            of_the_table && row == said_row && there.is_some_and(|there| near(*read_as, there))
        }
        _ => false,
    }
}

/// Whether a cause that was named is right in what it says, but does not say what was done.
pub fn is_unspecific(cause: &Cause, done: &Done, elsewhere: &Elsewhere) -> bool {
    match (done, cause) {
        (Done::Formula { slip, carried: false }, Cause::Miswritten { step, row, meant }) => {
            let right = elsewhere.here.value(elsewhere.exercise.steps[*step].slot, *row);
            *step == slip.step && right.is_some_and(|right| (meant.as_nm_f64() - right).abs() < elsewhere.tick)
        }
        // One of the two that were exchanged, and what it was meant as.
        (Done::Exchange(one, other), Cause::Miswritten { step, row, meant }) => {
            let right = elsewhere.here.value(elsewhere.exercise.steps[*step].slot, *row);
            [one, other].contains(&step)
                && right.is_some_and(|right| (meant.as_nm_f64() - right).abs() < elsewhere.tick)
        }
        // Either of the two, it says.
        (Done::Written { step, .. } | Done::Formula { slip: Slip { step, .. }, .. }, Cause::AtOdds { choice, .. }) => {
            elsewhere.said_of.0 == *step || choice == step
        }
        // The right shift, from a line further on.
        (Done::Shift { down, .. }, Cause::Shifted { down: told, .. }) => down == told,
        _ => false,
    }
}

fn is_same_everywhere(cause: &Cause, slip: &Slip, elsewhere: &Elsewhere) -> bool {
    let slot = elsewhere.exercise.steps[slip.step].slot;
    !elsewhere.drafts.is_empty()
        && elsewhere.drafts.iter().all(|draft| {
            (0..draft.count(elsewhere.exercise, slot)).all(|row| {
                let named = meaning(cause, elsewhere.exercise, slip.step, draft, row);
                // What reads the same on the ruler everywhere, nobody could tell apart.
                alike(named, slip.value(draft, row), elsewhere.tick / 2.0)
            })
        })
}

/// What a cause makes of a step's value in another draft; nothing, for one that means nothing there.
fn meaning(cause: &Cause, exercise: &Exercise, step: StepId, draft: &Measures, row: usize) -> Option<f64> {
    let StepRule::Value(rule) = &exercise.steps[step].rule else { return None };
    let right = rule.evaluate(draft, Some(row))?;
    match cause {
        Cause::Slip(slip) => {
            let slip = &exercise.slips[*slip];
            (slip.step == step).then(|| slip.used.evaluate(draft, Some(row)))?
        }
        Cause::Counted { given, times, belongs } => {
            let (more, mut longer) = (1_000_000.0, draft.clone());
            let length = draft.value(*given, 0)?;
            longer.set(*given, 0, length + more);
            let sign = if rule.evaluate(&longer, Some(row))? < right { -1.0 } else { 1.0 };
            Some(right + sign * (f64::from(*times) - f64::from(*belongs)) * length)
        }
        Cause::Changed { step: of, at } => {
            let changed = (*of == step).then(|| &exercise.changes(step)[*at])?;
            changed.formula.evaluate(draft, Some(row))
        }
        Cause::Halved => Some(right / 2.0),
        Cause::Doubled => Some(right * 2.0),
        Cause::Neighbour(other) => draft.value(exercise.steps[*other].slot, row),
        Cause::Row { below } => {
            draft.value(exercise.steps[step].slot, if *below { row + 1 } else { row.checked_sub(1)? })
        }
        Cause::RoundedParts { tick, up } => {
            let mut rounded = draft.clone();
            for slot in rule.uses() {
                let tick = tick.as_nm_f64();
                for at in 0..draft.count(exercise, *slot) {
                    let ticks = draft.value(*slot, at)? / tick;
                    rounded.set(*slot, at, if *up { ticks.ceil() } else { ticks.round() } * tick);
                }
            }
            rule.evaluate(&rounded, Some(row))
        }
        _ => None,
    }
}
