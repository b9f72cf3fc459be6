//! What holds of any sheet: right work is never faulted, and one wrong answer never costs another. The sheets are worked by the
//! trial's invented students, on problems of every level and on such as students bring along.

use crate::trial::problem::{Dice, own_problem};
use crate::trial::student::{Student, Worked, on_ruler};
use foldmark::check::{AnswerSheet, MarkedSheet, Marker, answer_file, read_answers};
use foldmark::class::Policy;
use foldmark::draft::Draft;
use foldmark::exercise::{Exercise, OnSheet, Shelf, StepId, StepRule};
use foldmark::formula::{Base, Values};
use foldmark::length::{Length, Rounding};
use foldmark::practice::{Maker, Task, coded_file, recall};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::sync::LazyLock;

static SHELF: LazyLock<Shelf> = LazyLock::new(Shelf::shipped);

const CASES: u32 = if cfg!(debug_assertions) { 1_500 } else { 20_000 };

/// A sheet to be worked: a problem of an exercise, at a level or as students bring it along, and how a student works.
#[derive(Debug, Clone)]
struct Work {
    exercise: usize,
    level: u8,
    ruler: usize,
    seed: u32,
    rounding: Rounding,
}

fn any_work() -> impl Strategy<Value = Work> {
    let rounding = prop_oneof![Just(Rounding::Nearest), Just(Rounding::Up), Just(Rounding::Down)];
    (0..SHELF.iter().count(), 0..=4_u8, 0..6_usize, 0..1_000_000_u32, rounding)
        .prop_map(|(exercise, level, ruler, seed, rounding)| Work { exercise, level, ruler, seed, rounding })
}

/// A problem with the sheet that sets it, its answers still the key's.
struct Set {
    exercise: &'static Exercise,
    draft: Draft<'static>,
    sheet: AnswerSheet,
}

impl Work {
    /// The problem, if there is one of this kind.
    fn set(&self) -> Option<Set> {
        let exercise = SHELF.iter().nth(self.exercise)?;
        if self.level == 0 {
            let ruler = *exercise.rulers.get(self.ruler % exercise.rulers.len())?;
            let givens = own_problem(exercise, ruler, self.seed as usize);
            let draft = Draft::new(exercise, givens).ok()?;
            let sheet = read_answers(&answer_file(&draft, "Yarrow", true)).unwrap();
            return Some(Set { exercise, draft, sheet });
        }
        let set_at = exercise.at_level(self.level)?;
        let ruler = *set_at.rulers.get(self.ruler % set_at.rulers.len())?;
        let maker = Maker::new(exercise, self.level, Task::Draft, ruler).ok()?;
        let problem = maker.set(1, u64::from(self.seed)).ok()?.pop()?;
        let mut sheet = read_answers(&coded_file(&problem, "Yarrow", true)).unwrap();
        recall(&mut sheet, &SHELF).unwrap();
        Some(Set { exercise: maker.exercise(), draft: problem.draft, sheet })
    }

    fn worked(&self, set: &Set) -> Option<Worked> {
        let mut dice = Dice::new(self.seed as usize, "properties");
        let mut student = Student::new(set.exercise, &set.draft.givens, &mut dice);
        student.told = Some(&set.draft.measures);
        // Where a level asks for answers that are right to the tick, the nearest is meant.
        let is_exact = set.exercise.steps.iter().any(|step| step.is_exact);
        student.rounding = if is_exact { Rounding::Nearest } else { self.rounding };
        student.right()
    }
}

impl Set {
    fn asked(&self) -> Vec<(StepId, usize)> {
        let steps = self.exercise.steps.iter_enumerated().filter(|(_, step)| step.on_sheet == OnSheet::Asked);
        steps.flat_map(|(index, step)| (0..self.draft.rows(step)).map(move |row| (index, row))).collect()
    }

    /// Marks the sheet with these answers, one of them written otherwise.
    fn marked(&self, worked: &Worked, otherwise: Option<(StepId, usize, f64)>) -> MarkedSheet<'static> {
        let mut sheet = self.sheet.clone();
        for answer in &mut sheet.answers {
            let index = self.exercise.step_id(&answer.step).unwrap();
            let step = &self.exercise.steps[index];
            for (row, written) in answer.values.iter_mut().enumerate() {
                let value = worked.paper.value(step.slot, row).unwrap();
                let value = otherwise.filter(|other| (other.0, other.1) == (index, row)).map_or(value, |other| other.2);
                written.text = match Length::from_nm_f64(value).filter(|_| step.kind.base == Base::Length) {
                    Some(length) => self.draft.givens.ruler.write_exactly(length),
                    None => value.to_string(),
                };
            }
        }
        Marker::new(self.exercise, &Policy::default()).mark(&sheet).unwrap()
    }

    /// What was found wrong, or said, by step and row.
    fn faulted(&self, marked: &MarkedSheet) -> Vec<String> {
        let found = marked.cells.iter().filter(|cell| !cell.verdict.earns() || !cell.explained.is_empty());
        found
            .map(|cell| {
                let (name, names) = (&self.exercise.steps[cell.step].name, cell.cause_names(self.exercise));
                format!("{name} {}: {} {} {names:?}", cell.row, cell.written, cell.verdict.words())
            })
            .collect()
    }
}

fn config() -> ProptestConfig {
    let (rng_seed, max_global_rejects) = (RngSeed::Fixed(2026), 1_000_000);
    ProptestConfig {
        cases: CASES,
        rng_seed,
        failure_persistence: None,
        max_global_rejects,
        ..ProptestConfig::default()
    }
}

/// What was found on a right sheet.
fn right_sheet(work: &Work, such: impl Fn(&Set) -> bool) -> Result<(), TestCaseError> {
    let set = work.set().filter(such).ok_or_else(|| TestCaseError::reject("no such problem"))?;
    let worked = work.worked(&set).ok_or_else(|| TestCaseError::reject("can't be worked"))?;
    let marked = set.marked(&worked, None);
    prop_assert_eq!(set.faulted(&marked), Vec::<String>::new(), "{}", set.exercise.name);
    prop_assert!(marked.all_right() && marked.points == marked.out_of);
    Ok(())
}

/// Of a sheet on which one worked answer is written as any other number, while the right one was worked on with, what else
/// was found wrong.
fn one_wrong(work: &Work, which: usize, share: f64, such: impl Fn(&Set, &Worked) -> bool) -> Result<(), TestCaseError> {
    let set = work.set().ok_or_else(|| TestCaseError::reject("no such problem"))?;
    let worked = work.worked(&set).filter(|worked| such(&set, worked));
    let worked = worked.ok_or_else(|| TestCaseError::reject("no such sheet"))?;
    let mut asked = set.asked();
    asked.retain(|(step, _)| {
        let step = &set.exercise.steps[*step];
        step.kind.base == Base::Length && matches!(step.rule, StepRule::Value(_))
    });
    let (step, row) = asked[which % asked.len()];
    let ruler = set.draft.givens.ruler;
    let right = worked.paper.value(set.exercise.steps[step].slot, row).unwrap();
    let wrong = on_ruler(ruler, Rounding::Nearest, right * share).unwrap();
    prop_assume!((wrong - right).abs() > 1.5 * ruler.tick().as_nm_f64());
    let marked = set.marked(&worked, Some((step, row, wrong)));
    let others = marked.cells.iter().filter(|cell| !cell.verdict.earns() && (cell.step, cell.row) != (step, row));
    let name = &set.exercise.steps[step].name;
    prop_assert_eq!(others.count(), 0, "{}, {} {}: {:?}", set.exercise.name, name, row, set.faulted(&marked));
    Ok(())
}

/// Whether the author allows less than a tick somewhere.
fn has_narrow_steps(set: &Set) -> bool {
    let tick = set.draft.givens.ruler.tick();
    set.exercise.steps.iter().any(|step| step.tolerance.is_some_and(|tolerance| tolerance < tick))
}

/// Whether everything that is worked falls on a tick, so that the student's figures are the true ones.
fn is_on_ticks(set: &Set, worked: &Worked) -> bool {
    set.asked().iter().all(|(index, row)| {
        let step = &set.exercise.steps[*index];
        let StepRule::Value(rule) = &step.rule else { return true };
        let written = worked.paper.value(step.slot, *row);
        rule.evaluate(&worked.hand, Some(*row))
            .zip(written)
            .is_some_and(|(right, written)| (right - written).abs() < 2.0)
    })
}

proptest! {
    #![proptest_config(config())]

    /// Rounded to the ruler in one way throughout and carried on, a right sheet is right.
    #[test]
    fn a_right_sheet_is_never_faulted(work in any_work()) {
        right_sheet(&work, |set| !has_narrow_steps(set))?;
    }

    #[test]
    fn nor_where_the_author_allows_less_than_a_tick(work in any_work()) {
        right_sheet(&work, has_narrow_steps)?;
    }

    /// An answer is written as any other number, and the right one worked on with: it alone is faulted.
    #[test]
    fn one_wrong_answer_costs_no_other(work in any_work(), which in 0..1_000_usize, share in 0.25..3.0_f64) {
        one_wrong(&work, which, share, is_on_ticks)?;
    }

    /// A known fault, held here until it is mended: what follows from the figure that was meant, as it was rounded, is faulted
    /// where that is a tick off the true one. Whoever mends it takes `should_panic` off.
    #[test]
    #[should_panic(expected = "left == right")]
    fn nor_where_figures_were_rounded(work in any_work(), which in 0..1_000_usize, share in 0.25..3.0_f64) {
        one_wrong(&work, which, share, |_, _| true)?;
    }
}
