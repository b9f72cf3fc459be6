//! What a student may have worked out instead: for one answer, every known mistake with the value it leads to.

use super::cause::Cause;
use super::judge::{Judge, follows};
use crate::draft::Measures;
use crate::exercise::{Exercise, GivenKind, SlipId, Step, StepId, StepRule};
use crate::formula::{Base, Formula, Slot, TableId, Values};
use crate::length::{Length, Ruler, Unit};
use std::cmp::Reverse;

/// A mistake, or two of them, and the value that it leads to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Candidate {
    pub cause: Cause,
    /// The second of a pair.
    pub and: Option<Cause>,
    pub value: f64,
}

impl Candidate {
    /// How likely it is, beside others that fit as well: what the exercise's author knows that people do before what
    /// anyone may do anywhere; and of a number that is wrong already that it was halved, doubled or in another unit.
    pub fn likelihood(&self) -> (bool, bool) {
        let is_own = matches!(self.cause, Cause::Slip(_) | Cause::Earlier(_));
        (is_own, !matches!(self.and, Some(Cause::Counted { .. } | Cause::Fraction)))
    }
}

/// The givens that an exercise uses as seam allowances, that of the most edges first.
pub(super) fn allowances(exercise: &Exercise) -> Vec<Slot> {
    let is_given = |slot: &Slot| {
        exercise.givens.iter().any(|given| matches!(given.kind, GivenKind::Length { slot: own, .. } if own == *slot))
    };
    let widths = exercise.pieces.iter().flat_map(|piece| piece.allowances());
    let mut found: Vec<(usize, Slot)> = Vec::new();
    for slot in widths.flat_map(|width| width.uses()).copied().filter(is_given) {
        match found.iter_mut().find(|(_, known)| *known == slot) {
            Some((edges, _)) => *edges += 1,
            None => found.push((1, slot)),
        }
    }
    found.sort_by_key(|(edges, _)| Reverse(*edges));
    found.into_iter().map(|(_, slot)| slot).collect()
}

/// The units that get mixed up on sheets of a ruler's system: what a number was handed in as, and measured in.
pub(super) fn units(ruler: Ruler) -> &'static [(Unit, Unit)] {
    if ruler.is_metric() {
        &[(Unit::Centimetre, Unit::Millimetre), (Unit::Millimetre, Unit::Centimetre), (Unit::Centimetre, Unit::Inch)]
    } else {
        &[(Unit::Inch, Unit::Centimetre)]
    }
}

/// Values with one of them put differently.
pub(super) struct With<'v> {
    pub values: &'v Measures,
    pub slot: Slot,
    pub value: f64,
}

impl Values for With<'_> {
    fn value(&self, slot: Slot, row: usize) -> Option<f64> {
        if slot == self.slot { Some(self.value) } else { self.values.value(slot, row) }
    }
    fn rows(&self, table: TableId) -> usize {
        self.values.rows(table)
    }
    fn tick(&self) -> f64 {
        self.values.tick()
    }
}

/// Values as they stand on a coarser ruler.
struct Coarse<'v> {
    values: &'v Measures,
    exercise: &'v Exercise,
    tick: f64,
    up: bool,
}

impl Values for Coarse<'_> {
    fn value(&self, slot: Slot, row: usize) -> Option<f64> {
        let value = self.values.value(slot, row)?;
        let kind = self.exercise.scope.kind(slot);
        if kind.base != Base::Length || kind.list.is_none() {
            return Some(value);
        }
        let ticks = value / self.tick;
        let whole = libm::floor(ticks + if self.up { 1.0 - 1e-9 } else { 0.5 });
        Some(whole * self.tick)
    }
    fn rows(&self, table: TableId) -> usize {
        self.values.rows(table)
    }
    fn tick(&self) -> f64 {
        self.values.tick()
    }
}

/// One answer, and what is needed to work out what may stand behind it.
pub(super) struct Asked<'a, 'e> {
    pub judge: &'a Judge<'e>,
    pub allowances: &'a [Slot],
    pub ruler: Ruler,
    pub step: StepId,
    pub row: usize,
}

impl<'e> Asked<'_, 'e> {
    fn exercise(&self) -> &'e Exercise {
        self.judge.exercise
    }

    fn step(&self) -> &'e Step {
        &self.judge.exercise.steps[self.step]
    }

    /// The exercise's own slips of this step that can be made with these values.
    fn slips(&self, values: &Measures) -> impl Iterator<Item = (SlipId, &'e Formula)> {
        let (exercise, step) = (self.exercise(), self.step);
        let slips = exercise.slips.iter_enumerated().filter(move |(_, slip)| slip.step == step);
        let mut can_be: Vec<(SlipId, &'e Formula)> = Vec::new();
        for (index, slip) in slips {
            if slip.when.as_ref().is_none_or(|when| when.holds(values)) {
                can_be.push((index, &slip.used));
            }
        }
        can_be.into_iter()
    }

    /// Every single mistake.
    pub fn singles(&self, values: &Measures) -> Vec<Candidate> {
        let single = |cause: Cause, value: f64| Candidate { cause, and: None, value };
        let step = self.step();
        let mut found: Vec<Candidate> = self
            .slips(values)
            .map(|(slip, used)| single(Cause::Slip(slip), follows(step, used, values, self.row)))
            .collect();
        let StepRule::Value(rule) = &step.rule else { return found };
        if step.kind.base != Base::Length {
            return found;
        }
        let right = follows(step, rule, values, self.row);
        found.extend(self.counted(rule, values).map(|(cause, value)| single(cause, value)));
        found.extend(self.changed(right).map(|(cause, value)| single(cause, value)));
        found.extend(self.beside(rule, values).map(|(cause, value)| single(cause, value)));
        found.extend(self.rounded(rule, values).map(|(cause, value)| single(cause, value)));
        found
    }

    /// Every pair of mistakes within this one answer.
    pub fn pairs(&self, values: &Measures) -> Vec<Candidate> {
        let step = self.step();
        let mut found = Vec::new();
        let StepRule::Value(rule) = &step.rule else { return found };
        if step.kind.base != Base::Length {
            return found;
        }
        let pair = |cause: Cause, and: Cause, value: f64| Candidate { cause, and: Some(and), value };
        let is_miscounted = |cause: &Cause| !matches!(cause, Cause::Counted { belongs: 0, .. });
        for (slip, used) in self.slips(values) {
            let slipped = Cause::Slip(slip);
            let counted = self.counted(used, values).filter(|(and, _)| is_miscounted(and));
            found.extend(counted.map(|(and, value)| pair(slipped, and, value)));
            let value = follows(step, used, values, self.row);
            found.extend(self.changed(value).map(|(and, value)| pair(slipped, and, value)));
        }
        for (cause, value) in self.counted(rule, values).filter(|(cause, _)| is_miscounted(cause)) {
            found.extend(self.changed(value).map(|(and, value)| pair(cause, and, value)));
        }
        found
    }

    /// An allowance counted more or less often than it belongs.
    fn counted<'s>(&'s self, formula: &'s Formula, values: &'s Measures) -> impl Iterator<Item = (Cause, f64)> + 's {
        let step = self.step();
        let right = follows(step, formula, values, self.row);
        self.allowances.iter().flat_map(move |&given| {
            let allowance = values.value(given, 0).unwrap_or_default();
            let at = |value: f64| follows(step, formula, &With { values, slot: given, value }, self.row);
            let more = at(allowance * 2.0) - right;
            let belongs = libm::round(more / allowance);
            let is_whole = allowance > 0.0 && (more - belongs * allowance).abs() < 2.0;
            let belongs = if is_whole && (0.0..=8.0).contains(&belongs) { belongs as i32 } else { -1 };
            let times: &[i32] = match belongs {
                // One too many where none belongs means that it was measured from the cut edge; with an allowance that
                // hardly any edge has, that would be a guess.
                0 if self.allowances.first() == Some(&given) => &[1, 2],
                0 => &[1],
                1 => &[0, 2, 3],
                2 => &[0, 1, 3, 4],
                3.. => &[-1, 0, 1],
                _ => &[],
            };
            times.iter().filter_map(move |&times| {
                // A long sum is told by how many too many or too few.
                let times = if belongs >= 3 && times != 0 { belongs + times } else { times };
                let value = right + f64::from(times - belongs) * allowance;
                Some((
                    Cause::Counted { given, times: u8::try_from(times).ok()?, belongs: u8::try_from(belongs).ok()? },
                    value,
                ))
            })
        })
    }

    /// A result spoilt on its way to the sheet.
    fn changed(&self, value: f64) -> impl Iterator<Item = (Cause, f64)> {
        let units = units(self.ruler).iter().map(move |&(wrote, meant)| {
            (Cause::Unit { wrote, meant }, value * wrote.length().as_nm_f64() / meant.length().as_nm_f64())
        });
        [(Cause::Halved, value / 2.0), (Cause::Doubled, value * 2.0)]
            .into_iter()
            .chain(units)
            .chain(self.next_fraction(value).map(|value| (Cause::Fraction, value)))
    }

    /// The marks that a value may be misread for: the fractions beside it with the same denominator, within the same
    /// inch, 1/8 and 5/8 for 3/8; in millimetres the same distance on the other side of the half centimetre's mark.
    fn next_fraction(&self, value: f64) -> impl Iterator<Item = f64> {
        let unit = self.ruler.unit().length().nm();
        let nm = Length::from_nm_f64(value).map_or(0, |length| self.ruler.nearest(length).nm());
        let (whole, part) = (nm.div_euclid(unit), nm.rem_euclid(unit));
        let steps: [Option<i64>; 2] = if self.ruler.is_metric() {
            let half = unit / 2;
            [(part % half != 0).then_some(if part < half { half } else { -half }), None]
        } else {
            let denominator = [4, 8, 16, 32].into_iter().find(|parts| part % (unit / parts) == 0);
            let beside = denominator.filter(|_| part != 0 && part * 2 != unit).map(|parts| 2 * unit / parts);
            [beside.map(|beside| -beside), beside]
        };
        steps.into_iter().flatten().filter_map(move |step| {
            let read = part + step;
            (read > 0 && read < unit).then(|| Length::from_nm(whole * unit + read).as_nm_f64())
        })
    }

    /// The value of the line or the row beside it.
    fn beside<'s>(&'s self, rule: &'s Formula, values: &'s Measures) -> impl Iterator<Item = (Cause, f64)> + 's {
        let steps = &self.exercise().steps;
        let step = self.step();
        let lines = [self.step.0.checked_sub(1), Some(self.step.0 + 1)].into_iter().flatten().map(StepId);
        let lines = lines.filter(|&line| steps.get(line).is_some_and(|beside| beside.kind == step.kind));
        let lines = lines.filter_map(|line| Some((Cause::Neighbour(line), values.value(steps[line].slot, self.row)?)));
        let count = values.count(self.exercise(), step.slot);
        let rows = [(false, self.row.checked_sub(1)), (true, Some(self.row + 1))];
        let rows = rows.into_iter().filter_map(move |(below, row)| {
            let row = row.filter(|row| *row < count)?;
            Some((Cause::Row { below }, follows(step, rule, values, row)))
        });
        lines.chain(rows)
    }

    /// The parts of a sum rounded before they were added.
    fn rounded<'s>(&'s self, rule: &'s Formula, values: &'s Measures) -> impl Iterator<Item = (Cause, f64)> + 's {
        let step = self.step();
        let unit = self.ruler.unit().length().nm();
        let is_sum =
            step.kind.list.is_none() && rule.uses().iter().any(|slot| self.exercise().scope.kind(*slot).list.is_some());
        let parts: &[i64] = if self.ruler.is_metric() { &[2, 1] } else { &[8, 4, 2] };
        let ticks = parts.iter().map(move |parts| Length::from_nm(unit / parts));
        let ticks = ticks.filter(move |tick| is_sum && *tick >= self.ruler.tick());
        ticks.flat_map(move |tick| {
            [true, false].into_iter().map(move |up| {
                let coarse = Coarse { values, exercise: self.exercise(), tick: tick.as_nm_f64(), up };
                (Cause::RoundedParts { tick, up }, follows(step, rule, &coarse, self.row))
            })
        })
    }

    /// Whether a choice was meant.
    pub fn is_choice(&self) -> bool {
        self.step().is_choice()
    }
}
