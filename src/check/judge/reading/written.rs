//! Readings in which answers were written otherwise than they were meant: in another unit, on another line, one for another.

use super::given::units;
use super::search::{Change, Search};
use crate::check::handed_in::Answers;
use crate::check::result::Cause;
use crate::exercise::{StepId, StepRule};
use crate::formula::Kind;
use crate::length::{Length, Ruler};

/// Answers are moved by a line only where so many come out right then.
const LINES: usize = 3;

/// In a sheet where nearly everything is wrong, something always fits.
const MOST_EXCHANGED: usize = 8;

impl Search<'_, '_> {
    fn change_answers(
        &mut self,
        (cause, likely): (Cause, u8),
        answers: &Answers,
        enough: usize,
        charged: Option<usize>,
        spares: &dyn Fn(StepId) -> bool,
    ) {
        let givens = self.givens;
        self.try_change(&Change { cause, likely, givens, answers, widths: None, enough, charged, spares });
    }

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
        let mut changed = self.answers.clone();
        for &(cell, unit) in &named {
            let ratio = own.length().as_nm_f64() / unit.length().as_nm_f64();
            changed.set(cell, self.answers.get(cell).map(|answer| libm::round(answer * ratio)));
        }
        let cause = Cause::Unit { wrote, meant: own };
        self.change_answers((cause, 5), &changed, named.len(), Some(first), &|_| false);
    }

    /// Every answer measured in one unit and handed in as another: nearly all that is wrong comes out right then, to
    /// what the other unit's ruler shows.
    pub fn other_unit(&mut self) {
        if self.wrong.len() < LINES {
            return;
        }
        let exercise = self.judge.exercise;
        for &(wrote, meant) in units(self.ruler) {
            let ratio = meant.length().as_nm_f64() / wrote.length().as_nm_f64();
            let shown = if meant.is_metric() { Ruler::MILLIMETRE } else { Ruler::EIGHTH }.tick().as_nm_f64();
            let (mut widths, mut changed) = (self.judge.widths.clone(), self.answers.clone());
            for (step, cell) in self.asked() {
                if self.is_length(step) {
                    widths[step] = widths[step].max(shown);
                    changed.set(cell, self.answers.get(cell).map(|answer| libm::round(answer * ratio)));
                }
            }
            let enough = (self.wrong.len() * 2).div_ceil(3).max(LINES);
            // A choice that happens to be one in either unit is no proof.
            let spares = |step: StepId| exercise.steps[step].is_choice();
            let givens = self.givens;
            self.try_change(&Change {
                cause: Cause::Unit { wrote, meant },
                likely: 4,
                givens,
                answers: &changed,
                widths: Some(&widths),
                enough,
                charged: None,
                spares: &spares,
            });
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
                let mut changed = self.answers.clone();
                for at in start..asked.len() {
                    // An answer one line too low belongs to the line above.
                    let from = if down { Some(at + 1) } else { at.checked_sub(1).filter(|from| *from >= start) };
                    let meant = from.and_then(|from| asked.get(from)).and_then(|(_, cell)| self.answers.get(*cell));
                    changed.set(asked[at].1, meant);
                }
                let cause = Cause::Shifted { from: asked[start].0, down };
                let moved = asked[start..].iter().map(|(step, _)| *step).collect::<Vec<_>>();
                let charged = Some(asked[start].1);
                self.change_answers((cause, 3), &changed, LINES, charged, &|step| moved.contains(&step));
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
            for &(other, _, there) in &cells[at + 1..] {
                let mut changed = self.answers.clone();
                changed.set(here, self.answers.get(there));
                changed.set(there, self.answers.get(here));
                let cause = Cause::Exchanged(one, other);
                // Who went on from the exchanged figures is right by them, and wrong without.
                let spares = |step: StepId| exercise.rests_on(step, &|used| used == one || used == other);
                self.change_answers((cause, 4), &changed, 2, Some(here), &spares);
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
            if followers.len() < 2 || exercise.steps[step].kind.list.is_some() {
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
                let mut changed = self.answers.clone();
                changed.set(cell, Some(meant.as_nm_f64()));
                let cause = Cause::Miswritten { step, row: 0, meant };
                self.change_answers((cause, 2), &changed, 2, Some(cell), &|at| at == step);
            }
        }
    }
}
