//! Marks drawn: lines, objects, spots, notches; what a name points at.

use crate::draft::Mark;
use crate::exercise::Pen;
use crate::figure::drawing::area::Area;
use crate::figure::drawing::canvas::Canvas;
use crate::figure::drawing::frame::Frame;
use crate::figure::layout::labels::Target;
use crate::figure::style::{self, Ink, Weight};
use crate::geometry::{Bounds, Curve, Point};

pub(crate) type Line = (Point, Point);

/// Whether every number of a mark is one that can be drawn; a figure leaves out a mark that can't be.
pub fn is_drawable(mark: &Mark) -> bool {
    let fine =
        |point: &Point| point.x.is_finite() && point.y.is_finite() && point.x.abs() < 1e12 && point.y.abs() < 1e12;
    match mark {
        Mark::Lines { lines, .. } => lines.iter().all(|(from, to)| fine(from) && fine(to)),
        Mark::Arc { curve, .. } => fine(&curve.start()) && fine(&curve.end()) && curve.length().is_finite(),
        Mark::Objects { boxes, .. } => boxes.iter().all(|(from, to)| fine(from) && fine(to)),
        Mark::Measure { from, to, .. } => fine(from) && fine(to),
        Mark::Spot { at, .. } => fine(at),
        Mark::Notch { at, outward, allowance } => fine(at) && fine(outward) && allowance.is_finite(),
    }
}

/// The space of a mark, in millimetres; `None` if it draws nothing.
pub(crate) fn bounds(mark: &Mark) -> Option<Bounds> {
    let ends = |lines: &[Line]| Bounds::around(lines.iter().flat_map(|(from, to)| [*from, *to]));
    match mark {
        Mark::Lines { lines, .. } => ends(lines),
        Mark::Arc { curve, .. } => Some(curve.bounds()),
        Mark::Objects { boxes, .. } => ends(boxes),
        Mark::Measure { from, to, .. } => ends(&[(*from, *to)]),
        Mark::Spot { at, .. } | Mark::Notch { at, .. } => ends(&[(*at, *at)]),
    }
}

/// The openings among some marks.
pub(crate) fn openings<'m>(marks: impl Iterator<Item = &'m Mark>) -> Vec<Line> {
    let gaps = marks.filter_map(|mark| match mark {
        Mark::Lines { lines, pen: Pen::Gap, .. } => Some(lines.iter().copied()),
        _ => None,
    });
    gaps.flatten().collect()
}

/// The lines that take the place of a thin line, or of a seam, under them: all but thin ones themselves.
pub(crate) fn covers<'m>(marks: impl Iterator<Item = &'m Mark>) -> Vec<Line> {
    let lines = marks.filter_map(|mark| match mark {
        Mark::Lines { pen: Pen::Gap | Pen::Guide, .. } => None,
        Mark::Lines { lines, .. } => Some(lines.iter().copied()),
        _ => None,
    });
    lines.flatten().collect()
}

/// A line, less the openings in it.
pub(crate) fn broken(line: Line, openings: &[Line]) -> Vec<Line> {
    broken_within(line, openings, line.0.distance(line.1) * 1e-6 + 1e-6)
}

/// A line, less those of `openings` that lie no farther beside it than `near`.
pub(crate) fn broken_within(line: Line, openings: &[Line], near: f64) -> Vec<Line> {
    let (from, to) = line;
    let length = from.distance(to);
    if length == 0.0 {
        return vec![line];
    }
    let (x, y) = ((to.x - from.x) / length, (to.y - from.y) / length);
    let along = |point: Point| (point.x - from.x) * x + (point.y - from.y) * y;
    let beside = |point: Point| ((point.x - from.x) * y - (point.y - from.y) * x).abs();
    let mut holes: Vec<(f64, f64)> = openings
        .iter()
        .filter(|(a, b)| beside(*a) < near && beside(*b) < near)
        .map(|(a, b)| (along(*a).min(along(*b)), along(*a).max(along(*b))))
        .filter(|(low, high)| *high > 0.0 && *low < length)
        .collect();
    holes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut parts = Vec::with_capacity(holes.len() + 1);
    let mut start = 0.0;
    for (low, high) in holes {
        if low > start {
            parts.push((from.towards(to, start / length), from.towards(to, low / length)));
        }
        start = high.max(start);
    }
    if start < length {
        parts.push((from.towards(to, start / length), to));
    }
    parts
}

/// Draws a mark. Dimensions are drawn elsewhere. Lines are broken at openings, and thin ones where another covers them.
pub(crate) fn draw(
    canvas: &mut Canvas,
    frame: &Frame,
    mark: &Mark,
    weight: Weight,
    openings: &[Line],
    covers: &[Line],
) {
    match mark {
        Mark::Lines { lines, pen: Pen::Gap, .. } => {
            let ink = style::pen(Pen::Gap, weight).finer(frame.fineness());
            for line in lines {
                draw_gap(canvas, (frame.at(line.0), frame.at(line.1)), ink);
            }
        }
        Mark::Lines { lines, pen: Pen::Guide, .. } => {
            let holes = [openings, covers].concat();
            draw_lines(canvas, frame, lines, Pen::Guide, weight, &holes);
        }
        Mark::Lines { lines, pen, .. } => draw_lines(canvas, frame, lines, *pen, weight, openings),
        Mark::Arc { curve, pen, .. } => canvas.arc(style::pen(*pen, weight).finer(frame.fineness()), frame, curve),
        Mark::Objects { boxes, .. } => {
            let narrowest =
                boxes.iter().map(|(from, to)| frame.length((to.x - from.x).abs())).fold(f64::INFINITY, f64::min);
            let ink = style::ghost(weight).finer(frame.fineness());
            // Many narrow objects keep light between their outlines.
            let ink = Ink { width: ink.width.min((narrowest / 4.0).max(0.3)), ..ink };
            for (from, to) in boxes {
                let (a, b) = (frame.at(*from), frame.at(*to));
                let area = Area { left: a.x.min(b.x), top: a.y.min(b.y), right: a.x.max(b.x), bottom: a.y.max(b.y) };
                canvas.rounded(ink, area, style::ROUND);
            }
        }
        Mark::Spot { at, .. } => {
            let (at, size) = (frame.at(*at), style::CROSS);
            for (x, y) in [(size, size), (size, -size)] {
                let (from, to) = (Point::new(at.x - x, at.y - y), Point::new(at.x + x, at.y + y));
                canvas.trace(style::spot(weight).finer(frame.fineness()), &[from, to], false);
            }
        }
        Mark::Notch { at, outward, allowance } => draw_notch(canvas, frame, *at, *outward, *allowance),
        Mark::Measure { .. } => {}
    }
}

fn draw_lines(canvas: &mut Canvas, frame: &Frame, lines: &[Line], pen: Pen, weight: Weight, openings: &[Line]) {
    let ink = style::pen(pen, weight).finer(frame.fineness());
    // Lines that run on from one another are one stroke, so that corners are sharp.
    let mut run: Vec<Point> = Vec::new();
    let mut last: Option<Point> = None;
    for line in lines {
        for (from, to) in broken(*line, openings) {
            if last != Some(from) {
                canvas.trace_run(ink, &run);
                run.clear();
                run.push(frame.at(from));
            }
            run.push(frame.at(to));
            last = Some(to);
        }
    }
    canvas.trace_run(ink, &run);
}

/// An opening: the line is broken there, and a tick stands at either end.
fn draw_gap(canvas: &mut Canvas, (from, to): Line, ink: Ink) {
    let length = from.distance(to);
    if length == 0.0 {
        return;
    }
    let (x, y) = ((to.y - from.y) / length * style::GAP_TICK, (from.x - to.x) / length * style::GAP_TICK);
    for end in [from, to] {
        let tick = [Point::new(end.x - x, end.y - y), Point::new(end.x + x, end.y + y)];
        canvas.trace(ink, &tick, false);
    }
}

/// A wedge from the cutting line towards the seam.
fn draw_notch(canvas: &mut Canvas, frame: &Frame, at: Point, outward: Point, allowance: f64) {
    let depth = frame.length(allowance).min(style::NOTCH.0).max(style::NOTCH.1);
    let seam = frame.at(at);
    let out = Point::new(outward.x, -outward.y);
    let away = frame.length(allowance);
    let foot = Point::new(seam.x + out.x * away, seam.y + out.y * away);
    let half = depth * 0.45;
    let corner = |side: f64| Point::new(foot.x - out.y * half * side, foot.y + out.x * half * side);
    let tip = Point::new(foot.x - out.x * depth, foot.y - out.y * depth);
    canvas.trace(style::WEDGE, &[corner(1.0), tip, corner(-1.0)], true);
}

/// What a mark's name points at: whatever of it lies farthest right.
pub(crate) fn target(frame: &Frame, mark: &Mark) -> Option<Target> {
    let border = frame.area().right - style::BORDER;
    match mark {
        Mark::Lines { lines, pen: Pen::Gap, .. } => {
            let (from, to) = lines.first()?;
            Some(Target::Inside { at: frame.at(from.towards(*to, 0.75)), has_dot: true })
        }
        Mark::Lines { lines, .. } => {
            let lines = lines.iter().map(|(from, to)| (frame.at(*from), frame.at(*to)));
            let right = |line: &Line| line.0.x.max(line.1.x);
            let is_upright = |line: &Line| (line.0.x - line.1.x).abs() < 0.01 && (line.0.y - line.1.y).abs() > 1.0;
            // Upright lines give the name most freedom.
            let farthest = lines.reduce(|best, line| {
                let is_farther = right(&line) > right(&best) + 0.01;
                let is_freer = right(&line) > right(&best) - 0.01 && is_upright(&line) && !is_upright(&best);
                if is_farther || is_freer { line } else { best }
            })?;
            let (from, to) = farthest;
            if is_upright(&farthest) {
                let (top, bottom) = (from.y.min(to.y), from.y.max(to.y));
                return Some(Target::Upright { x: from.x, top, bottom, has_dot: from.x < frame.area().right - 1.0 });
            }
            let end = if from.x > to.x { from } else { to };
            Some(if end.x >= border { Target::End(end) } else { Target::Inside { at: end, has_dot: true } })
        }
        Mark::Arc { curve, .. } => {
            let points = chords(curve, frame).into_iter();
            let end = points.reduce(|best, point| if point.x > best.x + 0.01 { point } else { best })?;
            Some(if end.x >= border { Target::End(end) } else { Target::Inside { at: end, has_dot: true } })
        }
        Mark::Objects { boxes, .. } => {
            let (from, to) = boxes.iter().reduce(|best, one| if one.1.x > best.1.x { one } else { best })?;
            let (a, b) = (frame.at(*from), frame.at(*to));
            let (x, top, bottom) = ((a.x + b.x) / 2.0, a.y.min(b.y), a.y.max(b.y));
            Some(Target::Upright { x, top, bottom, has_dot: true })
        }
        Mark::Spot { at, .. } => Some(Target::Inside { at: frame.at(*at), has_dot: false }),
        Mark::Measure { .. } | Mark::Notch { .. } => None,
    }
}

/// A mark's name, if it has one.
pub(crate) fn label(mark: &Mark) -> Option<&str> {
    match mark {
        Mark::Lines { label, .. }
        | Mark::Arc { label, .. }
        | Mark::Objects { label, .. }
        | Mark::Spot { label, .. } => label.as_deref(),
        Mark::Measure { .. } | Mark::Notch { .. } => None,
    }
}

/// The lines of a mark that an extension line may end at, in units.
pub(crate) fn drawn_lines(frame: &Frame, mark: &Mark, into: &mut Vec<Line>) {
    match mark {
        Mark::Lines { lines, .. } => into.extend(lines.iter().map(|(from, to)| (frame.at(*from), frame.at(*to)))),
        Mark::Arc { curve, .. } => into.extend(chords(curve, frame).windows(2).map(|pair| (pair[0], pair[1]))),
        _ => {}
    }
}

/// A curve as points, in units, so close that straight lines between them can stand for it.
fn chords(curve: &Curve, frame: &Frame) -> Vec<Point> {
    let tolerance = style::CHORD / frame.length(1.0);
    curve.steps(0.0, tolerance).into_iter().map(|t| frame.at(curve.at(t))).collect()
}

/// A spot as a cross of lines, level and upright, for what has to keep clear of it.
pub(crate) fn spot_lines(frame: &Frame, mark: &Mark) -> Option<[Line; 2]> {
    let Mark::Spot { at, .. } = mark else { return None };
    let (at, size) = (frame.at(*at), 2.0 * style::CROSS);
    let line = |x: f64, y: f64| (Point::new(at.x - x, at.y - y), Point::new(at.x + x, at.y + y));
    Some([line(size, 0.0), line(0.0, size)])
}
