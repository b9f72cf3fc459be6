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

impl<'e> Bound<'e> {
    /// Where a limit lies for some measures; nothing, where it can't be worked out from them.
    #[inline]
    pub fn of(limit: &'e Limit, measures: &Measures, row: usize) -> Option<Bound<'e>> {
        limit.value.evaluate(measures, Some(row)).map(|value| Bound { value, limit })
    }
}

/// The tightest lower and upper limit of a choice; none for a step that is worked out.
pub fn range<'e>(step: &'e Step, measures: &Measures, row: usize) -> (Option<Bound<'e>>, Option<Bound<'e>>) {
    let StepRule::Within { limits, .. } = &step.rule else { return (None, None) };
    let (mut low, mut high): (Option<Bound>, Option<Bound>) = (None, None);
    for bound in limits.iter().filter_map(|limit| Bound::of(limit, measures, row)) {
        let side = if bound.limit.kind.is_lower() { &mut low } else { &mut high };
        if side.is_none_or(|known| bound.is_tighter(known.value)) {
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
    for bound in limits.iter().filter_map(|limit| Bound::of(limit, measures, row)) {
        let beyond = |bound: Bound| (value - bound.value).abs();
        if !bound.holds(value, slack) && broken.is_none_or(|known| beyond(bound) > beyond(known)) {
            broken = Some(bound);
        }
    }
    broken
}

/// A choice held against its limits: what [`range`] and [`broken_limit`] tell, in one go and without the limits' words.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// The tightest lower limit.
    pub low: Option<f64>,
    /// The tightest upper limit.
    pub high: Option<f64>,
    /// Whether no limit is broken.
    pub fits: bool,
}

/// Holds a choice against the limits of its step; see [`Held`].
pub fn held(step: &Step, value: f64, measures: &Measures, row: usize, tolerance: Tolerance) -> Held {
    let mut held = Held { low: None, high: None, fits: true };
    let StepRule::Within { limits, .. } = &step.rule else { return held };
    let slack = tolerance.width().as_nm_f64();
    for limit in limits {
        let Some(bound) = Bound::of(limit, measures, row) else {
            // Nobody can keep to a limit that can't be worked out.
            held.fits = false;
            continue;
        };
        held.fits &= bound.holds(value, slack);
        let side = if limit.kind.is_lower() { &mut held.low } else { &mut held.high };
        if side.is_none_or(|known| bound.is_tighter(known)) {
            *side = Some(bound.value);
        }
    }
    held
}

impl Bound<'_> {
    /// The limit as a length, to the nearest nanometre.
    pub fn length(&self) -> Length {
        Length::from_nm_f64(self.value).unwrap_or_default()
    }

    /// Whether it leaves less room than another limit on the same side.
    fn is_tighter(&self, known: f64) -> bool {
        if self.limit.kind.is_lower() { self.value > known } else { self.value < known }
    }

    /// Whether a choice keeps to it.
    fn holds(&self, value: f64, slack: f64) -> bool {
        match self.limit.kind {
            LimitKind::AtLeast => value >= self.value - slack,
            LimitKind::Above => value > self.value,
            LimitKind::AtMost => value <= self.value + slack,
            LimitKind::Below => value < self.value,
        }
    }
}
