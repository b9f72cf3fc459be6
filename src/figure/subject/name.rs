//! What something drawn is called, and where it is to be pointed at.

use crate::figure::drawing::TextRole;
use crate::geometry::Point;

/// What a name points at, in units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Target {
    /// Nothing: a heading over the others.
    Nothing,
    /// The end of a level line at the drawing's right border.
    End(Point),
    /// A point inside.
    Inside { at: Point, has_dot: bool },
    /// Any height between two, on something upright; with a dot, if it is not at the border.
    Upright { x: f64, top: f64, bottom: f64, has_dot: bool },
}

/// A name to be placed.
#[derive(Debug, Clone)]
pub(crate) struct Name {
    pub text: String,
    pub target: Target,
    /// A heading, a name, or one of the present step; the last come first where there is not room for all.
    pub role: TextRole,
}
