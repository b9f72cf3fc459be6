//! Blocks one after another, each as near to the beginning as it can lie, and as far left there.

use super::block::{Block, Packing, Place};
use crate::length::Length;

/// A rectangle that is taken: across from and to, along from and to.
type Taken = (i64, i64, i64, i64);

/// Lays blocks in an order, each at the lowest place that has room for it, and there as far left as it goes; of the ways
/// in which it may lie, the one that ends lowest. `None`, if a block is too wide for the strip.
///
/// In the order of falling width this takes at most three times the optimum, where nothing is turned or lies on a fold.
///
/// # Source
/// B. S. Baker, E. G. Coffman, R. L. Rivest, "Orthogonal packings in two dimensions", SIAM Journal on Computing 9 (1980),
/// 846–855.
///
/// ```
/// use foldmark::{lay::{Block, bottom_left}, length::{Length, Unit}};
/// let inches = |count| Length::of(count, Unit::Inch);
/// let blocks = [17, 17, 11, 6].map(|along| Block::fixed(inches(14), inches(along)));
/// assert_eq!(bottom_left(inches(45), &blocks, &[0, 1, 2, 3]).unwrap().length, inches(17));
/// ```
pub fn bottom_left(width: Length, blocks: &[Block], order: &[usize]) -> Option<Packing> {
    let mut taken: Vec<Taken> = Vec::with_capacity(blocks.len());
    let mut places = vec![Place { across: Length::ZERO, along: Length::ZERO, is_turned: false }; blocks.len()];
    let mut length = 0;
    for &index in order {
        let block = &blocks[index];
        let ways = block.ways(width.nm()).into_iter();
        let found = ways.filter_map(|(across, along, is_turned)| {
            let (x, y) = lowest(width.nm(), &taken, (across, along), block.on_fold)?;
            Some((y + along, y, x, across, is_turned))
        });
        let (top, y, x, across, is_turned) = found.min()?;
        taken.push((x, x + across, y, top));
        places[index] = Place { across: Length::from_nm(x), along: Length::from_nm(y), is_turned };
        length = length.max(top);
    }
    Some(Packing { places, length: Length::from_nm(length) })
}

/// The lowest place, and there the leftmost: it lies at the beginning or on another block, and at the border or beside one.
fn lowest(width: i64, taken: &[Taken], (across, along): (i64, i64), on_fold: bool) -> Option<(i64, i64)> {
    let sorted = |sides: Vec<i64>| {
        let mut sides = sides;
        sides.push(0);
        sides.sort_unstable();
        sides.dedup();
        sides
    };
    let lefts = if on_fold { vec![0] } else { sorted(taken.iter().map(|one| one.1).collect()) };
    let tops = sorted(taken.iter().map(|one| one.3).collect());
    let is_free =
        |x: i64, y: i64| taken.iter().all(|one| x >= one.1 || x + across <= one.0 || y >= one.3 || y + along <= one.2);
    let at = |y: i64| lefts.iter().copied().filter(|x| x + across <= width).find(|x| is_free(*x, y));
    tops.into_iter().find_map(|y| Some((at(y)?, y)))
}
