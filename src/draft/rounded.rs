//! Rounded corners in space: arcs that leave one side and reach the next along their tangents.

use super::space::Spatial;
use std::f64::consts::PI;

/// The longest chord of an arc spans so much of a full turn: 3°, which the eye takes for round.
const CHORD: f64 = PI / 60.0;

/// A run of points with each corner rounded by its radius, in millimetres; 0, or none at all, leaves it sharp. Where
/// the sides are too short for the radii, the arcs share them in proportion, each with the radius that is left to it.
///
/// A closed run has a radius for every point, an open one for every point between its ends.
pub(super) fn rounded(points: &[Spatial], radii: &[f64], is_closed: bool) -> Vec<Spatial> {
    let count = points.len();
    let radius = |at: usize| match is_closed {
        true => radii.get(at),
        false => at.checked_sub(1).filter(|_| at + 1 < count).and_then(|at| radii.get(at)),
    };
    let neighbour = |at: usize, by: usize| points[(at + count + by - 1) % count];
    let corners: Vec<RoundCorner> = (0..count)
        .map(|at| {
            RoundCorner::new([neighbour(at, 0), points[at], neighbour(at, 2)], radius(at).copied().unwrap_or(0.0))
        })
        .collect();
    let share = |one: &RoundCorner, other: &RoundCorner, side: f64| {
        one.tangent * (side / (one.tangent + other.tangent)).min(1.0)
    };
    let mut run = Vec::with_capacity(count);
    for (at, corner) in corners.iter().enumerate() {
        let (before, after) = (&corners[(at + count - 1) % count], &corners[(at + 1) % count]);
        corner.put(share(corner, before, corner.sides[0]).min(share(corner, after, corner.sides[1])), &mut run);
    }
    run
}

/// A corner between its two sides.
struct RoundCorner {
    at: Spatial,
    /// Unit vectors to the point before and to the point after.
    ways: [Spatial; 2],
    /// How long the two sides are.
    sides: [f64; 2],
    /// Half of the angle between the sides.
    half_angle: f64,
    /// From the corner to where the arc begins and ends, if there is room; 0, if it is sharp.
    tangent: f64,
}

impl RoundCorner {
    fn new([before, at, after]: [Spatial; 3], radius: f64) -> RoundCorner {
        let [(back, one), (on, other)] = [way(at, before), way(at, after)];
        // The sum and the difference of two unit vectors are twice the cosine and the sine of half the angle.
        let half_angle = libm::atan2(size(sum(back, on, -1.0)), size(sum(back, on, 1.0)));
        let tangent = radius / libm::tan(half_angle);
        // Straight on there is nothing to round, and straight back, or without a side, there is no room for it.
        let is_sharp = radius <= 0.0 || half_angle < 1e-6 || one.min(other) < 1e-9;
        RoundCorner {
            at,
            ways: [back, on],
            sides: [one, other],
            half_angle,
            tangent: if is_sharp { 0.0 } else { tangent },
        }
    }

    /// The arc in chords, or the corner itself.
    fn put(&self, tangent: f64, run: &mut Vec<Spatial>) {
        let (sweep, radius) = (PI - 2.0 * self.half_angle, tangent * libm::tan(self.half_angle));
        // The comparison also fails for what is no number.
        if !(tangent > 1e-9 && sweep > 1e-6) {
            run.push(self.at);
            return;
        }
        let [back, on] = self.ways;
        let from = sum(self.at, back, tangent);
        let to_middle = sum(back, on, 1.0);
        let middle = sum(self.at, to_middle, radius / (libm::sin(self.half_angle) * size(to_middle)));
        let out = sum(from, middle, -1.0);
        let chords = libm::ceil(sweep / CHORD) as u32;
        run.extend((0..=chords).map(|chord| {
            let (sine, cosine) = libm::sincos(sweep * f64::from(chord) / f64::from(chords));
            // From where it begins it turns towards the corner.
            sum(sum(middle, out, cosine), back, -radius * sine)
        }));
    }
}

fn sum(one: Spatial, other: Spatial, times: f64) -> Spatial {
    [0, 1, 2].map(|axis| one[axis] + other[axis] * times)
}

fn size(vector: Spatial) -> f64 {
    vector.iter().map(|part| part * part).sum::<f64>().sqrt()
}

/// The unit vector from one point to another, and how far it is.
fn way(from: Spatial, to: Spatial) -> (Spatial, f64) {
    let (vector, length) = (sum(to, from, -1.0), size(sum(to, from, -1.0)));
    (vector.map(|part| part / length.max(1e-12)), length)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn distance(one: Spatial, other: Spatial) -> f64 {
        size(sum(one, other, -1.0))
    }

    fn length(run: &[Spatial]) -> f64 {
        run.windows(2).map(|pair| distance(pair[0], pair[1])).sum()
    }

    /// A quarter of a circle of radius r is π r / 2 long, and 30 chords in it 2 · 30 r sin(π / 120). It begins and ends
    /// r from the corner, every point is r from its middle, and its first and last chord leave the sides by half of 3°.
    #[test]
    fn a_square_corner_becomes_a_quarter_of_a_circle() {
        let r = 20.0;
        // Upright, and away from the eye.
        let run = rounded(&[[0.0, 0.0, 0.0], [0.0, 0.0, 100.0], [0.0, 80.0, 100.0]], &[r], false);
        let arc = &run[1..run.len() - 1];
        assert_eq!(arc.len(), 31);
        assert!((length(arc) - 60.0 * r * (PI / 120.0).sin()).abs() < 1e-9);
        assert!((length(arc) / (PI * r / 2.0) - 1.0).abs() < 2e-4);
        assert!(distance(arc[0], [0.0, 0.0, 80.0]) < 1e-9 && distance(arc[30], [0.0, 20.0, 100.0]) < 1e-9);
        assert!(arc.iter().all(|point| (distance(*point, [0.0, 20.0, 80.0]) - r).abs() < 1e-9));
        let rise = |from: Spatial, to: Spatial| (to[1] - from[1]).atan2(to[2] - from[2]);
        assert!((rise(arc[0], arc[1]) - 1.5_f64.to_radians()).abs() < 1e-9);
        assert!((rise(arc[29], arc[30]) - 88.5_f64.to_radians()).abs() < 1e-9);
    }

    /// An equilateral triangle with its inscribed circle: radius side / (2 √3), tangents that just meet in the middle
    /// of each side. A larger radius finds no more room.
    #[test]
    fn arcs_take_no_more_than_their_sides() {
        let height = 60.0 * 3.0_f64.sqrt() / 2.0;
        let triangle = [[0.0, 0.0, 0.0], [60.0, 0.0, 0.0], [30.0, height, 0.0]];
        let inscribed = 60.0 / (2.0 * 3.0_f64.sqrt());
        for radius in [inscribed, 500.0] {
            let run = rounded(&triangle, &[radius; 3], true);
            assert!(
                run.iter().all(|point| (distance(*point, [30.0, inscribed, 0.0]) - inscribed).abs() < 1e-9),
                "{radius}"
            );
        }
        // Beside a sharp corner an arc has the whole side.
        let run = rounded(&triangle, &[0.0, 500.0, 0.0], true);
        assert!(distance(run[1], triangle[0]) < 1e-9 && distance(run[run.len() - 2], triangle[2]) < 1e-9);
    }

    #[test]
    fn what_has_no_corner_stays_as_it_is() {
        let straight = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [2.0, 0.0, 0.0]];
        let back = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 0.0]];
        let still = [[0.0, 0.0, 0.0], [0.0, 0.0, 0.0], [2.0, 0.0, 0.0]];
        for points in [straight, back, still] {
            assert_eq!(rounded(&points, &[1.0], false), points);
        }
        assert_eq!(rounded(&straight, &[], true), straight);
    }
}
