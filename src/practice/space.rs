//! What a problem may be: for every given the values practice may put in it, on the sheet's ruler.

use super::choose::Chooser;
use super::set::PracticeFault;
use crate::draft::Measures;
use crate::exercise::{Column, Exercise, GivenKind, Vary, offered_on, usual_on};
use crate::formula::{Slot, TableId};
use crate::length::{Length, Ruler};

/// The values that each given may take.
pub(super) struct Space<'e> {
    exercise: &'e Exercise,
    ruler: Ruler,
    singles: Vec<(Slot, Vec<f64>)>,
    tables: Vec<Table<'e>>,
}

struct Table<'e> {
    table: TableId,
    rows: (usize, usize),
    columns: Vec<(&'e Column, Vec<f64>)>,
}

impl<'e> Space<'e> {
    /// # Errors
    /// A given that practice can't fill.
    pub(super) fn new(exercise: &'e Exercise, ruler: Ruler) -> Result<Space<'e>, PracticeFault> {
        let mut space = Space { exercise, ruler, singles: Vec::new(), tables: Vec::new() };
        for given in &exercise.givens {
            let (slot, varies, usual) = match &given.kind {
                GivenKind::Length { slot, usual, varies, .. } => {
                    (*slot, varies, usual_on(ruler, usual).map(Length::as_nm_f64))
                }
                GivenKind::Number { slot, usual, varies, .. } => (*slot, varies, usual.map(|number| number as f64)),
                GivenKind::Choice { slot, usual, varies, .. } => (*slot, varies, usual.map(|index| index as f64)),
                GivenKind::Table { table, rows, columns, varies, .. } => {
                    let rows = varies.as_ref().map_or(*rows, |(least, most, _)| (*least, *most));
                    let columns: Result<Vec<_>, _> = columns
                        .iter()
                        .map(|column| Ok((column, options(&column.title, column.varies.as_ref(), None, ruler)?)))
                        .collect();
                    space.tables.push(Table { table: *table, rows, columns: columns? });
                    continue;
                }
            };
            space.singles.push((slot, options(&given.title, varies.as_ref(), usual, ruler)?));
        }
        Ok(space)
    }

    /// Chooses every given.
    pub(super) fn draw(&self, chooser: &mut dyn Chooser) -> Measures {
        let mut rows = vec![0; self.exercise.scope.tables()];
        for table in &self.tables {
            rows[table.table.0] = table.rows.0 + chooser.choose(table.rows.1 - table.rows.0 + 1);
        }
        let mut measures = Measures::new(self.exercise, &rows, self.ruler);
        for (slot, values) in &self.singles {
            measures.set(*slot, 0, values[chooser.choose(values.len())]);
        }
        for table in &self.tables {
            for row in 0..rows[table.table.0] {
                for (column, values) in &table.columns {
                    if column.is_needed(&measures) {
                        measures.set(column.slot, row, values[chooser.choose(values.len())]);
                    }
                }
            }
        }
        measures
    }
}

fn options(title: &str, varies: Option<&Vary>, usual: Option<f64>, ruler: Ruler) -> Result<Vec<f64>, PracticeFault> {
    let tick = ruler.tick().nm();
    let values: Vec<f64> = match varies {
        None => usual.into_iter().collect(),
        Some(Vary::Ticks { from, to, every }) => {
            // Counted from 0, so that every second tick of a 1/8 in ruler is every 1/4 in.
            let step = tick * every;
            let first = (from.nm() + step - 1) / step;
            (first..=to.nm() / step).map(|count| Length::from_nm(count * step).as_nm_f64()).collect()
        }
        Some(Vary::OneOf(lengths)) => offered_on(ruler, lengths).into_iter().map(Length::as_nm_f64).collect(),
        Some(Vary::Whole { from, to }) => (*from..=*to).map(|number| number as f64).collect(),
        Some(Vary::Words(words)) => words.iter().map(|index| *index as f64).collect(),
    };
    if values.is_empty() {
        return Err(PracticeFault::NothingOnRuler { given: title.to_owned(), ruler });
    }
    Ok(values)
}
