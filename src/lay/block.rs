//! Rectangles to be laid on a strip of cloth, and where they lie on it.

use crate::length::Length;

/// A rectangle to be laid. A strip has a width across, and runs along from 0 as far as is needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Block {
    /// How much of the strip it takes across.
    pub across: Length,
    /// How much along it.
    pub along: Length,
    /// Whether it may lie turned by a quarter as well.
    pub turns: bool,
    /// Whether its left side has to lie on the strip's left border, where a folded cloth has its fold.
    pub on_fold: bool,
}

impl Block {
    /// One that lies as it is.
    ///
    /// ```
    /// use foldmark::{lay::Block, length::{Length, Unit}};
    /// let inches = |count| Length::of(count, Unit::Inch);
    /// assert!(!Block::fixed(inches(4), inches(9)).turns);
    /// ```
    pub const fn fixed(across: Length, along: Length) -> Block {
        Block { across, along, turns: false, on_fold: false }
    }

    /// The ways in which it may lie on a strip: across and along in nanometres, and whether it is turned.
    pub(super) fn ways(&self, width: i64) -> Vec<(i64, i64, bool)> {
        let (across, along) = (self.across.nm(), self.along.nm());
        let is_square = across == along;
        let turned = (self.turns && !self.on_fold && !is_square).then_some((along, across, true));
        [(across, along, false)].into_iter().chain(turned).filter(|(across, ..)| *across <= width).collect()
    }

    /// How much cloth it takes, in square nanometres.
    pub(super) fn area(&self) -> i128 {
        i128::from(self.across.nm()) * i128::from(self.along.nm())
    }
}

/// Where a block lies: its corner nearest to the strip's beginning and left border.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// From the left border.
    pub across: Length,
    /// From the beginning.
    pub along: Length,
    /// Whether it is turned by a quarter.
    pub is_turned: bool,
}

/// Blocks laid on a strip, in the order in which they were given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Packing {
    /// Where each lies.
    pub places: Vec<Place>,
    /// How much of the strip they take.
    pub length: Length,
}

/// No strip so long can do with less: the area of all blocks, the longest one, and those that can't lie side by side.
///
/// ```
/// use foldmark::{lay::{Block, least_length}, length::{Length, Unit}};
/// let inches = |count| Length::of(count, Unit::Inch);
/// let blocks = [Block::fixed(inches(30), inches(4)), Block::fixed(inches(25), inches(6))];
/// assert_eq!(least_length(inches(44), &blocks), inches(10));
/// ```
pub fn least_length(width: Length, blocks: &[Block]) -> Length {
    let width = width.nm();
    let least = |of: fn(&(i64, i64, bool)) -> i64, block: &Block| block.ways(width).iter().map(of).min().unwrap_or(0);
    let tallest = blocks.iter().map(|block| least(|way| way.1, block)).max().unwrap_or(0);
    let area: i128 = blocks.iter().map(Block::area).sum();
    let by_area = area.div_euclid(i128::from(width.max(1))) + i128::from(area.rem_euclid(i128::from(width.max(1))) > 0);
    // Of two that are each wider than half the strip, one lies after the other.
    let wide = blocks.iter().filter(|block| 2 * least(|way| way.0, block) > width);
    let stacked: i64 = wide.map(|block| least(|way| way.1, block)).sum();
    Length::from_nm(tallest.max(stacked).max(i64::try_from(by_area).unwrap_or(i64::MAX)))
}
