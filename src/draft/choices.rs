//! Choices on the ticks of a ruler, kept within their limits while the givens change.

use super::givens::Givens;
use super::limits::{Bound, broken_limit, range};
use super::work::{Draft, WorkFault};
use crate::exercise::{Exercise, LimitKind, Step, StepId};
use crate::length::{Length, Rounding, Tolerance, Unit};

/// Where a choice may lie: from the lowest to the highest tick within its limits, and what holds it there.
#[derive(Debug, Clone, Copy)]
pub struct Room<'e> {
    /// The lowest tick.
    pub lowest: Length,
    /// The highest tick.
    pub highest: Length,
    /// The limit below, if there is one.
    pub low: Option<Bound<'e>>,
    /// The limit above, if there is one.
    pub high: Option<Bound<'e>>,
}

/// No choice is longer than this, where nothing else limits it.
const FAR: Length = Length::of(10, Unit::Metre);

impl<'e> Draft<'e> {
    /// Where a choice of a step may lie in this draft; nothing, where no tick is within the limits.
    ///
    /// ```
    /// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler};
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
    /// let draft = Draft::new(roll, givens).unwrap();
    /// let room = draft.room(roll.step("pocket_height").unwrap(), 0).unwrap();
    /// assert_eq!(draft.write(room.highest).to_string(), "5 1/2 in");
    /// ```
    pub fn room(&self, step: &'e Step, row: usize) -> Option<Room<'e>> {
        let tick = self.givens.ruler.tick();
        let (low, high) = range(step, &self.measures, row);
        let inward = |bound: Bound, rounding: Rounding, inside: Length| {
            let on = bound.length().round_to(tick, rounding);
            let is_reached = on == bound.length() && matches!(bound.limit.kind, LimitKind::Above | LimitKind::Below);
            if is_reached { on + inside } else { on }
        };
        let lowest = low.map_or(Length::default(), |bound| inward(bound, Rounding::Up, tick));
        let highest = high.map_or(FAR, |bound| inward(bound, Rounding::Down, -tick));
        let lowest = lowest.max(Length::default());
        (lowest <= highest).then_some(Room { lowest, highest, low, high })
    }

    /// Why no choice of a step is possible in this draft, as the rest of a sentence; nothing, where one is.
    pub fn impossible(&self, step: &Step, row: usize) -> Option<String> {
        let (low, high) = range(step, &self.measures, row);
        let (low, high) = low.zip(high).filter(|(low, high)| low.value > high.value)?;
        let (low, high) = (self.write_limit(&low), self.write_limit(&high));
        Some(format!("no {} is possible: it would have to be {low} and {high}; change the givens", step.short))
    }

    /// Works an exercise with choices that are put back within their limits where they have come to lie beyond: to the
    /// nearest tick that is left, or, where there is none, to what is suggested.
    ///
    /// # Errors
    /// The first step that can't be worked out.
    pub fn settling(
        exercise: &'e Exercise,
        givens: &Givens,
        mut chosen: Vec<(StepId, f64)>,
    ) -> Result<Draft<'e>, WorkFault> {
        // In the order of work, since a later choice may be limited by an earlier one.
        for &step in exercise.order.iter().filter(|step| exercise.steps[**step].is_choice()) {
            let Some(at) = chosen.iter().position(|(known, _)| *known == step) else { continue };
            let draft = Draft::with(exercise, givens, &chosen)?;
            let (rule, value) = (&exercise.steps[step], chosen[at].1);
            let breaks = |row| broken_limit(rule, value, &draft.measures, row, Tolerance::exactly()).is_some();
            let Some(row) = (0..draft.rows(rule)).find(|row| breaks(*row)) else { continue };
            match (draft.room(rule, row), Length::from_nm_f64(value)) {
                (Some(room), Some(value)) => chosen[at].1 = value.clamp(room.lowest, room.highest).as_nm_f64(),
                _ => drop(chosen.remove(at)),
            }
        }
        Draft::with(exercise, givens, &chosen)
    }

    fn with(exercise: &'e Exercise, givens: &Givens, chosen: &[(StepId, f64)]) -> Result<Draft<'e>, WorkFault> {
        let choose = |step: StepId, _: usize| chosen.iter().find(|(known, _)| *known == step).map(|(_, value)| *value);
        Draft::choosing(exercise, givens.clone(), &choose)
    }
}
