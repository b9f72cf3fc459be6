//! The outline of a piece: the stitching line as it is drafted, and the cutting line outside it.

use super::edge::{DRAWN, Edge, Finish};
use super::joint::{Joint, joint};
use super::point::{Bounds, Point};
use std::fmt;

/// A closed outline, counter-clockwise, with its cutting line.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    edges: Vec<Edge>,
    /// The joint at the start of each edge.
    joints: Vec<Joint>,
}

/// Why an outline can't be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlineFault {
    /// The edge concerned.
    pub edge: String,
    /// What is wrong with it, as the rest of a sentence.
    pub message: String,
}

impl fmt::Display for OutlineFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the edge \"{}\" {}", self.edge, self.message)
    }
}

impl std::error::Error for OutlineFault {}

/// How closely they are followed to be measured: half a micrometre.
const MEASURED: f64 = 5e-4;

impl Outline {
    /// An outline from its edges, each starting where the one before it ends.
    ///
    /// ```
    /// use foldmark::geometry::{Edge, Finish, Outline, Point};
    /// let corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)].map(|(x, y)| Point::new(x, y));
    /// let edge = |n: usize, finish| Edge::straight(n.to_string(), corners[n], corners[(n + 1) % 4], finish);
    /// let seam = Finish::Allowance(10.0);
    /// // A pocket, cut with its top edge on the fold.
    /// let pocket = Outline::new(vec![edge(0, seam), edge(1, seam), edge(2, Finish::Fold), edge(3, seam)]).unwrap();
    /// let cut = pocket.cutting_bounds();
    /// assert_eq!((cut.width(), cut.height()), (120.0, 70.0));
    /// ```
    ///
    /// # Errors
    /// An edge without length, an allowance too wide for a hollow or narrow place, a hem beside a curve, a curved fold or
    /// a second one, or edges that run clockwise or cross.
    pub fn new(edges: Vec<Edge>) -> Result<Outline, OutlineFault> {
        let fault = |edge: &Edge, message: &str| OutlineFault { edge: edge.name.clone(), message: message.to_owned() };
        for edge in &edges {
            let length = edge.stitching_length();
            if !length.is_finite() || length < 1e-6 {
                return Err(fault(edge, "has no length; check the measures that it is drawn from"));
            }
        }
        let mut folds = edges.iter().filter(|edge| edge.finish == Finish::Fold);
        if let Some(fold) = folds.next() {
            if !fold.curve.is_straight() {
                return Err(fault(
                    fold,
                    "lies on the fold of the cloth and is curved; cloth folds along a straight line",
                ));
            }
            if let Some(other) = folds.next() {
                let message =
                    format!("lies on the fold, and so does \"{}\"; a piece can't lie on two folds", fold.name);
                return Err(fault(other, &message));
            }
        }
        let coarse = |outline: &Outline, cut: bool| outline.line(cut, DRAWN * 10.0);
        let mut outline = Outline { joints: Vec::with_capacity(edges.len()), edges };
        let stitching = coarse(&outline, false);
        if let Some((one, other)) = crossing(&stitching) {
            let other = &outline.edges[other].name;
            return Err(fault(&outline.edges[one], &format!("crosses the edge \"{other}\"")));
        }
        if area(&stitching) <= 0.0 {
            return Err(fault(&outline.edges[0], "runs clockwise; an outline is drawn counter-clockwise"));
        }
        for (index, edge) in outline.edges.iter().enumerate() {
            let before = &outline.edges[(index + outline.edges.len() - 1) % outline.edges.len()];
            let joint = joint(before, edge).map_err(|message| fault(edge, message))?;
            outline.joints.push(joint);
        }
        for index in 0..outline.edges.len() {
            outline.has_room(index).map_err(|message| fault(&outline.edges[index], message))?;
        }
        if let Some((one, _)) = crossing(&coarse(&outline, true)) {
            return Err(fault(&outline.edges[one], NO_ROOM));
        }
        Ok(outline)
    }

    /// Where the cutting line of an edge follows its curve.
    fn followed(&self, index: usize) -> (f64, f64) {
        let next = (index + 1) % self.edges.len();
        (self.joints[index].after_begins, self.joints[next].before_stops)
    }

    /// Whether an edge's cutting line is left, and is not hollowed more tightly than its allowance is wide.
    fn has_room(&self, index: usize) -> Result<(), &'static str> {
        let (from, to) = self.followed(index);
        if to - from < 1e-9 {
            return Err(NO_ROOM);
        }
        let edge = &self.edges[index];
        let width = edge.finish.width();
        if edge.curve.is_straight() || width == 0.0 {
            return Ok(());
        }
        let is_tight = |t: &f64| 1.0 + width * edge.curve.curvature(*t) <= 1e-9;
        if edge.curve.steps(width, DRAWN).iter().filter(|t| (from..=to).contains(*t)).any(is_tight) {
            return Err(
                "is hollowed more tightly than its allowance is wide; make the allowance narrower, or the curve gentler",
            );
        }
        Ok(())
    }

    /// Its edges, along the stitching line.
    pub fn edges(&self) -> &[Edge] {
        &self.edges
    }

    /// The points of the stitching or the cutting line, each with the index of its edge: corners, and points of curves so
    /// close that straight lines between them stay within a tolerance.
    fn line(&self, cut: bool, tolerance: f64) -> Vec<(usize, Point)> {
        let mut points = Vec::new();
        for (index, edge) in self.edges.iter().enumerate() {
            let (width, from, to) = if cut {
                points.extend(self.joints[index].points.iter().map(|point| (index, *point)));
                let (from, to) = self.followed(index);
                (edge.finish.width(), from, to)
            } else {
                points.push((index, edge.from()));
                (0.0, 0.0, 1.0)
            };
            if !edge.curve.is_straight() {
                let steps = edge.curve.steps(width, tolerance).into_iter();
                let within = steps.map(|step| from + (to - from) * step).filter(|t| *t > from && *t < to);
                points.extend(within.map(|t| (index, edge.curve.moved(t, width))));
            }
        }
        points
    }

    fn points(&self, cut: bool, tolerance: f64) -> Vec<Point> {
        self.line(cut, tolerance).into_iter().map(|(_, point)| point).collect()
    }

    /// The stitching line, as points close enough to be drawn.
    pub fn stitching(&self) -> Vec<Point> {
        self.points(false, DRAWN)
    }

    /// The cutting line, as points close enough to be drawn.
    pub fn cutting(&self) -> Vec<Point> {
        self.points(true, DRAWN)
    }

    /// The cutting line, as points so close that straight lines between them stay within a tolerance in millimetres.
    ///
    /// ```
    /// use foldmark::geometry::{Curve, Edge, Finish, Outline, Point};
    /// let (right, left) = (Point::new(50.0, 0.0), Point::new(-50.0, 0.0));
    /// let arc = |from, to| Edge {
    ///     curve: Curve::arc(from, Point::default(), to, true).unwrap(),
    ///     ..Edge::straight("rim", from, to, Finish::Allowance(10.0))
    /// };
    /// let base = Outline::new(vec![arc(right, left), arc(left, right)]).unwrap();
    /// let near = base.cutting_near(0.001);
    /// assert!(near.len() > base.cutting().len());
    /// assert!(near.iter().all(|point| (point.distance(Point::default()) - 60.0).abs() < 1e-9));
    /// ```
    pub fn cutting_near(&self, tolerance: f64) -> Vec<Point> {
        self.points(true, tolerance)
    }

    /// The box around the stitching line, right to within a micrometre.
    pub fn stitching_bounds(&self) -> Bounds {
        around(self.points(false, MEASURED))
    }

    /// The box around the cutting line, right to within a micrometre: what has to be cut out.
    pub fn cutting_bounds(&self) -> Bounds {
        around(self.points(true, MEASURED))
    }

    /// The length of an edge's cutting line, in millimetres, right to within a micrometre. The slant of a trimmed corner
    /// and the end of a squared one belong to neither edge.
    pub fn cut_length(&self, index: usize) -> f64 {
        let edge = &self.edges[index];
        let next = &self.joints[(index + 1) % self.edges.len()];
        let (begins, stops) = (self.joints[index].points.last(), next.points.first());
        let (Some(begins), Some(stops)) = (begins, stops) else { return 0.0 };
        if edge.curve.is_straight() {
            return begins.distance(*stops);
        }
        // A curve may run on straight to its corners: those stretches stand between the points of the joints.
        let (from, to) = self.followed(index);
        let stretch = |joint: &Joint, at_end: bool| {
            let points = &joint.points;
            let ends = if at_end {
                points.first().zip(points.get(1))
            } else {
                points.last().zip(points.len().checked_sub(2).and_then(|at| points.get(at)))
            };
            let end = edge.curve.moved(if at_end { 1.0 } else { 0.0 }, edge.finish.width());
            ends.filter(|(own, _)| own.distance(end) < 1e-9).map_or(0.0, |(own, tip)| own.distance(*tip))
        };
        edge.curve.moved_length(edge.finish.width(), from, to)
            + stretch(&self.joints[index], false)
            + stretch(next, true)
    }

    /// The whole stitching line's length, in millimetres.
    pub fn stitching_length(&self) -> f64 {
        self.edges.iter().map(Edge::stitching_length).sum()
    }

    /// So far along the stitching line from the start corner, and round again past its end: the edge there, by index, and
    /// how far it is along that edge. Right to within a micrometre.
    ///
    /// ```
    /// use foldmark::geometry::{Edge, Finish, Outline, Point};
    /// let corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)].map(|(x, y)| Point::new(x, y));
    /// let seam = Finish::Allowance(10.0);
    /// let edge = |n: usize| Edge::straight(n.to_string(), corners[n], corners[(n + 1) % 4], seam);
    /// let panel = Outline::new((0..4).map(edge).collect()).unwrap();
    /// assert_eq!([panel.along(130.0), panel.along(320.0 + 7.0)], [(1, 30.0), (0, 7.0)]);
    /// ```
    pub fn along(&self, distance: f64) -> (usize, f64) {
        let lengths: Vec<f64> = self.edges.iter().map(Edge::stitching_length).collect();
        let whole: f64 = lengths.iter().sum();
        let mut left = distance - libm::floor(distance / whole) * whole;
        for (index, length) in lengths.iter().enumerate() {
            // A corner is the start of its edge, whatever rounding says.
            if left < length - 1e-6 {
                return (index, left.max(0.0));
            }
            left -= length;
        }
        (0, 0.0)
    }

    /// The area inside the cutting line, in square millimetres.
    pub fn cut_area(&self) -> f64 {
        area(&self.line(true, MEASURED))
    }

    /// The edge on the fold of the cloth, if there is one.
    pub fn fold(&self) -> Option<&Edge> {
        self.edges.iter().find(|edge| edge.finish == Finish::Fold)
    }

    /// The cutting line of the piece opened out: itself and its mirror image across the fold; itself if nothing is on the
    /// fold.
    pub fn unfolded(&self) -> Vec<Point> {
        let cutting = self.cutting();
        let Some(fold) = self.fold() else { return cutting };
        // From the fold's far end all the way round to its near end, then back along the mirror image.
        let is_on_fold = |point: &Point| height_over(*point, fold).abs() < 1e-6;
        let count = cutting.len();
        let start =
            (0..count).find(|&at| is_on_fold(&cutting[at]) && !is_on_fold(&cutting[(at + 1) % count])).unwrap_or(0);
        let mut half: Vec<Point> = (0..count).map(|step| cutting[(start + step) % count]).collect();
        // Beside a hem the fold has a corner on its way, which is none of the opened piece.
        half.truncate(half.iter().rposition(|point| !is_on_fold(point)).map_or(count, |last| last + 2));
        let mirrored = half.iter().rev().filter(|point| !is_on_fold(point)).map(|point| mirror(*point, fold));
        half.iter().copied().chain(mirrored).collect()
    }
}

const NO_ROOM: &str = "has no room for its allowance; make the allowance narrower";

fn around(points: Vec<Point>) -> Bounds {
    Bounds::around(points).unwrap_or(Bounds { least: Point::default(), most: Point::default() })
}

/// How far a point lies outside a straight edge.
fn height_over(point: Point, edge: &Edge) -> f64 {
    let (from, out) = (edge.from(), edge.outward(0.0));
    (point.x - from.x) * out.x + (point.y - from.y) * out.y
}

fn mirror(point: Point, edge: &Edge) -> Point {
    let (out, above) = (edge.outward(0.0), height_over(point, edge));
    Point::new(point.x - 2.0 * above * out.x, point.y - 2.0 * above * out.y)
}

/// The signed area, counter-clockwise positive, in square millimetres.
fn area(points: &[(usize, Point)]) -> f64 {
    let next = points.iter().cycle().skip(1);
    points.iter().zip(next).map(|((_, a), (_, b))| a.x * b.y - b.x * a.y).sum::<f64>() / 2.0
}

/// The first two edges of a closed line that cross each other, by index.
fn crossing(points: &[(usize, Point)]) -> Option<(usize, usize)> {
    let count = points.len();
    let side = |at: usize| (points[at].1, points[(at + 1) % count].1);
    let turn = |(a, b): (Point, Point), p: Point| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
    let boxes: Vec<Bounds> = (0..count).map(|at| around(vec![side(at).0, side(at).1])).collect();
    let neighbours = |one: usize, other: usize| (one + 1) % count == other || (other + 1) % count == one;
    let cross = |one: usize, other: usize| {
        let (first, second) = (side(one), side(other));
        turn(first, second.0) * turn(first, second.1) < 0.0 && turn(second, first.0) * turn(second, first.1) < 0.0
    };
    // From left to right, so that each is compared only with those that it lies above or below.
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|a, b| boxes[*a].least.x.total_cmp(&boxes[*b].least.x));
    let mut beside: Vec<usize> = Vec::new();
    let mut found: Option<(usize, usize)> = None;
    for at in order {
        let (low, high) = (boxes[at].least.y, boxes[at].most.y);
        beside.retain(|other| boxes[*other].most.x >= boxes[at].least.x);
        let near = beside.iter().filter(|other| boxes[**other].least.y <= high && boxes[**other].most.y >= low);
        let crossed = near.filter(|other| !neighbours(at, **other) && cross(at, **other));
        found = crossed.map(|other| (at.min(*other), at.max(*other))).chain(found).min();
        beside.push(at);
    }
    found.map(|(one, other)| (points[one].0, points[other].0))
}

#[cfg(test)]
mod tests {
    use super::super::{Corner, Curve};
    use super::*;
    use std::f64::consts::PI;

    fn outline(corners: &[(f64, f64)], finishes: &[Finish]) -> Result<Outline, OutlineFault> {
        let points: Vec<Point> = corners.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        let edge = |n: usize| {
            let (from, to) = (points[n], points[(n + 1) % points.len()]);
            Edge::straight(format!("edge {n}"), from, to, finishes[n % finishes.len()])
        };
        Outline::new((0..points.len()).map(edge).collect())
    }

    const SEAM: Finish = Finish::Allowance(10.0);
    const OBLONG: [(f64, f64); 4] = [(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)];

    fn corners(outline: &Outline) -> Vec<(f64, f64)> {
        let round = |value: f64| (value * 1e6).round() / 1e6;
        outline.cutting().iter().map(|point| (round(point.x), round(point.y))).collect()
    }

    #[test]
    fn neighbouring_edges_may_differ_in_allowance() {
        let finishes =
            [Finish::Allowance(5.0), Finish::Allowance(10.0), Finish::Allowance(0.0), Finish::Allowance(20.0)];
        let cut = outline(&OBLONG, &finishes).unwrap();
        assert_eq!(corners(&cut), [(-20.0, -5.0), (110.0, -5.0), (110.0, 50.0), (-20.0, 50.0)]);
        assert_eq!([0, 1, 2, 3].map(|edge| cut.cut_length(edge)), [130.0, 55.0, 130.0, 55.0]);
    }

    #[test]
    fn opened_out_a_piece_on_the_fold_is_twice_as_high() {
        let pocket = outline(&OBLONG, &[SEAM, SEAM, Finish::Fold, SEAM]).unwrap();
        let opened = Bounds::around(pocket.unfolded()).unwrap();
        assert_eq!((opened.width(), opened.height()), (120.0, 120.0));
    }

    /// Beside a hem, too: nothing crosses, and both halves are there.
    #[test]
    fn opened_out_beside_a_hem_it_is_whole() {
        for finishes in [[SEAM, SEAM, Finish::Fold, Finish::Hem(20.0)], [SEAM, Finish::Hem(20.0), Finish::Fold, SEAM]] {
            let pocket = outline(&OBLONG, &finishes).unwrap();
            let opened: Vec<(usize, Point)> = pocket.unfolded().into_iter().map(|point| (0, point)).collect();
            assert!(crossing(&opened).is_none() && (area(&opened) - 2.0 * pocket.cut_area()).abs() < 1e-6);
        }
    }

    /// Turned down along its stitching line, the hem's cut ends lie on the cut sides: mirroring the one gives the other.
    #[test]
    fn a_hem_lies_flush_when_turned() {
        let bucket = [(20.0, 0.0), (80.0, 0.0), (100.0, 60.0), (0.0, 60.0)];
        let cut = outline(&bucket, &[SEAM, SEAM, Finish::Hem(25.0), SEAM]).unwrap();
        let points = cut.cutting();
        assert_eq!(points.len(), 6);
        for (fold, outer, side) in [(points[2], points[3], points[1]), (points[5], points[4], points[0])] {
            assert!((fold.y - 60.0).abs() < 1e-9 && (outer.y - 85.0).abs() < 1e-9);
            let turned = Point::new(outer.x, 120.0 - outer.y);
            let on_side = (fold.x - side.x) * (turned.y - side.y) - (fold.y - side.y) * (turned.x - side.x);
            assert!(on_side.abs() < 1e-6, "the turned corner lies on the cut side");
        }
    }

    #[test]
    fn corners_are_mitred_squared_off_or_trimmed() {
        // A tip of 20 degrees: a full mitre would reach 10 / sin(10°) = 57.6 mm.
        let slope = (20.0_f64).to_radians().tan();
        let sharp = outline(&[(0.0, 0.0), (200.0, 0.0), (200.0, 200.0 * slope)], &[SEAM]).unwrap();
        let points = sharp.cutting();
        assert_eq!(points.len(), 4, "the tip is squared off");
        let nearest = points.iter().map(|point| Point::default().distance(*point)).fold(f64::MAX, f64::min);
        assert!((40.0..42.0).contains(&nearest), "at four allowances, {nearest}");
        let mut edges = outline(&OBLONG, &[SEAM]).unwrap().edges().to_vec();
        edges[1].corner = Corner::Trimmed;
        let trimmed = Outline::new(edges).unwrap();
        assert_eq!(corners(&trimmed), [(-10.0, -10.0), (100.0, -10.0), (110.0, 0.0), (110.0, 60.0), (-10.0, 60.0)]);
    }

    /// Closed form: a circle of radius r with allowance a is cut as a circle of radius r + a.
    #[test]
    fn a_round_base() {
        for radius in [12.7, 25.0, 41.3, 80.0] {
            let (centre, right, left) = (Point::default(), Point::new(radius, 0.0), Point::new(-radius, 0.0));
            let half = |name: &str, from, to| Edge {
                curve: Curve::arc(from, centre, to, true).unwrap(),
                ..Edge::straight(name, from, to, SEAM)
            };
            let base = Outline::new(vec![half("upper", right, left), half("lower", left, right)]).unwrap();
            let across = 2.0 * (radius + 10.0);
            assert!((base.stitching_length() - 2.0 * radius * PI).abs() < 1e-3);
            assert!((base.cut_length(0) + base.cut_length(1) - across * PI).abs() < 1e-3);
            // To the nanometre, since a cutting list says "about" of what lies beside a tick.
            let bounds = base.cutting_bounds();
            assert!((bounds.width() - across).abs() < 1e-6 && (bounds.height() - across).abs() < 1e-6, "{bounds:?}");
            assert!((base.cut_area() / (across * across * PI / 4.0) - 1.0).abs() < 5e-5);
        }
    }

    /// A front with rounded lower corners: closed forms for both lines.
    #[test]
    fn rounded_corners_join_straight_edges_smoothly() {
        let (w, h, r) = (200.0, 150.0, 40.0);
        let p = Point::new;
        let arc = |name: &str, from, centre, to| Edge {
            curve: Curve::arc(from, centre, to, true).unwrap(),
            ..Edge::straight(name, from, to, SEAM)
        };
        let front = Outline::new(vec![
            Edge::straight("base", p(r, 0.0), p(w - r, 0.0), SEAM),
            arc("right corner", p(w - r, 0.0), p(w - r, r), p(w, r)),
            Edge::straight("right side", p(w, r), p(w, h), SEAM),
            Edge::straight("top", p(w, h), p(0.0, h), SEAM),
            Edge::straight("left side", p(0.0, h), p(0.0, r), SEAM),
            arc("left corner", p(0.0, r), p(r, r), p(r, 0.0)),
        ])
        .unwrap();
        // Two of the four corners are rounded, each replacing two radii by a quarter circle.
        assert!((front.stitching_length() - (2.0 * w + 2.0 * h - 4.0 * r + PI * r)).abs() < 1e-3);
        assert!((front.cut_length(1) - (r + 10.0) * PI / 2.0).abs() < 1e-3);
        assert!((front.cutting_bounds().width() - 220.0).abs() < 1e-3);
    }

    /// A bite out of the top edge: beyond it the allowance runs into the straight edges beside it.
    #[test]
    fn allowances_meet_in_hollow_corners() {
        let p = Point::new;
        let bite = |width: f64| {
            let seam = Finish::Allowance(width);
            Outline::new(vec![
                Edge::straight("base", p(0.0, 0.0), p(200.0, 0.0), seam),
                Edge::straight("right", p(200.0, 0.0), p(200.0, 100.0), seam),
                Edge::straight("top right", p(200.0, 100.0), p(130.0, 100.0), seam),
                Edge {
                    curve: Curve::arc(p(130.0, 100.0), p(100.0, 100.0), p(70.0, 100.0), false).unwrap(),
                    ..Edge::straight("bite", p(0.0, 0.0), p(0.0, 0.0), seam)
                },
                Edge::straight("top left", p(70.0, 100.0), p(0.0, 100.0), seam),
                Edge::straight("left", p(0.0, 100.0), p(0.0, 0.0), seam),
            ])
        };
        let cut = bite(10.0).unwrap();
        // The cut bite has radius 20 and starts where it meets the line 10 above: beyond its own centre it is vertical.
        let lowest = cut
            .cutting()
            .iter()
            .filter(|point| (point.x - 100.0).abs() < 25.0 && point.y > 50.0)
            .map(|point| point.y)
            .fold(f64::MAX, f64::min);
        assert!((lowest - 80.0).abs() < 0.06, "{lowest}");
        assert!((cut.cut_length(3) - (20.0 * PI + 2.0 * 10.0)).abs() < 1e-3, "{}", cut.cut_length(3));
        let fault = bite(31.0).unwrap_err().to_string();
        assert!(fault.contains("the edge \"bite\"") && fault.contains("allowance"), "{fault}");
    }

    /// Two bulges meet in a hollow corner: their cutting lines cross where two circles of a larger radius do.
    #[test]
    fn curves_are_trimmed_where_they_cross() {
        let p = Point::new;
        let (one, other) = (p(150.0, 70.0), p(50.0, 70.0));
        let arc = |name: &str, from, centre, to| Edge {
            curve: Curve::arc(from, centre, to, true).unwrap(),
            ..Edge::straight(name, from, to, SEAM)
        };
        let heart = Outline::new(vec![
            Edge::straight("right", p(100.0, 0.0), p(200.0, 100.0), SEAM),
            arc("right bulge", p(200.0, 100.0), one, p(100.0, 100.0)),
            arc("left bulge", p(100.0, 100.0), other, p(0.0, 100.0)),
            Edge::straight("left", p(0.0, 100.0), p(100.0, 0.0), SEAM),
        ])
        .unwrap();
        let radius = (50.0_f64 * 50.0 + 30.0 * 30.0).sqrt() + 10.0;
        let crossing = p(100.0, 70.0 + (radius * radius - 50.0 * 50.0).sqrt());
        assert!(heart.cutting().iter().any(|point| point.distance(crossing) < 1e-6), "{:?}", heart.cutting());
        // The angle from the start of the bulge to the crossing, seen from the middle of the circle.
        let angle = |point: Point| (point.y - one.y).atan2(point.x - one.x);
        let turned = angle(crossing) - angle(p(200.0, 100.0));
        let tip = heart.joints[1].points[0].distance(heart.edges[1].curve.moved(0.0, 10.0));
        assert!((heart.cut_length(1) - (radius * turned + tip)).abs() < 1e-3);
    }

    #[test]
    fn what_cannot_be_cut_names_its_edge() {
        let narrow = [
            (0.0, 0.0),
            (60.0, 0.0),
            (60.0, 50.0),
            (35.0, 50.0),
            (35.0, 10.0),
            (25.0, 10.0),
            (25.0, 50.0),
            (0.0, 50.0),
        ];
        let fault = outline(&narrow, &[SEAM]).unwrap_err();
        assert!(fault.to_string().contains("has no room for its allowance"), "{fault}");
        let bow = outline(&[(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)], &[SEAM]).unwrap_err();
        assert_eq!(bow.to_string(), "the edge \"edge 0\" crosses the edge \"edge 2\"");
        let clockwise = outline(&[(0.0, 0.0), (0.0, 10.0), (10.0, 0.0)], &[SEAM]).unwrap_err();
        assert!(clockwise.to_string().contains("clockwise"));
        let flat = outline(&[(0.0, 0.0), (0.0, 0.0), (10.0, 10.0)], &[SEAM]).unwrap_err();
        assert!(flat.to_string().contains("no length"));
    }

    #[test]
    fn the_stitching_line_measures_notches() {
        let piece = outline(&[(0.0, 0.0), (30.0, 40.0), (0.0, 40.0)], &[SEAM]).unwrap();
        assert_eq!(piece.edges()[0].stitching_length(), 50.0);
        assert_eq!(piece.edges()[0].along(25.0), Point::new(15.0, 20.0));
    }
}
