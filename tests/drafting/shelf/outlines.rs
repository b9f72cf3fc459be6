//! What a stitching line and its cutting line have to be to each other, in closed form.
//!
//! It is plane geometry worked here, apart from the program's: every side of a line against every other; distances to
//! straight lines and arcs; curves of other kinds are walked so closely that a chord lies within `CHORD`.

use foldmark::geometry::{Curve, Edge, Finish, Outline, Point};

/// A micrometre, in millimetres.
const MICROMETRE: f64 = 1e-3;

/// Curves are drawn to within a twentieth of a millimetre.
const CHORD: f64 = 0.05 + MICROMETRE;

fn minus(a: Point, b: Point) -> Point {
    Point::new(a.x - b.x, a.y - b.y)
}

fn dot(a: Point, b: Point) -> f64 {
    a.x * b.x + a.y * b.y
}

fn cross(a: Point, b: Point) -> f64 {
    a.x * b.y - a.y * b.x
}

/// Where a point stands to an edge's stitching line.
struct Stand {
    /// How far from it.
    distance: f64,
    /// Whether it lies square to it, not beyond one of its ends.
    is_square: bool,
    /// Whether it lies outside.
    is_outside: bool,
}

fn to_line(point: Point, from: Point, to: Point) -> Stand {
    let along = minus(to, from);
    let length = dot(along, along).sqrt();
    let at = dot(minus(point, from), along) / length;
    let distance = point.distance(from.towards(to, (at / length).clamp(0.0, 1.0)));
    let is_square = at > MICROMETRE && at < length - MICROMETRE;
    Stand { distance, is_square, is_outside: cross(along, minus(point, from)) < 0.0 }
}

fn stand(point: Point, edge: &Edge) -> Stand {
    match edge.curve {
        Curve::Line { from, to } => to_line(point, from, to),
        Curve::Arc { centre, radius, start, sweep } => {
            let arm = minus(point, centre);
            let turned = (arm.y.atan2(arm.x) - start) * sweep.signum();
            let turned = turned.rem_euclid(2.0 * std::f64::consts::PI);
            let beyond = dot(arm, arm).sqrt() - radius;
            let slack = MICROMETRE / radius;
            let is_square = turned > slack && turned < sweep.abs() - slack;
            let distance =
                if is_square { beyond.abs() } else { point.distance(edge.from()).min(point.distance(edge.to())) };
            Stand { distance, is_square, is_outside: (beyond > 0.0) == (sweep > 0.0) }
        }
        Curve::Cubic { .. } => {
            let points = edge.drawn();
            let all = points.windows(2).map(|pair| to_line(point, pair[0], pair[1]));
            all.min_by(|one, other| one.distance.total_cmp(&other.distance)).unwrap()
        }
    }
}

/// How far outside the line that runs on straight from an edge's first or last corner a point lies.
fn over(point: Point, edge: &Edge, at_end: bool) -> f64 {
    let (t, corner) = if at_end { (1.0, edge.to()) } else { (0.0, edge.from()) };
    -cross(edge.curve.direction(t), minus(point, corner))
}

/// The sides of a closed line, each with its two ends.
fn sides(line: &[Point]) -> Vec<(Point, Point)> {
    let mut sides = Vec::with_capacity(line.len());
    for (at, &from) in line.iter().enumerate() {
        sides.push((from, line[if at + 1 == line.len() { 0 } else { at + 1 }]));
    }
    sides
}

/// The same without those that have no length.
fn long_sides(line: &[Point]) -> Vec<(Point, Point)> {
    let mut sides = sides(line);
    sides.retain(|(from, to)| from != to);
    sides
}

/// Whether a closed line neither crosses nor touches itself: each side against every other that lies above or below it.
pub fn is_simple(line: &[Point]) -> bool {
    let sides = long_sides(line);
    let count = sides.len();
    let beside = |(a, b): (Point, Point), p: Point| cross(minus(b, a), minus(p, a));
    let touch = |one: (Point, Point), other: (Point, Point)| {
        beside(one, other.0) * beside(one, other.1) <= 0.0 && beside(other, one.0) * beside(other, one.1) <= 0.0
    };
    let between = |one: f64, other: f64| (one.min(other), one.max(other));
    let across: Vec<(f64, f64)> = sides.iter().map(|(a, b)| between(a.x, b.x)).collect();
    let up: Vec<(f64, f64)> = sides.iter().map(|(a, b)| between(a.y, b.y)).collect();
    // From left to right: what begins beyond the end of a side can't touch it, nor can anything after that.
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|one, other| across[*one].0.total_cmp(&across[*other].0));
    for (at, &one) in order.iter().enumerate() {
        for &other in &order[at + 1..] {
            if across[one].1 < across[other].0 {
                break;
            }
            if up[one].1 < up[other].0 || up[other].1 < up[one].0 {
                continue;
            }
            // Neighbours share a corner.
            let apart = one.abs_diff(other);
            if apart != 1 && apart != count - 1 && touch(sides[one], sides[other]) {
                return false;
            }
        }
    }
    count >= 3 && !turns_back(line)
}

/// Whether a side of a closed line runs back along the one before it.
pub fn turns_back(line: &[Point]) -> bool {
    let along: Vec<Point> = long_sides(line).iter().map(|(a, b)| minus(*b, *a)).collect();
    sides(&along).iter().any(|(a, b)| cross(*a, *b) == 0.0 && dot(*a, *b) < 0.0)
}

/// The area inside a closed line, counter-clockwise positive.
fn area(line: &[Point]) -> f64 {
    sides(line).iter().map(|(a, b)| cross(*a, *b)).sum::<f64>() / 2.0
}

/// Whether a point lies inside a closed line with these sides: by how often a ray from it crosses.
fn is_inside(point: Point, sides: &[(Point, Point)]) -> bool {
    let mut is_inside = false;
    for (a, b) in sides {
        if (a.y > point.y) != (b.y > point.y) && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x) {
            is_inside = !is_inside;
        }
    }
    is_inside
}

/// How far a point is from the nearest of these sides.
fn from_ring(point: Point, sides: &[(Point, Point)]) -> f64 {
    let mut nearest = f64::MAX;
    for &(a, b) in sides {
        // Most sides lie farther off, whichever way they run.
        let is_far = |from: f64, to: f64, at: f64| {
            (from - at > nearest && to - at > nearest) || (at - from > nearest && at - to > nearest)
        };
        if a != b && !is_far(a.x, b.x, point.x) && !is_far(a.y, b.y, point.y) {
            nearest = nearest.min(to_line(point, a, b).distance);
        }
    }
    nearest
}

/// What is wrong with an outline, if anything is.
pub fn fault(outline: &Outline) -> Option<String> {
    let (stitching, cutting) = (outline.stitching(), outline.cutting());
    for (line, name) in [(&stitching, "stitching"), (&cutting, "cutting")] {
        if !is_simple(line) {
            return Some(format!("the {name} line touches itself"));
        }
        if area(line) <= 0.0 {
            return Some(format!("the {name} line runs clockwise"));
        }
    }
    no_cloth_missing(outline, &sides(&stitching), &cutting).or_else(|| no_cloth_too_much(outline, &cutting))
}

/// Nowhere is the cutting line nearer to an edge than the edge's allowance, unless a neighbour's cut comes before it.
fn no_cloth_missing(outline: &Outline, stitching: &[(Point, Point)], cutting: &[Point]) -> Option<String> {
    let edges = outline.edges();
    // Corners of the cutting line, points of its curves, and the middle of each straight side.
    let straight = sides(cutting).into_iter().filter(|(a, b)| a.distance(*b) > 15.0);
    let middles = straight.map(|(a, b)| a.towards(b, 0.5));
    for point in cutting.iter().copied().chain(middles) {
        if is_inside(point, stitching) && from_ring(point, stitching) > CHORD {
            return Some(format!("the cutting line runs inside the stitching line at {point:?}"));
        }
        for (index, edge) in edges.iter().enumerate() {
            let at = stand(point, edge);
            let lacks = edge.finish.width() - at.distance;
            let is_neighbours = || beyond_neighbours(point, edges, index).iter().any(|beyond| beyond.abs() <= CHORD);
            if at.is_square && at.is_outside && lacks > CHORD && !is_neighbours() {
                return Some(format!("{lacks} mm of allowance are missing at {}, {point:?}", edge.name));
            }
        }
    }
    None
}

/// How far a point lies beyond the cutting lines of an edge's two neighbours, each run on straight from their corner:
/// there is no cloth beyond them. Beside a hem they run on as their mirror images across the hem's stitching line.
fn beyond_neighbours(point: Point, edges: &[Edge], index: usize) -> [f64; 2] {
    let count = edges.len();
    let edge = &edges[index];
    let point = if let Finish::Hem(_) = edge.finish { mirrored(point, edge) } else { point };
    let (before, after) = (&edges[(index + count - 1) % count], &edges[(index + 1) % count]);
    [over(point, before, true) - before.finish.width(), over(point, after, false) - after.finish.width()]
}

fn mirrored(point: Point, edge: &Edge) -> Point {
    let (out, above) = (edge.outward(0.0), over(point, edge, false));
    Point::new(point.x - 2.0 * above * out.x, point.y - 2.0 * above * out.y)
}

/// Every corner of the cutting line lies as far out as some edge's allowance. Square to an edge the cut lies just there,
/// but where a neighbour has cut it off, or where in a hollow another edge's allowance reaches farther. A hem lies flush
/// when it is turned, and nothing at all lies beyond a fold.
fn no_cloth_too_much(outline: &Outline, cutting: &[Point]) -> Option<String> {
    let edges = outline.edges();
    if let Some(point) = cutting.iter().find(|point| !is_on_a_cut(**point, edges)) {
        return Some(format!("the cut at {point:?} is no edge's allowance from it"));
    }
    let cut = sides(cutting);
    for (index, edge) in edges.iter().enumerate() {
        let width = edge.finish.width();
        for part in 1..10 {
            let point = edge.curve.moved(f64::from(part) / 10.0, width);
            let off = from_ring(point, &cut);
            if off <= CHORD {
                continue;
            }
            let others = edges.iter().enumerate().filter(|(other, _)| *other != index);
            let mut others = others.map(|(_, other)| (stand(point, other), other.finish.width()));
            let is_explained = if is_inside(point, &cut) {
                others.any(|(at, width)| at.distance < width + CHORD)
                    || (0..edges.len()).any(|corner| is_in_tip(point, edges, corner))
            } else {
                beyond_neighbours(point, edges, index).iter().any(|beyond| *beyond > -CHORD)
            };
            if !is_explained {
                return Some(format!("the cut is {off} mm from where it should be beside {}", edge.name));
            }
        }
        let is_hem = matches!(edge.finish, Finish::Hem(_));
        if is_hem && !(0..2).all(|end| cutting.iter().any(|point| is_hem_corner(*point, edges, index, end))) {
            return Some(format!("turned, an end of {} does not lie on its neighbour's cut", edge.name));
        }
        if edge.finish == Finish::Fold && cutting.iter().any(|point| over(*point, edge, false) > MICROMETRE) {
            return Some(format!("there is cloth beyond the fold {}", edge.name));
        }
    }
    None
}

/// Whether a point lies in the tip of the cutting line at a convex corner, the one at which an edge starts: outside both
/// stitching lines run on straight, and within both cutting lines run on. A tip may reach under the next edge but one.
fn is_in_tip(point: Point, edges: &[Edge], index: usize) -> bool {
    let (before, after) = (&edges[(index + edges.len() - 1) % edges.len()], &edges[index]);
    let is_within = |over: f64, edge: &Edge| over >= 0.0 && over < edge.finish.width() + CHORD;
    let is_convex = cross(before.curve.direction(1.0), after.curve.direction(0.0)) > 0.0;
    is_convex && is_within(over(point, before, true), before) && is_within(over(point, after, false), after)
}

/// Whether a point is where a hem's cutting line meets the mirror image of a neighbour's: of the one before, or after.
fn is_hem_corner(point: Point, edges: &[Edge], index: usize, end: usize) -> bool {
    let beyond = over(point, &edges[index], false) - edges[index].finish.width();
    beyond.abs() <= MICROMETRE && beyond_neighbours(point, edges, index)[end].abs() <= MICROMETRE
}

/// Whether a point lies on an edge's cutting line, or on that line run on straight; beyond a hem's stitching line, on its
/// neighbours' mirror images.
fn is_on_a_cut(point: Point, edges: &[Edge]) -> bool {
    let is_near = |off: f64| off.abs() <= MICROMETRE;
    let is_in_hem = |edge: &Edge| matches!(edge.finish, Finish::Hem(_)) && over(point, edge, false) > MICROMETRE;
    edges.iter().enumerate().any(|(index, edge)| {
        let (at, width) = (stand(point, edge), edge.finish.width());
        let (before, after) = (&edges[(index + edges.len() - 1) % edges.len()], &edges[(index + 1) % edges.len()]);
        at.is_square && (at.is_outside || width == 0.0) && is_near(at.distance - width)
            || !is_in_hem(before) && is_near(over(point, edge, false) - width)
            || !is_in_hem(after) && is_near(over(point, edge, true) - width)
            || is_in_hem(edge) && beyond_neighbours(point, edges, index).iter().any(|beyond| is_near(*beyond))
    })
}

/// How long an edge is along its stitching line, in millimetres; none for a curve that has no closed form.
pub fn length(edge: &Edge) -> Option<f64> {
    match edge.curve {
        Curve::Line { from, to } => Some(from.distance(to)),
        Curve::Arc { radius, sweep, .. } => Some(radius * sweep.abs()),
        Curve::Cubic { .. } => None,
    }
}
