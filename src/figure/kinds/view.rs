//! The finished object in an oblique view: the front true to scale, the depth at half its length. ISO 5456-3 (from
//! memory) leaves the direction and the scale of a receding axis free; 45° and half the length, as here where nothing
//! else is said, it calls cabinet axonometry.

use crate::draft::{Draft, DrawFault, Seen, Spatial};
use crate::exercise::{Pen, Recedes, Side, Surface, View};
use crate::figure::drawing::{Figure, Role, plain};
use crate::figure::layout::bar::scaled;
use crate::figure::layout::crowding::leave_right_to_names;
use crate::figure::layout::sheet::Sheet;
use crate::figure::subject::dimension::{Dimension, merged};
use crate::figure::subject::scene::Scene;
use crate::figure::telling::Telling;
use crate::geometry::{Bounds, Curve, Point};
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// How much of its length a receding line keeps.
const RECEDING: f64 = 0.5;
/// A circle stands for so many straight lines.
const CHORDS: u32 = 72;
/// From the object to a receding dimension, as a part of the drawing's extent.
const AWAY: f64 = 0.07;

/// Where a point in space is seen, in millimetres.
fn seen_at(recedes: Recedes, [across, up, deep]: Spatial) -> Point {
    let depth = deep * RECEDING;
    match recedes {
        Recedes::Right => Point::new(across + depth * FRAC_1_SQRT_2, up + depth * FRAC_1_SQRT_2),
        Recedes::Up => Point::new(across, up + depth),
    }
}

/// A view of the finished object, with its measures.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let tote = shelf.get("boxed-tote").unwrap();
/// let givens = Givens::read(tote, &Raw::example(tote), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(tote, givens).unwrap();
/// let figure = figure::view(&draft, &tote.views[0]).unwrap();
/// assert!(figure.description().contains("half its length"));
/// ```
///
/// # Errors
/// A place that can't be worked out, or a round body without radius.
pub fn view(draft: &Draft, view: &View) -> Result<Figure, DrawFault> {
    let seen = draft.view(view)?;
    let seen_at = |place: Spatial| seen_at(view.recedes, place);
    let mut scene = Scene::default();
    let mut dimensions = Vec::new();
    let mut receding = Vec::new();
    for one in &seen {
        match one {
            Seen::Face { corners, shows, pen, label } => {
                let corners: Vec<Point> = corners.iter().map(|corner| seen_at(*corner)).collect();
                put_face(&mut scene, *pen, *shows, &corners);
                scene.name(label.as_deref(), within(&corners));
            }
            Seen::Ring { centre, radius, height, shows, pen, label } => {
                let base: Vec<Point> = ring(*centre, *radius).map(seen_at).collect();
                let top: Vec<Point> = base.iter().map(|point| Point::new(point.x, point.y + height)).collect();
                put_face(&mut scene, *pen, *shows, &if *height > 0.0 { body(&base, *height) } else { base.clone() });
                if *height > 0.0 {
                    scene.stroke(Role::Line(*pen), closed(&top));
                }
                // In the middle of what is nearest to the eye; of a disc, in its middle.
                let (near, middle) = (base[base.len() * 3 / 4], seen_at(*centre));
                let front = Point::new(near.x, near.y + height / 2.0);
                scene.name(label.as_deref(), if *height > 0.0 { front } else { middle });
            }
            Seen::Line { points, is_curve, pen, label } => {
                let points: Vec<Point> = points.iter().map(|point| seen_at(*point)).collect();
                let run = if *is_curve { curved(&points) } else { points };
                scene.name(label.as_deref(), half_way(&run));
                scene.stroke(Role::Line(*pen), run);
            }
            Seen::Measure { value, title, from, to, side } => {
                let (title, value) = (plain(title), value.clone());
                let seen =
                    Dimension { from: seen_at(*from), to: seen_at(*to), side: *side, title, value, is_wrong: false };
                let is_receding =
                    (from[2] - to[2]).abs() > 1e-6 && (from[0] - to[0]).abs() < 1e-6 && (from[1] - to[1]).abs() < 1e-6;
                if is_receding { &mut receding } else { &mut dimensions }.push(seen);
            }
        }
    }
    let extent = scene.bounds().map_or(1.0, |bounds| bounds.width().max(bounds.height()));
    for one in &receding {
        recede(&mut scene, one, extent * AWAY);
    }
    if scene.bounds().is_none_or(|bounds| bounds.width().max(bounds.height()) < 1e-6) {
        return Err(DrawFault { message: "nothing of it can be seen: all its places are the same".to_owned() });
    }
    let mut sheet =
        Sheet { grows: true, is_measurable: true, scene, dimensions: merged(dimensions), ..Sheet::default() };
    leave_right_to_names(&mut sheet);
    let title = format!("{}: {}", plain(&draft.exercise.title), plain(&view.title));
    let description = told(view, seen.iter().all(is_flat), &sheet.dimensions, &sheet.scene);
    Ok(scaled(Figure::new(&title, &description, [sheet.draw()]), draft.givens.ruler))
}

/// Whether it lies wholly at the front.
fn is_flat(one: &Seen) -> bool {
    let is_level = |places: &[Spatial]| places.iter().all(|place| place[2].abs() < 1e-6);
    match one {
        Seen::Face { corners: places, .. } | Seen::Line { points: places, .. } => is_level(places),
        Seen::Ring { .. } => false,
        Seen::Measure { from, to, .. } => is_level(&[*from, *to]),
    }
}

fn put_face(scene: &mut Scene, pen: Pen, shows: Option<Surface>, corners: &[Point]) {
    scene.hide_behind(corners);
    if let Some(surface) = shows {
        scene.fill(Role::Cloth(surface), corners.to_vec());
    }
    scene.stroke(Role::Line(pen), closed(corners));
}

fn closed(corners: &[Point]) -> Vec<Point> {
    corners.iter().chain(corners.first()).copied().collect()
}

/// A point within a face: its centre of area, or where that lies in a bay or a gap, beside it in the widest part.
fn within(corners: &[Point]) -> Point {
    let centre = middle(corners);
    let sides = corners.iter().zip(corners.iter().cycle().skip(1));
    let crossed = sides.filter(|(a, b)| (a.y > centre.y) != (b.y > centre.y));
    let mut level: Vec<f64> = crossed.map(|(a, b)| a.x + (centre.y - a.y) / (b.y - a.y) * (b.x - a.x)).collect();
    level.sort_by(f64::total_cmp);
    let parts: Vec<(f64, f64)> = level.chunks_exact(2).map(|part| (part[0], part[1])).collect();
    if parts.iter().any(|(left, right)| (*left..=*right).contains(&centre.x)) {
        return centre;
    }
    // Of two that are equally wide, the one nearer to the names.
    let widest = parts.into_iter().max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0 + 1e-6)));
    widest.map_or(centre, |(left, right)| Point::new((left + right) / 2.0, centre.y))
}

/// A face's centre of area; of one without area the middle of what it takes up.
fn middle(corners: &[Point]) -> Point {
    let Some(bounds) = Bounds::around(corners.iter().copied()) else { return Point::default() };
    let middle = bounds.least.towards(bounds.most, 0.5);
    let (mut area, mut x, mut y) = (0.0, 0.0, 0.0);
    for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        // Twice the triangle that the side makes with the middle, whose centre lies a third of both corners from there.
        let (ax, ay, bx, by) = (a.x - middle.x, a.y - middle.y, b.x - middle.x, b.y - middle.y);
        let part = ax * by - bx * ay;
        (area, x, y) = (area + part, x + part * (ax + bx) / 3.0, y + part * (ay + by) / 3.0);
    }
    if area.abs() < 1e-6 { middle } else { Point::new(middle.x + x / area, middle.y + y / area) }
}

/// The point half-way along a run of lines.
fn half_way(run: &[Point]) -> Point {
    let mut rest = run.windows(2).map(|pair| pair[0].distance(pair[1])).sum::<f64>() / 2.0;
    for pair in run.windows(2) {
        let length = pair[0].distance(pair[1]);
        if rest <= length && length > 0.0 {
            return pair[0].towards(pair[1], rest / length);
        }
        rest -= length;
    }
    run.last().copied().unwrap_or_default()
}

/// A level circle, from its right on, away from the eye first.
fn ring([across, up, deep]: Spatial, radius: f64) -> impl Iterator<Item = Spatial> {
    (0..CHORDS).map(move |index| {
        let (sine, cosine) = libm::sincos(2.0 * PI * f64::from(index) / f64::from(CHORDS));
        [across + radius * cosine, up, deep + radius * sine]
    })
}

/// The outline of a round body on a circle: the near half below, the far half above, and the two sides between.
fn body(base: &[Point], height: f64) -> Vec<Point> {
    let by = |a: &(usize, &Point), b: &(usize, &Point)| a.1.x.total_cmp(&b.1.x);
    let (Some((left, _)), Some((right, _))) = (base.iter().enumerate().min_by(by), base.iter().enumerate().max_by(by))
    else {
        return Vec::new();
    };
    let run = |from: usize, to: usize| {
        let count = (to + base.len() - from) % base.len();
        (0..=count).map(move |step| base[(from + step) % base.len()])
    };
    let lifted = |point: Point| Point::new(point.x, point.y + height);
    run(left, right).chain(run(right, left).map(lifted)).collect()
}

fn curved(points: &[Point]) -> Vec<Point> {
    let [from, leaving, reaching, to] = *points else { return points.to_vec() };
    let curve = Curve::Cubic { from, leaving, reaching, to };
    (0..=24).map(|at| curve.at(f64::from(at) / 24.0)).collect()
}

/// A dimension along a receding edge, beside it, told by a name.
fn recede(scene: &mut Scene, one: &Dimension, away: f64) {
    let (x, y) = match one.side {
        Side::Left => (-away, 0.0),
        Side::Right => (away, 0.0),
        Side::Top => (0.0, away),
        Side::Bottom => (0.0, -away),
    };
    let moved = |point: Point, by: f64| Point::new(point.x + x * by, point.y + y * by);
    for end in [one.from, one.to] {
        scene.stroke(Role::Extension, vec![moved(end, 0.15), moved(end, 1.2)]);
    }
    let (low, high) = (moved(one.from, 1.0), moved(one.to, 1.0));
    scene.stroke(Role::Dimension, vec![low, high]);
    scene.head(low, high);
    scene.head(high, low);
    scene.tell(one, low.towards(high, 0.5));
}

/// A view of the finished object, or of what lies flat and has no depth to be told.
fn told(view: &View, is_flat: bool, dimensions: &[Dimension], scene: &Scene) -> String {
    let mut telling = Telling::new(&plain(&view.says));
    telling.dimensions("Dimensions:", dimensions.iter().chain(&scene.told));
    telling.list("Named:", &scene.named().map(str::to_owned).collect::<Vec<_>>());
    telling.say(match view.recedes {
        _ if is_flat => "Lengths to scale.",
        Recedes::Right => "The depth recedes at 45° to half its length.",
        Recedes::Up => "The depth recedes straight up to half its length.",
    });
    telling.told()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A box of 100 by 80 by 60, worked by hand from the rule of ISO 5456-3 for cabinet projection: the depth at 45° to
    /// the level and half its length, so 30 along the slant and 30 / √2 ≈ 21.2132 both across and up.
    #[test]
    fn a_box_recedes_as_the_standard_has_it() {
        let near = seen_at(Recedes::Right, [100.0, 80.0, 0.0]);
        assert_eq!((near.x, near.y), (100.0, 80.0));
        let far = seen_at(Recedes::Right, [100.0, 80.0, 60.0]);
        assert!((far.x - 121.2132).abs() < 1e-4 && (far.y - 101.2132).abs() < 1e-4, "{far:?}");
        assert!((near.distance(far) - 30.0).abs() < 1e-9);
    }

    /// A right triangle has its centre of area a third of both legs from its right corner; half-way along two sides of
    /// 30 and 10 lies 20 from the first end.
    #[test]
    fn names_point_at_middles() {
        let at = Point::new;
        let centre = middle(&[at(10.0, 20.0), at(40.0, 20.0), at(10.0, 80.0)]);
        assert!(centre.distance(at(20.0, 40.0)) < 1e-9, "{centre:?}");
        assert_eq!(middle(&[at(0.0, 1.0), at(4.0, 1.0), at(2.0, 1.0)]), at(2.0, 1.0));
        // A strap, two legs of 10 and a bar over them: its centre lies between the legs, so the right leg is named.
        let strap =
            [(0.0, 0.0), (0.0, 50.0), (40.0, 50.0), (40.0, 0.0), (30.0, 0.0), (30.0, 40.0), (10.0, 40.0), (10.0, 0.0)];
        assert_eq!(within(&strap.map(|(x, y)| at(x, y))).x, 35.0);
        assert_eq!(half_way(&[at(0.0, 0.0), at(30.0, 0.0), at(30.0, 10.0)]), at(20.0, 0.0));
    }

    /// A level circle of radius 1 becomes the ellipse (cos t + k sin t, k sin t) with k = 1 / (2 √2). Its semi-axes are
    /// the singular values of the matrix (1 k; 0 k): with p = 1 + 2 k² = 5/4 and q = k² = 1/8 they are the roots of
    /// (p ± √(p² − 4 q)) / 2, so a² ≈ 1.140388 and b² ≈ 0.109612.
    #[test]
    fn a_circle_has_the_axes_of_its_ellipse() {
        let ring: Vec<Point> = ring([5.0, 7.0, 0.0], 1.0).map(|place| seen_at(Recedes::Right, place)).collect();
        let far = |choose: fn(f64, f64) -> f64, start: f64| {
            ring.iter().map(|point| point.distance(Point::new(5.0, 7.0))).fold(start, choose)
        };
        assert!((far(f64::max, 0.0) - 1.140_388_f64.sqrt()).abs() < 1e-3);
        // The nearest corner lies up to 2.5° beside the short axis.
        assert!((far(f64::min, 9.0) - 0.109_612_f64.sqrt()).abs() < 4e-3);
    }

    /// Receding straight up, a level circle of radius 1 becomes the ellipse (cos t, sin t / 2): it lies level.
    #[test]
    fn a_circle_lies_level_where_the_depth_recedes_upwards() {
        for place in ring([5.0, 7.0, 0.0], 1.0) {
            let Point { x, y } = seen_at(Recedes::Up, place);
            assert!(((x - 5.0).powi(2) + (2.0 * (y - 7.0)).powi(2) - 1.0).abs() < 1e-12);
        }
    }
}
