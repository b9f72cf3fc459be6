//! What a reader may have measured: givens of an exercise as they would type them.

use std::env;

use foldmark::draft::{Draft, Entry, Givens, Raw, RawRow};
use foldmark::exercise::{Exercise, GivenKind};
use foldmark::formula::{Slot, Values};
use foldmark::length::Ruler;
use foldmark::practice::{Maker, Task};

/// The first seed of what is made by chance. Another one, in the variable `FOLDMARK_SEED`, gives cases nobody has seen.
pub fn first_seed() -> u32 {
    env::var("FOLDMARK_SEED").map_or(1, |seed| seed.parse().expect("FOLDMARK_SEED is a number"))
}

/// A ruler, and givens as text.
pub struct Kit {
    pub ruler: Ruler,
    pub raw: Raw,
}

/// How a reader writes.
#[derive(Clone, Copy)]
pub enum Hand {
    /// Every value with its unit, and every object with its name.
    Full,
    /// Without the unit, where it is that of the ruler.
    Bare,
    /// What is usual is left out, and so are the names.
    Short,
}

impl Kit {
    pub fn example(exercise: &Exercise, ruler: Ruler) -> Kit {
        Kit { ruler, raw: Raw::example(exercise) }
    }

    /// The givens of the first problem that practice makes from this seed or a later one. Seeds one after another differ
    /// in the words chosen and in the number of rows, too.
    pub fn problem(exercise: &Exercise, level: u8, ruler: Ruler, seed: u32, hand: Hand) -> Kit {
        let maker = Maker::new(exercise, level, Task::Draft, ruler)
            .unwrap_or_else(|fault| panic!("{} on {ruler}: {fault}", exercise.name));
        // The first byte of a seed is for words and rows.
        let seed = seed << 24 | seed;
        let draft = (seed..).find_map(|seed| maker.draft(seed)).expect("some seed holds a problem");
        Kit { ruler, raw: raw(&draft, hand) }
    }

    /// The draft of these givens, with choices as suggested.
    pub fn draft<'e>(&self, exercise: &'e Exercise) -> Draft<'e> {
        let givens = Givens::read(exercise, &self.raw, Some(self.ruler.unit()), self.ruler);
        let givens = givens.unwrap_or_else(|faults| panic!("{}: {}", exercise.name, faults[0]));
        Draft::new(exercise, givens).unwrap_or_else(|fault| panic!("{}: {fault}", exercise.name))
    }

    /// The same for the command line.
    pub fn arguments(&self) -> Vec<String> {
        let mut arguments = vec!["--ruler".to_owned(), self.ruler.to_string()];
        arguments.extend(["--unit".to_owned(), self.ruler.unit().symbol().to_owned()]);
        let mut give = |text: String| arguments.extend(["--given".to_owned(), text]);
        for Entry { key, text, .. } in &self.raw.singles {
            give(format!("{key}={text}"));
        }
        for (table, row) in self.raw.tables.iter().flat_map(|(table, rows)| rows.iter().map(move |row| (table, row))) {
            let mut cells: Vec<String> = row.cells.iter().map(|cell| format!("{}: {}", cell.key, cell.text)).collect();
            if !row.name.is_empty() {
                cells.insert(0, format!("name: {}", row.name));
            }
            give(format!("{table}={}", cells.join(", ")));
        }
        arguments
    }
}

/// The givens of a draft as someone would write them.
fn raw(draft: &Draft, hand: Hand) -> Raw {
    let exercise = draft.exercise;
    let unit = format!(" {}", draft.givens.ruler.unit().symbol());
    let written = |slot: Slot, row: usize| {
        let text = draft.givens.text(exercise, slot, row)?;
        Some(match hand {
            Hand::Bare => text.strip_suffix(&unit).unwrap_or(&text).to_owned(),
            Hand::Full | Hand::Short => text,
        })
    };
    let entry = |key: &str, text: String| Entry { key: key.to_owned(), text, place: None };
    let is_short = matches!(hand, Hand::Short);
    let mut raw = Raw::default();
    for given in exercise.givens.iter().filter(|given| given.is_needed(&draft.measures)) {
        let (slot, has_usual) = match &given.kind {
            GivenKind::Length { slot, usual, .. } => (*slot, !usual.is_empty()),
            GivenKind::Number { slot, usual, .. } => (*slot, usual.is_some()),
            GivenKind::Choice { slot, .. } => (*slot, false),
            GivenKind::Table { table, columns, .. } => {
                let used: Vec<_> = columns.iter().filter(|column| column.is_needed(&draft.measures)).collect();
                let row = |row: usize| RawRow {
                    name: if is_short { String::new() } else { draft.givens.row_names[table.0][row].clone() },
                    cells: used
                        .iter()
                        .filter_map(|column| Some(entry(&column.name, written(column.slot, row)?)))
                        .collect(),
                    place: None,
                };
                raw.tables.push((given.name.clone(), (0..draft.measures.rows(*table)).map(row).collect()));
                continue;
            }
        };
        if !(is_short && has_usual) {
            raw.singles.extend(written(slot, 0).map(|text| entry(&given.name, text)));
        }
    }
    raw
}
