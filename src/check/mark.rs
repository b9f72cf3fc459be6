//! Each answer judged twice: against the true values, and with the student's own earlier answers put in.

use super::answers::{Answer, AnswerSheet, read_length};
use super::explain::explain;
use crate::draft::{Draft, Givens, Measures, broken_limit, range, work};
use crate::exercise::{Exercise, Fault, Place, Step, StepRule, harmless, quoted};
use crate::formula::{Base, Values};
use crate::length::{Length, Ruler, Tolerance, Unit};
use crate::nearest::nearest;
use serde::Serialize;

/// What was found about one answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// It agrees with the true value, or lies within the limits.
    Right,
    /// It follows from the student's own earlier answers: an earlier slip costs once.
    RightFromOwn,
    /// A choice beyond a limit.
    OutsideRule,
    /// It agrees with neither.
    NotRight,
    /// There is no answer, or it rests on a choice that is missing.
    Missing,
    /// It can't be read as a measurement.
    Unreadable,
}

impl Verdict {
    /// Every verdict, from the best.
    pub const ALL: [Verdict; 6] = [
        Verdict::Right,
        Verdict::RightFromOwn,
        Verdict::OutsideRule,
        Verdict::NotRight,
        Verdict::Missing,
        Verdict::Unreadable,
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Verdict::Right => "right",
            Verdict::RightFromOwn => "right from your own figure",
            Verdict::OutsideRule => "outside the rule",
            Verdict::NotRight => "not right",
            Verdict::Missing => "missing",
            Verdict::Unreadable => "unreadable",
        }
    }

    /// Whether it earns the step's points.
    pub fn earns(self) -> bool {
        matches!(self, Verdict::Right | Verdict::RightFromOwn)
    }
}

/// One answer, marked: one step, and one row of it where the step is a list.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkedCell {
    /// Index of the step.
    pub step: usize,
    /// Row, from 0.
    pub row: usize,
    /// What was found.
    pub verdict: Verdict,
    /// What the student wrote, made harmless; empty if nothing.
    pub written: String,
    /// The answer as read, in nanometres for a length.
    pub answer: Option<f64>,
    /// What follows from the true values; for a choice, the choice itself. Not a number where it rests on a
    /// choice that is missing.
    pub expected: f64,
    /// What follows from the student's own earlier answers.
    pub own: f64,
    /// The slip that accounts for a wrong answer, by index, where exactly one does.
    pub slip: Option<usize>,
    /// Why it could not be read; empty otherwise.
    pub remark: String,
    /// The choice that is missing or can't be read, and that the true value rests on: there is no true
    /// value to compare with then.
    pub rests_on: Option<usize>,
    /// Where it stands in the file, if it does.
    pub place: Option<Place>,
}

/// A sheet, marked.
#[derive(Debug, Clone)]
pub struct MarkedSheet<'e> {
    /// The student's name, made harmless.
    pub student: String,
    /// The draft with the true values and the student's choices.
    pub truth: Draft<'e>,
    /// The draft with the student's own answers put in wherever they can be read.
    pub own: Draft<'e>,
    /// The answers in the order of the steps.
    pub cells: Vec<MarkedCell>,
    /// Points earned.
    pub points: u32,
    /// Points to be had.
    pub out_of: u32,
    /// What is wrong with the file, apart from its answers: names that the exercise does not have.
    pub faults: Vec<Fault>,
    /// Things to be said once, such as an older version of the exercise.
    pub remarks: Vec<String>,
}

impl MarkedSheet<'_> {
    /// Whether everything is right, and nothing in the file was left unmarked.
    pub fn all_right(&self) -> bool {
        self.faults.is_empty() && self.cells.iter().all(|cell| cell.verdict.earns())
    }

    /// The worst verdict among a step's cells.
    pub fn verdict(&self, step: usize) -> Verdict {
        let cells = self.cells.iter().filter(|cell| cell.step == step);
        cells.map(|cell| cell.verdict).max().unwrap_or(Verdict::Missing)
    }
}

/// How far an answer may be off: the step's own tolerance, else one tick of the ruler.
pub(super) fn tolerance(step: &Step, ruler: Ruler) -> Tolerance {
    step.tolerance.map_or_else(|| Tolerance::one_tick(ruler), Tolerance::of)
}

/// Whether a slip's value is so far from the right one that marking can tell them apart.
pub fn is_told_apart(step: &Step, slip: f64, right: f64, ruler: Ruler) -> bool {
    (slip - right).abs() > tolerance(step, ruler).width().as_nm_f64()
}

/// Marks a sheet.
///
/// # Errors
/// Faults in the givens, with their places; or one fault if the draft can't be worked from them.
pub fn mark<'e>(exercise: &'e Exercise, sheet: &AnswerSheet) -> Result<MarkedSheet<'e>, Vec<Fault>> {
    let metric = match (sheet.unit, sheet.ruler) {
        (Some(unit), _) => unit.is_metric(),
        (None, Some(ruler)) => ruler.is_metric(),
        (None, None) => exercise.rulers.first().is_some_and(|ruler| ruler.is_metric()),
    };
    let ruler = sheet.ruler.unwrap_or_else(|| exercise.usual_ruler(metric));
    let givens = Givens::read(exercise, &sheet.given, sheet.unit, ruler)?;
    let (mut cells, faults) = read_cells(exercise, sheet, &givens.measures);
    refuse_absurd_choices(exercise, &givens, &mut cells);

    // Where each step's cells begin.
    let mut starts = Vec::with_capacity(exercise.steps.len());
    for (at, cell) in cells.iter().enumerate().filter(|(_, cell)| cell.row == 0) {
        debug_assert_eq!(starts.len(), cell.step);
        starts.push(at);
    }
    let answered = |step: usize, row: usize| cells[starts[step] + row].answer;
    let is_choice = |step: usize| matches!(exercise.steps[step].rule, StepRule::Within { .. });
    let truth = Draft::new(exercise, givens.clone(), &|step, row| answered(step, row).filter(|_| is_choice(step)))
        .map_err(|fault| vec![Fault::whole(fault.to_string())])?;
    let own = Draft { exercise, measures: own_answers(exercise, &givens.measures, &answered), givens };

    let rests = Rests::new(exercise, &cells);
    for cell in &mut cells {
        judge(cell, &truth, &own, &rests);
    }
    let (points, out_of) = points(exercise, &cells);
    Ok(MarkedSheet {
        student: sheet.shown_name(),
        truth,
        own,
        cells,
        points,
        out_of,
        faults,
        remarks: remarks(exercise, sheet),
    })
}

/// One cell for each answer that is asked for, with what was written in it; and what was written that is
/// not asked for.
fn read_cells(exercise: &Exercise, sheet: &AnswerSheet, shape: &Measures) -> (Vec<MarkedCell>, Vec<Fault>) {
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
    let mut cells = Vec::with_capacity(exercise.steps.len());
    for (index, step) in exercise.steps.iter().enumerate() {
        let rows = shape.count(exercise, step.slot);
        let answer = sheet.answers.iter().find(|answer| answer.step == step.name);
        if let Some(answer) = answer.filter(|answer| answer.values.len() > rows) {
            let key = format!("answer.{}", step.name);
            let message = format!("{} values are given where {rows} belong", answer.values.len());
            faults.push(Fault { place: Some(answer.place), key, message });
        }
        cells.extend((0..rows).map(|row| read_cell(step, index, row, answer, sheet.unit)));
    }
    (cells, faults)
}

fn read_cell(step: &Step, index: usize, row: usize, answer: Option<&Answer>, unit: Option<Unit>) -> MarkedCell {
    let value = answer.and_then(|answer| answer.values.get(row)).filter(|value| !value.text.trim().is_empty());
    let mut cell = MarkedCell {
        step: index,
        row,
        verdict: Verdict::Missing,
        written: value.map(|value| harmless(value.text.trim(), 40)).unwrap_or_default(),
        answer: None,
        expected: f64::NAN,
        own: f64::NAN,
        slip: None,
        remark: String::new(),
        rests_on: None,
        place: value.map(|value| value.place),
    };
    if let Some(value) = value {
        let read = match step.kind.base {
            Base::Length => read_length(&value.text, unit).map(Length::as_nm_f64),
            _ => value
                .text
                .trim()
                .parse::<f64>()
                .ok()
                .filter(|number| number.is_finite())
                .ok_or_else(|| format!("{} is not a number", quoted(&value.text))),
        };
        match read {
            Ok(number) => cell.answer = Some(number),
            Err(sentence) => (cell.verdict, cell.remark) = (Verdict::Unreadable, sentence),
        }
    }
    cell
}

/// A choice ten times beyond its upper limit is a slip of the pen or the unit, and nothing is worked from it.
fn refuse_absurd_choices(exercise: &Exercise, givens: &Givens, cells: &mut [MarkedCell]) {
    let mut usual: Option<Measures> = None;
    for cell in cells.iter_mut() {
        let step = &exercise.steps[cell.step];
        let (StepRule::Within { .. }, Some(answer)) = (&step.rule, cell.answer) else { continue };
        let measures = usual.get_or_insert_with(|| own_answers(exercise, &givens.measures, &|_, _| None));
        let (_, high) = range(step, measures, cell.row);
        if let Some(high) = high.filter(|high| high.value > 0.0 && answer > 10.0 * high.value) {
            let most = givens.ruler.write(high.length());
            cell.answer = None;
            cell.verdict = Verdict::Unreadable;
            cell.remark = format!(
                "\"{}\" is far more than the {most} that it could be; check the number and its unit",
                cell.written
            );
        }
    }
}

/// Every measure as it follows from the student's own answers before it, with each answer itself in place
/// of what follows: what a slip's formula is worked with, too.
fn own_answers(exercise: &Exercise, givens: &Measures, answered: &dyn Fn(usize, usize) -> Option<f64>) -> Measures {
    let mut measures = givens.clone();
    // A step that can't be worked out from wild answers stays unset, and so do those after it.
    let _ = work(exercise, &mut measures, answered);
    measures
}

/// Which steps rest on a choice that is missing or can't be read, directly or through others: by the true
/// values, and by the student's own answers. A choice that was made carries nothing on: what follows it is
/// worked from the choice itself.
pub(super) struct Rests {
    truth: Vec<Option<usize>>,
    own: Vec<Option<usize>>,
    /// What each step carries on to those that use it.
    pub true_carry: Vec<Option<usize>>,
    /// The same, by the student's own answers.
    pub own_carry: Vec<Option<usize>>,
}

impl Rests {
    fn new(exercise: &Exercise, cells: &[MarkedCell]) -> Rests {
        let count = exercise.steps.len();
        let mut answered = vec![true; count];
        for cell in cells.iter().filter(|cell| cell.answer.is_none()) {
            answered[cell.step] = false;
        }
        let nothing = || vec![None; count];
        let mut rests = Rests { truth: nothing(), own: nothing(), true_carry: nothing(), own_carry: nothing() };
        for &index in &exercise.order {
            let uses = &exercise.steps[index].uses;
            rests.truth[index] = uses.iter().find_map(|used| rests.true_carry[*used]);
            rests.own[index] = uses.iter().find_map(|used| rests.own_carry[*used]);
            let is_choice = matches!(exercise.steps[index].rule, StepRule::Within { .. });
            rests.true_carry[index] = if is_choice { (!answered[index]).then_some(index) } else { rests.truth[index] };
            rests.own_carry[index] = if answered[index] {
                None
            } else if is_choice {
                Some(index)
            } else {
                rests.own[index]
            };
        }
        rests
    }
}

fn judge(cell: &mut MarkedCell, truth: &Draft, own: &Draft, rests: &Rests) {
    let exercise = truth.exercise;
    let step = &exercise.steps[cell.step];
    let ruler = truth.givens.ruler;
    let tolerance = tolerance(step, ruler);
    cell.expected = match rests.truth[cell.step] {
        None => truth.measures.value(step.slot, cell.row),
        Some(_) => f64::NAN,
    };
    let follows = |formula: &crate::formula::Formula| {
        let value = formula.evaluate(&own.measures, Some(cell.row));
        if step.kind.base == Base::Length {
            Length::from_nm_f64(value).map_or(f64::NAN, Length::as_nm_f64)
        } else {
            value
        }
    };
    cell.own = match &step.rule {
        StepRule::Value(formula) => follows(formula),
        StepRule::Within { .. } => cell.answer.unwrap_or(f64::NAN),
    };
    cell.rests_on = rests.truth[cell.step];
    let Some(answer) = cell.answer else { return };
    let (true_rest, own_rest) = (rests.truth[cell.step], rests.own[cell.step]);
    let (fits_truth, fits_own) = match &step.rule {
        StepRule::Value(_) => {
            let fits = |value: f64| (answer - value).abs() <= tolerance.width().as_nm_f64();
            (fits(cell.expected), fits(cell.own))
        }
        StepRule::Within { .. } => {
            let fits = |draft: &Draft| broken_limit(step, answer, &draft.measures, cell.row, tolerance).is_none();
            (fits(truth), fits(own))
        }
    };
    if let (Some(low), Some(high)) = range(step, &truth.measures, cell.row)
        && true_rest.is_none()
        && low.value > high.value + tolerance.width().as_nm_f64()
    {
        // Nobody can choose rightly here, so nobody loses points by it.
        let (low, high) = (truth.write_limit(&low), truth.write_limit(&high));
        cell.verdict = Verdict::Right;
        cell.remark = format!(
            "with these givens no {} is possible: it would have to be {low} and {high}; change the givens",
            step.short
        );
        return;
    }
    cell.verdict = if fits_truth && true_rest.is_none() {
        Verdict::Right
    } else if fits_own && own_rest.is_none() {
        Verdict::RightFromOwn
    } else if true_rest.is_some() && own_rest.is_some() {
        Verdict::Missing
    } else {
        cell.slip = explain(cell, truth, own, rests);
        if matches!(step.rule, StepRule::Within { .. }) { Verdict::OutsideRule } else { Verdict::NotRight }
    };
}

fn points(exercise: &Exercise, cells: &[MarkedCell]) -> (u32, u32) {
    let out_of = exercise.steps.iter().map(|step| step.points).sum();
    let mut lost: Vec<usize> = cells.iter().filter(|cell| !cell.verdict.earns()).map(|cell| cell.step).collect();
    // Cells come in the order of the steps, so a list's cells lie together.
    lost.dedup();
    (out_of - lost.iter().map(|step| exercise.steps[*step].points).sum::<u32>(), out_of)
}

fn remarks(exercise: &Exercise, sheet: &AnswerSheet) -> Vec<String> {
    match sheet.version {
        Some(version) if version != exercise.version => vec![format!(
            "the answers are for version {version} of this exercise, and it is marked by version {}",
            exercise.version
        )],
        _ => Vec::new(),
    }
}
