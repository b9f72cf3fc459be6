//! How numbers are printed: mixed fractions, decimals without trailing zeros, padding.

use std::fmt::{self, Write};

/// Writes `count` parts of 1/`per` as a reduced mixed number: `12 1/2`, `-3/8`, `0`.
pub(super) fn mixed(out: &mut dyn Write, count: i64, per: u64) -> fmt::Result {
    let per = per.max(1);
    let size = count.unsigned_abs();
    let (whole, top) = (size / per, size % per);
    if count < 0 {
        out.write_char('-')?;
    }
    if top == 0 {
        return write!(out, "{whole}");
    }
    if whole > 0 {
        write!(out, "{whole} ")?;
    }
    let (top, per) = (u128::from(top), u128::from(per));
    let common = gcd(top, per);
    write!(out, "{}/{}", top / common, per / common)
}

/// Writes `count` parts of 10^-`places` as a decimal without trailing zeros: `31.8`, `-0.5`.
/// `places` is at most 18.
pub(super) fn decimal(out: &mut dyn Write, count: i64, places: u32) -> fmt::Result {
    let size = count.unsigned_abs();
    let one = 10_u64.pow(places.min(18));
    let (whole, mut part) = (size / one, size % one);
    if count < 0 {
        out.write_char('-')?;
    }
    write!(out, "{whole}")?;
    if part == 0 {
        return Ok(());
    }
    let mut width = places as usize;
    while part.is_multiple_of(10) {
        part /= 10;
        width -= 1;
    }
    write!(out, ".{part:0width$}")
}

/// Runs `write` straight into `f`, or through `f.pad` when a width was asked for.
pub(super) fn padded(f: &mut fmt::Formatter<'_>, write: impl Fn(&mut dyn Write) -> fmt::Result) -> fmt::Result {
    if f.width().is_none() {
        return write(f);
    }
    let mut whole = String::new();
    write(&mut whole)?;
    f.pad(&whole)
}

/// The largest number that divides both; 1 when there is none.
pub(super) fn gcd(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mixed_numbers_are_reduced() {
        let shown = |count, per| {
            let mut out = String::new();
            mixed(&mut out, count, per).map(|()| out)
        };
        assert_eq!(shown(200, 16).as_deref(), Ok("12 1/2"));
        assert_eq!(shown(-6, 16).as_deref(), Ok("-3/8"));
        assert_eq!(shown(0, 16).as_deref(), Ok("0"));
        assert_eq!(shown(-32, 16).as_deref(), Ok("-2"));
        assert_eq!(shown(3, 10).as_deref(), Ok("3/10"));
        assert_eq!(shown(i64::MIN, 1).as_deref(), Ok("-9223372036854775808"));
    }

    #[test]
    fn decimals_lose_their_trailing_zeros() {
        let shown = |count, places| {
            let mut out = String::new();
            decimal(&mut out, count, places).map(|()| out)
        };
        assert_eq!(shown(3_180, 2).as_deref(), Ok("31.8"));
        assert_eq!(shown(-5, 1).as_deref(), Ok("-0.5"));
        assert_eq!(shown(1, 7).as_deref(), Ok("0.0000001"));
        assert_eq!(shown(4_000, 3).as_deref(), Ok("4"));
        assert_eq!(shown(7, 0).as_deref(), Ok("7"));
    }

    #[test]
    fn the_largest_common_divisor() {
        assert_eq!([gcd(12, 18), gcd(0, 5), gcd(5, 0), gcd(0, 0)], [6, 5, 5, 1]);
    }
}
