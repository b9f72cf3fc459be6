//! What a class as a whole got wrong, counted as its sheets go by.

use super::causes::{either, in_short};
use super::words::capital;
use crate::check::result::{Explanation, MarkedCell, MarkedSheet, Standing, StepGrade, Verdict};
use crate::class::Points;
use crate::draft::range;
use crate::exercise::{Exercise, Step, StepId};
use crate::formula::Values;
use crate::length::Ruler;
use std::cmp::Reverse;
use std::collections::BTreeMap;
use typed_index_collections::{TiSlice, TiVec};

/// What a class got wrong.
#[derive(Debug, Clone, Default)]
pub struct ClassTally {
    /// A line for each sheet, in the order in which they were counted.
    pub lines: Vec<ClassLine>,
    /// What each exercise's steps show, by the exercise's name.
    pub exercises: BTreeMap<String, ExerciseTally>,
}

/// One sheet's line in the class.
#[derive(Debug, Clone)]
pub struct ClassLine {
    /// The student's name, made harmless.
    pub student: String,
    /// What tells the student from others of the same name; may be empty.
    pub id: String,
    /// What its sheet is counted with: the exercise's name, and what sets it apart from others of that name.
    pub exercise: String,
    /// Points earned.
    pub points: Points,
    /// Points to be had.
    pub out_of: Points,
    /// The worst verdict of each step.
    pub verdicts: TiVec<StepId, Verdict>,
    /// For each step, whether it counts.
    pub counts: TiVec<StepId, bool>,
}

/// What the sheets of one exercise show.
#[derive(Debug, Clone, Default)]
pub struct ExerciseTally {
    /// The exercise's title.
    pub title: String,
    /// The exercise's version.
    pub version: u32,
    /// How many sheets there are of it.
    pub sheets: usize,
    /// How many of them have full marks.
    pub full: usize,
    /// Its steps, in the order of the work.
    pub steps: TiVec<StepId, StepTally>,
    /// Every mistake that was made in it, in whatever step, in the order in which they were met.
    pub mistakes: Vec<Mistake>,
}

/// A mistake over the class as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mistake {
    /// What went wrong, in a sentence that is the same for every student; empty where nobody knows why the answer is
    /// wrong.
    pub says: String,
    /// Whether it is a choice beyond its limits for which nothing else is known.
    pub is_beyond: bool,
    /// The steps it was made in, in the order of the work.
    pub steps: Vec<StepId>,
    /// The lines of the class that made it, each once.
    pub lines: Vec<usize>,
}

/// What the sheets show of one step.
#[derive(Debug, Clone, Default)]
pub struct StepTally {
    /// The step's title.
    pub title: String,
    /// How many have it wrong.
    pub wrong: usize,
    /// How many have no answer that can be read.
    pub absent: usize,
    /// How many answers rest on something that is missing.
    pub unjudged: usize,
    /// What went wrong, in words, and how often.
    pub mistakes: BTreeMap<String, usize>,
    /// For a choice: what was chosen within which limits, in the order of the sheets.
    pub choices: Vec<Chosen>,
}

/// What one student chose.
#[derive(Debug, Clone)]
pub struct Chosen {
    /// Which line of the class it belongs to.
    pub line: usize,
    /// What was chosen, in nanometres.
    pub value: f64,
    /// The lowest that the student's own draft allows, where there is a limit.
    pub low: Option<f64>,
    /// The highest.
    pub high: Option<f64>,
    /// The sheet's ruler.
    pub ruler: Ruler,
}

impl StepTally {
    /// The mistakes made in this step, most common first.
    pub fn most_common(&self) -> Vec<(&str, usize)> {
        let mut common: Vec<(&str, usize)> =
            self.mistakes.iter().map(|(says, count)| (says.as_str(), *count)).collect();
        common.sort_by_key(|(_, count)| Reverse(*count));
        common
    }
}

impl ExerciseTally {
    /// With nothing counted yet.
    pub fn new(exercise: &Exercise) -> ExerciseTally {
        let step = |step: &Step| StepTally { title: step.title.clone(), ..StepTally::default() };
        ExerciseTally {
            title: exercise.title.clone(),
            version: exercise.version,
            sheets: 0,
            full: 0,
            steps: exercise.steps.iter().map(step).collect(),
            mistakes: Vec::new(),
        }
    }

    /// Counts a sheet's steps in: which are wrong, but not why.
    pub fn count(&mut self, grades: &TiSlice<StepId, StepGrade>, is_full: bool) {
        self.sheets += 1;
        self.full += usize::from(is_full);
        for (grade, tally) in grades.iter().zip(&mut self.steps).filter(|(grade, _)| grade.counts) {
            match grade.verdict.standing() {
                Standing::Right => {}
                Standing::Wrong => tally.wrong += 1,
                Standing::Unjudged => tally.unjudged += 1,
                Standing::Absent => tally.absent += 1,
            }
        }
    }

    /// The mistakes made in this exercise, over all steps, most common first: a student who made the same one in
    /// several steps counts once. Those that nobody can name come last.
    pub fn most_common(&self) -> Vec<&Mistake> {
        let mut common: Vec<&Mistake> = self.mistakes.iter().collect();
        common.sort_by_key(|mistake| {
            (mistake.says.is_empty(), Reverse(mistake.lines.len()), mistake.steps.clone(), mistake.is_beyond)
        });
        common
    }

    fn note(&mut self, line: usize, step: StepId, says: String, is_beyond: bool) {
        // What has no name is told by its step.
        let is_same = |known: &Mistake| {
            known.says == says && known.is_beyond == is_beyond && (!says.is_empty() || known.steps == [step])
        };
        let at = self.mistakes.iter().position(is_same).unwrap_or_else(|| {
            self.mistakes.push(Mistake { says: says.clone(), is_beyond, steps: Vec::new(), lines: Vec::new() });
            self.mistakes.len() - 1
        });
        let known = &mut self.mistakes[at];
        if let Err(at) = known.steps.binary_search(&step) {
            known.steps.insert(at, step);
        }
        if known.lines.last() != Some(&line) {
            known.lines.push(line);
        }
    }
}

impl ClassTally {
    /// Counts a sheet in.
    pub fn count(&mut self, sheet: &MarkedSheet) {
        let exercise = sheet.truth.exercise;
        let line = self.lines.len();
        let grades = sheet.grades();
        let counted_with = self.counted_with(sheet);
        let tally = self.exercises.entry(counted_with.clone()).or_insert_with(|| {
            let mut tally = ExerciseTally::new(exercise);
            if let Some((_, apart)) = counted_with.split_once(", ") {
                tally.title = format!("{}, {apart}", tally.title);
            }
            tally
        });
        tally.count(&grades, sheet.points == sheet.out_of);
        for cell in sheet.cells.iter().filter(|cell| cell.verdict.is_wrong() && sheet.counts(cell.step)) {
            for (says, is_beyond) in mistakes(sheet, cell) {
                tally.note(line, cell.step, says, is_beyond);
            }
        }
        for ((index, step), tally) in exercise.steps.iter_enumerated().zip(&mut tally.steps) {
            let cell = sheet.cells.iter().find(|cell| cell.step == index).filter(|_| step.is_choice());
            // What was right on another line, or in another unit, stands here as it was meant.
            let value = |cell: &MarkedCell| {
                let meant = sheet.truth.measures.value(step.slot, cell.row).filter(|_| cell.verdict.earns());
                cell.answer.map(|answer| meant.unwrap_or(answer))
            };
            if let Some((cell, value)) = cell.and_then(|cell| Some((cell, value(cell)?))) {
                let (low, high) = range(step, &sheet.own.measures, cell.row);
                let (low, high) = (low.map(|bound| bound.value), high.map(|bound| bound.value));
                let ruler = sheet.truth.givens.ruler;
                tally.choices.push(Chosen { line, value, low, high, ruler });
            }
            if grades[index].counts && grades[index].verdict.is_wrong() {
                *tally.mistakes.entry(mistake(sheet, index, grades[index].verdict)).or_default() += 1;
            }
        }
        self.lines.push(ClassLine {
            student: sheet.student.clone(),
            id: sheet.id.clone(),
            exercise: counted_with,
            points: sheet.points,
            out_of: sheet.out_of,
            counts: grades.iter().map(|grade| grade.counts).collect(),
            verdicts: grades.iter().map(|grade| grade.verdict).collect(),
        });
    }

    /// What a sheet is counted with: those of the same exercise and version on which the same is to be done. Looking for
    /// slips is other work than drafting, and another version has other steps.
    fn counted_with(&self, sheet: &MarkedSheet) -> String {
        let exercise = sheet.truth.exercise;
        let is_other = |known: &&ExerciseTally| known.version != exercise.version;
        let name = match self.exercises.get(&exercise.name).filter(is_other) {
            Some(_) => format!("{}, version {}", exercise.name, exercise.version),
            None => exercise.name.clone(),
        };
        if sheet.is_hunt { format!("{name}, slips to be found") } else { name }
    }

    /// Adds the counts of steps of another tally, one that has neither lines nor mistakes nor choices.
    pub fn add_counts(&mut self, other: ClassTally) {
        for (name, other) in other.exercises {
            let Some(own) = self.exercises.get_mut(&name) else {
                self.exercises.insert(name, other);
                continue;
            };
            own.sheets += other.sheets;
            own.full += other.full;
            for (own, other) in own.steps.iter_mut().zip(other.steps) {
                own.wrong += other.wrong;
                own.absent += other.absent;
                own.unjudged += other.unjudged;
            }
        }
    }

    /// How many sheets were counted.
    pub fn sheets(&self) -> usize {
        self.exercises.values().map(|exercise| exercise.sheets).sum()
    }

    /// The points of every student who has a line, and what the class as a whole got wrong, most common first; empty for
    /// a single sheet.
    pub fn text(&self) -> String {
        let sheets = self.sheets();
        if sheets < 2 {
            return String::new();
        }
        let full: usize = self.exercises.values().map(|exercise| exercise.full).sum();
        let have = if full == 1 { "has" } else { "have" };
        let mut lines = vec![format!("The class: {sheets} sheets, of which {full} {have} full marks.")];
        let wide = self.lines.iter().map(|line| line.name().chars().count()).max().unwrap_or(0);
        let several = self.exercises.len() > 1;
        lines.extend(self.lines.iter().map(|line| {
            let name = line.name();
            let gap = " ".repeat(wide - name.chars().count());
            let exercise = if several { format!("  {}", line.exercise) } else { String::new() };
            format!("  {name}{gap}  {:>4} of {}{exercise}", line.points.to_string(), line.out_of)
        }));
        let mut common: Vec<(&StepTally, usize)> = self
            .exercises
            .values()
            .flat_map(|exercise| exercise.steps.iter().map(|step| (step, exercise.sheets)))
            .filter(|(step, _)| step.wrong + step.absent + step.unjudged > 0)
            .collect();
        common.sort_by_key(|(step, _)| Reverse((step.wrong, step.absent + step.unjudged)));
        if !common.is_empty() {
            lines.push("What went wrong, most common first:".to_owned());
        }
        for (step, sheets) in common {
            let counts = [
                (step.wrong, format!("{} of {sheets} wrong", step.wrong)),
                (step.absent, format!("{} missing or unread", step.absent)),
                (step.unjudged, format!("{} can't be judged", step.unjudged)),
            ];
            let counts: Vec<String> =
                counts.into_iter().filter(|(count, _)| *count > 0).map(|(_, text)| text).collect();
            lines.push(format!("  {}: {}", step.title, counts.join(", ")));
            lines.extend(step.most_common().iter().map(|(says, count)| format!("    {count} × {says}")));
        }
        lines.join("\n") + "\n"
    }
}

impl ClassLine {
    /// The student's name, with what tells them from others of the same name.
    pub fn name(&self) -> String {
        if self.id.is_empty() { self.student.clone() } else { format!("{} ({})", self.student, self.id) }
    }
}

/// What went wrong in one answer, each mistake in a sentence that is the same for every student, and whether it is a
/// choice beyond its limits for which nothing else is known.
fn mistakes(sheet: &MarkedSheet, cell: &MarkedCell) -> Vec<(String, bool)> {
    let sentences = |explanation: &Explanation| -> Vec<String> {
        explanation.causes().map(|cause| sentence(&in_short(cause, sheet.truth.exercise))).collect()
    };
    match &cell.explained[..] {
        [] => vec![(String::new(), cell.verdict == Verdict::OutsideRule)],
        [only] => sentences(only).into_iter().map(|says| (says, false)).collect(),
        several => vec![(either(several, ["Either: ", " Or: "], |one| sentences(one).join(" ")), false)],
    }
}

fn sentence(says: &str) -> String {
    let says = capital(says);
    if says.ends_with('.') { says } else { says + "." }
}

/// What went wrong in a step, in words that are the same for every student. A list counts once: by the first of its
/// rows that can be explained.
fn mistake(sheet: &MarkedSheet, step: StepId, verdict: Verdict) -> String {
    let joined = |explanation: &Explanation| {
        let causes: Vec<String> = explanation.causes().map(|cause| in_short(cause, sheet.truth.exercise)).collect();
        causes.join(" and ")
    };
    match sheet.explained(step) {
        [] if verdict == Verdict::OutsideRule => "outside the limits".to_owned(),
        [] => "what went wrong is not known".to_owned(),
        explained => either(explained, ["either: ", " or: "], joined),
    }
}
