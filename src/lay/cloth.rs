//! A cloth as it is bought: how wide, which way it may be used, and what is added before the length is rounded up.

use crate::length::{Length, Unit};

/// A cloth, and how pieces may lie on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cloth {
    /// What can be used of its width, without the selvages.
    pub width: Length,
    /// How much of it there is; as much as is needed, if nothing says.
    pub length: Option<Length>,
    /// How the print repeats along it: every piece begins at the same place of the print, so that each takes a multiple.
    pub repeat: Length,
    /// Whether nap or print run one way: then no piece is turned, by a half or by a quarter.
    pub is_one_way: bool,
    /// Whether pieces may lie across the grain as well.
    pub turns: bool,
    /// Whether it lies folded along its length, selvage to selvage.
    pub is_folded: bool,
    /// What is cut off each end to straighten it.
    pub ends: Length,
    /// What became of a test square.
    pub washed: Option<Washed>,
    /// The step in which a shop cuts.
    pub step: Length,
}

/// A test square before and after it was washed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Washed {
    /// Its side as it was cut.
    pub cut: Length,
    /// What is left of it along the grain.
    pub along: Length,
    /// What is left of it across.
    pub across: Length,
}

impl Cloth {
    /// The usual cloth: 110 cm or 44 in wide, cut by 10 cm or 1/8 yd, an inch or 25 mm for straightening each end
    /// (common practice, no source; spreaders of cloth leave 2 to 4 cm at either end).
    ///
    /// ```
    /// use foldmark::{lay::Cloth, length::{Length, Unit}};
    /// assert_eq!(Cloth::usual(true).width, Length::of(110, Unit::Centimetre));
    /// ```
    pub const fn usual(is_metric: bool) -> Cloth {
        let (width, ends, step) = if is_metric {
            (Length::of(110, Unit::Centimetre), Length::of(25, Unit::Millimetre), Length::of(10, Unit::Centimetre))
        } else {
            (Length::of(44, Unit::Inch), Length::of(1, Unit::Inch), Length::from_nm(Unit::Yard.length().nm() / 8))
        };
        let (is_one_way, turns, is_folded) = (false, false, false);
        let (length, repeat, washed) = (None, Length::ZERO, None);
        Cloth { width, length, repeat, is_one_way, turns, is_folded, ends, washed, step }
    }

    /// The widths in which the trade sells cloth.
    pub fn widths(is_metric: bool) -> [Length; 4] {
        if is_metric {
            [110, 115, 140, 150].map(|count| Length::of(count, Unit::Centimetre))
        } else {
            [36, 44, 54, 60].map(|count| Length::of(count, Unit::Inch))
        }
    }

    /// How wide the strip is that pieces lie on: the washed cloth, folded if it is to be.
    pub fn room(&self) -> Length {
        let washed = self.washed.map_or(self.width, |washed| scaled(self.width, washed.across, washed.cut, false));
        if self.is_folded { Length::from_nm(washed.nm() / 2) } else { washed }
    }

    /// Whether nap and print let a piece be turned by a quarter: a print that has to match does not.
    pub(super) fn may_turn(&self) -> bool {
        !self.is_one_way && self.repeat.is_zero()
    }

    /// What a piece takes along the cloth.
    pub(super) fn taken(&self, along: Length) -> Length {
        rounded_up(along, self.repeat)
    }

    /// The length to buy for a lay of this length: straightened, before it is washed, rounded up to a whole repeat and to
    /// the shop's step.
    ///
    /// ```
    /// use foldmark::{lay::{Cloth, Washed}, length::{Length, Unit}};
    /// let yard = Length::of(1, Unit::Yard);
    /// let cloth = Cloth { ends: Length::ZERO, ..Cloth::usual(false) };
    /// assert_eq!(cloth.to_buy(Length::of(35, Unit::Inch)), yard);
    /// // 5 % less after washing: 3 yards are cut from 3 / 0.95 = 3.158 yards, not from 3.15.
    /// let [cut, left] = [100, 95].map(|count| Length::of(count, Unit::Millimetre));
    /// let shrinks = Cloth { washed: Some(Washed { cut, along: left, across: cut }), step: Length::ZERO, ..cloth };
    /// assert_eq!(shrinks.to_buy(yard * 3).as_mm().round(), 2_888.0);
    /// ```
    pub fn to_buy(&self, lay: Length) -> Length {
        let straight = lay + self.ends * 2;
        let bought = self.washed.map_or(straight, |washed| scaled(straight, washed.cut, washed.along, true));
        rounded_up(bought, self.step)
    }
}

/// A length times a fraction, rounded to a whole nanometre: up, where there has to be enough.
fn scaled(length: Length, over: Length, under: Length, up: bool) -> Length {
    let (whole, part) = (i128::from(length.nm()) * i128::from(over.nm()), i128::from(under.nm().max(1)));
    let nm = whole.div_euclid(part) + i128::from(up && whole.rem_euclid(part) > 0);
    Length::from_nm(i64::try_from(nm).unwrap_or(i64::MAX / 4))
}

/// The next multiple of a step; the length itself, if there is none.
///
/// ```
/// use foldmark::{lay::rounded_up, length::{Length, Unit}};
/// // A drop of 114 in on a print that repeats every 11 in.
/// assert_eq!(rounded_up(Length::of(114, Unit::Inch), Length::of(11, Unit::Inch)), Length::of(121, Unit::Inch));
/// ```
pub fn rounded_up(length: Length, step: Length) -> Length {
    if step.nm() <= 0 {
        return length;
    }
    let rest = length.nm().rem_euclid(step.nm());
    if rest == 0 { length } else { Length::from_nm(length.nm() - rest + step.nm()) }
}
