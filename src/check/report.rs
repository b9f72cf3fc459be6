//! A marked sheet as text and as data, at the level of detail the instructor chose.

use super::mark::{MarkedCell, MarkedSheet, Verdict};
use crate::draft::broken_limit;
use crate::exercise::StepRule;
use crate::formula::Base;
use crate::length::Length;
use serde::Serialize;
use std::collections::BTreeMap;

/// How much a report shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Show {
    /// Verdicts only.
    Marks,
    /// Nudges, but no answers.
    Coach,
    /// The arithmetic with the numbers put in.
    #[default]
    Full,
}

/// One answer of a marked sheet, as data.
#[derive(Debug, Clone, Serialize)]
pub struct StepReport {
    /// The step's name.
    pub step: String,
    /// Its title.
    pub title: String,
    /// The row's name, for a list.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub row: String,
    /// What was written.
    pub written: String,
    /// What was found.
    pub verdict: Verdict,
    /// The name of the slip that accounts for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slip: Option<String>,
    /// What was expected, where it is shown.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expected: Option<String>,
    /// What to tell the student.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub says: Vec<String>,
}

/// A marked sheet as data.
#[derive(Debug, Clone, Serialize)]
struct SheetReport {
    student: String,
    exercise: String,
    version: u32,
    ruler: String,
    points: u32,
    out_of: u32,
    all_right: bool,
    remarks: Vec<String>,
    faults: Vec<crate::exercise::Fault>,
    answers: Vec<StepReport>,
}

/// What to tell a student about one answer: nothing where it is right.
pub fn sentences(sheet: &MarkedSheet, cell: &MarkedCell, show: Show) -> Vec<String> {
    let truth = &sheet.truth;
    let step = &truth.exercise.steps[cell.step];
    let mut says = Vec::new();
    if !cell.remark.is_empty() {
        says.push(sentence(&cell.remark));
    }
    if show == Show::Marks || matches!(cell.verdict, Verdict::Right | Verdict::Unreadable | Verdict::Missing) {
        return says;
    }
    let full = show == Show::Full;
    if cell.verdict == Verdict::RightFromOwn {
        if full && matches!(step.rule, StepRule::Value(_)) {
            let true_value = truth.text_at(step.slot, cell.row);
            says.push(format!("It follows from your own earlier figures; with those put right it is {true_value}."));
        }
        return says;
    }
    if let StepRule::Within { .. } = &step.rule {
        let tolerance = super::mark::tolerance(step, truth.givens.ruler);
        let broken = cell.answer.and_then(|answer| broken_limit(step, answer, &sheet.own.measures, cell.row, tolerance));
        if let Some(bound) = broken {
            let value = if full { format!(" {}", truth.write(bound.length())) } else { String::new() };
            let rule = sheet.own.in_names(&bound.limit.value);
            let why = if bound.limit.why.is_empty() { String::new() } else { format!(": {}", bound.limit.why) };
            let is = if full { format!(", which is{value}") } else { String::new() };
            let rule = if rule.starts_with(|c: char| c.is_ascii_digit()) { rule } else { format!("the {}", rule.trim_start_matches("the ")) };
            says.push(format!("It has to be {} {rule}{is}{why}.", bound.limit.kind.words()));
        }
        return says;
    }
    match cell.slip {
        Some(slip) => says.push(truth.exercise.slips[slip].says.clone()),
        None if !full && !step.nudge.is_empty() => says.push(step.nudge.clone()),
        None => says.extend(how_far(cell, step.kind.base, truth.givens.ruler).filter(|_| full)),
    }
    if full {
        let (value, arithmetic) = (truth.text_at(step.slot, cell.row), truth.arithmetic(step, cell.row));
        says.push(format!("{} is {arithmetic} = {value}.", capital(&truth.rule(step))));
    }
    says
}

fn how_far(cell: &MarkedCell, base: Base, ruler: crate::length::Ruler) -> Option<String> {
    let off = cell.answer? - cell.expected;
    let length = Length::from_nm_f64(off.abs()).filter(|_| base == Base::Length)?;
    let way = if off > 0.0 { "too much" } else { "too little" };
    Some(format!("It is {} {way}.", ruler.write(length)))
}

/// As a sentence of its own.
fn sentence(text: &str) -> String {
    format!("{}.", capital(text))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A marked sheet as a table and sentences, for a terminal: plain text of at most 100 columns where the
/// answers allow, with no control characters.
pub fn report_text(sheet: &MarkedSheet, show: Show) -> String {
    let truth = &sheet.truth;
    let exercise = truth.exercise;
    let heads: Vec<String> = sheet.cells.iter().map(|cell| head(sheet, cell)).collect();
    let wide = |texts: &mut dyn Iterator<Item = &str>| texts.map(|text| text.chars().count()).max().unwrap_or(0);
    let first = wide(&mut heads.iter().map(String::as_str)).min(48);
    let second = wide(&mut sheet.cells.iter().map(|cell| cell.written.as_str())).clamp(1, 24);
    let mut lines =
        vec![format!("{}: {}, {} of {} points", sheet.student, exercise.title, sheet.points, sheet.out_of)];
    for (cell, head) in sheet.cells.iter().zip(&heads) {
        let written = if cell.written.is_empty() { "—" } else { &cell.written };
        lines.push(format!("  {head:first$}  {written:second$}  {}", cell.verdict.words()));
    }
    lines.extend(sheet.remarks.iter().map(|remark| format!("  Note: {remark}.")));
    for (cell, head) in sheet.cells.iter().zip(&heads) {
        let says = sentences(sheet, cell, show);
        if !says.is_empty() {
            lines.push(format!("  {head}: {}", says.join(" ")));
        }
    }
    lines.join("\n") + "\n"
}

fn head(sheet: &MarkedSheet, cell: &MarkedCell) -> String {
    let step = &sheet.truth.exercise.steps[cell.step];
    match sheet.truth.row_name(step, cell.row) {
        "" => step.title.clone(),
        row => format!("{}, {row}", step.title),
    }
}

/// A marked sheet as data, to be printed as JSON.
pub fn report_json(sheet: &MarkedSheet, show: Show) -> impl Serialize + use<> {
    let truth = &sheet.truth;
    let exercise = truth.exercise;
    let answers = sheet.cells.iter().map(|cell| {
        let step = &exercise.steps[cell.step];
        StepReport {
            step: step.name.clone(),
            title: step.title.clone(),
            row: truth.row_name(step, cell.row).to_owned(),
            written: cell.written.clone(),
            verdict: cell.verdict,
            slip: cell.slip.map(|slip| exercise.slips[slip].name.clone()),
            expected: (show == Show::Full).then(|| truth.text_at(step.slot, cell.row)),
            says: sentences(sheet, cell, show),
        }
    });
    SheetReport {
        student: sheet.student.clone(),
        exercise: exercise.name.clone(),
        version: exercise.version,
        ruler: truth.givens.ruler.to_string(),
        points: sheet.points,
        out_of: sheet.out_of,
        all_right: sheet.all_right(),
        remarks: sheet.remarks.clone(),
        faults: sheet.faults.clone(),
        answers: answers.collect(),
    }
}

/// What a class got wrong, counted as its sheets go by.
#[derive(Debug, Clone, Default)]
pub struct ClassTally {
    sheets: usize,
    all_right: usize,
    slips: BTreeMap<(String, usize), (String, usize)>,
    steps: BTreeMap<(String, usize), (String, usize)>,
}

impl ClassTally {
    /// Counts a sheet in.
    pub fn count(&mut self, sheet: &MarkedSheet) {
        let exercise = sheet.truth.exercise;
        self.sheets += 1;
        self.all_right += usize::from(sheet.all_right());
        let mut slips: Vec<usize> = sheet.cells.iter().filter_map(|cell| cell.slip).collect();
        slips.sort_unstable();
        slips.dedup();
        for slip in slips {
            let says = exercise.slips[slip].says.clone();
            self.slips.entry((exercise.name.clone(), slip)).or_insert((says, 0)).1 += 1;
        }
        for (index, step) in exercise.steps.iter().enumerate() {
            if matches!(sheet.verdict(index), Verdict::NotRight | Verdict::OutsideRule) {
                self.steps.entry((exercise.name.clone(), index)).or_insert((step.title.clone(), 0)).1 += 1;
            }
        }
    }

    /// What the class as a whole got wrong, most common first; empty for a single sheet.
    pub fn text(&self) -> String {
        if self.sheets < 2 {
            return String::new();
        }
        let mut lines = vec![format!("Of {} sheets, {} {} all right.", self.sheets, self.all_right, if self.all_right == 1 { "is" } else { "are" })];
        let mut list = |heading: &str, counts: &BTreeMap<(String, usize), (String, usize)>| {
            let mut common: Vec<&(String, usize)> = counts.values().collect();
            // Stable: equal counts stay in the order of the exercise.
            common.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
            if !common.is_empty() {
                lines.push(heading.to_owned());
            }
            lines.extend(common.iter().map(|(says, count)| format!("  {count} of {}  {says}", self.sheets)));
        };
        list("Steps that went wrong, most common first:", &self.steps);
        list("Slips behind them:", &self.slips);
        lines.join("\n") + "\n"
    }
}
