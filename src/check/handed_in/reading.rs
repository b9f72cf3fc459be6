//! Reading the answers of a sheet, wherever they are written.

use super::answers::Answers;
use crate::draft::{Field, Written};
use crate::exercise::{Exercise, Step, StepId};
use crate::formula::Base;
use crate::length::{Length, Ruler, Unit, is_spelled_oddly, read_with_unit};
use crate::text::{Fault, Place, harmless, quoted};

/// A sheet that was handed in, asked for by what the exercise has.
pub(in crate::check) trait HandedIn {
    /// Its givens.
    type Givens: Written;

    /// Its givens.
    fn givens(&self) -> &Self::Givens;
    /// What a bare number is measured in, if the sheet says.
    fn unit(&self) -> Option<Unit>;
    /// The ruler, if the sheet says.
    fn ruler(&self) -> Option<Ruler>;
    /// Whether a code says what is given: then the class has no say in it.
    fn is_set_by_code(&self) -> bool;
    /// The answer to a row of a step, if it is filled in.
    fn answer(&self, step: StepId, row: usize) -> Option<Field<'_>>;
}

/// An answer that can't be read, or that nothing is to be worked from.
#[derive(Debug, Clone)]
pub(in crate::check) struct Unread {
    pub step: StepId,
    pub cell: usize,
    /// Where it stands.
    pub place: Option<Place>,
    /// Why, in a sentence without a full stop.
    pub why: String,
}

impl Unread {
    /// What is to be told of it.
    pub fn fault(&self, exercise: &Exercise) -> Fault {
        let key = format!("answer.{}", exercise.steps[self.step].name);
        Fault { place: self.place, key, message: self.why.clone() }
    }
}

/// Reads the answers. What can't be read is added to `unread`.
pub(in crate::check) fn read_answers_of<S: HandedIn>(
    exercise: &Exercise,
    sheet: &S,
    bare: Option<Unit>,
    answers: &mut Answers,
    unread: &mut Vec<Unread>,
) {
    for (index, step) in exercise.steps.iter_enumerated() {
        for (row, cell) in answers.cells(index).enumerate() {
            let Some(field) = sheet.answer(index, row) else { continue };
            match read_value(step, field.text, bare) {
                Ok((value, unit)) => answers.read(cell, value, unit),
                Err(why) => unread.push(Unread { step: index, cell, place: field.place, why }),
            }
        }
    }
}

/// The value of an answer, and of a length the unit that it is written in.
fn read_value(step: &Step, text: &str, bare: Option<Unit>) -> Result<(f64, Option<Unit>), String> {
    if step.kind.base != Base::Length {
        let number = text.trim().parse::<f64>().ok().filter(|number| number.is_finite());
        return number.map(|number| (number, None)).ok_or_else(|| format!("{} is not a number", quoted(text)));
    }
    let (length, unit) = read_with_unit(text, bare).map_err(|fault| fault.to_string())?;
    if length.is_negative() {
        return Err(format!("{} is less than nothing; a measurement is never negative", quoted(text)));
    }
    Ok((length.as_nm_f64(), Some(unit)))
}

/// How a student writes measurements, where that differs from what the sheet asks for: sentences without a full stop.
pub(in crate::check) fn habits(
    exercise: &Exercise,
    sheet: &impl HandedIn,
    bare: Option<Unit>,
    ruler: Ruler,
    answers: &Answers,
) -> Vec<String> {
    let mut odd: Option<&str> = None;
    // Units of the other system, and the first measurement in inches that was written as a decimal.
    let mut others: Vec<&str> = Vec::new();
    let mut decimal: Option<&str> = None;
    for step in exercise.steps.keys() {
        for (row, cell) in answers.cells(step).enumerate() {
            let Some(unit) = answers.unit(cell) else { continue };
            odd = odd.or_else(|| {
                sheet.answer(step, row).map(|field| field.text).filter(|text| is_spelled_oddly(text, bare))
            });
            if unit.is_metric() != ruler.is_metric() {
                if !others.contains(&unit.symbol()) {
                    others.push(unit.symbol());
                }
            } else if !unit.is_metric() && decimal.is_none() {
                decimal = sheet.answer(step, row).map(|field| field.text).filter(|text| is_decimal(text));
            }
        }
    }
    let others = (!others.is_empty()).then(|| {
        format!(
            "some answers are in {}, and the sheet's ruler is in {}; they were read as they are written",
            others.join(" and "),
            ruler.unit().symbol()
        )
    });
    let decimal = decimal.map(|text| {
        let length = Length::read(text, bare).unwrap_or_default();
        format!(
            "inches were written as decimals; \"{}\" was read as {}, and a ruler shows fractions",
            harmless(text.trim(), 40),
            ruler.write(length)
        )
    });
    let odd = odd.map(|text| {
        let length = Length::read(text, bare).unwrap_or_default();
        format!("{} was read as {}", quoted(text.trim()), ruler.write(length))
    });
    others.into_iter().chain(decimal).chain(odd).collect()
}

/// Whether a number is written with a point or a comma; "in." ends in a full stop, too.
fn is_decimal(text: &str) -> bool {
    text.as_bytes().windows(2).any(|pair| matches!(pair, [b'.' | b',', digit] if digit.is_ascii_digit()))
}
