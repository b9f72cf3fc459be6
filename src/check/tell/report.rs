//! A marked sheet as text and as data, at the level of detail the instructor chose.

use super::sentences::{first_of_all, sentences};
use crate::check::result::{MarkedCell, MarkedSheet, Verdict};
use crate::class::{Points, Show};
use crate::exercise::{StepId, StepRule};
use serde::Serialize;

/// One answer of a marked sheet, as data.
#[cfg_attr(feature = "cli", derive(schemars::JsonSchema))]
#[derive(Debug, Clone, Serialize)]
pub struct StepReport {
    /// The step's name.
    pub step: String,
    /// Its title.
    pub title: String,
    /// The row's name, for a list; empty otherwise.
    pub row: String,
    /// Whether it is chosen within limits, rather than worked out.
    pub is_choice: bool,
    /// What was written.
    pub written: String,
    /// The answer as read: a length in whole nanometres, a number as it is. Nothing, if it could not be read.
    pub answer: Option<i64>,
    /// What was found.
    pub verdict: Verdict,
    /// The mistakes that account for it, where they are shown: of two that fit equally well both, and each
    /// explanation as the names of its mistakes.
    pub explained: Vec<Vec<String>>,
    /// What was expected, where it is shown.
    pub expected: Option<String>,
    /// The same as a number, a length in whole nanometres; nothing for a choice.
    pub expected_value: Option<i64>,
    /// What to tell the student.
    pub says: Vec<String>,
}

/// A marked sheet as data.
#[cfg_attr(feature = "cli", derive(schemars::JsonSchema))]
#[derive(Debug, Clone, Serialize)]
pub struct SheetReport {
    /// The student's name.
    pub student: String,
    /// What tells the student from others of the same name; empty, if the sheet has none.
    pub id: String,
    /// The code of the sheet; empty, if it has none.
    pub code: String,
    /// The exercise's name.
    pub exercise: String,
    /// The exercise's title.
    pub exercise_title: String,
    /// The exercise's version that it was marked by.
    pub version: u32,
    /// The sheet's ruler.
    pub ruler: String,
    /// Whether slips were to be found in a finished draft, rather than one to be made.
    pub is_hunt: bool,
    /// Whether it was handed in late.
    pub is_late: bool,
    /// Points earned.
    pub points: Points,
    /// Points to be had.
    pub out_of: Points,
    /// Whether everything that counts is right, and nothing in the file was left unmarked.
    pub all_right: bool,
    /// What accounts for several answers at once, where one thing does.
    pub first_of_all: Option<String>,
    /// Things to be said once.
    pub remarks: Vec<String>,
    /// What is wrong with the file, apart from its answers.
    pub faults: Vec<crate::text::Fault>,
    /// The answers, in the order of the steps.
    pub answers: Vec<StepReport>,
}

/// Marked sheets as data: what `check --json` prints.
#[cfg_attr(feature = "cli", derive(schemars::JsonSchema))]
#[derive(Debug, Clone, Default, Serialize)]
pub struct Results {
    /// The sheets that could be marked, in order.
    pub sheets: Vec<SheetReport>,
    /// A sentence for everything that could not be read.
    pub faults: Vec<String>,
}

/// A marked sheet as a table and sentences, for a terminal: plain text without control characters.
pub fn report_text(sheet: &MarkedSheet, show: Show) -> String {
    let truth = &sheet.truth;
    let exercise = truth.exercise;
    let heads: Vec<String> = sheet.cells.iter().map(|cell| head(sheet, cell)).collect();
    let wide = |texts: &mut dyn Iterator<Item = &str>| texts.map(|text| text.chars().count()).max().unwrap_or(0);
    let first = wide(&mut heads.iter().map(String::as_str)).min(48);
    let second = wide(&mut sheet.cells.iter().map(|cell| cell.written.as_str())).clamp(1, 24);
    let mut lines = vec![format!("{}: {}, {} of {} points", sheet.student, exercise.title, sheet.points, sheet.out_of)];
    for (cell, head) in sheet.cells.iter().zip(&heads) {
        let written = if cell.written.is_empty() { "—" } else { &cell.written };
        lines.push(format!("  {head:first$}  {written:second$}  {}", cell.verdict.words()));
    }
    lines.extend(first_of_all(sheet, show).map(|said| format!("  {said}")));
    lines.extend(sheet.remarks.iter().map(|remark| format!("  Note: {remark}.")));
    // Rows of one step about which the same is to be said share a line.
    let mut told: Vec<(StepId, Vec<&str>, String)> = Vec::new();
    for (cell, head) in sheet.cells.iter().zip(&heads) {
        let says = sentences(sheet, cell, show).join(" ");
        match told.last_mut() {
            _ if says.is_empty() => {}
            Some((step, rows, said)) if *step == cell.step && *said == says => {
                rows.push(truth.row_name(&exercise.steps[cell.step], cell.row))
            }
            _ => told.push((cell.step, vec![head], says)),
        }
    }
    lines.extend(told.iter().map(|(_, rows, says)| format!("  {}: {says}", rows.join(", "))));
    lines.join("\n") + "\n"
}

fn head(sheet: &MarkedSheet, cell: &MarkedCell) -> String {
    sheet.truth.label(&sheet.truth.exercise.steps[cell.step], cell.row)
}

/// What was expected: the value, or the limits of a choice; nothing where it rests on a choice that is missing.
fn expected(sheet: &MarkedSheet, cell: &MarkedCell) -> Option<String> {
    let step = &sheet.truth.exercise.steps[cell.step];
    match (&step.rule, cell.rests_on) {
        (_, Some(_)) => None,
        (StepRule::Value(_), None) => Some(sheet.truth.text_at(step.slot, cell.row)),
        (StepRule::Within { .. }, None) => Some(sheet.truth.arithmetic(step, cell.row)),
    }
}

/// A marked sheet as data, at a level of detail.
pub fn sheet_report(sheet: &MarkedSheet, show: Show) -> SheetReport {
    let truth = &sheet.truth;
    let exercise = truth.exercise;
    let full = show == Show::Full;
    let answers = sheet.cells.iter().map(|cell| {
        let step = &exercise.steps[cell.step];
        let explained = if full { cell.cause_names(exercise) } else { Vec::new() };
        let owned = |names: Vec<&str>| names.into_iter().map(str::to_owned).collect();
        StepReport {
            step: step.name.clone(),
            title: step.title.clone(),
            row: truth.row_name(step, cell.row).to_owned(),
            is_choice: step.is_choice(),
            written: cell.written.clone(),
            answer: cell.answer.map(|value| value.round() as i64),
            verdict: cell.verdict,
            explained: explained.into_iter().map(owned).collect(),
            expected: expected(sheet, cell).filter(|_| full),
            expected_value: cell.expected.filter(|_| full && !step.is_choice()).map(|value| value.round() as i64),
            says: sentences(sheet, cell, show),
        }
    });
    SheetReport {
        student: sheet.student.clone(),
        id: sheet.id.clone(),
        code: sheet.code.clone(),
        exercise: exercise.name.clone(),
        exercise_title: exercise.title.clone(),
        version: exercise.version,
        ruler: truth.givens.ruler.to_string(),
        is_hunt: sheet.is_hunt,
        is_late: sheet.is_late,
        points: sheet.points,
        out_of: sheet.out_of,
        all_right: sheet.all_right(),
        first_of_all: first_of_all(sheet, show),
        remarks: sheet.remarks.clone(),
        faults: sheet.faults.clone(),
        answers: answers.collect(),
    }
}
