//! Free places on a piece: for its names, for what is written on it, for the grain arrow.

use super::drawing::{Drawing, crosses, meet};
use crate::geometry::{Bounds, Point};

/// Whether nothing that is drawn lies in a box, and the box within the outline.
pub(super) fn is_clear(drawing: &Drawing, outline: &[Point], area: &Bounds) -> bool {
    let sides = |points: &[Point], closed: bool| -> bool {
        let last = points.last().zip(points.first()).filter(|_| closed).map(|(a, b)| (*a, *b));
        points.windows(2).map(|pair| (pair[0], pair[1])).chain(last).any(|(a, b)| crosses(area, a, b))
    };
    inside(outline, area.least)
        && !drawing.strokes.iter().any(|stroke| sides(&stroke.points, stroke.is_closed))
        && !drawing.writings.iter().any(|writing| meet(&writing.bounds(), area))
}

/// Whether a point lies within an outline.
pub(super) fn inside(outline: &[Point], point: Point) -> bool {
    let sides = outline.iter().zip(outline.iter().cycle().skip(1));
    let crossed = sides.filter(|(a, b)| {
        (a.y > point.y) != (b.y > point.y) && point.x < a.x + (b.x - a.x) * (point.y - a.y) / (b.y - a.y)
    });
    crossed.count() % 2 == 1
}

/// Lower left corners for a box of this size within an area, those near the middle first.
pub(super) fn around_the_middle(area: &Bounds, width: f64, height: f64) -> Vec<Point> {
    let middle = Point::new((area.least.x + area.most.x - width) / 2.0, (area.least.y + area.most.y - height) / 2.0);
    let room = (area.width() - width, area.height() - height);
    let mut places: Vec<(f64, Point)> = Vec::new();
    for (x, y) in (-10..=10).flat_map(|x| (-10..=10).map(move |y| (f64::from(x) / 20.0, f64::from(y) / 20.0))) {
        places.push((x * x + y * y, Point::new(middle.x + room.0 * x, middle.y + room.1 * y)));
    }
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    places.into_iter().map(|(_, at)| at).collect()
}

/// The longest stretch along the grain that lies within the outline and meets no text: its ends.
pub(super) fn longest(drawing: &Drawing, outline: &[Point], area: &Bounds, is_up: bool) -> Option<[Point; 2]> {
    let turn = |point: Point| if is_up { point } else { Point::new(point.y, point.x) };
    let (least, most) = (turn(area.least), turn(area.most));
    let outline: Vec<Point> = outline.iter().copied().map(turn).collect();
    let texts: Vec<Bounds> = drawing
        .writings
        .iter()
        .map(|writing| writing.bounds())
        .map(|area| Bounds { least: turn(area.least), most: turn(area.most) })
        .collect();
    let mut best: Option<(f64, f64, f64)> = None;
    for step in 1..40 {
        let x = least.x + (most.x - least.x) * f64::from(step) / 40.0;
        let mut stops: Vec<f64> = Vec::new();
        for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
            if (a.x - x) * (b.x - x) < 0.0 {
                stops.push(a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x));
            }
        }
        let meets = texts.iter().filter(|area| area.least.x - 2.0 < x && x < area.most.x + 2.0);
        stops.extend(meets.flat_map(|area| [area.least.y, area.most.y]));
        stops.sort_by(f64::total_cmp);
        let beside = |stroke: &[Point]| {
            stroke.windows(2).any(|side| {
                let (a, b) = (turn(side[0]), turn(side[1]));
                (a.x - x).abs() < 1.0 && (b.x - x).abs() < 1.0 && (a.y - b.y).abs() > 4.0
            })
        };
        if drawing.strokes.iter().any(|stroke| beside(&stroke.points)) {
            continue;
        }
        for pair in stops.windows(2) {
            let middle = Point::new(x, (pair[0] + pair[1]) / 2.0);
            let hits = |area: &Bounds| {
                area.least.x - 2.0 < x && x < area.most.x + 2.0 && area.least.y < middle.y && middle.y < area.most.y
            };
            let is_free = inside(&outline, middle) && !texts.iter().any(hits);
            if is_free && best.is_none_or(|(_, from, to)| pair[1] - pair[0] > to - from + 1e-6) {
                best = Some((x, pair[0], pair[1]));
            }
        }
    }
    let (x, from, to) = best?;
    let inset = ((to - from) * 0.1).max(1.0).min((to - from) / 3.0);
    Some([turn(Point::new(x, from + inset)), turn(Point::new(x, to - inset))])
}
