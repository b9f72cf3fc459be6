//! A number as written: `12`, `12.5`, `31,75`, `5/8`, `12 1/2`, `12-1/2`, `12½`.

use super::fault::{ReadFaultKind, safe};
use super::signs::{is_blank, is_hyphen, is_minus, is_point, is_slash, vulgar};

/// The most digits before a decimal point, after it, or in one half of a fraction. With three
/// parts to a length at most, sums of such numbers stay well inside `u128`.
const MOST_DIGITS: usize = 12;

/// The largest number under a fraction's line.
const MOST_BOTTOM: u128 = 1_000;

/// Where reading has got to in a text.
pub(super) struct Scan<'a> {
    pub text: &'a str,
    pub at: usize,
}

impl<'a> Scan<'a> {
    pub fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or_default()
    }

    pub fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    /// What was passed since `start`.
    pub fn since(&self, start: usize) -> &'a str {
        self.text.get(start..self.at).unwrap_or_default()
    }

    /// Passes every next character that `wanted` accepts.
    pub fn take(&mut self, wanted: impl Fn(char) -> bool) -> &'a str {
        let rest = self.rest();
        let end = rest.find(|c| !wanted(c)).unwrap_or(rest.len());
        self.at += end;
        rest.get(..end).unwrap_or_default()
    }

    /// Passes one character when it is wanted.
    pub fn pass(&mut self, wanted: impl Fn(char) -> bool) -> bool {
        let next = self.peek().filter(|&c| wanted(c));
        self.at += next.map_or(0, char::len_utf8);
        next.is_some()
    }

    /// Passes blanks; whether there were any.
    pub fn blanks(&mut self) -> bool {
        !self.take(is_blank).is_empty()
    }

    /// Whether a number begins here. A decimal may begin with its point, but with a comma only
    /// at the very start of a length: in `1 ft,3 in` the comma is not a decimal one.
    pub fn at_number(&self) -> bool {
        let mut chars = self.rest().chars();
        match chars.next() {
            Some('.') => chars.next().is_some_and(|c| c.is_ascii_digit()),
            Some(c) => c.is_ascii_digit() || vulgar(c).is_some(),
            None => false,
        }
    }

    /// Whether a length begins here: a number, or a comma and digits.
    pub fn at_first_number(&self) -> bool {
        let after = self.rest().strip_prefix(',');
        self.at_number() || after.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
    }
}

/// A number that is not negative: `top / bottom`, and the text it was read from.
#[derive(Debug, PartialEq)]
pub(super) struct Number<'a> {
    pub top: u128,
    pub bottom: u128,
    pub text: &'a str,
}

/// Reads the number at `scan`, where one is known to begin.
pub(super) fn number<'a>(scan: &mut Scan<'a>) -> Result<Number<'a>, ReadFaultKind> {
    let start = scan.at;
    if let Some((top, bottom)) = fraction(scan)? {
        return Ok(Number { top, bottom, text: scan.since(start) });
    }
    let run = scan.take(|c| c.is_ascii_digit() || is_point(c));
    let (top, bottom) = decimal(run)?;
    let end = scan.at;
    let spaced = scan.blanks();
    let minus = scan.peek() == Some('−');
    let dashed = scan.pass(|c| is_hyphen(c) || is_minus(c));
    let doubtful = dashed && (scan.blanks() || spaced || minus);
    let after = scan.at;
    let whole = !run.contains(is_point);
    let part = if doubtful && !whole { None } else { fraction(scan)? };
    let Some((part_top, part_bottom)) = part else {
        scan.at = end;
        return Ok(Number { top, bottom, text: scan.since(start) });
    };
    let (text, part) = (scan.since(start), scan.since(after));
    if !whole {
        return Err(ReadFaultKind::DecimalAndFraction { number: safe(text) });
    }
    if doubtful {
        return Err(ReadFaultKind::DoubtfulDash { whole: safe(run), fraction: safe(part) });
    }
    if part_top >= part_bottom {
        return Err(ReadFaultKind::FractionNotBelowOne { whole: safe(run), fraction: safe(part) });
    }
    Ok(Number { top: top * part_bottom + part_top, bottom: part_bottom, text })
}

/// Reads a fraction, `5/8` or `⅝`, if one is here; otherwise stays where it was.
fn fraction(scan: &mut Scan<'_>) -> Result<Option<(u128, u128)>, ReadFaultKind> {
    let start = scan.at;
    if let Some(found) = scan.peek().and_then(vulgar) {
        scan.pass(|_| true);
        return Ok(Some(found));
    }
    let above = scan.take(|c| c.is_ascii_digit() || is_point(c));
    if above.is_empty() || !scan.pass(is_slash) {
        scan.at = start;
        return Ok(None);
    }
    let below = scan.take(|c| c.is_ascii_digit());
    let fraction = safe(scan.since(start));
    if below.is_empty() {
        return Err(ReadFaultKind::NothingUnderFraction { fraction });
    }
    let mut ahead = scan.rest().chars();
    let decimal_below = ahead.next().is_some_and(is_point) && ahead.next().is_some_and(|c| c.is_ascii_digit());
    if above.contains(is_point) || decimal_below {
        scan.take(|c| c.is_ascii_digit() || is_point(c));
        return Err(ReadFaultKind::DecimalAndFraction { number: safe(scan.since(start)) });
    }
    let (top, bottom) = (digits(above, above)?, digits(below, below)?);
    if bottom == 0 {
        return Err(ReadFaultKind::ZeroUnderFraction { fraction });
    }
    if bottom > MOST_BOTTOM {
        return Err(ReadFaultKind::FractionTooFine { fraction });
    }
    Ok(Some((top, bottom)))
}

/// Reads a run of digits, points and commas.
fn decimal(run: &str) -> Result<(u128, u128), ReadFaultKind> {
    let Some((before, after)) = run.split_once(is_point) else {
        return Ok((digits(run, run)?, 1));
    };
    if after.contains(is_point) {
        return Err(ReadFaultKind::TwoPoints { number: safe(run) });
    }
    if after.is_empty() {
        return Err(ReadFaultKind::NothingAfterPoint { number: safe(run), whole: safe(before) });
    }
    let whole = digits(before, run)?;
    if run.contains(',') && after.len() == 3 && whole != 0 {
        let decimal = format!("{before}.{after}");
        return Err(ReadFaultKind::ThousandsOrDecimal {
            number: safe(run),
            thousands: safe(&format!("{before}{after}")),
            decimal: safe(decimal.trim_end_matches('0').trim_end_matches('.')),
        });
    }
    let part = digits(after, run)?;
    let bottom = 10_u128.pow(after.len() as u32);
    Ok((whole * bottom + part, bottom))
}

/// The value of a few digits out of the number `whole`; no digits are 0.
fn digits(digits: &str, whole: &str) -> Result<u128, ReadFaultKind> {
    if digits.len() > MOST_DIGITS {
        return Err(ReadFaultKind::TooManyDigits { number: safe(whole) });
    }
    Ok(digits.bytes().fold(0, |sum, digit| sum * 10 + u128::from(digit.wrapping_sub(b'0'))))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> Result<(u128, u128, &str), ReadFaultKind> {
        number(&mut Scan { text, at: 0 }).map(|n| (n.top, n.bottom, n.text))
    }

    #[test]
    fn every_way_to_write_twelve_and_a_half() {
        for text in ["12 1/2", "12-1/2", "12–1/2", "12½", "12 ½", "12-½", "12\u{a0}1\u{2044}2"] {
            assert_eq!(value(text), Ok((25, 2, text)));
        }
        assert_eq!(value("12.5"), Ok((125, 10, "12.5")));
        assert_eq!(value("12,5"), Ok((125, 10, "12,5")));
    }

    #[test]
    fn the_number_stops_where_it_ends() {
        assert_eq!(value("12 in"), Ok((12, 1, "12")));
        assert_eq!(value("12 3 in"), Ok((12, 1, "12")));
        assert_eq!(value("5/8-1/2"), Ok((5, 8, "5/8")));
        assert_eq!(value("12-13"), Ok((12, 1, "12")));
        assert_eq!(value("12.5 - 1/2"), Ok((125, 10, "12.5")));
        assert_eq!(value("1/2."), Ok((1, 2, "1/2")));
        assert_eq!(value("9/4"), Ok((9, 4, "9/4")));
        assert_eq!(value(".5"), Ok((5, 10, ".5")));
    }

    #[test]
    fn every_vulgar_fraction() {
        let marks = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞";
        let plain = "1/2 1/3 2/3 1/4 3/4 1/5 2/5 3/5 4/5 1/6 5/6 1/8 3/8 5/8 7/8";
        assert_eq!(marks.chars().count(), plain.split(' ').count());
        for (mark, text) in marks.chars().zip(plain.split(' ')) {
            let (top, bottom) = vulgar(mark).unwrap_or_default();
            assert_eq!(format!("{top}/{bottom}"), text);
        }
    }

    #[test]
    fn a_minus_sign_inside_is_doubtful() {
        let doubt = ReadFaultKind::DoubtfulDash { whole: "12".into(), fraction: "1/2".into() };
        for text in ["12 - 1/2", "12 -1/2", "12- 1/2", "12 – 1/2", "12−1/2"] {
            assert_eq!(value(text), Err(doubt.clone()), "{text}");
        }
    }
}
