//! Pieces and marks with their numbers put in: what the figure room draws and the cutting list lists.

use super::work::Draft;
use crate::exercise::{self, Across, Corner, Drawn, Pen, Piece, Seam, Shape, Side};
use crate::formula::{Formula, Values};
use crate::geometry::{self, Curve, Edge, Finish, Outline, OutlineFault, Point};
use crate::length::{Length, Tolerance};

/// One thing drawn, in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// Straight lines under one name.
    Lines {
        /// Both ends of each.
        lines: Vec<(Point, Point)>,
        /// How.
        pen: Pen,
        /// What they are called.
        label: Option<String>,
    },
    /// Objects in outline: lower left and upper right corner of each.
    Objects {
        /// The corners.
        boxes: Vec<(Point, Point)>,
        /// What they are called.
        label: Option<String>,
    },
    /// A dimension.
    Measure {
        /// Index of the step measured.
        step: usize,
        /// One end.
        from: Point,
        /// The other.
        to: Point,
        /// Where it stands.
        side: Side,
    },
    /// A spot.
    Spot {
        /// Where.
        at: Point,
        /// What it is called.
        label: Option<String>,
    },
    /// A notch.
    Notch {
        /// Where on the stitching line.
        at: Point,
        /// The unit vector out of the piece.
        outward: Point,
        /// How wide the allowance is there, in millimetres.
        allowance: f64,
    },
}

/// A piece with its outline and marks.
#[derive(Debug, Clone)]
pub struct CutPiece<'e> {
    /// The piece as the exercise states it.
    pub piece: &'e Piece,
    /// Stitching and cutting line.
    pub outline: Outline,
    /// What is marked on it.
    pub marks: Vec<Mark>,
}

/// A line of the cutting list.
#[derive(Debug, Clone)]
pub struct CutLine<'e> {
    /// The piece.
    pub piece: &'e Piece,
    /// How wide it is cut.
    pub width: Length,
    /// How high; on the fold, of the folded cloth.
    pub height: Length,
    /// The name of the edge on the fold, if one is.
    pub fold: Option<&'e str>,
}

/// A seam with both its sides measured along their stitching lines.
#[derive(Debug, Clone)]
pub struct TruedSeam<'e> {
    /// The seam as the exercise states it.
    pub seam: &'e Seam,
    /// How long one side is.
    pub one: Length,
    /// How long the other is.
    pub other: Length,
    /// How much longer the other is meant to be.
    pub ease: Length,
}

impl TruedSeam<'_> {
    /// How much longer the other side is than it is meant to be; negative, if it is shorter.
    ///
    /// ```
    /// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler};
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
    /// let draft = Draft::new(roll, givens, &|_, _| None).unwrap();
    /// assert!(draft.seams().unwrap().iter().all(|seam| seam.off().is_zero()));
    /// ```
    pub fn off(&self) -> Length {
        self.other - self.one - self.ease
    }

    /// Whether both sides agree, to within a micrometre.
    pub fn is_true(&self) -> bool {
        Tolerance::micrometre().holds(self.off(), Length::ZERO)
    }
}

/// So many widths are laid side by side at the most: more than any cloth has room for.
const MOST_SPANS: usize = 10_000;

impl<'e> Draft<'e> {
    /// Every seam there is for these givens, with both its sides measured.
    ///
    /// # Errors
    /// The first piece that can't be drawn, by title, and why.
    pub fn seams(&self) -> Result<Vec<TruedSeam<'e>>, String> {
        let holds =
            |when: &Option<Formula>| when.as_ref().is_none_or(|when| when.evaluate(&self.measures, None) != 0.0);
        let measured = |side: &[(usize, usize)]| -> Result<Length, String> {
            let lengths = side.iter().map(|(piece, edge)| {
                let piece = &self.exercise.pieces[*piece];
                let cut = self.piece(piece).map_err(|fault| format!("{}: {fault}", piece.title))?;
                Ok(cut.outline.edges()[*edge].stitching_length())
            });
            let whole: f64 = lengths.sum::<Result<f64, String>>()?;
            Ok(Length::from_nm_f64(whole * 1e6).unwrap_or_default())
        };
        let seams = self.exercise.seams.iter().filter(|seam| holds(&seam.when));
        seams
            .map(|seam| {
                let ease = seam.ease.as_ref().map_or(0.0, |ease| ease.evaluate(&self.measures, None));
                let ease = Length::from_nm_f64(ease).unwrap_or_default();
                Ok(TruedSeam { seam, one: measured(&seam.one)?, other: measured(&seam.other)?, ease })
            })
            .collect()
    }

    fn mm(&self, formula: &Formula) -> f64 {
        formula.evaluate(&self.measures, None) / 1e6
    }

    fn point(&self, corner: &Corner) -> Point {
        Point::new(self.mm(&corner.x), self.mm(&corner.y))
    }

    /// The pieces there are for these givens.
    pub fn pieces(&self) -> impl Iterator<Item = &'e Piece> + '_ {
        let pieces = self.exercise.pieces.iter();
        pieces.filter(|piece| piece.when.as_ref().is_none_or(|when| when.evaluate(&self.measures, None) != 0.0))
    }

    /// A piece of the draft.
    ///
    /// # Errors
    /// An outline that can't be drawn or cut, with the edge concerned.
    pub fn piece(&self, piece: &'e Piece) -> Result<CutPiece<'e>, OutlineFault> {
        let start = self.point(&piece.start);
        let mut edges: Vec<Edge> = Vec::with_capacity(piece.edges.len());
        for edge in &piece.edges {
            let from = edges.last().map_or(start, Edge::to);
            edges.push(self.edge(edge, from, edge.to.as_ref().map_or(start, |corner| self.point(corner)))?);
        }
        let outline = Outline::new(edges)?;
        let marks = self.marks(&piece.marks, Some(&outline));
        Ok(CutPiece { piece, outline, marks })
    }

    fn edge(&self, edge: &exercise::Edge, from: Point, to: Point) -> Result<Edge, OutlineFault> {
        let curve = match &edge.shape {
            Shape::Straight => Curve::Line { from, to },
            Shape::Arc { centre, left } => Curve::arc(from, self.point(centre), to, *left).map_err(|off| {
                let (off, way) = (
                    Length::from_nm_f64(off.abs() * 1e6).unwrap_or_default(),
                    if off > 0.0 { "farther" } else { "nearer" },
                );
                let message =
                    format!("is an arc whose end lies {} {way} from its centre than its start", self.write(off));
                OutlineFault { edge: edge.name.clone(), message }
            })?,
            Shape::Cubic { leaving, reaching } => {
                Curve::Cubic { from, leaving: self.point(leaving), reaching: self.point(reaching), to }
            }
        };
        let finish = match &edge.finish {
            exercise::Finish::Allowance(width) => Finish::Allowance(self.mm(width)),
            exercise::Finish::Hem(width) => Finish::Hem(self.mm(width)),
            exercise::Finish::Fold => Finish::Fold,
        };
        let corner = if edge.is_trimmed { geometry::Corner::Trimmed } else { geometry::Corner::Mitred };
        Ok(Edge { name: edge.name.clone(), curve, finish, corner })
    }

    /// Marks with their numbers put in; notches need the outline they are cut into.
    pub fn marks(&self, drawn: &[Drawn], outline: Option<&Outline>) -> Vec<Mark> {
        drawn.iter().filter_map(|drawn| self.mark(drawn, outline)).collect()
    }

    fn mark(&self, drawn: &Drawn, outline: Option<&Outline>) -> Option<Mark> {
        Some(match drawn {
            Drawn::Line { from, to, pen, label } => {
                Mark::Lines { lines: vec![(self.point(from), self.point(to))], pen: *pen, label: label.clone() }
            }
            Drawn::Box { from, to, pen, label } => {
                let (a, c) = (self.point(from), self.point(to));
                let (b, d) = (Point::new(c.x, a.y), Point::new(a.x, c.y));
                Mark::Lines { lines: vec![(a, b), (b, c), (c, d), (d, a)], pen: *pen, label: label.clone() }
            }
            Drawn::Dividers { across, from, to, pen, label } => {
                let (low, high) = (self.mm(from), self.mm(to));
                let spans = self.spans(across);
                let inner = spans.iter().skip(1).map(|(left, _, _)| (Point::new(*left, low), Point::new(*left, high)));
                Mark::Lines { lines: inner.collect(), pen: *pen, label: label.clone() }
            }
            Drawn::Objects { across, base, widths, heights, label } => {
                let base = self.mm(base);
                let boxes = self.spans(across).into_iter().map(|(left, width, row)| {
                    let middle = left + width / 2.0;
                    let half = widths.evaluate(&self.measures, Some(row)) / 2e6;
                    let height = heights.evaluate(&self.measures, Some(row)) / 1e6;
                    (Point::new(middle - half, base), Point::new(middle + half, base + height))
                });
                Mark::Objects { boxes: boxes.collect(), label: label.clone() }
            }
            Drawn::Measure { step, from, to, side } => {
                Mark::Measure { step: *step, from: self.point(from), to: self.point(to), side: *side }
            }
            Drawn::Spot { at, label } => Mark::Spot { at: self.point(at), label: label.clone() },
            Drawn::Notch { edge, at } => {
                let edge = outline?.edges().get(*edge)?;
                let distance = self.mm(at);
                Mark::Notch {
                    at: edge.along(distance),
                    outward: edge.outward(distance),
                    allowance: edge.finish.width(),
                }
            }
        })
    }

    /// Widths laid side by side: left end, width, and row of each, in millimetres.
    fn spans(&self, across: &Across) -> Vec<(f64, f64, usize)> {
        let Some(table) = across.widths.kind().list else { return Vec::new() };
        let mut spans = Vec::new();
        // Added up in nanometres, whose sums are exact.
        let mut left = across.start.evaluate(&self.measures, None);
        for row in 0..self.measures.rows(table) {
            let width = across.widths.evaluate(&self.measures, Some(row));
            let times = across.times.as_ref().map_or(1.0, |times| times.evaluate(&self.measures, Some(row)));
            for _ in 0..times.clamp(0.0, MOST_SPANS as f64) as usize {
                if spans.len() == MOST_SPANS {
                    return spans;
                }
                spans.push((left / 1e6, width / 1e6, row));
                left += width;
            }
        }
        spans
    }

    /// What to cut, piece by piece.
    ///
    /// # Errors
    /// The first piece that can't be drawn, by title, and why.
    pub fn cutting_list(&self) -> Result<Vec<CutLine<'e>>, String> {
        let lines = self.pieces().map(|piece| {
            let cut = self.piece(piece).map_err(|fault| format!("{}: {fault}", piece.title))?;
            let bounds = cut.outline.cutting_bounds();
            let length = |mm: f64| Length::from_nm_f64(mm * 1e6).unwrap_or_default();
            let fold = piece.edges.iter().find(|edge| matches!(edge.finish, exercise::Finish::Fold));
            Ok(CutLine {
                piece,
                width: length(bounds.width()),
                height: length(bounds.height()),
                fold: fold.map(|edge| edge.name.as_str()),
            })
        });
        lines.collect()
    }
}
