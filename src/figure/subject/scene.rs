//! What sections and views are made of: strokes and names of their own, drawn from back to front.

use crate::exercise::Pen;
use crate::figure::drawing::{Drawing, Frame, Path, Role, TextRole, plain};
use crate::figure::style;
use crate::figure::subject::dimension::Dimension;
use crate::figure::subject::mark;
use crate::figure::subject::name::{Name, Nearby, Target};
use crate::geometry::{Bounds, Point};
use crate::html::keep_lengths;

/// From a point to another.
type Line = (Point, Point);

/// Strokes, arrowheads and names, in millimetres.
#[derive(Default)]
pub(crate) struct Scene {
    /// Cloth, each over what is before it.
    fills: Vec<(Role, Vec<Point>)>,
    strokes: Vec<(Role, Vec<Point>)>,
    heads: Vec<(Point, Point)>,
    names: Vec<(String, Point, bool, Vec<Line>)>,
    /// The dimensions that are told by a name.
    pub told: Vec<Dimension>,
}

impl Scene {
    /// A run of straight lines.
    pub(crate) fn stroke(&mut self, role: Role, points: Vec<Point>) {
        self.strokes.push((role, points));
    }

    /// A face of cloth or allowance, over all that is filled so far.
    pub(crate) fn fill(&mut self, role: Role, corners: Vec<Point>) {
        self.fills.push((role, corners));
    }

    /// An arrowhead with its tip at the first point, pointing away from the second.
    pub(crate) fn head(&mut self, tip: Point, from: Point) {
        self.heads.push((tip, from));
    }

    /// A name, if there is one, for what lies at a point.
    pub(crate) fn name(&mut self, label: Option<&str>, at: Point) {
        self.name_along(label, at, &[]);
    }

    /// A name, if there is one, for a run of lines of which this point is a part.
    pub(crate) fn name_along(&mut self, label: Option<&str>, at: Point, run: &[Point]) {
        let lines = run.windows(2).map(|pair| (pair[0], pair[1])).collect();
        self.write(label.map(plain).unwrap_or_default(), at, true, lines);
    }

    /// A dimension told by a name at a point.
    pub(crate) fn tell(&mut self, dimension: &Dimension, at: Point) {
        self.write(keep_lengths(&dimension.told()), at, false, Vec::new());
        self.told.push(dimension.clone());
    }

    fn write(&mut self, text: String, at: Point, has_dot: bool, lines: Vec<(Point, Point)>) {
        if !text.is_empty() && !self.names.iter().any(|(known, ..)| *known == text) {
            self.names.push((text, at, has_dot, lines));
        }
    }

    /// Takes away whatever of the strokes so far lies within a face that is now put over them.
    pub(crate) fn hide_behind(&mut self, face: &[Point]) {
        let strokes = std::mem::take(&mut self.strokes);
        for (role, points) in strokes {
            self.strokes.extend(outside(&points, face).into_iter().map(|run| (role, run)));
        }
    }

    pub(crate) fn is_named(&self) -> bool {
        !self.names.is_empty()
    }

    /// The names of what is drawn; those of receding dimensions are told with them.
    pub(crate) fn named(&self) -> impl Iterator<Item = &str> {
        self.names.iter().filter(|(_, _, has_dot, _)| *has_dot).map(|(text, ..)| text.as_str())
    }

    pub(crate) fn bounds(&self) -> Option<Bounds> {
        Bounds::around(self.strokes.iter().flat_map(|(_, points)| points.iter().copied()))
    }

    /// Everything as straight lines, in units.
    pub(crate) fn lines(&self, frame: &Frame, into: &mut Vec<(Point, Point)>) {
        for (_, points) in &self.strokes {
            into.extend(points.windows(2).map(|pair| (frame.at(pair[0]), frame.at(pair[1]))));
        }
    }

    /// The folds and layers among them, as straight lines in units: no leader crosses them.
    pub(crate) fn barred(&self, frame: &Frame) -> Vec<(Point, Point)> {
        let is_barred = |role: Role| matches!(role, Role::Layer | Role::Line(Pen::Fold));
        let runs = self.strokes.iter().filter(|(role, _)| is_barred(*role)).map(|(_, points)| points);
        runs.flat_map(|points| points.windows(2).map(|pair| (frame.at(pair[0]), frame.at(pair[1])))).collect()
    }

    pub(crate) fn names(&self, frame: &Frame) -> impl Iterator<Item = Name> {
        let along =
            |lines: &[(Point, Point)]| lines.iter().map(|(from, to)| (frame.at(*from), frame.at(*to))).collect();
        self.names.iter().map(move |(text, at, has_dot, lines)| Name {
            text: text.clone(),
            target: Target::Inside { at: frame.at(*at), has_dot: *has_dot },
            role: TextRole::Name,
            nearby: match lines[..] {
                [] => Nearby::At { point: frame.at(*at), reach: style::CLEAR },
                _ => Nearby::Along(mark::level(along(lines))),
            },
            points: lines.iter().flat_map(|(from, to)| along_it((frame.at(*from), frame.at(*to)))).collect(),
            is_to_come: false,
        })
    }

    /// The cloth, under everything else.
    pub(crate) fn draw_cloth(&self, drawing: &mut Drawing, frame: &Frame) {
        for (role, corners) in &self.fills {
            let corners: Vec<Point> = corners.iter().map(|point| frame.at(*point)).collect();
            drawing.add(Path::closed(*role, &corners));
        }
    }

    pub(crate) fn draw(&self, drawing: &mut Drawing, frame: &Frame) {
        for (role, points) in &self.strokes {
            let points: Vec<Point> = points.iter().map(|point| frame.at(*point)).collect();
            drawing.add(Path::run(*role, &points));
        }
        for (tip, from) in &self.heads {
            let (tip, from) = (frame.at(*tip), frame.at(*from));
            let length = style::ARROW.min(tip.distance(from) / 2.5);
            drawing.add(Path::arrowhead(Role::DimensionHead, tip, from, length, style::ARROW_HALF));
        }
    }
}

/// Places on a line to which a leader may lead.
fn along_it((from, to): (Point, Point)) -> [Point; 3] {
    [0.25, 0.5, 0.75].map(|part| from.towards(to, part))
}

/// What of a run of lines lies outside of a face.
fn outside(points: &[Point], face: &[Point]) -> Vec<Vec<Point>> {
    let mut runs: Vec<Vec<Point>> = Vec::new();
    for pair in points.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let mut cuts = vec![0.0, 1.0];
        for (a, b) in face.iter().zip(face.iter().cycle().skip(1)) {
            cuts.extend(crossing((from, to), (*a, *b)));
        }
        cuts.sort_by(f64::total_cmp);
        for part in cuts.windows(2).filter(|part| part[1] - part[0] > 1e-9) {
            if is_within(from.towards(to, (part[0] + part[1]) / 2.0), face) {
                continue;
            }
            let (start, end) = (from.towards(to, part[0]), from.towards(to, part[1]));
            match runs.last_mut() {
                Some(run) if run.last().is_some_and(|last| last.distance(start) < 1e-6) => run.push(end),
                _ => runs.push(vec![start, end]),
            }
        }
    }
    runs
}

/// How far along the first line it meets the second, as a part of its length.
fn crossing((from, to): (Point, Point), (a, b): (Point, Point)) -> Option<f64> {
    let (x, y, u, v) = (to.x - from.x, to.y - from.y, b.x - a.x, b.y - a.y);
    let across = x * v - y * u;
    // Beside each other they only touch, if they meet at all.
    if across.abs() < 1e-12 {
        return None;
    }
    let (dx, dy) = (a.x - from.x, a.y - from.y);
    let (at, other) = ((dx * v - dy * u) / across, (dx * y - dy * x) / across);
    ((0.0..=1.0).contains(&at) && (0.0..=1.0).contains(&other)).then_some(at)
}

/// Whether a point lies well within a face, not on its outline.
fn is_within(point: Point, face: &[Point]) -> bool {
    let mut is_inside = false;
    for (a, b) in face.iter().zip(face.iter().cycle().skip(1)) {
        if distance(point, *a, *b) < 1e-6 {
            return false;
        }
        if (a.y > point.y) != (b.y > point.y) && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x) {
            is_inside = !is_inside;
        }
    }
    is_inside
}

fn distance(point: Point, a: Point, b: Point) -> f64 {
    let length = a.distance(b);
    if length == 0.0 {
        return point.distance(a);
    }
    let along = ((point.x - a.x) * (b.x - a.x) + (point.y - a.y) * (b.y - a.y)) / (length * length);
    point.distance(a.towards(b, along.clamp(0.0, 1.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A line across a square of 10: a third on either side of it remains.
    #[test]
    fn a_face_hides_what_is_behind_it() {
        let at = Point::new;
        let square = [at(0.0, 0.0), at(10.0, 0.0), at(10.0, 10.0), at(0.0, 10.0)];
        let mut scene = Scene::default();
        scene.stroke(Role::Layer, vec![at(-10.0, 5.0), at(20.0, 5.0)]);
        // On its outline, and in a corner beyond it, nothing is hidden.
        scene.stroke(Role::Layer, vec![at(0.0, 0.0), at(10.0, 0.0), at(20.0, 20.0)]);
        scene.stroke(Role::Layer, vec![at(2.0, 2.0), at(3.0, 3.0)]);
        scene.hide_behind(&square);
        let left: Vec<Vec<Point>> = scene.strokes.into_iter().map(|(_, points)| points).collect();
        assert_eq!(
            left,
            [
                vec![at(-10.0, 5.0), at(0.0, 5.0)],
                vec![at(10.0, 5.0), at(20.0, 5.0)],
                vec![at(0.0, 0.0), at(10.0, 0.0), at(20.0, 20.0)],
            ]
        );
    }
}
