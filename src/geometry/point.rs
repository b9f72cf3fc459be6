//! Points, and the box around some.

/// A point of the cloth, in millimetres: across, and up.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// Across, to the right.
    pub x: f64,
    /// Up, from the base.
    pub y: f64,
}

impl Point {
    /// A point.
    pub const fn new(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    /// The distance to another point, in millimetres.
    pub fn distance(self, other: Point) -> f64 {
        let (dx, dy) = (other.x - self.x, other.y - self.y);
        (dx * dx + dy * dy).sqrt()
    }

    /// The point `part` of the way to another: 0 is here, 1 is there.
    pub fn towards(self, other: Point, part: f64) -> Point {
        Point { x: self.x + (other.x - self.x) * part, y: self.y + (other.y - self.y) * part }
    }
}

/// The smallest upright rectangle around some points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Lower left corner.
    pub least: Point,
    /// Upper right corner.
    pub most: Point,
}

impl Bounds {
    /// Around the points; `None` if there are none.
    ///
    /// ```
    /// use foldmark::geometry::{Bounds, Point};
    /// let bounds = Bounds::around([Point::new(0.0, 5.0), Point::new(2.0, 1.0)]).unwrap();
    /// assert_eq!((bounds.width(), bounds.height()), (2.0, 4.0));
    /// ```
    pub fn around(points: impl IntoIterator<Item = Point>) -> Option<Bounds> {
        points.into_iter().map(|point| Bounds { least: point, most: point }).reduce(Bounds::with)
    }

    /// Around both.
    #[must_use]
    pub fn with(self, other: Bounds) -> Bounds {
        Bounds {
            least: Point::new(self.least.x.min(other.least.x), self.least.y.min(other.least.y)),
            most: Point::new(self.most.x.max(other.most.x), self.most.y.max(other.most.y)),
        }
    }

    /// Across, in millimetres.
    pub fn width(self) -> f64 {
        self.most.x - self.least.x
    }

    /// Up, in millimetres.
    pub fn height(self) -> f64 {
        self.most.y - self.least.y
    }
}
