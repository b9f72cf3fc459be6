//! Strokes and texts in millimetres, and what each is.

use crate::geometry::{Bounds, Point};

/// What a stroke is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ink {
    Cut,
    Stitch,
    Fold,
    Thin,
    Solid,
}

impl Ink {
    /// Width in millimetres, and dashes. Widths are those of ISO 128.
    pub(super) fn look(self) -> (f32, &'static [f32]) {
        match self {
            Ink::Cut => (0.5, &[]),
            Ink::Stitch => (0.25, &[3.0, 2.0]),
            Ink::Fold => (0.25, &[9.0, 2.0, 2.0, 2.0]),
            Ink::Thin => (0.18, &[]),
            Ink::Solid => (0.25, &[]),
        }
    }
}

/// A line through points; a solid one is filled.
#[derive(Debug, Clone)]
pub(super) struct Stroke {
    pub ink: Ink,
    pub points: Vec<Point>,
    pub is_closed: bool,
}

/// A line of text: where it begins on its base line, how high, and how many quarter turns against the clock.
#[derive(Debug, Clone)]
pub(super) struct Writing {
    pub text: String,
    pub at: Point,
    pub size: f64,
    pub quarters: u8,
    /// How wide it is set.
    pub width: f64,
}

impl Writing {
    pub(super) fn bounds(&self) -> Bounds {
        let (below, above, along) = (self.size * 0.25, self.size * 0.8, self.width);
        let (least, most) = match self.quarters % 4 {
            0 => ((0.0, -below), (along, above)),
            1 => ((-above, 0.0), (below, along)),
            2 => ((-along, -above), (0.0, below)),
            _ => ((-below, -along), (above, 0.0)),
        };
        let at = |(x, y): (f64, f64)| Point::new(self.at.x + x, self.at.y + y);
        Bounds { least: at(least), most: at(most) }
    }
}

/// Something drawn.
#[derive(Debug, Clone, Default)]
pub(super) struct Drawing {
    pub strokes: Vec<Stroke>,
    pub writings: Vec<Writing>,
}

impl Drawing {
    pub(super) fn line(&mut self, ink: Ink, points: Vec<Point>) {
        self.strokes.push(Stroke { ink, points, is_closed: false });
    }

    pub(super) fn ring(&mut self, ink: Ink, points: Vec<Point>) {
        self.strokes.push(Stroke { ink, points, is_closed: true });
    }

    pub(super) fn bounds(&self) -> Option<Bounds> {
        let strokes = Bounds::around(self.strokes.iter().flat_map(|stroke| stroke.points.iter().copied()));
        self.writings.iter().map(Writing::bounds).chain(strokes).reduce(Bounds::with)
    }

    /// Every point elsewhere.
    pub(super) fn moved(&self, quarter: bool, by: Point) -> Drawing {
        let to = |at: Point| {
            let (x, y) = if quarter { (-at.y, at.x) } else { (at.x, at.y) };
            Point::new(x + by.x, y + by.y)
        };
        let mut moved = self.clone();
        for stroke in &mut moved.strokes {
            stroke.points.iter_mut().for_each(|point| *point = to(*point));
        }
        for writing in &mut moved.writings {
            writing.at = to(writing.at);
            writing.quarters += u8::from(quarter);
        }
        moved
    }
}

/// Whether a straight line passes through a box.
pub(super) fn crosses(area: &Bounds, from: Point, to: Point) -> bool {
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    let axes = [(from.x, to.x, area.least.x, area.most.x), (from.y, to.y, area.least.y, area.most.y)];
    for (a, b, least, most) in axes {
        let way = b - a;
        if way.abs() < 1e-9 {
            if a < least || a > most {
                return false;
            }
            continue;
        }
        let (one, other) = ((least - a) / way, (most - a) / way);
        low = low.max(one.min(other));
        high = high.min(one.max(other));
    }
    low <= high
}
