//! The plain ways to write a length, read in one go. Whatever is the least bit unusual is left to the general reader,
//! which gives the same for all that is read here: a property test compares the two.

use super::exact::Length;
use super::unit::Unit;

/// Digits in one number, at most: with these no product passes 2^63.
const MOST_DIGITS: usize = 5;

/// The largest number under a fraction's line.
const MOST_BOTTOM: i64 = 1_000;

/// Reads `12`, `12 1/2 in`, `5/8"`, `31.8 cm`, `31,8 cm` and the like; `None` for anything else, and for what would have
/// to be rounded.
#[inline]
pub(super) fn read_plain(text: &str, bare: Option<Unit>) -> Option<(Length, Unit)> {
    let mut scan = Scan { rest: text.as_bytes() };
    let whole = scan.digits()?;
    // The number is `whole + top / bottom`, and what is left is the unit.
    let (whole, top, bottom) = match *scan.rest {
        [b'/', ..] => (0, whole, scan.under()?),
        [b' ', next, ..] if next.is_ascii_digit() => {
            scan.pass();
            let top = scan.digits()?;
            let bottom = scan.under()?;
            if top >= bottom {
                return None;
            }
            (whole, top, bottom)
        }
        [point @ (b'.' | b','), ..] => {
            scan.pass();
            let before = scan.rest.len();
            let top = scan.digits()?;
            match before - scan.rest.len() {
                1 => (whole, top, 10),
                2 => (whole, top, 100),
                // Three places after a comma may be thousands.
                3 if point == b'.' => (whole, top, 1_000),
                _ => return None,
            }
        }
        _ => (whole, 0, 1),
    };
    let unit = match *scan.rest {
        [] => bare?,
        [b'i', b'n'] | [b' ', b'i', b'n'] | [b'"'] | [b' ', b'"'] => Unit::Inch,
        [b'c', b'm'] | [b' ', b'c', b'm'] => Unit::Centimetre,
        [b'm', b'm'] | [b' ', b'm', b'm'] => Unit::Millimetre,
        _ => return None,
    };
    let nm = unit.length().nm();
    let part = top * nm;
    let length = Length::from_nm(whole * nm + part / bottom);
    (part % bottom == 0 && length <= Length::LIMIT).then_some((length, unit))
}

/// What is left to read.
struct Scan<'t> {
    rest: &'t [u8],
}

impl Scan<'_> {
    fn pass(&mut self) {
        self.rest = self.rest.get(1..).unwrap_or_default();
    }

    /// The number here; `None` without a digit, or with too many.
    #[inline]
    fn digits(&mut self) -> Option<i64> {
        let (mut value, mut count) = (0, 0);
        while let [digit @ b'0'..=b'9', ref rest @ ..] = *self.rest {
            value = value * 10 + i64::from(digit - b'0');
            self.rest = rest;
            count += 1;
            if count > MOST_DIGITS {
                return None;
            }
        }
        (count > 0).then_some(value)
    }

    /// The line of a fraction and the number under it.
    #[inline]
    fn under(&mut self) -> Option<i64> {
        if self.rest.first() != Some(&b'/') {
            return None;
        }
        self.pass();
        self.digits().filter(|bottom| (1..=MOST_BOTTOM).contains(bottom))
    }
}

#[cfg(test)]
mod tests {
    use super::super::read::parts;
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    #[test]
    fn what_a_class_writes_is_read_at_once() {
        for text in ["12", "12 1/2 in", "5/8\"", "9/4", "31.8 cm", "31,8cm", "318 mm", "0.125 in", "1.250 mm"] {
            assert!(read_plain(text, Some(Unit::Inch)).is_some(), "{text}");
        }
        for text in ["", "12 ", "-1 in", "1/3 in", "1,250 mm", "12. in", "1 ft 3 in", "100.001 m", "5/0 in"] {
            assert_eq!(read_plain(text, Some(Unit::Inch)), None, "{text}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 4_000, rng_seed: RngSeed::Fixed(7), failure_persistence: None, ..ProptestConfig::default() })]

        /// The general reader gives the same.
        #[test]
        fn agrees_with_the_general_reader(
            text in "[0-9]{1,6}([.,/ ][0-9]{0,6}){0,1}(/[0-9]{0,5})?[ ]{0,2}(in|in\\.|cm|mm|m|ft|\"|''|x)?",
            bare in prop::sample::select(vec![None, Some(Unit::Inch), Some(Unit::Centimetre), Some(Unit::Metre)]),
        ) {
            if let Some(read) = read_plain(&text, bare) {
                prop_assert_eq!(Ok(read), parts(&text, bare));
            }
        }

        /// Nor is anything made of any text.
        #[test]
        fn any_text(text in "[0-9 ./,incm\"\\-½]{0,12}") {
            if let Some(read) = read_plain(&text, Some(Unit::Inch)) {
                prop_assert_eq!(Ok(read), parts(&text, Some(Unit::Inch)));
            }
        }
    }
}
