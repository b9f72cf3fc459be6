//! Paths in a drawing.

use super::area::Area;
use super::frame::Frame;
use super::role::{Role, Standing};
use crate::geometry::{Curve, Point};
use kurbo::{BezPath, RoundedRect, SvgArc, Vec2};

/// One stroke or more, or what they enclose, in units.
#[derive(Debug, Clone)]
pub struct Path {
    /// What it is.
    pub role: Role,
    /// How it stands among the rest.
    pub standing: Standing,
    /// Where it runs.
    pub shape: Shape,
    /// The space of its shape, without the weight of the line.
    pub(crate) space: Area,
}

/// Where a path runs.
#[derive(Debug, Clone)]
pub enum Shape {
    /// Runs of lines and curves, open or closed.
    Runs(BezPath),
    /// A part of a circle.
    Arc {
        /// Arcs of a third of the circle at most, one after another.
        arcs: Vec<SvgArc>,
        /// Whether it is a whole circle.
        is_closed: bool,
    },
    /// Upright rectangles with round corners.
    Rounded(Vec<RoundedRect>),
}

impl Path {
    /// Runs of straight lines. One that comes back to its start is closed; one that is no line is left out.
    pub(crate) fn runs<R: AsRef<[Point]>>(role: Role, runs: impl IntoIterator<Item = R>) -> Path {
        let mut path = BezPath::new();
        for run in runs {
            match run.as_ref() {
                [first, rest @ ..] if rest.len() > 2 && rest.last() == Some(first) => trace(&mut path, rest, true),
                [_, _, ..] => trace(&mut path, run.as_ref(), false),
                [] | [_] => {}
            }
        }
        Path::along(role, path)
    }

    /// A run of straight lines.
    pub(crate) fn run(role: Role, points: &[Point]) -> Path {
        Path::runs(role, [points])
    }

    /// A closed outline with these corners.
    pub(crate) fn closed(role: Role, corners: &[Point]) -> Path {
        let mut path = BezPath::new();
        trace(&mut path, corners, true);
        Path::along(role, path)
    }

    /// A line, less what lies within a text.
    pub(crate) fn past(role: Role, from: Point, to: Point, texts: &[Area]) -> Path {
        let mut inside: Vec<(f64, f64)> =
            texts.iter().filter_map(|area| area.grown(1.0).part_inside(from, to)).collect();
        inside.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut path = BezPath::new();
        let mut start = 0.0;
        for (enter, leave) in inside {
            if enter > start {
                trace(&mut path, &[from.towards(to, start), from.towards(to, enter)], false);
            }
            start = leave.max(start);
        }
        if start < 1.0 {
            trace(&mut path, &[from.towards(to, start), to], false);
        }
        Path::along(role, path)
    }

    /// A curve, given in millimetres.
    pub(crate) fn curve(role: Role, frame: &Frame, curve: &Curve) -> Path {
        let at = |t: f64| place(frame.at(curve.at(t)));
        let mut run = BezPath::new();
        run.move_to(at(0.0));
        match *curve {
            Curve::Line { .. } => run.line_to(at(1.0)),
            Curve::Cubic { leaving, reaching, .. } => {
                run.curve_to(place(frame.at(leaving)), place(frame.at(reaching)), at(1.0));
            }
            Curve::Arc { radius, sweep, .. } => {
                // Past half of a circle an end that is rounded when it is written might turn an arc over.
                let parts = libm::ceil(sweep.abs() / 2.1).max(1.0);
                let radius = frame.length(radius);
                let arc = |part: u32| SvgArc {
                    from: at(f64::from(part) / parts),
                    to: at(f64::from(part + 1) / parts),
                    radii: Vec2::new(radius, radius),
                    x_rotation: 0.0,
                    large_arc: false,
                    // With the clock on the page; left is against it.
                    sweep: sweep <= 0.0,
                };
                let arcs = (0..parts as u32).map(arc).collect();
                let is_closed = sweep.abs() > 2.0 * std::f64::consts::PI - 1e-9;
                let bounds = curve.bounds();
                let space = Area::corners(frame.at(bounds.least), frame.at(bounds.most));
                return Path { role, standing: Standing::Even, shape: Shape::Arc { arcs, is_closed }, space };
            }
        }
        Path::along(role, run)
    }

    /// Upright rectangles with round corners.
    pub(crate) fn rounded(role: Role, areas: &[Area], radius: f64) -> Path {
        let rounded = |area: &Area| RoundedRect::new(area.left, area.top, area.right, area.bottom, radius);
        let shape = Shape::Rounded(areas.iter().map(rounded).collect());
        Path { role, standing: Standing::Even, shape, space: areas.iter().copied().fold(Area::EMPTY, Area::with) }
    }

    /// A dot.
    pub(crate) fn dot(role: Role, at: Point, half: f64) -> Path {
        Path::rounded(role, &[Area::around(at, half)], half)
    }

    /// A cross, from the lower left and from the upper left.
    pub(crate) fn cross(role: Role, at: Point, half: f64) -> Path {
        let stroke = |down: f64| [Point::new(at.x - half, at.y - down), Point::new(at.x + half, at.y + down)];
        Path::runs(role, [stroke(half), stroke(-half)])
    }

    /// An arrowhead with its tip at `tip`, pointing away from `from`; nothing, if these are the same.
    pub(crate) fn arrowhead(role: Role, tip: Point, from: Point, length: f64, half: f64) -> Path {
        let distance = tip.distance(from);
        if distance == 0.0 {
            return Path::along(role, BezPath::new());
        }
        let (x, y) = ((tip.x - from.x) / distance, (tip.y - from.y) / distance);
        let foot = Point::new(tip.x - x * length, tip.y - y * length);
        let wing = |side: f64| Point::new(foot.x - y * half * side, foot.y + x * half * side);
        Path::closed(role, &[tip, wing(1.0), wing(-1.0)])
    }

    /// The same as it stands among the rest.
    pub(crate) fn standing(self, standing: Standing) -> Path {
        Path { standing, ..self }
    }

    fn along(role: Role, runs: BezPath) -> Path {
        let space = if runs.is_empty() { Area::EMPTY } else { runs.control_box().into() };
        Path { role, standing: Standing::Even, shape: Shape::Runs(runs), space }
    }
}

fn place(point: Point) -> kurbo::Point {
    kurbo::Point::new(point.x, point.y)
}

fn trace(path: &mut BezPath, points: &[Point], is_closed: bool) {
    for (index, point) in points.iter().enumerate() {
        match index {
            0 => path.move_to(place(*point)),
            _ => path.line_to(place(*point)),
        }
    }
    if is_closed {
        path.close_path();
    }
}
