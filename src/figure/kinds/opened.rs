//! A piece that is cut on the fold: as it lies folded, and opened out.

use crate::draft::{Draft, DrawFault, Mark};
use crate::exercise::{Pen, Piece, Side};
use crate::figure::drawing::{Figure, plain};
use crate::figure::layout::bar::scaled;
use crate::figure::layout::pair::{Panel, pair};
use crate::figure::layout::sheet::Sheet;
use crate::figure::subject::cloth::{Cloth, as_marks, near};
use crate::figure::subject::dimension::Dimension;
use crate::figure::subject::mark::{self, Line};
use crate::figure::subject::scene::Scene;
use crate::geometry::{Bounds, Point};

/// A piece as it lies on the fold of the cloth, beside the same piece opened out, at one scale. `None`, if none of its
/// edges is on the fold.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let figure = figure::opened(&draft, roll.piece("pocket").unwrap()).unwrap().unwrap();
/// assert!(figure.description().starts_with("Two drawings at one scale. On the fold: 16 in wide and 6 in high"));
/// assert!(figure::opened(&draft, roll.piece("outer").unwrap()).unwrap().is_none());
/// ```
///
/// # Errors
/// An outline or a mark that can't be drawn, with the edge concerned.
pub fn opened(draft: &Draft, piece: &Piece) -> Result<Option<Figure>, DrawFault> {
    // The exercise's own, so that it lives as long as the draft.
    let Some(piece) = draft.exercise.pieces.iter().find(|known| known.name == piece.name) else { return Ok(None) };
    let cut = draft.piece(piece)?;
    let Some(fold) = cut.outline.fold() else { return Ok(None) };
    let folded: Vec<Mark> = as_marks(&cut).into_iter().filter(mark::is_drawable).collect();
    let (from, out) = (fold.from(), fold.outward(0.0));
    let near = near(&cut);
    let across = |point: Point| {
        let above = (point.x - from.x) * out.x + (point.y - from.y) * out.y;
        Point::new(point.x - 2.0 * above * out.x, point.y - 2.0 * above * out.y)
    };
    let is_fold = |mark: &Mark| {
        let is_along = |(a, b): &Line| [a, b].iter().all(|point| is_on(**point, from, out));
        mark::lines(mark).is_some_and(|(lines, pen)| pen == Pen::Fold && lines.iter().all(is_along))
    };
    let mirrored = folded.iter().map(|one| mark::moved(one, near, &across)).filter(|mark| !is_fold(mark)).collect();
    let whole = [folded.clone(), mirrored].concat();
    let around = |marks: &[Mark]| marks.iter().filter_map(mark::bounds).reduce(Bounds::with);
    let Some((one, other)) = around(&folded).zip(around(&whole)) else { return Ok(None) };
    let [one, other] = [size(draft, one), size(draft, other)];
    let told = |size: &[Dimension; 2]| format!("{} wide and {} high", size[0].value, size[1].value);
    let description = format!(
        "Two drawings at one scale. On the fold: {}; a bracket with arrows marks the edge on the fold ({}). Opened out: {}, with a dash-dot line along the fold.",
        told(&one),
        plain(&fold.name),
        told(&other)
    );
    let inside: Vec<Mark> = cut.marks.iter().filter_map(|one| mark::straightened(one, near)).collect();
    // Mirrored, a face lies on both sides of the fold.
    let mut open = Scene::default();
    for (role, corners) in Cloth::of(&cut).faces() {
        open.fill(role, corners.iter().map(|point| across(*point)).collect());
    }
    for (role, corners) in Cloth::of(&cut).faces() {
        open.fill(role, corners);
    }
    // The cloth itself shows its fold and its grain.
    let panels = [
        ("on the fold", Sheet { cloth: Some(Cloth::of(&cut)), ..Sheet::of(inside, one.into()) }),
        ("opened out", Sheet { scene: open, ..Sheet::of(whole, other.into()) }),
    ];
    let panels = panels.map(|(heading, sheet)| Panel { heading: heading.to_owned(), note: String::new(), sheet });
    let title = plain(&piece.title);
    let figure = Figure::new(&format!("{title}: on the fold, and opened out"), &description, pair(panels));
    Ok(Some(scaled(figure, draft.givens.ruler)))
}

/// Whether a point lies on the line through another that is square to `out`.
fn is_on(point: Point, from: Point, out: Point) -> bool {
    ((point.x - from.x) * out.x + (point.y - from.y) * out.y).abs() < 1e-6
}

/// How wide and how high it is.
fn size(draft: &Draft, bounds: Bounds) -> [Dimension; 2] {
    let Bounds { least, most } = bounds;
    let corner = Point::new;
    let dimension = |from, to, side, value| Dimension { from, to, side, title: String::new(), value, is_wrong: false };
    [
        dimension(least, corner(most.x, least.y), Side::Bottom, draft.written(bounds.width())),
        dimension(least, corner(least.x, most.y), Side::Left, draft.written(bounds.height())),
    ]
}
