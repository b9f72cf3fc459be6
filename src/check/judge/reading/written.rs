//! Readings in which answers were written otherwise than they were meant: in another unit, on another line, one for another.

use super::search::Tried;
use super::sheet::{LINES, Search};
use crate::check::judge::follow_through::follows;
use crate::check::result::{Cause, Verdict};
use crate::exercise::{OnSheet, StepId};
use crate::formula::{Base, Kind};
use crate::length::{Length, Ruler, Unit};

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
        if self.is_named_throughout() {
            let spares = |step: StepId| self.judge.exercise.steps[step].is_choice();
            self.try_cause(&Tried {
                cause,
                likely: 5,
                enough: most_of(named.len()),
                charged: Some(first),
                spares: &spares,
            });
        } else {
            let (enough, charged) = (named.len(), Some(first));
            self.try_cause(&Tried { cause, likely: 5, enough, charged, spares: &|_| false });
        }
    }

    /// Every answer measured in one unit and handed in as another: nearly all that is wrong comes out right then, to
    /// what the other unit's ruler shows.
    pub fn other_unit(&mut self) {
        if self.wrong.len() < LINES {
            return;
        }
        let exercise = self.judge.exercise;
        for &(wrote, meant) in units(self.ruler) {
            if !self.is_scaled(meant.length().as_nm_f64() / wrote.length().as_nm_f64()) {
                continue;
            }
            let enough = most_of(self.wrong.len()).max(LINES);
            // A choice that happens to be one in either unit is no proof.
            let spares = |step: StepId| exercise.steps[step].is_choice();
            let cause = Cause::Unit { wrote, meant };
            self.try_cause(&Tried { cause, likely: 4, enough, charged: None, spares: &spares });
        }
    }

    /// Whether a good part of the wrong answers, so many times as large, come near what they should be: that what was chosen
    /// is in another unit, too, spoils some.
    fn is_scaled(&self, ratio: f64) -> bool {
        let is_near = |cell: usize| {
            let (answer, judged) = (self.answers.get(cell), self.before.judged[cell]);
            answer.zip(judged.expected).is_some_and(|(answer, right)| (answer * ratio / right - 1.0).abs() < 0.1)
        };
        self.wrong.iter().filter(|(.., cell)| is_near(*cell)).count() * 4 >= self.wrong.len()
    }

    /// From some line on every answer stands one line too low, or too high.
    pub fn shifted(&mut self) {
        if self.wrong.len() < LINES {
            return;
        }
        let asked = self.asked();
        let on_sheet = |(.., wrong): &(StepId, usize, usize)| asked.iter().position(|(_, cell)| cell == wrong);
        let Some(first) = self.wrong.iter().find_map(on_sheet) else { return };
        // The line that was left out may be empty, or the first that is wrong, or a choice that happens to be possible; what
        // rests on it can't be judged.
        let exercise = self.judge.exercise;
        let tells_nothing = |at: &usize| {
            let (step, cell) = asked[*at];
            exercise.steps[step].is_choice() || !matches!(self.before.judged[cell].verdict, Verdict::Right)
        };
        let before: Vec<usize> = (0..first).rev().take_while(tells_nothing).take(LINES).collect();
        let is_empty = |at: &usize| self.answers.get(asked[*at].1).is_none();
        let (empty, others): (Vec<usize>, Vec<usize>) = before.into_iter().partition(is_empty);
        for start in empty.into_iter().chain([first]).chain(others) {
            for down in [true, false] {
                if !self.is_moved(&asked[start..], down) {
                    continue;
                }
                let (from, cell) = asked[start];
                let cause = Cause::Shifted { from, row: cell - self.answers.cell(from, 0), down };
                let spares = |step: StepId| step >= from;
                self.try_cause(&Tried { cause, likely: 3, enough: LINES, charged: Some(cell), spares: &spares });
            }
        }
    }

    /// Whether some answers are what belongs on the line beside them.
    fn is_moved(&self, asked: &[(StepId, usize)], down: bool) -> bool {
        let is_on = |line: &&[(StepId, usize)]| {
            let [above, below] = line else { return false };
            let (from, to) = if down { (below, above) } else { (above, below) };
            let (answer, right) = (self.answers.get(from.1), self.before.judged[to.1].expected);
            answer.zip(right).is_some_and(|(answer, right)| (answer - right).abs() <= self.judge.widths[to.0])
        };
        asked.windows(2).filter(is_on).take(2).count() == 2
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
            for &(other, _, there) in &cells[at + 1..] {
                // Where one rests on the other, what it should be is spoilt by the exchange.
                let belongs = |from: usize, to: usize, step: StepId, beside: StepId| {
                    let right = self.before.judged[to].expected;
                    let is_near = |(answer, right): (f64, f64)| (answer - right).abs() <= self.judge.widths[step];
                    exercise.steps[step].is_choice()
                        || exercise.rests_on(step, &|used| used == beside)
                        || self.answers.get(from).zip(right).is_some_and(is_near)
                };
                if !belongs(there, here, one, other) || !belongs(here, there, other, one) {
                    continue;
                }
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
        let mut known: Vec<StepId> = Vec::new();
        for at in 0..self.wrong.len() {
            if at > 0 && self.wrong[at - 1].0 == self.wrong[at].0 {
                continue;
            }
            for &step in &exercise.steps[self.wrong[at].0].uses {
                let is_one =
                    exercise.steps[step].on_sheet == OnSheet::Asked && exercise.steps[step].kind == Kind::LENGTH;
                if is_one && !known.contains(&step) {
                    known.push(step);
                    self.miswritten_in(step);
                }
            }
        }
    }

    fn miswritten_in(&mut self, step: StepId) {
        let exercise = self.judge.exercise;
        let cell = self.answers.cell(step, 0);
        let Some(written) = self.answers.get(cell) else { return };
        let follow = |(other, ..): &&(StepId, usize, usize)| {
            let other = &exercise.steps[*other];
            other.uses.contains(&step) && other.kind.base == Base::Length && !other.is_choice()
        };
        let mut followers = self.wrong.iter().filter(follow).copied();
        let Some(first) = followers.next() else { return };
        let second = followers.next();
        let is_alone = second.is_none();
        let is_choice = exercise.steps[step].is_choice();
        if is_alone && is_choice && self.is_known(first) {
            return;
        }
        // Of a choice within its limits and the only answer that follows from it, either may be wrong.
        let is_at_odds = is_alone && is_choice && self.before.judged[cell].verdict.earns();
        let mut tried: Option<Length> = None;
        for follower in std::iter::once(first).chain(second) {
            let Some(meant) = self.meant((step, written), follower).filter(|meant| tried != Some(*meant)) else {
                continue;
            };
            tried = Some(meant);
            // A worked answer was written otherwise if what follows from it fits what it should have been.
            let right = self.before.judged[cell].own.or(self.before.judged[cell].expected);
            let is_right = right.is_some_and(|right| (meant.as_nm_f64() - right).abs() <= self.judge.widths[step]);
            if is_alone && !is_choice && !is_right {
                continue;
            }
            let (cause, charged) = match is_at_odds {
                true => (Cause::AtOdds { choice: step, meant }, first.2),
                false => (Cause::Miswritten { step, row: 0, meant }, cell),
            };
            let spares = |at: StepId| at == step;
            let enough = if is_alone && is_choice { 1 } else { 2 };
            self.try_cause(&Tried { cause, likely: 2, enough, charged: Some(charged), spares: &spares });
        }
    }

    /// What an answer would have to be for another that follows from it to come out right, to the tick; nothing, where it is
    /// that already.
    fn meant(&mut self, (step, written): (StepId, f64), (other, row, of): (StepId, usize, usize)) -> Option<Length> {
        let tick = self.ruler.tick().as_nm_f64();
        let answer = self.answers.get(of)?;
        let mut with = |value: f64| self.follows_from((step, value), (other, row));
        let (now, more) = (with(written)?, with(written + 4.0 * tick)?);
        let slope = (more - now) / (4.0 * tick);
        let solved = written + (answer - now) / slope;
        let meant = Length::from_nm_f64(libm::round(solved / tick) * tick).filter(|_| slope.abs() > 1e-6)?;
        let is_other = (meant.as_nm_f64() - written).abs() > tick / 2.0;
        (is_other && !meant.is_negative()).then_some(meant)
    }
}

impl Search<'_, '_> {
    /// Whether another answer was worked from the one that is written for a step.
    fn is_followed(&self, step: StepId) -> bool {
        let follow = self.judge.exercise.steps.iter_enumerated().filter(|(_, other)| other.uses.contains(&step));
        let mut cells = follow.flat_map(|(follow, _)| self.answers.cells(follow));
        cells.any(|cell| self.before.judged[cell].verdict == Verdict::RightFromOwn)
    }

    /// Whether a slip of its own step, or what anyone does every day, leads to an answer.
    fn is_known(&self, (step, row, cell): (StepId, usize, usize)) -> bool {
        let exercise = self.judge.exercise;
        let Some(answer) = self.answers.get(cell) else { return false };
        let slips = exercise.slips.iter().filter(|slip| slip.step == step).map(|slip| &slip.used);
        // Who went on with an answer worked it out so.
        let is_followed = self.is_followed(step);
        let changes = exercise.changes(step).iter().filter(|changed| is_followed || changed.change.is_common());
        let changes = changes.map(|changed| &changed.formula);
        let values = slips.chain(changes);
        let values = values.filter_map(|formula| follows(&exercise.steps[step], formula, &self.before.own, row));
        let unit = self.ruler.unit().length().as_nm_f64();
        let right = self.before.judged[cell].own;
        let spoilt = right.into_iter().flat_map(|right| {
            let units = units(self.ruler)
                .iter()
                .map(move |(wrote, meant)| right * wrote.length().as_nm_f64() / meant.length().as_nm_f64());
            [right / 2.0, right * 2.0, right - unit, right + unit].into_iter().chain(units)
        });
        let half = self.ruler.tick().as_nm_f64() / 2.0;
        values.chain(spoilt).any(|value| (value - answer).abs() <= half)
    }
}

/// Two in three.
fn most_of(many: usize) -> usize {
    (many * 2).div_ceil(3)
}

/// The units that get mixed up on sheets of a ruler's system: what a number was handed in as, and measured in.
fn units(ruler: Ruler) -> &'static [(Unit, Unit)] {
    if ruler.is_metric() {
        &[(Unit::Centimetre, Unit::Millimetre), (Unit::Millimetre, Unit::Centimetre), (Unit::Centimetre, Unit::Inch)]
    } else {
        &[(Unit::Inch, Unit::Centimetre), (Unit::Inch, Unit::Millimetre)]
    }
}
