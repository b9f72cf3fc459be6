//! What a student may have worked out instead: for one answer, every known mistake with the value it leads to.

use super::digits::slips_of_the_pen;
use crate::check::judge::{Judge, follows};
use crate::check::result::{Cause, Explanation};
use crate::draft::Measures;
use crate::exercise::{Exercise, Given, GivenKind, Step, StepId, StepRule};
use crate::formula::{Base, Formula, Slot, TableId, Values};
use crate::length::{Length, Ruler, Unit};
use std::cmp::Reverse;

/// What may have gone wrong, and the value that it leads to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Candidate {
    pub explanation: Explanation,
    pub value: f64,
}

impl Candidate {
    fn single((cause, value): (Cause, f64)) -> Candidate {
        Candidate { explanation: Explanation { cause, and: None }, value }
    }

    fn pair(cause: Cause, (and, value): (Cause, f64)) -> Candidate {
        Candidate { explanation: Explanation { cause, and: Some(and) }, value }
    }
}

/// The givens that an exercise uses as seam allowances, that of the most edges first.
pub(in crate::check) fn allowances(exercise: &Exercise) -> Vec<Slot> {
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
fn units(ruler: Ruler) -> &'static [(Unit, Unit)] {
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
    fn slips<'s>(&'s self, values: &'s Measures) -> impl Iterator<Item = (Cause, &'e Formula)> + 's {
        let slips = self.exercise().slips.iter_enumerated().filter(|(_, slip)| slip.step == self.step);
        let can_be = slips.filter(|(_, slip)| slip.when.as_ref().is_none_or(|when| when.holds(values)));
        can_be.map(|(index, slip)| (Cause::Slip(index), &slip.used))
    }

    /// What a formula leads to in this answer's row.
    fn leads_to(&self, formula: &Formula, values: &impl Values) -> Option<f64> {
        follows(self.step(), formula, values, self.row)
    }

    /// The rule, where a mistake in working it can be recognised: a choice has none, and of a number, which is no
    /// measurement, too much would fit.
    fn rule(&self) -> Option<&'e Formula> {
        match &self.step().rule {
            StepRule::Value(rule) if self.step().kind.base == Base::Length => Some(rule),
            StepRule::Value(_) | StepRule::Within { .. } => None,
        }
    }

    /// How much there is to work out to find every mistake and every pair: parts of formulas, and as much for each candidate.
    pub fn weight(&self) -> u64 {
        let rows = |table| self.exercise().scope.rows(table) as u64;
        let cost = |formula: &Formula| formula.cost_of_row(&rows);
        let slips = self.exercise().slips.iter().filter(|slip| slip.step == self.step);
        let changed: u64 = match self.rule() {
            Some(rule) => {
                cost(rule) + self.exercise().changes(self.step).iter().map(|it| cost(&it.formula)).sum::<u64>()
            }
            None => 0,
        };
        // Each allowance is counted otherwise in the rule, and in what a slip leads to.
        slips.map(|slip| cost(&slip.used)).sum::<u64>() * (3 + self.allowances.len() as u64)
            + changed * (2 + self.allowances.len() as u64)
    }

    /// Every single mistake.
    pub fn singles(&self, values: &Measures) -> Vec<Candidate> {
        let slips = self.slips(values).filter_map(|(slip, used)| Some((slip, self.leads_to(used, values)?)));
        let mut found: Vec<Candidate> = slips.map(Candidate::single).collect();
        let Some(rule) = self.rule() else { return found };
        let right = self.leads_to(rule, values);
        found.extend(self.counted(rule, values).map(Candidate::single));
        found.extend(right.into_iter().flat_map(|right| self.changed(right)).map(Candidate::single));
        let pen = right.into_iter().flat_map(|right| slips_of_the_pen(right, self.ruler));
        found.extend(pen.map(|(pen, value)| Candidate::single((Cause::Pen(pen), value))));
        found.extend(self.beside(rule, values).map(Candidate::single));
        found.extend(self.rounded(rule, values).map(Candidate::single));
        found.extend(self.changed_rule(values).map(Candidate::single));
        found
    }

    /// Every pair of mistakes within this one answer.
    pub fn pairs(&self, values: &Measures) -> Vec<Candidate> {
        let mut found = Vec::new();
        let Some(rule) = self.rule() else { return found };
        let is_miscounted = |(cause, _): &(Cause, f64)| !matches!(cause, Cause::Counted { belongs: 0, .. });
        for (slip, used) in self.slips(values) {
            let counted = self.counted(used, values).filter(is_miscounted);
            found.extend(counted.map(|and| Candidate::pair(slip, and)));
            let changed = self.leads_to(used, values).into_iter().flat_map(|value| self.changed(value));
            found.extend(changed.map(|and| Candidate::pair(slip, and)));
        }
        for (cause, value) in self.counted(rule, values).filter(is_miscounted) {
            found.extend(self.changed(value).map(|and| Candidate::pair(cause, and)));
        }
        found
    }

    /// An allowance counted more or less often than it belongs.
    fn counted<'s>(&'s self, formula: &'s Formula, values: &'s Measures) -> impl Iterator<Item = (Cause, f64)> + 's {
        let right = self.leads_to(formula, values);
        let is_in = |given: &Given, at: Slot| matches!(given.kind, GivenKind::Length { slot, .. } if slot == at);
        let is_given =
            move |slot: Slot| self.exercise().givens.iter().any(|given| is_in(given, slot) && given.is_needed(values));
        let allowances = self.allowances.iter().filter(move |slot| is_given(**slot));
        let allowances = allowances.filter_map(|&given| Some((given, values.value(given, 0)?)));
        let all = right.into_iter().flat_map(move |right| allowances.clone().map(move |known| (right, known)));
        all.flat_map(move |(right, (given, allowance))| {
            let twice = self.leads_to(formula, &With { values, slot: given, value: allowance * 2.0 });
            let belongs = twice.and_then(|twice| times_in(twice - right, allowance)).unwrap_or(-1);
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

    /// The rule with one change.
    fn changed_rule<'s>(&'s self, values: &'s Measures) -> impl Iterator<Item = (Cause, f64)> + 's {
        let step = self.step;
        let changes = self.exercise().changes(step).iter().enumerate();
        changes.filter_map(move |(at, changed)| {
            let value = self.leads_to(&changed.formula, values).filter(|value| *value > 0.0)?;
            Some((Cause::Changed { step, at }, value))
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
            Some((Cause::Row { below }, follows(step, rule, values, row)?))
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
            [true, false].into_iter().filter_map(move |up| {
                let coarse = Coarse { values, exercise: self.exercise(), tick: tick.as_nm_f64(), up };
                Some((Cause::RoundedParts { tick, up }, self.leads_to(rule, &coarse)?))
            })
        })
    }
}

/// How many times an allowance is in a length, if it is a whole number of times.
fn times_in(length: f64, allowance: f64) -> Option<i32> {
    let times = libm::round(length / allowance);
    let is_whole = allowance > 0.0 && (length - times * allowance).abs() < 2.0;
    (is_whole && (0.0..=8.0).contains(&times)).then_some(times as i32)
}
