//! An outline split along a straight line.

use super::curve::Curve;
use super::edge::{Corner, Edge, Finish};
use super::outline::{Outline, OutlineFault};
use super::point::Point;

/// What lies nearer to the line than this, in millimetres, lies on it: a tenth of a micrometre.
const ON_LINE: f64 = 1e-4;

/// A part that reaches no farther from the line than this is no cloth: a micrometre.
const NO_CLOTH: f64 = 1e-3;

/// A stretch of an edge on one side of the line.
struct Stretch {
    edge: usize,
    from: f64,
    to: f64,
    is_left: bool,
}

impl Outline {
    /// The part of it that lies left of a line walked from one point to another; walked back, the line gives the
    /// other part. The line runs on past both points. What is left of each edge keeps its name and its finish; the new
    /// edge lies on the line, has a name and a finish of its own, and comes first.
    ///
    /// An edge that the line crosses twice may be left as two stretches, which have the same name.
    ///
    /// ```
    /// use foldmark::geometry::{Edge, Finish, Outline, Point};
    /// let corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)].map(|(x, y)| Point::new(x, y));
    /// let names = ["base", "right", "top", "left"];
    /// let seam = Finish::Allowance(10.0);
    /// let edge = |n: usize| Edge::straight(names[n], corners[n], corners[(n + 1) % 4], seam);
    /// let panel = Outline::new((0..4).map(edge).collect()).unwrap();
    /// let upper = panel.split(Point::new(0.0, 40.0), Point::new(100.0, 40.0), "split", seam).unwrap();
    /// let left: Vec<&str> = upper.edges().iter().map(|edge| edge.name.as_str()).collect();
    /// assert_eq!(left, ["split", "right", "top", "left"]);
    /// // Twenty are left of the height, and an allowance lies above and below them.
    /// assert_eq!(upper.cutting_bounds().height(), 40.0);
    /// ```
    ///
    /// # Errors
    /// A line without direction, one that misses the outline, runs along an edge, crosses more than twice or leaves no
    /// cloth; or a part that can't be cut, as [`Outline::new`] tells.
    pub fn split(&self, from: Point, to: Point, name: &str, finish: Finish) -> Result<Outline, OutlineFault> {
        let fault = |message: String| OutlineFault { edge: name.to_owned(), message };
        let length = from.distance(to);
        if !length.is_finite() || length < 1e-6 {
            return Err(fault("has no direction, since its line runs from a point to the same point".to_owned()));
        }
        let line = Ruled { through: from, along: Point::new((to.x - from.x) / length, (to.y - from.y) / length) };
        let mut stretches: Vec<Stretch> = Vec::new();
        for (index, edge) in self.edges().iter().enumerate() {
            if line.holds(&edge.curve) {
                let what = if edge.finish == Finish::Fold { "fold" } else { "edge" };
                return Err(fault(format!(
                    "runs along the {what} \"{}\", where there is nothing to split; move its line into the piece",
                    edge.name
                )));
            }
            stretches.extend(line.stretches(index, &edge.curve));
        }
        let count = stretches.len();
        let begins: Vec<usize> =
            (0..count).filter(|at| stretches[*at].is_left != stretches[(at + count - 1) % count].is_left).collect();
        let (one, other) = match begins[..] {
            [] => return Err(fault("misses the outline; move its line so that it crosses the piece".to_owned())),
            [one, other] => (one, other),
            _ => {
                let names: Vec<String> =
                    begins.iter().map(|at| format!("\"{}\"", self.edges()[stretches[*at].edge].name)).collect();
                return Err(fault(format!(
                    "crosses the outline {} times, at {}; a line splits a piece where it crosses it twice",
                    begins.len(),
                    names.join(", ")
                )));
            }
        };
        let begin = if stretches[one].is_left { one } else { other };
        let mut part: Vec<Edge> = Vec::new();
        for stretch in (0..count).map(|step| &stretches[(begin + step) % count]).take_while(|stretch| stretch.is_left) {
            let edge = &self.edges()[stretch.edge];
            // The corner before the first stretch is a new one.
            let is_new = part.is_empty() || stretch.from > 0.0;
            let corner = if is_new { Corner::Mitred } else { edge.corner };
            part.push(Edge { curve: edge.curve.part(stretch.from, stretch.to), corner, ..edge.clone() });
        }
        let farthest = |edge: &Edge| edge.drawn().into_iter().map(|point| line.left(point)).fold(0.0, f64::max);
        let is_cloth = part.iter().map(farthest).fold(0.0, f64::max) > NO_CLOTH;
        let (Some(first), Some(last), true) = (part.first(), part.last(), is_cloth) else {
            return Err(fault("leaves no cloth on one of its sides; move its line into the piece".to_owned()));
        };
        let new = Edge::straight(name, last.to(), first.from(), finish);
        part.insert(0, new);
        Outline::new(part)
    }
}

/// A straight line without ends: a point on it, and the unit vector along it.
struct Ruled {
    through: Point,
    along: Point,
}

impl Ruled {
    /// How far left of it a point lies; negative, if it lies right of it.
    fn left(&self, point: Point) -> f64 {
        self.along.x * (point.y - self.through.y) - self.along.y * (point.x - self.through.x)
    }

    /// Whether a whole edge lies on it.
    fn holds(&self, curve: &Curve) -> bool {
        (0..=8).all(|at| self.left(curve.at(f64::from(at) / 8.0)).abs() < ON_LINE)
    }

    /// An edge cut where it changes sides. A crossing next to a corner is taken to lie in the corner.
    fn stretches(&self, edge: usize, curve: &Curve) -> Vec<Stretch> {
        let near = ON_LINE / curve.length();
        let mut cuts = curve.crossings(self.through, self.along);
        cuts.retain(|t| *t > near && *t < 1.0 - near);
        let ends = std::iter::once(0.0).chain(cuts.iter().copied()).zip(cuts.iter().copied().chain([1.0]));
        let mut stretches: Vec<Stretch> = Vec::new();
        for (from, to) in ends {
            let left = self.left(curve.at((from + to) / 2.0));
            match stretches.last_mut() {
                // Where it only touches the line, it does not change sides.
                Some(before) if left.abs() < ON_LINE || before.is_left == (left > 0.0) => before.to = to,
                // Nothing at its start counts either.
                None if left.abs() < ON_LINE && to < 1.0 => {
                    let is_left = self.left(curve.at((to + 1.0) / 2.0)) > 0.0;
                    stretches.push(Stretch { edge, from, to, is_left });
                }
                _ => stretches.push(Stretch { edge, from, to, is_left: left > 0.0 }),
            }
        }
        stretches
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    const SEAM: Finish = Finish::Allowance(10.0);

    fn p(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    fn straight(corners: &[(f64, f64)]) -> Outline {
        let points: Vec<Point> = corners.iter().map(|(x, y)| p(*x, *y)).collect();
        let edge = |n: usize| Edge::straight(format!("edge {n}"), points[n], points[(n + 1) % points.len()], SEAM);
        Outline::new((0..points.len()).map(edge).collect()).unwrap()
    }

    fn oblong() -> Outline {
        straight(&[(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)])
    }

    fn names(outline: &Outline) -> Vec<&str> {
        outline.edges().iter().map(|edge| edge.name.as_str()).collect()
    }

    /// The upper half of a disc, round side up.
    fn half_disc(allowance: Finish) -> Outline {
        let arc = Curve::arc(p(80.0, 0.0), p(0.0, 0.0), p(-80.0, 0.0), true).unwrap();
        let round = Edge { curve: arc, ..Edge::straight("round", p(0.0, 0.0), p(0.0, 0.0), SEAM) };
        Outline::new(vec![round, Edge::straight("flat", p(-80.0, 0.0), p(80.0, 0.0), allowance)]).unwrap()
    }

    #[test]
    fn both_parts_get_an_allowance_at_the_new_edge() {
        let whole = oblong();
        let (from, to) = (p(0.0, 20.0), p(100.0, 20.0));
        let upper = whole.split(from, to, "split", Finish::Allowance(6.0)).unwrap();
        let lower = whole.split(to, from, "split", Finish::Allowance(8.0)).unwrap();
        assert_eq!(names(&upper), ["split", "edge 1", "edge 2", "edge 3"]);
        assert_eq!(names(&lower), ["split", "edge 3", "edge 0", "edge 1"]);
        // 30 of the height and 20 of it, an allowance of 10 at the old edge and the new one's at the other.
        assert_eq!(upper.cutting_bounds().height(), 30.0 + 10.0 + 6.0);
        assert_eq!(lower.cutting_bounds().height(), 20.0 + 10.0 + 8.0);
        assert_eq!(upper.cutting_bounds().least, p(-10.0, 14.0));
        assert_eq!(lower.cutting_bounds().most, p(110.0, 28.0));
        assert_eq!([upper.cut_length(0), lower.cut_length(0)], [120.0, 120.0]);
    }

    #[test]
    fn the_line_may_stop_short_of_the_outline_or_run_through_corners() {
        let whole = oblong();
        let slanting = whole.split(p(0.0, 0.0), p(100.0, 50.0), "split", SEAM).unwrap();
        assert_eq!(names(&slanting), ["split", "edge 2", "edge 3"]);
        let short = whole.split(p(20.0, 10.0), p(40.0, 20.0), "split", SEAM).unwrap();
        assert_eq!(names(&short), ["split", "edge 2", "edge 3"]);
        // A twentieth of a micrometre beside a corner is the corner.
        let beside = whole.split(p(0.0, 5e-5), p(100.0, 50.0), "split", SEAM).unwrap();
        assert_eq!(names(&beside), ["split", "edge 2", "edge 3"]);
    }

    /// Closed form: across the middle of a half disc's height, the chord of the circle.
    #[test]
    fn arcs_are_split() {
        let whole = half_disc(SEAM);
        let (from, to) = (p(-90.0, 40.0), p(90.0, 40.0));
        let cap = whole.split(from, to, "split", SEAM).unwrap();
        assert_eq!(names(&cap), ["split", "round"]);
        let chord = 2.0 * (80.0_f64 * 80.0 - 40.0 * 40.0).sqrt();
        assert!((cap.edges()[0].stitching_length() - chord).abs() < 1e-6);
        // At half the radius the angle between chord and radius is 30 degrees, so 120 are left of the arc.
        assert!((cap.edges()[1].stitching_length() - 80.0 * PI * 2.0 / 3.0).abs() < 1e-6);
        // Below it, the arc is left as two stretches of 30 degrees each, under the same name.
        let rest = whole.split(to, from, "split", SEAM).unwrap();
        assert_eq!(names(&rest), ["split", "round", "flat", "round"]);
        for stretch in [1, 3] {
            assert!((rest.edges()[stretch].stitching_length() - 80.0 * PI / 6.0).abs() < 1e-6);
        }
    }

    /// A cubic of known shape: y = 3 t (1 - t) × 100 over x = 300 t, split where y is 48: t = 0.2 and 0.8.
    #[test]
    fn curves_are_split() {
        let curve =
            Curve::Cubic { from: p(300.0, 0.0), leaving: p(200.0, 100.0), reaching: p(100.0, 100.0), to: p(0.0, 0.0) };
        let hill = Outline::new(vec![
            Edge { curve, ..Edge::straight("hill", p(0.0, 0.0), p(0.0, 0.0), Finish::Allowance(5.0)) },
            Edge::straight("base", p(0.0, 0.0), p(300.0, 0.0), Finish::Allowance(5.0)),
        ])
        .unwrap();
        let top = hill.split(p(0.0, 48.0), p(1.0, 48.0), "split", Finish::Allowance(5.0)).unwrap();
        assert_eq!(names(&top), ["split", "hill"]);
        assert!(top.edges()[0].from().distance(p(60.0, 48.0)) < 1e-6, "{:?}", top.edges()[0]);
        assert!(top.edges()[0].to().distance(p(240.0, 48.0)) < 1e-6);
        let rest = hill.split(p(1.0, 48.0), p(0.0, 48.0), "split", Finish::Allowance(5.0)).unwrap();
        let lengths = [&top.edges()[1], &rest.edges()[1], &rest.edges()[3]].map(Edge::stitching_length);
        assert!((lengths.iter().sum::<f64>() - hill.edges()[0].stitching_length()).abs() < 1e-3, "to a micrometre");
    }

    /// A line that only touches a curve from outside or inside does not divide it.
    #[test]
    fn a_line_may_touch() {
        let whole = half_disc(SEAM);
        let fault = whole.split(p(-90.0, 80.0), p(90.0, 80.0), "split", SEAM).unwrap_err().to_string();
        assert_eq!(fault, "the edge \"split\" misses the outline; move its line so that it crosses the piece");
        // Through the inner corner of an L, and on through its far side.
        let l = straight(&[(0.0, 0.0), (90.0, 0.0), (90.0, 40.0), (40.0, 40.0), (40.0, 90.0), (0.0, 90.0)]);
        let corner = l.split(p(40.0, 40.0), p(0.0, 0.0), "split", SEAM).unwrap();
        assert_eq!(names(&corner), ["split", "edge 0", "edge 1", "edge 2"]);
    }

    #[test]
    fn a_fold_goes_on_in_both_parts() {
        let whole = half_disc(Finish::Fold);
        let (from, to) = (p(20.0, -1.0), p(20.0, 1.0));
        let parts = [whole.split(from, to, "split", SEAM), whole.split(to, from, "split", SEAM)].map(Result::unwrap);
        let folds = parts.each_ref().map(|part| part.fold().unwrap().stitching_length());
        assert_eq!(folds, [100.0, 60.0]);
        // The new edge may be a fold itself, of a piece that has none.
        let half = oblong().split(p(50.0, 0.0), p(50.0, 50.0), "middle", Finish::Fold).unwrap();
        assert_eq!(half.unfolded().iter().map(|point| point.x).fold(f64::MIN, f64::max), 110.0);
        let twice = whole.split(from, to, "split", Finish::Fold).unwrap_err().to_string();
        assert!(twice.contains("two folds"), "{twice}");
    }

    #[test]
    fn a_hem_is_split_with_its_turned_corners() {
        let mut edges = oblong().edges().to_vec();
        edges[2].finish = Finish::Hem(25.0);
        let half = Outline::new(edges).unwrap().split(p(50.0, 0.0), p(50.0, 50.0), "split", SEAM).unwrap();
        assert_eq!(half.cutting_bounds().least, p(-10.0, -10.0));
        assert_eq!(half.cutting_bounds().most, p(60.0, 75.0));
    }

    #[test]
    fn what_cannot_be_split_names_its_edges() {
        let fault =
            |outline: &Outline, from: Point, to: Point| outline.split(from, to, "split", SEAM).unwrap_err().to_string();
        let whole = oblong();
        assert_eq!(
            fault(&whole, p(0.0, 60.0), p(100.0, 60.0)),
            "the edge \"split\" misses the outline; move its line so that it crosses the piece"
        );
        assert_eq!(
            fault(&whole, p(0.0, 50.0), p(100.0, 50.0)),
            "the edge \"split\" runs along the edge \"edge 2\", where there is nothing to split; move its line into the piece"
        );
        let folded = half_disc(Finish::Fold);
        assert!(fault(&folded, p(0.0, 0.0), p(1.0, 0.0)).contains("runs along the fold \"flat\""));
        assert_eq!(
            fault(&whole, p(0.0, 60.0), p(0.0, 60.0)),
            "the edge \"split\" has no direction, since its line runs from a point to the same point"
        );
        assert_eq!(
            fault(&whole, p(0.0, 49.9995), p(100.0, 49.9995)),
            "the edge \"split\" leaves no cloth on one of its sides; move its line into the piece"
        );
        let u = straight(&[
            (0.0, 0.0),
            (100.0, 0.0),
            (100.0, 80.0),
            (70.0, 80.0),
            (70.0, 30.0),
            (30.0, 30.0),
            (30.0, 80.0),
            (0.0, 80.0),
        ]);
        assert_eq!(
            fault(&u, p(0.0, 50.0), p(100.0, 50.0)),
            "the edge \"split\" crosses the outline 4 times, at \"edge 1\", \"edge 3\", \"edge 5\", \"edge 7\"; a line splits a piece where it crosses it twice"
        );
    }
}
