//! Where the values of measures come from.

use super::kind::TableId;
use crate::length::Ruler;

/// Where a measure's value lies in the values a formula is evaluated with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Slot(pub usize);

/// The values a formula is evaluated with. Lengths are nanometres, areas square nanometres,
/// truths 0 or 1, words the number that [`Names::word`](super::Names::word) gave.
pub trait Values {
    /// The value in a slot, if it is known; for a list, the value in one row of its table.
    fn value(&self, slot: Slot, row: usize) -> Option<f64>;
    /// How many rows a table has.
    fn rows(&self, table: TableId) -> usize;
    /// The tick of the ruler in use, in nanometres: what `round_up(x)` rounds to.
    fn tick(&self) -> f64;
}

/// No values at all, and a ruler of sixteenths of an inch: for formulas made of literals only.
#[derive(Debug, Clone, Copy)]
pub struct NoValues;

impl Values for NoValues {
    fn value(&self, _: Slot, _: usize) -> Option<f64> {
        None
    }
    fn rows(&self, _: TableId) -> usize {
        0
    }
    fn tick(&self) -> f64 {
        Ruler::SIXTEENTH.tick().as_nm_f64()
    }
}
