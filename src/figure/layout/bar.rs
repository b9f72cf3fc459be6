//! The scale of a figure: a bar of a round length below all that is drawn, or the words that there is none.

use super::page;
use crate::figure::drawing::{Anchor, Area, Drawing, Figure, Path, Role, Text, TextRole};
use crate::figure::style;
use crate::geometry::Point;
use crate::length::{Length, NM_PER_MM, Ruler, Unit};

/// The words where nothing is to scale.
pub(crate) const NOT_TO_SCALE: &str = "not to scale";

/// Lengths of bars, in quarters of an inch.
const QUARTERS: [i64; 11] = [1, 2, 4, 8, 12, 24, 48, 96, 144, 288, 576];
/// Lengths of bars, in millimetres.
const MILLIMETRES: [i64; 10] = [5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000];

/// The figure with a bar of a round length in its unit, if its first drawing can be measured; otherwise with the words that it
/// is not to scale.
pub(crate) fn scaled(figure: Figure, ruler: Ruler) -> Figure {
    let space = figure.drawings().iter().map(page::space).fold(Area::EMPTY, Area::with);
    let Some(scale) = figure.drawings().first().filter(|_| space != Area::EMPTY).map(Drawing::scale) else {
        return figure;
    };
    let at = Point::new(space.left.max(style::MARGIN), space.bottom + style::BAR_BELOW);
    let Some(scale) = scale else {
        return figure.noting("", [], Text::level(TextRole::Note, vec![NOT_TO_SCALE.to_owned()], at, Anchor::Start));
    };
    let Some((length, units)) = longest(ruler, scale) else { return figure };
    let (half, middle, end) = (style::BAR_HALF, at.x + units / 2.0, at.x + units);
    let part = |role: Role, from: f64, to: f64| {
        Path::closed(
            role,
            &[(from, -half), (to, -half), (to, half), (from, half)].map(|(x, y)| Point::new(x, at.y + y)),
        )
    };
    let told = ruler.write_exactly(length);
    let text =
        Text::level(TextRole::Note, vec![told.clone()], Point::new(end + style::CLEAR * 2.0, at.y), Anchor::Start);
    let paths = [part(Role::Bar, at.x, end), part(Role::BarHalf, at.x, middle)];
    figure.noting(&format!("A bar below it is {told} long."), paths, text)
}

/// The longest round length that is not too long for a bar, and how long that is drawn.
fn longest(ruler: Ruler, scale: f64) -> Option<(Length, f64)> {
    let quarter = Unit::Inch.length().nm() / 4;
    let (lengths, unit): (&[i64], i64) = match ruler.unit() {
        Unit::Inch | Unit::Foot | Unit::Yard => (&QUARTERS, quarter),
        Unit::Millimetre | Unit::Centimetre | Unit::Metre => (&MILLIMETRES, NM_PER_MM as i64),
    };
    let sized = |count: &i64| (Length::from_nm(count * unit), (count * unit) as f64 / NM_PER_MM * scale);
    lengths.iter().rev().map(sized).find(|(_, units)| *units <= style::BAR).filter(|(_, units)| *units >= 8.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// At three units to the millimetre an inch is 76.2 units, more than a bar may have: half of it is 38.1.
    #[test]
    fn a_bar_has_a_round_length() {
        let (length, units) = longest(Ruler::EIGHTH, 3.0).unwrap();
        assert_eq!(Ruler::EIGHTH.write_exactly(length), "1/2 in");
        assert!((units - 38.1).abs() < 1e-9);
        assert_eq!(Ruler::MILLIMETRE.write_exactly(longest(Ruler::MILLIMETRE, 0.5).unwrap().0), "10 cm");
        assert_eq!(longest(Ruler::EIGHTH, 1e-6), None);
    }
}
