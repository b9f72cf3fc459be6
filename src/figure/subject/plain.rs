//! A piece as plain lines, which can be mirrored and moved.

use crate::draft::{CutPiece, Mark};
use crate::exercise::Pen;
use crate::figure::subject::cloth::Cloth;
use crate::figure::subject::marks::Line;
use crate::geometry::{Curve, Point};

/// How far straight lines may leave a curve, in parts of the piece's size.
const NEAR: f64 = 5e-4;

/// Cutting line, fold, stitching line and all that is marked on a piece, without names and dimensions.
pub(crate) fn lines(cut: &CutPiece) -> Vec<Mark> {
    let cloth = Cloth { outline: &cut.outline, grain_up: cut.piece.grain_up };
    let near = near(cut);
    let mut marks = Vec::new();
    let plain = |lines: Vec<Line>, pen: Pen| Mark::Lines { lines, pen, label: None };
    for (pen, points) in cloth.seams() {
        marks.push(plain(points.windows(2).map(|pair| (pair[0], pair[1])).collect(), pen));
    }
    // One stroke from the fold round to the fold.
    let mut sides = cloth.sides();
    let start = sides.iter().position(|(_, is_fold)| *is_fold).map_or(0, |at| at + 1);
    let count = sides.len().max(1);
    sides.rotate_left(start % count);
    for (is_fold, pen) in [(true, Pen::Fold), (false, Pen::Cut)] {
        let these = sides.iter().filter(|(_, its)| *its == is_fold).map(|(line, _)| *line).collect();
        marks.push(plain(these, pen));
    }
    marks.extend(cut.marks.iter().filter_map(|mark| flat(mark, near)));
    marks
}

/// How far straight lines may leave a curve on this piece, in millimetres.
pub(crate) fn near(cut: &CutPiece) -> f64 {
    let bounds = cut.outline.cutting_bounds();
    bounds.width().max(bounds.height()) * NEAR
}

/// A mark without its name, and with lines for a curve. A dimension is none.
pub(crate) fn flat(mark: &Mark, near: f64) -> Option<Mark> {
    Some(match mark {
        Mark::Measure { .. } => return None,
        Mark::Lines { lines, pen, .. } => Mark::Lines { lines: lines.clone(), pen: *pen, label: None },
        Mark::Arc { curve, pen, .. } => Mark::Lines { lines: chords(curve, near), pen: *pen, label: None },
        Mark::Objects { boxes, .. } => Mark::Objects { boxes: boxes.clone(), label: None },
        Mark::Spot { at, .. } => Mark::Spot { at: *at, label: None },
        Mark::Notch { .. } => mark.clone(),
    })
}

fn chords(curve: &Curve, near: f64) -> Vec<Line> {
    let points: Vec<Point> = curve.steps(0.0, near).into_iter().map(|t| curve.at(t)).collect();
    points.windows(2).map(|pair| (pair[0], pair[1])).collect()
}

/// Plain marks with every point elsewhere.
pub(crate) fn moved(marks: &[Mark], to: &dyn Fn(Point) -> Point) -> Vec<Mark> {
    let both = |lines: &[Line]| lines.iter().map(|(from, end)| (to(*from), to(*end))).collect();
    let one = |mark: &Mark| match mark {
        Mark::Lines { lines, pen, label } => Mark::Lines { lines: both(lines), pen: *pen, label: label.clone() },
        Mark::Objects { boxes, label } => Mark::Objects { boxes: both(boxes), label: label.clone() },
        Mark::Spot { at, label } => Mark::Spot { at: to(*at), label: label.clone() },
        Mark::Notch { at, outward, allowance } => {
            let (foot, tip) = (to(*at), to(Point::new(at.x + outward.x, at.y + outward.y)));
            let length = foot.distance(tip).max(f64::MIN_POSITIVE);
            let outward = Point::new((tip.x - foot.x) / length, (tip.y - foot.y) / length);
            Mark::Notch { at: foot, outward, allowance: *allowance }
        }
        other => other.clone(),
    };
    marks.iter().map(one).collect()
}
