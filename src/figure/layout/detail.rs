//! A detail: what lies in a small circle of a drawing, shown once more in a large one below it.

use super::{inside, page};
use crate::figure::drawing::{Anchor, Drawing, Path, Role, Shape, Text, TextRole};
use crate::figure::{letters, style};
use crate::geometry::Point;
use std::f64::consts::PI;

/// A circle stands for so many straight lines.
const CHORDS: u32 = 48;

/// How deep a notch is drawn in a detail.
const NOTCH: f64 = 11.0;

/// A circle as straight lines; its first point comes again last.
pub(crate) fn circle(at: Point, reach: f64) -> Vec<Point> {
    let point = |part: u32| {
        let (sine, cosine) = libm::sincos(2.0 * PI * f64::from(part % CHORDS) / f64::from(CHORDS));
        Point::new(at.x + reach * cosine, at.y + reach * sine)
    };
    (0..=CHORDS).map(point).collect()
}

/// How many times as large a detail can be shown that reaches so far, in units; nothing, if that is not even twice.
pub(crate) fn times(reach: f64) -> Option<f64> {
    let times = (style::DETAIL / reach).floor();
    (times >= 2.0 && times.is_finite()).then_some(times)
}

/// Adds the circle around this place below everything else, so many times as large, with what is to be seen in it.
pub(crate) fn enlarge(drawing: &mut Drawing, at: Point, reach: f64, times: f64, says: &str) {
    let space = page::space(drawing);
    let large = reach * times;
    let (left, right) = (space.left.max(style::MARGIN), space.right.min(style::WIDTH - style::MARGIN));
    let middle = Point::new(right.max(left + 2.0 * large) - large, space.bottom + style::LANE + large);
    let moved = |point: Point| Point::new(middle.x + (point.x - at.x) * times, middle.y + (point.y - at.y) * times);
    let ring = circle(middle, large);
    let mut paths = Vec::new();
    for path in drawing.paths() {
        match path.role {
            Role::Notch => {
                // A sign, which grows with the rest only as far as it stays in the allowance.
                let corners: Vec<Point> = inside::lines_of(path).into_iter().map(|(from, _)| from).collect();
                let [one, tip, other] = corners[..] else { continue };
                let foot = one.towards(other, 0.5);
                let part = times.min(NOTCH / foot.distance(tip).max(1e-9));
                let placed = moved(foot);
                let corner =
                    |at: Point| Point::new(placed.x + (at.x - foot.x) * part, placed.y + (at.y - foot.y) * part);
                if [one, tip, other].iter().all(|at| corner(*at).distance(middle) < large) {
                    paths.push(Path {
                        standing: path.standing,
                        ..Path::closed(path.role, &corners.iter().map(|at| corner(*at)).collect::<Vec<_>>())
                    });
                }
            }
            Role::Cloth(_) | Role::Allowance => {
                let Shape::Runs(shape) = &path.shape else { continue };
                for run in inside::corners(shape) {
                    let corners: Vec<Point> = run.iter().map(|point| moved(Point::new(point.x, point.y))).collect();
                    let within = clipped(&corners, &ring);
                    if within.len() > 2 {
                        paths.push(Path { standing: path.standing, ..Path::closed(path.role, &within) });
                    }
                }
            }
            Role::Line(_) | Role::Spot => {
                let lines = inside::lines_of(path).into_iter().map(|(from, to)| (moved(from), moved(to)));
                let runs = joined(lines.filter_map(|line| within(line, middle, large)));
                paths.push(Path { standing: path.standing, ..Path::runs(path.role, runs) });
            }
            // Neither dimensions nor what is written about it.
            Role::Objects
            | Role::Grain
            | Role::GrainHead
            | Role::FoldBracket
            | Role::FoldHead
            | Role::Layer
            | Role::RightSide
            | Role::Break
            | Role::Dimension
            | Role::WrongDimension
            | Role::WrongHead
            | Role::DimensionHead
            | Role::Extension
            | Role::Leader
            | Role::LeaderDot
            | Role::Ring
            | Role::Bar
            | Role::BarHalf
            | Role::Ruler
            | Role::UnitTick
            | Role::Tick
            | Role::Pointer
            | Role::PointerHead
            | Role::ScaleLine
            | Role::Allowed
            | Role::Within
            | Role::Beyond
            | Role::OffScale => {}
        }
    }
    paths.push(Path::run(Role::Ring, &ring));
    paths.into_iter().for_each(|path| drawing.add(path));
    let room = middle.x - large - style::CLEAR - left;
    let (heading, notes) =
        (letters::wrap(&format!("{times} times as large"), room, true), letters::wrap(says, room, false));
    let top = middle.y - (heading.len() + notes.len()) as f64 * style::LEADING / 2.0;
    let below = top + heading.len().saturating_sub(1) as f64 * style::LEADING + 2.0 * style::HALF_LINE;
    for (role, lines, y) in [(TextRole::Heading, heading, top), (TextRole::Note, notes, below)] {
        drawing.write(Text::level(role, lines, Point::new(left, y), Anchor::Start));
    }
}

/// Lines that run on from one another as one run each, so that their dashes run on.
fn joined(lines: impl Iterator<Item = (Point, Point)>) -> Vec<Vec<Point>> {
    let mut runs: Vec<Vec<Point>> = Vec::new();
    for (from, to) in lines {
        match runs.last_mut() {
            Some(run) if run.last().is_some_and(|last| last.distance(from) < 1e-6) => run.push(to),
            _ => runs.push(vec![from, to]),
        }
    }
    runs
}

/// The part of a line that lies in a circle.
fn within((from, to): (Point, Point), middle: Point, reach: f64) -> Option<(Point, Point)> {
    let (x, y, u, v) = (from.x - middle.x, from.y - middle.y, to.x - from.x, to.y - from.y);
    let (a, b, c) = (u * u + v * v, x * u + y * v, x * x + y * y - reach * reach);
    let root = (b * b - a * c).max(0.0).sqrt();
    let (start, end) = (((-b - root) / a).max(0.0), ((-b + root) / a).min(1.0));
    (a > 0.0 && b * b > a * c && start < end).then(|| (from.towards(to, start), from.towards(to, end)))
}

/// What of an outline lies within a convex one, by Sutherland and Hodgman: cut along one side after the other.
fn clipped(corners: &[Point], ring: &[Point]) -> Vec<Point> {
    let mut left = corners.to_vec();
    for side in ring.windows(2) {
        let (a, b) = (side[0], side[1]);
        let beyond = |p: Point| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
        let mut kept = Vec::with_capacity(left.len() + 4);
        for (from, to) in left.iter().zip(left.iter().cycle().skip(1)) {
            let (one, other) = (beyond(*from), beyond(*to));
            if one >= 0.0 {
                kept.push(*from);
            }
            if (one < 0.0) != (other < 0.0) {
                kept.push(from.towards(*to, one / (one - other)));
            }
        }
        left = kept;
    }
    left
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A circle of 5 around zero, worked by hand: a level line at 3 lies in it from −4 to 4; a square from zero to the upper
    /// right keeps a quarter of it, of about 25 π / 4.
    #[test]
    fn what_lies_in_a_circle_is_kept() {
        let at = Point::new;
        let (from, to) = within((at(-9.0, 3.0), at(9.0, 3.0)), at(0.0, 0.0), 5.0).unwrap();
        assert!(from.distance(at(-4.0, 3.0)) < 1e-9 && to.distance(at(4.0, 3.0)) < 1e-9);
        assert_eq!(within((at(-9.0, 6.0), at(9.0, 6.0)), at(0.0, 0.0), 5.0), None);
        assert_eq!(within((at(6.0, 0.0), at(9.0, 0.0)), at(0.0, 0.0), 5.0), None);
        let quarter = clipped(&[at(0.0, 0.0), at(9.0, 0.0), at(9.0, 9.0), at(0.0, 9.0)], &circle(at(0.0, 0.0), 5.0));
        let twice: f64 = quarter.iter().zip(quarter.iter().cycle().skip(1)).map(|(a, b)| a.x * b.y - b.x * a.y).sum();
        assert!((twice / 2.0 - 25.0 * PI / 4.0).abs() < 0.1, "{quarter:?}");
        assert_eq!((times(20.0), times(40.0)), (Some(3.0), None));
    }
}
