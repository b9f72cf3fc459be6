//! Making problems: one from every seed that holds one.

use super::choose::Dice;
use super::code::{Code, Task};
use super::fault::PracticeFault;
use super::planting;
use super::space::{Shape, Space};
use crate::draft::{Draft, Givens, Measures, broken_limit, range, work};
use crate::exercise::{Exercise, GivenKind, Level, OnSheet, PieceId, SlipId, StepId, StepRule};
use crate::formula::{Base, Formula, Slot, Values};
use crate::length::{Ruler, Tolerance};

/// So many parts of formulas a problem usually has to be worked.
const USUAL_PARTS: u64 = 4_000;

/// So much is worked out at the most to make a set, in parts of formulas: counted, and not timed, so that it is the same on
/// every machine. It is some seconds' work.
pub(super) const MOST_WORK: u64 = 200_000_000;

/// To draw a piece and hold its seams against each other takes so many times as long as to work out its formulas.
const DRAWN: u64 = 20;

/// So many draws are made from one seed before it is given up.
const DRAWS: usize = 500;

/// Why what was drawn is no problem that can be set; numbers are indices in the exercise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Flaw {
    /// A step can't be worked out.
    Unworked(StepId),
    /// A condition of the author's does not hold.
    Required(usize),
    /// A step is less than nothing.
    Negative(StepId),
    /// The limits of a choice leave less than a tick.
    NoRoom(StepId),
    /// What is suggested for a choice, or has to be worked out, falls between two ticks.
    OffTick(StepId),
    /// What is suggested for a choice breaks its limits.
    IllSuggested(StepId),
    /// A piece can't be cut.
    Uncut(PieceId),
    /// A seam's sides differ.
    Untrue(usize),
}

impl Flaw {
    /// As a part of a sentence, with the key concerned.
    pub(super) fn words(self, exercise: &Exercise) -> String {
        let step = |index: StepId| format!("step.{}", exercise.steps[index].name);
        match self {
            Flaw::Unworked(index) => format!("{} can't be worked out", step(index)),
            Flaw::Required(index) => {
                format!("practice.require does not hold (\"{}\")", exercise.practice.require[index].says)
            }
            Flaw::Negative(index) => format!("{} is less than nothing", step(index)),
            Flaw::NoRoom(index) => format!("the limits of {} leave less than a tick", step(index)),
            Flaw::OffTick(index) => match exercise.steps[index].rule {
                StepRule::Value(_) => format!("{} falls between two ticks", step(index)),
                StepRule::Within { .. } => format!("what is suggested for {} falls between two ticks", step(index)),
            },
            Flaw::IllSuggested(index) => format!("what is suggested for {} breaks its limits", step(index)),
            Flaw::Uncut(index) => format!("piece.{} can't be cut", exercise.pieces[index].name),
            Flaw::Untrue(index) => format!("the sides of seam.{} differ", exercise.seams[index].name),
        }
    }
}

/// Makes problems of one exercise, level and ruler.
///
/// ```
/// use foldmark::{exercise::Shelf, length::Ruler, practice::{Maker, Task}};
/// let shelf = Shelf::shipped();
/// let maker = Maker::new(shelf.get("flap-roll").unwrap(), 1, Task::Draft, Ruler::read("1/4 in").unwrap()).unwrap();
/// // Not every seed holds a problem.
/// let draft = (0..).find_map(|seed| maker.draft(seed)).unwrap();
/// assert!(Ruler::read("1/4 in").unwrap().on_tick(draft.length("cut_width", 0)));
/// ```
pub struct Maker<'e> {
    /// As the level sets it.
    exercise: &'e Exercise,
    level: Option<&'e Level>,
    number: u8,
    pub(super) task: Task,
    /// The ruler that answers are measured with.
    ruler: Ruler,
    /// The ruler that the givens are stated on.
    stated_on: Ruler,
    pub(super) space: Space<'e>,
    /// The author's conditions that the givens alone tell of.
    of_givens: Vec<&'e Formula>,
    purpose: String,
    /// The parts of formulas, and the cells of tables, that are worked out for one draw.
    pub(super) work_of_draw: u64,
    /// The same to look whether all can be cut and sewn.
    pub(super) work_of_pieces: u64,
}

/// The parts of an exercise's rules and conditions, with as many rows as its tables may have.
pub(super) fn parts(exercise: &Exercise) -> u64 {
    let rows = |table| exercise.scope.rows(table) as u64;
    let rules = exercise.steps.iter().flat_map(|step| step.formulas());
    let conditions = exercise.practice.require.iter().map(|requirement| &requirement.rule);
    rules.chain(conditions).map(|formula| formula.cost(&rows)).sum()
}

impl<'e> Maker<'e> {
    /// Gets ready.
    ///
    /// # Errors
    /// If the exercise has no such level, or a given can't be filled on this ruler.
    pub fn new(exercise: &'e Exercise, level: u8, task: Task, ruler: Ruler) -> Result<Maker<'e>, PracticeFault> {
        let set = exercise.at_level(level).ok_or_else(|| PracticeFault::NoLevel {
            asked: level,
            known: exercise.practice.levels.iter().map(|level| level.level).collect(),
        })?;
        let stated = exercise.level(level);
        let converts = stated.is_some_and(|level| level.converts);
        let stated_on = if converts { exercise.usual_ruler(!ruler.is_metric()) } else { ruler };
        let rows = |table| exercise.scope.rows(table) as u64;
        let cells = exercise.givens.iter().map(|given| match &given.kind {
            GivenKind::Table { table, columns, .. } => rows(*table) * columns.len() as u64,
            GivenKind::Length { .. } | GivenKind::Number { .. } | GivenKind::Choice { .. } => 1,
        });
        let is_worked = |slot: &Slot| set.steps.iter().any(|step| step.slot == *slot);
        let conditions = set.practice.require.iter().map(|requirement| &requirement.rule);
        let of_givens = conditions.filter(|rule| !rule.uses().iter().any(is_worked)).collect();
        let pieces = exercise.formulas_of_pieces().into_iter().map(|formula| 1 + formula.cost(&rows));
        Ok(Maker {
            work_of_draw: parts(set) + 4 * cells.sum::<u64>(),
            work_of_pieces: DRAWN * pieces.sum::<u64>(),
            exercise: set,
            level: stated,
            number: level,
            task,
            ruler,
            stated_on,
            space: Space::new(exercise, stated, stated_on)?,
            of_givens,
            purpose: format!("{} {} level {level} {ruler}", exercise.name, exercise.version),
        })
    }

    /// The exercise, as the level sets it.
    pub fn exercise(&self) -> &'e Exercise {
        self.exercise
    }

    /// The level, where there is one.
    pub fn level(&self) -> Option<&'e Level> {
        self.level
    }

    /// The ruler that the givens are stated on.
    pub fn stated_on(&self) -> Ruler {
        self.stated_on
    }

    /// The code of the problem of a seed.
    pub fn code(&self, seed: u32) -> Code {
        Code::new(&self.exercise.name, self.exercise.version, self.number, self.task, self.ruler, seed)
    }

    pub(super) fn dice(&self, seed: u64, what: &str) -> Dice {
        Dice::new(seed, &format!("{} {what}", self.purpose))
    }

    /// How many times as long as usual a problem takes to be worked: an author may write what takes a while.
    pub(super) fn weight(&self) -> usize {
        weight(self.exercise)
    }

    /// What is the same in all problems whose seeds begin with this byte.
    pub(super) fn shape(&self, byte: u8) -> Shape {
        self.space.shape(&mut self.dice(u64::from(byte), "shape"))
    }

    /// Room for problems of a shape.
    pub(super) fn room(&self, shape: &Shape) -> Measures {
        self.space.room(shape, self.ruler)
    }

    /// The problem of a seed, worked, with choices as suggested; whether the seed holds one.
    pub(super) fn fill(&self, shape: &Shape, seed: u32, measures: &mut Measures) -> bool {
        let mut left = u64::MAX;
        self.fill_within(shape, seed, measures, &mut left)
    }

    /// The same, with so much left to be worked out; where that is used up, the seed is given up.
    pub(super) fn fill_within(&self, shape: &Shape, seed: u32, measures: &mut Measures, left: &mut u64) -> bool {
        let mut dice = Dice::new(u64::from(seed), &self.purpose);
        (0..DRAWS).any(|_| {
            if !take(left, self.work_of_draw) {
                return false;
            }
            self.space.draw(shape, &mut dice, measures);
            // What fails by its givens, as most that is drawn may, need not be worked.
            self.of_givens.iter().all(|rule| rule.holds(measures)) && self.work(measures).is_ok()
        })
    }

    /// Works what was drawn.
    pub(super) fn work(&self, measures: &mut Measures) -> Result<(), Flaw> {
        if let Err(fault) = work(self.exercise, measures, &|_, _| None) {
            return Err(Flaw::Unworked(fault.step));
        }
        self.flaw(measures).map_or(Ok(()), Err)
    }

    /// Many problems with their answers, of seeds one after another: `take` gets each seed that holds one, and what was
    /// worked. All have the shape of the first.
    pub fn many(&self, seeds: std::ops::Range<u32>, take: &mut dyn FnMut(u32, &Measures)) {
        let shape = self.shape((seeds.start >> 24) as u8);
        let mut measures = self.room(&shape);
        for seed in seeds {
            if self.fill(&shape, seed, &mut measures) {
                take(seed, &measures);
            }
        }
    }

    /// The slips in the finished draft of a seed; none where it is to be drafted, nothing where it holds no such draft.
    pub fn slips(&self, seed: u32, draft: &Draft) -> Option<Vec<SlipId>> {
        match self.task {
            Task::Draft => Some(Vec::new()),
            Task::FindSlips(count) => {
                planting::slips(draft, usize::from(count), &mut self.dice(u64::from(seed), "slips"))
            }
        }
    }

    /// A problem with names for what is in its tables.
    pub(super) fn named(&self, seed: u32, measures: Measures) -> Draft<'e> {
        let row_names = row_names(self.exercise, &measures, &mut self.dice(u64::from(seed), "names"));
        let givens = Givens { ruler: self.ruler, row_names, measures: measures.clone() };
        Draft { exercise: self.exercise, givens, measures }
    }

    /// The answers a problem is told from others by, as bits.
    pub(super) fn answers(&self, measures: &Measures) -> Vec<u64> {
        let asked = self.exercise.steps.iter().filter(|step| step.on_sheet == OnSheet::Asked);
        let cells = asked.flat_map(|step| {
            let rows = measures.count(self.exercise, step.slot);
            (0..rows).filter_map(move |row| measures.value(step.slot, row).map(f64::to_bits))
        });
        cells.collect()
    }

    /// Why a problem can't be set, if it can't: the author's conditions hold, every choice has room and its suggestion falls
    /// on a tick within the limits, and answers fall on the level's ticks.
    fn flaw(&self, measures: &Measures) -> Option<Flaw> {
        let exercise = self.exercise;
        let tick = self.ruler.tick().as_nm_f64();
        for (index, requirement) in exercise.practice.require.iter().enumerate() {
            if !requirement.rule.holds(measures) {
                return Some(Flaw::Required(index));
            }
        }
        for (index, step) in exercise.steps.iter_enumerated() {
            for row in 0..measures.count(exercise, step.slot) {
                let Some(value) = measures.value(step.slot, row) else { return Some(Flaw::Unworked(index)) };
                if value < 0.0 {
                    return Some(Flaw::Negative(index));
                }
                if !step.is_choice() {
                    if self.is_off(index, value) {
                        return Some(Flaw::OffTick(index));
                    }
                    continue;
                }
                if broken_limit(step, value, measures, row, Tolerance::exactly()).is_some() {
                    return Some(Flaw::IllSuggested(index));
                }
                // What is told may fall between two ticks, and nobody has to find room for it.
                if step.on_sheet != OnSheet::Asked {
                    continue;
                }
                if let (Some(low), Some(high)) = range(step, measures, row)
                    && high.value - low.value < tick
                {
                    return Some(Flaw::NoRoom(index));
                }
                if !measures.length(step.slot, row).is_some_and(|it| self.ruler.on_tick(it)) {
                    return Some(Flaw::OffTick(index));
                }
            }
        }
        None
    }

    /// Whether a length falls between two ticks, where it should not: one that is asked for, where the level says so, and
    /// one that is told, since from a rounded length nobody works backwards.
    fn is_off(&self, index: StepId, value: f64) -> bool {
        let step = &self.exercise.steps[index];
        let Some(level) = self.level.filter(|level| step.kind.base == Base::Length && !level.off_tick.contains(&index))
        else {
            return false;
        };
        // A step keeps whole nanometres.
        let is_off = |ruler: Ruler| value as i64 % ruler.tick().nm() != 0;
        match step.on_sheet {
            OnSheet::Asked => level.on_tick && is_off(self.ruler),
            OnSheet::Told => is_off(self.ruler) && is_off(self.stated_on),
            OnSheet::Silent => false,
        }
    }
}

/// How many times as long as usual an exercise takes to be worked.
pub(super) fn weight(exercise: &Exercise) -> usize {
    usize::try_from(1 + parts(exercise) / USUAL_PARTS).unwrap_or(usize::MAX)
}

/// Takes so much from what may be worked out; whether it was there.
pub(super) fn take(left: &mut u64, work: u64) -> bool {
    let still = left.checked_sub(work);
    *left = still.unwrap_or(0);
    still.is_some()
}

/// What can't be cut or sewn of a problem, if anything: looked at last, since pieces take longer to draw than all else.
pub(super) fn unsewn(draft: &Draft) -> Option<Flaw> {
    let exercise = draft.exercise;
    if let Some(uncut) = draft.pieces().find(|piece| draft.piece(piece).is_err()) {
        return exercise.pieces.position(|piece| piece.name == uncut.name).map(Flaw::Uncut);
    }
    let seams = draft.seams().unwrap_or_default();
    let untrue = seams.iter().find(|seam| !seam.is_true())?;
    exercise.seams.iter().position(|seam| seam.name == untrue.seam.name).map(Flaw::Untrue)
}

fn row_names(exercise: &Exercise, measures: &Measures, dice: &mut Dice) -> Vec<Vec<String>> {
    let names = |given: &crate::exercise::Given| {
        let GivenKind::Table { table, varies, each, .. } = &given.kind else { return None };
        let mut known: Vec<String> = varies.as_ref().map(|(_, _, names)| names.clone()).unwrap_or_default();
        dice.shuffle(&mut known);
        let name = |row: usize| known.get(row).cloned().unwrap_or_else(|| format!("{each} {}", row + 1));
        Some((0..measures.rows(*table)).map(name).collect())
    };
    exercise.givens.iter().filter_map(names).collect()
}
