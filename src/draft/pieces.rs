//! Pieces with their numbers put in: what the figure room draws and the cutting list lists.

use super::fault::{DrawFault, PieceFault};
use super::marks::Mark;
use super::work::Draft;
use crate::exercise::{self, Coordinates, Drafted, Piece, PieceId, Seam, Sewn, Shape, Side, Split};
use crate::geometry::{self, Curve, Edge, Finish, Outline, OutlineFault, Point};
use crate::length::{Length, NM_PER_MM, Tolerance};
use typed_index_collections::TiVec;

/// A piece with its outline and marks.
#[derive(Debug, Clone)]
pub struct CutPiece<'e> {
    /// The piece as the exercise states it.
    pub piece: &'e Piece,
    /// Stitching and cutting line.
    pub outline: Outline,
    /// What is marked on it.
    pub marks: Vec<Mark>,
    /// The circle that its figure shows enlarged: its middle and how far it reaches, in millimetres, and what is to be
    /// seen in it.
    pub detail: Option<(Point, f64, &'e str)>,
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
    /// let draft = Draft::new(roll, givens).unwrap();
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

impl<'e> Draft<'e> {
    /// Every seam there is for these givens, with both its sides measured.
    ///
    /// # Errors
    /// The first piece that can't be drawn, and why.
    pub fn seams(&self) -> Result<Vec<TruedSeam<'e>>, PieceFault> {
        let mut outlines: TiVec<PieceId, Option<Outline>> = vec![None; self.exercise.pieces.len()].into();
        let mut measured = |side: &[Sewn]| -> Result<Length, PieceFault> {
            let mut whole = 0.0;
            for Sewn { piece: index, edge: name } in side {
                let piece = &self.exercise.pieces[*index];
                let outline = match &mut outlines[*index] {
                    Some(outline) => outline,
                    none => none.insert(self.outline(piece).map_err(|fault| PieceFault::of(piece, fault.message))?),
                };
                // An edge that a line crosses twice is left as two stretches; one on its other side is not left at all.
                let stretches: Vec<&Edge> = outline.edges().iter().filter(|edge| edge.name == *name).collect();
                if stretches.is_empty() {
                    let message = format!("nothing is left of the edge \"{name}\", which is sewn");
                    return Err(PieceFault::of(piece, message));
                }
                whole += stretches.iter().map(|edge| edge.stitching_length()).sum::<f64>();
            }
            Ok(Length::from_mm(whole).unwrap_or_default())
        };
        let seams = self.exercise.seams.iter().filter(|seam| self.holds(seam.when.as_ref()));
        seams
            .map(|seam| {
                let ease = seam.ease.as_ref().and_then(|ease| ease.evaluate(&self.measures, None));
                let ease = ease.and_then(Length::from_nm_f64).unwrap_or_default();
                Ok(TruedSeam { seam, one: measured(&seam.one)?, other: measured(&seam.other)?, ease })
            })
            .collect()
    }

    /// The pieces there are for these givens.
    pub fn pieces(&self) -> impl Iterator<Item = &'e Piece> + '_ {
        self.exercise.pieces.iter().filter(|piece| self.holds(piece.when.as_ref()))
    }

    /// A piece of the draft. A part of another piece has that piece's notches, as far as they lie on it, and its own
    /// marks.
    ///
    /// # Errors
    /// An outline that can't be drawn or cut, with the edge concerned, or a mark that can't be drawn.
    pub fn piece(&self, piece: &'e Piece) -> Result<CutPiece<'e>, DrawFault> {
        let (outline, mut marks) = self.outline_and_notches(piece)?;
        marks.extend(self.try_marks(&piece.marks, Some(&outline))?);
        let detail = piece.detail.as_ref().map(|detail| {
            let circle = self.point(&detail.at).ok().zip(self.near(&detail.reach).filter(|reach| *reach > 0.0));
            let (at, reach) =
                circle.ok_or_else(|| DrawFault { message: "its detail has no place or no size".to_owned() })?;
            Ok::<_, DrawFault>((at, reach, detail.says.as_str()))
        });
        Ok(CutPiece { piece, outline, marks, detail: detail.transpose()? })
    }

    /// The outline of a piece, without its marks.
    fn outline(&self, piece: &Piece) -> Result<Outline, DrawFault> {
        self.outline_and_notches(piece).map(|(outline, _)| outline)
    }

    /// The outline, and the notches of the piece that it is a part of.
    fn outline_and_notches(&self, piece: &Piece) -> Result<(Outline, Vec<Mark>), DrawFault> {
        match &piece.outline {
            Drafted::Edges { start, edges: drafted } => {
                let corner = |corner: &Coordinates, edge: &exercise::Edge| {
                    let message = || "has no length; check the measures that it is drawn from".to_owned();
                    self.point(corner).map_err(|_| OutlineFault { edge: edge.name.clone(), message: message() })
                };
                let start = drafted.first().map_or(Ok(Point::default()), |first| corner(start, first))?;
                let mut edges: Vec<Edge> = Vec::with_capacity(drafted.len());
                for edge in drafted {
                    let from = edges.last().map_or(start, Edge::to);
                    let to = edge.to.as_ref().map_or(Ok(start), |to| corner(to, edge))?;
                    edges.push(self.edge(edge, from, to, &corner)?);
                }
                Ok((Outline::new(edges)?, Vec::new()))
            }
            Drafted::Split(split) => self.part(split),
        }
    }

    fn part(&self, split: &Split) -> Result<(Outline, Vec<Mark>), DrawFault> {
        let source = &self.exercise.pieces[split.piece];
        let within = |fault: DrawFault| DrawFault {
            message: format!("{fault} (on the piece \"{}\", which this is a part of)", source.name),
        };
        let (whole, mut notches) = self.outline_and_notches(source).map_err(within)?;
        let own = source.marks.iter().filter(|mark| mark.sign.is_notch());
        for mark in own {
            notches.extend(self.try_mark(mark, Some(&whole)).map_err(within)?);
        }
        let (from, to) = self.walked(split)?;
        let finish = self.finish(&split.edge, &split.finish)?;
        let outline = whole.split(from, to, &split.edge, finish)?;
        let left = |at: Point| (to.x - from.x) * (at.y - from.y) - (to.y - from.y) * (at.x - from.x);
        let length = from.distance(to);
        // A notch on the line itself would be cut in two.
        notches.retain(|mark| matches!(mark, Mark::Notch { at, .. } if left(*at) > 1e-3 * length));
        Ok((outline, notches))
    }

    /// The ends of a split line, in the order in which the part that is kept lies left of it.
    fn walked(&self, split: &Split) -> Result<(Point, Point), DrawFault> {
        let (Ok(from), Ok(to)) = (self.point(&split.from), self.point(&split.to)) else {
            let message = "has no direction, since a point of its line can't be worked out".to_owned();
            return Err(OutlineFault { edge: split.edge.clone(), message }.into());
        };
        let (across, up) = (to.x - from.x, to.y - from.y);
        let (ahead, other_sides) = match split.keep {
            Side::Top => (across, "left or right"),
            Side::Bottom => (-across, "left or right"),
            Side::Left => (up, "top or bottom"),
            Side::Right => (-up, "top or bottom"),
        };
        // A line without direction is told when it is split along.
        if ahead.abs() < 1e-6 && from.distance(to) > 1e-6 {
            let (way, sides) = if up.abs() > across.abs() { ("up", "above or below") } else { ("across", "beside") };
            let message =
                format!("runs straight {way}, so nothing lies {sides} it; keep what lies {other_sides} of it",);
            return Err(OutlineFault { edge: split.edge.clone(), message }.into());
        }
        Ok(if ahead > 0.0 { (from, to) } else { (to, from) })
    }

    fn edge(
        &self,
        edge: &exercise::Edge,
        from: Point,
        to: Point,
        corner: &dyn Fn(&Coordinates, &exercise::Edge) -> Result<Point, OutlineFault>,
    ) -> Result<Edge, OutlineFault> {
        let curve = match &edge.shape {
            Shape::Straight => Curve::Line { from, to },
            Shape::Arc { centre, left } => self
                .arc(from, corner(centre, edge)?, to, *left)
                .map_err(|message| OutlineFault { edge: edge.name.clone(), message })?,
            Shape::Cubic { leaving, reaching } => {
                Curve::Cubic { from, leaving: corner(leaving, edge)?, reaching: corner(reaching, edge)?, to }
            }
        };
        let turn = if edge.is_trimmed { geometry::Corner::Trimmed } else { geometry::Corner::Mitred };
        let finish = self.finish(&edge.name, &edge.finish)?;
        Ok(Edge { name: edge.name.clone(), curve, finish, corner: turn })
    }

    fn finish(&self, edge: &str, finish: &exercise::Finish) -> Result<Finish, OutlineFault> {
        let (width, made): (_, fn(f64) -> Finish) = match finish {
            exercise::Finish::Allowance(width) => (width, Finish::Allowance),
            exercise::Finish::Hem(width) => (width, Finish::Hem),
            exercise::Finish::Fold => return Ok(Finish::Fold),
        };
        let how = match width.evaluate(&self.measures, None) {
            Some(width) if width >= 0.0 => return Ok(made(width / NM_PER_MM)),
            Some(width) => match Length::from_nm_f64(width) {
                Some(width) => format!("of {}, which is less than nothing", self.write(width)),
                None => "that can't be worked out".to_owned(),
            },
            None => "that can't be worked out".to_owned(),
        };
        let message = format!("has an allowance {how}; check the measures that it is made from");
        Err(OutlineFault { edge: edge.to_owned(), message })
    }

    /// What to cut, piece by piece.
    ///
    /// # Errors
    /// The first piece that can't be drawn, and why.
    pub fn cutting_list(&self) -> Result<Vec<CutLine<'e>>, PieceFault> {
        let lines = self.pieces().map(|piece| {
            let outline = self.outline(piece).map_err(|fault| PieceFault::of(piece, fault.message))?;
            let bounds = outline.cutting_bounds();
            let length = |mm: f64| Length::from_mm(mm).unwrap_or_default();
            let fold = outline.fold().map(|fold| fold.name.as_str());
            let names = self.exercise.edge_names(piece);
            Ok(CutLine {
                piece,
                width: length(bounds.width()),
                height: length(bounds.height()),
                fold: names.into_iter().find(|name| Some(*name) == fold),
            })
        });
        lines.collect()
    }
}
