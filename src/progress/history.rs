//! What was found over the sets of a course, student by student and step by step, read from the results of each set.

use super::tracing::Estimate;
use crate::check::Verdict;
use crate::class::{Student, which_student};
use crate::practice::Code;
use serde::Deserialize;

/// The sheets of one set, as its result tells them: the part of [`Results`](crate::check::Results) that matters here.
#[derive(Debug, Clone, Default, Deserialize)]
pub struct SetResult {
    /// Its sheets, in order.
    pub sheets: Vec<SheetResult>,
}

/// A marked sheet.
#[derive(Debug, Clone, Deserialize)]
pub struct SheetResult {
    /// Whose it is.
    pub student: String,
    /// What tells the student from others of the same name.
    #[serde(default)]
    pub id: String,
    /// The code in its head; may be empty.
    #[serde(default)]
    pub code: String,
    /// The exercise's name.
    pub exercise: String,
    /// The exercise's title.
    #[serde(default)]
    pub exercise_title: String,
    /// Whether slips were to be found.
    #[serde(default)]
    pub is_hunt: bool,
    /// What was found about each answer.
    pub answers: Vec<AnswerResult>,
}

/// What was found about one answer.
#[derive(Debug, Clone, Deserialize)]
pub struct AnswerResult {
    /// The step's name.
    pub step: String,
    /// Its title.
    pub title: String,
    /// Whether it is chosen within limits.
    #[serde(default)]
    pub is_choice: bool,
    /// The verdict.
    pub verdict: Verdict,
    /// The mistakes offered: each explanation as their names.
    #[serde(default)]
    pub explained: Vec<Vec<String>>,
}

impl SheetResult {
    /// Whose it is.
    pub fn whose(&self) -> Student {
        Student { name: self.student.clone(), id: self.id.clone() }
    }

    /// The level that its code tells; 0 where there is none.
    pub fn level(&self) -> u8 {
        Code::read(&self.code).map_or(0, |code| code.level)
    }
}

/// The results of a course, the earliest set first.
#[derive(Debug, Clone, Default)]
pub struct History {
    /// Each set's name, and what came of it.
    pub sets: Vec<(String, SetResult)>,
}

/// One try at a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Try {
    /// Which set, as its place among them.
    pub set: usize,
    /// What was found: of a list what says most about it.
    pub verdict: Verdict,
    /// The names of mistakes that account for it beyond doubt.
    pub slips: Vec<String>,
}

impl Try {
    /// Whether it was done rightly: from right figures or from their own. Nothing, where there is no evidence: what is missing,
    /// can't be read or can't be judged says nothing about anyone's mastery.
    pub fn is_right(&self) -> Option<bool> {
        is_right(self.verdict)
    }
}

fn is_right(verdict: Verdict) -> Option<bool> {
    (verdict.earns() || verdict.is_wrong()).then(|| verdict.earns())
}

/// A student's way with one step.
#[derive(Debug, Clone, PartialEq)]
pub struct StepProgress {
    /// The exercise's name.
    pub exercise: String,
    /// The exercise's title.
    pub exercise_title: String,
    /// The step's name.
    pub step: String,
    /// Its title.
    pub title: String,
    /// Every try at it, the earliest first.
    pub tries: Vec<Try>,
    /// What is thought of it.
    pub estimate: Estimate,
}

/// A mistake that was made in more than one set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CameBack {
    /// The exercise's title.
    pub exercise: String,
    /// The step's title.
    pub step: String,
    /// The mistake's name.
    pub slip: String,
    /// In which sets.
    pub sets: Vec<usize>,
}

/// A student over the sets of a course.
#[derive(Debug, Clone, PartialEq)]
pub struct Progress {
    /// Who it is.
    pub student: Student,
    /// Every step that the student met, in the order of the exercises.
    pub steps: Vec<StepProgress>,
}

impl History {
    /// Takes in a set's result, as the text of its `result.json`. What is no such text has nothing to tell.
    pub fn add(&mut self, set: &str, result: &str) {
        self.sets.push((set.to_owned(), serde_json::from_str(result).unwrap_or_default()));
    }

    /// With those whose results they are. A student is known by name and id as on a course's page.
    pub fn among<'h>(&'h self, students: &'h [Student]) -> ClassHistory<'h> {
        let whose = |(_, result): &(String, SetResult)| {
            result.sheets.iter().map(|sheet| which_student(students, &sheet.whose())).collect()
        };
        ClassHistory { sets: &self.sets, students, whose: self.sets.iter().map(whose).collect() }
    }
}

/// The results of a course, and whose they are.
pub struct ClassHistory<'h> {
    pub(super) sets: &'h [(String, SetResult)],
    students: &'h [Student],
    /// For each sheet of each set whose it is, as the place among the students.
    whose: Vec<Vec<Option<usize>>>,
}

impl ClassHistory<'_> {
    /// A student's sheets of a set. Slips to be found in finished drafts are no tries at making one.
    pub(super) fn sheets(&self, set: usize, student: usize) -> impl Iterator<Item = &SheetResult> {
        let sheets = self.sets[set].1.sheets.iter().zip(&self.whose[set]);
        sheets.filter(move |(sheet, whose)| **whose == Some(student) && !sheet.is_hunt).map(|(sheet, _)| sheet)
    }

    /// A student over all sets.
    ///
    /// ```
    /// use foldmark::{class::Student, progress::History};
    /// let sheet = |verdict: &str| format!(
    ///     r#"{{"sheets": [{{"student": "Tansy", "exercise": "sleeve", "answers": [
    ///         {{"step": "width", "title": "Width", "verdict": "{verdict}"}}]}}]}}"#
    /// );
    /// let mut history = History::default();
    /// for (set, verdict) in [("week-1", "not-right"), ("week-2", "missing"), ("week-3", "right")] {
    ///     history.add(set, &sheet(verdict));
    /// }
    /// let tansy = Student { name: "Tansy".into(), id: String::new() };
    /// let progress = history.among(&[tansy]).of(0);
    /// assert_eq!((progress.steps[0].tries.len(), progress.steps[0].estimate.tries), (3, 2));
    /// assert_eq!(progress.next()[0].title, "Width");
    /// ```
    pub fn of(&self, student: usize) -> Progress {
        let mut steps: Vec<(StepProgress, bool)> = Vec::new();
        for set in 0..self.sets.len() {
            for sheet in self.sheets(set, student) {
                for (answer, found) in tries(set, sheet) {
                    let is_it = |known: &StepProgress| known.exercise == sheet.exercise && known.step == answer.step;
                    match steps.iter_mut().find(|(known, _)| is_it(known)) {
                        Some((known, _)) => known.tries.push(found),
                        None => steps.push((met(sheet, answer, found), answer.is_choice)),
                    }
                }
            }
        }
        let steps = steps.into_iter().map(|(step, is_choice)| {
            let tries: Vec<bool> = step.tries.iter().filter_map(Try::is_right).collect();
            StepProgress { estimate: Estimate::new(is_choice, &tries), ..step }
        });
        let mut steps: Vec<StepProgress> = steps.collect();
        let order: Vec<String> = steps.iter().map(|step| step.exercise.clone()).collect();
        // Steps that a later sheet asked for first stand with their exercise.
        steps.sort_by_key(|step| order.iter().position(|exercise| *exercise == step.exercise));
        Progress { student: self.students[student].clone(), steps }
    }
}

fn met(sheet: &SheetResult, answer: &AnswerResult, found: Try) -> StepProgress {
    let title = if sheet.exercise_title.is_empty() { &sheet.exercise } else { &sheet.exercise_title };
    StepProgress {
        exercise: sheet.exercise.clone(),
        exercise_title: title.clone(),
        step: answer.step.clone(),
        title: answer.title.clone(),
        tries: vec![found],
        estimate: Estimate::new(answer.is_choice, &[]),
    }
}

/// A sheet's tries, one for each step: the rows of a list together are one, wrong if any of them is.
fn tries(set: usize, sheet: &SheetResult) -> Vec<(&AnswerResult, Try)> {
    let mut tries: Vec<(&AnswerResult, Try)> = Vec::new();
    for answer in &sheet.answers {
        let mut slips = match &answer.explained[..] {
            [only] if answer.verdict.is_wrong() => only.clone(),
            _ => Vec::new(),
        };
        match tries.iter_mut().find(|(known, _)| known.step == answer.step) {
            Some((_, found)) => {
                // Something wrong says more than something right, and both more than nothing.
                let tells = |verdict: Verdict| is_right(verdict).map_or(0, |is_right| if is_right { 1 } else { 2 });
                let verdict = answer.verdict;
                if (tells(verdict), verdict) > (tells(found.verdict), found.verdict) {
                    found.verdict = verdict;
                }
                slips.retain(|slip| !found.slips.contains(slip));
                found.slips.append(&mut slips);
            }
            None => tries.push((answer, Try { set, verdict: answer.verdict, slips })),
        }
    }
    tries
}

impl Progress {
    /// The steps that are mastered, and those of which there is any evidence.
    pub fn mastered(&self) -> (usize, usize) {
        let tried = || self.steps.iter().filter(|step| step.estimate.tries > 0);
        (tried().filter(|step| step.estimate.is_mastered()).count(), tried().count())
    }

    /// What to practise next: the steps that were tried and are not mastered, the least known first.
    pub fn next(&self) -> Vec<&StepProgress> {
        let mut next: Vec<&StepProgress> =
            self.steps.iter().filter(|step| step.estimate.tries > 0 && !step.estimate.is_mastered()).collect();
        next.sort_by(|one, other| one.estimate.known.total_cmp(&other.estimate.known));
        next
    }

    /// Mistakes that were made in more than one set.
    pub fn came_back(&self) -> Vec<CameBack> {
        let mut found: Vec<CameBack> = Vec::new();
        for step in &self.steps {
            let mut slips: Vec<&String> = step.tries.iter().flat_map(|it| &it.slips).collect();
            slips.sort();
            slips.dedup();
            for slip in slips {
                let mut sets: Vec<usize> =
                    step.tries.iter().filter(|it| it.slips.contains(slip)).map(|it| it.set).collect();
                sets.dedup();
                if sets.len() > 1 {
                    let (exercise, step) = (step.exercise_title.clone(), step.title.clone());
                    found.push(CameBack { exercise, step, slip: slip.clone(), sets });
                }
            }
        }
        found
    }
}
