//! Where the real thing lies in a drawing, and at which scale.

use super::area::Area;
use crate::geometry::{Bounds, Point};
use kurbo::Affine;

/// From millimetres, `y` up, to units, `y` down: one scale for both directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    scale: f64,
    bounds: Bounds,
    left: f64,
    /// Where the highest point lies.
    top: f64,
}

impl Frame {
    /// At a scale of so many units to the millimetre, with the left border and the highest point of `bounds` there.
    pub(crate) fn new(bounds: Bounds, scale: f64, left: f64, top: f64) -> Frame {
        Frame { scale, bounds, left, top }
    }

    /// With the zero of the real thing at the drawing's.
    pub(crate) fn at_scale(bounds: Bounds, scale: f64) -> Frame {
        Frame::new(bounds, scale, bounds.least.x * scale, -bounds.most.y * scale)
    }

    /// The same elsewhere on the sheet.
    pub(crate) fn moved(self, across: f64, down: f64) -> Frame {
        Frame { left: self.left + across, top: self.top + down, ..self }
    }

    pub(crate) fn at(&self, point: Point) -> Point {
        let x = self.left + (point.x - self.bounds.least.x) * self.scale;
        Point::new(x, self.top + (self.bounds.most.y - point.y) * self.scale)
    }

    /// A length in units.
    pub(crate) fn length(&self, mm: f64) -> f64 {
        mm * self.scale
    }

    /// How wide or how high the thing is, whichever is less, in units.
    pub(crate) fn extent(&self) -> f64 {
        self.length(self.bounds.width().min(self.bounds.height()))
    }

    /// The space of the thing itself.
    pub(crate) fn area(&self) -> Area {
        Area::corners(self.at(self.bounds.least), self.at(self.bounds.most))
    }

    /// Millimetres of the real thing in one unit of the drawing.
    pub fn millimetres(&self) -> f64 {
        1.0 / self.scale
    }

    /// From units to the millimetres of the real thing, `y` up, as a drafter measures them.
    pub fn to_millimetres(&self) -> Affine {
        let one = self.millimetres();
        let Bounds { least, most } = self.bounds;
        Affine::new([one, 0.0, 0.0, -one, least.x - self.left * one, most.y + self.top * one])
    }
}
