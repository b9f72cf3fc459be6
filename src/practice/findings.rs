//! What is noted of an exercise that is tried out: one sentence for each key, with givens that show it.

use crate::draft::{Givens, Measures};
use crate::exercise::{Exercise, GivenKind};
use crate::formula::Values;
use crate::length::Ruler;

/// The first finding under each key.
#[derive(Default)]
pub(super) struct Notes {
    found: Vec<(String, String)>,
}

impl Notes {
    /// Notes what was found with some givens, unless something is noted under its key already.
    pub(super) fn add(&mut self, key: &str, what: &str, exercise: &Exercise, measures: &Measures, ruler: Ruler) {
        if !self.found.iter().any(|(known, _)| known == key) {
            let with = example(exercise, measures, ruler);
            self.found.push((key.to_owned(), format!("{key}: {what}, for instance with {with}")));
        }
    }

    /// The sentences, in the order they were found in.
    pub(super) fn sentences(self) -> Vec<String> {
        self.found.into_iter().map(|(_, note)| note).collect()
    }
}

/// Givens in a few words: singles, and the first rows of each table; and the ruler.
pub(super) fn example(exercise: &Exercise, measures: &Measures, ruler: Ruler) -> String {
    let givens = Givens { ruler, row_names: Vec::new(), measures: measures.clone() };
    let mut parts = Vec::new();
    for given in exercise.givens.iter().filter(|given| given.is_needed(measures)) {
        match &given.kind {
            GivenKind::Table { table, columns, .. } => {
                for row in 0..measures.rows(*table).min(3) {
                    let cells = columns.iter().filter(|column| column.is_needed(measures)).filter_map(|column| {
                        Some(format!("{} {}", column.name, givens.text(exercise, column.slot, row)?))
                    });
                    parts.push(format!("{} {{ {} }}", given.name, cells.collect::<Vec<_>>().join(", ")));
                }
            }
            GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } | GivenKind::Choice { slot, .. } => {
                parts.extend(givens.text(exercise, *slot, 0).map(|text| format!("{} {text}", given.name)));
            }
        }
    }
    parts.push(format!("a ruler of {ruler}"));
    parts.join(", ")
}
