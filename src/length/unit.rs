//! The units a class writes in, and the words they go by.

/// A unit of length. An inch is exactly 25.4 mm and a yard exactly 0.9144 m (addendum to NBS
/// Circular 572, 1 July 1959).
///
/// ```
/// use foldmark::length::{Length, Unit};
/// assert_eq!(Unit::Inch.length(), Length::from_nm(25_400_000));
/// assert_eq!(Unit::read("inches"), Some(Unit::Inch));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// 25.4 mm.
    Inch,
    /// 12 in.
    Foot,
    /// 36 in.
    Yard,
    /// 0.001 m.
    Millimetre,
    /// 0.01 m.
    Centimetre,
    /// 1 000 000 000 nm.
    Metre,
}

impl Unit {
    /// How many nanometres one of this unit has; exact.
    pub(super) const fn nm(self) -> i64 {
        match self {
            Unit::Inch => 25_400_000,
            Unit::Foot => 12 * 25_400_000,
            Unit::Yard => 36 * 25_400_000,
            Unit::Millimetre => 1_000_000,
            Unit::Centimetre => 10_000_000,
            Unit::Metre => 1_000_000_000,
        }
    }

    /// The short name that is printed: `in`, `ft`, `yd`, `mm`, `cm` or `m`.
    ///
    /// ```
    /// assert_eq!(foldmark::length::Unit::Foot.symbol(), "ft");
    /// ```
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Unit::Inch => "in",
            Unit::Foot => "ft",
            Unit::Yard => "yd",
            Unit::Millimetre => "mm",
            Unit::Centimetre => "cm",
            Unit::Metre => "m",
        }
    }

    /// The unit a word or mark stands for, capitals or not, with or without a full stop after
    /// a word: `in`, `inch`, `inches`, `"`, `″`, `”`, `''`; `ft`, `foot`, `feet`, `'`, `′`,
    /// `’`; `yd`, `yard`, `yards`; `mm`, `cm`, `m` and their full names in either spelling.
    /// `None` for any other word.
    ///
    /// ```
    /// use foldmark::length::Unit;
    /// assert_eq!(Unit::read("FT."), Some(Unit::Foot));
    /// assert_eq!(Unit::read("centimeters"), Some(Unit::Centimetre));
    /// assert_eq!(Unit::read("bananas"), None);
    /// ```
    #[must_use]
    pub fn read(word: &str) -> Option<Unit> {
        match word {
            "\"" | "″" | "”" | "''" | "′′" | "’’" => return Some(Unit::Inch),
            "'" | "′" | "’" => return Some(Unit::Foot),
            _ => {}
        }
        let word = word.strip_suffix('.').unwrap_or(word);
        NAMES.iter().find(|(name, _)| name.eq_ignore_ascii_case(word)).map(|&(_, unit)| unit)
    }

    /// Whether this is a millimetre, centimetre or metre.
    ///
    /// ```
    /// assert!(foldmark::length::Unit::Metre.is_metric());
    /// ```
    #[must_use]
    pub const fn is_metric(self) -> bool {
        matches!(self, Unit::Millimetre | Unit::Centimetre | Unit::Metre)
    }
}

/// Every word a unit goes by, in small letters.
const NAMES: [(&str, Unit); 26] = [
    ("in", Unit::Inch),
    ("inch", Unit::Inch),
    ("inches", Unit::Inch),
    ("ins", Unit::Inch),
    ("zoll", Unit::Inch),
    ("ft", Unit::Foot),
    ("foot", Unit::Foot),
    ("feet", Unit::Foot),
    ("yd", Unit::Yard),
    ("yard", Unit::Yard),
    ("yards", Unit::Yard),
    ("mm", Unit::Millimetre),
    ("millimetre", Unit::Millimetre),
    ("millimetres", Unit::Millimetre),
    ("millimeter", Unit::Millimetre),
    ("millimeters", Unit::Millimetre),
    ("cm", Unit::Centimetre),
    ("centimetre", Unit::Centimetre),
    ("centimetres", Unit::Centimetre),
    ("centimeter", Unit::Centimetre),
    ("centimeters", Unit::Centimetre),
    ("m", Unit::Metre),
    ("metre", Unit::Metre),
    ("metres", Unit::Metre),
    ("meter", Unit::Metre),
    ("meters", Unit::Metre),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Length;

    /// Addendum to NBS Circular 572, 1 July 1959: 1 yd = 0.9144 m and 1 in = 25.4 mm, exactly.
    #[test]
    fn the_yard_and_inch_of_1959() {
        assert_eq!(Unit::Inch.length().nm(), 25_400_000);
        assert_eq!(Unit::Yard.length().nm(), 914_400_000);
        assert_eq!(Length::of(36, Unit::Inch), Unit::Yard.length());
        assert_eq!(Length::of(3, Unit::Foot), Unit::Yard.length());
        assert_eq!(Length::of(254, Unit::Millimetre), Length::of(10, Unit::Inch));
        assert_eq!(Length::of(1_000, Unit::Millimetre), Unit::Metre.length());
        assert_eq!(Length::of(100, Unit::Centimetre), Unit::Metre.length());
        assert_eq!(Unit::Inch.length().nm() % 64, 0, "1/64 in is a whole number of nm");
    }

    #[test]
    fn words_and_marks_are_read() {
        for (name, unit) in NAMES {
            assert_eq!(Unit::read(name), Some(unit));
            assert_eq!(Unit::read(&name.to_uppercase()), Some(unit));
            assert_eq!(Unit::read(&format!("{name}.")), Some(unit));
            assert_eq!(Unit::read(unit.symbol()), Some(unit));
        }
        for mark in ["\"", "″", "”", "''"] {
            assert_eq!(Unit::read(mark), Some(Unit::Inch));
        }
        for mark in ["'", "′", "’"] {
            assert_eq!(Unit::read(mark), Some(Unit::Foot));
        }
        for word in ["", ".", "in..", "i", "inchs", "km", "'.", "ſ", "в", " in"] {
            assert_eq!(Unit::read(word), None, "{word}");
        }
    }

    #[test]
    fn three_units_are_metric() {
        let metric = [Unit::Millimetre, Unit::Centimetre, Unit::Metre].map(Unit::is_metric);
        assert_eq!(metric, [true; 3]);
        assert_eq!([Unit::Inch, Unit::Foot, Unit::Yard].map(Unit::is_metric), [false; 3]);
    }
}
