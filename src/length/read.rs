//! Reading a length as a person writes it.

use super::dated::date;
use super::exact::Length;
use super::fault::{ReadFault, ReadFaultKind, safe};
use super::number::{Number, Scan, number};
use super::plain::read_plain;
use super::print::gcd;
use super::signs::{is_blank, is_minus, is_slash};
use super::spelled::plainly;
use super::unit::Unit;

/// The most characters a length is written with.
const MOST_CHARACTERS: usize = 64;

/// Reads a length: `12 1/2"`, `12-1/2 in`, `12½ in`, `5/8 in`, `.5 in`, `31.8 cm`, `31,8 cm`,
/// `1 ft 3 in`, `1' 3 1/2"`, `1 m 20 cm`. A number alone is in `bare` units. Values are exact,
/// then rounded once to the nearest nanometre, halves away from zero. A leading `-` makes the
/// whole length negative; a leading `≈` or `~` is passed over. What is spelled oddly and yet without doubt is read, too:
/// `12 and a half in`, `12¹⁄₂ in`.
///
/// # Errors
/// A [`ReadFault`] when the text is not one length, could be understood in two ways, or is
/// over [`Length::LIMIT`].
///
/// ```
/// use foldmark::length::{Length, Unit, read};
/// assert_eq!(read("31,8 cm", None)?, Length::of(318, Unit::Millimetre));
/// assert_eq!(read("12 1/2", Some(Unit::Inch))?.nm(), 317_500_000);
/// assert_eq!(read("-1' 3 1/4\"", None)?.to_string(), "-15 1/4 in");
/// assert!(read("12 1/2", None).is_err());
/// # Ok::<(), foldmark::length::ReadFault>(())
/// ```
pub fn read(text: &str, bare: Option<Unit>) -> Result<Length, ReadFault> {
    read_with_unit(text, bare).map(|(length, _)| length)
}

/// Reads a length, and the first unit it is written in.
///
/// # Errors
/// As [`read`].
///
/// ```
/// use foldmark::length::{Unit, read_with_unit};
/// assert_eq!(read_with_unit("1 ft 3 in", None)?.1, Unit::Foot);
/// # Ok::<(), foldmark::length::ReadFault>(())
/// ```
pub fn read_with_unit(text: &str, bare: Option<Unit>) -> Result<(Length, Unit), ReadFault> {
    read_plain(text, bare).map_or_else(|| with_care(text.trim(), bare), Ok)
}

fn with_care(text: &str, bare: Option<Unit>) -> Result<(Length, Unit), ReadFault> {
    parts(text, bare).or_else(|fault| {
        let plain = plainly(text).filter(|_| text.chars().nth(MOST_CHARACTERS).is_none());
        plain.and_then(|plain| parts(plain.trim(), bare).ok()).ok_or_else(|| {
            let fault = date(text).map_or(fault, |fraction| ReadFaultKind::Date { fraction });
            ReadFault::new(text, fault)
        })
    })
}

/// Whether a length is read, but only by passing over how it is spelled.
pub(crate) fn is_spelled_oddly(text: &str, bare: Option<Unit>) -> bool {
    read_plain(text, bare).is_none() && parts(text.trim(), bare).is_err() && read(text, bare).is_ok()
}

/// A text like `2,125 in`, that can be read in two ways, with the comma as a decimal one; nothing, for any other text.
pub(crate) fn with_decimal_comma(text: &str) -> Option<String> {
    let ReadFaultKind::ThousandsOrDecimal { number, .. } = parts(text.trim(), Some(Unit::Inch)).err()? else {
        return None;
    };
    Some(text.replacen(&number, &number.replace(',', "."), 1)).filter(|settled| settled != text)
}

/// A number alone, without a unit, as what stands over and under its line; nothing, for any other text.
pub(crate) fn read_number(text: &str) -> Option<(u128, u128)> {
    let mut scan = Scan { text, at: 0 };
    let found = scan.at_first_number().then(|| number(&mut scan))?.ok()?;
    scan.rest().is_empty().then_some((found.top, found.bottom))
}

/// The general reader, for a text without white space around it.
pub(super) fn parts(text: &str, bare: Option<Unit>) -> Result<(Length, Unit), ReadFaultKind> {
    if text.is_empty() {
        return Err(ReadFaultKind::Empty);
    }
    if text.chars().nth(MOST_CHARACTERS).is_some() {
        return Err(ReadFaultKind::TooManyCharacters);
    }
    let mut scan = Scan { text, at: 0 };
    scan.pass(|c| matches!(c, '≈' | '~'));
    scan.blanks();
    let start = scan.at;
    let negative = scan.pass(is_minus);
    if !negative {
        scan.pass(|c| c == '+');
    }
    scan.blanks();
    if !scan.at_first_number() {
        return Err(ReadFaultKind::NoNumber);
    }
    let mut total = Total::default();
    let mut units: Option<(Unit, Unit)> = None; // the first and the latest
    let first = loop {
        let number = number(&mut scan)?;
        let unit = match unit(&mut scan, start, &number)? {
            Some(unit) => unit,
            None if units.is_some() => {
                return Err(ReadFaultKind::PartWithoutUnit { number: safe(number.text) });
            }
            None => bare.ok_or_else(|| ReadFaultKind::NoUnit { number: safe(number.text) })?,
        };
        if let Some((_, before)) = units {
            follows(before, unit)?;
        }
        total.add(&number, unit);
        let first = units.map_or(unit, |(first, _)| first);
        units = Some((first, unit));
        let end = scan.at;
        scan.blanks();
        if scan.rest().is_empty() {
            break first;
        }
        if !scan.at_number() {
            let left = safe(scan.rest());
            scan.at = end;
            return Err(ReadFaultKind::LeftOver { read: safe(scan.since(start)), left });
        }
    };
    let length = total.length().ok_or(ReadFaultKind::OverLimit)?;
    Ok((if negative { -length } else { length }, first))
}

/// Reads the unit after `number`; `None` at the end of the text.
fn unit(scan: &mut Scan<'_>, start: usize, number: &Number<'_>) -> Result<Option<Unit>, ReadFaultKind> {
    let (text, end) = (scan.text, scan.at);
    let read = || safe(&text[start..end]);
    scan.blanks();
    let Some(next) = scan.peek() else {
        return Ok(None);
    };
    if scan.at_number() {
        return Err(ReadFaultKind::PartWithoutUnit { number: safe(number.text) });
    }
    if is_slash(next) || is_minus(next) || matches!(next, '+' | '–' | '.' | ',') {
        return Err(ReadFaultKind::LeftOver { read: read(), left: safe(scan.rest()) });
    }
    let from = scan.at;
    if next.is_alphabetic() {
        scan.take(char::is_alphabetic);
        scan.pass(|c| c == '.');
    } else {
        scan.pass(|_| true);
        // Two foot marks side by side are an inch mark.
        scan.pass(|c| c == next && matches!(c, '\'' | '′' | '’'));
    }
    Unit::read(scan.since(from)).map(Some).ok_or_else(|| {
        scan.take(|c| !is_blank(c));
        ReadFaultKind::UnknownUnit { read: read(), word: safe(scan.since(from)) }
    })
}

/// Whether `unit` may come after `before`.
fn follows(before: Unit, unit: Unit) -> Result<(), ReadFaultKind> {
    let (first, second) = (before, unit);
    if first.is_metric() != second.is_metric() {
        Err(ReadFaultKind::MixedSystems { first, second })
    } else if second.length() >= first.length() {
        Err(ReadFaultKind::UnitsNotDescending { first, second })
    } else {
        Ok(())
    }
}

/// A sum of parts: whole nanometres and an exact fraction of one. Three parts at most, each
/// with a bottom of 10^12 at most, so the common bottom stays below 10^36.
struct Total {
    nm: u128,
    top: u128,
    bottom: u128,
}

impl Default for Total {
    fn default() -> Total {
        Total { nm: 0, top: 0, bottom: 1 }
    }
}

impl Total {
    fn add(&mut self, number: &Number<'_>, unit: Unit) {
        let nm = number.top * u128::from(unit.length().nm().unsigned_abs());
        self.nm += nm / number.bottom;
        let over = nm % number.bottom;
        // Nearly every length is a whole number of nanometres.
        if over == 0 {
            return;
        }
        let top = self.top * number.bottom + over * self.bottom;
        let bottom = self.bottom * number.bottom;
        let common = gcd(top, bottom);
        (self.top, self.bottom) = (top / common, bottom / common);
    }

    /// The sum rounded to the nearest nanometre, halves up; `None` over the limit.
    fn length(&self) -> Option<Length> {
        let nm = self.nm + (2 * self.top + self.bottom) / (2 * self.bottom);
        let length = i64::try_from(nm).ok().map(Length::from_nm)?;
        (length <= Length::LIMIT).then_some(length)
    }
}

impl Length {
    /// Reads a length as a person writes it; see [`read`](fn@read).
    ///
    /// # Errors
    /// A [`ReadFault`] saying what was understood, what is wrong and what to write.
    ///
    /// ```
    /// use foldmark::length::{Length, Unit};
    /// assert_eq!(Length::read("1 yd", None)?, Length::of(36, Unit::Inch));
    /// # Ok::<(), foldmark::length::ReadFault>(())
    /// ```
    pub fn read(text: &str, bare: Option<Unit>) -> Result<Length, ReadFault> {
        read(text, bare)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn nm(text: &str) -> Result<i64, String> {
        read(text, None).map(Length::nm).map_err(|error| error.to_string())
    }

    #[track_caller]
    fn refused(text: &str, sentence: &str) {
        assert_eq!(nm(text), Err(sentence.to_owned()));
    }

    #[test]
    fn one_length_in_many_hands() {
        for text in [
            "12 1/2 in",
            "12-1/2\"",
            "12–1/2 inches",
            "12½ in",
            "12 ½\"",
            "12.5in",
            "12,5 IN.",
            "12\u{a0}1\u{2044}2\u{202f}in",
            "12\u{2009}½″",
            "12 1/2''",
            "12 1/2”",
            "25/2 in",
            "1 ft 1/2 in",
            "1' ½\"",
            "1’½”",
            "1′ .5″",
            "+12 1/2 in",
            "≈ 12 1/2 in",
            "12 and 1/2 in",
            "12 and a half inches",
            "12¹⁄₂ in",
            "１２ 1/2 ins",
            "31.75 ㎝",
            "12 1/2\"\"",
            "12\u{200b} 1/2 Zoll",
            "~12.5 inch",
            "  31.75 cm\n",
            "31,75cm",
            "317.5 mm",
            "0.3175 m",
            "30 cm 17.5 mm",
            "1 foot 0.5 inch",
            "1 ft.\t1/2 in.",
            "0012.50 in",
        ] {
            assert_eq!(nm(text), Ok(317_500_000), "{text}");
        }
    }

    #[test]
    fn lengths_that_stand_alone() {
        assert_eq!(nm("5/8 in"), Ok(15_875_000));
        assert_eq!(nm(".5 in"), Ok(12_700_000));
        assert_eq!(nm(",5 in"), Ok(12_700_000));
        assert_eq!(nm("0,125 in"), Ok(3_175_000));
        assert_eq!(nm("318 mm"), Ok(318_000_000));
        assert_eq!(nm("1 yd"), Ok(914_400_000));
        assert_eq!(nm("1/2 yd"), Ok(457_200_000));
        assert_eq!(nm("1 yd 2 ft 3 in"), Ok(63 * 25_400_000));
        assert_eq!(nm("1' 3 1/2\""), Ok(393_700_000));
        assert_eq!(nm("1 m 20 cm"), Ok(1_200_000_000));
        assert_eq!(nm("-3 1/4 in"), Ok(-82_550_000));
        assert_eq!(nm("− 1 ft 3 in"), Ok(-381_000_000));
        assert_eq!(nm("≈ -3/8 in"), Ok(-9_525_000));
        assert_eq!(nm("-0 in"), Ok(0));
        assert_eq!(nm("100 m"), Ok(Length::LIMIT.nm()));
    }

    #[test]
    fn values_are_exact_until_the_last_step() {
        assert_eq!(nm("1/3 in"), Ok(8_466_667));
        assert_eq!(nm("-1/3 in"), Ok(-8_466_667));
        assert_eq!(nm("1/128 in"), Ok(198_438)); // 198437.5
        assert_eq!(nm("-1/128 in"), Ok(-198_438));
        assert_eq!(nm("1/3 yd 1/3 ft 1/3 in"), Ok(414_866_667)); // 304.8 + 101.6 + 8.466… mm
        assert_eq!(nm("0.0000004 mm"), Ok(0));
        assert_eq!(nm("0.0000005 mm"), Ok(1));
        assert_eq!(nm("0.999999999999 yd 0.999999999999 ft 0.999999999999 in"), Ok(1_244_600_000));
    }

    #[test]
    fn a_bare_number_takes_the_unit_given() {
        let bare = |unit| read("12 1/2", Some(unit)).map(Length::nm);
        assert_eq!(bare(Unit::Inch), Ok(317_500_000));
        assert_eq!(bare(Unit::Centimetre), Ok(125_000_000));
        assert_eq!(read("3 cm", Some(Unit::Inch)).map(Length::nm), Ok(30_000_000));
        refused("12 1/2", "\"12 1/2\": read 12 1/2, but it has no unit; add in, ft, yd, mm, cm or m");
    }

    #[test]
    fn numbers_that_could_be_two_things() {
        refused("1,250 mm", "\"1,250 mm\": 1,250 can be read in two ways; write 1250 or 1.25");
        refused("1,000 m", "\"1,000 m\": 1,000 can be read in two ways; write 1000 or 1");
        refused(
            "12 - 1/2 in",
            "\"12 - 1/2 in\": is that 12 1/2, or 12 less 1/2? \
             write 12 1/2, or work out the difference",
        );
        refused(
            "1.250,5 mm",
            "\"1.250,5 mm\": 1.250,5 has more than one point or comma; \
             write just one, before the decimals, like 1250.5",
        );
        refused(
            "12 5/4 in",
            "\"12 5/4 in\": read 12, but the fraction after it must be less than 1 \
             and 5/4 is not; check 5/4",
        );
        for text in ["12.5 1/2 in", "12.5½ in", "1.5/2 in", "1/2.5 in", "12 1.5/2 in"] {
            let said = nm(text).err().unwrap_or_default();
            assert!(said.contains("both decimals and a fraction"), "{said}");
        }
        refused(
            "12.5 1/2 in",
            "\"12.5 1/2 in\": 12.5 1/2 has both decimals and a fraction; \
             write one of them, like 12.5 or 12 1/2",
        );
    }

    #[test]
    fn numbers_that_are_none() {
        refused("", "\"\": nothing is written; write a length like 12 1/2 in or 31.8 cm");
        for text in ["in", "-", "≈", ".", "/8 in", "--3 in", "¹ in", "١ in"] {
            let end = "it does not start with a number; write it in figures, like 12 1/2 in or 31.8 cm";
            refused(text, &format!("\"{text}\": {end}"));
        }
        refused("12. in", "\"12. in\": no digits follow the point in 12.; write 12 or 12.5");
        refused("5/ in", "\"5/ in\": no number follows the line in 5/; write the whole fraction, like 5/8");
        refused("5/0 in", "\"5/0 in\": 5/0 divides by nothing; write a fraction like 5/8");
        refused("3 1/1024 in", "\"3 1/1024 in\": 1/1024 is finer than thousandths; write a coarser fraction, like 5/8");
        refused(
            "0.1234567890123 in",
            "\"0.1234567890123 in\": 0.1234567890123 has too many digits; \
             write 12 at most on each side",
        );
        refused("100.0000001 m", "\"100.0000001 m\": longer than 100 m; check the number and its unit");
        refused("-999999999999 yd", "\"-999999999999 yd\": longer than 100 m; check the number and its unit");
        let long = "1".repeat(65);
        let said = "longer than 64 characters; write the length alone, like 12 1/2 in or 31.8 cm";
        refused(&long, &format!("\"{}…\": {said}", "1".repeat(39)));
    }

    #[test]
    fn units_that_are_none_or_too_many() {
        refused(
            "12 1/2 bananas",
            "\"12 1/2 bananas\": read 12 1/2, but \"bananas\" is not a unit; \
             write in, ft, yd, mm, cm or m",
        );
        refused(
            "12 in long",
            "\"12 in long\": read 12 in, but \"long\" was left over; \
             write the length alone, like 12 1/2 in or 31.8 cm",
        );
        refused("1' 3", "\"1' 3\": the 3 has no unit; write a unit after each number, like 1 ft 3 in");
        refused("1 250 mm", "\"1 250 mm\": the 1 has no unit; write a unit after each number, like 1 ft 3 in");
        refused("3 in 1 ft", "\"3 in 1 ft\": ft is larger than in; write the larger unit first");
        refused("3 in 1\"", "\"3 in 1\"\": in is there twice; write each unit once, like 1 ft 3 in");
        refused("1 ft 3 cm", "\"1 ft 3 cm\": ft and cm do not go together; write it all in one of them");
    }

    #[test]
    fn what_is_left_over_is_quoted() {
        for (text, read, left) in [
            ("12-13 in", "12", "-13 in"),
            ("5 / 8 in", "5", "/ 8 in"),
            ("12.5 - 1/2 in", "12.5", "- 1/2 in"),
            ("1 ft,3 in", "1 ft", ",3 in"),
            ("1 ft - 3 in", "1 ft", "- 3 in"),
            ("3 cm²", "3 cm", "²"),
            ("≈ 3 in\u{1b}[0m", "3 in", "\\u{1b}[0m"),
        ] {
            let fault = ReadFaultKind::LeftOver { read: read.into(), left: left.into() };
            assert_eq!(super::read(text, None).map_err(|e| e.kind().clone()), Err(fault));
        }
    }
}
