//! What a page may ask.

use crate::check::{Answer, AnswerSheet, Value as Written};
use crate::draft::{Entry, Measures, Raw, RawRow};
use crate::exercise::{Exercise, GivenKind};
use crate::length::Ruler;
use crate::lesson::{Found, Own};
use crate::text::Place;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;

/// A request. Names of drafting in it come from answers to earlier ones.
#[derive(Debug)]
pub(super) enum Ask {
    /// Puts an exercise on the shelf.
    Exercise(ExerciseAsked),
    /// Takes in what was found in a chapter.
    Chapter(ChapterAsked),
    /// What there is to fill in before an exercise can be worked.
    Form(FormAsked),
    /// A chapter's parts for the reader's own objects.
    Lesson(LessonAsked),
    /// Answers judged as far as there are any.
    Mark(SheetAsked),
    /// The same as an answer file.
    File(SheetAsked),
    /// A fresh problem.
    Problem(ProblemAsked),
    /// The problem of a code.
    Coded(CodeAsked),
    /// What a try at a step of a draft comes to.
    Try(TryAsked),
}

impl Ask {
    /// Reads a request, an object that says under `ask` what it asks for.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn read(text: &str) -> Result<Ask, String> {
        match read::<What>(text)?.ask.as_str() {
            "exercise" => read(text).map(Ask::Exercise),
            "chapter" => read(text).map(Ask::Chapter),
            "form" => read(text).map(Ask::Form),
            "lesson" => read(text).map(Ask::Lesson),
            "mark" => read(text).map(Ask::Mark),
            "file" => read(text).map(Ask::File),
            "problem" => read(text).map(Ask::Problem),
            "coded" => read(text).map(Ask::Coded),
            "try" => read(text).map(Ask::Try),
            _ => Err("nothing known is asked for".to_owned()),
        }
    }
}

/// What is asked for; the rest is read once that is known.
#[derive(Debug, Deserialize)]
struct What {
    #[serde(default)]
    ask: String,
}

fn read<T: DeserializeOwned>(text: &str) -> Result<T, String> {
    serde_json::from_str(text).map_err(|error| error.to_string())
}

/// An exercise and its text.
#[derive(Debug, Deserialize)]
pub(super) struct ExerciseAsked {
    pub name: String,
    pub text: String,
}

/// A chapter and what was found in it.
#[derive(Debug, Deserialize)]
pub(super) struct ChapterAsked {
    pub path: String,
    pub found: Vec<Found>,
}

/// The form for an exercise, as far as it is filled in.
#[derive(Debug, Deserialize)]
pub(super) struct FormAsked {
    pub exercise: String,
    pub own: OwnAsked,
}

/// A chapter for a reader's own objects; `draft` counts the chapter's open drafts. Drawing takes most of the time, so a page
/// asks first for the `parts` that can be seen; without them it is told all.
#[derive(Debug, Deserialize)]
pub(super) struct LessonAsked {
    pub chapter: String,
    pub draft: u32,
    pub own: OwnAsked,
    pub parts: Option<Vec<usize>>,
}

/// A fresh problem: in which a slip of `weak` would show, if one is found soon.
#[derive(Debug, Deserialize)]
pub(super) struct ProblemAsked {
    pub exercise: String,
    pub level: u8,
    pub ruler: String,
    pub seed: u64,
    /// How many slips are to be found in a finished draft; none, where it is to be drafted.
    pub slips: u8,
    pub weak: Vec<String>,
}

/// The problem of a code.
#[derive(Debug, Deserialize)]
pub(super) struct CodeAsked {
    pub exercise: String,
    pub code: String,
}

/// A try at one step: of the reader's own draft, or of the lesson's in the system that is shown.
#[derive(Debug, Deserialize)]
pub(super) struct TryAsked {
    pub chapter: String,
    pub draft: u32,
    pub own: Option<OwnAsked>,
    pub first: String,
    pub step: String,
    pub answers: Vec<String>,
}

/// What a reader typed in place of a lesson's values.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct OwnAsked {
    pub ruler: String,
    single: BTreeMap<String, String>,
    table: BTreeMap<String, Vec<BTreeMap<String, String>>>,
    choice: BTreeMap<String, String>,
}

/// A row's name stands among its cells.
const NAME: &str = "name";

impl OwnAsked {
    /// Leaves out what does not matter for an exercise, by what is known so far: it may stand there from before another word
    /// was chosen, and nobody sees it.
    pub fn retain_needed(&mut self, exercise: &Exercise, measures: &Measures) {
        let given = |name: &str| exercise.given(name);
        self.single.retain(|name, _| given(name).is_none_or(|given| given.is_needed(measures)));
        for (table, rows) in &mut self.table {
            let Some(GivenKind::Table { columns, .. }) = given(table).map(|given| &given.kind) else { continue };
            let is_needed = |name: &str| {
                let column = columns.iter().find(|column| column.name == name);
                column.is_none_or(|column| column.is_needed(measures))
            };
            rows.iter_mut().for_each(|row| row.retain(|name, _| is_needed(name)));
        }
    }

    /// The values as the lesson takes them. What is left empty takes its usual value.
    pub fn read(&self, ruler: Ruler) -> Own {
        let choice = self.choice.iter().map(|(step, text)| (step.clone(), text.clone())).collect();
        Own { ruler, given: self.raw(), choice }
    }

    pub fn raw(&self) -> Raw {
        let is_filled = |(_, text): &(&String, &String)| !text.trim().is_empty();
        let entry = |(key, text): (&String, &String)| Entry { key: key.clone(), text: text.clone(), place: None };
        let row = |row: &BTreeMap<String, String>| RawRow {
            name: row.get(NAME).cloned().unwrap_or_default(),
            cells: row.iter().filter(|(key, _)| *key != NAME).filter(is_filled).map(entry).collect(),
            place: None,
        };
        let is_begun = |row: &&BTreeMap<String, String>| row.iter().any(|cell| is_filled(&cell));
        Raw {
            singles: self.single.iter().filter(is_filled).map(entry).collect(),
            tables: self
                .table
                .iter()
                .map(|(table, rows)| (table.clone(), rows.iter().filter(is_begun).map(row).collect()))
                .collect(),
            place: None,
        }
    }
}

/// A sheet as it stands in a page.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct SheetAsked {
    pub exercise: String,
    pub student: String,
    /// What tells the student from others of the same name.
    pub id: String,
    /// How much is shown: `marks`, `coach`, `full`, or `none`.
    pub show: String,
    /// The code of a sheet of practice; empty for one's own objects.
    pub code: String,
    pub own: OwnAsked,
    /// The chapter and which of its open drafts the sheet belongs to, if any: to tell whether the objects are still the lesson's.
    pub chapter: String,
    pub draft: u32,
    /// The answers by step, one for each row.
    pub answers: BTreeMap<String, Vec<String>>,
}

impl SheetAsked {
    /// As if it had been handed in as a file.
    pub fn read(&self, ruler: Ruler) -> AnswerSheet {
        // Nothing here has a place in a file.
        let place = Place { line: 1, column: 1 };
        let answer = |(step, texts): (&String, &Vec<String>)| Answer {
            step: step.clone(),
            place,
            values: texts.iter().map(|text| Written { text: text.clone(), place }).collect(),
        };
        AnswerSheet {
            remarks: Vec::new(),
            faults: Vec::new(),
            exercise: self.exercise.clone(),
            version: None,
            student: self.student.trim().to_owned(),
            id: self.id.trim().to_owned(),
            unit: Some(ruler.unit()),
            ruler: Some(ruler),
            code: self.code.clone(),
            assignment: None,
            given: if self.code.is_empty() { self.own.raw() } else { Raw::default() },
            answers: self.answers.iter().map(answer).collect(),
        }
    }
}
