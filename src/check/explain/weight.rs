//! How likely a mistake is, beside all others that would lead to the same answer.
//!
//! A weight says how many times likelier a mistake is than that a number came about in a way that nobody thought of, where the two
//! fit alike. The steps between them are those that served best in the open part of the trial (`tests/marking/trial`). What that
//! part leaves out counts as much as what is most like it, a term with the other sign as a term counted twice; a slip that the
//! exercise's author foresaw comes first.

use crate::check::result::{Cause, Explanation, Pen};
use crate::exercise::Exercise;
use crate::formula::Change;

/// What the exercise's author knows that people do.
const FORESEEN: f64 = 1000.0;
/// What people do every day.
const OFTEN: f64 = 30.0;
const USUAL: f64 = 15.0;
const SELDOM: f64 = 5.0;
/// What fits easily, and is rarely the reason.
const EASY: f64 = 6.0;
/// That a number was written otherwise than it was worked on with, which is seen, and says little.
const SEEN: f64 = 2.0;
const RARE: f64 = 1.0;

/// How likely an explanation is of an answer that was worked on with, or was not, or of which nothing tells whether it was.
pub(super) fn weight(explanation: &Explanation, exercise: &Exercise, went_on: Option<bool>) -> f64 {
    let cause = &explanation.cause;
    // Who went on with a number worked it out so; what nobody went on with was written otherwise than it was worked out.
    let carried = match (went_on, is_of_the_pen(cause)) {
        _ if matches!(cause, Cause::Miswritten { .. }) => 1.0,
        (None, _) | (Some(true), true) => 1.0,
        (Some(true), false) | (Some(false), true) => 1.5,
        (Some(false), false) => 0.5,
    };
    // Of two that came together, one that is wrong already was likelier halved, doubled or in another unit.
    let again = match explanation.and {
        Some(Cause::Counted { .. } | Cause::Fraction) => 0.3,
        Some(_) | None => 1.0,
    };
    usual(cause, exercise) * carried * again
}

/// Whether a number was only read or written otherwise than it was meant.
pub(super) fn is_of_the_pen(cause: &Cause) -> bool {
    matches!(cause, Cause::Pen(_) | Cause::Fraction)
}

fn usual(cause: &Cause, exercise: &Exercise) -> f64 {
    match *cause {
        Cause::Slip(_) | Cause::Earlier(_) => FORESEEN,
        // A whole number where a fraction belongs says so itself.
        Cause::Pen(Pen::FractionLost) => OFTEN,
        Cause::Miswritten { .. } => SEEN,
        Cause::Pen(Pen::WholeMore | Pen::WholeLess) | Cause::Fraction => EASY,
        Cause::Pen(_) | Cause::Row { .. } | Cause::RoundedParts { .. } => USUAL,
        // What a step does not know is rarely in it, and nobody counts a thing twice too often.
        Cause::Counted { times, belongs, .. } if belongs == 0 || times > belongs + 1 => SELDOM,
        Cause::Counted { .. } => USUAL,
        Cause::Changed { step, at } => of_change(exercise.changes(step)[at].change),
        Cause::Halved
        | Cause::Doubled
        | Cause::Unit { .. }
        | Cause::Neighbour(_)
        | Cause::Exchanged(..)
        | Cause::Shifted { .. }
        | Cause::AtOdds { .. }
        | Cause::Example
        | Cause::OtherRow { .. }
        | Cause::Misread { .. } => RARE,
    }
}

fn of_change(change: Change) -> f64 {
    match change {
        Change::LeftOut | Change::NotTimes => OFTEN,
        Change::Times { counted, belongs } if counted > belongs + 1 => SELDOM,
        Change::Twice
        | Change::Halved
        | Change::Added
        | Change::TakenOff
        | Change::Times { .. }
        | Change::NotDivided
        | Change::NotHalved
        | Change::PiIsThree
        | Change::Smallest
        | Change::Largest
        | Change::Instead => USUAL,
        Change::First
        | Change::Last
        | Change::HalvedTwice
        | Change::NotRounded
        | Change::RoundedOtherwise
        | Change::OtherCase => SELDOM,
    }
}
