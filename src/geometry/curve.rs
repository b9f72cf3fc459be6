//! The shape of an edge: a straight line, a circular arc, or a cubic curve.
//!
//! A curve is walked by a parameter from 0 to 1. Sines and the like come from `libm`, so that every machine
//! draws the same line.

use super::point::{Bounds, Point};
use kurbo::{CubicBez, ParamCurve, ParamCurveArclen, ParamCurveDeriv};

/// How exactly lengths of curves are measured, in millimetres: a hundredth of a micrometre, so that a sum of
/// many stays within one.
const LENGTH_ACCURACY: f64 = 1e-5;

/// The shape of an edge, from its first corner to its last. Lengths are millimetres, angles radians,
/// counter-clockwise from the `x` axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Curve {
    /// A straight line.
    Line {
        /// Where it starts.
        from: Point,
        /// Where it ends.
        to: Point,
    },
    /// A part of a circle.
    Arc {
        /// The circle's middle.
        centre: Point,
        /// Its radius.
        radius: f64,
        /// The angle at which the arc starts.
        start: f64,
        /// How far it turns: positive to the left, negative to the right.
        sweep: f64,
    },
    /// A cubic curve: it leaves its first corner towards the first handle and reaches its last corner from the second.
    Cubic {
        /// Where it starts.
        from: Point,
        /// The first handle.
        leaving: Point,
        /// The second handle.
        reaching: Point,
        /// Where it ends.
        to: Point,
    },
}

impl Curve {
    /// A part of a circle around `centre` from one point to another, turning left (as an outline does where it
    /// bulges) or right (where it is hollow). From a point to itself it is the whole circle.
    ///
    /// ```
    /// use foldmark::geometry::{Curve, Point};
    /// let quarter = Curve::arc(Point::new(0.0, -10.0), Point::default(), Point::new(10.0, 0.0), true).unwrap();
    /// assert!((quarter.length() - 5.0 * std::f64::consts::PI).abs() < 1e-9);
    /// ```
    ///
    /// # Errors
    /// How much farther from the centre the end lies than the start, in millimetres, if that is more than a micrometre.
    pub fn arc(from: Point, centre: Point, to: Point, left: bool) -> Result<Curve, f64> {
        let (radius, other) = (centre.distance(from), centre.distance(to));
        if (radius - other).abs() > 1e-3 {
            return Err(other - radius);
        }
        let angle = |point: Point| libm::atan2(point.y - centre.y, point.x - centre.x);
        let (start, full) = (angle(from), 2.0 * std::f64::consts::PI);
        let mut sweep = angle(to) - start;
        if left && sweep <= 1e-12 {
            sweep += full;
        } else if !left && sweep >= -1e-12 {
            sweep -= full;
        }
        Ok(Curve::Arc { centre, radius, start, sweep })
    }

    fn bezier(from: Point, leaving: Point, reaching: Point, to: Point) -> CubicBez {
        let point = |p: Point| kurbo::Point::new(p.x, p.y);
        CubicBez::new(point(from), point(leaving), point(reaching), point(to))
    }

    /// The point at a parameter.
    pub fn at(&self, t: f64) -> Point {
        match *self {
            Curve::Line { from, to } => from.towards(to, t),
            Curve::Arc { centre, radius, start, sweep } => {
                let (sine, cosine) = libm::sincos(start + sweep * t);
                Point::new(centre.x + radius * cosine, centre.y + radius * sine)
            }
            Curve::Cubic { from, leaving, reaching, to } => {
                let point = Curve::bezier(from, leaving, reaching, to).eval(t);
                Point::new(point.x, point.y)
            }
        }
    }

    /// Where it starts.
    pub fn start(&self) -> Point {
        match *self {
            Curve::Line { from, .. } | Curve::Cubic { from, .. } => from,
            Curve::Arc { .. } => self.at(0.0),
        }
    }

    /// Where it ends.
    pub fn end(&self) -> Point {
        match *self {
            Curve::Line { to, .. } | Curve::Cubic { to, .. } => to,
            Curve::Arc { .. } => self.at(1.0),
        }
    }

    /// Whether it is straight.
    pub fn is_straight(&self) -> bool {
        matches!(self, Curve::Line { .. })
    }

    /// The unit vector along it at a parameter.
    pub fn direction(&self, t: f64) -> Point {
        let along = match *self {
            Curve::Line { from, to } => Point::new(to.x - from.x, to.y - from.y),
            Curve::Arc { start, sweep, .. } => {
                let (sine, cosine) = libm::sincos(start + sweep * t);
                let way = if sweep < 0.0 { -1.0 } else { 1.0 };
                Point::new(-sine * way, cosine * way)
            }
            Curve::Cubic { from, leaving, reaching, to } => {
                let cubic = Curve::bezier(from, leaving, reaching, to);
                let mut along = cubic.deriv().eval(t);
                if along.to_vec2().hypot2() < 1e-18 {
                    // A handle on its own corner: the curve leaves towards the next point that differs.
                    let (a, b) = if t < 0.5 { (t, t + 1e-4) } else { (t - 1e-4, t) };
                    along = (cubic.eval(b) - cubic.eval(a)).to_point();
                }
                Point::new(along.x, along.y)
            }
        };
        let length = Point::default().distance(along);
        Point::new(along.x / length, along.y / length)
    }

    /// The unit vector square to it, to the right of its direction: out of an outline that runs counter-clockwise.
    pub fn outward(&self, t: f64) -> Point {
        let along = self.direction(t);
        Point::new(along.y, -along.x)
    }

    /// The point at a parameter, moved out by a width.
    pub fn moved(&self, t: f64, width: f64) -> Point {
        let (point, out) = (self.at(t), self.outward(t));
        Point::new(point.x + out.x * width, point.y + out.y * width)
    }

    /// How sharply it turns, in 1/mm: positive to the left, 0 where it is straight.
    pub fn curvature(&self, t: f64) -> f64 {
        match *self {
            Curve::Line { .. } => 0.0,
            Curve::Arc { radius, sweep, .. } => {
                if sweep < 0.0 {
                    -1.0 / radius
                } else {
                    1.0 / radius
                }
            }
            Curve::Cubic { from, leaving, reaching, to } => {
                let first = Curve::bezier(from, leaving, reaching, to).deriv();
                let (d, dd) = (first.eval(t).to_vec2(), first.deriv().eval(t).to_vec2());
                let speed = d.hypot();
                if speed < 1e-9 { 0.0 } else { d.cross(dd) / (speed * speed * speed) }
            }
        }
    }

    /// The part of it between two parameters.
    ///
    /// ```
    /// use foldmark::geometry::{Curve, Point};
    /// let line = Curve::Line { from: Point::default(), to: Point::new(40.0, 0.0) };
    /// assert_eq!(line.part(0.25, 0.5), Curve::Line { from: Point::new(10.0, 0.0), to: Point::new(20.0, 0.0) });
    /// ```
    #[must_use]
    pub fn part(&self, from_t: f64, to_t: f64) -> Curve {
        match *self {
            Curve::Line { from, to } => Curve::Line { from: from.towards(to, from_t), to: from.towards(to, to_t) },
            Curve::Arc { centre, radius, start, sweep } => {
                Curve::Arc { centre, radius, start: start + sweep * from_t, sweep: sweep * (to_t - from_t) }
            }
            Curve::Cubic { from, leaving, reaching, to } => {
                let part = Curve::bezier(from, leaving, reaching, to).subsegment(from_t..to_t);
                let [from, leaving, reaching, to] =
                    [part.p0, part.p1, part.p2, part.p3].map(|point| Point::new(point.x, point.y));
                Curve::Cubic { from, leaving, reaching, to }
            }
        }
    }

    /// The parameters between its ends at which it meets the line through a point along a unit vector, in order; none,
    /// if it lies on the line.
    ///
    /// ```
    /// use foldmark::geometry::{Curve, Point};
    /// let line = Curve::Line { from: Point::default(), to: Point::new(40.0, 0.0) };
    /// assert_eq!(line.crossings(Point::new(10.0, 0.0), Point::new(0.0, 1.0)), [0.25]);
    /// ```
    pub fn crossings(&self, through: Point, along: Point) -> Vec<f64> {
        let left = |point: Point| along.x * (point.y - through.y) - along.y * (point.x - through.x);
        let mut found: Vec<f64> = match *self {
            Curve::Line { from, to } => vec![left(from) / (left(from) - left(to))],
            Curve::Arc { centre, radius, start, sweep } => {
                // Its height over the line is that of its centre, and the radius times the sine of the angle between.
                let sine = -left(centre) / radius;
                if sine.abs() > 1.0 {
                    return Vec::new();
                }
                let (level, rise, full) = (libm::atan2(along.y, along.x), libm::asin(sine), 2.0 * std::f64::consts::PI);
                let turned = |angle: f64| {
                    let ahead = (angle - start) * sweep.signum();
                    (ahead - libm::floor(ahead / full) * full) / sweep.abs()
                };
                vec![turned(level + rise), turned(level + std::f64::consts::PI - rise)]
            }
            Curve::Cubic { from, leaving, reaching, to } => {
                let [a, b, c, d] = [from, leaving, reaching, to].map(left);
                let height = |t: f64| {
                    let s = 1.0 - t;
                    s * s * s * a + 3.0 * s * s * t * b + 3.0 * s * t * t * c + t * t * t * d
                };
                // Between neighbouring turning points it crosses once or not at all.
                let mut ends = vec![0.0, 1.0];
                ends.extend(turns([a, b, c, d]));
                ends.sort_by(f64::total_cmp);
                ends.windows(2).filter_map(|pair| sign_change(&height, pair[0], pair[1])).collect()
            }
        };
        found.retain(|t| *t > 0.0 && *t < 1.0);
        found.sort_by(f64::total_cmp);
        found.dedup();
        found
    }

    /// The smallest upright rectangle around it.
    ///
    /// ```
    /// use foldmark::geometry::{Curve, Point};
    /// let (left, right) = (Point::new(-10.0, 0.0), Point::new(10.0, 0.0));
    /// let bounds = Curve::arc(right, Point::default(), left, true).unwrap().bounds();
    /// assert!((bounds.height() - 10.0).abs() < 1e-9 && (bounds.width() - 20.0).abs() < 1e-9);
    /// ```
    pub fn bounds(&self) -> Bounds {
        let mut farthest: Vec<f64> = Vec::new();
        match *self {
            Curve::Line { .. } => {}
            // Where it runs level or upright.
            Curve::Arc { centre, .. } => {
                for along in [Point::new(1.0, 0.0), Point::new(0.0, 1.0)] {
                    farthest.extend(self.crossings(centre, along));
                }
            }
            Curve::Cubic { from, leaving, reaching, to } => {
                for axis in [|point: Point| point.x, |point: Point| point.y] {
                    farthest.extend(turns([from, leaving, reaching, to].map(axis)));
                }
            }
        }
        let ends = Bounds { least: self.start(), most: self.start() };
        let points = farthest.into_iter().map(|t| self.at(t)).chain([self.end()]);
        points.fold(ends, |all, point| all.with(Bounds { least: point, most: point }))
    }

    /// Its length, right to within a micrometre.
    pub fn length(&self) -> f64 {
        match *self {
            Curve::Line { from, to } => from.distance(to),
            Curve::Arc { radius, sweep, .. } => radius * sweep.abs(),
            Curve::Cubic { from, leaving, reaching, to } => {
                Curve::bezier(from, leaving, reaching, to).arclen(LENGTH_ACCURACY)
            }
        }
    }

    /// The parameter so far along it, measured as a tape would lie; before the start and after the end it goes on
    /// evenly.
    pub fn parameter(&self, distance: f64) -> f64 {
        let length = self.length();
        match *self {
            Curve::Cubic { from, leaving, reaching, to } if (0.0..=length).contains(&distance) => {
                Curve::bezier(from, leaving, reaching, to).inv_arclen(distance, LENGTH_ACCURACY)
            }
            Curve::Line { .. } | Curve::Arc { .. } | Curve::Cubic { .. } => distance / length,
        }
    }

    /// The length of the line that runs beside it, moved out by a width, between two parameters: right to within a
    /// micrometre.
    pub fn moved_length(&self, width: f64, from: f64, to: f64) -> f64 {
        match *self {
            Curve::Line { .. } => self.length() * (to - from),
            Curve::Arc { radius, sweep, .. } => {
                let grown = if sweep < 0.0 { radius - width } else { radius + width };
                grown * sweep.abs() * (to - from)
            }
            Curve::Cubic { .. } => {
                // Its speed is the curve's own, times 1 + width × curvature.
                let speed = |t: f64| self.speed(t) * (1.0 + width * self.curvature(t));
                (0..PANELS)
                    .map(|panel| {
                        let step = (to - from) / PANELS as f64;
                        let low = from + step * panel as f64;
                        gauss(&speed, low, low + step)
                    })
                    .sum()
            }
        }
    }

    /// How fast the point moves as the parameter grows.
    fn speed(&self, t: f64) -> f64 {
        match *self {
            Curve::Cubic { from, leaving, reaching, to } => {
                Curve::bezier(from, leaving, reaching, to).deriv().eval(t).to_vec2().hypot()
            }
            Curve::Line { .. } | Curve::Arc { .. } => self.length(),
        }
    }

    /// Parameters from 0 to 1, so close that straight lines between their points, moved out by a width, stay within
    /// a tolerance of the curve.
    pub fn steps(&self, width: f64, tolerance: f64) -> Vec<f64> {
        let count = match *self {
            Curve::Line { .. } => 1.0,
            Curve::Arc { radius, sweep, .. } => {
                let grown = if sweep < 0.0 { (radius - width).abs() } else { radius + width };
                // A chord of angle a leaves its arc by r a²/8. An even count, so that the middle of a half circle,
                // where it reaches furthest, is one of the points.
                2.0 * libm::ceil(sweep.abs() / (8.0 * tolerance / grown.max(tolerance)).sqrt() / 2.0)
            }
            Curve::Cubic { .. } => {
                let sharpest = (0..=32).map(|at| self.curvature(f64::from(at) / 32.0).abs()).fold(0.0, f64::max);
                let length = self.length() * (1.0 + width.abs() * sharpest);
                let tightest = 1.0 / (sharpest + 1e-9);
                libm::ceil(length / (8.0 * tolerance * tightest).sqrt() * 1.5)
            }
        };
        let count = count.clamp(1.0, 4_096.0) as usize;
        (0..=count).map(|at| at as f64 / count as f64).collect()
    }
}

/// Where a cubic coordinate, given at corners and handles, turns from rising to falling or back.
fn turns([from, leaving, reaching, to]: [f64; 4]) -> impl Iterator<Item = f64> {
    // A third of its slope: a t² + b t + c.
    let (a, b, c) =
        (to - 3.0 * reaching + 3.0 * leaving - from, 2.0 * (reaching - 2.0 * leaving + from), leaving - from);
    let root = (b * b - 4.0 * a * c).sqrt();
    // As sums of like signs, which lose no digits.
    let sum = -(b + if b < 0.0 { -root } else { root }) / 2.0;
    [sum / a, c / sum].into_iter().filter(|t| (0.0..=1.0).contains(t))
}

/// Where a steadily rising or falling value passes zero, if it does: halved until the parts are as small as can be.
fn sign_change(height: &dyn Fn(f64) -> f64, mut low: f64, mut high: f64) -> Option<f64> {
    let is_above = height(low) > 0.0;
    if is_above == (height(high) > 0.0) {
        return None;
    }
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if (height(middle) > 0.0) == is_above { low = middle } else { high = middle }
    }
    Some((low + high) / 2.0)
}

/// Into how many parts a cubic is divided to be measured.
const PANELS: usize = 64;

/// Gauss-Legendre integration with five points (Abramowitz and Stegun, table 25.4, n = 5).
fn gauss(f: &dyn Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    const NODES: [(f64, f64); 3] = [
        (0.0, 0.568_888_888_888_888_9),
        (0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
        (0.906_179_845_938_664, 0.236_926_885_056_189_08),
    ];
    let (middle, half) = ((low + high) / 2.0, (high - low) / 2.0);
    let both = |(node, weight): (f64, f64)| {
        if node == 0.0 { weight * f(middle) } else { weight * (f(middle - half * node) + f(middle + half * node)) }
    };
    NODES.map(both).iter().sum::<f64>() * half
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64) {
        assert!((a - b).abs() < 1e-3, "{a} and {b} differ by more than a micrometre");
    }

    /// A cubic that follows a quarter circle of radius 100 to within 0.03 %.
    fn quarter() -> Curve {
        let handle = 100.0 * 0.552_284_749_8;
        Curve::Cubic {
            from: Point::new(100.0, 0.0),
            leaving: Point::new(100.0, handle),
            reaching: Point::new(handle, 100.0),
            to: Point::new(0.0, 100.0),
        }
    }

    #[test]
    fn arcs_turn_the_way_they_are_told() {
        let (from, to) = (Point::new(10.0, 0.0), Point::new(0.0, 10.0));
        let short = Curve::arc(from, Point::default(), to, true).unwrap();
        close(short.length(), 5.0 * std::f64::consts::PI);
        let long = Curve::arc(from, Point::default(), to, false).unwrap();
        close(long.length(), 15.0 * std::f64::consts::PI);
        let whole = Curve::arc(from, Point::default(), from, true).unwrap();
        close(whole.length(), 20.0 * std::f64::consts::PI);
        assert!(Curve::arc(from, Point::default(), Point::new(0.0, 11.0), true).is_err());
    }

    /// Against numeric integration that knows nothing of the curve but its points: chords of a million parts.
    #[test]
    fn lengths_agree_with_numeric_integration() {
        for width in [0.0, 12.0, -12.0] {
            let curve = quarter();
            let parts = 1_000_000;
            let mut chords = 0.0;
            let mut before = curve.moved(0.0, width);
            for at in 1..=parts {
                let point = curve.moved(f64::from(at) / f64::from(parts), width);
                chords += before.distance(point);
                before = point;
            }
            close(curve.moved_length(width, 0.0, 1.0), chords);
            if width == 0.0 {
                close(curve.length(), chords);
            }
        }
    }

    /// A line beside an arc is an arc: closed form r × angle.
    #[test]
    fn a_line_beside_an_arc_is_an_arc() {
        let hollow = Curve::arc(Point::new(0.0, 50.0), Point::default(), Point::new(50.0, 0.0), false).unwrap();
        close(hollow.moved_length(10.0, 0.0, 1.0), 40.0 * std::f64::consts::FRAC_PI_2);
        let bulge = Curve::arc(Point::new(50.0, 0.0), Point::default(), Point::new(0.0, 50.0), true).unwrap();
        close(bulge.moved_length(10.0, 0.0, 1.0), 60.0 * std::f64::consts::FRAC_PI_2);
        close(Point::default().distance(bulge.moved(0.3, 10.0)), 60.0);
    }

    /// The box around a curve holds all of its points, and each side of it touches one: chords of a thousand parts.
    #[test]
    fn bounds_touch_the_curve_on_every_side() {
        let p = Point::new;
        let s =
            Curve::Cubic { from: p(0.0, 0.0), leaving: p(150.0, -40.0), reaching: p(-60.0, 90.0), to: p(80.0, 40.0) };
        let arc = |from, to, left| Curve::arc(from, Point::default(), to, left).unwrap();
        let whole = Curve::Arc { centre: p(5.0, 7.0), radius: 30.0, start: 0.0, sweep: 2.0 * std::f64::consts::PI };
        let most_of_it = arc(p(30.0, 40.0), p(40.0, 30.0), true);
        for curve in [s, whole, most_of_it, arc(p(30.0, 40.0), p(40.0, 30.0), false), s.part(0.2, 0.7), quarter()] {
            let points = (0..=1000).map(|at| curve.at(f64::from(at) / 1000.0));
            let (walked, bounds) = (Bounds::around(points).unwrap(), curve.bounds());
            // A chord of a thousandth of the curve leaves it by a few micrometres.
            let gaps = [
                walked.least.x - bounds.least.x,
                walked.least.y - bounds.least.y,
                bounds.most.x - walked.most.x,
                bounds.most.y - walked.most.y,
            ];
            assert!(gaps.iter().all(|gap| (-1e-9..1e-3).contains(gap)), "{curve:?}: {gaps:?}");
        }
    }

    #[test]
    fn half_way_along_is_half_the_length() {
        let curve = quarter();
        let half = curve.parameter(curve.length() / 2.0);
        assert!((half - 0.5).abs() < 1e-6, "by symmetry");
        let point = curve.at(half);
        close(point.x, point.y);
    }

    #[test]
    fn chords_stay_within_their_tolerance() {
        for (curve, width) in [
            (quarter(), 15.0),
            (Curve::arc(Point::new(80.0, 0.0), Point::default(), Point::new(-80.0, 0.0), true).unwrap(), 10.0),
        ] {
            let tolerance = 0.01;
            let steps = curve.steps(width, tolerance);
            for pair in steps.windows(2) {
                let (a, b) = (curve.moved(pair[0], width), curve.moved(pair[1], width));
                let middle = curve.moved((pair[0] + pair[1]) / 2.0, width);
                assert!(a.towards(b, 0.5).distance(middle) < tolerance * 1.05);
            }
        }
    }
}
