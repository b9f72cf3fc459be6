//! The pieces that an exercise cuts, and the seams between them, as formulas still to be evaluated.

use super::index::PieceId;
use super::mark::{Coordinates, Drawn, Side, Surface};
use crate::formula::Formula;
use typed_index_collections::TiSlice;

/// How the grain of a piece runs, as an exercise file has it, and whether that is up.
pub(in crate::exercise) const GRAINS: [(&str, bool); 2] = [("up", true), ("across", false)];
/// How the cut goes round a corner, as an exercise file has it, and whether it trims it.
pub(in crate::exercise) const CORNER_CUTS: [(&str, bool); 2] = [("mitred", false), ("trimmed", true)];

/// A piece to cut.
#[derive(Debug, Clone)]
pub struct Piece {
    /// Its name.
    pub name: String,
    /// For people.
    pub title: String,
    /// What it is cut from.
    pub cloth: String,
    /// What of it is seen in a figure.
    pub shows: Surface,
    /// How many.
    pub count: u32,
    /// A few words for the cutting list, or empty.
    pub note: String,
    /// Condition under which there is such a piece; always, if there is none.
    pub when: Option<Formula>,
    /// Whether the grain runs up the piece; otherwise across.
    pub grain_up: bool,
    /// How its outline is drafted.
    pub outline: Drafted,
    /// What is marked on it.
    pub marks: Vec<Drawn>,
    /// A place that its figure shows enlarged.
    pub detail: Option<Box<Enlarged>>,
}

/// A place of a piece that is shown enlarged.
#[derive(Debug, Clone)]
pub struct Enlarged {
    /// The middle of the circle.
    pub at: Coordinates,
    /// How far around it the circle reaches.
    pub reach: Formula,
    /// What is to be seen there.
    pub says: String,
}

/// How an outline is drafted.
#[derive(Debug, Clone)]
pub enum Drafted {
    /// Edge by edge.
    Edges {
        /// The first corner of the stitching line.
        start: Box<Coordinates>,
        /// The edges, counter-clockwise; the last one returns to the start.
        edges: Vec<Edge>,
    },
    /// As a part of another piece.
    Split(Box<Split>),
}

/// A part of another piece, which is split along a line. What is left of its edges keeps its name and its finish, and
/// the notches on them stay.
#[derive(Debug, Clone)]
pub struct Split {
    /// The piece that is split.
    pub piece: PieceId,
    /// A point of the line.
    pub from: Coordinates,
    /// Another.
    pub to: Coordinates,
    /// On which side of the line this part lies.
    pub keep: Side,
    /// The name of the new edge.
    pub edge: String,
    /// What lies beyond the new edge.
    pub finish: Finish,
}

/// An edge of a piece: from the corner before it to its own.
#[derive(Debug, Clone)]
pub struct Edge {
    /// Its name.
    pub name: String,
    /// The corner it ends in; `None` for the last edge, which ends at the start.
    pub to: Option<Coordinates>,
    /// How it gets there.
    pub shape: Shape,
    /// Whether the cut trims the corner at its start at a slant.
    pub is_trimmed: bool,
    /// What lies beyond the stitching line.
    pub finish: Finish,
}

/// How an edge gets from corner to corner.
#[derive(Debug, Clone)]
pub enum Shape {
    /// Straight.
    Straight,
    /// Along a circle.
    Arc {
        /// The circle's middle.
        centre: Box<Coordinates>,
        /// Whether it turns left, as an outline does where it bulges.
        left: bool,
    },
    /// Along a cubic curve.
    Cubic {
        /// It leaves its first corner towards this point.
        leaving: Box<Coordinates>,
        /// It reaches its last corner from this point.
        reaching: Box<Coordinates>,
    },
}

/// What lies beyond an edge's stitching line.
#[derive(Debug, Clone)]
pub enum Finish {
    /// Cloth for the seam.
    Allowance(Formula),
    /// Cloth that is turned to the inside along the stitching line.
    Hem(Formula),
    /// The fold of the cloth: the piece goes on, mirrored.
    Fold,
}

/// A seam between edges of pieces: both sides have to be equally long along their stitching lines.
#[derive(Debug, Clone)]
pub struct Seam {
    /// What the maker calls it.
    pub name: String,
    /// The edges on one side.
    pub one: Vec<Sewn>,
    /// The edges on the other side.
    pub other: Vec<Sewn>,
    /// How much longer the other side is meant to be, to be eased in; not at all, if there is none.
    pub ease: Option<Formula>,
    /// Condition under which there is such a seam; always, if there is none.
    pub when: Option<Formula>,
}

/// An edge of a seam.
#[derive(Debug, Clone)]
pub struct Sewn {
    /// The piece.
    pub piece: PieceId,
    /// The edge's name.
    pub edge: String,
}

impl Finish {
    fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        match self {
            Finish::Allowance(width) | Finish::Hem(width) => into.push(width),
            Finish::Fold => {}
        }
    }
}

impl Edge {
    fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        self.to.iter().for_each(|to| to.formulas(into));
        match &self.shape {
            Shape::Straight => {}
            Shape::Arc { centre, .. } => centre.formulas(into),
            Shape::Cubic { leaving, reaching } => {
                leaving.formulas(into);
                reaching.formulas(into);
            }
        }
        self.finish.formulas(into);
    }
}

impl Piece {
    /// The widths of cloth that lie beyond its stitching lines as seam allowances.
    pub fn allowances(&self) -> impl Iterator<Item = &Formula> {
        let (edges, split) = match &self.outline {
            Drafted::Edges { edges, .. } => (&edges[..], None),
            Drafted::Split(split) => (&[][..], Some(&split.finish)),
        };
        edges.iter().map(|edge| &edge.finish).chain(split).filter_map(|finish| match finish {
            Finish::Allowance(width) => Some(width),
            Finish::Hem(_) | Finish::Fold => None,
        })
    }

    /// Every formula it is made from.
    pub(super) fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        into.extend(&self.when);
        match &self.outline {
            Drafted::Edges { start, edges } => {
                start.formulas(into);
                edges.iter().for_each(|edge| edge.formulas(into));
            }
            Drafted::Split(split) => {
                split.from.formulas(into);
                split.to.formulas(into);
                split.finish.formulas(into);
            }
        }
        self.marks.iter().for_each(|mark| mark.formulas(into));
    }
}

/// The names of the edges of a piece, in the order of the file; of a part, those of its piece and the new one.
pub(in crate::exercise) fn edges_of(pieces: &TiSlice<PieceId, Piece>, index: PieceId) -> Vec<&str> {
    match pieces.get(index).map(|piece| &piece.outline) {
        Some(Drafted::Edges { edges, .. }) => edges.iter().map(|edge| edge.name.as_str()).collect(),
        Some(Drafted::Split(split)) if split.piece != index => {
            let mut names = edges_of(pieces, split.piece);
            names.push(&split.edge);
            names
        }
        Some(Drafted::Split(_)) | None => Vec::new(),
    }
}
