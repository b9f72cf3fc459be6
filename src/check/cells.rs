//! What was written in an answer file, read: one cell for each answer that is asked for.

use super::answers::{Answer, AnswerSheet, Value};
use super::judge::Answers;
use super::mark::MarkedCell;
use super::verdict::Verdict;
use crate::draft::Givens;
use crate::exercise::{Exercise, Step, StepId};
use crate::formula::Base;
use crate::length::{Length, Ruler, Unit, read_with_unit};
use crate::text::{Fault, harmless, nearest, quoted};

/// The cells of a sheet as read, and what is to be said of how they were written.
pub(super) struct Cells {
    pub cells: Vec<MarkedCell>,
    pub answers: Answers,
    /// Names that the exercise does not have, and values too many.
    pub faults: Vec<Fault>,
    /// Sentences without a full stop, to be said once.
    pub remarks: Vec<String>,
}

/// Reads the answers of a sheet whose bare numbers are measured in `bare`.
pub(super) fn read_cells(exercise: &Exercise, sheet: &AnswerSheet, bare: Option<Unit>, givens: &Givens) -> Cells {
    let shape = &givens.measures;
    let mut faults = Vec::new();
    for answer in &sheet.answers {
        // A sheet with more has something wrong as a whole.
        if faults.len() < 50 && exercise.step(&answer.step).is_none() {
            let names = exercise.steps.iter().map(|step| step.name.as_str());
            let hint = match nearest(&answer.step, names) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "leave it out".to_owned(),
            };
            let message = format!("{} has no such step; {hint}", exercise.title);
            let key = format!("answer.{}", harmless(&answer.step, 40));
            faults.push(Fault { place: Some(answer.place), key, message });
        }
    }
    let mut answers = Answers::new(exercise, shape);
    let mut cells = Vec::with_capacity(answers.len());
    let mut habits = Habits { ruler: givens.ruler, others: Vec::new(), decimals: None };
    for (index, step) in exercise.steps.iter_enumerated() {
        let rows = shape.count(exercise, step.slot);
        let answer = sheet.answers.iter().find(|answer| answer.step == step.name);
        if let Some(answer) = answer.filter(|answer| answer.values.len() > rows) {
            let key = format!("answer.{}", step.name);
            let message = format!(
                "{} values are given where {rows} {}",
                answer.values.len(),
                if rows == 1 { "belongs" } else { "belong" }
            );
            faults.push(Fault { place: Some(answer.place), key, message });
        }
        cells.extend((0..rows).map(|row| read_cell(step, index, row, answer, bare, &mut habits)));
    }
    for (cell, read) in cells.iter().enumerate() {
        answers.set(cell, read.answer);
    }
    let remarks = habits.remarks();
    Cells { cells, answers, faults, remarks }
}

fn read_cell(
    step: &Step,
    index: StepId,
    row: usize,
    answer: Option<&Answer>,
    bare: Option<Unit>,
    habits: &mut Habits,
) -> MarkedCell {
    let value = answer.and_then(|answer| answer.values.get(row)).filter(|value| !value.text.trim().is_empty());
    let mut cell = MarkedCell {
        step: index,
        row,
        verdict: Verdict::Missing,
        written: value.map(|value| harmless(value.text.trim(), 40).into_owned()).unwrap_or_default(),
        answer: None,
        expected: f64::NAN,
        own: f64::NAN,
        explained: Vec::new(),
        remark: String::new(),
        rests_on: None,
        place: value.map(|value| value.place),
    };
    let Some(value) = value else { return cell };
    match read_value(step, value, bare, habits) {
        Ok(number) => cell.answer = Some(number),
        Err(sentence) => (cell.verdict, cell.remark) = (Verdict::Unreadable, sentence),
    }
    cell
}

fn read_value(step: &Step, value: &Value, bare: Option<Unit>, habits: &mut Habits) -> Result<f64, String> {
    if step.kind.base != Base::Length {
        let number = value.text.trim().parse::<f64>().ok().filter(|number| number.is_finite());
        return number.ok_or_else(|| format!("{} is not a number", quoted(&value.text)));
    }
    let (length, unit) = read_with_unit(&value.text, bare).map_err(|error| error.to_string())?;
    if length.is_negative() {
        return Err(format!("{} is less than nothing; a measurement is never negative", quoted(&value.text)));
    }
    habits.note(&value.text, length, unit);
    Ok(length.as_nm_f64())
}

/// How a student writes measurements, where that differs from what the sheet asks for.
struct Habits {
    ruler: Ruler,
    /// Units of the other system, as met.
    others: Vec<Unit>,
    /// The first measurement in inches that was written as a decimal, and how it was read.
    decimals: Option<(String, Length)>,
}

impl Habits {
    fn note(&mut self, text: &str, length: Length, unit: Unit) {
        if unit.is_metric() != self.ruler.is_metric() {
            if !self.others.contains(&unit) {
                self.others.push(unit);
            }
        } else if !unit.is_metric() && self.decimals.is_none() && text.contains(['.', ',']) {
            // "in." ends in a full stop, too.
            let is_decimal =
                text.as_bytes().windows(2).any(|pair| matches!(pair, [b'.' | b',', digit] if digit.is_ascii_digit()));
            if is_decimal {
                self.decimals = Some((harmless(text.trim(), 40).into_owned(), length));
            }
        }
    }

    fn remarks(self) -> Vec<String> {
        let mut remarks = Vec::new();
        if !self.others.is_empty() {
            let units: Vec<&str> = self.others.iter().map(|unit| unit.symbol()).collect();
            remarks.push(format!(
                "some answers are in {}, and the sheet's ruler is in {}; they were read as they are written",
                units.join(" and "),
                self.ruler.unit().symbol()
            ));
        }
        if let Some((text, length)) = self.decimals {
            remarks.push(format!(
                "inches were written as decimals; \"{text}\" was read as {}, and a ruler shows fractions",
                self.ruler.write(length)
            ));
        }
        remarks
    }
}

/// Nothing is worked from an absurd choice: it counts as one that can't be read.
pub(super) fn refuse(cell: &mut MarkedCell) {
    cell.answer = None;
    cell.verdict = Verdict::Unreadable;
    // The limit itself is for those to tell who may.
    cell.remark = format!("\"{}\" is far more than it could be; check the number and its unit", cell.written);
}
