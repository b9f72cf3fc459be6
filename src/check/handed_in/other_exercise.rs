//! Answers that were handed in for another exercise than the one they name.

use super::answer_file::AnswerSheet;
use crate::exercise::{Exercise, Shelf};

/// The exercise of the shelf that the answers' names fit better than the one that the sheet names, if there is one, and a
/// sentence that says so.
pub fn looks_like_another<'s>(
    sheet: &AnswerSheet,
    exercise: Option<&Exercise>,
    shelf: &'s Shelf,
) -> Option<(&'s Exercise, String)> {
    let known =
        |exercise: &Exercise| sheet.answers.iter().filter(|answer| exercise.step(&answer.step).is_some()).count();
    let (own, all) = (exercise.map_or(0, known), sheet.answers.len());
    // The whole shelf is read only for a sheet that gives cause to.
    if own == all {
        return None;
    }
    // The last of equals is taken, so the search goes from the end of the shelf.
    let others: Vec<&Exercise> = shelf.iter().filter(|other| other.name != sheet.exercise).collect();
    let other = others.into_iter().rev().max_by_key(|other| known(other)).filter(|other| known(other) > own)?;
    let mut says = format!("these answers look like those of {}", other.name);
    if let Some(exercise) = exercise {
        let found = known(other);
        says += &format!(": of {all} steps that are named it has {found}, and {} has {own}", exercise.name);
    }
    Some((other, says))
}
