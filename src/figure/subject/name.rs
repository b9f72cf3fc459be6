//! What something drawn is called, and where it is to be pointed at.

use crate::figure::drawing::{Area, TextRole};
use crate::geometry::Point;

/// From a point to another.
type Line = (Point, Point);

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

/// Where a name may stand without a leader, in units.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Nearby {
    Nowhere,
    /// Along one of these lines, if it is level.
    Along(Vec<Line>),
    /// In one of these objects.
    In(Vec<Area>),
    /// On a point, or beside what reaches so far around it.
    At {
        point: Point,
        reach: f64,
    },
}

/// A name to be placed.
#[derive(Debug, Clone)]
pub(crate) struct Name {
    pub text: String,
    pub target: Target,
    /// A heading, a name, or one of the present step; the last come first where there is not room for all.
    pub role: TextRole,
    pub nearby: Nearby,
    /// Where else on it a leader may begin, with a dot.
    pub points: Vec<Point>,
    /// Whether a later figure of a series has it; here its place is kept.
    pub is_to_come: bool,
}
