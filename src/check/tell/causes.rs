//! A cause in words: in full for the student, as a nudge, and in short for the class.

use super::changes::{clause, nudge};
use super::words::{first_clause, often};
use crate::check::result::{Cause, Explanation, MarkedCell, MarkedSheet, Pen};
use crate::draft::{Draft, in_names, value_text};
use crate::exercise::Exercise;
use crate::formula::{Base, Slot};
use crate::length::Unit;

/// What it is in a few words, the same for every student: for counting over a class.
pub(super) fn in_short(cause: &Cause, exercise: &Exercise) -> String {
    let title = |slot: Slot| exercise.scope.title(slot);
    match cause {
        Cause::Slip(slip) | Cause::Earlier(slip) => exercise.slips[*slip].says.clone(),
        Cause::Counted { given, times, belongs } => {
            format!(
                "the {} was counted {} where it belongs {}",
                title(*given),
                often(u16::from(*times)),
                often(u16::from(*belongs))
            )
        }
        Cause::Halved => "it was halved once too often".to_owned(),
        Cause::Doubled => "it was doubled once too often".to_owned(),
        Cause::Unit { wrote, meant } => {
            format!("a number of {} was handed in as {}", plural(*meant), plural(*wrote))
        }
        Cause::Fraction => "a mark beside the right one was read off the ruler".to_owned(),
        Cause::Neighbour(step) => {
            format!("it is the answer of the line beside it, {}", exercise.steps[*step].short)
        }
        Cause::Row { .. } => "it is the value of the row beside it".to_owned(),
        Cause::RoundedParts { .. } => "the parts were rounded before they were added".to_owned(),
        Cause::Exchanged(one, other) => {
            format!("{} and {} stand in each other's place", exercise.steps[*one].short, exercise.steps[*other].short)
        }
        Cause::OtherRow { .. } => "one row of a table was taken for another".to_owned(),
        Cause::Misread { given, .. } => format!("the {} was read as something else", title(*given)),
        Cause::Shifted { from, down, .. } => {
            format!("from {} on every answer stands one line too {}", exercise.steps[*from].short, low_or_high(*down))
        }
        Cause::Miswritten { step, .. } => {
            format!("{} was written otherwise than it was worked on with", exercise.steps[*step].short)
        }
        Cause::AtOdds { choice, .. } => format!("it does not go with the {}", exercise.steps[*choice].short),
        Cause::Changed { step, at } => {
            let ruler = exercise.usual_ruler(false);
            let changed = &exercise.changes(*step)[*at];
            format!("it comes out so when {}", clause(changed, &|part| in_names(exercise, part, ruler)))
        }
        Cause::Example => "these are the figures for the example, not for one's own objects".to_owned(),
        Cause::Pen(pen) => of_the_pen(*pen).to_owned(),
    }
}

/// What to tell the student, with the values.
pub(super) fn in_full(cause: &Cause, sheet: &MarkedSheet, cell: &MarkedCell) -> String {
    let exercise = sheet.truth.exercise;
    let ruler = sheet.truth.givens.ruler;
    let value = |slot: Slot, row: usize| sheet.truth.text_at(slot, row);
    let title = |slot: Slot| exercise.scope.title(slot);
    match cause {
        Cause::Slip(slip) => exercise.slips[*slip].says.clone(),
        Cause::Earlier(slip) => {
            let slip = &exercise.slips[*slip];
            format!("This follows from a slip in the {}: {}", exercise.steps[slip.step].short, slip.says)
        }
        Cause::Counted { given, times, belongs: 0 } => format!(
            "The {}, {}, was added {}, and none belongs here: measure from the seam line, not from the cut edge.",
            title(*given),
            value(*given, 0),
            often(u16::from(*times))
        ),
        Cause::Counted { given, times: 0, belongs } => {
            format!(
                "The {}, {}, was left out; it belongs here {}.",
                title(*given),
                value(*given, 0),
                often(u16::from(*belongs))
            )
        }
        Cause::Counted { given, times, belongs } => format!(
            "The {}, {}, was counted {} where it belongs {}.",
            title(*given),
            value(*given, 0),
            often(u16::from(*times)),
            often(u16::from(*belongs))
        ),
        Cause::Halved => "It is half of what it should be.".to_owned(),
        Cause::Doubled => "It is twice what it should be.".to_owned(),
        Cause::Unit { wrote, meant } => {
            format!("The number is right in {}, and it was handed in as {}.", plural(*meant), plural(*wrote))
        }
        Cause::Fraction => {
            let right = value_text(Base::Length, cell.own.or(cell.expected), ruler);
            format!("A mark beside the right one was read off the ruler: {} for {right}.", cell.written)
        }
        Cause::Neighbour(step) => {
            format!("This is the value of the line beside it, the {}.", exercise.steps[*step].short)
        }
        Cause::Row { below } => {
            let beside = if *below { cell.row + 1 } else { cell.row.saturating_sub(1) };
            match sheet.truth.row_name(&exercise.steps[cell.step], beside) {
                "" => "This is the value of the row beside it.".to_owned(),
                name => format!("This is the value of the row beside it, {name}."),
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
        Cause::OtherRow { table, row, taken } => {
            let row_of = |row: usize| match sheet.truth.givens.row_names.get(table.0).and_then(|names| names.get(row)) {
                Some(name) if !name.is_empty() => name.clone(),
                Some(_) | None => format!("row {}", row + 1),
            };
            format!("You worked with what is given for {} where {} belongs.", row_of(*taken), row_of(*row))
        }
        Cause::Misread { given, row, read_as } => format!(
            "You worked with {} for the {}; the sheet gives {}.",
            value_text(Base::Length, read_as.as_nm_f64(), ruler),
            given_of(sheet, *given, *row),
            value(*given, *row)
        ),
        Cause::Shifted { from, down, .. } => {
            format!("From {} on, your answers stand one line too {}.", exercise.steps[*from].short, low_or_high(*down))
        }
        Cause::AtOdds { choice, meant } => format!(
            "It does not go with your {}: it would fit {}. Look at both: one of the two is not as it was meant.",
            exercise.steps[*choice].short,
            value_text(Base::Length, meant.as_nm_f64(), ruler)
        ),
        Cause::Miswritten { step, meant, .. } => format!(
            "What follows from the {} fits {}, and {} is written: a slip of the pen?",
            exercise.steps[*step].short,
            value_text(Base::Length, meant.as_nm_f64(), ruler),
            cell.written
        ),
        Cause::Changed { step, at } => {
            let changed = &exercise.changes(*step)[*at];
            format!("This comes out when {}.", clause(changed, &|part| sheet.truth.in_names(part)))
        }
        Cause::Example => "These are the figures for the example, not for your own objects.".to_owned(),
        Cause::Pen(pen @ (Pen::WholeMore | Pen::WholeLess)) => {
            let unit = if ruler.is_metric() { "centimetre" } else { "inch" };
            let way = if *pen == Pen::WholeMore { "much" } else { "little" };
            format!("It is just one {unit} too {way}: count again from the end of the ruler.")
        }
        Cause::Pen(_) => {
            let right = cell.own.or(cell.expected);
            format!("A slip of the pen? Did you mean {}?", value_text(Base::Length, right, ruler))
        }
    }
}

/// What to tell the student without giving the answer away.
pub(super) fn as_nudge(cause: &Cause, draft: &Draft) -> String {
    let exercise = draft.exercise;
    let title = |slot: Slot| exercise.scope.title(slot);
    match cause {
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
        Cause::OtherRow { .. } => "Look at the table again: which row is which?".to_owned(),
        Cause::Misread { given, .. } => format!("Check the {} that you worked with.", title(*given)),
        Cause::Shifted { from, .. } => {
            format!("From the {} on: does each answer stand on its own line?", exercise.steps[*from].short)
        }
        Cause::Miswritten { step, .. } => {
            format!(
                "Compare the {} with what you worked on with: was it written down as it is?",
                exercise.steps[*step].short
            )
        }
        Cause::AtOdds { choice, .. } => {
            format!("Compare it with your {}: do the two go together?", exercise.steps[*choice].short)
        }
        Cause::Changed { step, at } => nudge(&exercise.changes(*step)[*at], &|part| draft.in_names(part)),
        Cause::Example => "For which objects are these figures?".to_owned(),
        Cause::Pen(Pen::WholeMore | Pen::WholeLess) => "Count again from the end of the ruler.".to_owned(),
        Cause::Pen(_) => "Look at the digits again: is it written as you meant it?".to_owned(),
    }
}

/// A slip of the pen in a few words.
fn of_the_pen(pen: Pen) -> &'static str {
    match pen {
        Pen::Turned => "two digits stand in each other's place",
        Pen::SpaceLost => "the whole number ran into the fraction",
        Pen::Exchanged => "the whole number and the numerator stand in each other's place",
        Pen::FractionLost => "what follows the whole number was left out",
        Pen::PointLost => "the point was left out",
        Pen::WholeMore => "it is a whole inch or centimetre too much",
        Pen::WholeLess => "it is a whole inch or centimetre too little",
    }
}

/// What a given is called, with the name of its row.
fn given_of(sheet: &MarkedSheet, given: Slot, row: usize) -> String {
    let scope = &sheet.truth.exercise.scope;
    let name = scope.kind(given).list.and_then(|table| sheet.truth.givens.row_names.get(table.0)?.get(row));
    match name {
        Some(name) => format!("{} ({name})", scope.title(given)),
        None => scope.title(given).to_owned(),
    }
}

fn low_or_high(down: bool) -> &'static str {
    if down { "low" } else { "high" }
}

/// Of one explanation its words; of several, which fit equally well, all of them, after two words such as "Either: " and
/// " Or: ".
pub(super) fn either(
    explained: &[Explanation],
    [either, or]: [&str; 2],
    one: impl Fn(&Explanation) -> String,
) -> String {
    match explained {
        [only] => one(only),
        several => format!("{either}{}", several.iter().map(one).collect::<Vec<_>>().join(or)),
    }
}

pub(super) fn plural(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Foot => "feet",
        Unit::Yard => "yards",
        Unit::Millimetre => "millimetres",
        Unit::Centimetre => "centimetres",
        Unit::Metre => "metres",
    }
}
