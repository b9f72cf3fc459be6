//! Whether a sheet was drafted on a coarser ruler than it says.

use super::follow_through::{Judge, Judged};
use crate::check::handed_in::Answers;
use crate::formula::Base;
use crate::length::{Length, Ruler};

/// How often someone who has the finer ruler writes just the next tick of a coarser one.
const SLIP: f64 = 0.1;

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
            let half = coarser.tick().as_nm_f64() / 2.0 + 1.0;
            let is_near = |answer: f64, right: Option<f64>| right.is_some_and(|right| (answer - right).abs() <= half);
            let is_on_finer = |value: f64| Length::from_nm_f64(value).is_some_and(|length| ruler.on_tick(length));
            // An answer between two ticks of the finer ruler falls on one of the coarser by chance, one time in so many. What lies
            // on a tick of the finer ruler is written so by whoever has that ruler. What is right on a tick tells nothing.
            let ratio = coarser.tick().as_nm_f64() / ruler.tick().as_nm_f64();
            let by_chance: f64 = lengths()
                .filter_map(|(answer, judged)| Some((answer, judged.own.filter(|own| !on_tick(*own))?)))
                .map(|(answer, own)| if is_on_finer(own) && is_near(answer, Some(own)) { SLIP } else { 1.0 / ratio })
                .product();
            let helps = |(answer, judged): (f64, Judged)| {
                judged.verdict.is_wrong() && (is_near(answer, judged.own) || is_near(answer, judged.expected))
            };
            by_chance < 0.05 && lengths().any(helps)
        })
}
