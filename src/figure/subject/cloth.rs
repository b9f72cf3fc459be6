//! A piece's body and outlines, its fold bracket and its grain arrow.

use crate::exercise::Pen;
use crate::figure::drawing::area::Area;
use crate::figure::drawing::canvas::{Anchor, Canvas, Words};
use crate::figure::drawing::frame::Frame;
use crate::figure::layout::labels::{Name, Target};
use crate::figure::letters;
use crate::figure::style::{self, Weight};
use crate::figure::subject::marks::broken;
use crate::geometry::{Bounds, Edge, Finish, Outline, Point};

type Line = (Point, Point);

/// The word at a fold.
const FOLD: &str = "fold";

/// A piece of cloth, with its outline.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cloth<'s> {
    pub outline: &'s Outline,
    /// Whether the grain runs up; otherwise across.
    pub grain_up: bool,
}

impl Cloth<'_> {
    pub(crate) fn bounds(&self) -> Bounds {
        self.outline.cutting_bounds().with(self.outline.stitching_bounds())
    }

    /// The faint body.
    pub(crate) fn body(&self, canvas: &mut Canvas, frame: &Frame) {
        let corners: Vec<Point> = self.outline.cutting().iter().map(|point| frame.at(*point)).collect();
        canvas.trace(style::BODY, &corners, true);
    }

    /// The sides of the cutting outline, each with whether it lies on the fold.
    pub(crate) fn sides(&self) -> Vec<(Line, bool)> {
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

    /// The lines inside the cutting line, each with how it is drawn: a seam is stitched, a hem is turned.
    pub(crate) fn seams(&self) -> impl Iterator<Item = (Pen, Vec<Point>)> + '_ {
        self.outline.edges().iter().filter(|edge| edge.finish.width() > 0.0).map(|edge| {
            let pen = if matches!(edge.finish, Finish::Hem(_)) { Pen::Fold } else { Pen::Stitch };
            (pen, edge.drawn())
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
    pub(crate) fn outlines(&self, canvas: &mut Canvas, frame: &Frame, openings: &[Line]) {
        let ink = |pen| style::pen(pen, Weight::Even).finer(frame.fineness());
        for (pen, points) in self.seams() {
            let [from, to] = points[..] else {
                // A curve is one stroke, so that its dashes run on.
                let points: Vec<Point> = points.iter().map(|point| frame.at(*point)).collect();
                canvas.trace_run(ink(pen), &points);
                continue;
            };
            for (from, to) in broken((from, to), openings) {
                canvas.trace(ink(pen), &[frame.at(from), frame.at(to)], false);
            }
        }
        if let Some((from, to)) = self.fold_side() {
            canvas.trace(ink(Pen::Fold), &[frame.at(from), frame.at(to)], false);
        }
        // One stroke from the fold round to the fold, so that its corners are sharp.
        let sides = self.sides();
        let start = sides.iter().position(|(_, is_fold)| *is_fold).map_or(0, |at| at + 1);
        let ink = ink(Pen::Cut);
        let mut run: Vec<Point> = Vec::new();
        for index in 0..sides.len() {
            let ((from, to), is_fold) = sides[(start + index) % sides.len()];
            if is_fold {
                canvas.trace_run(ink, &run);
                run.clear();
                continue;
            }
            if run.is_empty() {
                run.push(frame.at(from));
            }
            run.push(frame.at(to));
        }
        canvas.trace_run(ink, &run);
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
    pub(crate) fn signs(&self, canvas: &mut Canvas, frame: &Frame, drawn: &[Line]) {
        if let Some(bracket) = self.bracket(frame) {
            bracket.draw(canvas);
        }
        if let Some((from, to, half)) = self.grain(frame, drawn) {
            canvas.trace(style::GRAIN.finer(frame.fineness()), &[from, to], false);
            let length = style::ARROW.min(from.distance(to) / 3.0);
            canvas.arrowhead(from, to, length, half);
            canvas.arrowhead(to, from, length, half);
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
        Some(Name { text: FOLD.to_owned(), target, is_bold: false })
    }
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
    fn words(&self) -> Words {
        let lines = vec![FOLD.to_owned()];
        Words { lines, at: self.middle, anchor: Anchor::Middle, is_upright: self.is_upright, is_bold: false }
    }

    fn text_area(&self) -> Option<Area> {
        self.is_worded.then(|| self.words().area())
    }

    fn draw(&self, canvas: &mut Canvas) {
        let [a, b, c, d] = self.points;
        let ink = style::FOLD_BRACKET;
        match self.text_area() {
            None => canvas.trace(ink, &[a, b, c, d], false),
            Some(area) => {
                canvas.trace(ink, &[a, b], false);
                canvas.line_past(ink, b, c, &[area.grown(1.5)]);
                canvas.trace(ink, &[c, d], false);
                canvas.text(self.words());
            }
        }
        canvas.arrowhead(a, b, style::ARROW, style::ARROW_HALF + 0.5);
        canvas.arrowhead(d, c, style::ARROW, style::ARROW_HALF + 0.5);
    }
}
