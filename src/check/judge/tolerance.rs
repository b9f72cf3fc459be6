//! How far an answer may be off.

use crate::exercise::{Step, StepRule};
use crate::formula::Base;
use crate::length::{Length, Ruler, Tolerance};

/// Half of the last decimal that a number is written with: a count is right or wrong, with no ruler between.
pub(in crate::check) const LAST_DECIMAL: f64 = 5e-5;

/// How far an answer may be off where the sheet and the class say nothing else: less than one tick of the ruler, or as far as
/// the step itself says, if that is further; nothing for a number. So of a value that falls on a
/// tick only that tick is right, and of one that falls between two both.
pub(in crate::check) fn usual_width(step: &Step, ruler: Ruler) -> f64 {
    match (step.kind.base, &step.rule) {
        // A choice is one's own to write down, and its limits are to be kept.
        (Base::Length, StepRule::Within { .. }) if step.is_exact => Tolerance::micrometre().width().as_nm_f64(),
        (Base::Length, _) => {
            // Nobody reads a ruler closer than its ticks.
            let less_than_a_tick = ruler.tick() - Length::from_nm(1);
            step.tolerance.filter(|_| !step.is_exact).unwrap_or_default().max(less_than_a_tick).as_nm_f64()
        }
        (Base::Number | Base::Area | Base::Truth | Base::Word(_), _) => LAST_DECIMAL,
    }
}

/// Whether a slip's value is so far from the right one that marking can tell them apart.
pub fn is_told_apart(step: &Step, slip: f64, right: f64, ruler: Ruler) -> bool {
    (slip - right).abs() > usual_width(step, ruler)
}
