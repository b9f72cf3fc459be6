//! Numbers that are one slip of the pen away from a value.

use crate::check::result::Pen;
use crate::length::{Length, Ruler};

/// What a length may have been written as by one slip of the pen, as numbers in nanometres.
pub(super) fn slips_of_the_pen(value: f64, ruler: Ruler) -> Vec<(Pen, f64)> {
    let unit = ruler.unit().length().nm();
    let Some(length) = Length::from_nm_f64(value).map(|length| ruler.nearest(length).nm()).filter(|nm| *nm > 0) else {
        return Vec::new();
    };
    let (whole, part) = (length / unit, length % unit);
    let mut slips = vec![(Pen::WholeMore, length + unit), (Pen::WholeLess, length - unit)];
    if part > 0 && whole > 0 {
        slips.push((Pen::FractionLost, whole * unit));
    }
    slips.extend(turned(whole).map(|turned| (Pen::Turned, turned * unit + part)));
    if ruler.is_metric() {
        // The number in tenths, as a ruler in millimetres has it.
        if let Some(tenth) = (unit % 10 == 0).then_some(unit / 10).filter(|tenth| part > 0 && part % tenth == 0) {
            slips.push((Pen::PointLost, length * 10));
            slips.extend(last_two_turned(length / tenth).map(|turned| (Pen::Turned, turned * tenth)));
        }
    } else if part > 0 {
        let common = gcd(part, unit);
        let (top, bottom) = (part / common, unit / common);
        if whole > 0 {
            let swallowed = whole * shift(top) + top;
            slips.push((Pen::SpaceLost, swallowed * unit / bottom));
            if whole < bottom && whole != top {
                slips.push((Pen::Exchanged, top * unit + whole * unit / bottom));
            }
        }
    }
    slips.retain(|(_, nm)| *nm > 0 && *nm != length);
    slips.into_iter().map(|(pen, nm)| (pen, nm as f64)).collect()
}

/// A number of two digits with the two exchanged.
fn turned(number: i64) -> Option<i64> {
    (10..100).contains(&number).then_some(number % 10 * 10 + number / 10)
}

/// A number whose last digits were exchanged: 48.3 as 43.8.
fn last_two_turned(tenths: i64) -> Option<i64> {
    (tenths >= 100).then_some(tenths / 100 * 100 + tenths % 10 * 10 + tenths / 10 % 10)
}

/// The power of ten that makes room for a number after another.
fn shift(number: i64) -> i64 {
    if number < 10 { 10 } else { 100 }
}

fn gcd(one: i64, other: i64) -> i64 {
    if other == 0 { one } else { gcd(other, one % other) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_slip_of_the_pen() {
        let slips = |text: &str, ruler: Ruler| {
            let value = Length::read(text, None).unwrap().as_nm_f64();
            let written = |(pen, nm): (Pen, f64)| (pen, ruler.write_exactly(Length::from_nm_f64(nm).unwrap()));
            slips_of_the_pen(value, ruler).into_iter().map(written).collect::<Vec<_>>()
        };
        let text = |pen: Pen, text: &str| (pen, text.to_owned());
        assert_eq!(
            slips("14 3/4 in", Ruler::EIGHTH),
            [
                text(Pen::WholeMore, "15 3/4 in"),
                text(Pen::WholeLess, "13 3/4 in"),
                text(Pen::FractionLost, "14 in"),
                text(Pen::Turned, "41 3/4 in"),
                text(Pen::SpaceLost, "35 3/4 in"),
            ]
        );
        assert!(slips("5 3/8 in", Ruler::EIGHTH).contains(&text(Pen::Exchanged, "3 5/8 in")));
        assert!(slips("19 in", Ruler::EIGHTH).contains(&text(Pen::Turned, "91 in")));
        assert!(slips("48.3 cm", Ruler::MILLIMETRE).contains(&text(Pen::Turned, "43.8 cm")));
        assert!(slips("48.3 cm", Ruler::MILLIMETRE).contains(&text(Pen::PointLost, "483 cm")));
    }
}
