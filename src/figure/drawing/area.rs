//! Upright rectangles, and what of a line lies in one.

use crate::geometry::Point;

/// An upright rectangle, in units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Area {
    /// Around nothing.
    pub(crate) const EMPTY: Area =
        Area { left: f64::INFINITY, top: f64::INFINITY, right: f64::NEG_INFINITY, bottom: f64::NEG_INFINITY };

    /// Between two opposite corners.
    pub(crate) fn corners(one: Point, other: Point) -> Area {
        Area::around(one, 0.0).with(Area::around(other, 0.0))
    }

    pub(crate) fn width(self) -> f64 {
        self.right - self.left
    }

    pub(crate) fn height(self) -> f64 {
        self.bottom - self.top
    }

    pub(crate) fn with(self, other: Area) -> Area {
        Area {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    pub(crate) fn around(point: Point, by: f64) -> Area {
        Area { left: point.x - by, top: point.y - by, right: point.x + by, bottom: point.y + by }
    }

    pub(crate) fn grown(self, by: f64) -> Area {
        Area { left: self.left - by, top: self.top - by, right: self.right + by, bottom: self.bottom + by }
    }

    pub(crate) fn meets(self, other: Area) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    /// The part of a line inside, as parts of its length.
    pub(crate) fn part_inside(self, from: Point, to: Point) -> Option<(f64, f64)> {
        let (mut start, mut end) = (0.0_f64, 1.0_f64);
        let sides = [(from.x, to.x - from.x, self.left, self.right), (from.y, to.y - from.y, self.top, self.bottom)];
        for (at, along, low, high) in sides {
            if along == 0.0 {
                if at <= low || at >= high {
                    return None;
                }
                continue;
            }
            let (one, other) = ((low - at) / along, (high - at) / along);
            start = start.max(one.min(other));
            end = end.min(one.max(other));
        }
        (start < end).then_some((start, end))
    }
}

impl Default for Area {
    fn default() -> Area {
        Area::EMPTY
    }
}

impl From<kurbo::Rect> for Area {
    fn from(rect: kurbo::Rect) -> Area {
        Area { left: rect.x0, top: rect.y0, right: rect.x1, bottom: rect.y1 }
    }
}
