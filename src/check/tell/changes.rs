//! A rule that was worked with one change, in words.

use super::words::{definite, often};
use crate::formula::{Change, Changed, Formula};

/// What was done otherwise, as the rest of "This comes out when …". `name` writes a part of a rule in the names of its
/// measures.
pub(super) fn clause(changed: &Changed, name: &dyn Fn(&Formula) -> String) -> String {
    let part = definite(&name(&changed.part));
    let other = changed.other.as_ref().map(|other| definite(&name(other))).unwrap_or_default();
    let by = |other: &str| other.parse().map_or_else(|_| format!("{other} times"), often);
    match changed.change {
        Change::LeftOut => format!("{part} is left out"),
        Change::Twice => format!("{part} is counted twice"),
        Change::Halved => format!("only half of {part} is counted"),
        Change::Added => format!("{part} is added, and it has to come off"),
        Change::TakenOff => format!("{part} is taken off, and it has to be added"),
        Change::NotTimes if other.parse::<u16>().is_ok() => format!("{part} is counted once, not {}", by(&other)),
        Change::NotTimes => format!("{part} is not multiplied by {other}"),
        Change::Times { counted, belongs } => format!("{part} is counted {}, not {}", often(counted), often(belongs)),
        Change::NotDivided => format!("{part} is not divided by {other}"),
        Change::NotHalved => format!("{part} is not halved"),
        Change::HalvedTwice => format!("{part} is halved twice"),
        Change::PiIsThree => "3 is taken for π".to_owned(),
        Change::Smallest => "the smaller is taken where the larger belongs".to_owned(),
        Change::Largest => "the larger is taken where the smaller belongs".to_owned(),
        Change::First => format!("only the first of {part} is taken"),
        Change::Last => format!("only the last of {part} is taken"),
        Change::NotRounded => format!("{part} is not rounded"),
        Change::RoundedOtherwise => format!("{part} is rounded the other way"),
        Change::Instead => format!("{other} is taken for {part}"),
        Change::OtherCase => format!("the rule of the other case is taken, {part}"),
    }
}

/// A question that gives no answer away.
pub(super) fn nudge(changed: &Changed, name: &dyn Fn(&Formula) -> String) -> String {
    let part = || definite(&name(&changed.part));
    match changed.change {
        Change::LeftOut | Change::Twice | Change::Halved | Change::NotTimes | Change::Times { .. } => {
            format!("How often does {} come in here, if at all?", part())
        }
        Change::Added | Change::TakenOff => format!("Is {} added here, or does it come off?", part()),
        Change::NotDivided | Change::NotHalved | Change::HalvedTwice => {
            "Is something shared here, and among how many?".to_owned()
        }
        Change::PiIsThree => "How many times its width is it round a circle?".to_owned(),
        Change::Smallest | Change::Largest | Change::First | Change::Last => {
            "Which of them decides here, and why that one?".to_owned()
        }
        Change::NotRounded | Change::RoundedOtherwise => "Is it rounded here, and which way?".to_owned(),
        Change::Instead => "Was it worked with the measure that belongs here?".to_owned(),
        Change::OtherCase => "Which of the cases is yours?".to_owned(),
    }
}
