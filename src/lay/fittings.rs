//! What to buy beside cloth: zips in the sizes that are sold, the rest by the shop's step.

use super::cloth::rounded_up;
use crate::draft::Fitted;
use crate::exercise::FittingKind;
use crate::length::{Length, Unit};

/// The sizes in which zips are sold, in centimetres and in inches (common practice, no source).
const ZIPS: [&[i64]; 2] = [
    &[10, 12, 15, 18, 20, 22, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80],
    &[4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 36],
];

/// The length to buy of a fitting: of a zip the next size sold, `None` where none is long enough and it is cut from a
/// continuous one; of what is cut, all of it rounded up to a step.
///
/// ```
/// use foldmark::{lay::next_zip, length::{Length, Unit}};
/// let inches = |count| Length::of(count, Unit::Inch);
/// assert_eq!(next_zip(inches(11), false), Some(inches(12)));
/// assert_eq!(next_zip(inches(12), false), Some(inches(12)));
/// assert_eq!(next_zip(inches(40), false), None);
/// assert_eq!(next_zip(inches(11), true), Some(Length::of(30, Unit::Centimetre)));
/// ```
pub fn next_zip(covers: Length, is_metric: bool) -> Option<Length> {
    let (sizes, unit) = if is_metric { (ZIPS[0], Unit::Centimetre) } else { (ZIPS[1], Unit::Inch) };
    sizes.iter().map(|size| Length::of(*size, unit)).find(|size| *size >= covers)
}

/// How much to buy of what is sold by length; nothing for what is counted, and for a zip that no shop has in one piece.
pub fn to_buy(fitted: &Fitted, step: Length, is_metric: bool) -> Option<Length> {
    let length = fitted.length?;
    match fitted.fitting.kind {
        FittingKind::Zip => next_zip(length, is_metric),
        FittingKind::Ring => Some(length),
        FittingKind::Cord | FittingKind::Webbing | FittingKind::Ribbon => {
            Some(rounded_up(length * i64::from(fitted.fitting.count), step))
        }
        FittingKind::Eyelet | FittingKind::Fastening | FittingKind::Thread => None,
    }
}
