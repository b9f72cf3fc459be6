//! Pieces on tiles: a piece lies on as few tiles as it can, and small ones in what the large ones leave.

use super::paper::OVERLAP;
use crate::geometry::Point;

/// Between two pieces, in millimetres.
const GAP: f64 = 4.0;

/// Tiles that are glued together, and what lies on them.
#[derive(Debug, Clone)]
pub(super) struct Block {
    pub columns: usize,
    pub rows: usize,
    pub laid: Vec<Laid>,
}

impl Block {
    /// How many tiles there are.
    pub(super) fn count(&self) -> usize {
        self.columns * self.rows
    }

    /// Column from the left and row from the top; all of them, for the paper is needed wherever the piece is.
    pub(super) fn tiles(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        (0..self.rows).flat_map(|row| (0..self.columns).map(move |column| (column, row)))
    }
}

/// A tile's letter and number: every row of the whole pattern has its own letter.
pub(super) fn tile_name(column: usize, row: usize) -> String {
    let letter = char::from(b'A' + (row % 26) as u8);
    format!("{}{}", String::from(letter).repeat(row / 26 + 1), column + 1)
}

/// Where a piece lies: its lower left corner, and whether it is turned by a quarter.
#[derive(Debug, Clone, Copy)]
pub(super) struct Laid {
    pub piece: usize,
    pub is_turned: bool,
    pub at: Point,
    pub width: f64,
    pub height: f64,
}

/// How many tiles a length takes.
fn tiles(length: f64, field: f64) -> usize {
    if length <= field { 1 } else { libm::ceil((length - OVERLAP) / (field - OVERLAP) - 1e-9) as usize }
}

/// Whether a stretch lies on no more tiles than it must.
pub(super) fn is_whole(from: f64, length: f64, field: f64) -> bool {
    let (count, step) = (tiles(length, field), field - OVERLAP);
    let first = libm::floor(from / step + 1e-9);
    from + length <= (first + count as f64 - 1.0) * step + field + 1e-9
}

/// Whether a stretch lies on one tile, and not where tiles are joined.
pub(super) fn is_clear(from: f64, length: f64, field: f64) -> bool {
    let step = field - OVERLAP;
    let tile = libm::floor(from / step);
    (tile < 1.0 || from - tile * step >= OVERLAP) && from + length <= (tile + 1.0) * step
}

/// Lays boxes, each of a width and a height, on tiles of a size.
pub(super) fn lay(sizes: &[(f64, f64)], (across, up): (f64, f64)) -> Vec<Block> {
    let needed = |(width, height): (f64, f64)| tiles(width, across) * tiles(height, up);
    let ways = |piece: usize| {
        let (width, height) = sizes[piece];
        let mut ways = vec![(width, height, false), (height, width, true)];
        ways.sort_by_key(|(width, height, _)| needed((*width, *height)));
        let least = needed((ways[0].0, ways[0].1));
        ways.retain(|(width, height, _)| needed((*width, *height)) == least);
        ways
    };
    let mut order: Vec<usize> = (0..sizes.len()).collect();
    let weight = |piece: usize| {
        let (width, height, _) = ways(piece)[0];
        (needed((width, height)), (width * height) as u64)
    };
    order.sort_by_key(|piece| std::cmp::Reverse(weight(*piece)));
    let mut blocks: Vec<Block> = Vec::new();
    for piece in order {
        let ways = ways(piece);
        let place = blocks.iter().enumerate().find_map(|(index, block)| {
            ways.iter().find_map(|way| room(block, *way, (across, up)).map(|at| (index, *way, at)))
        });
        let (index, (width, height, is_turned), at) = place.unwrap_or_else(|| {
            let (width, height, _) = ways[0];
            blocks.push(Block { columns: tiles(width, across), rows: tiles(height, up), laid: Vec::new() });
            (blocks.len() - 1, ways[0], Point::default())
        });
        blocks[index].laid.push(Laid { piece, is_turned, at, width, height });
    }
    blocks
}

/// The lowest place, then the leftmost, where a piece still fits.
fn room(block: &Block, (width, height, _): (f64, f64, bool), (across, up): (f64, f64)) -> Option<Point> {
    let size = |count: usize, field: f64| (count as f64 - 1.0) * (field - OVERLAP) + field;
    let starts = |count: usize, field: f64, ends: &mut dyn Iterator<Item = f64>| {
        let mut starts: Vec<f64> = (0..count).map(|tile| tile as f64 * (field - OVERLAP)).chain(ends).collect();
        starts.sort_by(f64::total_cmp);
        starts
    };
    let xs = starts(block.columns, across, &mut block.laid.iter().map(|laid| laid.at.x + laid.width + GAP));
    let ys = starts(block.rows, up, &mut block.laid.iter().map(|laid| laid.at.y + laid.height + GAP));
    let is_free = |x: f64, y: f64| {
        block.laid.iter().all(|laid| {
            x >= laid.at.x + laid.width + GAP - 1e-9
                || laid.at.x >= x + width + GAP
                || y >= laid.at.y + laid.height + GAP - 1e-9
                || laid.at.y >= y + height + GAP
        })
    };
    let fits = |from: f64, length: f64, field: f64, count: usize| {
        from + length <= size(count, field) + 1e-9 && is_whole(from, length, field)
    };
    let ys = ys.into_iter().filter(|y| fits(*y, height, up, block.rows));
    ys.flat_map(|y| xs.iter().map(move |x| (*x, y)))
        .find(|(x, y)| fits(*x, width, across, block.columns) && is_free(*x, *y))
        .map(|(x, y)| Point::new(x, y))
}
