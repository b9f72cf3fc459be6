//! Where the drawing stands on its sheet: the scale, and the room around it.

use crate::figure::drawing::area::Area;
use crate::figure::style;
use crate::geometry::{Bounds, Point};

/// The room left free on each side of the drawing, in units.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Rooms {
    pub left: f64,
    pub right: f64,
    /// The column of names, right of everything.
    pub column: f64,
}

/// From millimetres, `y` up, to units, `y` down: one scale for both directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    scale: f64,
    bounds: Bounds,
    left: f64,
    /// Where the drawing's highest point lies.
    top: f64,
}

impl Frame {
    /// At a scale of so many units to the millimetre, with the drawing's own zero at the sheet's.
    pub(crate) fn at_scale(bounds: Bounds, scale: f64) -> Frame {
        Frame { scale, bounds, left: bounds.least.x * scale, top: -bounds.most.y * scale }
    }

    /// The same elsewhere on the sheet.
    pub(crate) fn moved(self, across: f64, down: f64) -> Frame {
        Frame { left: self.left + across, top: self.top + down, ..self }
    }

    /// The drawing as large as the room allows, in the middle of the sheet.
    pub(crate) fn fit(bounds: Bounds, rooms: Rooms) -> Frame {
        let beside = rooms.left + rooms.right + rooms.column;
        let free = style::WIDTH - 2.0 * style::MARGIN - beside;
        let across = free.max(style::NARROWEST) / bounds.width();
        let up = style::TALLEST / bounds.height();
        // What has no extent at all is a spot, and any scale will do.
        let scale = if across < up { across } else { up };
        let scale = if scale.is_finite() && scale > 0.0 { scale } else { 1.0 };
        let spare = (free - bounds.width() * scale).max(0.0);
        Frame { scale, bounds, left: style::MARGIN + rooms.left + spare / 2.0, top: 0.0 }
    }

    pub(crate) fn at(&self, point: Point) -> Point {
        let x = self.left + (point.x - self.bounds.least.x) * self.scale;
        Point::new(x, self.top + (self.bounds.most.y - point.y) * self.scale)
    }

    /// A length in units.
    pub(crate) fn length(&self, mm: f64) -> f64 {
        mm * self.scale
    }

    /// How heavy lines are drawn, as a part of their usual weight: finer, where the drawing is small.
    pub(crate) fn fineness(&self) -> f64 {
        let least = self.length(self.bounds.width().min(self.bounds.height()));
        let (small, finest) = style::SMALL;
        // A single line is as heavy as ever.
        if least < 1.0 { 1.0 } else { (least / small).max(finest).min(1.0) }
    }

    /// The space of the drawing itself.
    pub(crate) fn area(&self) -> Area {
        let (low, high) = (self.at(self.bounds.least), self.at(self.bounds.most));
        Area { left: low.x, top: high.y, right: high.x, bottom: low.y }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bounds(x: f64, y: f64) -> Bounds {
        Bounds { least: Point::default(), most: Point::new(x, y) }
    }

    #[test]
    fn one_scale_for_both_directions() {
        for (x, y) in [(100.0, 50.0), (1.0, 5000.0), (5000.0, 1.0), (0.0, 3.0), (3.0, 0.0), (0.0, 0.0)] {
            let frame = Frame::fit(bounds(x, y), Rooms { left: 30.0, right: 10.0, column: 90.0 });
            let area = frame.area();
            let (across, up) = (area.right - area.left, area.bottom - area.top);
            assert!((across * y - up * x).abs() < 1e-6 * (1.0 + x) * (1.0 + y), "{x} × {y}: {area:?}");
            assert!(
                area.left >= 35.0 - 1e-9 && area.right <= 235.0 + 1e-9 && up <= 420.0 + 1e-9,
                "{x} × {y}: {area:?}"
            );
        }
    }
}
