//! One piece, as it is cut.

use crate::draft::{Draft, DrawFault};
use crate::exercise::Piece;
use crate::figure::Figure;
use crate::figure::layout::dimensions as lanes;
use crate::figure::layout::sheet::{Sheet, dimension};
use crate::figure::letters;
use crate::figure::style::Weight;
use crate::figure::subject::cloth::Cloth;
use crate::figure::subject::marks;
use crate::figure::telling as words;

/// A piece with its cutting and stitching line, fold, grain, notches, marks and dimensions.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let figure = figure::piece(&draft, roll.piece("pocket").unwrap()).unwrap();
/// assert_eq!(figure.title(), "Pocket: cut 1 of lining cloth");
/// assert!(figure.description().contains("on the fold"));
/// ```
///
/// # Errors
/// An outline or a mark that can't be drawn, with the edge concerned.
pub fn piece(draft: &Draft, piece: &Piece) -> Result<Figure, DrawFault> {
    let cut = draft.piece(piece)?;
    let mut sheet = Sheet { grows: true, ..Sheet::default() };
    for mark in cut.marks.iter().filter(|mark| marks::is_drawable(mark)) {
        sheet.dimensions.extend(dimension(draft, mark));
        sheet.marks.push((mark.clone(), Weight::Even));
    }
    sheet.dimensions = lanes::merged(sheet.dimensions);
    sheet.cloth = Some(Cloth { outline: &cut.outline, grain_up: piece.grain_up });
    if sheet.is_named() {
        sheet.clear_the_right();
    }
    sheet.heading = format!("{}\ncut {}", letters::plain(&piece.title), piece.count);
    let title = format!("{}: cut {} of {}", piece.title, piece.count, piece.cloth);
    let description = words::piece(draft, piece, &cut, &sheet.dimensions);
    Ok(Figure::new(&title, &description, sheet.draw()))
}
