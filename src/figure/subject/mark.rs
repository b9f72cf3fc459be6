//! Marks: what each is as geometry, as a path, in words, and beside another. A mark of a new kind gets all that
//! here.

use crate::draft::Mark;
use crate::exercise::Pen;
use crate::figure::drawing::{Area, Frame, Path, Role};
use crate::figure::style;
use crate::figure::subject::name::{Nearby, Target};
use crate::figure::subject::pen::{lines_in_words, pen_words};
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

/// The straight lines of a mark and their pen, if that is what it is.
pub(crate) fn lines(mark: &Mark) -> Option<(&[Line], Pen)> {
    match mark {
        Mark::Lines { lines, pen, .. } => Some((lines, *pen)),
        Mark::Arc { .. } | Mark::Objects { .. } | Mark::Measure { .. } | Mark::Spot { .. } | Mark::Notch { .. } => None,
    }
}

/// The pen of a mark, if it is drawn with one.
pub(crate) fn pen(mark: &Mark) -> Option<Pen> {
    match mark {
        Mark::Lines { pen, .. } | Mark::Arc { pen, .. } => Some(*pen),
        Mark::Objects { .. } | Mark::Measure { .. } | Mark::Spot { .. } | Mark::Notch { .. } => None,
    }
}

/// The openings among some marks.
pub(crate) fn openings<'m>(marks: impl Iterator<Item = &'m Mark>) -> Vec<Line> {
    marks.filter_map(lines).filter(|(_, pen)| *pen == Pen::Gap).flat_map(|(lines, _)| lines).copied().collect()
}

/// The lines that take the place of a thin line, or of a seam, under them: all but thin ones themselves.
pub(crate) fn covers<'m>(marks: impl Iterator<Item = &'m Mark>) -> Vec<Line> {
    let is_cover = |pen: Pen| match pen {
        Pen::Gap | Pen::Guide => false,
        Pen::Cut | Pen::Stitch | Pen::Fold | Pen::Edge | Pen::Baste => true,
    };
    marks.filter_map(lines).filter(|(_, pen)| is_cover(*pen)).flat_map(|(lines, _)| lines).copied().collect()
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

/// A mark as it is drawn; dimensions are drawn elsewhere. Lines are broken at openings, and thin ones where another covers
/// them.
pub(crate) fn path(frame: &Frame, mark: &Mark, openings: &[Line], covers: &[Line]) -> Option<Path> {
    Some(match mark {
        Mark::Lines { lines, pen, .. } => {
            let role = Role::Line(*pen);
            match pen {
                Pen::Gap => Path::runs(role, lines.iter().flat_map(|line| ticks((frame.at(line.0), frame.at(line.1))))),
                Pen::Guide => Path::runs(role, runs(frame, lines, &[openings, covers].concat())),
                Pen::Cut | Pen::Stitch | Pen::Fold | Pen::Edge | Pen::Baste => {
                    Path::runs(role, runs(frame, lines, openings))
                }
            }
        }
        Mark::Arc { curve, pen, .. } => Path::curve(Role::Line(*pen), frame, curve),
        Mark::Objects { boxes, .. } => {
            let areas: Vec<Area> = boxes.iter().map(|(a, b)| Area::corners(frame.at(*a), frame.at(*b))).collect();
            Path::rounded(Role::Objects, &areas, style::ROUND)
        }
        Mark::Spot { at, .. } => Path::cross(Role::Spot, frame.at(*at), style::CROSS),
        Mark::Notch { at, outward, allowance } => notch(frame, *at, *outward, *allowance),
        Mark::Measure { .. } => return None,
    })
}

/// Lines less the openings. Those that run on from one another are one stroke, so that corners are sharp.
fn runs(frame: &Frame, lines: &[Line], openings: &[Line]) -> Vec<Vec<Point>> {
    let mut runs: Vec<Vec<Point>> = Vec::new();
    let mut last: Option<Point> = None;
    for (from, to) in lines.iter().flat_map(|line| broken(*line, openings)) {
        match runs.last_mut() {
            Some(run) if last == Some(from) => run.push(frame.at(to)),
            _ => runs.push(vec![frame.at(from), frame.at(to)]),
        }
        last = Some(to);
    }
    runs
}

/// The ticks at the ends of an opening; the line is broken between them.
fn ticks((from, to): Line) -> Vec<[Point; 2]> {
    let length = from.distance(to);
    if length == 0.0 {
        return Vec::new();
    }
    let (x, y) = ((to.y - from.y) / length * style::GAP_TICK, (from.x - to.x) / length * style::GAP_TICK);
    [from, to].map(|end| [Point::new(end.x - x, end.y - y), Point::new(end.x + x, end.y + y)]).into()
}

/// A wedge from the cutting line towards the seam.
fn notch(frame: &Frame, at: Point, outward: Point, allowance: f64) -> Path {
    let depth = frame.length(allowance).min(style::NOTCH.0).max(style::NOTCH.1);
    let seam = frame.at(at);
    let out = Point::new(outward.x, -outward.y);
    let away = frame.length(allowance);
    let foot = Point::new(seam.x + out.x * away, seam.y + out.y * away);
    let half = depth * 0.45;
    let corner = |side: f64| Point::new(foot.x - out.y * half * side, foot.y + out.x * half * side);
    let tip = Point::new(foot.x - out.x * depth, foot.y - out.y * depth);
    Path::closed(Role::Notch, &[corner(1.0), tip, corner(-1.0)])
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
            let points =
                std::iter::once(frame.at(curve.start())).chain(chords_in(frame, curve).into_iter().map(|(_, to)| to));
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

/// Where a mark's name may stand without a leader.
pub(crate) fn nearby(frame: &Frame, mark: &Mark) -> Nearby {
    match mark {
        Mark::Lines { lines, .. } => {
            Nearby::Along(level(lines.iter().map(|(from, to)| (frame.at(*from), frame.at(*to))).collect()))
        }
        Mark::Objects { boxes, .. } => {
            let mut areas: Vec<Area> = boxes.iter().map(|(a, b)| Area::corners(frame.at(*a), frame.at(*b))).collect();
            areas.sort_by(|a, b| (b.width() * b.height()).total_cmp(&(a.width() * a.height())));
            Nearby::In(areas)
        }
        Mark::Spot { at, .. } => Nearby::At { point: frame.at(*at), reach: style::CROSS },
        Mark::Arc { .. } | Mark::Measure { .. } | Mark::Notch { .. } => Nearby::Nowhere,
    }
}

/// Where on a mark a leader may begin: at places along its lines, in its objects.
pub(crate) fn points(frame: &Frame, mark: &Mark) -> Vec<Point> {
    let parts = |from: Point, to: Point| [0.0, 0.25, 0.5, 0.75, 1.0].map(|part| frame.at(from.towards(to, part)));
    match mark {
        Mark::Lines {
            lines, pen: Pen::Cut | Pen::Edge | Pen::Stitch | Pen::Fold | Pen::Baste | Pen::Guide, ..
        } => lines.iter().flat_map(|(from, to)| parts(*from, *to)).collect(),
        Mark::Objects { boxes, .. } => boxes.iter().map(|(from, to)| frame.at(from.towards(*to, 0.5))).collect(),
        Mark::Lines { pen: Pen::Gap, .. }
        | Mark::Arc { .. }
        | Mark::Measure { .. }
        | Mark::Spot { .. }
        | Mark::Notch { .. } => Vec::new(),
    }
}

/// The level ones of some lines, the longest first, and of two the upper.
pub(crate) fn level(mut lines: Vec<Line>) -> Vec<Line> {
    lines.retain(|(from, to)| (from.y - to.y).abs() < 0.01);
    let length = |line: &Line| (line.0.x - line.1.x).abs();
    lines.sort_by(|a, b| length(b).round().total_cmp(&length(a).round()).then(a.0.y.total_cmp(&b.0.y)));
    lines
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

/// The place of a mark's name, if it can have one.
pub(crate) fn label_mut(mark: &mut Mark) -> Option<&mut Option<String>> {
    match mark {
        Mark::Lines { label, .. }
        | Mark::Arc { label, .. }
        | Mark::Objects { label, .. }
        | Mark::Spot { label, .. } => Some(label),
        Mark::Measure { .. } | Mark::Notch { .. } => None,
    }
}

/// A mark without its name.
pub(crate) fn unnamed(mut mark: Mark) -> Mark {
    if let Some(label) = label_mut(&mut mark) {
        *label = None;
    }
    mark
}

/// The lines of a mark that an extension line may end at, in units.
pub(crate) fn edges(frame: &Frame, mark: &Mark, into: &mut Vec<Line>) {
    match mark {
        Mark::Lines { lines, .. } => into.extend(lines.iter().map(|(from, to)| (frame.at(*from), frame.at(*to)))),
        Mark::Arc { curve, .. } => into.extend(chords_in(frame, curve)),
        Mark::Objects { .. } | Mark::Measure { .. } | Mark::Spot { .. } | Mark::Notch { .. } => {}
    }
}

/// Straight lines along a curve, no farther from it than `near`, in millimetres; each end where `to` has it.
fn chords(curve: &Curve, near: f64, to: &dyn Fn(Point) -> Point) -> Vec<Line> {
    let points: Vec<Point> = curve.steps(0.0, near).into_iter().map(|t| to(curve.at(t))).collect();
    points.windows(2).map(|pair| (pair[0], pair[1])).collect()
}

/// Straight lines so close to a curve that they can stand for it, in units.
fn chords_in(frame: &Frame, curve: &Curve) -> Vec<Line> {
    chords(curve, style::CHORD / frame.length(1.0), &|point| frame.at(point))
}

/// Lines that stand for what else the grain arrow has to keep clear of: a cross for a spot, level and upright.
pub(crate) fn obstacles(frame: &Frame, mark: &Mark) -> Option<[Line; 2]> {
    match mark {
        Mark::Spot { at, .. } => {
            let (at, size) = (frame.at(*at), 2.0 * style::CROSS);
            let line = |x: f64, y: f64| (Point::new(at.x - x, at.y - y), Point::new(at.x + x, at.y + y));
            Some([line(size, 0.0), line(0.0, size)])
        }
        Mark::Lines { .. } | Mark::Arc { .. } | Mark::Objects { .. } | Mark::Measure { .. } | Mark::Notch { .. } => {
            None
        }
    }
}

/// A mark without its name, and with straight lines, no farther from it than `near`, for a curve. A dimension is none.
pub(crate) fn straightened(mark: &Mark, near: f64) -> Option<Mark> {
    let straight = match mark {
        Mark::Measure { .. } => return None,
        Mark::Arc { curve, pen, .. } => Mark::Lines { lines: chords(curve, near, &|at| at), pen: *pen, label: None },
        Mark::Lines { .. } | Mark::Objects { .. } | Mark::Spot { .. } | Mark::Notch { .. } => mark.clone(),
    };
    Some(unnamed(straight))
}

/// A mark with every point elsewhere, and with straight lines, no farther from it than `near`, for a curve.
pub(crate) fn moved(mark: &Mark, near: f64, to: &dyn Fn(Point) -> Point) -> Mark {
    let mut mark = mark.clone();
    match &mut mark {
        Mark::Lines { lines: pairs, .. } | Mark::Objects { boxes: pairs, .. } => {
            for (from, end) in pairs {
                (*from, *end) = (to(*from), to(*end));
            }
        }
        Mark::Arc { curve, pen, label } => {
            return Mark::Lines { lines: chords(curve, near, to), pen: *pen, label: label.take() };
        }
        Mark::Measure { from, to: end, .. } => (*from, *end) = (to(*from), to(*end)),
        Mark::Spot { at, .. } => *at = to(*at),
        Mark::Notch { at, outward, .. } => {
            let (foot, tip) = (to(*at), to(Point::new(at.x + outward.x, at.y + outward.y)));
            let length = foot.distance(tip).max(f64::MIN_POSITIVE);
            (*at, *outward) = (foot, Point::new((tip.x - foot.x) / length, (tip.y - foot.y) / length));
        }
    }
    mark
}

/// Where a mark begins and ends, turns or has its middle, as far as other marks may be in line with it: a slanted line and
/// an object follow the others.
pub(crate) fn places(mark: &Mark, near: f64, into: &mut Vec<Point>) {
    let is_square = |(from, to): &&Line| (from.x - to.x).abs() < near || (from.y - to.y).abs() < near;
    match mark {
        Mark::Lines { lines, .. } => into.extend(lines.iter().filter(is_square).flat_map(|(from, to)| [*from, *to])),
        Mark::Measure { from, to, .. } => into.extend([*from, *to]),
        Mark::Spot { at, .. } | Mark::Notch { at, .. } => into.push(*at),
        Mark::Arc { curve, .. } => into.extend([curve.bounds().least, curve.bounds().most]),
        Mark::Objects { .. } => {}
    }
}

/// What of a mark lies farther than `apart` from another, the same of another draft; `drawn` are the lines that need not be
/// drawn again.
pub(crate) fn elsewhere(mark: &Mark, other: &Mark, apart: f64, mut drawn: Vec<Line>) -> Option<Mark> {
    match (mark, other) {
        (Mark::Lines { lines, pen, label }, Mark::Lines { lines: others, .. }) => {
            let mut elsewhere: Vec<Line> = Vec::new();
            for (index, line) in lines.iter().enumerate() {
                let is_moved = |(from, to): &Line| from.distance(line.0).max(to.distance(line.1)) > apart;
                if others.get(index).is_none_or(is_moved) {
                    let parts = broken_within(*line, &drawn, apart);
                    elsewhere.extend(parts.into_iter().filter(|(from, to)| from.distance(*to) > apart));
                    drawn.push(*line);
                }
            }
            (!elsewhere.is_empty()).then(|| Mark::Lines { lines: elsewhere, pen: *pen, label: label.clone() })
        }
        (Mark::Arc { curve, .. }, Mark::Arc { curve: other, .. }) => {
            let is_moved = |at: &f64| other.at(*at).distance(curve.at(*at)) > apart;
            [0.0, 0.25, 0.5, 0.75, 1.0].iter().any(is_moved).then(|| mark.clone())
        }
        (Mark::Spot { at, .. }, Mark::Spot { at: other, .. }) => (other.distance(*at) > apart).then(|| mark.clone()),
        // Objects are given, measures and notches follow from the lines.
        (Mark::Objects { .. } | Mark::Measure { .. } | Mark::Notch { .. }, _) => None,
        // What became another kind of mark is not the same.
        (Mark::Lines { .. } | Mark::Arc { .. } | Mark::Spot { .. }, _) => None,
    }
}

/// What a mark looks like: "a dash-dot line".
pub(crate) fn in_words(mark: &Mark) -> Option<String> {
    Some(match mark {
        Mark::Lines { lines, .. } if lines.is_empty() => return None,
        Mark::Lines { lines, pen, .. } if is_rectangle(lines) => format!("a rectangle of {}", pen_words(*pen).1),
        Mark::Lines { lines, pen, .. } => lines_in_words(lines.len(), *pen),
        Mark::Arc { pen, .. } => format!("{} in {}", kind(mark), pen_words(*pen).0),
        Mark::Objects { boxes, .. } => match boxes.len() {
            0 => return None,
            1 => "an outline with round corners".to_owned(),
            more => format!("{more} outlines with round corners"),
        },
        Mark::Spot { .. } => kind(mark).to_owned(),
        Mark::Measure { .. } | Mark::Notch { .. } => return None,
    })
}

/// What kind of mark it is.
pub(crate) fn kind(mark: &Mark) -> &'static str {
    match mark {
        Mark::Lines { .. } | Mark::Measure { .. } => "a line",
        Mark::Arc { curve, .. } if curve.start().distance(curve.end()) < 1e-6 => "a circle",
        Mark::Arc { .. } => "an arc",
        Mark::Objects { .. } => "an outline",
        Mark::Spot { .. } => "a cross",
        Mark::Notch { .. } => "a notch",
    }
}

/// Whether lines are the four sides of a rectangle.
pub(crate) fn is_rectangle(lines: &[Line]) -> bool {
    matches!(lines, [first, _, _, last] if first.0 == last.1)
}
