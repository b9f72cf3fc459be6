//! Where a table has what an exercise gives and asks for, so that its rows are read in place.

use super::columns::Column;
use super::reading::HandedIn;
use super::row::{Head, Row};
use super::table::{Table, place};
use crate::draft::{Field, Written};
use crate::exercise::{self, Exercise, GivenId, GivenKind, StepId};
use crate::formula::TableId;
use crate::length::{Ruler, Unit};
use crate::text::Place;
use typed_index_collections::TiVec;

/// The columns of a table by what an exercise has.
pub(in crate::check) struct Layout {
    /// For each given its column; none for a table.
    singles: TiVec<GivenId, Option<usize>>,
    /// For each table of givens its rows.
    tables: Vec<Vec<Lane>>,
    /// For each step which table its rows are those of, and its columns.
    steps: TiVec<StepId, (Option<TableId>, Vec<Option<usize>>)>,
    /// Columns that this exercise does not have, and another may.
    foreign: Vec<usize>,
}

/// The columns of one row of a table of givens.
struct Lane {
    name: Option<usize>,
    cells: Vec<Option<usize>>,
}

impl Layout {
    pub fn new(table: &Table, exercise: &Exercise) -> Layout {
        let rows = 0..table.columns.iter().map(Column::rows).max().unwrap_or(1);
        let at = |column: Column| table.column(&column);
        let tables = exercise.givens.iter().filter_map(|given| {
            let GivenKind::Table { columns, .. } = &given.kind else { return None };
            let cell = |row: usize, name: &str| at(Column::Cell(given.name.clone(), row, name.to_owned()));
            let lane = |row: usize| Lane {
                name: cell(row, "name"),
                cells: columns.iter().map(|column| cell(row, &column.name)).collect(),
            };
            Some(rows.clone().map(lane).collect())
        });
        let steps = exercise.steps.iter().map(|step| {
            let column = |row: usize| at(Column::Answer(step.name.clone(), row));
            (step.kind.list, rows.clone().map(column).collect())
        });
        Layout {
            singles: exercise.givens.iter().map(|given| at(Column::Given(given.name.clone()))).collect(),
            tables: tables.collect(),
            steps: steps.collect(),
            foreign: table.foreign(exercise),
        }
    }

    /// Which rows of each table of givens a row of the table fills in, and how many; made anew without allocating.
    pub fn fill(&self, row: Row, filled: &mut Filled) {
        filled.rows.resize_with(self.tables.len(), Vec::new);
        filled.counts.clear();
        for (lanes, filled_rows) in self.tables.iter().zip(&mut filled.rows) {
            filled_rows.clear();
            filled_rows.extend(lanes.iter().enumerate().filter(|(_, lane)| lane.is_filled(row)).map(|(at, _)| at));
            filled.counts.push(filled_rows.len());
        }
    }

    /// Whether a row says something that the exercise has no place for, or answers what is not given: that is told of
    /// its answer sheet.
    pub fn is_odd(&self, row: Row, filled: &Filled) -> bool {
        let has = |column: &Option<usize>| row.fields.filled(*column).is_some();
        // Only the rows of a list may be empty.
        let has_stray = |(table, columns): &(Option<TableId>, Vec<Option<usize>>)| {
            let Some(table) = table else { return false };
            columns.iter().enumerate().any(|(lane, column)| has(column) && !filled.rows[table.0].contains(&lane))
        };
        if table_is_odd(row) {
            return true;
        }
        self.foreign.iter().any(|&column| has(&Some(column))) || self.steps.iter().any(has_stray)
    }
}

/// Whether something is to be said of a row, or of its numbers, that only its answer sheet says.
fn table_is_odd(row: Row) -> bool {
    row.table.commas.are_settled() || row.table.lacks(row.fields).is_some()
}

impl Lane {
    fn is_filled(&self, row: Row) -> bool {
        self.cells.iter().chain([&self.name]).any(|column| row.fields.filled(*column).is_some())
    }
}

/// Which rows of each table of givens are filled in.
#[derive(Default)]
pub(in crate::check) struct Filled {
    rows: Vec<Vec<usize>>,
    counts: Vec<usize>,
}

/// A row of a table, read in place.
pub(in crate::check) struct InPlace<'t> {
    pub layout: &'t Layout,
    pub filled: &'t Filled,
    pub head: &'t Head<'t>,
    pub row: Row<'t>,
}

impl<'t> InPlace<'t> {
    fn field(&self, column: Option<usize>) -> Option<Field<'t>> {
        let text = self.row.fields.filled(column)?;
        Some(Field { text, place: Some(place(self.row.number, column)) })
    }

    fn lane(&self, table: TableId, row: usize) -> &'t Lane {
        &self.layout.tables[table.0][self.filled.rows[table.0][row]]
    }
}

impl Written for InPlace<'_> {
    fn place(&self) -> Option<Place> {
        Some(self.row.place())
    }

    fn single(&self, given: GivenId) -> Option<Field<'_>> {
        self.field(self.layout.singles[given])
    }

    fn rows(&self) -> &[usize] {
        &self.filled.counts
    }

    fn name(&self, table: TableId, row: usize) -> Field<'_> {
        let lane = self.lane(table, row);
        let columns = lane.cells.iter().chain([&lane.name]);
        // Where it begins is where its first field is.
        let first = columns.filter(|column| self.field(**column).is_some()).flatten().min().copied();
        let text = self.field(lane.name).map_or("", |field| field.text);
        Field { text, place: first.map(|first| place(self.row.number, Some(first))) }
    }

    fn cell(&self, table: TableId, row: usize, at: usize, _: &exercise::Column) -> Option<Field<'_>> {
        self.field(self.lane(table, row).cells[at])
    }
}

impl HandedIn for InPlace<'_> {
    type Givens = Self;

    fn givens(&self) -> &Self {
        self
    }

    fn unit(&self) -> Option<Unit> {
        self.head.unit
    }

    fn ruler(&self) -> Option<Ruler> {
        self.head.ruler
    }

    fn is_set_by_code(&self) -> bool {
        false
    }

    fn answer(&self, step: StepId, row: usize) -> Option<Field<'_>> {
        let (table, columns) = &self.layout.steps[step];
        let lane = table.map_or(0, |table| self.filled.rows[table.0][row]);
        self.field(*columns.get(lane)?)
    }
}
