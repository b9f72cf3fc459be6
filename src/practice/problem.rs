//! One problem, worked.

use super::code::Code;
use crate::draft::Draft;
use crate::exercise::{Level, OnSheet, SlipId, StepId};
use crate::length::Ruler;

/// One problem of a set.
#[derive(Debug, Clone)]
pub struct Problem<'e> {
    /// Counted from 1.
    pub number: usize,
    /// What the checker makes it anew from.
    pub code: Code,
    /// The draft with everything worked out, choices as suggested: the key.
    pub draft: Draft<'e>,
    /// The ruler that the givens are stated on; the draft's own is the one for the answers.
    pub stated_on: Ruler,
    /// The slips in it, by index, where it is a finished draft to find them in.
    pub slips: Vec<SlipId>,
    /// Its level, where it has one.
    pub level: Option<&'e Level>,
}

impl Problem<'_> {
    /// The steps that its sheet asks for: of a finished draft, in which a slip may stand anywhere, all that are on it.
    pub fn asked(&self) -> Vec<StepId> {
        let exercise = self.draft.exercise;
        let is_on_sheet = |step: &StepId| exercise.steps[*step].on_sheet == OnSheet::Asked;
        let is_hunt = !self.slips.is_empty();
        exercise.steps.keys().filter(|step| exercise.asks(*step) || is_hunt && is_on_sheet(step)).collect()
    }
}
