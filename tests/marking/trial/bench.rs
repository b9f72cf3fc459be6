//! An exercise on a ruler, ready to be tried: problems, drafts of them, slips, and the marker.

use super::is_true::Done;
use super::problem::{Dice, problems};
use super::slips::{Slip, same};
use super::student::{Student, Worked};
use foldmark::check::{AnswerSheet, MarkedSheet, Marker, answer_file, read_answers};
use foldmark::class::Policy;
use foldmark::draft::{Draft, Givens, Measures, work};
use foldmark::exercise::{Exercise, GivenKind, StepId};
use foldmark::formula::{Base, Values};
use foldmark::length::{Length, Ruler};
use std::collections::BTreeMap;

/// So many throws of the dice for something that can be done with a problem.
const THROWS: usize = 24;

pub struct Bench<'e> {
    pub exercise: &'e Exercise,
    pub ruler: Ruler,
    pub problems: Vec<Givens>,
    /// What follows from each problem, with every choice as suggested.
    pub drafts: Vec<Measures>,
    /// What each problem's answer file says of its givens.
    sheets: Vec<AnswerSheet>,
    pub marker: Marker<'e>,
    pub slips: Vec<Slip>,
}

/// One sheet of the trial.
pub struct Case {
    pub problem: usize,
    pub worked: Worked,
    /// What is written otherwise than as the bare number on the sheet's ruler.
    pub texts: BTreeMap<(StepId, usize), String>,
    pub done: Done,
    /// The answers that something is wrong with.
    pub guilty: Vec<(StepId, usize)>,
    /// What was done, for people.
    pub what: String,
    /// A kind within the class.
    pub kind: &'static str,
}

impl<'e> Bench<'e> {
    pub fn new(exercise: &'e Exercise, ruler: Ruler, count: usize) -> Bench<'e> {
        let problems = problems(exercise, ruler, count);
        let drafted = |givens: &Givens| {
            let mut measures = givens.measures.clone();
            let fault = work(exercise, &mut measures, &|_, _| None).err();
            assert!(fault.is_none(), "{}: {fault:?}", exercise.name);
            measures
        };
        let drafts: Vec<Measures> = problems.iter().map(drafted).collect();
        let sheet = |(givens, measures): (&Givens, &Measures)| {
            let draft = Draft { exercise, givens: givens.clone(), measures: measures.clone() };
            let text = answer_file(&draft, "Yarrow", true);
            read_answers(&text).unwrap_or_else(|faults| panic!("{faults:?}\n{text}"))
        };
        let sheets = problems.iter().zip(&drafts).map(sheet).collect();
        let marker = Marker::new(exercise, &Policy::default());
        Bench { exercise, ruler, problems, drafts, sheets, marker, slips: Vec::new() }
    }

    pub fn dice(&self, index: usize, purpose: &str) -> Dice {
        Dice::new(index, &format!("{} {} {purpose}", self.exercise.name, self.ruler))
    }

    pub fn tick(&self) -> f64 {
        self.ruler.tick().as_nm_f64()
    }

    /// A student with a problem, and their sheet as it is with nothing wrong. Choices may be such that a later step comes
    /// out below nothing; then they choose again.
    pub fn student(&self, problem: usize, dice: &mut Dice) -> Option<(Student<'_>, Worked)> {
        (0..THROWS).find_map(|_| {
            let student = Student::new(self.exercise, &self.problems[problem], dice);
            let first = student.right()?;
            Some((student, first))
        })
    }

    /// The first of some throws of the dice that gives something.
    pub fn thrown<T>(&self, dice: &mut Dice, mut throw: impl FnMut(&mut Dice) -> Option<T>) -> Option<T> {
        (0..THROWS).find_map(|_| throw(dice))
    }

    /// Drafts of other problems with the same words chosen.
    pub fn elsewhere(&self, problem: usize) -> Vec<&Measures> {
        let words = |at: usize| -> Vec<Option<usize>> {
            let slots = self.exercise.givens.iter().filter_map(|given| match given.kind {
                GivenKind::Choice { slot, .. } => Some(slot),
                _ => None,
            });
            slots.map(|slot| self.drafts[at].word(slot)).collect()
        };
        let here = words(problem);
        let others = (0..self.drafts.len()).filter(|at| *at != problem && words(*at) == here);
        others.take(6).map(|at| &self.drafts[at]).collect()
    }

    /// Whether the author foresaw a slip, or it is no slip, for the words of a problem.
    pub fn is_foreseen(&self, slip: &Slip, problem: usize) -> bool {
        let drafts = self.elsewhere(problem);
        let own = self.exercise.slips.iter().filter(|own| own.step == slip.step).map(|own| &own.used);
        let rules = self.exercise.steps[slip.step].formulas();
        drafts.is_empty() || own.chain(rules).any(|known| same(&slip.used, known, self.exercise, slip.step, &drafts))
    }

    /// Every answer in the order of the sheet.
    pub fn lines(&self, values: &Measures) -> Vec<(StepId, usize)> {
        let steps = self.exercise.steps.iter_enumerated();
        steps
            .flat_map(|(index, step)| (0..values.count(self.exercise, step.slot)).map(move |row| (index, row)))
            .collect()
    }

    /// As it is written on the sheet: the bare number.
    pub fn text(&self, step: StepId, value: f64) -> String {
        let length = Length::from_nm_f64(value).filter(|_| self.exercise.steps[step].kind.base == Base::Length);
        length.map_or_else(|| value.to_string(), |length| self.ruler.bare(length))
    }

    /// The sheet as it is handed in.
    pub fn sheet(&self, case: &Case) -> AnswerSheet {
        let mut sheet = self.sheets[case.problem].clone();
        for answer in &mut sheet.answers {
            let Some(step) = self.exercise.step_id(&answer.step) else { continue };
            for (row, written) in answer.values.iter_mut().enumerate() {
                let value = case.worked.paper.value(self.exercise.steps[step].slot, row);
                let bare = || value.map_or_else(String::new, |value| self.text(step, value));
                written.text = case.texts.get(&(step, row)).cloned().unwrap_or_else(bare);
            }
        }
        sheet
    }

    pub fn marked(&self, case: &Case) -> MarkedSheet<'e> {
        let sheet = self.sheet(case);
        self.marker.mark(&sheet).unwrap_or_else(|faults| panic!("{faults:?}\n{sheet:?}"))
    }
}
