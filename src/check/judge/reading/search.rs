//! Readings of a sheet tried one after another, and the one that accounts for most.

use super::put_right::put_right;
use super::sheet::{Found, Room, Search};
use crate::check::judge::follow_through::{Judge, Judged};
use crate::check::result::{Cause, Verdict};
use crate::exercise::StepId;
use crate::length::Ruler;
use std::cmp::Reverse;

/// What accounts for several answers at once.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::check) struct Reading {
    /// The cause; of two that fit equally well both.
    pub causes: Vec<Cause>,
    /// The answer that is charged with it.
    pub charged: usize,
    /// How many wrong answers it accounts for.
    pub accounts: usize,
}

impl Reading {
    /// Whether answers were only written otherwise than they were meant.
    pub fn is_of_writing(&self) -> bool {
        matches!(self.causes[..], [only] if only.is_of_writing())
    }
}

/// A cause to be tried.
pub(super) struct Tried<'c> {
    pub cause: Cause,
    /// How likely it is, beside others that account for as much.
    pub likely: u8,
    /// How many wrong answers have to come out right for it to be believed.
    pub enough: usize,
    /// Which answer is charged with it; the first that comes out right, where none is named.
    pub charged: Option<usize>,
    /// Answers that may come out wrong, though they were right.
    pub spares: &'c dyn Fn(StepId) -> bool,
}

impl Search<'_, '_> {
    /// Tries a cause. It fits, if it puts enough right, and more than it leaves wrong, and spoils nothing that was right
    /// to the half tick.
    pub fn try_cause(&mut self, change: &Tried) {
        if !self.may_work() || self.read_by(&change.cause).is_none() {
            return;
        }
        let (before, after) = (&self.before.judged, &self.room.worked.judged);
        let earns = |judged: &[Judged], cell: usize| judged[cell].verdict.earns();
        let put_right: Vec<usize> =
            self.wrong.iter().map(|(.., cell)| *cell).filter(|cell| earns(after, *cell)).collect();
        let gain = put_right.len();
        if gain < change.enough.max(1) || gain < self.wrong.len() - gain {
            return;
        }
        let half = self.ruler.tick().as_nm_f64() / 2.0 + 1.0;
        let is_spoiled = |step: StepId, cell: usize| {
            if !earns(before, cell) || earns(after, cell) || (change.spares)(step) {
                return false;
            }
            let (Some(answer), judged) = (self.answers.get(cell), before[cell]) else { return true };
            let is_close = |right: Option<f64>| right.is_some_and(|right| (answer - right).abs() <= half);
            self.judge.exercise.steps[step].is_choice() || is_close(judged.expected) || is_close(judged.own)
        };
        if self.asked().iter().any(|(step, cell)| is_spoiled(*step, *cell)) {
            return;
        }
        let off = |cell: usize| {
            let answer = self.room.answers.get(cell);
            answer.zip(after[cell].own).map_or(0.0, |(answer, own)| (answer - own).abs())
        };
        self.found.push(Found {
            cause: change.cause,
            or: None,
            charged: change.charged.unwrap_or(put_right[0]),
            gain,
            likely: change.likely,
            off: put_right.iter().map(|cell| off(*cell)).sum(),
            is_near: put_right.iter().all(|cell| off(*cell) <= half),
            round: roundness(&change.cause, self.ruler),
        });
    }

    /// Judges the sheet as it would be without a mistake; nothing, if it can't be worked then.
    fn read_by(&mut self, cause: &Cause) -> Option<()> {
        self.room.givens.copy(self.givens);
        self.room.answers.copy(self.answers);
        let widths = put_right(self, cause)?;
        let Room { givens, answers, worked, .. } = &mut *self.room;
        match widths {
            None => self.judge.judge(givens, answers, worked, None).ok(),
            Some(widths) => Judge { exercise: self.judge.exercise, widths }.judge(givens, answers, worked, None).ok(),
        }
    }

    /// The reading that accounts for most; of two that account for as much and fit as well, both. Of more none: then
    /// nobody can tell.
    pub fn best(&mut self) -> Option<Found> {
        let rank = |found: &Found| (found.gain, found.likely);
        let best = self.found.iter().map(rank).max()?;
        self.found.retain(|found| rank(found) == best);
        // The first tried stays first where they are as near; of numbers that fit to the tick the roundest is the likeliest.
        let key = |found: &Found| (!found.is_near, Reverse(found.round));
        self.found.sort_by(|one, other| key(one).cmp(&key(other)).then(one.off.total_cmp(&other.off)));
        let half = self.ruler.tick().as_nm_f64() / 2.0;
        let mut found = std::mem::take(&mut self.found).into_iter();
        let mut first = found.next()?;
        let same: Vec<Cause> = found
            .filter(|other| other.off <= first.off + half && !is_same(&other.cause, &first.cause))
            .map(|other| other.cause)
            .collect();
        match same[..] {
            [] => Some(first),
            [only] => {
                first.or = Some(only);
                Some(first)
            }
            _ => None,
        }
    }
}

/// How often the number that a cause takes something for can be halved, in ticks; of millimetres how near it is to a whole
/// centimetre.
fn roundness(cause: &Cause, ruler: Ruler) -> u32 {
    let Cause::Misread { read_as, .. } = *cause else { return 0 };
    let ticks = read_as.nm() / ruler.tick().nm();
    match (ruler.is_metric(), ticks) {
        (_, ..=0) => 0,
        (true, ticks) if ticks % 10 == 0 => 2,
        (true, ticks) => u32::from(ticks % 5 == 0),
        (false, ticks) => ticks.trailing_zeros(),
    }
}

/// Whether two causes say the same of the same thing, but for the value.
fn is_same(one: &Cause, other: &Cause) -> bool {
    match (one, other) {
        (Cause::Misread { given, row, .. }, Cause::Misread { given: also, row: too, .. }) => {
            given == also && row == too
        }
        (Cause::Miswritten { step, row, .. }, Cause::Miswritten { step: also, row: too, .. }) => {
            step == also && row == too
        }
        (Cause::AtOdds { choice, .. }, Cause::AtOdds { choice: also, .. }) => choice == also,
        (Cause::Shifted { down, .. }, Cause::Shifted { down: also, .. }) => down == also,
        _ => one == other,
    }
}

impl Search<'_, '_> {
    /// Judges the sheet by the reading that accounts for most: what agrees with the true figures stays right, what comes
    /// out by the reading is right from the student's own, and the answer that is charged stays as it was found. What is worked
    /// by the reading is left in the room.
    pub fn judged(&mut self) -> Option<(Reading, Vec<Judged>)> {
        let found = self.best()?;
        self.read_by(&found.cause)?;
        let mut judged = self.before.judged.clone();
        let is_of_writing = found.or.is_none() && found.cause.is_of_writing();
        let mut accounts = 0;
        for (cell, (judged, read)) in judged.iter_mut().zip(&self.room.worked.judged).enumerate() {
            let is_answered = self.answers.get(cell).is_some();
            let is_explained = is_answered && judged.verdict != Verdict::Right && read.verdict.earns();
            accounts += usize::from(is_explained);
            if is_of_writing {
                // What was chosen is what was meant.
                (judged.expected, judged.own) = (read.expected, read.own);
            }
            if cell == found.charged {
                continue;
            }
            if is_of_writing && judged.is_impossible {
                *judged = *read;
                if judged.verdict == Verdict::Right {
                    judged.verdict = Verdict::RightFromOwn;
                }
            }
            // Where one wrong answer was written otherwise than it was meant, the others are held against what was meant.
            let is_charged = self.before.judged[found.charged].verdict.is_wrong();
            let is_as_it_stands = matches!(found.cause, Cause::Miswritten { .. }) && is_of_writing && is_charged;
            if is_as_it_stands && read.verdict == Verdict::Right && is_answered {
                judged.verdict = Verdict::Right;
            }
            // A choice within its limits stays right, whatever was meant.
            if judged.verdict.is_wrong() {
                if is_explained {
                    judged.verdict = Verdict::RightFromOwn;
                } else if read.verdict == Verdict::Missing {
                    // Its own answer is what fell off the sheet.
                    judged.verdict = Verdict::Missing;
                }
                judged.own = read.own;
            }
        }
        if let Cause::AtOdds { .. } = found.cause {
            judged[found.charged].verdict = Verdict::CantBeJudged;
        }
        let causes = std::iter::once(found.cause).chain(found.or).collect();
        Some((Reading { causes, charged: found.charged, accounts }, judged))
    }
}
