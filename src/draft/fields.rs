//! Givens as they were written, asked for by what the exercise has: so an answer file and a row of a table are read alike.

use crate::exercise::{Column, GivenId};
use crate::formula::TableId;
use crate::text::Place;

/// A text as it was written, and its place where there is one.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Field<'t> {
    /// The text.
    pub text: &'t str,
    /// Where it stands.
    pub place: Option<Place>,
}

impl<'t> Field<'t> {
    /// The same, if there is more in it than white space: a blank that nobody filled in is none.
    pub fn filled(self) -> Option<Field<'t>> {
        Some(self).filter(|field| !field.text.trim().is_empty())
    }
}

/// Givens as they were written.
pub(crate) trait Written {
    /// Where they begin, for what is missing.
    fn place(&self) -> Option<Place>;
    /// A single given, if it is filled in.
    fn single(&self, given: GivenId) -> Option<Field<'_>>;
    /// How many rows of each table are filled in.
    fn rows(&self) -> &[usize];
    /// What a row that is filled in is called, which may be nothing, and its place.
    fn name(&self, table: TableId, row: usize) -> Field<'_>;
    /// A cell of such a row, if it is filled in; `at` is the column's place in the table.
    fn cell(&self, table: TableId, row: usize, at: usize, column: &Column) -> Option<Field<'_>>;
}
