//! Answers typed into a page: judged one by one, drawn as far as they go, and written as a file to hand in.

use super::ask::SheetAsked;
use super::known::{Known, Told, ruler};
use crate::check::{
    AnswerSheet, MarkedCell, MarkedSheet, Marker, Sign, Verdict, first_of_all, meant, question, sentences, written_file,
};
use crate::class::{Policy, Show};
use crate::draft::Draft;
use crate::exercise::{Exercise, Limit, OnSheet, SlipId, Step, StepId, StepRule};
use crate::figure;
use crate::formula::Base;
use crate::length::Ruler;
use crate::lesson::Shown;
use crate::practice::recall;
use crate::text::Fault;
use serde::Serialize;

/// A sheet as it stands.
#[derive(Debug, Default, Serialize)]
pub(super) struct Marked {
    answers: Vec<Judged>,
    /// The draft as far as it was measured, as SVG; empty, where nothing can be drawn yet.
    figure: String,
    /// What is to be said once.
    remarks: Vec<String>,
    /// What is wrong with the givens: for each field of the form a sentence.
    faults: Vec<Fault>,
    /// How many answers are right, and how many are asked for.
    right: usize,
    asked: usize,
    /// Whether the objects are still those of the lesson.
    is_lessons: bool,
    /// The mistakes that account for wrong answers, by name.
    slips: Vec<String>,
}

/// One answer, judged.
#[derive(Debug, Serialize)]
pub(super) struct Judged {
    step: String,
    row: usize,
    /// What it is called.
    label: String,
    is_length: bool,
    /// Whether nobody asked for it, and it may be left empty.
    is_extra: bool,
    /// Whether it can't be measured on the draft.
    is_reckoned: bool,
    /// The ruler it is measured with.
    ruler: String,
    /// For a choice its limits in words.
    limits: String,
    written: String,
    verdict: Verdict,
    /// How it is shown; nothing, where it is not, or where nothing was written.
    sign: Option<Sign>,
    says: Vec<String>,
    /// What was probably meant.
    likely: Option<String>,
}

impl Judged {
    /// An answer of a marked sheet; without `show` only what can't be read is told.
    pub fn of(marked: &MarkedSheet, cell: &MarkedCell, show: Option<Show>) -> Judged {
        let step = &marked.truth.exercise.steps[cell.step];
        let is_unread = cell.verdict == Verdict::Unreadable;
        let is_told = is_unread || (show.is_some() && cell.verdict != Verdict::Missing);
        // At `marks` an answer that can't be read is still told why, since it can't be marked.
        let show = if is_unread { Some(Show::Coach) } else { show };
        let mut says = show.filter(|_| is_told).map(|show| sentences(marked, cell, show)).unwrap_or_default();
        // The page asks for itself.
        let question = question(marked, cell);
        says.retain(|said| Some(said) != question.as_ref());
        Judged {
            step: step.name.clone(),
            row: cell.row,
            label: marked.truth.label(step, cell.row),
            is_length: step.kind.base == Base::Length,
            is_extra: !marked.is_hunt && !marked.truth.exercise.asks(cell.step),
            is_reckoned: step.is_reckoned,
            ruler: marked.truth.givens.ruler.to_string(),
            limits: limits(&marked.truth, step),
            written: cell.written.clone(),
            verdict: if is_told { cell.verdict } else { Verdict::Missing },
            sign: is_told.then(|| Sign::of(cell.verdict)),
            says,
            likely: meant(marked, cell).map(|length| marked.truth.givens.ruler.bare(length)),
        }
    }
}

/// All limits of a choice in words, without a number that was to be found.
fn limits(draft: &Draft, step: &Step) -> String {
    let StepRule::Within { limits, .. } = &step.rule else { return String::new() };
    let limit = |limit: &Limit| format!("{} {}", limit.kind.words(), draft.in_names(&limit.value));
    limits.iter().map(limit).collect::<Vec<_>>().join(", ")
}

/// What is set: the exercise as its level sets it, the ruler, and the sheet as if it had been handed in.
fn read<'l>(known: &'l Known, asked: &SheetAsked) -> Told<(&'l Exercise, Ruler, AnswerSheet)> {
    let exercise = known.exercise(&asked.exercise)?;
    let mut sheet = asked.read(ruler(exercise, &asked.own)?);
    if !asked.code.is_empty() {
        // The code says which ruler.
        (sheet.unit, sheet.ruler) = (None, None);
    }
    recall(&mut sheet, known.shelf()).map_err(|faults| faults[0].message.clone())?;
    let set = exercise.at_level(sheet.level()).unwrap_or(exercise);
    let ruler = sheet.ruler.unwrap_or_else(|| set.usual_ruler(false));
    Ok((set, ruler, sheet))
}

/// Judges a sheet as far as it is filled in.
pub(super) fn marked(known: &Known, asked: &SheetAsked) -> Told<Marked> {
    let show = Shown::named(&asked.show).ok_or("this page asks for something unknown")?.show();
    let (exercise, _, mut sheet) = read(known, asked)?;
    // A sheet without a name is marked as well: it is not handed in yet.
    if sheet.student.is_empty() {
        sheet.student.push('?');
    }
    let marked = match Marker::new(exercise, &Policy::default()).mark(&sheet) {
        Ok(marked) => marked,
        Err(faults) => return Ok(Marked { faults, ..Marked::default() }),
    };
    let cells = asked_for(&marked);
    let answers: Vec<Judged> = cells.iter().map(|cell| Judged::of(&marked, cell, show)).collect();
    let slips = marked.cells.iter().flat_map(|cell| cell.cause_names(exercise)).flatten().map(str::to_owned);
    // Of a finished draft the slips are counted that were found.
    let is_found = |slip: &&SlipId| marked.verdict(exercise.slips[**slip].step).earns();
    let (right, asked_for) = match sheet.planted() {
        [] => {
            let asked = |cell: &&MarkedCell| exercise.asks(cell.step);
            let right = marked.cells.iter().filter(asked).filter(|cell| cell.verdict.earns()).count();
            (right, cells.iter().filter(asked).count())
        }
        slips => (slips.iter().filter(is_found).count(), slips.len()),
    };
    Ok(Marked {
        right,
        asked: asked_for,
        answers,
        figure: growing(&marked),
        // What a finished draft is for stands above it.
        remarks: show.filter(|_| sheet.planted().is_empty()).map(|show| remarks(&marked, show)).unwrap_or_default(),
        faults: Vec::new(),
        is_lessons: is_lessons(known, asked, &marked),
        slips: slips.collect(),
    })
}

/// What is to be said once: first what accounts for several answers.
fn remarks(marked: &MarkedSheet, show: Show) -> Vec<String> {
    first_of_all(marked, show).into_iter().chain(marked.remarks.iter().map(|it| sentence(it))).collect()
}

fn sentence(remark: &str) -> String {
    let mut letters = remark.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}

/// A line for every measure that a sheet asks for, and for those that may be handed in beside them. Of a finished draft with slips only some are marked, and which they are
/// is for the reader to find.
fn asked_for(marked: &MarkedSheet) -> Vec<MarkedCell> {
    let steps = marked.truth.exercise.steps.iter_enumerated();
    let asked = steps.filter(|(_, step)| step.on_sheet == OnSheet::Asked);
    let rows = asked.flat_map(|(id, step)| (0..marked.truth.rows(step)).map(move |row| (id, row)));
    let cell = |(step, row): (StepId, usize)| {
        let known = marked.cells.iter().find(|cell| cell.step == step && cell.row == row);
        known.cloned().unwrap_or_else(|| MarkedCell {
            step,
            row,
            verdict: Verdict::Missing,
            written: String::new(),
            answer: None,
            expected: None,
            own: None,
            explained: Vec::new(),
            remark: String::new(),
            rests_on: None,
            place: None,
        })
    };
    rows.map(cell).collect()
}

/// The draft as far as it was measured. Nothing in it comes from a value that was to be found.
fn growing(marked: &MarkedSheet) -> String {
    if marked.cells.iter().all(|cell| cell.answer.is_none()) {
        return String::new();
    }
    let exercise = marked.truth.exercise;
    let mut measures = marked.truth.givens.measures.clone();
    for (id, step) in exercise.steps.iter_enumerated() {
        for row in 0..marked.truth.rows(step) {
            let cell = marked.cells.iter().find(|cell| cell.step == id && cell.row == row);
            let told = (step.on_sheet == OnSheet::Told)
                .then(|| crate::formula::Values::value(&marked.truth.measures, step.slot, row));
            measures.set(step.slot, row, told.flatten().or_else(|| cell.and_then(|cell| cell.answer)));
        }
    }
    let draft = Draft { exercise, givens: marked.truth.givens.clone(), measures };
    figure::growing(&draft).map(|figure| figure.inline("foldmark-growing")).unwrap_or_default()
}

/// Whether the givens are those of the lesson, or of the exercise's example.
fn is_lessons(known: &Known, asked: &SheetAsked, marked: &MarkedSheet) -> bool {
    let Ok((chapter, _)) = known.chapter(&asked.chapter, asked.draft) else { return false };
    let given = &marked.truth.givens.measures;
    chapter.lessons(known.shelf(), asked.draft as usize).iter().any(|lesson| lesson.givens.measures == *given)
}

/// An answer file, and a name for it.
#[derive(Debug, Serialize)]
pub(super) struct File {
    name: String,
    text: String,
}

/// The sheet as a file that can be handed in.
pub(super) fn file(known: &Known, asked: &SheetAsked) -> Told<File> {
    let exercise = known.exercise(&asked.exercise)?;
    let (_, ruler, _) = read(known, asked)?;
    let mut sheet = asked.read(ruler);
    // In the order of work.
    sheet.answers.sort_by_key(|answer| exercise.steps.position(|step| step.name == answer.step));
    let plain = |letter: char| if letter.is_alphanumeric() { letter } else { '-' };
    let name: String = sheet.student.chars().map(plain).take(40).collect::<String>().to_lowercase();
    let name = name.split('-').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-");
    let stem = if name.is_empty() { exercise.name.clone() } else { format!("{}-{name}", exercise.name) };
    Ok(File { name: format!("{stem}.toml"), text: written_file(exercise, ruler, &sheet) })
}
