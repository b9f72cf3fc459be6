//! A lesson worked for the reader's own objects: its parts, and the choices that are left to make.

use super::ask::{LessonAsked, TryAsked};
use super::form::needed;
use super::hand_in::Judged;
use super::known::{Known, Told, ruler};
use crate::check::{AnswerSheet, Marker, Value, answer_file, read_answers};
use crate::class::{Policy, Show};
use crate::draft::{Bound, Draft};
use crate::exercise::{GivenKind, Step};
use crate::text::{Fault, Place};
use serde::Serialize;
use std::collections::BTreeMap;

/// What a lesson itself gives: where a reader begins who has no objects to put in.
#[derive(Debug, Serialize)]
pub(super) struct LessonsOwn {
    ruler: String,
    single: BTreeMap<String, String>,
}

impl LessonsOwn {
    pub fn of(draft: &Draft) -> LessonsOwn {
        let single = draft.exercise.givens.iter().filter_map(|given| match given.kind {
            GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } | GivenKind::Choice { slot, .. } => {
                Some((given.name.clone(), draft.givens.text(draft.exercise, slot, 0)?))
            }
            GivenKind::Table { .. } => None,
        });
        LessonsOwn { ruler: draft.givens.ruler.to_string(), single: single.collect() }
    }
}

/// A lesson for a reader's own objects.
#[derive(Debug, Default, Serialize)]
pub(super) struct Worked {
    /// Whether the objects and values are still those of the lesson.
    is_lessons: bool,
    /// What each part says, as HTML, by its number on the page.
    parts: BTreeMap<usize, String>,
    choices: Vec<Choice>,
    /// Why it can't be worked: for each field of the form a sentence.
    faults: Vec<Fault>,
}

/// A choice of the reader's.
#[derive(Debug, Serialize)]
struct Choice {
    step: String,
    title: String,
    /// The part of the page that tells of it, if one does.
    part: Option<usize>,
    value: String,
    /// A tick less and a tick more, where that is within the limits.
    less: Option<String>,
    more: Option<String>,
    /// What holds it there: the lower and the upper limit with its reason.
    low: String,
    high: String,
    /// Where it lies between the two, from 0 to 1.
    place: f64,
}

pub(super) fn worked(known: &Known, asked: &LessonAsked) -> Told<Worked> {
    let (chapter, open) = known.chapter(&asked.chapter, asked.draft)?;
    let exercise = known.exercise(&open.exercise)?;
    let ruler = ruler(exercise, &asked.own)?;
    let draft = match needed(exercise, &asked.own, ruler).read(ruler).draft(exercise) {
        Ok(draft) => draft,
        Err(faults) => return Ok(Worked { faults, ..Worked::default() }),
    };
    let open = asked.draft as usize;
    let choices = exercise.steps.iter().filter(|step| step.is_choice());
    let impossible = choices.flat_map(|step| (0..draft.rows(step)).find_map(|row| draft.impossible(step, row)));
    let faults: Vec<Fault> = impossible.map(|why| Fault::whole(format!("with these objects {why}"))).collect();
    if !faults.is_empty() {
        return Ok(Worked { faults, ..Worked::default() });
    }
    let steps: Vec<(&str, usize)> = chapter.steps(open).collect();
    let part = |step: &Step| steps.iter().find(|(name, _)| *name == step.name).map(|(_, part)| *part);
    let chosen = exercise.steps.iter().filter(|step| step.is_choice());
    let choices = chosen.filter_map(|step| choice(&draft, step, part(step))).collect();
    let is_same = |lesson: &Draft| lesson.givens.measures == draft.givens.measures;
    let is_lessons = chapter.lessons(known.shelf(), open).iter().any(is_same);
    let parts = chapter.work(open, &draft, asked.parts.as_deref()).into_iter().collect();
    Ok(Worked { is_lessons, parts, choices, faults: Vec::new() })
}

/// A choice with where it may still go; nothing, where no tick is within its limits.
fn choice(draft: &Draft, step: &Step, part: Option<usize>) -> Option<Choice> {
    let room = draft.room(step, 0)?;
    let ruler = draft.givens.ruler;
    let value = draft.measures.length(step.slot, 0)?;
    // What is suggested may lie between two ticks, or beyond the limits: a tick less or more is the next one on the ruler that
    // lies within them.
    let (less, more) = (ruler.tick_below(value).min(room.highest), ruler.tick_above(value).max(room.lowest));
    let less = (less >= room.lowest).then(|| ruler.write_exactly(less));
    let more = (more <= room.highest).then(|| ruler.write_exactly(more));
    let told = |bound: Option<Bound>| {
        bound.map_or_else(String::new, |bound| match bound.limit.why.as_str() {
            "" => draft.write_limit(&bound),
            why => format!("{}: {why}", draft.write_limit(&bound)),
        })
    };
    let (lowest, width) = (room.lowest.as_nm_f64(), (room.highest - room.lowest).as_nm_f64());
    let place = if width > 0.0 { ((value.as_nm_f64() - lowest) / width).clamp(0.0, 1.0) } else { 0.5 };
    Some(Choice {
        step: step.name.clone(),
        title: step.title.clone(),
        part,
        value: draft.text_at(step.slot, 0),
        less,
        more,
        low: told(room.low),
        high: told(room.high),
        place: (place * 1_000.0).round() / 1_000.0,
    })
}

/// What a try at one step comes to, before the reader has seen it: all else is as the draft has it. Of the lesson's own
/// draft that in the system that shows (`first`).
pub(super) fn tried(known: &Known, asked: &TryAsked) -> Told<Vec<Judged>> {
    let TryAsked { draft: open, own, first, step, answers, .. } = asked;
    let (chapter, draft) = known.chapter(&asked.chapter, *open)?;
    let exercise = known.exercise(&draft.exercise)?;
    let draft = match own {
        Some(own) => {
            let ruler = ruler(exercise, own)?;
            needed(exercise, own, ruler).read(ruler).draft(exercise).map_err(|faults| faults[0].to_string())?
        }
        None => {
            let mut drafts = chapter.lessons(known.shelf(), *open as usize);
            let is_metric = first == "metric";
            let at = drafts.iter().position(|draft| draft.givens.ruler.is_metric() == is_metric).unwrap_or_default();
            if drafts.is_empty() {
                return Err("this lesson has no draft to be tried".to_owned());
            }
            drafts.swap_remove(at)
        }
    };
    let mut sheet: AnswerSheet =
        read_answers(&answer_file(&draft, "reader", true)).map_err(|faults| faults[0].to_string())?;
    let id = exercise.step_id(step).ok_or("there is no such step")?;
    for answer in sheet.answers.iter_mut().filter(|answer| answer.step == *step) {
        let place = Place { line: 1, column: 1 };
        answer.values = answers.iter().map(|text| Value { text: text.clone(), place }).collect();
    }
    let marker = Marker::new(exercise, &Policy::default());
    let marked = marker.mark(&sheet).map_err(|faults| faults[0].to_string())?;
    let cells = marked.cells.iter().filter(|cell| cell.step == id);
    Ok(cells.map(|cell| Judged::of(&marked, cell, Some(Show::Coach))).collect())
}
