//! The one who is asked.

use super::ask::{Ask, ChapterAsked, CodeAsked, ExerciseAsked, FormAsked, SheetAsked};
use super::known::{Known, Told, ruler};
use super::own::LessonsOwn;
use super::{form, hand_in, own, problem};
#[cfg(feature = "desk")]
use crate::exercise::Shelf;
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

    /// Has it know these exercises, and no others.
    #[cfg(feature = "desk")]
    pub(crate) fn put_shelf(&mut self, shelf: Shelf) {
        self.known.put_shelf(shelf);
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
            Ask::Lesson(asked) => written(&own::worked(known, &asked)?),
            Ask::Mark(sheet) => written(&hand_in::marked(known, &needed(known, sheet)?)?),
            Ask::File(sheet) => written(&hand_in::file(known, &needed(known, sheet)?)?),
            Ask::Problem(asked) => written(&problem::fresh(known.exercise(&asked.exercise)?, &asked)?),
            Ask::Coded(CodeAsked { exercise, code }) => {
                let exercise = known.exercise(&exercise)?;
                written(&problem::coded(exercise, &code, known.shelf())?)
            }
            Ask::Try(asked) => written(&own::tried(known, &asked)?),
        }
    }
}

/// A sheet without what does not matter for its exercise.
fn needed(known: &Known, mut sheet: SheetAsked) -> Told<SheetAsked> {
    let exercise = known.exercise(&sheet.exercise)?;
    sheet.own = form::needed(exercise, &sheet.own, ruler(exercise, &sheet.own)?);
    Ok(sheet)
}

fn written<T: Serialize>(answer: &T) -> Told<String> {
    serde_json::to_string(answer).map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The bucket's circumference is measured only where it is measured round; what stands there from before does not
    /// matter once it is measured across.
    #[test]
    fn what_does_not_matter_stands_in_nobodys_way() {
        let mut live = Live::new();
        let (name, text) = crate::exercise::shipped().find(|(name, _)| *name == "round-bucket").unwrap();
        live.answer(&json!({ "ask": "exercise", "name": name, "text": text }).to_string());
        let mut file = |measured: &str, round: &str| {
            let single = json!({ "measured": measured, "round": round, "across": "8", "height": "10" });
            let own = json!({ "ruler": "1/8 in", "single": single });
            let ask = json!({ "ask": "mark", "exercise": name, "student": "Sorrel", "show": "full", "own": own });
            let marked: Value = serde_json::from_str(&live.answer(&ask.to_string())).unwrap();
            let ask = json!({ "ask": "file", "exercise": name, "student": "Sorrel", "show": "full", "own": own });
            let file: Value = serde_json::from_str(&live.answer(&ask.to_string())).unwrap();
            (marked["faults"].as_array().unwrap().len(), file["text"].as_str().unwrap().to_owned())
        };
        assert_eq!(file("round", "9000").0, 1);
        let (faults, text) = file("across", "9000");
        assert!(faults == 0 && !text.contains("9000"), "{text}");
        let sheet = crate::check::read_answers(&text).unwrap();
        assert!(crate::check::mark(&crate::exercise::read(name, text_of(name)).unwrap(), &sheet).is_ok());
    }

    fn text_of(name: &str) -> &'static str {
        crate::exercise::shipped().find(|(known, _)| *known == name).unwrap().1
    }
}
