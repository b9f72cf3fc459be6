//! Whether a sheet was drafted on a coarser ruler than it says.

use super::follow_through::{Judge, Judged};
use crate::check::handed_in::Answers;
use crate::formula::Base;
use crate::length::{Length, Ruler};

/// The coarser ruler that every answer falls on, where that can't be chance and makes a difference: some answer that
/// is off by more than the finer ruler allows is what the coarser one would show.
pub(in crate::check) fn coarser_ruler(
    judge: &Judge,
    ruler: Ruler,
    answers: &Answers,
    judged: &[Judged],
) -> Option<Ruler> {
    if !judged.iter().any(|judged| judged.verdict.is_wrong()) {
        return None;
    }
    let lengths = || {
        let steps = judge.exercise.steps.iter_enumerated().filter(|(_, step)| step.kind.base == Base::Length);
        let cells = steps.flat_map(|(step, _)| answers.cells(step));
        cells.filter_map(|cell| Some((answers.get(cell)?, judged[cell])))
    };
    let parts: &[i64] = if ruler.is_metric() { &[2] } else { &[8, 4] };
    let unit = ruler.unit();
    parts
        .iter()
        .filter_map(|parts| Ruler::new(Length::from_nm(unit.length().nm() / parts), unit).ok())
        .filter(|coarser| coarser.tick() > ruler.tick())
        .rfind(|coarser| {
            let on_tick = |value: f64| Length::from_nm_f64(value).is_some_and(|length| coarser.on_tick(length));
            if !lengths().all(|(answer, _)| on_tick(answer)) {
                return false;
            }
            // Each answer falls on a tick by chance one time in so many; and what is right on a tick tells nothing.
            let ratio = coarser.tick().as_nm_f64() / ruler.tick().as_nm_f64();
            let telling = lengths().filter(|(_, judged)| judged.own.is_some_and(|own| !on_tick(own))).count();
            let by_chance = libm::pow(ratio, -(telling as f64));
            let half = coarser.tick().as_nm_f64() / 2.0 + 1.0;
            let helps = |(answer, judged): (f64, Judged)| {
                let is_near = |right: f64| (answer - right).abs() <= half;
                judged.verdict.is_wrong() && (judged.own.is_some_and(is_near) || judged.expected.is_some_and(is_near))
            };
            by_chance < 0.05 && lengths().any(helps)
        })
}
