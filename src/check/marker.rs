//! Marking a sheet: each answer judged twice, points counted, wrong answers explained, and what is to be said once.

use super::explain::{Evidence, allowances, explain};
use super::handed_in::{Answer, AnswerSheet, Filed, HandedIn, habits};
use super::judge::{Planted, RATIOS, Reading, Rules, Workbench, with_slips};
use super::result::{Cause, Explanation, MarkedCell, MarkedSheet, OneCause, Verdict};
use crate::class::{Points, Policy};
use crate::draft::{Draft, Givens, Written};
use crate::exercise::{Exercise, OnSheet, SlipId, Step, StepId};
use crate::formula::Slot;
use crate::length::{Length, Unit};
use crate::text::{Fault, harmless};
use std::cell::OnceCell;
use typed_index_collections::TiVec;

/// Marks sheets of one exercise by the policy of a class.
///
/// ```
/// use foldmark::check::{Marker, read_answers};
/// use foldmark::class::Policy;
/// use foldmark::exercise::Shelf;
/// let shelf = Shelf::shipped();
/// let marker = Marker::new(shelf.get("flap-roll").unwrap(), &Policy::default());
/// let sheet = read_answers(r#"
/// exercise = "flap-roll"
/// student = "Tansy"
/// unit = "in"
/// [[given.objects]]
/// name = "chisel"
/// length = "9"
/// girth = "3"
/// count = 4
/// [answer]
/// slot = ["1 3/4"]
/// slots_width = "7"
/// finished_width = "7"
/// "#).unwrap();
/// let marked = marker.mark(&sheet).unwrap();
/// assert_eq!(marked.cells[1].verdict.words(), "right");
/// assert_eq!(marked.cells[2].verdict.words(), "not right");
/// ```
#[derive(Debug, Clone)]
pub struct Marker<'e> {
    pub(super) rules: Rules<'e>,
    allowances: Vec<Slot>,
}

/// Marks a sheet with no policy: what it says of itself, and what it asks for counts.
///
/// # Errors
/// Faults in the givens, with their places; or one fault if the draft can't be worked from them.
pub fn mark<'e>(exercise: &'e Exercise, sheet: &AnswerSheet) -> Result<MarkedSheet<'e>, Vec<Fault>> {
    Marker::new(exercise, &Policy::default()).mark(sheet)
}

impl<'e> Marker<'e> {
    /// Prepares the marking of an exercise.
    pub fn new(exercise: &'e Exercise, policy: &Policy) -> Marker<'e> {
        Marker { rules: Rules::new(exercise, policy), allowances: allowances(exercise) }
    }

    /// Marks a sheet, and explains what is wrong in it.
    ///
    /// # Errors
    /// Faults in the givens, with their places; or one fault if the draft can't be worked from them.
    pub fn mark(&self, sheet: &AnswerSheet) -> Result<MarkedSheet<'e>, Vec<Fault>> {
        let filed = Filed::new(self.rules.exercise, sheet)?;
        let mut bench = Workbench::new(&self.rules);
        bench.read(&self.rules, &filed)?;
        let sheet = OnBench { marker: self, sheet, filed, bench };
        match sheet.sheet.planted() {
            [] => sheet.drafted(),
            slips => sheet.found(slips),
        }
    }

    /// The exercise that is marked.
    pub fn exercise(&self) -> &'e Exercise {
        self.rules.exercise
    }
}

/// A sheet that was read.
struct OnBench<'m, 'e> {
    marker: &'m Marker<'e>,
    sheet: &'m AnswerSheet,
    filed: Filed<'m>,
    bench: Workbench<'e>,
}

impl<'e> OnBench<'_, 'e> {
    /// Marks a draft of the student's own.
    fn drafted(mut self) -> Result<MarkedSheet<'e>, Vec<Fault>> {
        let rules = &self.marker.rules;
        let exercise = rules.exercise;
        self.bench.judge(rules, &self.filed)?;
        let (points, out_of) = rules.points(self.bench.grades(rules));
        let bench = &self.bench;
        let mut cells = Vec::with_capacity(bench.answers.len());
        let mut explained = self.explained();
        for (index, _) in exercise.steps.iter_enumerated().filter(|(_, step)| step.on_sheet == OnSheet::Asked) {
            for (row, at) in bench.answers.cells(index).enumerate() {
                let judged = &bench.worked.judged[at];
                cells.push(MarkedCell {
                    verdict: judged.verdict,
                    expected: judged.expected,
                    own: judged.own,
                    explained: explained.get_mut(at).map(std::mem::take).unwrap_or_default(),
                    rests_on: bench.worked.rests.truth[index],
                    ..self.blank_cell(index, row, at)
                });
            }
        }
        let givens = self.givens();
        let truth = Draft { exercise, givens: givens.clone(), measures: bench.worked.truth.clone() };
        let own = Draft { exercise, givens, measures: bench.worked.own.clone() };
        let broken: Vec<StepId> =
            cells.iter().filter(|cell| cell.verdict == Verdict::OutsideRule).map(|cell| cell.step).collect();
        for cell in &mut cells {
            if bench.worked.judged[bench.answers.cell(cell.step, cell.row)].is_impossible {
                cell.remark = impossible(&truth, cell, &broken);
            }
        }
        let accounts = bench.reading.as_ref().map(|reading| reading.accounts);
        let charged = bench.reading.as_ref().and_then(|reading| {
            let is_charged = |cell: &MarkedCell| bench.answers.cell(cell.step, cell.row) == reading.charged;
            cells.iter().position(is_charged)
        });
        let one_cause = charged.zip(accounts).map(|(cell, accounts)| OneCause { cell, accounts });
        let mut marked = MarkedSheet { points, out_of, one_cause, ..self.sheet(truth, own, cells) };
        marked.remarks.extend(bench.coarser.map(|coarser| {
            format!(
                "every answer falls on {coarser} ticks, and the sheet's ruler has {}; they are judged as read off the coarser one",
                bench.ruler
            )
        }));
        marked.remarks.extend(self.ratios());
        // Of a sheet in another unit it is said how it is written.
        let is_of_unit = |reading: &Reading| reading.causes.iter().any(|cause| matches!(cause, Cause::Unit { .. }));
        if !bench.reading.as_ref().is_some_and(is_of_unit) {
            marked.remarks.extend(habits(exercise, &self.filed, bench.unit, bench.ruler, &bench.answers));
        }
        Ok(marked)
    }

    /// What is to be said of answers that are right with another number for the circle's ratio.
    fn ratios(&self) -> Option<String> {
        let bench = &self.bench;
        let steps = &self.marker.rules.exercise.steps;
        steps.iter_enumerated().find_map(|(index, step)| {
            let ratio = bench.answers.cells(index).find_map(|cell| bench.worked.judged[cell].ratio)?;
            Some(format!("the {} was worked with {} for π, which is near enough", step.short, RATIOS[ratio].1))
        })
    }

    /// For each cell why it is wrong; empty, where nothing is.
    fn explained(&self) -> Vec<Vec<Explanation>> {
        let Workbench { judge, givens, answers, worked, ruler, .. } = &self.bench;
        let reading = self.bench.reading.as_ref();
        if reading.is_none() && !worked.judged.iter().any(|judged| judged.verdict.is_wrong()) {
            return Vec::new();
        }
        let allowances = &self.marker.allowances;
        explain(&Evidence {
            judge,
            allowances,
            ruler: *ruler,
            givens,
            answers,
            worked,
            reading,
            shaken: OnceCell::new(),
        })
    }

    /// Marks what a student found in a finished draft with slips planted in it.
    fn found(mut self, slips: &[SlipId]) -> Result<MarkedSheet<'e>, Vec<Fault>> {
        let rules = &self.marker.rules;
        let exercise = rules.exercise;
        let whole = |message: String| vec![Fault::whole(message)];
        self.bench.judge.widths = rules.widths(self.bench.ruler);
        let truth = Draft::new(exercise, self.givens()).map_err(|fault| whole(fault.to_string()))?;
        let shown = with_slips(exercise, &truth.measures, slips);
        let shown = shown.ok_or_else(|| whole("this code's draft can't be worked out".to_owned()))?;
        let planted =
            Planted { exercise, slips, truth: &truth.measures, shown: &shown, widths: &self.bench.judge.widths };
        let mut cells = Vec::new();
        for step in exercise.steps.keys() {
            for (row, at) in self.bench.answers.cells(step).enumerate() {
                let right = planted.right(step, row);
                let cell = MarkedCell { expected: right, own: right, ..self.blank_cell(step, row, at) };
                if cell.verdict == Verdict::Unreadable {
                    cells.push(cell);
                } else if let Some((verdict, remark)) = planted.judge(step, row, cell.answer) {
                    cells.push(MarkedCell { verdict, remark: remark.to_owned(), ..cell });
                }
            }
        }
        let is_marked = |step: StepId| cells.iter().any(|cell: &MarkedCell| cell.step == step);
        let worth = |(step, worth): (StepId, &Points)| if is_marked(step) { *worth } else { Points::NONE };
        let worth: TiVec<StepId, Points> = rules.worth_whole.iter_enumerated().map(worth).collect();
        let own = Draft { measures: shown, ..truth.clone() };
        let mut marked = MarkedSheet { out_of: worth.iter().copied().sum(), worth, ..self.sheet(truth, own, cells) };
        marked.remarks.push(
            "a finished draft was to be looked through: a slip counts where it is named with the right measure, and a \
             measure that is named without a slip in it counts against that"
                .to_owned(),
        );
        let grades = marked.grades();
        let counted = marked.worth.iter().zip(&grades).filter(|(_, grade)| grade.verdict == Verdict::Right);
        marked.points = counted.map(|(worth, _)| *worth).sum();
        Ok(marked)
    }

    /// The sheet with what was found, but for the points.
    fn sheet(&self, truth: Draft<'e>, own: Draft<'e>, cells: Vec<MarkedCell>) -> MarkedSheet<'e> {
        MarkedSheet {
            student: self.sheet.shown_name(),
            id: self.sheet.shown_id(),
            code: harmless(self.sheet.code.trim(), 40).into_owned(),
            is_hunt: !self.sheet.planted().is_empty(),
            is_late: false,
            truth,
            own,
            cells,
            widths: self.bench.judge.widths.clone(),
            worth: self.marker.rules.worth.clone(),
            points: Points::NONE,
            out_of: Points::NONE,
            faults: self.filed.faults(),
            one_cause: None,
            remarks: self.remarks(),
        }
    }

    /// An answer as it was read, of which nothing more is known.
    fn blank_cell(&self, step: StepId, row: usize, at: usize) -> MarkedCell {
        let field = self.filed.answer(step, row);
        let unread = self.bench.unread.iter().find(|unread| unread.cell == at);
        MarkedCell {
            step,
            row,
            verdict: if unread.is_some() { Verdict::Unreadable } else { Verdict::Missing },
            written: field.map(|field| harmless(field.text.trim(), 40).into_owned()).unwrap_or_default(),
            answer: self.bench.answers.get(at),
            expected: None,
            own: None,
            explained: Vec::new(),
            remark: unread.map(|unread| unread.why.clone()).unwrap_or_default(),
            rests_on: None,
            place: field.and_then(|field| field.place),
        }
    }

    fn givens(&self) -> Givens {
        let Workbench { ruler, givens, .. } = &self.bench;
        let row_names = Givens::row_names(self.marker.rules.exercise, self.filed.givens());
        Givens { ruler: *ruler, row_names, measures: givens.clone() }
    }

    /// What is to be said first of the sheet as a whole, sentences without a full stop: that it is for another version, that it
    /// says otherwise than the class or its code, that its ruler is coarse.
    fn remarks(&self) -> Vec<String> {
        let rules = &self.marker.rules;
        let version = version(rules.exercise, self.sheet).into_iter();
        let all = self.sheet.remarks.iter().cloned().chain(version);
        let all = all.chain(self.otherwise_than_class()).chain(assigned(rules.exercise, self.sheet));
        all.chain(rules.ruler_remark(self.bench.ruler)).collect()
    }

    /// Givens that the class lays down and the sheet has otherwise.
    fn otherwise_than_class(&self) -> Vec<String> {
        let Rules { exercise, policy, .. } = &self.marker.rules;
        let given = policy.given.iter().filter(|_| !self.filed.is_set_by_code());
        let remarks = given.filter_map(|(name, text)| {
            let known = exercise.givens.position(|given| given.name == *name)?;
            let stated = self.filed.givens().single(known)?.text;
            is_other(stated, text, self.sheet.unit.or(policy.unit)).then(|| {
                format!(
                    "the class works with {} {}, and this sheet says {}; it is marked by its own",
                    exercise.givens[known].title.to_lowercase(),
                    harmless(text, 40),
                    harmless(stated, 40)
                )
            })
        });
        remarks.collect()
    }
}

/// What is to be said of a sheet whose code sets it.
fn assigned(exercise: &Exercise, sheet: &AnswerSheet) -> Vec<String> {
    let Some(assignment) = &sheet.assignment else { return Vec::new() };
    let given = "the file has givens of its own, which are not looked at: the sheet's code says what is given";
    let answered = |step: &&Step| {
        let is_filled = |answer: &Answer| answer.values.iter().any(|value| !value.text.trim().is_empty());
        step.on_sheet != OnSheet::Asked
            && sheet.answers.iter().any(|answer| answer.step == step.name && is_filled(answer))
    };
    let told: Vec<&str> = exercise.steps.iter().filter(answered).map(|step| step.short.as_str()).collect();
    let not_asked = format!("the sheet does not ask for the {}, and the answer is not looked at", told.join(", the "));
    let given = assignment.had_givens.then(|| given.to_owned());
    given.into_iter().chain((!told.is_empty()).then_some(not_asked)).collect()
}

/// Whether two texts stand for different values.
fn is_other(one: &str, other: &str, bare: Option<Unit>) -> bool {
    match (Length::read(one, bare), Length::read(other, bare)) {
        (Ok(one), Ok(other)) => one != other,
        _ => one.trim() != other.trim(),
    }
}

/// Why any choice would do: nobody can choose rightly with these givens, or after a choice beyond its limits.
fn impossible(truth: &Draft, cell: &MarkedCell, broken: &[StepId]) -> String {
    let step = &truth.exercise.steps[cell.step];
    let earlier = broken.iter().find(|broken| truth.exercise.rests_on(cell.step, &|used| used == **broken));
    if let Some(earlier) = earlier {
        let earlier = &truth.exercise.steps[*earlier].short;
        return format!("with your {earlier} no {} is possible; put the {earlier} right first", step.short);
    }
    truth.impossible(step, cell.row).map_or_else(String::new, |why| format!("with these givens {why}"))
}

fn version(exercise: &Exercise, sheet: &AnswerSheet) -> Option<String> {
    let version = sheet.version.filter(|version| *version != exercise.version)?;
    let way = if version < exercise.version { "an older version" } else { "a later version" };
    Some(format!(
        "the answers are for {way} of this exercise, {version}, and are marked by version {}",
        exercise.version
    ))
}
