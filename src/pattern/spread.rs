//! Pieces side by side on one sheet without end, for formats that know no pages.

use super::fault::PatternFault;
use super::piece::{Drawn, Hand, all};
use super::tiles::lay;
use crate::draft::Draft;
use crate::geometry::Point;

/// How wide it is, in millimetres, unless a piece is wider.
const WIDE: f64 = 1500.0;
/// Longer than all pieces together.
const LONG: f64 = 1e7;

/// Pieces, each with where the zero of its draft lies.
pub(super) struct Spread<'e> {
    pub pieces: Vec<(Drawn<'e>, Point)>,
    pub width: f64,
    pub height: f64,
}

/// Every piece of a draft, grain as drafted, with room for something above each.
///
/// # Errors
/// The first that can't be drawn, or a name that can't be written on it.
pub(super) fn spread<'e>(draft: &Draft<'e>, hand: &Hand, above: f64) -> Result<Spread<'e>, PatternFault> {
    let pieces = all(draft, hand)?;
    let sizes: Vec<(f64, f64)> =
        pieces.iter().map(|piece| (piece.bounds.width() + 2.0, piece.bounds.height() + 2.0 + above)).collect();
    let wide = sizes.iter().map(|(width, _)| *width).fold(WIDE, f64::max);
    let mut corners = vec![Point::default(); pieces.len()];
    for laid in lay(&sizes, (wide, LONG)).iter().flat_map(|block| &block.laid) {
        corners[laid.piece] = laid.at;
    }
    let far = |side: fn(&(f64, f64)) -> f64, at: fn(&Point) -> f64| {
        corners.iter().zip(&sizes).map(|(corner, size)| at(corner) + side(size)).fold(0.0, f64::max)
    };
    let (width, height) = (far(|size| size.0, |at| at.x), far(|size| size.1, |at| at.y));
    let put = |(piece, corner): (Drawn<'e>, Point)| {
        let at = Point::new(corner.x + 1.0 - piece.bounds.least.x, corner.y + 1.0 - piece.bounds.least.y);
        (piece, at)
    };
    Ok(Spread { pieces: pieces.into_iter().zip(corners).map(put).collect(), width, height })
}
