//! What may have gone wrong in an answer: the exercise's own slips, and those that anyone makes anywhere.

use super::mark::MarkedSheet;
use crate::draft::value_text;
use crate::exercise::{Exercise, SlipId, StepId};
use crate::formula::{Base, Slot};
use crate::length::{Length, Unit};

/// One thing that went wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cause {
    /// A slip that the exercise knows, by index.
    Slip(SlipId),
    /// A slip that the exercise knows, in a step without an answer; what is wrong follows from it.
    Earlier(SlipId),
    /// An allowance counted so many times where it belongs so many.
    Counted {
        /// Which given.
        given: Slot,
        /// How often it was counted.
        times: u8,
        /// How often it belongs.
        belongs: u8,
    },
    /// Halved once too often.
    Halved,
    /// Doubled once too often.
    Doubled,
    /// A number measured in one unit and handed in as another.
    Unit {
        /// What it was handed in as.
        wrote: Unit,
        /// What it was measured in.
        meant: Unit,
    },
    /// The next fraction of the same kind: 5/8 for 3/8.
    Fraction,
    /// The value of the step beside it.
    Neighbour(StepId),
    /// The value of the row beside it.
    Row {
        /// Whether of the row below; otherwise of the row above.
        below: bool,
    },
    /// Parts rounded before they were added.
    RoundedParts {
        /// To ticks this far apart.
        tick: Length,
        /// Upwards; otherwise to the nearest.
        up: bool,
    },
    /// Two answers in each other's place, by step.
    Exchanged(StepId, StepId),
    /// A given read as something else.
    Misread {
        /// Which given.
        given: Slot,
        /// Its row.
        row: usize,
        /// As what.
        read_as: Length,
    },
}

impl Cause {
    /// Its name, for counting it over a class and for programs to read on.
    pub fn name<'e>(&self, exercise: &'e Exercise) -> &'e str {
        match self {
            Cause::Slip(slip) | Cause::Earlier(slip) => &exercise.slips[*slip].name,
            Cause::Counted { times, belongs, .. } if times < belongs => "allowance-too-seldom",
            Cause::Counted { .. } => "allowance-too-often",
            Cause::Halved => "halved",
            Cause::Doubled => "doubled",
            Cause::Unit { .. } => "wrong-unit",
            Cause::Fraction => "next-fraction",
            Cause::Neighbour(_) => "neighbouring-step",
            Cause::Row { .. } => "neighbouring-row",
            Cause::RoundedParts { .. } => "rounded-parts",
            Cause::Exchanged(..) => "exchanged",
            Cause::Misread { .. } => "given-misread",
        }
    }

    /// What it is in a few words, the same for every student: for counting over a class.
    pub fn in_short(&self, exercise: &Exercise) -> String {
        let title = |slot: Slot| exercise.scope.title(slot);
        match self {
            Cause::Slip(slip) | Cause::Earlier(slip) => exercise.slips[*slip].says.clone(),
            Cause::Counted { given, times, belongs } => {
                format!("the {} was counted {} where it belongs {}", title(*given), often(*times), often(*belongs))
            }
            Cause::Halved => "it was halved once too often".to_owned(),
            Cause::Doubled => "it was doubled once too often".to_owned(),
            Cause::Unit { wrote, meant } => {
                format!("a number of {} was handed in as {}", plural(*meant), plural(*wrote))
            }
            Cause::Fraction => "the fraction was misread by one mark".to_owned(),
            Cause::Neighbour(step) => {
                format!("it is the answer of the line beside it, {}", exercise.steps[*step].short)
            }
            Cause::Row { .. } => "it is the value of the row beside it".to_owned(),
            Cause::RoundedParts { .. } => "the parts were rounded before they were added".to_owned(),
            Cause::Exchanged(one, other) => {
                format!(
                    "{} and {} stand in each other's place",
                    exercise.steps[*one].short, exercise.steps[*other].short
                )
            }
            Cause::Misread { given, .. } => format!("the {} was read as something else", title(*given)),
        }
    }

    /// What to tell the student, with the values.
    pub(super) fn in_full(&self, sheet: &MarkedSheet, row: usize) -> String {
        let exercise = sheet.truth.exercise;
        let ruler = sheet.truth.givens.ruler;
        let value = |slot: Slot, row: usize| sheet.truth.text_at(slot, row);
        let title = |slot: Slot| exercise.scope.title(slot);
        match self {
            Cause::Slip(slip) => exercise.slips[*slip].says.clone(),
            Cause::Earlier(slip) => {
                let slip = &exercise.slips[*slip];
                format!("This follows from a slip in the {}: {}", exercise.steps[slip.step].short, slip.says)
            }
            Cause::Counted { given, times, belongs: 0 } => format!(
                "The {}, {}, was added {}, and none belongs here: measure from the seam line, not from the cut edge.",
                title(*given),
                value(*given, 0),
                often(*times)
            ),
            Cause::Counted { given, times: 0, belongs } => {
                format!(
                    "The {}, {}, was left out; it belongs here {}.",
                    title(*given),
                    value(*given, 0),
                    often(*belongs)
                )
            }
            Cause::Counted { given, times, belongs } => format!(
                "The {}, {}, was counted {} where it belongs {}.",
                title(*given),
                value(*given, 0),
                often(*times),
                often(*belongs)
            ),
            Cause::Halved => "It is half of what it should be.".to_owned(),
            Cause::Doubled => "It is twice what it should be.".to_owned(),
            Cause::Unit { wrote, meant } => {
                format!("The number is right in {}, but it was handed in as {}.", plural(*meant), plural(*wrote))
            }
            Cause::Fraction => "The fraction was misread by one mark of its kind, as 5/8 for 3/8.".to_owned(),
            Cause::Neighbour(step) => {
                format!("This is the value of the line beside it, the {}.", exercise.steps[*step].short)
            }
            Cause::Row { below } => {
                let beside = if *below { row + 1 } else { row.saturating_sub(1) };
                let step = sheet.cells.iter().find(|cell| cell.is_by(self)).map(|cell| &exercise.steps[cell.step]);
                match step.map(|step| sheet.truth.row_name(step, beside)) {
                    Some(name) if !name.is_empty() => format!("This is the value of the row beside it, {name}."),
                    _ => "This is the value of the row beside it.".to_owned(),
                }
            }
            Cause::RoundedParts { tick, up } => format!(
                "The parts were rounded {} {} before they were added; add first, and round once at the end.",
                if *up { "up to" } else { "to" },
                ruler.write_exactly(*tick)
            ),
            Cause::Exchanged(one, other) => format!(
                "The answers for {} and {} stand in each other's place.",
                exercise.steps[*one].short, exercise.steps[*other].short
            ),
            Cause::Misread { given, row, read_as } => format!(
                "It fits {} {} of {} in place of {}.",
                if exercise.scope.kind(*given).list.is_some() { "a" } else { "the" },
                title(*given),
                value_text(Base::Length, read_as.as_nm_f64(), ruler),
                value(*given, *row)
            ),
        }
    }

    /// What to tell the student without giving the answer away.
    pub(super) fn as_nudge(&self, exercise: &Exercise) -> String {
        let title = |slot: Slot| exercise.scope.title(slot);
        match self {
            // Only what went wrong: the rest of a slip's text tells the rule.
            Cause::Slip(slip) => first_clause(&exercise.slips[*slip].says),
            Cause::Earlier(slip) => {
                format!("Look at the {} again first.", exercise.steps[exercise.slips[*slip].step].short)
            }
            Cause::Counted { given, .. } => {
                format!("How often does the {} come in here, if at all?", title(*given))
            }
            Cause::Halved | Cause::Doubled => "Was something halved or doubled that should not have been?".to_owned(),
            Cause::Unit { .. } => "In which unit was this measured, and in which was it handed in?".to_owned(),
            Cause::Fraction => "Read the fraction on the ruler once more.".to_owned(),
            Cause::Neighbour(_) => "Does this answer stand on the right line?".to_owned(),
            Cause::Row { .. } => "Does this value stand in the right row?".to_owned(),
            Cause::RoundedParts { .. } => "At which point was it rounded?".to_owned(),
            Cause::Exchanged(one, other) => format!(
                "Compare the lines of the {} and the {}: does each answer stand on its own line?",
                exercise.steps[*one].short, exercise.steps[*other].short
            ),
            Cause::Misread { given, .. } => format!("Check the {} that you worked with.", title(*given)),
        }
    }
}

fn often(times: u8) -> String {
    match times {
        0 => "not at all".to_owned(),
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        times => format!("{times} times"),
    }
}

fn plural(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Foot => "feet",
        Unit::Yard => "yards",
        Unit::Millimetre => "millimetres",
        Unit::Centimetre => "centimetres",
        Unit::Metre => "metres",
    }
}

fn first_clause(says: &str) -> String {
    let first = says.split_inclusive(['.', ':']).next().unwrap_or(says);
    format!("{}.", first.trim_end_matches(['.', ':']))
}
