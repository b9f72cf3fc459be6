//! A set of problems: each one possible, no two alike, all of them the same work.

use super::choose::{Chooser, Counter};
use super::code::Task;
use super::fault::{MOST_SHEETS, PracticeFault};
use super::maker::{MOST_WORK, Maker, take, unsewn};
use super::problem::Problem;
use super::space::Shape;
use crate::draft::{Draft, Measures};
use crate::exercise::{Exercise, SlipId};
use crate::length::Ruler;
use std::collections::BTreeSet;

/// So many seeds in a row without a new problem, and the possibilities are counted instead.
pub(super) const PATIENCE: usize = 20_000;

/// So many seeds in a row that hold no problem at all.
const BARREN: usize = 100;

/// Counting the possibilities stops when so many were looked at.
const MOST_TRIES: usize = 2_000_000;

/// How many seeds share a shape.
const SEEDS: usize = 1 << 24;

/// Makes a set of no particular level. The same exercise, ruler, count and seed give the same set on every machine.
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
    Maker::new(exercise, 0, Task::Draft, ruler)?.set(count, seed)
}

impl<'e> Maker<'e> {
    /// The problem of a seed with everything worked out, choices as suggested; nothing, if the seed holds none.
    pub fn draft(&self, seed: u32) -> Option<Draft<'e>> {
        let shape = self.shape((seed >> 24) as u8);
        let mut measures = self.room(&shape);
        self.fill(&shape, seed, &mut measures).then(|| self.named(seed, measures))
    }

    /// The problem of a seed with everything that a sheet and its key say; nothing, if the seed holds none.
    pub fn problem(&self, seed: u32) -> Option<Problem<'e>> {
        let draft = self.draft(seed)?;
        let slips = self.slips(seed, &draft)?;
        Some(self.numbered(1, seed, draft, slips))
    }

    fn numbered(&self, number: usize, seed: u32, draft: Draft<'e>, slips: Vec<SlipId>) -> Problem<'e> {
        Problem { number, code: self.code(seed), draft, stated_on: self.stated_on(), slips, level: self.level() }
    }

    /// Makes a set: all problems of one shape, so that there are as many steps to each and the arithmetic is of one kind,
    /// and no two with the same answers. The same count and seed give the same set on every machine.
    ///
    /// # Errors
    /// If no set of this size can be made; nothing is made then.
    pub fn set(&self, count: usize, seed: u64) -> Result<Vec<Problem<'e>>, PracticeFault> {
        if count == 0 || count > MOST_SHEETS {
            return Err(PracticeFault::Count(count));
        }
        let mut dice = self.dice(seed, "set");
        let first = dice.choose(256) as u8;
        let mut tried = BTreeSet::new();
        // Shared by all shapes, so that an exercise without problems is told in a moment.
        let (mut left, mut work) = (MOST_TRIES / self.weight(), MOST_WORK);
        let mut most: Option<(usize, Option<usize>)> = None;
        for byte in (0..=u8::MAX).map(|more| first.wrapping_add(more)) {
            let shape = self.shape(byte);
            if !tried.insert(shape.clone()) {
                continue;
            }
            let mut found = Found::new(self);
            let (mut in_vain, mut barren) = (0, 0);
            let most_barren = (BARREN / self.weight()).max(3);
            let mut used = BTreeSet::new();
            while found.problems.len() < count && in_vain < PATIENCE && barren < most_barren && work > 0 {
                let seed = u32::from(byte) << 24 | dice.choose(SEEDS) as u32;
                match used.insert(seed).then(|| found.take(&shape, seed, &mut work)) {
                    Some(Taken::New) => (in_vain, barren) = (0, 0),
                    Some(Taken::Nothing) => barren += 1,
                    Some(Taken::Known) | None => (in_vain, barren) = (in_vain + 1, 0),
                }
            }
            if found.problems.len() == count {
                return Ok(found.problems);
            }
            let exists = match self.task {
                Task::Draft => match self.exist(&shape, &mut left, &mut work) {
                    // They exist, but so thinly that no seeds for them were met.
                    (exist, _) if exist >= count => (found.problems.len(), Some(used.len())),
                    (0, Some(0)) => (found.problems.len(), Some(used.len())),
                    (exist, tries) => (exist.max(found.problems.len()), tries),
                },
                // Which drafts have slips that can be found is only known of those that were tried.
                Task::FindSlips(_) => (found.problems.len(), Some(used.len())),
            };
            if most.is_none_or(|(known, _)| exists.0 > known) {
                most = Some(exists);
            }
            if work == 0 {
                break;
            }
        }
        let (exist, tries) = most.unwrap_or_default();
        Err(PracticeFault::TooFew { exist, tries, asked: count })
    }

    /// How many problems of a shape exist, and how many possibilities were looked at if that was not all of them.
    fn exist(&self, shape: &Shape, left: &mut usize, work: &mut u64) -> (usize, Option<usize>) {
        let mut counter = Counter::default();
        let mut measures = self.room(shape);
        let mut seen = BTreeSet::new();
        for tries in 1.. {
            if !take(work, self.work_of_draw) {
                return (seen.len(), Some(tries - 1));
            }
            self.space.draw(shape, &mut counter, &mut measures);
            if self.work(&mut measures).is_ok() {
                let answers = self.answers(&measures);
                if !seen.contains(&answers)
                    && take(work, self.work_of_pieces)
                    && unsewn(&self.named(0, measures.clone())).is_none()
                {
                    seen.insert(answers);
                }
            }
            if !counter.turn() {
                return (seen.len(), None);
            }
            *left = left.saturating_sub(1);
            if *left == 0 || seen.len() >= MOST_SHEETS {
                return (seen.len(), Some(tries));
            }
        }
        (seen.len(), None)
    }
}

/// What came of a seed.
enum Taken {
    /// A new problem.
    New,
    /// One whose answers are known already.
    Known,
    /// It holds none.
    Nothing,
}

/// The problems found so far.
struct Found<'m, 'e> {
    maker: &'m Maker<'e>,
    room: Option<Measures>,
    seen: BTreeSet<Vec<u64>>,
    problems: Vec<Problem<'e>>,
}

impl<'m, 'e> Found<'m, 'e> {
    fn new(maker: &'m Maker<'e>) -> Found<'m, 'e> {
        Found { maker, room: None, seen: BTreeSet::new(), problems: Vec::new() }
    }

    /// Takes in the problem of a seed, if it is sound and new.
    fn take(&mut self, shape: &Shape, seed: u32, work: &mut u64) -> Taken {
        let maker = self.maker;
        let room = self.room.get_or_insert_with(|| maker.room(shape));
        if !maker.fill_within(shape, seed, room, work) {
            return Taken::Nothing;
        }
        let answers = maker.answers(room);
        if self.seen.contains(&answers) {
            return Taken::Known;
        }
        if !take(work, maker.work_of_pieces) {
            return Taken::Nothing;
        }
        let draft = maker.named(seed, room.clone());
        let Some(slips) = maker.slips(seed, &draft).filter(|_| unsewn(&draft).is_none()) else {
            return Taken::Nothing;
        };
        self.seen.insert(answers);
        self.problems.push(maker.numbered(self.problems.len() + 1, seed, draft, slips));
        Taken::New
    }
}
