//! An edge of an outline: its stitching line, and what lies beyond it.

use super::curve::Curve;
use super::point::Point;

/// How closely curves are followed to be drawn, in millimetres.
pub(super) const DRAWN: f64 = 0.05;

/// What lies beyond an edge's stitching line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Finish {
    /// Cloth for the seam, this wide, in millimetres; not negative.
    Allowance(f64),
    /// Cloth that is turned to the inside along the stitching line: at its ends it is shaped so that it lies flush
    /// with the neighbouring edges when it is turned.
    Hem(f64),
    /// The fold of the cloth: nothing is cut here.
    Fold,
}

impl Finish {
    /// How far beyond the stitching line the cut is, in millimetres.
    pub fn width(self) -> f64 {
        match self {
            Finish::Allowance(width) | Finish::Hem(width) => width,
            Finish::Fold => 0.0,
        }
    }
}

/// How the cutting line turns the corner at which an edge starts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Corner {
    /// Both cutting lines run on until they meet; past a limit the tip is squared off.
    #[default]
    Mitred,
    /// Cut off at a slant, from where the one allowance ends to where the other begins.
    Trimmed,
}

/// An edge, from the corner before it to its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// What the maker calls it.
    pub name: String,
    /// Its stitching line.
    pub curve: Curve,
    /// What lies beyond it.
    pub finish: Finish,
    /// How the cut turns the corner at its start.
    pub corner: Corner,
}

impl Edge {
    /// A straight edge with a mitred corner.
    pub fn straight(name: impl Into<String>, from: Point, to: Point, finish: Finish) -> Edge {
        Edge { name: name.into(), curve: Curve::Line { from, to }, finish, corner: Corner::Mitred }
    }

    /// Where it starts, on the stitching line.
    pub fn from(&self) -> Point {
        self.curve.start()
    }

    /// Where it ends.
    pub fn to(&self) -> Point {
        self.curve.end()
    }

    /// Its length along the stitching line, in millimetres, right to within a micrometre.
    pub fn stitching_length(&self) -> f64 {
        self.curve.length()
    }

    /// The point so far along its stitching line from its first corner.
    pub fn along(&self, distance: f64) -> Point {
        self.curve.at(self.curve.parameter(distance))
    }

    /// Its stitching line as points that are close enough to be drawn: two, if it is straight.
    pub fn drawn(&self) -> Vec<Point> {
        self.curve.steps(0.0, DRAWN).into_iter().map(|t| self.curve.at(t)).collect()
    }

    /// The unit vector out of the piece, so far along its stitching line.
    pub fn outward(&self, distance: f64) -> Point {
        self.curve.outward(self.curve.parameter(distance).clamp(0.0, 1.0))
    }
}
