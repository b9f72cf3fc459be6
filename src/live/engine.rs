//! The one who is asked.

use super::ask::{Ask, ChapterAsked, CodeAsked, ExerciseAsked, FormAsked, LessonAsked};
use super::known::{Known, Told, ruler};
use super::own::LessonsOwn;
use super::{form, hand_in, own, problem};
use crate::exercise::read;
use crate::lesson::OpenDraft;
use serde::Serialize;
use serde_json::{Value, json};

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
    known: Known,
}

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
            Ask::read(request).and_then(|ask| self.answered(ask))
        };
        answer.unwrap_or_else(|fault| json!({ "fault": fault }).to_string())
    }

    fn answered(&mut self, ask: Ask) -> Told<String> {
        let known = &mut self.known;
        match ask {
            Ask::Exercise(ExerciseAsked { name, text }) => {
                known.put(read(&name, &text).map_err(|faults| faults[0].to_string())?);
                Ok("{}".to_owned())
            }
            Ask::Chapter(ChapterAsked { path, found }) => {
                known.take_in(path.clone(), &found);
                let (chapter, drafts) = known.taken_in(&path)?;
                let told = |(at, draft): (usize, &OpenDraft)| {
                    let steps: Vec<(&str, usize)> = chapter.steps(at).collect();
                    let lessons: Vec<LessonsOwn> =
                        chapter.lessons(known.shelf(), at).iter().map(LessonsOwn::of).collect();
                    json!({ "part": draft.part, "exercise": draft.exercise, "steps": steps, "lessons": lessons })
                };
                let drafts: Vec<Value> = drafts.iter().enumerate().map(told).collect();
                let homework: Vec<(usize, usize)> = chapter.homework().collect();
                written(&json!({ "drafts": drafts, "homework": homework }))
            }
            Ask::Form(FormAsked { exercise, own }) => {
                let exercise = known.exercise(&exercise)?;
                written(&form::form(exercise, &own, ruler(exercise, &own)?))
            }
            Ask::Lesson(LessonAsked { chapter, draft, own }) => {
                let (chapter, open) = known.chapter(&chapter, draft)?;
                let exercise = known.exercise(&open.exercise)?;
                written(&own::worked(chapter, draft as usize, exercise, &own, ruler(exercise, &own)?, known.shelf()))
            }
            Ask::Mark(sheet) => written(&hand_in::marked(known, &sheet)?),
            Ask::File(sheet) => written(&hand_in::file(known, &sheet)?),
            Ask::Problem(asked) => written(&problem::fresh(known.exercise(&asked.exercise)?, &asked)?),
            Ask::Coded(CodeAsked { exercise, code }) => {
                let exercise = known.exercise(&exercise)?;
                written(&problem::coded(exercise, &code, known.shelf())?)
            }
            Ask::Try(asked) => written(&own::tried(known, &asked)?),
        }
    }
}

fn written<T: Serialize>(answer: &T) -> Told<String> {
    serde_json::to_string(answer).map_err(|error| error.to_string())
}
