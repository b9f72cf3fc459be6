//! The plain ways to write a length, read in one go. Whatever is the least bit unusual is left to the general reader,
//! which gives the same for all that is read here: a property test compares the two.

use super::{Length, Unit};

/// Digits in one number, at most: with these no product passes 2^63.
const MOST_DIGITS: usize = 5;

/// The largest number under a fraction's line.
const MOST_BOTTOM: i64 = 1_000;

/// Reads `12`, `12 1/2 in`, `5/8"`, `31.8 cm`, `31,8 cm` and the like; `None` for anything else, and for what would have
/// to be rounded.
pub(super) fn quick(text: &str, bare: Option<Unit>) -> Option<(Length, Unit)> {
    let (whole, rest) = digits(text.as_bytes())?;
    // The number is `top / bottom`, and what is left is the unit.
    let (top, bottom, rest) = match *rest {
        [b'/', ref below @ ..] => {
            let (bottom, rest) = bottom(below)?;
            (whole, bottom, rest)
        }
        [b' ', ref after @ ..] if after.first().is_some_and(u8::is_ascii_digit) => {
            let (part, line) = digits(after)?;
            let (bottom, rest) = bottom(line.strip_prefix(b"/")?)?;
            if part >= bottom {
                return None;
            }
            (whole * bottom + part, bottom, rest)
        }
        [point @ (b'.' | b','), ref after @ ..] => {
            let (part, rest) = digits(after)?;
            let places = after.len() - rest.len();
            // Three places after a comma may be thousands.
            if point == b',' && places == 3 {
                return None;
            }
            let bottom = 10_i64.pow(places as u32);
            (whole * bottom + part, bottom, rest)
        }
        _ => (whole, 1, rest),
    };
    let unit = match rest.strip_prefix(b" ").unwrap_or(rest) {
        b"" if rest.is_empty() => bare?,
        b"in" | b"\"" => Unit::Inch,
        b"cm" => Unit::Centimetre,
        b"mm" => Unit::Millimetre,
        _ => return None,
    };
    let nm = top * unit.length().nm();
    let length = Length::from_nm(nm / bottom);
    (nm % bottom == 0 && length <= Length::LIMIT).then_some((length, unit))
}

/// The number under a fraction's line, and the rest.
fn bottom(text: &[u8]) -> Option<(i64, &[u8])> {
    digits(text).filter(|(bottom, _)| (1..=MOST_BOTTOM).contains(bottom))
}

/// The number that a text begins with, and the rest; `None` without a digit, or with too many.
fn digits(text: &[u8]) -> Option<(i64, &[u8])> {
    let mut value = 0;
    for (at, byte) in text.iter().enumerate() {
        if !byte.is_ascii_digit() {
            return (at > 0).then(|| (value, &text[at..]));
        }
        if at == MOST_DIGITS {
            return None;
        }
        value = value * 10 + i64::from(byte - b'0');
    }
    (!text.is_empty()).then_some((value, &[]))
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
            assert!(quick(text, Some(Unit::Inch)).is_some(), "{text}");
        }
        for text in ["", "12 ", "-1 in", "1/3 in", "1,250 mm", "12. in", "1 ft 3 in", "100.001 m", "5/0 in"] {
            assert_eq!(quick(text, Some(Unit::Inch)), None, "{text}");
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
            if let Some(read) = quick(&text, bare) {
                prop_assert_eq!(Ok(read), parts(&text, bare));
            }
        }

        /// Nor is anything made of any text.
        #[test]
        fn any_text(text in "[0-9 ./,incm\"\\-½]{0,12}") {
            if let Some(read) = quick(&text, Some(Unit::Inch)) {
                prop_assert_eq!(Ok(read), parts(&text, Some(Unit::Inch)));
            }
        }
    }
}
