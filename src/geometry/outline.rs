//! The outline of a piece: the stitching line as it is drafted, and the cutting line outside it.

use super::point::{Bounds, Point};
use std::fmt;

/// What lies beyond an edge's stitching line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Finish {
    /// Cloth for the seam, this wide, in millimetres; not negative.
    Allowance(f64),
    /// The fold of the cloth: nothing is cut here.
    Fold,
}

impl Finish {
    fn width(self) -> f64 {
        match self {
            Finish::Allowance(width) => width,
            Finish::Fold => 0.0,
        }
    }
}

/// A straight edge, from the corner before it to its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// What the maker calls it.
    pub name: String,
    /// Where it starts, on the stitching line.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
    /// What lies beyond it.
    pub finish: Finish,
}

impl Edge {
    /// Its length along the stitching line, in millimetres.
    pub fn stitching_length(&self) -> f64 {
        self.from.distance(self.to)
    }

    /// The point so far along its stitching line from its first corner.
    pub fn along(&self, distance: f64) -> Point {
        self.from.towards(self.to, distance / self.stitching_length())
    }

    /// The unit vector along it.
    fn direction(&self) -> Point {
        let length = self.stitching_length();
        Point::new((self.to.x - self.from.x) / length, (self.to.y - self.from.y) / length)
    }

    /// The unit vector out of the piece, square to the edge: to the right of its direction, since edges
    /// run counter-clockwise.
    pub fn outward(&self) -> Point {
        let along = self.direction();
        Point::new(along.y, -along.x)
    }

    /// One of its ends, moved out by the allowance.
    fn moved(&self, end: Point) -> Point {
        let (out, width) = (self.outward(), self.finish.width());
        Point::new(end.x + out.x * width, end.y + out.y * width)
    }
}

/// A closed outline of straight edges, counter-clockwise, with its cutting line.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    edges: Vec<Edge>,
    cutting: Vec<Point>,
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

/// Two edges nearer to parallel than this (the sine of the angle between them) meet without a mitre.
const PARALLEL: f64 = 1e-9;

/// A mitre longer than this many allowances means a corner too sharp to sew.
const LONGEST_MITRE: f64 = 6.0;

impl Outline {
    /// An outline from its edges, each starting where the one before it ends.
    ///
    /// ```
    /// use foldmark::geometry::{Edge, Finish, Outline, Point};
    /// let corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)].map(|(x, y)| Point::new(x, y));
    /// let edge = |n: usize, finish| Edge { name: n.to_string(), from: corners[n], to: corners[(n + 1) % 4], finish };
    /// let seam = Finish::Allowance(10.0);
    /// // A pocket, cut with its top edge on the fold.
    /// let pocket = Outline::new(vec![edge(0, seam), edge(1, seam), edge(2, Finish::Fold), edge(3, seam)]).unwrap();
    /// let cut = pocket.cutting_bounds();
    /// assert_eq!((cut.width(), cut.height()), (120.0, 70.0));
    /// ```
    ///
    /// # Errors
    /// An edge without length, a corner too sharp, an allowance too wide for a hollow in the outline, or
    /// edges that run clockwise or cross.
    pub fn new(edges: Vec<Edge>) -> Result<Outline, OutlineFault> {
        let fault =
            |edge: &Edge, message: &str| Err(OutlineFault { edge: edge.name.clone(), message: message.to_owned() });
        for edge in &edges {
            let length = edge.stitching_length();
            if length.is_nan() || length < 1e-6 {
                return fault(edge, "has no length; check the measures that it is drawn from");
            }
        }
        let stitching: Vec<Point> = edges.iter().map(|edge| edge.from).collect();
        if let Some((one, other)) = crossing(&stitching) {
            return fault(&edges[one], &format!("crosses the edge \"{}\"", edges[other].name));
        }
        if area(&stitching) <= 0.0 {
            return fault(&edges[0], "runs clockwise; an outline is drawn counter-clockwise");
        }
        let mut cutting = Vec::with_capacity(edges.len());
        let mut first_of = Vec::with_capacity(edges.len());
        for (index, edge) in edges.iter().enumerate() {
            let before = &edges[(index + edges.len() - 1) % edges.len()];
            corner(before, edge, &mut cutting)
                .map_err(|message| OutlineFault { edge: edge.name.clone(), message: message.to_owned() })?;
            first_of.push(cutting.len() - 1);
        }
        let no_room = "has no room for its allowance; make the allowance narrower";
        for (edge, &first) in edges.iter().zip(&first_of) {
            // An edge that the allowances beside it have used up comes out running backwards.
            let (from, to) = (cutting[first], cutting[(first + 1) % cutting.len()]);
            let along = edge.direction();
            if (to.x - from.x) * along.x + (to.y - from.y) * along.y < 0.0 {
                return fault(edge, no_room);
            }
        }
        let outline = Outline { edges, cutting };
        if let Some((at, _)) = crossing(&outline.cutting) {
            let edge = &outline.edges[at.min(outline.edges.len() - 1)];
            return fault(edge, no_room);
        }
        Ok(outline)
    }

    /// Its edges, along the stitching line.
    pub fn edges(&self) -> &[Edge] {
        &self.edges
    }

    /// The corners of the stitching line.
    pub fn stitching(&self) -> impl Iterator<Item = Point> + Clone + '_ {
        self.edges.iter().map(|edge| edge.from)
    }

    /// The corners of the cutting line.
    pub fn cutting(&self) -> &[Point] {
        &self.cutting
    }

    /// The box around the stitching line.
    pub fn stitching_bounds(&self) -> Bounds {
        Bounds::around(self.stitching()).unwrap_or(Bounds { least: Point::default(), most: Point::default() })
    }

    /// The box around the cutting line: what has to be cut out.
    pub fn cutting_bounds(&self) -> Bounds {
        Bounds::around(self.cutting.iter().copied()).unwrap_or_else(|| self.stitching_bounds())
    }

    /// The edge on the fold of the cloth, if there is one.
    pub fn fold(&self) -> Option<&Edge> {
        self.edges.iter().find(|edge| edge.finish == Finish::Fold)
    }

    /// The cutting line of the piece opened out: itself and its mirror image across the fold; itself if
    /// nothing is on the fold.
    pub fn unfolded(&self) -> Vec<Point> {
        let Some(fold) = self.fold() else { return self.cutting.clone() };
        // From the fold's far end all the way round to its near end, then back along the mirror image.
        let is_on_fold = |point: &Point| distance_to_line(*point, fold) < 1e-6;
        let count = self.cutting.len();
        let start = (0..count)
            .find(|&at| is_on_fold(&self.cutting[at]) && !is_on_fold(&self.cutting[(at + 1) % count]))
            .unwrap_or(0);
        let half: Vec<Point> = (0..count).map(|step| self.cutting[(start + step) % count]).collect();
        let mirrored = half.iter().rev().filter(|point| !is_on_fold(point)).map(|point| mirror(*point, fold));
        half.iter().copied().chain(mirrored).collect()
    }
}

fn distance_to_line(point: Point, edge: &Edge) -> f64 {
    let out = edge.outward();
    ((point.x - edge.from.x) * out.x + (point.y - edge.from.y) * out.y).abs()
}

fn mirror(point: Point, edge: &Edge) -> Point {
    let out = edge.outward();
    let above = (point.x - edge.from.x) * out.x + (point.y - edge.from.y) * out.y;
    Point::new(point.x - 2.0 * above * out.x, point.y - 2.0 * above * out.y)
}

/// The corner of the cutting line between two edges: where their moved lines meet, or a step where they
/// run on in one direction.
fn corner(before: &Edge, after: &Edge, into: &mut Vec<Point>) -> Result<(), &'static str> {
    let (a, b) = (before.direction(), after.direction());
    let sine = a.x * b.y - a.y * b.x;
    let (start, end) = (before.moved(before.to), after.moved(after.from));
    if sine.abs() < PARALLEL {
        into.push(start);
        if start.distance(end) > 1e-9 {
            into.push(end);
        }
        return Ok(());
    }
    let along = ((end.x - start.x) * b.y - (end.y - start.y) * b.x) / sine;
    let meeting = Point::new(start.x + a.x * along, start.y + a.y * along);
    let widest = before.finish.width().max(after.finish.width());
    if meeting.distance(after.from) > widest * LONGEST_MITRE + 1e-9 {
        return Err("meets the edge before it in a corner too sharp for its allowance");
    }
    into.push(meeting);
    Ok(())
}

/// The signed area, counter-clockwise positive, in square millimetres.
fn area(points: &[Point]) -> f64 {
    let next = points.iter().cycle().skip(1);
    points.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>() / 2.0
}

/// The first pair of edges of a closed outline that cross each other, as indices of their first corners.
fn crossing(points: &[Point]) -> Option<(usize, usize)> {
    let count = points.len();
    let edge = |at: usize| (points[at], points[(at + 1) % count]);
    let side = |(a, b): (Point, Point), p: Point| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
    (0..count).find_map(|one| {
        let neighbours = |other: usize| (one + 1) % count == other || (other + 1) % count == one;
        (one + 1..count).find_map(|other| {
            let (first, second) = (edge(one), edge(other));
            let splits = side(first, second.0) * side(first, second.1) < 0.0;
            let is_split = side(second, first.0) * side(second, first.1) < 0.0;
            (!neighbours(other) && splits && is_split).then_some((one, other))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outline(corners: &[(f64, f64)], finishes: &[Finish]) -> Result<Outline, OutlineFault> {
        let points: Vec<Point> = corners.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        let edge = |n: usize| Edge {
            name: format!("edge {n}"),
            from: points[n],
            to: points[(n + 1) % points.len()],
            finish: finishes[n % finishes.len()],
        };
        Outline::new((0..points.len()).map(edge).collect())
    }

    const SEAM: Finish = Finish::Allowance(10.0);

    #[test]
    fn neighbouring_edges_may_differ_in_allowance() {
        let finishes =
            [Finish::Allowance(5.0), Finish::Allowance(10.0), Finish::Allowance(0.0), Finish::Allowance(20.0)];
        let cut = outline(&[(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)], &finishes).unwrap();
        let corners: Vec<_> = cut.cutting().iter().map(|point| (point.x, point.y)).collect();
        assert_eq!(corners, [(-20.0, -5.0), (110.0, -5.0), (110.0, 50.0), (-20.0, 50.0)]);
    }

    #[test]
    fn opened_out_a_piece_on_the_fold_is_twice_as_high() {
        let pocket =
            outline(&[(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)], &[SEAM, SEAM, Finish::Fold, SEAM]);
        let opened = Bounds::around(pocket.unwrap().unfolded()).unwrap();
        assert_eq!((opened.width(), opened.height()), (120.0, 120.0));
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
