//! What a page may ask.

use crate::check::{Answer, AnswerSheet, Value};
use crate::draft::{Entry, Raw, RawRow};
use crate::length::Ruler;
use crate::lesson::{Found, Own};
use crate::text::Place;
use serde::Deserialize;
use std::collections::BTreeMap;

/// A request. Names of drafting in it come from answers to earlier ones.
#[derive(Debug, Deserialize)]
#[serde(tag = "ask", rename_all = "kebab-case", rename_all_fields = "kebab-case", deny_unknown_fields)]
pub(super) enum Ask {
    /// Puts an exercise on the shelf.
    Exercise { name: String, text: String },
    /// Takes in what was found in a chapter.
    Chapter { path: String, found: Vec<Found> },
    /// What there is to fill in before an exercise can be worked.
    Form { exercise: String, own: OwnAsked },
    /// A chapter's parts for the reader's own objects; `draft` counts the chapter's open drafts.
    Lesson { chapter: String, draft: usize, own: OwnAsked },
    /// Answers judged as far as there are any.
    Mark(SheetAsked),
    /// The same as an answer file.
    File(SheetAsked),
    /// A fresh problem.
    Problem { exercise: String, level: u8, ruler: String, seed: u64, slips: u8, weak: Vec<String> },
    /// The problem of a code.
    Coded { exercise: String, code: String },
    /// What a try at a step of a draft comes to.
    Try { chapter: String, draft: usize, own: Option<OwnAsked>, first: String, step: String, answers: Vec<String> },
}

/// What a reader typed in place of a lesson's values.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub(super) struct OwnAsked {
    pub ruler: String,
    single: BTreeMap<String, String>,
    table: BTreeMap<String, Vec<BTreeMap<String, String>>>,
    choice: BTreeMap<String, String>,
}

/// A row's name stands among its cells.
const NAME: &str = "name";

impl OwnAsked {
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
#[serde(default, deny_unknown_fields)]
pub(super) struct SheetAsked {
    pub exercise: String,
    pub student: String,
    /// How much is shown: `marks`, `coach`, `full`, or `none`.
    pub show: String,
    /// The code of a sheet of practice; empty for one's own objects.
    pub code: String,
    pub own: OwnAsked,
    /// The chapter and which of its open drafts the sheet belongs to, if any: to tell whether the objects are still the lesson's.
    pub chapter: String,
    pub draft: usize,
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
            values: texts.iter().map(|text| Value { text: text.clone(), place }).collect(),
        };
        AnswerSheet {
            exercise: self.exercise.clone(),
            version: None,
            student: self.student.trim().to_owned(),
            id: String::new(),
            unit: Some(ruler.unit()),
            ruler: Some(ruler),
            code: self.code.clone(),
            assignment: None,
            given: if self.code.is_empty() { self.own.raw() } else { Raw::default() },
            answers: self.answers.iter().map(answer).collect(),
        }
    }
}
