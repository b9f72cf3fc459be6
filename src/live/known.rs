//! What a page has made known: its exercises, and the chapters that it shows.

use super::ask::OwnAsked;
use crate::exercise::{Exercise, Shelf};
use crate::length::Ruler;
use crate::lesson::{Found, OpenChapter, OpenDraft};
use std::collections::BTreeMap;

/// Why a request has no answer, as a sentence without a full stop.
pub(super) type Told<T> = Result<T, String>;

/// Exercises and chapters, by name.
#[derive(Debug, Default)]
pub(super) struct Known {
    shelf: Shelf,
    chapters: BTreeMap<String, (OpenChapter, Vec<OpenDraft>)>,
}

impl Known {
    /// Puts an exercise on the shelf.
    pub fn put(&mut self, exercise: Exercise) {
        self.shelf.put(exercise);
    }

    /// Knows these exercises, and no others.
    #[cfg(feature = "desk")]
    pub fn put_shelf(&mut self, shelf: Shelf) {
        self.shelf = shelf;
    }

    /// Takes in what was found in a chapter.
    pub fn take_in(&mut self, path: String, found: &[Found]) {
        let chapter = OpenChapter::new(&path, found);
        self.chapters.insert(path, chapter);
    }

    /// A chapter that was taken in, and its open drafts.
    pub fn taken_in(&self, path: &str) -> Told<&(OpenChapter, Vec<OpenDraft>)> {
        self.chapters.get(path).ok_or_else(|| "this chapter was not taken in".to_owned())
    }

    /// An exercise that was put on the shelf.
    pub fn exercise(&self, name: &str) -> Told<&Exercise> {
        self.shelf.get(name).map_err(|unknown| unknown.to_string())
    }

    pub fn shelf(&self) -> &Shelf {
        &self.shelf
    }

    /// A chapter that was taken in, and one of its open drafts.
    pub fn chapter(&self, path: &str, draft: u32) -> Told<(&OpenChapter, &OpenDraft)> {
        let (chapter, drafts) = self.taken_in(path)?;
        Ok((chapter, drafts.get(draft as usize).ok_or("this chapter has no such draft")?))
    }
}

/// The ruler asked for; where none is, the exercise's usual one.
pub(super) fn ruler(exercise: &Exercise, own: &OwnAsked) -> Told<Ruler> {
    if own.ruler.is_empty() {
        return Ok(exercise.usual_ruler(false));
    }
    Ruler::read(&own.ruler).map_err(|fault| fault.to_string())
}
