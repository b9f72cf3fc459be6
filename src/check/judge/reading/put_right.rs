//! A sheet as it would be without the one mistake that is tried.

use super::sheet::{LINES, Search};
use crate::check::result::{Cause, Verdict};
use crate::exercise::{GivenKind, StepId};
use crate::formula::{Slot, TableId, Values};
use crate::length::{Ruler, Unit};
use typed_index_collections::TiVec;

/// Puts one mistake right in the room; how far answers may be off then, where that is further than usual. Nothing, if it
/// is none that a whole sheet can have.
pub(super) fn put_right(search: &mut Search, cause: &Cause) -> Option<Option<TiVec<StepId, f64>>> {
    match *cause {
        Cause::Misread { given, row, read_as } => search.room.givens.set(given, row, read_as.as_nm_f64()),
        Cause::OtherRow { table, row, taken } => {
            for slot in search.columns(table) {
                if let Some(value) = search.givens.value(slot, taken) {
                    search.room.givens.set(slot, row, value);
                }
            }
        }
        Cause::Example => {
            let (_, example) = search.room.example.as_ref()?;
            search.room.givens.copy(&example.as_ref()?.givens);
        }
        Cause::Unit { wrote, meant } if meant == search.ruler.unit() => search.in_own_unit(wrote, meant),
        Cause::Unit { wrote, meant } => return Some(Some(search.in_other_unit(wrote, meant))),
        Cause::Shifted { from, row, down } => search.moved_back(search.answers.cell(from, row), down),
        Cause::Exchanged(one, other) => {
            let [here, there] = [one, other].map(|step| search.answers.cell(step, 0));
            search.room.answers.set(here, search.answers.get(there));
            search.room.answers.set(there, search.answers.get(here));
        }
        Cause::Miswritten { step, row, meant } => {
            search.room.answers.set(search.answers.cell(step, row), Some(meant.as_nm_f64()));
        }
        Cause::AtOdds { choice, meant } => {
            search.room.answers.set(search.answers.cell(choice, 0), Some(meant.as_nm_f64()));
        }
        Cause::Slip(_)
        | Cause::Earlier(_)
        | Cause::Counted { .. }
        | Cause::Halved
        | Cause::Doubled
        | Cause::Fraction
        | Cause::Neighbour(_)
        | Cause::Row { .. }
        | Cause::RoundedParts { .. }
        | Cause::Changed { .. }
        | Cause::Pen(_) => return None,
    }
    Some(None)
}

impl Search<'_, '_> {
    /// Answers that name another unit, read in the sheet's own: all of them, or those that are wrong.
    fn in_own_unit(&mut self, wrote: Unit, meant: Unit) {
        let cells: Vec<usize> = if self.is_named_throughout() {
            self.asked().into_iter().filter(|(step, _)| self.is_length(*step)).map(|(_, cell)| cell).collect()
        } else {
            self.wrong.iter().map(|(.., cell)| *cell).collect()
        };
        for cell in cells {
            let Some(unit) = self.answers.unit(cell).filter(|unit| unit.is_metric() == wrote.is_metric()) else {
                continue;
            };
            let ratio = meant.length().as_nm_f64() / unit.length().as_nm_f64();
            self.room.answers.set(cell, self.answers.get(cell).map(|answer| libm::round(answer * ratio)));
        }
    }

    /// Whether several wrong answers name a unit of the other system and none that does is what it should be: then they were
    /// hardly measured in it.
    pub(super) fn is_named_throughout(&self) -> bool {
        let is_other =
            |cell: usize| self.answers.unit(cell).is_some_and(|unit| unit.is_metric() != self.ruler.is_metric());
        let is_right = |&(step, cell): &(StepId, usize)| {
            !self.judge.exercise.steps[step].is_choice() && self.before.judged[cell].verdict == Verdict::Right
        };
        self.wrong.iter().filter(|(.., cell)| is_other(*cell)).count() >= LINES
            && !self.asked().into_iter().filter(|(_, cell)| is_other(*cell)).any(|asked| is_right(&asked))
    }

    /// Every answer read in another unit, to what that unit's ruler shows.
    fn in_other_unit(&mut self, wrote: Unit, meant: Unit) -> TiVec<StepId, f64> {
        let ratio = meant.length().as_nm_f64() / wrote.length().as_nm_f64();
        let shown = if meant.is_metric() { Ruler::MILLIMETRE } else { Ruler::EIGHTH }.tick().as_nm_f64();
        let mut widths = self.judge.widths.clone();
        for (step, cell) in self.asked() {
            if self.is_length(step) {
                widths[step] = widths[step].max(shown);
                self.room.answers.set(cell, self.answers.get(cell).map(|answer| libm::round(answer * ratio)));
            }
        }
        widths
    }

    /// Every answer from a cell on, on the line before its own, or after.
    fn moved_back(&mut self, start: usize, down: bool) {
        let asked = self.asked();
        let Some(start) = asked.iter().position(|(_, cell)| *cell == start) else { return };
        for at in start..asked.len() {
            // An answer one line too low belongs to the line above.
            let from = if down { Some(at + 1) } else { at.checked_sub(1).filter(|from| *from >= start) };
            let meant = from.and_then(|from| asked.get(from)).and_then(|(_, cell)| self.answers.get(*cell));
            self.room.answers.set(asked[at].1, meant);
        }
    }

    /// Where the columns of a table lie.
    fn columns(&self, table: TableId) -> Vec<Slot> {
        let kinds = self.judge.exercise.givens.iter().filter_map(|given| match &given.kind {
            GivenKind::Table { table: its, columns, .. } if *its == table => Some(columns),
            GivenKind::Table { .. }
            | GivenKind::Length { .. }
            | GivenKind::Number { .. }
            | GivenKind::Choice { .. } => None,
        });
        kinds.flatten().map(|column| column.slot).collect()
    }
}
