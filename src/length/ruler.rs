//! Rulers: the unit that numbers one, its smallest tick, and lengths as read off it.

use super::exact::{Length, Rounding};
use super::fault::{ReadFault, safe};
use super::print;
use super::read::read_with_unit;
use super::unit::Unit;
use std::fmt;

/// A ruler: numbered in inches or in centimetres, with a smallest tick that divides that unit
/// a whole number of times. Its `Display` is the tick, and reads back: `1/8 in`, `5 mm`.
///
/// ```
/// use foldmark::length::{Ruler, read};
/// let ruler = Ruler::read("1/8 in")?;
/// assert_eq!(ruler, Ruler::EIGHTH);
/// assert_eq!(ruler.write(read("3.1 in", None)?).to_string(), "≈ 3 1/8 in");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Ruler {
    tick: Length,
    unit: Unit,
}

/// Why there is no such ruler. Its `Display` is a whole sentence that says what to write.
///
/// ```
/// use foldmark::length::Ruler;
/// assert_eq!(
///     Ruler::read("3/8 in").unwrap_err().to_string(),
///     "3/8 in does not divide 1 in into equal ticks; write a tick like 1/8 in or 1/16 in"
/// );
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RulerFault {
    /// The tick could not be read as a length.
    Read(ReadFault),
    /// Rulers are numbered in inches or centimetres only.
    Unit(Unit),
    /// The tick is zero or negative.
    NotPositive {
        /// The tick as written.
        tick: String,
    },
    /// The tick is finer than 1/64 in, or than 0.1 mm on a ruler numbered in centimetres.
    TooFine {
        /// The tick as written.
        tick: String,
        /// The unit that numbers the ruler.
        unit: Unit,
    },
    /// The unit is not a whole number of ticks.
    NotWhole {
        /// The tick as written.
        tick: String,
        /// The unit that numbers the ruler.
        unit: Unit,
    },
}

impl std::error::Error for RulerFault {}

impl fmt::Display for RulerFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let like = |unit: &Unit| {
            if unit.is_metric() { "1 mm or 5 mm" } else { "1/8 in or 1/16 in" }
        };
        match self {
            RulerFault::Read(error) => error.fmt(f),
            RulerFault::Unit(unit) => {
                write!(f, "a ruler is numbered in in or cm, not in {}", unit.symbol())
            }
            RulerFault::NotPositive { tick } => {
                write!(f, "{tick} is no tick; write one longer than 0, like 1/8 in or 1 mm")
            }
            RulerFault::TooFine { tick, unit } => {
                let finest = if unit.is_metric() { "0.1 mm" } else { "1/64 in" };
                let like = like(unit);
                write!(f, "{tick} is finer than {finest}; write a tick like {like}")
            }
            RulerFault::NotWhole { tick, unit } => {
                let (symbol, like) = (unit.symbol(), like(unit));
                write!(f, "{tick} does not divide 1 {symbol} into equal ticks; write a tick like {like}")
            }
        }
    }
}

impl Ruler {
    /// Inches in sixteenths.
    ///
    /// ```
    /// assert_eq!(foldmark::length::Ruler::SIXTEENTH.to_string(), "1/16 in");
    /// ```
    pub const SIXTEENTH: Ruler = Ruler::inch_over(16);

    /// Inches in thirty-seconds: for what has to be told more finely than it is drawn.
    ///
    /// ```
    /// assert_eq!(foldmark::length::Ruler::THIRTY_SECOND.to_string(), "1/32 in");
    /// ```
    pub const THIRTY_SECOND: Ruler = Ruler::inch_over(32);

    /// Inches in eighths.
    ///
    /// ```
    /// assert_eq!(foldmark::length::Ruler::EIGHTH.to_string(), "1/8 in");
    /// ```
    pub const EIGHTH: Ruler = Ruler::inch_over(8);

    /// Centimetres in millimetres.
    ///
    /// ```
    /// assert_eq!(foldmark::length::Ruler::MILLIMETRE.to_string(), "1 mm");
    /// ```
    pub const MILLIMETRE: Ruler = Ruler { tick: Unit::Millimetre.length(), unit: Unit::Centimetre };

    /// Centimetres in halves.
    ///
    /// ```
    /// assert_eq!(foldmark::length::Ruler::FIVE_MILLIMETRES.to_string(), "5 mm");
    /// ```
    pub const FIVE_MILLIMETRES: Ruler = Ruler { tick: Length::of(5, Unit::Millimetre), unit: Unit::Centimetre };

    const fn inch_over(ticks: i64) -> Ruler {
        Ruler { tick: Length::from_nm(Unit::Inch.length().nm() / ticks), unit: Unit::Inch }
    }

    /// The ruler numbered in `unit` (inches or centimetres) with this smallest tick.
    ///
    /// # Errors
    /// When the unit is another one; when the tick is not positive, is finer than 1/64 in
    /// (inches) or 0.1 mm (centimetres), or does not divide the unit a whole number of times.
    ///
    /// ```
    /// use foldmark::length::{Length, Ruler, Unit};
    /// let ruler = Ruler::new(Length::of(2, Unit::Millimetre), Unit::Centimetre)?;
    /// assert_eq!(ruler.to_string(), "2 mm");
    /// assert!(Ruler::new(Length::of(3, Unit::Millimetre), Unit::Centimetre).is_err());
    /// # Ok::<(), foldmark::length::RulerFault>(())
    /// ```
    pub fn new(tick: Length, unit: Unit) -> Result<Ruler, RulerFault> {
        Ruler::checked(tick, unit, || tick.to_string())
    }

    /// Reads a ruler by its tick: `1/8 in`, `1 mm`, `0.5 cm`. Metric rulers are numbered in
    /// centimetres, others in inches.
    ///
    /// # Errors
    /// When the tick cannot be read, has no unit, or makes no ruler; see [`Ruler::new`].
    ///
    /// ```
    /// use foldmark::length::Ruler;
    /// assert_eq!(Ruler::read("0.5 cm")?, Ruler::FIVE_MILLIMETRES);
    /// # Ok::<(), foldmark::length::RulerFault>(())
    /// ```
    pub fn read(text: &str) -> Result<Ruler, RulerFault> {
        let (tick, unit) = read_with_unit(text, None).map_err(RulerFault::Read)?;
        let unit = if unit.is_metric() { Unit::Centimetre } else { Unit::Inch };
        Ruler::checked(tick, unit, || safe(text.trim()))
    }

    fn checked(tick: Length, unit: Unit, shown: impl Fn() -> String) -> Result<Ruler, RulerFault> {
        let most = match unit {
            Unit::Inch => 64,
            Unit::Centimetre => 100,
            Unit::Foot | Unit::Yard | Unit::Millimetre | Unit::Metre => return Err(RulerFault::Unit(unit)),
        };
        if tick <= Length::ZERO {
            return Err(RulerFault::NotPositive { tick: shown() });
        }
        let (one, nm) = (unit.length().nm(), tick.nm());
        if nm < one / most {
            return Err(RulerFault::TooFine { tick: shown(), unit });
        }
        if one % nm != 0 {
            return Err(RulerFault::NotWhole { tick: shown(), unit });
        }
        Ok(Ruler { tick, unit })
    }

    /// The smallest tick.
    ///
    /// ```
    /// use foldmark::length::{Ruler, Unit};
    /// assert_eq!(Ruler::MILLIMETRE.tick(), Unit::Millimetre.length());
    /// ```
    #[must_use]
    pub const fn tick(self) -> Length {
        self.tick
    }

    /// The unit that numbers the ruler: inch or centimetre.
    ///
    /// ```
    /// use foldmark::length::{Ruler, Unit};
    /// assert_eq!(Ruler::MILLIMETRE.unit(), Unit::Centimetre);
    /// ```
    #[must_use]
    pub const fn unit(self) -> Unit {
        self.unit
    }

    /// Whether the ruler is numbered in centimetres.
    ///
    /// ```
    /// assert!(!foldmark::length::Ruler::EIGHTH.is_metric());
    /// ```
    #[must_use]
    pub const fn is_metric(self) -> bool {
        self.unit.is_metric()
    }

    /// The ruler usual beside `unit`: 1/16 in for inches, feet and yards, otherwise 1 mm.
    ///
    /// ```
    /// use foldmark::length::{Ruler, Unit};
    /// assert_eq!(Ruler::usual_for(Unit::Yard), Ruler::SIXTEENTH);
    /// ```
    #[must_use]
    pub const fn usual_for(unit: Unit) -> Ruler {
        if unit.is_metric() { Ruler::MILLIMETRE } else { Ruler::SIXTEENTH }
    }

    /// Whether `length` is a whole number of ticks.
    ///
    /// ```
    /// use foldmark::length::{Ruler, Unit};
    /// assert!(Ruler::EIGHTH.on_tick(Unit::Yard.length()));
    /// assert!(!Ruler::EIGHTH.on_tick(Unit::Metre.length()));
    /// ```
    #[must_use]
    pub const fn on_tick(self, length: Length) -> bool {
        length.nm() % self.tick.nm() == 0
    }

    /// The tick nearest to `length`; halfway goes away from zero.
    ///
    /// ```
    /// use foldmark::length::{Length, Ruler, Unit};
    /// let inch = Unit::Inch.length();
    /// assert_eq!(Ruler::MILLIMETRE.nearest(inch), Length::of(25, Unit::Millimetre));
    /// ```
    #[must_use]
    pub fn nearest(self, length: Length) -> Length {
        length.round_to(self.tick, Rounding::Nearest)
    }

    /// `length` as read off this ruler, with its unit: `3 3/4 in`, `9.5 cm`, `≈ 3 1/8 in`.
    ///
    /// ```
    /// use foldmark::length::{Length, Ruler, Unit};
    /// let length = Length::of(95, Unit::Millimetre);
    /// assert_eq!(Ruler::MILLIMETRE.write(length).to_string(), "9.5 cm");
    /// assert_eq!(Ruler::EIGHTH.write(length).to_string(), "≈ 3 3/4 in");
    /// ```
    #[must_use]
    pub fn write(self, length: Length) -> Written {
        let printed = self.nearest(length);
        Written { length: printed, rounded: printed != length, ruler: self, with_unit: true }
    }

    /// A length without rounding: as this ruler writes it where it falls on a tick, exactly otherwise.
    ///
    /// ```
    /// use foldmark::length::{Length, Ruler};
    /// let length = Length::read("5/16 in", None).unwrap();
    /// assert_eq!(Ruler::SIXTEENTH.write_exactly(length), "5/16 in");
    /// assert_eq!(Ruler::EIGHTH.write_exactly(length), "5/16 in");
    /// assert_eq!(Ruler::MILLIMETRE.write_exactly(Length::read("9.5 cm", None).unwrap()), "9.5 cm");
    /// ```
    pub fn write_exactly(self, length: Length) -> String {
        if self.on_tick(length) { self.write(length).to_string() } else { length.to_string() }
    }

    /// The next tick below a length.
    ///
    /// ```
    /// use foldmark::length::{Length, Ruler, Unit};
    /// let inch = Unit::Inch.length();
    /// assert_eq!(Ruler::EIGHTH.tick_below(inch).to_string(), "7/8 in");
    /// assert_eq!(Ruler::EIGHTH.tick_above(inch).to_string(), "1 1/8 in");
    /// ```
    #[must_use]
    pub fn tick_below(self, length: Length) -> Length {
        let below = length.round_to(self.tick, Rounding::Down);
        if below == length { length - self.tick } else { below }
    }

    /// The next tick above a length; see [`Ruler::tick_below`].
    #[must_use]
    pub fn tick_above(self, length: Length) -> Length {
        let above = length.round_to(self.tick, Rounding::Up);
        if above == length { length + self.tick } else { above }
    }

    /// `length` exactly, as a number in the ruler's unit where it falls on a tick: for a line that names its unit already.
    ///
    /// ```
    /// use foldmark::length::{Length, Ruler, Unit};
    /// assert_eq!(Ruler::EIGHTH.bare(Unit::Inch.length()), "1");
    /// assert_eq!(Ruler::EIGHTH.bare(Unit::Centimetre.length()), "1 cm");
    /// ```
    #[must_use]
    pub fn bare(self, length: Length) -> String {
        if self.on_tick(length) { self.write(length).number() } else { self.write_exactly(length) }
    }

    /// `length` as read off this ruler, without its unit: `12 1/2`, `≈ 3 1/8`.
    ///
    /// ```
    /// use foldmark::length::{Length, Ruler};
    /// let length = Length::from_nm(317_500_000);
    /// assert_eq!(Ruler::EIGHTH.write_bare(length).to_string(), "12 1/2");
    /// ```
    #[must_use]
    pub fn write_bare(self, length: Length) -> Written {
        Written { with_unit: false, ..self.write(length) }
    }
}

impl fmt::Display for Ruler {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        print::padded(f, |out| {
            if self.is_metric() {
                print::decimal(out, self.tick.nm(), 6)?;
                out.write_str(" mm")
            } else {
                self.number(out, self.tick)?;
                out.write_str(" in")
            }
        })
    }
}

impl Ruler {
    /// Writes `length`, which is on a tick, in this ruler's unit.
    fn number(self, out: &mut dyn fmt::Write, length: Length) -> fmt::Result {
        if self.is_metric() {
            return print::decimal(out, length.nm(), 7);
        }
        let (one, tick) = (self.unit.length().nm(), self.tick.nm());
        print::mixed(out, length.nm() / tick, (one / tick).unsigned_abs())
    }
}

/// A length as read off a ruler, ready to print without allocating.
///
/// ```
/// use foldmark::length::{Length, Ruler, Unit};
/// let written = Ruler::EIGHTH.write(Length::of(8, Unit::Centimetre));
/// assert_eq!(written.to_string(), "≈ 3 1/8 in");
/// assert!(written.rounded());
/// assert_eq!(written.number(), "3 1/8");
/// assert_eq!(written.length().to_string(), "3 1/8 in");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Written {
    length: Length,
    rounded: bool,
    ruler: Ruler,
    with_unit: bool,
}

impl Written {
    /// Whether the length lay off the ticks and was rounded; then `≈` is printed before it.
    ///
    /// ```
    /// use foldmark::length::{Ruler, Unit};
    /// assert!(!Ruler::EIGHTH.write(Unit::Inch.length()).rounded());
    /// ```
    #[must_use]
    pub const fn rounded(&self) -> bool {
        self.rounded
    }

    /// The length that is printed: on a tick.
    ///
    /// ```
    /// use foldmark::length::{Length, Ruler, Unit};
    /// let written = Ruler::MILLIMETRE.write(Unit::Inch.length());
    /// assert_eq!(written.length(), Length::of(25, Unit::Millimetre));
    /// ```
    #[must_use]
    pub const fn length(&self) -> Length {
        self.length
    }

    /// The number alone, without `≈` and without the unit.
    ///
    /// ```
    /// use foldmark::length::{Ruler, Unit};
    /// assert_eq!(Ruler::MILLIMETRE.write(Unit::Inch.length()).number(), "2.5");
    /// ```
    #[must_use]
    pub fn number(&self) -> String {
        Written { rounded: false, with_unit: false, ..*self }.to_string()
    }
}

impl fmt::Display for Written {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        print::padded(f, |out| {
            if self.rounded {
                out.write_str("≈ ")?;
            }
            self.ruler.number(out, self.length)?;
            if self.with_unit {
                write!(out, " {}", self.ruler.unit.symbol())?;
            }
            Ok(())
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> String {
        Ruler::read(text).map_or_else(|error| error.to_string(), |ruler| format!("ok {ruler}"))
    }

    #[test]
    fn rulers_read_and_print() {
        assert_eq!(Ruler::read("1/16 in"), Ok(Ruler::SIXTEENTH));
        assert_eq!(Ruler::read("1/8\""), Ok(Ruler::EIGHTH));
        assert_eq!(Ruler::read("0.001 m"), Ok(Ruler::MILLIMETRE));
        assert_eq!(Ruler::read("0,5 cm"), Ok(Ruler::FIVE_MILLIMETRES));
        assert_eq!(said("0.1 in"), "ok 1/10 in");
        assert_eq!(said("1/36 yd"), "ok 1 in");
        assert_eq!(said("1 cm"), "ok 10 mm");
        assert_eq!(said("1/64 in"), "ok 1/64 in");
        assert_eq!(said("0.1 mm"), "ok 0.1 mm");
        assert_eq!(format!("{:>8}", Ruler::EIGHTH), "  1/8 in");
    }

    #[test]
    fn no_such_ruler() {
        assert_eq!(said("1/128 in"), "1/128 in is finer than 1/64 in; write a tick like 1/8 in or 1/16 in");
        assert_eq!(said("0.05 mm"), "0.05 mm is finer than 0.1 mm; write a tick like 1 mm or 5 mm");
        assert_eq!(said("1/3 in"), "1/3 in does not divide 1 in into equal ticks; write a tick like 1/8 in or 1/16 in");
        assert_eq!(said("2 cm"), "2 cm does not divide 1 cm into equal ticks; write a tick like 1 mm or 5 mm");
        assert_eq!(said("0 in"), "0 in is no tick; write one longer than 0, like 1/8 in or 1 mm");
        assert_eq!(said("-1 mm"), "-1 mm is no tick; write one longer than 0, like 1/8 in or 1 mm");
        assert_eq!(said("1/8"), "\"1/8\": read 1/8, but it has no unit; add in, ft, yd, mm, cm or m");
        assert_eq!(
            Ruler::new(Unit::Inch.length(), Unit::Foot).map_err(|error| error.to_string()),
            Err("a ruler is numbered in in or cm, not in ft".to_owned())
        );
    }

    #[test]
    fn lengths_as_written_on_rulers() {
        let shown = |ruler: Ruler, nm| ruler.write(Length::from_nm(nm)).to_string();
        assert_eq!(shown(Ruler::EIGHTH, 95_250_000), "3 3/4 in");
        assert_eq!(shown(Ruler::SIXTEENTH, -12_700_000), "-1/2 in");
        assert_eq!(shown(Ruler::SIXTEENTH, 0), "0 in");
        assert_eq!(shown(Ruler::SIXTEENTH, -1), "≈ 0 in");
        assert_eq!(shown(Ruler::MILLIMETRE, 95_000_000), "9.5 cm");
        assert_eq!(shown(Ruler::MILLIMETRE, -90_400_000), "≈ -9 cm");
        assert_eq!(shown(Ruler::FIVE_MILLIMETRES, 93_000_000), "≈ 9.5 cm");
        assert_eq!(shown(Ruler::MILLIMETRE, 500_000), "≈ 0.1 cm");
        let bare = Ruler::EIGHTH.write_bare(Length::from_nm(317_500_001));
        assert_eq!((bare.to_string(), bare.number()), ("≈ 12 1/2".into(), "12 1/2".into()));
        assert_eq!(format!("{:>7}|", Ruler::EIGHTH.write(Unit::Inch.length())), "   1 in|");
    }

    #[test]
    fn the_usual_ruler() {
        for unit in [Unit::Inch, Unit::Foot, Unit::Yard] {
            assert_eq!(Ruler::usual_for(unit), Ruler::SIXTEENTH);
        }
        for unit in [Unit::Millimetre, Unit::Centimetre, Unit::Metre] {
            assert_eq!(Ruler::usual_for(unit), Ruler::MILLIMETRE);
        }
    }

    #[test]
    fn the_ends_of_the_range_are_written() {
        for nm in [i64::MIN, i64::MAX] {
            for ruler in [Ruler::EIGHTH, Ruler::MILLIMETRE] {
                let written = ruler.write(Length::from_nm(nm));
                assert!(ruler.on_tick(written.length()), "{written}");
            }
        }
    }
}
