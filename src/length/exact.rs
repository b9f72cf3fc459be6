//! The exact length.

use super::print;
use super::unit::Unit;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// The finest fraction of an inch that is printed as a fraction: 1/64 in, in nanometres.
const SIXTY_FOURTH_NM: i64 = Unit::Inch.nm() / 64;

/// Nanometres in a millimetre: geometry is in millimetres, lengths and formulas are in nanometres.
pub const NM_PER_MM: f64 = 1e6;

/// A length, as a whole number of nanometres.
///
/// Arithmetic saturates at about 9.2 million kilometres, so nothing panics. Its [`Display`]
/// is exact: inches as a reduced fraction when the length is a whole multiple of 1/64 in,
/// otherwise centimetres.
///
/// [`Display`]: fmt::Display
///
/// ```
/// use foldmark::length::{Length, Unit};
/// let inch = Length::of(1, Unit::Inch);
/// assert_eq!(inch.nm(), 25_400_000);
/// assert_eq!(inch.to_string(), "1 in");
/// assert_eq!(Length::of(318, Unit::Millimetre).to_string(), "31.8 cm");
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

/// Which way [`Length::round_to`] goes.
///
/// ```
/// use foldmark::length::{Length, Rounding};
/// let tick = Length::from_nm(10);
/// assert_eq!(Length::from_nm(-15).round_to(tick, Rounding::Nearest).nm(), -20);
/// assert_eq!(Length::from_nm(-15).round_to(tick, Rounding::Up).nm(), -10);
/// assert_eq!(Length::from_nm(-15).round_to(tick, Rounding::Down).nm(), -20);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Rounding {
    /// To the nearest multiple; halfway goes away from zero.
    Nearest,
    /// Towards positive infinity.
    Up,
    /// Towards negative infinity.
    Down,
}

impl Length {
    /// No length at all.
    ///
    /// ```
    /// assert_eq!(foldmark::length::Length::ZERO.to_string(), "0 in");
    /// ```
    pub const ZERO: Length = Length(0);

    /// 100 m: the longest length that is believed when read.
    ///
    /// ```
    /// use foldmark::length::{Length, Unit};
    /// assert_eq!(Length::LIMIT, Length::of(100, Unit::Metre));
    /// ```
    pub const LIMIT: Length = Length::of(100, Unit::Metre);

    /// The length of `nm` nanometres.
    ///
    /// ```
    /// assert_eq!(foldmark::length::Length::from_nm(25_400_000).to_string(), "1 in");
    /// ```
    #[must_use]
    pub const fn from_nm(nm: i64) -> Length {
        Length(nm)
    }

    /// This length in nanometres.
    ///
    /// ```
    /// use foldmark::length::{Length, Unit};
    /// assert_eq!(Length::of(2, Unit::Centimetre).nm(), 20_000_000);
    /// ```
    #[must_use]
    pub const fn nm(self) -> i64 {
        self.0
    }

    /// `count` whole `unit`s, exactly; saturates beyond the largest length.
    ///
    /// ```
    /// use foldmark::length::{Length, Unit};
    /// assert_eq!(Length::of(3, Unit::Foot), Length::of(1, Unit::Yard));
    /// ```
    #[must_use]
    pub const fn of(count: i64, unit: Unit) -> Length {
        Length(unit.nm().saturating_mul(count))
    }

    /// The length nearest to `nm` nanometres, halves going away from zero. `None` when `nm`
    /// is not finite or is beyond 2^53 either way, where `f64` no longer holds every nanometre.
    ///
    /// ```
    /// use foldmark::length::Length;
    /// assert_eq!(Length::from_nm_f64(-2.5), Some(Length::from_nm(-3)));
    /// assert_eq!(Length::from_nm_f64(f64::NAN), None);
    /// ```
    #[must_use]
    pub fn from_nm_f64(nm: f64) -> Option<Length> {
        const MOST: f64 = 9_007_199_254_740_992.0;
        if nm.is_nan() || nm.abs() > MOST {
            return None;
        }
        // As `nm.round()`, which is a call into the system's library.
        let whole = nm as i64;
        let over = nm - whole as f64;
        Some(Length(whole + i64::from(over >= 0.5) - i64::from(over <= -0.5)))
    }

    /// This length in nanometres as `f64`: exact to 2^53 nm (9000 km), nearest beyond.
    ///
    /// ```
    /// assert_eq!(foldmark::length::Length::from_nm(7).as_nm_f64(), 7.0);
    /// ```
    #[must_use]
    pub fn as_nm_f64(self) -> f64 {
        self.0 as f64
    }

    /// This length in millimetres, for drawing: the nearest `f64`, not exact.
    ///
    /// ```
    /// use foldmark::length::{Length, Unit};
    /// assert_eq!(Length::of(1, Unit::Inch).as_mm(), 25.4);
    /// ```
    #[must_use]
    pub fn as_mm(self) -> f64 {
        self.as_nm_f64() / NM_PER_MM
    }

    /// The length nearest to so many millimetres; `None` as for [`Length::from_nm_f64`].
    ///
    /// ```
    /// use foldmark::length::{Length, Unit};
    /// assert_eq!(Length::from_mm(25.4), Some(Unit::Inch.length()));
    /// ```
    #[must_use]
    pub fn from_mm(mm: f64) -> Option<Length> {
        Length::from_nm_f64(mm * NM_PER_MM)
    }

    /// The size of this length without its sign; saturating.
    ///
    /// ```
    /// use foldmark::length::Length;
    /// assert_eq!(Length::from_nm(-4).abs(), Length::from_nm(4));
    /// ```
    #[must_use]
    pub const fn abs(self) -> Length {
        Length(self.0.saturating_abs())
    }

    /// Whether this length is below zero.
    ///
    /// ```
    /// assert!(foldmark::length::Length::from_nm(-1).is_negative());
    /// ```
    #[must_use]
    pub const fn is_negative(self) -> bool {
        self.0 < 0
    }

    /// Whether this length is exactly zero.
    ///
    /// ```
    /// assert!(foldmark::length::Length::ZERO.is_zero());
    /// ```
    #[must_use]
    pub const fn is_zero(self) -> bool {
        self.0 == 0
    }

    /// This length rounded to a whole multiple of `tick`. A tick of zero or less changes
    /// nothing; a multiple too long to hold gives the outermost multiple that can be held.
    ///
    /// ```
    /// use foldmark::length::{Length, Rounding, Unit};
    /// let cm = Unit::Centimetre.length();
    /// let inch = Unit::Inch.length();
    /// assert_eq!(inch.round_to(cm, Rounding::Nearest), Length::of(3, Unit::Centimetre));
    /// assert_eq!(inch.round_to(cm, Rounding::Down), Length::of(2, Unit::Centimetre));
    /// ```
    #[must_use]
    pub fn round_to(self, tick: Length, rounding: Rounding) -> Length {
        if tick.0 <= 0 {
            return self;
        }
        let tick = tick.0;
        let (below, past) = (self.0.div_euclid(tick), self.0.rem_euclid(tick));
        let up = match rounding {
            Rounding::Down => false,
            Rounding::Up => past > 0,
            // `past >= tick - past` is `2 past >= tick` without overflow; below zero a tie
            // goes away from zero, which is down.
            Rounding::Nearest if self.0 < 0 => past > tick - past,
            Rounding::Nearest => past >= tick - past,
        };
        let wanted = (i128::from(below) + i128::from(up)) * i128::from(tick);
        let (least, most) = (i64::MIN / tick * tick, i64::MAX / tick * tick);
        Length(i64::try_from(wanted).unwrap_or(if wanted < 0 { least } else { most }))
    }
}

impl Unit {
    /// How long one of this unit is; exact.
    ///
    /// ```
    /// use foldmark::length::{Length, Unit};
    /// assert_eq!(Unit::Yard.length().nm(), 914_400_000);
    /// ```
    #[must_use]
    pub const fn length(self) -> Length {
        Length(self.nm())
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        *self = *self + other;
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0.saturating_sub(other.0))
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(self.0.saturating_neg())
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, times: i64) -> Length {
        Length(self.0.saturating_mul(times))
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        lengths.fold(Length::ZERO, Add::add)
    }
}

impl<'a> Sum<&'a Length> for Length {
    fn sum<I: Iterator<Item = &'a Length>>(lengths: I) -> Length {
        lengths.copied().sum()
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        print::padded(f, |out| {
            if self.0 % SIXTY_FOURTH_NM == 0 {
                print::mixed(out, self.0 / SIXTY_FOURTH_NM, 64)?;
                out.write_str(" in")
            } else {
                print::decimal(out, self.0, 7)?;
                out.write_str(" cm")
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MOST: Length = Length::from_nm(i64::MAX);
    const LEAST: Length = Length::from_nm(i64::MIN);

    #[test]
    fn display_is_exact_and_short() {
        let shown = |nm| Length::from_nm(nm).to_string();
        assert_eq!(shown(317_500_000), "12 1/2 in");
        assert_eq!(shown(-9_525_000), "-3/8 in");
        assert_eq!(shown(0), "0 in");
        assert_eq!(shown(25_400_000), "1 in");
        assert_eq!(shown(396_875), "1/64 in");
        assert_eq!(shown(-26_590_625), "-1 3/64 in");
        assert_eq!(shown(318_000_000), "31.8 cm");
        assert_eq!(shown(1), "0.0000001 cm");
        assert_eq!(shown(-1), "-0.0000001 cm");
        assert_eq!(shown(20_000_000), "2 cm");
        assert_eq!(shown(i64::MIN), "-922337203685.4775808 cm");
        assert_eq!(format!("{:>8}|{:<8}|", Length::ZERO, Length::ZERO), "    0 in|0 in    |");
    }

    #[test]
    fn arithmetic_saturates() {
        assert_eq!(MOST + Length::from_nm(1), MOST);
        assert_eq!(LEAST - Length::from_nm(1), LEAST);
        assert_eq!(-LEAST, MOST);
        assert_eq!(LEAST.abs(), MOST);
        assert_eq!(LEAST * -3, MOST);
        assert_eq!(Length::of(i64::MIN, Unit::Metre), LEAST);
        assert_eq!([MOST, MOST, LEAST].iter().sum::<Length>(), Length::from_nm(-1));
    }

    #[test]
    fn sums_of_ticks_are_exact() {
        let tick = Length::from_nm(SIXTY_FOURTH_NM);
        let sum: Length = std::iter::repeat_n(tick, 10_000).sum();
        assert_eq!(sum.to_string(), "156 1/4 in");
        assert_eq!(sum, tick * 10_000);
        let mut halves = Length::ZERO;
        for _ in 0..10_000 {
            halves += Length::from_nm(Unit::Inch.length().nm() / 2);
        }
        assert_eq!(halves, Length::of(5_000, Unit::Inch));
        let mm: Length = std::iter::repeat_n(Unit::Millimetre.length(), 10_000).sum();
        assert_eq!(mm, Length::of(10, Unit::Metre));
    }

    #[test]
    fn floats_come_and_go() {
        let from = Length::from_nm_f64;
        assert_eq!(from(0.5), Some(Length::from_nm(1)));
        assert_eq!(from(0.499_999_999_999_999_94), Some(Length::ZERO));
        assert_eq!(from(9_007_199_254_740_992.0).map(Length::nm), Some(1 << 53));
        assert_eq!(from(-9_007_199_254_740_994.0), None);
        for nm in [
            0.0,
            -0.0,
            0.5,
            -0.5,
            1.5,
            -2.5,
            2.499_999_999_999_999_6,
            -0.499_999_999_999_999_94,
            1e9 + 0.5,
            4_503_599_627_370_495.5,
        ] {
            assert_eq!(from(nm).map(Length::as_nm_f64), Some(nm.round()), "{nm}");
        }
        assert_eq!(from(f64::INFINITY), None);
        assert_eq!(Length::from_nm(-1_500_000).as_mm(), -1.5);
    }

    #[test]
    fn rounding_goes_the_way_it_says() {
        let to = |nm, tick, way| Length::from_nm(nm).round_to(Length::from_nm(tick), way).nm();
        assert_eq!([14, 15, -14, -15].map(|n| to(n, 10, Rounding::Nearest)), [10, 20, -10, -20]);
        assert_eq!([10, 11, -10, -11].map(|n| to(n, 10, Rounding::Up)), [10, 20, -10, -10]);
        assert_eq!([10, 19, -10, -11].map(|n| to(n, 10, Rounding::Down)), [10, 10, -10, -20]);
        assert_eq!([4, 5, -4, -5].map(|n| to(n, 9, Rounding::Nearest)), [0, 9, 0, -9]);
        assert_eq!(to(7, 0, Rounding::Up), 7);
        assert_eq!(to(7, -3, Rounding::Up), 7);
        for way in [Rounding::Nearest, Rounding::Up, Rounding::Down] {
            for nm in [i64::MIN, i64::MIN + 1, -1, 0, 1, i64::MAX - 1, i64::MAX] {
                for tick in [1, 2, 10, i64::MAX - 1, i64::MAX] {
                    assert_eq!(to(nm, tick, way) % tick, 0, "{nm} {tick} {way:?}");
                }
            }
        }
    }
}
