//! Where the cutting lines of two neighbouring edges meet.

use super::curve::Curve;
use super::edge::{Corner, Edge, Finish};
use super::point::Point;

/// The corner of the cutting line between an edge and the next.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Joint {
    /// The corners of the cutting line, in its order: the last that belongs to the edge before comes first, the first
    /// that belongs to the edge after comes last. One point, if both are the same.
    pub points: Vec<Point>,
    /// Where the cutting line of the edge before stops following its curve; beyond 1 for a straight edge that runs on.
    pub before_stops: f64,
    /// Where that of the edge after begins to; below 0 for a straight edge that begins earlier.
    pub after_begins: f64,
}

/// Edges nearer to one direction than this (the sine of the angle between them) run on into each other.
const RUNS_ON: f64 = 1e-6;

/// A tip farther from its stitching corner than this many allowances is squared off there.
const LONGEST_TIP: f64 = 4.0;

fn cross(a: Point, b: Point) -> f64 {
    a.x * b.y - a.y * b.x
}

fn dot(a: Point, b: Point) -> f64 {
    a.x * b.x + a.y * b.y
}

fn from_to(a: Point, b: Point) -> Point {
    Point::new(b.x - a.x, b.y - a.y)
}

fn go(from: Point, along: Point, distance: f64) -> Point {
    Point::new(from.x + along.x * distance, from.y + along.y * distance)
}

/// How far from `from` along the unit vector `along` the line through `through` in direction `other` is met.
fn reach(from: Point, along: Point, through: Point, other: Point) -> f64 {
    cross(from_to(from, through), other) / cross(along, other)
}

/// The parameter of a point that lies so far beyond an end of an edge, if the edge is straight and so runs on.
fn run_on(curve: &Curve, end: f64, beyond: f64) -> f64 {
    if curve.is_straight() { end + beyond / curve.length() } else { end }
}

/// The joint between two edges, or the reason why there is none.
pub(super) fn joint(before: &Edge, after: &Edge) -> Result<Joint, &'static str> {
    let (a, b) = (before.curve.direction(1.0), after.curve.direction(0.0));
    let (before_width, after_width) = (before.finish.width(), after.finish.width());
    let (end, begin) = (before.curve.moved(1.0, before_width), after.curve.moved(0.0, after_width));
    let simple = |points: Vec<Point>| Joint { points, before_stops: 1.0, after_begins: 0.0 };
    let turn = cross(a, b);
    if turn.abs() < RUNS_ON && dot(a, b) > 0.0 {
        let is_level = end.distance(begin) < 1e-6;
        return Ok(simple(if is_level { vec![end] } else { vec![end, begin] }));
    }
    match (before.finish, after.finish) {
        (Finish::Hem(_), Finish::Hem(_)) => {}
        (_, Finish::Hem(_)) => return turned(before, after),
        (Finish::Hem(_), _) => return turned_back(before, after),
        _ => {}
    }
    let is_convex = turn > 0.0;
    if after.corner == Corner::Trimmed && is_convex {
        return Ok(simple(vec![end, begin]));
    }
    if turn.abs() < RUNS_ON {
        return Err("turns back on the edge before it; there is no room for a seam between them");
    }
    let (beyond, short) = (reach(end, a, begin, b), reach(begin, b, end, a));
    if (before.curve.is_straight() || beyond >= -1e-9) && (after.curve.is_straight() || short <= 1e-9) {
        let tip = go(end, a, beyond);
        let corner = before.curve.end();
        let longest = before_width.max(after_width) * LONGEST_TIP;
        let mut joint = Joint {
            points: Vec::new(),
            before_stops: run_on(&before.curve, 1.0, beyond),
            after_begins: run_on(&after.curve, 0.0, short),
        };
        let bends = |curve: &Curve, distance: f64| !curve.is_straight() && distance.abs() > 1e-9;
        if bends(&before.curve, beyond) {
            joint.points.push(end);
        }
        if is_convex && corner.distance(tip) > longest + 1e-9 {
            // Square to the line from the corner to the tip, so far out.
            let length = corner.distance(tip);
            let out = Point::new((tip.x - corner.x) / length, (tip.y - corner.y) / length);
            let level = go(corner, out, longest);
            let across = Point::new(-out.y, out.x);
            joint.points.push(go(end, a, reach(end, a, level, across)));
            joint.points.push(go(begin, b, reach(begin, b, level, across)));
        } else {
            joint.points.push(tip);
        }
        if bends(&after.curve, short) {
            joint.points.push(begin);
        }
        return Ok(joint);
    }
    let (before_stops, after_begins) =
        meet(before, after).ok_or("and the edge before it have no room for their allowances")?;
    Ok(Joint { points: vec![before.curve.moved(before_stops, before_width)], before_stops, after_begins })
}

const TURNED_NEEDS_STRAIGHT: &str = "has a hem, and a hem and the edges beside it have to be straight";

/// The corner between an edge and a hem: beyond the hem's stitching line the cutting line is the mirror image of what
/// it is before it, so that the hem lies flush when it is turned.
fn turned(before: &Edge, hem: &Edge) -> Result<Joint, &'static str> {
    if !before.curve.is_straight() || !hem.curve.is_straight() {
        return Err(TURNED_NEEDS_STRAIGHT);
    }
    let (a, b) = (before.curve.direction(1.0), hem.curve.direction(0.0));
    let (side, edge) = (before.curve.moved(1.0, before.finish.width()), hem.curve.moved(0.0, hem.finish.width()));
    let corner = hem.curve.start();
    let beyond = reach(side, a, corner, b);
    let at_fold = go(side, a, beyond);
    let back = 2.0 * dot(a, b);
    let mirrored = Point::new(a.x - back * b.x, a.y - back * b.y);
    let outer = go(at_fold, mirrored, reach(at_fold, mirrored, edge, b));
    Ok(Joint {
        points: vec![at_fold, outer],
        before_stops: run_on(&before.curve, 1.0, beyond),
        after_begins: run_on(&hem.curve, 0.0, dot(from_to(edge, outer), b)),
    })
}

/// The same at the hem's other end.
fn turned_back(hem: &Edge, after: &Edge) -> Result<Joint, &'static str> {
    if !after.curve.is_straight() || !hem.curve.is_straight() {
        return Err(TURNED_NEEDS_STRAIGHT);
    }
    let (a, b) = (hem.curve.direction(1.0), after.curve.direction(0.0));
    let (edge, side) = (hem.curve.moved(1.0, hem.finish.width()), after.curve.moved(0.0, after.finish.width()));
    let corner = after.curve.start();
    let short = reach(side, b, corner, a);
    let at_fold = go(side, b, short);
    let back = 2.0 * dot(b, a);
    let mirrored = Point::new(b.x - back * a.x, b.y - back * a.y);
    let outer = go(at_fold, mirrored, reach(at_fold, mirrored, edge, a));
    Ok(Joint {
        points: vec![outer, at_fold],
        before_stops: run_on(&hem.curve, 1.0, dot(from_to(edge, outer), a)),
        after_begins: run_on(&after.curve, 0.0, short),
    })
}

/// How closely curves are followed to find where they meet, in millimetres, before it is refined.
const SEARCH: f64 = 0.02;

/// The parameters at which the cutting lines of two edges cross in a hollow corner: the crossing nearest to the corner.
fn meet(before: &Edge, after: &Edge) -> Option<(f64, f64)> {
    let walk = |edge: &Edge| -> Vec<(f64, Point)> {
        let width = edge.finish.width();
        edge.curve.steps(width, SEARCH).into_iter().map(|t| (t, edge.curve.moved(t, width))).collect()
    };
    let (one, other) = (walk(before), walk(after));
    // Outward from the corner on both sides at once.
    let reach = one.len().max(other.len());
    let crossing = |i: usize, j: usize| -> Option<(f64, f64)> {
        let (p, q) = (one.get(one.len().checked_sub(i + 2)?..)?, other.get(j..j + 2)?);
        let (along, other_along) = (from_to(p[0].1, p[1].1), from_to(q[0].1, q[1].1));
        let turn = cross(along, other_along);
        let between = from_to(p[0].1, q[0].1);
        let (s, t) = (cross(between, other_along) / turn, cross(between, along) / turn);
        let inside = |part: f64| (-1e-9..=1.0 + 1e-9).contains(&part);
        (inside(s) && inside(t)).then(|| (p[0].0 + (p[1].0 - p[0].0) * s, q[0].0 + (q[1].0 - q[0].0) * t))
    };
    let nearest = (0..reach).find_map(|far| {
        let row = (0..=far).find_map(|near| crossing(far, near));
        row.or_else(|| (0..far).find_map(|near| crossing(near, far)))
    })?;
    Some(refine(before, after, nearest))
}

/// Newton's method in two unknowns: from chords to the curves themselves.
fn refine(before: &Edge, after: &Edge, (mut s, mut t): (f64, f64)) -> (f64, f64) {
    let pace = |edge: &Edge, at: f64| {
        let (width, step) = (edge.finish.width(), 1e-6);
        let (low, high) = (edge.curve.moved(at - step, width), edge.curve.moved(at + step, width));
        Point::new((high.x - low.x) / (2.0 * step), (high.y - low.y) / (2.0 * step))
    };
    for _ in 0..8 {
        let (p, q) = (before.curve.moved(s, before.finish.width()), after.curve.moved(t, after.finish.width()));
        let (along, other) = (pace(before, s), pace(after, t));
        let turn = cross(along, other);
        if turn.abs() < 1e-12 || p.distance(q) < 1e-10 {
            break;
        }
        let between = from_to(p, q);
        s += cross(between, other) / turn;
        t += cross(between, along) / turn;
    }
    (s, t)
}
