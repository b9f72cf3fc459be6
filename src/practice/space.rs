//! What a problem may be: for every given the values practice may put in it, on the sheet's ruler.

use super::choose::Chooser;
use super::fault::PracticeFault;
use crate::draft::Measures;
use crate::exercise::{Column, Exercise, GivenKind, Level, Stated, Vary, offered_on, usual_on};
use crate::formula::{Slot, TableId};
use crate::length::{Length, Ruler};

/// The values that each given may take.
pub(super) struct Space<'e> {
    exercise: &'e Exercise,
    words: Vec<(Slot, Vec<f64>)>,
    singles: Vec<(Slot, Vec<f64>)>,
    tables: Vec<Table<'e>>,
}

struct Table<'e> {
    table: TableId,
    rows: (usize, usize),
    columns: Vec<(&'e Column, Vec<f64>)>,
}

/// What is the same in every problem of a set, so that all of it is the same work: the words chosen, and how many rows
/// each table has.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Shape {
    words: Vec<usize>,
    rows: Vec<usize>,
}

impl<'e> Space<'e> {
    /// # Errors
    /// A given that practice can't fill.
    pub(super) fn new(exercise: &'e Exercise, level: Option<&Level>, ruler: Ruler) -> Result<Space<'e>, PracticeFault> {
        let offer = Offer { ruler, every: level.and_then(|level| level.every) };
        let mut space = Space { exercise, words: Vec::new(), singles: Vec::new(), tables: Vec::new() };
        for (index, given) in exercise.givens.iter_enumerated() {
            let is_kept = level.is_some_and(|level| level.keeps.contains(&index));
            let varied = |varies: &'e Option<Vary>| varies.as_ref().filter(|_| !is_kept);
            let (slot, varies, usual) = match &given.kind {
                GivenKind::Length { slot, usual, varies, .. } => (*slot, varied(varies), offer.usual(usual)),
                GivenKind::Number { slot, parts, usual, varies, .. } => {
                    (*slot, varied(varies), usual.map(|count| parts.value(count)))
                }
                GivenKind::Choice { slot, usual, varies, .. } => {
                    let values = offer.values(&given.title, varied(varies), usual.map(|index| index as f64))?;
                    space.words.push((*slot, values));
                    continue;
                }
                GivenKind::Table { table, rows, columns, varies, .. } => {
                    let rows = varies.as_ref().map_or(*rows, |(least, most, _)| (*least, *most));
                    let rows = level.and_then(|level| level.rows).map_or(rows, |rows| (rows, rows));
                    let columns: Result<Vec<_>, _> = columns
                        .iter()
                        .map(|column| Ok((column, offer.values(&column.title, column.varies.as_ref(), None)?)))
                        .collect();
                    space.tables.push(Table { table: *table, rows, columns: columns? });
                    continue;
                }
            };
            space.singles.push((slot, offer.values(&given.title, varies, usual)?));
        }
        Ok(space)
    }

    /// Chooses a shape.
    pub(super) fn shape(&self, chooser: &mut dyn Chooser) -> Shape {
        let mut rows = vec![0; self.exercise.scope.tables()];
        for table in &self.tables {
            rows[table.table.0] = table.rows.0 + chooser.choose(table.rows.1 - table.rows.0 + 1);
        }
        let words = self.words.iter().map(|(_, values)| chooser.choose(values.len())).collect();
        Shape { words, rows }
    }

    /// Room for a problem of a shape, judged by a ruler; its words are set.
    pub(super) fn room(&self, shape: &Shape, ruler: Ruler) -> Measures {
        let mut measures = Measures::new(self.exercise, &shape.rows, ruler);
        for ((slot, values), chosen) in self.words.iter().zip(&shape.words) {
            measures.set(*slot, 0, values[*chosen]);
        }
        measures
    }

    /// Chooses every given that the shape leaves open.
    pub(super) fn draw(&self, shape: &Shape, chooser: &mut impl Chooser, measures: &mut Measures) {
        for (slot, values) in &self.singles {
            measures.set(*slot, 0, values[chooser.choose(values.len())]);
        }
        for table in &self.tables {
            for row in 0..shape.rows[table.table.0] {
                for (column, values) in &table.columns {
                    if column.is_needed(measures) {
                        measures.set(column.slot, row, values[chooser.choose(values.len())]);
                    }
                }
            }
        }
    }
}

/// What may be offered on a ruler.
struct Offer {
    ruler: Ruler,
    every: Option<i64>,
}

impl Offer {
    fn usual(&self, usual: &[Stated]) -> Option<f64> {
        usual_on(self.ruler, usual).map(Length::as_nm_f64)
    }

    fn values(&self, title: &str, varies: Option<&Vary>, usual: Option<f64>) -> Result<Vec<f64>, PracticeFault> {
        let values: Vec<f64> = match varies {
            None => usual.into_iter().collect(),
            Some(Vary::Ticks { from, to, every }) => {
                // Counted from 0, so that every second tick of a 1/8 in ruler is every 1/4 in.
                let step = self.ruler.tick().nm() * self.every.unwrap_or(*every);
                let first = (from.nm() + step - 1) / step;
                (first..=to.nm() / step).map(|count| Length::from_nm(count * step).as_nm_f64()).collect()
            }
            Some(Vary::OneOf(lengths)) => offered_on(self.ruler, lengths).into_iter().map(Length::as_nm_f64).collect(),
            Some(Vary::Number { parts, from, to }) => (*from..=*to).map(|count| parts.value(count)).collect(),
            Some(Vary::Words(words)) => words.iter().map(|index| *index as f64).collect(),
        };
        if values.is_empty() {
            return Err(PracticeFault::NothingOnRuler { given: title.to_owned(), ruler: self.ruler });
        }
        Ok(values)
    }
}
