//! The one who is asked.

use super::ask::{Ask, OwnAsked};
use super::{form, hand_in, own, problem};
use crate::exercise::{Exercise, Shelf, read};
use crate::length::Ruler;
use crate::lesson::{OpenChapter, OpenDraft};
use serde::Serialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Longest request that is read, in bytes.
const LONGEST: usize = 4 << 20;

/// What a page talks to: it keeps the exercises and chapters that it was given, and nothing of what was asked.
///
/// ```
/// use foldmark::live::Live;
/// let mut live = Live::new();
/// let (name, text) = foldmark::exercise::shipped().find(|(name, _)| *name == "zip-pouch").unwrap();
/// let ask = serde_json::json!({ "ask": "exercise", "name": name, "text": text });
/// assert_eq!(live.answer(&ask.to_string()), "{}");
/// let ask = r#"{ "ask": "form", "exercise": "zip-pouch", "own": { "ruler": "1/8 in" } }"#;
/// assert!(live.answer(ask).contains(r#""title":"Seam allowance""#));
/// assert!(live.answer("{").contains("fault"));
/// ```
#[derive(Debug, Default)]
pub struct Live {
    shelf: Shelf,
    chapters: BTreeMap<String, (OpenChapter, Vec<OpenDraft>)>,
}

/// Why a request has no answer, as a sentence without a full stop.
pub(super) type Told<T> = Result<T, String>;

impl Live {
    /// One that knows no exercise yet.
    pub fn new() -> Live {
        Live::default()
    }

    /// Answers a request; both are JSON. What is wrong with a request is its answer: `{"fault": "…"}`.
    pub fn answer(&mut self, request: &str) -> String {
        let answer = if request.len() > LONGEST {
            Err("this is more than can be read at once; take something out".to_owned())
        } else {
            serde_json::from_str(request).map_err(|error| error.to_string()).and_then(|ask| self.answered(ask))
        };
        answer.unwrap_or_else(|fault| json!({ "fault": fault }).to_string())
    }

    fn answered(&mut self, ask: Ask) -> Told<String> {
        match ask {
            Ask::Exercise { name, text } => {
                let exercise = read(&name, &text).map_err(|faults| faults[0].to_string())?;
                self.shelf.put(exercise);
                Ok("{}".to_owned())
            }
            Ask::Chapter { path, found } => {
                let chapter = OpenChapter::new(&path, &found);
                let told = |(at, draft): (usize, &OpenDraft)| {
                    let steps: Vec<(&str, usize)> = chapter.0.steps(at).collect();
                    json!({ "part": draft.part, "exercise": draft.exercise, "steps": steps })
                };
                let drafts: Vec<Value> = chapter.1.iter().enumerate().map(told).collect();
                self.chapters.insert(path, chapter);
                written(&json!({ "drafts": drafts }))
            }
            Ask::Form { exercise, own } => {
                let exercise = self.exercise(&exercise)?;
                written(&form::form(exercise, &own, ruler(exercise, &own)?))
            }
            Ask::Lesson { chapter, draft, own } => {
                let (chapter, open) = self.chapter(&chapter, draft)?;
                let exercise = self.exercise(&open.exercise)?;
                written(&own::worked(chapter, draft, exercise, &own, ruler(exercise, &own)?))
            }
            Ask::Mark(sheet) => written(&hand_in::marked(self, &sheet)?),
            Ask::File(sheet) => written(&hand_in::file(self, &sheet)?),
            Ask::Problem { exercise, level, ruler, seed, slips, weak } => {
                let exercise = self.exercise(&exercise)?;
                let ruler = Ruler::read(&ruler).map_err(|fault| fault.to_string())?;
                written(&problem::fresh(exercise, level, ruler, seed, slips, &weak)?)
            }
            Ask::Coded { exercise, code } => {
                let exercise = self.exercise(&exercise)?;
                written(&problem::coded(exercise, &code, &self.shelf)?)
            }
            Ask::Try { chapter, draft, own, first, step, answers } => {
                written(&own::tried(self, (&chapter, draft), own.as_ref(), &first, &step, &answers)?)
            }
        }
    }

    /// An exercise that was put on the shelf.
    pub(super) fn exercise(&self, name: &str) -> Told<&Exercise> {
        self.shelf.get(name).map_err(|unknown| unknown.to_string())
    }

    pub(super) fn shelf(&self) -> &Shelf {
        &self.shelf
    }

    /// A chapter that was taken in, and one of its open drafts.
    pub(super) fn chapter(&self, path: &str, draft: usize) -> Told<(&OpenChapter, &OpenDraft)> {
        let (chapter, drafts) = self.chapters.get(path).ok_or("this chapter was not taken in")?;
        Ok((chapter, drafts.get(draft).ok_or("this chapter has no such draft")?))
    }
}

/// The ruler asked for; where none is, the exercise's usual one.
pub(super) fn ruler(exercise: &Exercise, own: &OwnAsked) -> Told<Ruler> {
    if own.ruler.is_empty() {
        return Ok(exercise.usual_ruler(false));
    }
    Ruler::read(&own.ruler).map_err(|fault| fault.to_string())
}

fn written<T: Serialize>(answer: &T) -> Told<String> {
    serde_json::to_string(answer).map_err(|error| error.to_string())
}
