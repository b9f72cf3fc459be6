//! Whether the slips of an exercise can be told from right answers, and from each other.

use super::findings::example;
use crate::check::is_told_apart;
use crate::draft::{Measures, value_text};
use crate::exercise::{Exercise, Slip, SlipId};
use crate::formula::{Base, Values};
use crate::length::{Ruler, Tolerance};
use typed_index_collections::TiVec;

/// What was seen of two values that should differ somewhere.
#[derive(Clone)]
enum Seen {
    /// They were never there together.
    Never,
    /// They were the same so far: the value, and the givens it was first seen with.
    Same(String),
    /// They differed.
    Apart,
}

impl Seen {
    fn look(&mut self, is_apart: bool, show: impl FnOnce() -> String) {
        match self {
            Seen::Apart => {}
            _ if is_apart => *self = Seen::Apart,
            Seen::Never => *self = Seen::Same(show()),
            Seen::Same(_) => {}
        }
    }
}

/// The slips of an exercise, compared in trial after trial.
pub(super) struct Slips<'e> {
    exercise: &'e Exercise,
    /// Each slip, against the right answer.
    right: TiVec<SlipId, Seen>,
    /// Each two slips of one step that were not told apart yet, by index.
    pairs: Vec<(SlipId, SlipId, Seen)>,
}

impl<'e> Slips<'e> {
    pub(super) fn new(exercise: &'e Exercise) -> Slips<'e> {
        let slips = &exercise.slips;
        let of_one_step = |one: SlipId| {
            let others = slips.keys().skip(one.0 + 1).filter(move |other| slips[*other].step == slips[one].step);
            others.map(move |other| (one, other, Seen::Never))
        };
        let pairs = slips.keys().flat_map(of_one_step).collect();
        Slips { exercise, right: vec![Seen::Never; slips.len()].into(), pairs }
    }

    /// Compares them in one trial.
    pub(super) fn look(&mut self, measures: &Measures, ruler: Ruler) {
        let exercise = self.exercise;
        let step = |slip: &Slip| &exercise.steps[slip.step];
        let rows = |slip: &Slip| measures.count(exercise, step(slip).slot);
        let value = |slip: &Slip, row: usize| {
            let can_be = slip.when.as_ref().is_none_or(|when| when.holds(measures));
            slip.used.evaluate(measures, Some(row)).filter(|_| can_be)
        };
        let show = |slip: &Slip, value: f64| {
            let value = value_text(step(slip).kind.base, value, ruler);
            format!("for instance {value} with {}", example(exercise, measures, ruler))
        };
        for (slip, seen) in exercise.slips.iter().zip(&mut self.right) {
            for row in 0..rows(slip) {
                if let Some((used, right)) = value(slip, row).zip(measures.value(step(slip).slot, row)) {
                    seen.look(is_told_apart(step(slip), used, right, ruler), || show(slip, used));
                }
            }
        }
        // Marking names a slip only where no other fits within half a tick.
        let close = Tolerance::half_tick(ruler).width().as_nm_f64();
        let values = |slip: &Slip| -> Vec<Option<f64>> { (0..rows(slip)).map(|row| value(slip, row)).collect() };
        let values: TiVec<SlipId, Vec<Option<f64>>> = exercise.slips.iter().map(values).collect();
        self.pairs.retain_mut(|(one, other, seen)| {
            let slip = &exercise.slips[*one];
            let close = if step(slip).kind.base == Base::Length { close } else { 1e-9 };
            for (a, b) in values[*one].iter().zip(&values[*other]) {
                if let (Some(a), Some(b)) = (a, b) {
                    seen.look((a - b).abs() > close, || show(slip, *a));
                }
            }
            // Once told apart they need no further look.
            !matches!(seen, Seen::Apart)
        });
    }

    /// What is to be said about them in the end.
    pub(super) fn sentences(&self) -> Vec<String> {
        let name = |slip: SlipId| &self.exercise.slips[slip].name;
        let right = self.right.iter_enumerated().filter_map(|(slip, seen)| match seen {
            Seen::Apart => None,
            Seen::Same(shown) => Some(format!(
                "slip.{}: it can't be told from the right answer anywhere in the ranges, {shown}",
                name(slip)
            )),
            Seen::Never => Some(format!("slip.{}: it can be made nowhere in the ranges", name(slip))),
        });
        let pairs = self.pairs.iter().filter_map(|(one, other, seen)| match seen {
            Seen::Same(shown) => Some(format!(
                "slip.{}: it can't be told from slip.{} anywhere in the ranges, {shown}; keep one of the two",
                name(*other),
                name(*one)
            )),
            Seen::Never | Seen::Apart => None,
        });
        right.chain(pairs).collect()
    }
}
