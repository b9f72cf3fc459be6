//! Practice in a page: a fresh problem, the problem of a code, the key.

use super::ask::ProblemAsked;
use super::known::Told;
use crate::draft::Draft;
use crate::exercise::{Exercise, OnSheet, Shelf, Slip, StepId};
use crate::formula::{Base, Values};
use crate::length::Ruler;
use crate::practice::{self, Maker, Problem, Task, key_on_screen, on_screen};
use serde::Serialize;
use std::collections::BTreeMap;

/// A problem to be worked in a page.
#[derive(Debug, Serialize)]
pub(super) struct Set {
    code: String,
    ruler: String,
    unit: &'static str,
    /// What is to be done and what is given, as HTML.
    html: String,
    /// The outline with letters, as SVG.
    outline: String,
    /// The letter at a step, by the step's name.
    letters: BTreeMap<String, String>,
    /// What a finished draft shows at each row of each step; empty, where it is to be drafted.
    shown: BTreeMap<String, Vec<String>>,
    /// The first half of the steps with their values, for a problem of which a part stands filled in.
    half: BTreeMap<String, Vec<String>>,
    /// The step that matters in it for a slip that was made before; empty, where none does.
    matters: String,
    /// The key, as HTML.
    key: String,
}

/// So many problems are looked at for one in which a slip that was made before would show.
const TRIES: u64 = 12;

/// A fresh problem: one where a slip of `weak` would show, if one is found soon.
pub(super) fn fresh(exercise: &Exercise, asked: &ProblemAsked) -> Told<Set> {
    let &ProblemAsked { level, seed, slips, ref weak, .. } = asked;
    let ruler = Ruler::read(&asked.ruler).map_err(|fault| fault.to_string())?;
    let task = if slips == 0 { Task::Draft } else { Task::FindSlips(slips.min(2)) };
    let maker = Maker::new(exercise, level, task, ruler).map_err(|fault| fault.to_string())?;
    let known: Vec<&Slip> = exercise.slips.iter().filter(|slip| weak.contains(&slip.name)).collect();
    let tries = if known.is_empty() { 1 } else { TRIES };
    let mut first = None;
    for more in 0..tries {
        let problem = maker.set(1, seed.wrapping_add(more)).map_err(|fault| fault.to_string())?.swap_remove(0);
        if let Some(slip) = known.iter().find(|slip| would_show(&problem.draft, slip)) {
            return Ok(told(&problem, &exercise.steps[slip.step].title));
        }
        first.get_or_insert(problem);
    }
    first.map(|problem| told(&problem, "")).ok_or_else(|| "no problem was found".to_owned())
}

/// Whether a slip would give another answer in a draft that asks for its step: by more than two ticks of the ruler.
fn would_show(draft: &Draft, slip: &Slip) -> bool {
    let step = &draft.exercise.steps[slip.step];
    let can_be = slip.when.as_ref().is_none_or(|when| when.holds(&draft.measures));
    let used = slip.used.evaluate(&draft.measures, Some(0));
    let apart = used.zip(draft.measures.value(step.slot, 0)).map_or(0.0, |(used, right)| (used - right).abs());
    step.on_sheet == OnSheet::Asked && can_be && apart > 2.0 * draft.givens.ruler.tick().as_nm_f64()
}

/// The problem of a code.
pub(super) fn coded(exercise: &Exercise, code: &str, shelf: &Shelf) -> Told<Set> {
    practice::coded(code, exercise, shelf).map(|problem| told(&problem, ""))
}

fn told(problem: &Problem, matters: &str) -> Set {
    let draft = &problem.draft;
    let exercise = draft.exercise;
    let screen = on_screen(problem, "foldmark-outline");
    let letters = screen.letters.iter().map(|(letter, step)| (exercise.steps[*step].name.clone(), letter.clone()));
    let asked = problem.asked();
    let half = if problem.slips.is_empty() { &asked[..asked.len() / 2] } else { &[] };
    // What rests on a choice that is left to make is left, too.
    let is_left = |step: StepId| exercise.steps[step].is_choice() && !half.contains(&step);
    let half = half.iter().filter(|step| !exercise.rests_on(**step, &is_left));
    Set {
        code: problem.code.to_string(),
        ruler: draft.givens.ruler.to_string(),
        unit: draft.givens.ruler.unit().symbol(),
        letters: letters.collect(),
        shown: shown(problem, &asked),
        half: half.map(|step| (exercise.steps[*step].name.clone(), filled_in(draft, *step))).collect(),
        matters: matters.to_owned(),
        key: key_on_screen(problem, "foldmark-key"),
        html: screen.html,
        outline: screen.outline,
    }
}

fn values(draft: &Draft, step: StepId) -> Vec<String> {
    let step = &draft.exercise.steps[step];
    (0..draft.rows(step)).map(|row| draft.text_at(step.slot, row)).collect()
}

/// The same as it would be typed.
fn filled_in(draft: &Draft, step: StepId) -> Vec<String> {
    let rule = &draft.exercise.steps[step];
    let ruler = draft.givens.ruler;
    let typed = |row: usize| match draft.measures.length(rule.slot, row).filter(|_| rule.kind.base == Base::Length) {
        Some(length) => ruler.bare(ruler.nearest(length)),
        None => draft.text_at(rule.slot, row),
    };
    (0..draft.rows(rule)).map(typed).collect()
}

/// What a finished draft with slips shows.
fn shown(problem: &Problem, asked: &[StepId]) -> BTreeMap<String, Vec<String>> {
    let draft = &problem.draft;
    let measures = crate::check::with_slips(draft.exercise, &draft.measures, &problem.slips);
    let Some(measures) = measures.filter(|_| !problem.slips.is_empty()) else { return BTreeMap::new() };
    let shown = Draft { measures, ..draft.clone() };
    asked.iter().map(|step| (draft.exercise.steps[*step].name.clone(), values(&shown, *step))).collect()
}
