//! The names of an exercise's measures, and where their values lie.

use crate::formula::{Base, Kind, Names, Slot, Symbol, TableId, WordSet};

/// The measures of an exercise: every given, column and step, in the order of their slots.
#[derive(Debug, Clone, Default)]
pub struct Scope {
    entries: Vec<Entry>,
    words: Vec<Vec<String>>,
    /// The most rows of each table.
    tables: Vec<usize>,
}

#[derive(Debug, Clone)]
struct Entry {
    name: String,
    title: String,
    kind: Kind,
}

impl Scope {
    /// Adds a measure; its name has to be new.
    pub(in crate::exercise) fn add(&mut self, name: String, title: String, kind: Kind) -> Slot {
        self.entries.push(Entry { name, title, kind });
        Slot(self.entries.len() - 1)
    }

    pub(in crate::exercise) fn add_words(&mut self, words: Vec<String>) -> WordSet {
        self.words.push(words);
        WordSet(self.words.len() - 1)
    }

    /// Adds a table of so many rows at the most.
    pub(in crate::exercise) fn add_table(&mut self, rows: usize) -> TableId {
        self.tables.push(rows);
        TableId(self.tables.len() - 1)
    }

    /// The most rows of a table.
    pub(crate) fn rows(&self, table: TableId) -> usize {
        self.tables[table.0]
    }

    pub(in crate::exercise) fn set_kind(&mut self, slot: Slot, kind: Kind) {
        self.entries[slot.0].kind = kind;
    }

    /// How many slots there are.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// How many tables there are.
    pub fn tables(&self) -> usize {
        self.tables.len()
    }

    /// The slot of a name.
    pub fn slot(&self, name: &str) -> Option<Slot> {
        self.entries.iter().position(|entry| entry.name == name).map(Slot)
    }

    /// Whether there is a table of this name.
    pub(in crate::exercise) fn has_table(&self, name: &str) -> bool {
        self.entries.iter().any(|entry| entry.name.split_once('.').is_some_and(|(table, _)| table == name))
    }

    /// The kind of the value in a slot.
    pub fn kind(&self, slot: Slot) -> Kind {
        self.entries[slot.0].kind
    }

    /// The name of the measure in a slot.
    pub fn name(&self, slot: Slot) -> &str {
        &self.entries[slot.0].name
    }

    /// The title of the measure in a slot, as it reads within a formula.
    pub fn title(&self, slot: Slot) -> &str {
        &self.entries[slot.0].title
    }

    /// The words of a choice.
    pub fn words(&self, set: WordSet) -> &[String] {
        &self.words[set.0]
    }
}

impl Names for Scope {
    fn symbol(&self, name: &str) -> Option<Symbol> {
        self.slot(name).map(|slot| Symbol { slot, kind: self.kind(slot) })
    }

    fn all(&self) -> Vec<String> {
        self.entries.iter().map(|entry| entry.name.clone()).collect()
    }

    fn word(&self, set: WordSet, word: &str) -> Result<f64, Vec<String>> {
        let words = self.words(set);
        words.iter().position(|known| known == word).map(|at| at as f64).ok_or_else(|| words.to_vec())
    }
}

/// A title as it reads within a sentence: its first letter small, unless an abbreviation starts it.
pub(in crate::exercise) fn within_a_sentence(title: &str) -> String {
    let mut letters = title.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => first.to_lowercase().chain(letters).collect(),
        _ => title.to_owned(),
    }
}

/// The kind of a list over a table.
pub(in crate::exercise) fn column_kind(base: Base, table: TableId) -> Kind {
    Kind { base, list: Some(table) }
}
