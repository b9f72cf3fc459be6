//! The verdict on one answer: against the true values, and with the student's own earlier answers put in.

use super::rests::Rests;
use crate::check::handed_in::Answers;
use crate::check::result::Verdict;
use crate::draft::{Held, Measures, WorkFault, held, whole};
use crate::exercise::{Exercise, Step, StepId, StepRule};
use crate::formula::{Base, Formula, Values};
use crate::length::{Length, Tolerance};
use typed_index_collections::TiVec;

/// Judges answers of one exercise.
#[derive(Debug, Clone)]
pub(in crate::check) struct Judge<'e> {
    pub exercise: &'e Exercise,
    /// How far each step's answer may be off.
    pub widths: TiVec<StepId, f64>,
}

/// A sheet worked both ways, and judged. Made once, it serves for sheet after sheet.
#[derive(Debug, Clone)]
pub(in crate::check) struct Worked {
    /// With the true values, and the student's choices.
    pub truth: Measures,
    /// With every answer of the student's put in.
    pub own: Measures,
    pub rests: Rests,
    /// What was found, by cell.
    pub judged: Vec<Judged>,
    /// Whether a step's own values differ from the true ones.
    is_apart: TiVec<StepId, bool>,
    /// Whether any do; until then the own values are not kept.
    is_parted: bool,
    /// Whether the student's own figures led to something that can't be worked out: nothing follows from them then.
    is_lost: bool,
}

impl Worked {
    /// Room to work sheets of an exercise.
    pub fn new(exercise: &Exercise, shape: &Measures) -> Worked {
        Worked {
            truth: shape.clone(),
            own: shape.clone(),
            rests: Rests::none(exercise),
            judged: Vec::new(),
            is_apart: vec![false; exercise.steps.len()].into(),
            is_parted: false,
            is_lost: false,
        }
    }

    /// Keeps a value of the student's own; nothing, where it can't be worked out. Whether it differs from the true one.
    fn follow(&mut self, step: &Step, row: usize, own: Option<f64>, truth: f64) -> bool {
        let own = own.filter(|_| !self.is_lost);
        let differs = own != Some(truth);
        if differs && !self.is_parted {
            self.own.copy(&self.truth);
            self.is_parted = true;
        }
        self.is_lost |= own.is_none();
        if self.is_parted {
            self.own.set(step.slot, row, own);
        }
        differs
    }
}

/// What was found about one answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::check) struct Judged {
    pub verdict: Verdict,
    /// What follows from the true values; nothing where it rests on a choice that is missing.
    pub expected: Option<f64>,
    /// What follows from the student's own earlier answers, where that can be worked out.
    pub own: Option<f64>,
    /// Nobody could choose rightly: the limits leave nothing.
    pub is_impossible: bool,
    /// Which of [`RATIOS`] it was worked with, where only that makes it right.
    pub ratio: Option<usize>,
}

/// What is taken for the circle's ratio in classrooms: a decimal and a fraction, and how each is written.
#[expect(clippy::approx_constant, reason = "it is meant to be just that near")]
pub(in crate::check) const RATIOS: [(f64, &str); 2] = [(3.14, "3.14"), (22.0 / 7.0, "22/7")];

impl Judged {
    const NOTHING: Judged =
        Judged { verdict: Verdict::Missing, expected: None, own: None, is_impossible: false, ratio: None };
}

/// A choice so many times beyond its upper limit is a slip of the pen or the unit.
const ABSURD: f64 = 10.0;

/// So many parts of formulas are worked out at the most to find the one thing that accounts for a sheet, and as many to
/// explain its answers: of what is usual a thousandth of that, and of what an exercise may hold some dozen times all of it.
/// Counted, and not timed, so that it is the same on every machine.
pub(in crate::check) const MOST_WORK: u64 = 50_000_000;

impl Judge<'_> {
    /// How much there is to work out to judge a sheet once: the parts of formulas, both ways, and the answers.
    pub fn weight(&self, givens: &Measures, answers: &Answers) -> u64 {
        let rows = |table| givens.rows(table) as u64;
        let formulas = self.exercise.steps.iter().flat_map(|step| step.formulas());
        2 * formulas.map(|formula| formula.cost(&rows)).sum::<u64>() + 4 * answers.len() as u64
    }

    /// How far a step's answer may be off.
    pub fn tolerance(&self, step: StepId) -> Tolerance {
        Tolerance::of(Length::from_nm_f64(self.widths[step]).unwrap_or_default())
    }

    /// Works the exercise from some givens, once with the true values and the student's choices and once with all that the
    /// student answered, and judges every answer on the way. Where `absurd` is given, absurd choices are taken for none,
    /// and their steps and rows added to it: nothing is worked from them.
    ///
    /// # Errors
    /// The first step that can't be worked out from the givens and the choices.
    pub fn judge(
        &self,
        givens: &Measures,
        answers: &Answers,
        worked: &mut Worked,
        mut absurd: Option<&mut Vec<(StepId, usize)>>,
    ) -> Result<(), WorkFault> {
        worked.truth.copy(givens);
        (worked.is_parted, worked.is_lost) = (false, false);
        // Where nothing is missing, nothing rests on what is missing.
        let mut has_gaps = !answers.is_complete();
        worked.rests.clear();
        worked.judged.clear();
        worked.judged.resize(answers.len(), Judged::NOTHING);
        for &index in &self.exercise.order {
            let step = &self.exercise.steps[index];
            // Where all that a step uses is as it should be, what follows from it is the same both ways.
            let is_apart = worked.is_lost || worked.is_parted && step.uses.iter().any(|used| worked.is_apart[*used]);
            let (mut comes_apart, mut is_answered) = (false, true);
            if has_gaps {
                worked.rests.enter(step, index);
            }
            for (row, cell) in answers.cells(index).enumerate() {
                let mut answer = answers.get(cell);
                let mut held = self.held(index, row, answer, &worked.truth);
                if let (Some(absurd), Some(choice), Some(limits)) = (&mut absurd, answer, held)
                    && limits.high.is_some_and(|most| most > 0.0 && choice > ABSURD * most)
                {
                    absurd.push((index, row));
                    (answer, held, has_gaps) = (None, None, true);
                }
                is_answered &= answer.is_some();
                let (formula, chosen) = match &step.rule {
                    StepRule::Value(formula) => (formula, None),
                    StepRule::Within { suggest, .. } => (suggest, answer),
                };
                let truth = chosen.or_else(|| formula.evaluate(&worked.truth, Some(row)));
                let truth =
                    truth.and_then(|truth| whole(step, truth)).ok_or_else(|| WorkFault::of(self.exercise, index))?;
                worked.truth.set(step.slot, row, truth);
                if answer == Some(truth) && held.is_none() && !is_apart && !has_gaps {
                    // Nearly every answer is what it should be.
                    worked.follow(step, row, answer, truth);
                    let (expected, own) = (Some(truth), Some(truth));
                    worked.judged[cell] = Judged { verdict: Verdict::Right, expected, own, ..Judged::NOTHING };
                    continue;
                }
                let follows = match chosen {
                    None if is_apart => formula.evaluate(&worked.own, Some(row)),
                    None | Some(_) => Some(truth),
                };
                let kept = answer.or_else(|| follows.and_then(|value| whole(step, value)));
                comes_apart |= worked.follow(step, row, kept, truth);
                let own = if step.is_choice() { answer } else { follows.and_then(|value| settled(step, value)) };
                let found = Found { answer, held, expected: truth, own, is_apart };
                worked.judged[cell] = self.decide(worked, (index, row), &found);
            }
            if has_gaps {
                worked.rests.leave(step, index, is_answered);
            }
            worked.is_apart[index] = comes_apart;
        }
        if !worked.is_parted {
            worked.own.copy(&worked.truth);
        }
        Ok(())
    }

    /// A choice held against the limits that follow from some measures; nothing for a step that is worked out.
    fn held(&self, index: StepId, row: usize, answer: Option<f64>, measures: &Measures) -> Option<Held> {
        let step = &self.exercise.steps[index];
        answer.filter(|_| step.is_choice()).map(|answer| held(step, answer, measures, row, self.tolerance(index)))
    }

    fn decide(&self, worked: &Worked, (index, row): (StepId, usize), found: &Found) -> Judged {
        let step = &self.exercise.steps[index];
        let (true_rest, own_rest) = (worked.rests.truth[index], worked.rests.own[index]);
        let expected = Some(found.expected).filter(|_| true_rest.is_none());
        let mut judged = Judged { expected, own: found.own, ..Judged::NOTHING };
        let Some(answer) = found.answer else { return judged };
        let width = self.widths[index];
        if let Some(Held { low: Some(low), high: Some(high), .. }) = found.held
            && true_rest.is_none()
            && low > high + width
        {
            // Nobody can choose rightly here, so nobody loses points by it.
            (judged.verdict, judged.is_impossible) = (Verdict::Right, true);
            return judged;
        }
        let is_near = |value: f64| (answer - value).abs() <= width;
        let fits_truth = found.held.map_or_else(|| is_near(found.expected), |held| held.fits);
        let fits_own = || match found.held {
            None => found.own.is_some_and(is_near),
            Some(held) if !found.is_apart => held.fits,
            Some(_) => self.held(index, row, found.answer, &worked.own).is_some_and(|held| held.fits),
        };
        let by_ratio = |measures: &Measures| self.ratio((index, row), measures, &is_near);
        judged.verdict = if fits_truth && true_rest.is_none() {
            Verdict::Right
        } else if own_rest.is_none() && fits_own() {
            Verdict::RightFromOwn
        } else if true_rest.is_some() && own_rest.is_some() {
            Verdict::CantBeJudged
        } else if let Some(ratio) = by_ratio(&worked.truth).filter(|_| true_rest.is_none()) {
            judged.ratio = Some(ratio);
            Verdict::Right
        } else if let Some(ratio) = by_ratio(&worked.own).filter(|_| own_rest.is_none() && worked.is_parted) {
            judged.ratio = Some(ratio);
            Verdict::RightFromOwn
        } else if step.is_choice() {
            Verdict::OutsideRule
        } else {
            Verdict::NotRight
        };
        judged
    }

    /// Which of the classroom's ratios of a circle a step was worked with from some measures, if with one of them.
    fn ratio(
        &self,
        (index, row): (StepId, usize),
        measures: &Measures,
        is_near: &dyn Fn(f64) -> bool,
    ) -> Option<usize> {
        let step = &self.exercise.steps[index];
        let StepRule::Value(rule) = &step.rule else { return None };
        RATIOS.iter().position(|(ratio, _)| {
            let rule = rule.with_pi(*ratio);
            rule.and_then(|rule| follows(step, &rule, measures, row)).is_some_and(is_near)
        })
    }
}

/// What an answer is judged by.
struct Found {
    answer: Option<f64>,
    /// A choice, held against its true limits.
    held: Option<Held>,
    expected: f64,
    own: Option<f64>,
    /// Whether the student's own figures may lead to other limits.
    is_apart: bool,
}

/// A formula's value as a step would keep it, a length in whole nanometres; nothing, if it can't be worked out.
pub(in crate::check) fn follows(step: &Step, formula: &Formula, values: &impl Values, row: usize) -> Option<f64> {
    settled(step, formula.evaluate(values, Some(row))?)
}

fn settled(step: &Step, value: f64) -> Option<f64> {
    match step.kind.base {
        Base::Length => Length::from_nm_f64(value).map(Length::as_nm_f64),
        Base::Number | Base::Area | Base::Truth | Base::Word(_) => Some(value),
    }
}

#[cfg(test)]
mod tests {
    use super::super::tolerance::usual_width;
    use super::*;
    use crate::draft::{Draft, Givens, Raw, work};
    use crate::exercise::Shelf;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    /// The plain way, apart from the other: everything is worked first, and judged afterwards.
    fn worked_first(judge: &Judge, givens: &Measures, answers: &Answers) -> Result<Vec<Judged>, WorkFault> {
        let exercise = judge.exercise;
        let mut worked = Worked::new(exercise, givens);
        work(exercise, &mut worked.truth, &|step, row| {
            exercise.steps[step].is_choice().then(|| answers.get(answers.cell(step, row))).flatten()
        })?;
        // A step that can't be worked out from wild answers stays unset, and so do those after it.
        let _ = work(exercise, &mut worked.own, &|step, row| answers.get(answers.cell(step, row)));
        for &index in &exercise.order {
            let step = &exercise.steps[index];
            worked.rests.enter(step, index);
            worked.rests.leave(step, index, answers.cells(index).all(|cell| answers.get(cell).is_some()));
        }
        let verdict = |index: StepId, row: usize| {
            let step = &exercise.steps[index];
            let answer = answers.get(answers.cell(index, row));
            let held = judge.held(index, row, answer, &worked.truth);
            let own = match &step.rule {
                StepRule::Value(formula) => follows(step, formula, &worked.own, row),
                StepRule::Within { .. } => answer,
            };
            let expected = worked.truth.value(step.slot, row).unwrap();
            judge.decide(&worked, (index, row), &Found { answer, held, expected, own, is_apart: true })
        };
        let cells = exercise.steps.keys().flat_map(|step| (0..answers.cells(step).len()).map(move |row| (step, row)));
        Ok(cells.map(|(step, row)| verdict(step, row)).collect())
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 40, rng_seed: RngSeed::Fixed(5), failure_persistence: None, ..ProptestConfig::default() })]

        /// Working everything first and judging it afterwards comes to the same as judging on the way.
        #[test]
        fn judging_on_the_way_changes_nothing(turns in prop::collection::vec(0_u8..12, 64)) {
            for exercise in Shelf::shipped().iter() {
                let ruler = exercise.usual_ruler(false);
                let givens = Givens::read(exercise, &Raw::example(exercise), None, ruler).unwrap();
                let draft = Draft::new(exercise, givens.clone()).unwrap();
                let widths = exercise.steps.iter().map(|step| usual_width(step, ruler)).collect();
                let judge = Judge { exercise, widths };
                let mut answers = Answers::new(exercise, &givens.measures);
                let mut turns = turns.iter().cycle();
                for (index, step) in exercise.steps.iter_enumerated() {
                    for (row, cell) in answers.cells(index).enumerate() {
                        let right = draft.measures.value(step.slot, row).unwrap();
                        answers.set(cell, match turns.next() {
                            Some(0) => None,
                            Some(1) => Some(right + 3.0 * judge.widths[index]),
                            Some(2) => Some(libm::round(right / 2.0)),
                            // As wild as it may be without being absurd.
                            Some(3) => Some(right * 3.0),
                            _ => Some(right),
                        });
                    }
                }
                let (mut worked, mut absurd) = (Worked::new(exercise, &givens.measures), Vec::new());
                let found = judge.judge(&givens.measures, &answers, &mut worked, Some(&mut absurd));
                if !absurd.is_empty() {
                    continue;
                }
                let found = found.map(|()| worked.judged);
                prop_assert_eq!(found, worked_first(&judge, &givens.measures, &answers), "{}", exercise.name);
            }
        }
    }
}
