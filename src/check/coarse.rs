//! Whether a sheet was drafted on a coarser ruler than it says.

use super::judge::{Answers, Judge, Judged};
use crate::formula::Base;
use crate::length::{Length, Ruler};

/// The coarser ruler that every answer falls on, where that can't be chance and makes a difference: some answer that
/// is off by more than the finer ruler allows is what the coarser one would show.
pub(super) fn coarser_ruler(judge: &Judge, ruler: Ruler, answers: &Answers, judged: &[Judged]) -> Option<Ruler> {
    let mut all: Vec<(f64, Judged)> = Vec::new();
    for (step, _) in judge.exercise.steps.iter().enumerate().filter(|(_, step)| step.kind.base == Base::Length) {
        for (row, cell) in answers.cells(step).enumerate() {
            all.extend(answers.get(step, row).map(|answer| (answer, judged[cell])));
        }
    }
    let parts: &[i64] = if ruler.is_metric() { &[2] } else { &[8, 4] };
    let unit = ruler.unit();
    parts
        .iter()
        .filter_map(|parts| Ruler::new(Length::from_nm(unit.length().nm() / parts), unit).ok())
        .filter(|coarser| coarser.tick() > ruler.tick())
        .rfind(|coarser| {
            let on_tick = |value: f64| Length::from_nm_f64(value).is_some_and(|length| coarser.on_tick(length));
            // Each answer falls on a tick by chance one time in so many; and what is right on a tick tells nothing.
            let ratio = coarser.tick().as_nm_f64() / ruler.tick().as_nm_f64();
            let telling = all.iter().filter(|(_, judged)| !on_tick(judged.own) && judged.own.is_finite()).count();
            let by_chance = libm::pow(ratio, -(telling as f64));
            let half = coarser.tick().as_nm_f64() / 2.0 + 1.0;
            let helps = |(answer, judged): &(f64, Judged)| {
                judged.verdict.is_wrong()
                    && ((answer - judged.own).abs() <= half || (answer - judged.expected).abs() <= half)
            };
            all.iter().all(|(answer, _)| on_tick(*answer)) && by_chance < 0.001 && all.iter().any(helps)
        })
}
