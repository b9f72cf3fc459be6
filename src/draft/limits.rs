//! The limits of a choice: what a student may choose, and which limit a choice breaks.

use super::measures::Measures;
use crate::exercise::{Limit, LimitKind, Step, StepRule};
use crate::length::{Length, Tolerance};

/// The tightest limit on one side of a choice.
#[derive(Debug, Clone, Copy)]
pub struct Bound<'e> {
    /// Where it lies, in nanometres for a length.
    pub value: f64,
    /// The limit as the exercise states it.
    pub limit: &'e Limit,
}

/// The tightest lower and upper limit of a choice; none for a step that is worked out.
pub fn range<'e>(step: &'e Step, measures: &Measures, row: usize) -> (Option<Bound<'e>>, Option<Bound<'e>>) {
    let StepRule::Within { limits, .. } = &step.rule else { return (None, None) };
    let (mut low, mut high): (Option<Bound>, Option<Bound>) = (None, None);
    for limit in limits {
        let bound = Bound { value: limit.value.evaluate(measures, Some(row)), limit };
        let side = if limit.kind.is_lower() { &mut low } else { &mut high };
        let is_tighter =
            side.is_none_or(
                |known| {
                    if limit.kind.is_lower() { bound.value > known.value } else { bound.value < known.value }
                },
            );
        if is_tighter {
            *side = Some(bound);
        }
    }
    (low, high)
}

/// The limit that a choice breaks, if it breaks one; of several, the one it is furthest beyond. "At least" and "at most" are read to within
/// the tolerance, since a limit need not fall on a tick; "above" and "below" are not to be reached at all.
pub fn broken_limit<'e>(
    step: &'e Step,
    value: f64,
    measures: &Measures,
    row: usize,
    tolerance: Tolerance,
) -> Option<Bound<'e>> {
    let StepRule::Within { limits, .. } = &step.rule else { return None };
    let slack = tolerance.width().as_nm_f64();
    let mut broken: Option<Bound> = None;
    for limit in limits {
        let bound = Bound { value: limit.value.evaluate(measures, Some(row)), limit };
        let holds = match limit.kind {
            LimitKind::AtLeast => value >= bound.value - slack,
            LimitKind::Above => value > bound.value,
            LimitKind::AtMost => value <= bound.value + slack,
            LimitKind::Below => value < bound.value,
        };
        let beyond = |bound: Bound| (value - bound.value).abs();
        if !holds && broken.is_none_or(|known| beyond(bound) > beyond(known)) {
            broken = Some(bound);
        }
    }
    broken
}

impl Bound<'_> {
    /// The limit as a length, to the nearest nanometre.
    pub fn length(&self) -> Length {
        Length::from_nm_f64(self.value).unwrap_or_default()
    }
}
