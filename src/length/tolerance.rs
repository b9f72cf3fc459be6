//! Named tolerances: how far apart two lengths may be and still count as equal.

use super::exact::Length;
use super::ruler::Ruler;

/// A width, in nanometres, within which two lengths count as equal, and what it is called.
///
/// ```
/// use foldmark::length::{Length, Ruler, Tolerance, Unit};
/// let near = Tolerance::one_tick(Ruler::MILLIMETRE);
/// let cm = Unit::Centimetre.length();
/// assert!(near.holds(cm, Length::of(11, Unit::Millimetre)));
/// assert!(!near.holds(cm, Length::of(12, Unit::Millimetre)));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Tolerance {
    width: Length,
    name: &'static str,
}

impl Tolerance {
    /// One tick of `ruler`.
    ///
    /// ```
    /// use foldmark::length::{Ruler, Tolerance};
    /// assert_eq!(Tolerance::one_tick(Ruler::EIGHTH).width(), Ruler::EIGHTH.tick());
    /// ```
    #[must_use]
    pub fn one_tick(ruler: Ruler) -> Tolerance {
        Tolerance::named(ruler.tick(), "one tick")
    }

    /// Half a tick of `ruler`. An odd number of nanometres is halved downwards, which lets in
    /// just the same lengths, for every length is whole nanometres.
    ///
    /// ```
    /// use foldmark::length::{Ruler, Tolerance};
    /// assert_eq!(Tolerance::half_tick(Ruler::MILLIMETRE).width().nm(), 500_000);
    /// ```
    #[must_use]
    pub fn half_tick(ruler: Ruler) -> Tolerance {
        Tolerance::named(Length::from_nm(ruler.tick().nm() / 2), "half a tick")
    }

    /// One micrometre, 1000 nm: for lengths that came through drawing arithmetic.
    ///
    /// ```
    /// assert_eq!(foldmark::length::Tolerance::micrometre().width().nm(), 1_000);
    /// ```
    #[must_use]
    pub const fn micrometre() -> Tolerance {
        Tolerance { width: Length::from_nm(1_000), name: "one micrometre" }
    }

    /// No difference at all.
    ///
    /// ```
    /// use foldmark::length::{Length, Tolerance};
    /// assert!(!Tolerance::exactly().holds(Length::ZERO, Length::from_nm(1)));
    /// ```
    #[must_use]
    pub const fn exactly() -> Tolerance {
        Tolerance { width: Length::ZERO, name: "exactly" }
    }

    /// A width of one's own; a negative one counts by its size.
    ///
    /// ```
    /// use foldmark::length::{Length, Tolerance};
    /// assert_eq!(Tolerance::of(Length::from_nm(-5)).width(), Length::from_nm(5));
    /// ```
    #[must_use]
    pub const fn of(width: Length) -> Tolerance {
        Tolerance::named(width, "the width given")
    }

    /// A width of one's own with a name of one's own; a negative one counts by its size.
    ///
    /// ```
    /// use foldmark::length::{Length, Tolerance};
    /// let ease = Tolerance::named(Length::from_nm(5), "seam ease");
    /// assert_eq!(ease.name(), "seam ease");
    /// ```
    #[must_use]
    pub const fn named(width: Length, name: &'static str) -> Tolerance {
        Tolerance { width: width.abs(), name }
    }

    /// The widest difference that still counts as equal.
    ///
    /// ```
    /// use foldmark::length::{Length, Tolerance};
    /// assert_eq!(Tolerance::exactly().width(), Length::ZERO);
    /// ```
    #[must_use]
    pub const fn width(self) -> Length {
        self.width
    }

    /// Whether `a` and `b` are no further apart than the width; exactly the width holds.
    ///
    /// ```
    /// use foldmark::length::{Length, Tolerance};
    /// assert!(Tolerance::micrometre().holds(Length::ZERO, Length::from_nm(-1_000)));
    /// ```
    #[must_use]
    pub const fn holds(self, a: Length, b: Length) -> bool {
        a.nm().abs_diff(b.nm()) <= self.width.nm().unsigned_abs()
    }

    /// What this tolerance is called, to finish the sentence "equal to within".
    ///
    /// ```
    /// use foldmark::length::{Ruler, Tolerance};
    /// assert_eq!(Tolerance::half_tick(Ruler::EIGHTH).name(), "half a tick");
    /// ```
    #[must_use]
    pub const fn name(self) -> &'static str {
        self.name
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Unit;

    #[test]
    fn the_width_itself_is_let_in() {
        let nm = Length::from_nm;
        let five = Tolerance::of(nm(5));
        assert!(five.holds(nm(10), nm(15)) && five.holds(nm(15), nm(10)));
        assert!(!five.holds(nm(10), nm(16)) && !five.holds(nm(16), nm(10)));
        assert!(five.holds(nm(-2), nm(3)));
        assert!(Tolerance::exactly().holds(nm(7), nm(7)));
    }

    #[test]
    fn the_ends_of_the_range_do_not_wrap() {
        let (least, most) = (Length::from_nm(i64::MIN), Length::from_nm(i64::MAX));
        assert!(!Tolerance::of(most).holds(least, most));
        assert!(Tolerance::of(least).holds(Length::ZERO, most));
    }

    #[test]
    fn half_of_an_odd_tick_is_the_same_test() -> Result<(), crate::length::RulerFault> {
        let ruler = Ruler::new(Length::from_nm(396_875), Unit::Inch)?;
        let half = Tolerance::half_tick(ruler);
        assert!(half.holds(Length::ZERO, Length::from_nm(198_437)));
        assert!(!half.holds(Length::ZERO, Length::from_nm(198_438)));
        Ok(())
    }

    #[test]
    fn each_has_its_name() {
        assert_eq!(Tolerance::one_tick(Ruler::EIGHTH).name(), "one tick");
        assert_eq!(Tolerance::micrometre().name(), "one micrometre");
        assert_eq!(Tolerance::exactly().name(), "exactly");
        assert_eq!(Tolerance::of(Length::ZERO).name(), "the width given");
    }
}
