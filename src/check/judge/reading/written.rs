//! Readings in which answers were written otherwise than they were meant: in another unit, on another line, one for another.

use super::search::Tried;
use super::sheet::Search;
use crate::check::judge::follow_through::follows;
use crate::check::result::{Cause, Verdict};
use crate::exercise::{StepId, StepRule};
use crate::formula::Kind;
use crate::length::{Length, Ruler, Unit};

/// Answers are moved by a line only where so many come out right then.
const LINES: usize = 3;

/// In a sheet where nearly everything is wrong, something always fits.
const MOST_EXCHANGED: usize = 8;

impl Search<'_, '_> {
    /// The name of another unit written after a number that is right in the sheet's own: "19 cm" of 19 in.
    pub fn named_units(&mut self) {
        let own = self.ruler.unit();
        let named: Vec<_> = self
            .wrong
            .iter()
            .filter_map(|(.., cell)| Some((*cell, self.answers.unit(*cell)?)))
            .filter(|(_, unit)| unit.is_metric() != own.is_metric())
            .collect();
        let Some(&(first, wrote)) = named.first() else { return };
        let cause = Cause::Unit { wrote, meant: own };
        let (enough, charged) = (named.len(), Some(first));
        self.try_cause(&Tried { cause, likely: 5, enough, charged, spares: &|_| false });
    }

    /// Every answer measured in one unit and handed in as another: nearly all that is wrong comes out right then, to
    /// what the other unit's ruler shows.
    pub fn other_unit(&mut self) {
        if self.wrong.len() < LINES {
            return;
        }
        let exercise = self.judge.exercise;
        for &(wrote, meant) in units(self.ruler) {
            let enough = (self.wrong.len() * 2).div_ceil(3).max(LINES);
            // A choice that happens to be one in either unit is no proof.
            let spares = |step: StepId| exercise.steps[step].is_choice();
            let cause = Cause::Unit { wrote, meant };
            self.try_cause(&Tried { cause, likely: 4, enough, charged: None, spares: &spares });
        }
    }

    /// From some line on every answer stands one line too low, or too high.
    pub fn shifted(&mut self) {
        if self.wrong.len() < LINES {
            return;
        }
        let asked = self.asked();
        let is_wrong = |cell: usize| self.wrong.iter().any(|(.., wrong)| *wrong == cell);
        let Some(first) = asked.iter().position(|(_, cell)| is_wrong(*cell)) else { return };
        // The line that was left out may be empty, or the first that is wrong.
        let is_empty = |at: usize| self.answers.get(asked[at].1).is_none();
        let starts = [first.checked_sub(1).filter(|at| is_empty(*at)), Some(first)];
        for start in starts.into_iter().flatten() {
            for down in [true, false] {
                let (from, cell) = asked[start];
                let cause = Cause::Shifted { from, row: cell - self.answers.cell(from, 0), down };
                let moved = &asked[start..];
                let spares = |step: StepId| moved.iter().any(|(moved, _)| *moved == step);
                self.try_cause(&Tried { cause, likely: 3, enough: LINES, charged: Some(cell), spares: &spares });
            }
        }
    }

    /// Two answers in each other's place.
    pub fn exchanged(&mut self) {
        let exercise = self.judge.exercise;
        let is_length = |(step, ..): &&(StepId, usize, usize)| exercise.steps[*step].kind == Kind::LENGTH;
        let cells: Vec<_> = self.wrong.iter().filter(is_length).copied().collect();
        if cells.len() > MOST_EXCHANGED {
            return;
        }
        for (at, &(one, _, here)) in cells.iter().enumerate() {
            for &(other, ..) in &cells[at + 1..] {
                let cause = Cause::Exchanged(one, other);
                // Who went on from the exchanged figures is right by them, and wrong without.
                let spares = |step: StepId| exercise.rests_on(step, &|used| used == one || used == other);
                self.try_cause(&Tried { cause, likely: 4, enough: 2, charged: Some(here), spares: &spares });
            }
        }
    }

    /// An answer written otherwise than it was worked on with: two or more that follow from it agree on what it was.
    pub fn miswritten(&mut self) {
        let exercise = self.judge.exercise;
        let tick = self.ruler.tick().as_nm_f64();
        for (step, cell) in self.asked() {
            let rests = |other: StepId| exercise.steps[other].uses.contains(&step);
            let follow = |(other, ..): &&(StepId, usize, usize)| {
                rests(*other) && self.is_length(*other) && matches!(exercise.steps[*other].rule, StepRule::Value(_))
            };
            let followers: Vec<_> = self.wrong.iter().filter(follow).copied().collect();
            let (Some(written), true) = (self.answers.get(cell), self.is_length(step)) else { continue };
            // Of one that follows, what follows from that one has to say so, too.
            let enough = match followers[..] {
                [] => continue,
                [only] if !exercise.steps[step].is_choice() || !self.is_followed(only.0) || self.is_known(only) => {
                    continue;
                }
                [_] => 1,
                _ => 2,
            };
            if exercise.steps[step].kind.list.is_some() {
                continue;
            }
            let mut tried: Vec<Length> = Vec::new();
            for (other, row, of) in followers.into_iter().take(2) {
                let Some(answer) = self.answers.get(of) else { continue };
                let answers = self.answers;
                let with = |value: f64| {
                    let put = |at: StepId, row: usize| {
                        let known = answers.cell(at, row);
                        match () {
                            () if known == cell => Some(value),
                            () if at == other => None,
                            () => answers.get(known),
                        }
                    };
                    self.leads_to(self.givens, (other, row), &put)
                };
                let (Some(now), Some(more)) = (with(written), with(written + 4.0 * tick)) else { continue };
                let slope = (more - now) / (4.0 * tick);
                if slope.abs() < 1e-6 {
                    continue;
                }
                let solved = written + (answer - now) / slope;
                let Some(meant) = Length::from_nm_f64(libm::round(solved / tick) * tick) else { continue };
                let is_other = (meant.as_nm_f64() - written).abs() > tick / 2.0;
                if !is_other || meant.is_negative() || tried.contains(&meant) {
                    continue;
                }
                tried.push(meant);
                let cause = Cause::Miswritten { step, row: 0, meant };
                let spares = |at: StepId| at == step;
                self.try_cause(&Tried { cause, likely: 2, enough, charged: Some(cell), spares: &spares });
            }
        }
    }
}

impl Search<'_, '_> {
    /// Whether another answer was worked from the one that is written for a step.
    fn is_followed(&self, step: StepId) -> bool {
        let follow = self.judge.exercise.steps.iter_enumerated().filter(|(_, other)| other.uses.contains(&step));
        let mut cells = follow.flat_map(|(follow, _)| self.answers.cells(follow));
        cells.any(|cell| self.before.judged[cell].verdict == Verdict::RightFromOwn)
    }

    /// Whether a slip of its own step, or a change of its rule, leads to an answer.
    fn is_known(&self, (step, row, cell): (StepId, usize, usize)) -> bool {
        let exercise = self.judge.exercise;
        let own = &self.before.own;
        let slips = exercise.slips.iter().filter(|slip| slip.step == step).map(|slip| &slip.used);
        let changes = self.changes.of(step).iter().map(|changed| &changed.formula);
        let half = self.ruler.tick().as_nm_f64() / 2.0;
        slips.chain(changes).any(|formula| {
            let value = follows(&exercise.steps[step], formula, own, row);
            value.zip(self.answers.get(cell)).is_some_and(|(value, answer)| (value - answer).abs() <= half)
        })
    }
}

/// The units that get mixed up on sheets of a ruler's system: what a number was handed in as, and measured in.
fn units(ruler: Ruler) -> &'static [(Unit, Unit)] {
    if ruler.is_metric() {
        &[(Unit::Centimetre, Unit::Millimetre), (Unit::Millimetre, Unit::Centimetre), (Unit::Centimetre, Unit::Inch)]
    } else {
        &[(Unit::Inch, Unit::Centimetre), (Unit::Inch, Unit::Millimetre)]
    }
}
