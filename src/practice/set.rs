//! A set of problems: each one possible, no two alike.

use super::choose::{Chooser, Counter, Dice};
use super::space::Space;
use crate::draft::{Draft, Givens, Measures, broken_limit, range, work};
use crate::exercise::{Exercise, GivenKind, StepRule};
use crate::formula::Values;
use crate::length::{Ruler, Tolerance};
use std::collections::BTreeSet;
use std::fmt;

/// The most sheets that are made in one set.
pub const MOST_SHEETS: usize = 10_000;

/// So many draws in a row without a new problem, and the possibilities are counted instead.
pub(super) const PATIENCE: usize = 20_000;

/// Counting the possibilities stops when so much was done: one for each that is refused at a glance, and [`CUTTING`] for
/// each whose pieces have to be drawn.
const MOST_DONE: usize = 2_000_000;
const CUTTING: usize = 100;

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
        /// How many there are, or were found.
        exist: usize,
        /// How many possibilities were looked at, if that was not all of them.
        tries: Option<usize>,
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
            PracticeFault::TooFew { exist, tries: None, asked } => {
                write!(f, "{asked} different sheets were asked for, but only {exist} exist; nothing was written")
            }
            PracticeFault::TooFew { exist, tries: Some(tries), asked } => write!(
                f,
                "{asked} different sheets were asked for, but only {exist} were found in {tries} tries; nothing was written"
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
    let mut found = Found::new(exercise, ruler);
    let mut in_vain = 0;
    while found.all.len() < count && in_vain < PATIENCE {
        in_vain = if found.take(space.draw(&mut dice)) == Ok(true) { 0 } else { in_vain + 1 };
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

/// Why what was drawn is no problem that can be set; numbers are indices in the exercise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Flaw {
    /// A step can't be worked out.
    Unworked(usize),
    /// A condition of the author's does not hold.
    Required(usize),
    /// A step is less than nothing.
    Negative(usize),
    /// The limits of a choice leave less than a tick.
    NoRoom(usize),
    /// What is suggested for a choice falls between two ticks.
    OffTick(usize),
    /// What is suggested for a choice breaks its limits.
    IllSuggested(usize),
    /// A piece can't be cut.
    Uncut(usize),
    /// A seam's sides differ.
    Untrue(usize),
}

impl Flaw {
    /// As a part of a sentence, with the key concerned.
    pub(super) fn words(self, exercise: &Exercise) -> String {
        let step = |index: usize| format!("step.{}", exercise.steps[index].name);
        match self {
            Flaw::Unworked(index) => format!("{} can't be worked out", step(index)),
            Flaw::Required(index) => {
                format!("practice.require does not hold (\"{}\")", exercise.practice.require[index].says)
            }
            Flaw::Negative(index) => format!("{} is less than nothing", step(index)),
            Flaw::NoRoom(index) => format!("the limits of {} leave less than a tick", step(index)),
            Flaw::OffTick(index) => format!("what is suggested for {} falls between two ticks", step(index)),
            Flaw::IllSuggested(index) => format!("what is suggested for {} breaks its limits", step(index)),
            Flaw::Uncut(index) => format!("piece.{} can't be cut", exercise.pieces[index].name),
            Flaw::Untrue(index) => format!("the sides of seam.{} differ", exercise.seams[index].name),
        }
    }
}

/// The problems found so far.
pub(super) struct Found<'e> {
    exercise: &'e Exercise,
    ruler: Ruler,
    seen: BTreeSet<Vec<u64>>,
    all: Vec<Measures>,
}

impl<'e> Found<'e> {
    pub(super) fn new(exercise: &'e Exercise, ruler: Ruler) -> Found<'e> {
        Found { exercise, ruler, seen: BTreeSet::new(), all: Vec::new() }
    }

    pub(super) fn count(&self) -> usize {
        self.all.len()
    }

    /// Takes a problem in if it is sound; whether it is new.
    pub(super) fn take(&mut self, mut measures: Measures) -> Result<bool, Flaw> {
        if let Err(fault) = work(self.exercise, &mut measures, &|_, _| None) {
            let index = self.exercise.steps.iter().position(|step| step.name == fault.name);
            return Err(Flaw::Unworked(index.unwrap_or_default()));
        }
        if let Some(flaw) = self.flaw(&measures) {
            return Err(flaw);
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
        Ok(is_new)
    }

    /// Goes through every possibility, as far as that can be done.
    fn all_there_are(&mut self, space: &Space, asked: usize) -> Result<(), PracticeFault> {
        let mut counter = Counter::default();
        let (mut tries, mut done) = (0, 0);
        let tries = loop {
            done += match self.take(space.draw(&mut counter)) {
                Ok(_) | Err(Flaw::Uncut(_) | Flaw::Untrue(_)) => CUTTING,
                Err(_) => 1,
            };
            tries += 1;
            if !counter.turn() {
                break None;
            }
            if done >= MOST_DONE {
                break Some(tries);
            }
        };
        let exist = self.all.len();
        if exist < asked { Err(PracticeFault::TooFew { exist, tries, asked }) } else { Ok(()) }
    }

    /// Why a problem can't be set, if it can't: the author's conditions hold, every choice has room and its
    /// suggestion falls on a tick within the limits, and every piece can be cut and sewn.
    fn flaw(&self, measures: &Measures) -> Option<Flaw> {
        let exercise = self.exercise;
        let holds = |rule: &crate::formula::Formula| rule.evaluate(measures, None) != 0.0;
        if let Some(index) = exercise.practice.require.iter().position(|requirement| !holds(&requirement.rule)) {
            return Some(Flaw::Required(index));
        }
        let tick = self.ruler.tick().as_nm_f64();
        for (index, step) in exercise.steps.iter().enumerate() {
            for row in 0..measures.count(exercise, step.slot) {
                let value = measures.value(step.slot, row);
                if value < 0.0 {
                    return Some(Flaw::Negative(index));
                }
                let StepRule::Within { .. } = step.rule else { continue };
                if let (Some(low), Some(high)) = range(step, measures, row)
                    && high.value - low.value < tick
                {
                    return Some(Flaw::NoRoom(index));
                }
                if !measures.length(step.slot, row).is_some_and(|length| self.ruler.on_tick(length)) {
                    return Some(Flaw::OffTick(index));
                }
                if broken_limit(step, value, measures, row, Tolerance::exactly()).is_some() {
                    return Some(Flaw::IllSuggested(index));
                }
            }
        }
        let givens = Givens { ruler: self.ruler, row_names: Vec::new(), measures: measures.clone() };
        let draft = Draft { exercise, givens, measures: measures.clone() };
        if let Some(uncut) = draft.pieces().find(|piece| draft.piece(piece).is_err()) {
            return exercise.pieces.iter().position(|piece| piece.name == uncut.name).map(Flaw::Uncut);
        }
        let seams = draft.seams().unwrap_or_default();
        let untrue = seams.iter().find(|seam| !seam.is_true())?;
        exercise.seams.iter().position(|seam| seam.name == untrue.seam.name).map(Flaw::Untrue)
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
