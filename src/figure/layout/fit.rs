//! How large a drawing becomes, and where it stands on its sheet.

use crate::figure::drawing::Frame;
use crate::figure::style;
use crate::geometry::Bounds;

/// The room left free on each side of the drawing, in units.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Rooms {
    pub left: f64,
    pub right: f64,
    /// The column of names, right of everything.
    pub column: f64,
}

/// As large as the room allows, in the middle of the sheet.
pub(crate) fn fit(bounds: Bounds, rooms: Rooms) -> Frame {
    let beside = rooms.left + rooms.right + rooms.column;
    let free = style::WIDTH - 2.0 * style::MARGIN - beside;
    let across = free.max(style::NARROWEST) / bounds.width();
    let up = style::TALLEST / bounds.height();
    // What has no extent at all is a spot, and any scale will do.
    let scale = if across < up { across } else { up };
    let scale = if scale.is_finite() && scale > 0.0 { scale } else { 1.0 };
    let spare = (free - bounds.width() * scale).max(0.0);
    Frame::new(bounds, scale, style::MARGIN + rooms.left + spare / 2.0, 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    fn bounds(x: f64, y: f64) -> Bounds {
        Bounds { least: Point::default(), most: Point::new(x, y) }
    }

    #[test]
    fn one_scale_for_both_directions() {
        for (x, y) in [(100.0, 50.0), (1.0, 5000.0), (5000.0, 1.0), (0.0, 3.0), (3.0, 0.0), (0.0, 0.0)] {
            let frame = fit(bounds(x, y), Rooms { left: 30.0, right: 10.0, column: 90.0 });
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
