//! What a sighted reader would see, in a few sentences.

use super::drawing::{Standing, plain};
use super::subject::dimension::Dimension;
use super::subject::mark;
use crate::draft::Mark;

/// A description is kept shorter than this, in letters. Every measure of a piece with much on it has room.
const LONGEST: usize = 600;

/// Sentences, as many as fit.
pub(crate) struct Telling(String);

impl Telling {
    pub(crate) fn new(begin: &str) -> Telling {
        Telling(begin.to_owned())
    }

    /// One more sentence, if there is room.
    pub(crate) fn say(&mut self, sentence: &str) -> bool {
        let fits = self.0.chars().count() + sentence.chars().count() < LONGEST;
        if fits {
            if !self.0.is_empty() {
                self.0.push(' ');
            }
            self.0.push_str(sentence);
        }
        fits
    }

    /// A sentence that ends in a list, as long as there is room; "…" stands for what is left out.
    pub(crate) fn list(&mut self, begin: &str, items: &[String]) {
        for count in (1..=items.len()).rev() {
            let rest = if count < items.len() { " …" } else { "." };
            if self.say(&format!("{begin} {}{rest}", items[..count].join(", "))) {
                return;
            }
        }
    }

    /// Dimensions as a list, each with its name.
    pub(crate) fn dimensions<'d>(&mut self, begin: &str, dimensions: impl IntoIterator<Item = &'d Dimension>) {
        self.list(begin, &dimensions.into_iter().map(Dimension::told).collect::<Vec<_>>());
    }

    pub(crate) fn told(self) -> String {
        self.0
    }
}

/// Every name once among the marks of one standing.
pub(crate) fn names(marks: &[(Mark, Standing)], of: Standing) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for (mark, _) in marks.iter().filter(|(_, standing)| *standing == of) {
        let name = mark::label(mark).map(plain).unwrap_or_default();
        if !name.is_empty() && !names.contains(&name) {
            names.push(name);
        }
    }
    names
}
