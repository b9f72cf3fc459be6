//! A set of problems: each one possible, no two alike.

use super::choose::{Chooser, Counter, Dice};
use super::space::Space;
use crate::draft::{Draft, Givens, Measures, broken_limit, range, work};
use crate::exercise::{Exercise, GivenKind, StepRule};
use crate::formula::{Base, Values};
use crate::length::{Ruler, Tolerance};
use std::collections::BTreeSet;
use std::fmt;

/// The most sheets that are made in one set.
pub const MOST_SHEETS: usize = 10_000;

/// So many draws in a row without a new problem, and the possibilities are counted instead.
const PATIENCE: usize = 20_000;

/// So many possibilities are counted at the most.
const MOST_COUNTED: usize = 2_000_000;

/// Why a set can't be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PracticeFault {
    /// No sheets, or too many, were asked for.
    Count(usize),
    /// None of the values for a given falls on the ruler.
    NothingOnRuler {
        /// The given's title.
        given: String,
        /// The ruler.
        ruler: Ruler,
    },
    /// Fewer different problems exist than were asked for.
    TooFew {
        /// How many there are.
        exist: usize,
        /// Whether all possibilities were looked at; otherwise that many were found.
        counted: bool,
        /// How many were asked for.
        asked: usize,
    },
}

impl fmt::Display for PracticeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PracticeFault::Count(0) => f.write_str("a set needs at least one sheet"),
            PracticeFault::Count(asked) => {
                write!(f, "{asked} sheets are more than one set holds; ask for at most {MOST_SHEETS}")
            }
            PracticeFault::NothingOnRuler { given, ruler } => {
                write!(
                    f,
                    "{given}: the exercise has no practice value that falls on a ruler of {ruler}; choose a finer ruler"
                )
            }
            PracticeFault::TooFew { exist, counted: true, asked } => {
                write!(f, "{asked} different sheets were asked for, but only {exist} exist; nothing was written")
            }
            PracticeFault::TooFew { exist, asked, .. } => write!(
                f,
                "{asked} different sheets were asked for, but only {exist} were found in {MOST_COUNTED} tries; nothing was written"
            ),
        }
    }
}

impl std::error::Error for PracticeFault {}

/// One problem of a set.
#[derive(Debug, Clone)]
pub struct Problem<'e> {
    /// Counted from 1.
    pub number: usize,
    /// The draft with everything worked out, choices as suggested: the key.
    pub draft: Draft<'e>,
}

/// Makes a set. The same exercise, ruler, count and seed give the same set on every machine.
///
/// ```
/// use foldmark::{exercise::Shelf, length::Ruler, practice::set};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let problems = set(roll, Ruler::EIGHTH, 3, 7).unwrap();
/// assert_eq!(problems.len(), 3);
/// ```
///
/// # Errors
/// If no set of this size can be made; nothing is made then.
pub fn set<'e>(
    exercise: &'e Exercise,
    ruler: Ruler,
    count: usize,
    seed: u64,
) -> Result<Vec<Problem<'e>>, PracticeFault> {
    if count == 0 || count > MOST_SHEETS {
        return Err(PracticeFault::Count(count));
    }
    let space = Space::new(exercise, ruler)?;
    let purpose = format!("{} {}", exercise.name, exercise.version);
    let mut dice = Dice::new(seed, &purpose);
    let mut found = Found { exercise, ruler, seen: BTreeSet::new(), all: Vec::new() };
    let mut in_vain = 0;
    while found.all.len() < count && in_vain < PATIENCE {
        in_vain = if found.take(space.draw(&mut dice)) { 0 } else { in_vain + 1 };
    }
    if found.all.len() < count {
        found.all_there_are(&space, count)?;
        // Which of them are taken is left to chance, as it is above.
        shuffle(&mut found.all, &mut dice);
        found.all.truncate(count);
    }
    let name = |(index, measures): (usize, Measures)| {
        let mut names = Dice::new(seed, &format!("{purpose} names {index}"));
        let row_names = row_names(exercise, &measures, &mut names);
        let givens = Givens { ruler, row_names, measures: measures.clone() };
        Problem { number: index + 1, draft: Draft { exercise, givens, measures } }
    };
    Ok(found.all.into_iter().enumerate().map(name).collect())
}

struct Found<'e> {
    exercise: &'e Exercise,
    ruler: Ruler,
    seen: BTreeSet<Vec<u64>>,
    all: Vec<Measures>,
}

impl Found<'_> {
    /// Takes a problem in if it is sound and new.
    fn take(&mut self, mut measures: Measures) -> bool {
        if work(self.exercise, &mut measures, &|_, _| None).is_err() || !self.is_sound(&measures) {
            return false;
        }
        let cells = self.exercise.steps.iter().flat_map(|step| {
            let rows = measures.count(self.exercise, step.slot);
            let measures = &measures;
            (0..rows).map(move |row| measures.value(step.slot, row).to_bits())
        });
        let is_new = self.seen.insert(cells.collect());
        if is_new {
            self.all.push(measures);
        }
        is_new
    }

    /// Goes through every possibility.
    fn all_there_are(&mut self, space: &Space, asked: usize) -> Result<(), PracticeFault> {
        let mut counter = Counter::default();
        let mut counted = false;
        for _ in 0..MOST_COUNTED {
            self.take(space.draw(&mut counter));
            if !counter.turn() {
                counted = true;
                break;
            }
        }
        let exist = self.all.len();
        if exist < asked { Err(PracticeFault::TooFew { exist, counted, asked }) } else { Ok(()) }
    }

    /// Whether a problem can be set: the author's conditions hold, every choice has room and its
    /// suggestion falls on a tick within the limits, and every piece can be cut.
    fn is_sound(&self, measures: &Measures) -> bool {
        let exercise = self.exercise;
        let holds = |rule: &crate::formula::Formula| rule.evaluate(measures, None) != 0.0;
        if !exercise.practice.require.iter().all(|requirement| holds(&requirement.rule)) {
            return false;
        }
        let tick = self.ruler.tick().as_nm_f64();
        for step in &exercise.steps {
            for row in 0..measures.count(exercise, step.slot) {
                let value = measures.value(step.slot, row);
                if value < 0.0 {
                    return false;
                }
                let StepRule::Within { .. } = step.rule else { continue };
                let (low, high) = range(step, measures, row);
                let has_room = match (low, high) {
                    (Some(low), Some(high)) => high.value - low.value >= tick,
                    _ => true,
                };
                let is_on_tick = step.kind.base != Base::Length
                    || measures.length(step.slot, row).is_some_and(|length| self.ruler.on_tick(length));
                if !has_room || !is_on_tick || broken_limit(step, value, measures, row, Tolerance::exactly()).is_some()
                {
                    return false;
                }
            }
        }
        let givens = Givens { ruler: self.ruler, row_names: Vec::new(), measures: measures.clone() };
        let draft = Draft { exercise, givens, measures: measures.clone() };
        draft.pieces().all(|piece| draft.piece(piece).is_ok())
            && draft.seams().is_ok_and(|seams| seams.iter().all(|seam| seam.is_true()))
    }
}

fn shuffle<T>(items: &mut [T], dice: &mut Dice) {
    for last in (1..items.len()).rev() {
        items.swap(last, dice.choose(last + 1));
    }
}

fn row_names(exercise: &Exercise, measures: &Measures, dice: &mut Dice) -> Vec<Vec<String>> {
    let tables = exercise.givens.iter().filter_map(|given| match &given.kind {
        GivenKind::Table { table, each, varies, .. } => {
            let mut names = varies.as_ref().map(|(_, _, names)| names.clone()).unwrap_or_default();
            shuffle(&mut names, dice);
            let rows = measures.rows(*table);
            names.extend((names.len()..rows).map(|row| format!("{each} {}", row + 1)));
            names.truncate(rows);
            Some(names)
        }
        _ => None,
    });
    tables.collect()
}
