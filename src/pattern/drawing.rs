//! Strokes and texts in millimetres, and what each is.

use super::font::Letters;
use crate::geometry::{Bounds, Point};

/// What a stroke is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ink {
    /// The cutting line.
    Cut,
    /// A line that is cut within a piece.
    CutOut,
    /// A stitching line.
    Stitch,
    /// A row of basting.
    Baste,
    /// A line that cloth is folded along.
    Fold,
    /// The edge that lies on the fold of the cloth.
    Mirror,
    /// Any other line that is drawn on the cloth.
    Drawn,
    /// A line that helps to draw others.
    Guide,
    /// The wedge of a notch.
    Notch,
    /// The grain line.
    Grain,
    /// The cross on a spot.
    Spot,
    /// An arrowhead or a bracket.
    Sign,
    /// What belongs to the sheet, and not to a piece.
    Sheet,
    /// Filled, without a line.
    Filled,
    /// Where a line may lie, this many micrometres wide.
    Band(u32),
}

/// How a stroke looks.
pub(super) struct Look {
    /// In millimetres.
    pub width: f64,
    /// Dashes and gaps, in millimetres.
    pub dashes: &'static [f64],
    /// 0 is black, 1 is white.
    pub grey: f64,
    pub is_filled: bool,
}

impl Ink {
    /// Whether it is a line that a drafter draws by measure.
    pub(super) fn is_drafted(self) -> bool {
        match self {
            Ink::Cut | Ink::CutOut | Ink::Stitch | Ink::Baste | Ink::Fold | Ink::Mirror | Ink::Drawn => true,
            Ink::Guide | Ink::Notch | Ink::Grain | Ink::Spot | Ink::Sign | Ink::Sheet | Ink::Filled | Ink::Band(_) => {
                false
            }
        }
    }

    /// How it looks. Widths are those of ISO 128.
    pub(super) fn look(self) -> Look {
        let line = |width: f64, dashes: &'static [f64]| Look { width, dashes, grey: 0.0, is_filled: false };
        match self {
            Ink::Cut | Ink::CutOut => line(0.5, &[]),
            Ink::Stitch => line(0.25, &[3.0, 2.0]),
            Ink::Baste => line(0.25, &[0.8, 1.6]),
            Ink::Fold | Ink::Mirror => line(0.25, &[9.0, 2.0, 2.0, 2.0]),
            Ink::Drawn | Ink::Notch | Ink::Grain | Ink::Spot | Ink::Sign => line(0.25, &[]),
            Ink::Guide | Ink::Sheet => line(0.18, &[]),
            Ink::Filled => Look { is_filled: true, ..line(0.0, &[]) },
            Ink::Band(wide) => Look { grey: 0.82, ..line(f64::from(wide) / 1000.0, &[]) },
        }
    }
}

/// A line through points.
#[derive(Debug, Clone)]
pub(super) struct Stroke {
    pub ink: Ink,
    pub points: Vec<Point>,
    pub is_closed: bool,
}

impl Stroke {
    /// Whether one of its straight stretches covers a line, to a micrometre.
    pub(super) fn covers(&self, from: Point, to: Point) -> bool {
        let last = self.points.last().zip(self.points.first()).filter(|_| self.is_closed).map(|(a, b)| (*a, *b));
        let sides = self.points.windows(2).map(|pair| (pair[0], pair[1])).chain(last);
        let lies = |(a, b): (Point, Point), at: Point| a.distance(at) + at.distance(b) - a.distance(b) < 1e-3;
        sides.into_iter().any(|side| lies(side, from) && lies(side, to))
    }
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

impl Writing {
    /// Turned by half a turn, in the same box.
    fn stand_up(&mut self) {
        let bounds = self.bounds();
        self.quarters = 0;
        self.at = Point::new(bounds.least.x, bounds.least.y + self.size * 0.25);
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

    /// A text, in a typeface's width.
    pub(super) fn write(&mut self, letters: &Letters, text: &str, at: Point, size: f64, quarters: u8) {
        let width = letters.width(text, size);
        self.writings.push(Writing { text: text.to_owned(), at, size, quarters, width });
    }

    /// Every point elsewhere; no text stands on its head.
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
            if writing.quarters == 2 {
                writing.stand_up();
            }
        }
        moved
    }
}

/// Whether two boxes have more than a border in common.
pub(super) fn meet(one: &Bounds, other: &Bounds) -> bool {
    one.least.x < other.most.x && other.least.x < one.most.x && one.least.y < other.most.y && other.least.y < one.most.y
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
