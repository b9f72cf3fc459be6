//! Blocks in rows, as one lays them by hand: the longest first.

use super::block::{Block, Packing, Place};
use crate::length::Length;

/// In which row a block goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fit {
    /// The last row, or a new one (next-fit decreasing height).
    Next,
    /// The first row with room for it (first-fit decreasing height).
    First,
}

/// A row: where it begins along the strip, and how much of it is taken.
struct Row {
    along: i64,
    taken: i64,
}

/// Blocks in rows, sorted by length and then by width, both falling; each row is as deep as its first block. Turned is
/// only what does not fit otherwise. `None`, if a block is too wide for the strip.
///
/// With the longest block 1 and the width 1, next fit takes at most twice the optimum and 1 more, first fit at most 1.7
/// times the optimum and 1 more, where nothing lies on a fold.
///
/// # Source
/// E. G. Coffman, M. R. Garey, D. S. Johnson, R. E. Tarjan, "Performance bounds for level-oriented two-dimensional packing
/// algorithms", SIAM Journal on Computing 9 (1980), 808–826 (pages from memory).
///
/// ```
/// use foldmark::{lay::{Block, Fit, levels}, length::{Length, Unit}};
/// let inches = |count| Length::of(count, Unit::Inch);
/// // A lining: 2 of 14 × 17, one of 14 × 6, one of 14 × 11. In rows it takes 23 in of a cloth 45 in wide.
/// let blocks = [17, 17, 6, 11].map(|along| Block::fixed(inches(14), inches(along)));
/// assert_eq!(levels(inches(45), &blocks, Fit::First).unwrap().length, inches(23));
/// ```
pub fn levels(width: Length, blocks: &[Block], fit: Fit) -> Option<Packing> {
    let ways = blocks.iter().map(|block| block.ways(width.nm()).first().copied());
    let ways: Vec<(i64, i64, bool)> = ways.collect::<Option<_>>()?;
    let mut order: Vec<usize> = (0..blocks.len()).collect();
    order.sort_by_key(|&index| (-ways[index].1, -ways[index].0));
    let mut rows: Vec<Row> = Vec::new();
    let mut places = vec![Place { across: Length::ZERO, along: Length::ZERO, is_turned: false }; blocks.len()];
    let mut length = 0;
    for index in order {
        let (across, along, is_turned) = ways[index];
        let has_room = |row: &Row| !blocks[index].on_fold && row.taken + across <= width.nm();
        let found = match fit {
            Fit::First => rows.iter().position(has_room),
            Fit::Next => rows.len().checked_sub(1).filter(|last| has_room(&rows[*last])),
        };
        let row = found.unwrap_or_else(|| {
            rows.push(Row { along: length, taken: 0 });
            length += along;
            rows.len() - 1
        });
        let row = &mut rows[row];
        places[index] = Place { across: Length::from_nm(row.taken), along: Length::from_nm(row.along), is_turned };
        row.taken += across;
    }
    Some(Packing { places, length: Length::from_nm(length) })
}
