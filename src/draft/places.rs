//! Lengths and points of a drawing, in millimetres.

use super::fault::DrawFault;
use super::work::Draft;
use crate::exercise::Coordinates;
use crate::formula::Formula;
use crate::geometry::Point;
use crate::length::{Length, NM_PER_MM};

/// Farther away than any cloth reaches, in millimetres.
const FARTHEST: f64 = 1e6;

/// Why an entry of a figure is not drawn.
pub(super) enum Undrawn {
    /// A number that it needs is not known: a given that does not matter here, or a sum that can't be worked out.
    Unplaced,
    /// It can't be drawn as it is.
    Fault(DrawFault),
}

impl<F: Into<DrawFault>> From<F> for Undrawn {
    fn from(fault: F) -> Undrawn {
        Undrawn::Fault(fault.into())
    }
}

impl Draft<'_> {
    /// A length in millimetres.
    pub(super) fn mm(&self, formula: &Formula) -> Result<f64, Undrawn> {
        self.mm_in_row(formula, None)
    }

    pub(super) fn mm_in_row(&self, formula: &Formula, row: Option<usize>) -> Result<f64, Undrawn> {
        Ok(self.value(formula, row)? / NM_PER_MM)
    }

    pub(super) fn value(&self, formula: &Formula, row: Option<usize>) -> Result<f64, Undrawn> {
        formula.evaluate(&self.measures, row).ok_or(Undrawn::Unplaced)
    }

    pub(super) fn point(&self, corner: &Coordinates) -> Result<Point, Undrawn> {
        Ok(Point::new(self.mm(&corner.x)?, self.mm(&corner.y)?))
    }

    /// A distance in millimetres, as it is written.
    pub fn written(&self, mm: f64) -> String {
        self.write(Length::from_mm(mm).unwrap_or_default()).to_string()
    }

    /// A length in millimetres, if it can be worked out and is no longer than cloth can be.
    pub(super) fn near(&self, formula: &Formula) -> Option<f64> {
        self.mm(formula).ok().filter(|mm| is_near(*mm))
    }
}

pub(super) fn is_near(mm: f64) -> bool {
    mm.abs() < FARTHEST
}
