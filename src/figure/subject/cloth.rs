//! A piece's body and outlines, its fold bracket and its grain arrow.

use crate::draft::{CutPiece, Mark};
use crate::exercise::{Pen, Surface};
use crate::figure::drawing::{Anchor, Area, Drawing, Frame, Path, Role, Text, TextRole};
use crate::figure::subject::mark::{Line, broken, straightened};
use crate::figure::subject::name::{Name, Target};
use crate::figure::{letters, style};
use crate::geometry::{Bounds, Edge, Finish, Outline, Point};

/// The word at a fold.
const FOLD: &str = "fold";

/// A piece of cloth, with its outline.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cloth<'s> {
    pub outline: &'s Outline,
    /// What of it is seen.
    pub shows: Surface,
    /// Whether the grain runs up; otherwise across.
    pub grain_up: bool,
}

impl<'s> Cloth<'s> {
    pub(crate) fn of(cut: &'s CutPiece) -> Cloth<'s> {
        Cloth { outline: &cut.outline, shows: cut.piece.shows, grain_up: cut.piece.grain_up }
    }

    pub(crate) fn bounds(&self) -> Bounds {
        self.outline.cutting_bounds().with(self.outline.stitching_bounds())
    }

    /// The cloth within the stitching line, and under it the allowance, where there is one, in millimetres.
    pub(crate) fn faces(&self) -> impl Iterator<Item = (Role, Vec<Point>)> {
        let has_allowance = self.outline.edges().iter().any(|edge| edge.finish.width() > 0.0);
        let allowance = has_allowance.then(|| (Role::Allowance, self.outline.cutting()));
        allowance.into_iter().chain([(Role::Cloth(self.shows), self.outline.stitching())])
    }

    /// The same as it is drawn.
    pub(crate) fn body(&self, frame: &Frame) -> impl Iterator<Item = Path> {
        self.faces().map(|(role, corners)| {
            Path::closed(role, &corners.into_iter().map(|point| frame.at(point)).collect::<Vec<_>>())
        })
    }

    /// The sides of the cutting outline, each with whether it lies on the fold.
    fn sides(&self) -> Vec<(Line, bool)> {
        let corners = self.outline.cutting();
        let fold = self.outline.fold();
        let next = corners.iter().cycle().skip(1);
        let side = |(from, to): (&Point, &Point)| {
            let is_fold = fold.is_some_and(|fold| is_on(fold, *from) && is_on(fold, *to));
            ((*from, *to), is_fold)
        };
        corners.iter().zip(next).map(side).collect()
    }

    /// The fold edge with the allowances at its ends. Beside a hem it has a corner of its own on the way.
    fn fold_side(&self) -> Option<Line> {
        let on_fold: Vec<Point> =
            self.sides().into_iter().filter(|(_, is_fold)| *is_fold).flat_map(|((from, to), _)| [from, to]).collect();
        let first = *on_fold.first()?;
        let farthest =
            |from: Point| on_fold.iter().copied().max_by(|a, b| from.distance(*a).total_cmp(&from.distance(*b)));
        let end = farthest(first)?;
        Some((farthest(end)?, end))
    }

    /// The lines inside the cutting line, each with how it is drawn: a seam is stitched, a hem is turned. A seam is sewn
    /// before a hem beside it is turned, so it goes on through the hem to the raw edge.
    fn seams(&self) -> impl Iterator<Item = (Pen, Vec<Point>)> + '_ {
        let edges = self.outline.edges();
        let beside = |at: usize, step: usize| &edges[(at + step) % edges.len()];
        edges.iter().enumerate().filter(|(_, edge)| edge.finish.width() > 0.0).map(move |(at, edge)| {
            if matches!(edge.finish, Finish::Hem(_)) {
                return (Pen::Fold, edge.drawn());
            }
            let mut points = edge.drawn();
            if let Some(raw) = through(beside(at, 1), edge.to(), edge.from()) {
                points.push(raw);
            }
            if let Some(raw) = through(beside(at, edges.len() - 1), edge.from(), edge.to()) {
                points.insert(0, raw);
            }
            (Pen::Stitch, straight(points))
        })
    }

    /// Everything in the outlines as straight lines, in units.
    pub(crate) fn lines(&self, frame: &Frame, into: &mut Vec<Line>) {
        let sides = self.sides().into_iter().map(|(line, _)| line);
        into.extend(sides.map(|(from, to)| (frame.at(from), frame.at(to))));
        for (_, points) in self.seams() {
            into.extend(points.windows(2).map(|pair| (frame.at(pair[0]), frame.at(pair[1]))));
        }
    }

    /// Stitching line, fold edge, cutting line.
    pub(crate) fn outlines(&self, drawing: &mut Drawing, frame: &Frame, openings: &[Line]) {
        let at = |points: &[Point]| points.iter().map(|point| frame.at(*point)).collect::<Vec<_>>();
        for (pen, points) in self.seams() {
            let runs = match points[..] {
                [from, to] => broken((from, to), openings).into_iter().map(|(from, to)| at(&[from, to])).collect(),
                // A curve is one stroke, so that its dashes run on.
                _ => vec![at(&points)],
            };
            drawing.add(Path::runs(Role::Line(pen), runs));
        }
        if let Some((from, to)) = self.fold_side() {
            drawing.add(Path::run(Role::Line(Pen::Fold), &at(&[from, to])));
        }
        let rounds = self.rounds();
        drawing.add(Path::runs(Role::Line(Pen::Cut), rounds.iter().map(|run| at(run))));
    }

    /// The cutting line: one stroke from the fold round to the fold, so that its corners are sharp.
    fn rounds(&self) -> Vec<Vec<Point>> {
        let mut runs: Vec<Vec<Point>> = vec![Vec::new()];
        for ((from, to), is_fold) in self.sides_from_fold() {
            match runs.last_mut() {
                Some(run) if !is_fold => {
                    if run.is_empty() {
                        run.push(from);
                    }
                    run.push(to);
                }
                _ => runs.push(Vec::new()),
            }
        }
        runs
    }

    /// The sides of the cutting outline, in order, the first of them after one on the fold.
    fn sides_from_fold(&self) -> Vec<(Line, bool)> {
        let mut sides = self.sides();
        let start = sides.iter().position(|(_, is_fold)| *is_fold).map_or(0, |at| at + 1);
        let count = sides.len().max(1);
        sides.rotate_left(start % count);
        sides
    }

    /// The room that the fold's bracket needs outside the piece: left, right, top, bottom.
    pub(crate) fn pads(&self, frame: &Frame) -> [f64; 4] {
        let Some(bracket) = self.bracket(frame) else { return [0.0; 4] };
        let (inner, mut outer) = (frame.area(), Area::around(bracket.middle, 0.0));
        for point in bracket.points {
            outer = outer.with(Area::around(point, 1.0));
        }
        if let Some(area) = bracket.text_area() {
            outer = outer.with(area);
        }
        [inner.left - outer.left, outer.right - inner.right, inner.top - outer.top, outer.bottom - inner.bottom]
            .map(|pad| pad.max(0.0))
    }

    /// The space of the word at the fold.
    pub(crate) fn fold_area(&self, frame: &Frame) -> Option<Area> {
        self.bracket(frame)?.text_area()
    }

    fn bracket(&self, frame: &Frame) -> Option<Bracket> {
        let (from, to) = self.fold_side()?;
        let out = self.outline.fold()?.outward(0.0);
        let (from, to) = (frame.at(from), frame.at(to));
        let length = from.distance(to);
        let (x, y) = (out.x * style::BRACKET, -out.y * style::BRACKET);
        let inset = (0.12 * length).min(22.0) / length.max(1e-9);
        let (a, b) = (from.towards(to, inset), from.towards(to, 1.0 - inset));
        let away = |point: Point| Point::new(point.x + x, point.y + y);
        let points = [a, away(a), away(b), b];
        let room = length * (1.0 - 2.0 * inset) - 20.0;
        let is_straight = (from.x - to.x).abs() < 0.01 || (from.y - to.y).abs() < 0.01;
        let is_worded = is_straight && room > letters::width(FOLD, false);
        let is_upright = (from.x - to.x).abs() < 0.01;
        Some(Bracket { points, middle: away(from.towards(to, 0.5)), is_worded, is_upright })
    }

    /// Fold bracket and grain arrow; `drawn` are the lines that the arrow keeps clear of.
    pub(crate) fn signs(&self, drawing: &mut Drawing, frame: &Frame, drawn: &[Line]) {
        if let Some(bracket) = self.bracket(frame) {
            bracket.draw(drawing);
        }
        if let Some((from, to, half)) = self.grain(frame, drawn) {
            drawing.add(Path::run(Role::Grain, &[from, to]));
            let length = style::ARROW.min(from.distance(to) / 3.0);
            for (tip, other) in [(from, to), (to, from)] {
                drawing.add(Path::arrowhead(Role::GrainHead, tip, other, length, half));
            }
        }
    }

    /// The grain arrow, and half the width of its heads: in the widest strip between lines along the
    /// grain, in the longest stretch between lines across it.
    fn grain(&self, frame: &Frame, drawn: &[Line]) -> Option<(Point, Point, f64)> {
        let turn = |point: Point| if self.grain_up { point } else { Point::new(point.y, point.x) };
        let outline: Vec<Point> = self.outline.stitching().into_iter().map(|point| turn(frame.at(point))).collect();
        let lines: Vec<Line> = drawn.iter().map(|(from, to)| (turn(*from), turn(*to))).collect();
        let around = Bounds::around(outline.iter().copied())?;
        let mut beside = vec![around.least.x, around.most.x];
        beside.extend(lines.iter().filter(|(a, b)| (a.x - b.x).abs() < 0.5).map(|(a, _)| a.x));
        let (left, right) = widest(&mut beside, around.least.x, around.most.x)?;
        // A third of the way in, so that notches and dimensions in the middle stay clear.
        // In a narrow strip, midway between its lines.
        let part = if right - left < style::STRIP { 0.5 } else { 0.3 };
        let x = left + (right - left) * part;
        let mut across: Vec<f64> = Vec::new();
        let next = outline.iter().cycle().skip(1);
        for (a, b) in outline.iter().zip(next).map(|(a, b)| (*a, *b)).chain(lines.iter().copied()) {
            if (a.x - x) * (b.x - x) < 0.0 {
                across.push(a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x));
            }
        }
        let (top, bottom) = widest(&mut across, f64::NEG_INFINITY, f64::INFINITY)?;
        let inset = (bottom - top) * 0.18;
        let half = style::ARROW_HALF.min((right - left) * 0.3).max(0.5);
        let (from, to) = (Point::new(x, bottom - inset), Point::new(x, top + inset));
        (bottom - top > 6.0).then_some((turn(from), turn(to), half))
    }

    /// Names of its own signs.
    pub(crate) fn names(&self, frame: &Frame) -> Option<Name> {
        let bracket = self.bracket(frame).filter(|bracket| !bracket.is_worded)?;
        let target = Target::Inside { at: bracket.middle, has_dot: false };
        Some(Name { text: FOLD.to_owned(), target, role: TextRole::Name })
    }
}

/// Where a seam that comes to a corner with a hem meets the hem's raw edge: beyond the hem's fold it is the mirror image of
/// what it is before it. A hem has straight edges beside it.
fn through(hem: &Edge, corner: Point, before: Point) -> Option<Point> {
    let Finish::Hem(width) = hem.finish else { return None };
    let out = hem.outward(0.0);
    let back = Point::new(before.x - corner.x, before.y - corner.y);
    let inside = back.x * out.x + back.y * out.y;
    let mirrored = Point::new(back.x - 2.0 * inside * out.x, back.y - 2.0 * inside * out.y);
    let part = width / -inside;
    (inside < -1e-9).then(|| Point::new(corner.x + mirrored.x * part, corner.y + mirrored.y * part))
}

/// The same line without the points in the middle of a straight stretch, so that its dashes run on.
fn straight(points: Vec<Point>) -> Vec<Point> {
    let is_bend = |at: usize| match points.get(at.wrapping_sub(1)..at + 2) {
        Some([a, b, c]) => ((b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x)).abs() > 1e-6 * a.distance(*c),
        _ => true,
    };
    (0..points.len()).filter(|at| is_bend(*at)).map(|at| points[at]).collect()
}

/// How far straight lines may leave a curve, in parts of the piece's size.
const NEAR: f64 = 5e-4;

/// Cutting line, fold, stitching line and all that is marked on a piece, as marks that can be mirrored and moved: with
/// straight lines for curves, without names and dimensions.
pub(crate) fn as_marks(cut: &CutPiece) -> Vec<Mark> {
    let cloth = Cloth::of(cut);
    let lines = |lines: Vec<Line>, pen: Pen| Mark::Lines { lines, pen, label: None };
    let mut marks: Vec<Mark> = cloth
        .seams()
        .map(|(pen, points)| lines(points.windows(2).map(|pair| (pair[0], pair[1])).collect(), pen))
        .collect();
    let sides = cloth.sides_from_fold();
    for (is_fold, pen) in [(true, Pen::Fold), (false, Pen::Cut)] {
        marks.push(lines(sides.iter().filter(|(_, its)| *its == is_fold).map(|(line, _)| *line).collect(), pen));
    }
    marks.extend(cut.marks.iter().filter_map(|mark| straightened(mark, near(cut))));
    marks
}

/// How far straight lines may leave a curve on this piece, in millimetres.
pub(crate) fn near(cut: &CutPiece) -> f64 {
    let bounds = cut.outline.cutting_bounds();
    bounds.width().max(bounds.height()) * NEAR
}

/// The largest step between neighbours, of those within two limits.
fn widest(places: &mut Vec<f64>, least: f64, most: f64) -> Option<(f64, f64)> {
    places.retain(|place| *place >= least && *place <= most);
    places.sort_by(f64::total_cmp);
    let steps = places.windows(2).map(|pair| (pair[0], pair[1]));
    steps.reduce(|best, step| if step.1 - step.0 > best.1 - best.0 + 0.01 { step } else { best })
}

fn is_on(edge: &Edge, point: Point) -> bool {
    let (from, out) = (edge.from(), edge.outward(0.0));
    let away = (point.x - from.x) * out.x + (point.y - from.y) * out.y;
    away.abs() < 1e-6 * (1.0 + edge.stitching_length())
}

/// The bracket along a fold: two arrows at the edge, joined outside it, with the word between.
struct Bracket {
    points: [Point; 4],
    middle: Point,
    is_worded: bool,
    is_upright: bool,
}

impl Bracket {
    fn word(&self) -> Text {
        let lines = vec![FOLD.to_owned()];
        let (at, is_upright) = (self.middle, self.is_upright);
        Text { role: TextRole::Name, lines, at, anchor: Anchor::Middle, is_upright }
    }

    fn text_area(&self) -> Option<Area> {
        self.is_worded.then(|| letters::space(&self.word()))
    }

    fn draw(&self, drawing: &mut Drawing) {
        let [a, b, c, d] = self.points;
        let role = Role::FoldBracket;
        match self.text_area() {
            None => drawing.add(Path::run(role, &self.points)),
            Some(area) => {
                drawing.add(Path::run(role, &[a, b]));
                drawing.add(Path::past(role, b, c, &[area.grown(1.5)]));
                drawing.add(Path::run(role, &[c, d]));
                drawing.write(self.word());
            }
        }
        for (tip, from) in [(a, b), (d, c)] {
            drawing.add(Path::arrowhead(Role::FoldHead, tip, from, style::ARROW, style::ARROW_HALF + 0.5));
        }
    }
}
