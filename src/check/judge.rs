//! The verdict on one answer: against the true values, and with the student's own earlier answers put in.

use super::verdict::Verdict;
use crate::draft::{Held, Measures, WorkFault, held, whole, work};
use crate::exercise::{Exercise, Step, StepId, StepRule};
use crate::formula::{Base, Formula, Values};
use crate::length::{Length, Ruler, Tolerance};
use typed_index_collections::TiVec;

/// The answers of a sheet as values, by step and row.
#[derive(Debug, Clone)]
pub(super) struct Answers {
    /// Where each step's cells begin; one more for the end.
    starts: Vec<usize>,
    values: Vec<Option<f64>>,
}

impl Answers {
    /// Room for every answer that is asked for.
    pub fn new(exercise: &Exercise, shape: &Measures) -> Answers {
        let mut answers = Answers { starts: Vec::new(), values: Vec::new() };
        answers.reshape(exercise, shape);
        answers
    }

    /// Takes all answers out, for a sheet that may have other rows.
    pub fn reshape(&mut self, exercise: &Exercise, shape: &Measures) {
        let mut next = 0;
        self.starts.clear();
        self.starts.push(next);
        self.starts.extend(exercise.steps.iter().map(|step| {
            next += shape.count(exercise, step.slot);
            next
        }));
        self.values.clear();
        self.values.resize(next, None);
    }

    /// Which cell a row of a step is.
    pub fn cell(&self, step: StepId, row: usize) -> usize {
        self.starts[step.0] + row
    }

    /// The cells of a step.
    pub fn cells(&self, step: StepId) -> std::ops::Range<usize> {
        self.starts[step.0]..self.starts[step.0 + 1]
    }

    /// How many cells there are.
    pub fn len(&self) -> usize {
        self.values.len()
    }

    /// An answer, if there is one.
    pub fn get(&self, step: StepId, row: usize) -> Option<f64> {
        self.values[self.cell(step, row)]
    }

    /// Whether there is an answer in a cell.
    pub fn has(&self, cell: usize) -> bool {
        self.values[cell].is_some()
    }

    /// Puts an answer in, or takes it out.
    pub fn set(&mut self, cell: usize, value: Option<f64>) {
        self.values[cell] = value;
    }

    /// Whether every answer is there.
    fn is_complete(&self) -> bool {
        self.values.iter().all(Option::is_some)
    }

    fn has_all(&self, step: StepId) -> bool {
        self.values[self.cells(step)].iter().all(Option::is_some)
    }
}

/// Half of the last decimal that a number is written with: a count is right or wrong, with no ruler between.
pub(super) const LAST_DECIMAL: f64 = 5e-5;

/// How far an answer may be off where the sheet and the class say nothing else: the step's own tolerance, else one
/// tick of the ruler, half of one where it has to be right to the tick; nothing for a number.
pub(super) fn usual_width(step: &Step, ruler: Ruler) -> f64 {
    match (step.kind.base, &step.rule) {
        // A choice is one's own to write down, and its limits are to be kept.
        (Base::Length, StepRule::Within { .. }) if step.is_exact => Tolerance::micrometre().width().as_nm_f64(),
        (Base::Length, StepRule::Value(_)) if step.is_exact => Tolerance::half_tick(ruler).width().as_nm_f64(),
        (Base::Length, _) => step.tolerance.map_or(ruler.tick(), |tolerance| tolerance).as_nm_f64(),
        _ => LAST_DECIMAL,
    }
}

/// Whether a slip's value is so far from the right one that marking can tell them apart.
pub fn is_told_apart(step: &Step, slip: f64, right: f64, ruler: Ruler) -> bool {
    (slip - right).abs() > usual_width(step, ruler)
}

/// Judges answers of one exercise.
#[derive(Debug, Clone)]
pub(super) struct Judge<'e> {
    pub exercise: &'e Exercise,
    /// How far each step's answer may be off.
    pub widths: TiVec<StepId, f64>,
}

/// A sheet worked: what its answers are compared with.
#[derive(Debug, Clone)]
pub(super) struct Worked {
    /// With the true values, and the student's choices.
    pub truth: Measures,
    /// With every answer of the student's put in.
    pub own: Measures,
    pub rests: Rests,
    /// Whether a step's own values differ from the true ones.
    is_apart: TiVec<StepId, bool>,
    /// Whether any do; until then the own values are not kept.
    is_parted: bool,
    /// Whether the student's own figures led to something that can't be worked out: nothing follows from them then.
    is_lost: bool,
}

impl Worked {
    /// Room to work sheets of an exercise, the first of them from these givens.
    pub fn new(exercise: &Exercise, givens: &Measures) -> Worked {
        Worked {
            truth: givens.clone(),
            own: givens.clone(),
            rests: Rests::none(exercise),
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
pub(super) struct Judged {
    pub verdict: Verdict,
    /// What follows from the true values; not a number where it rests on a choice that is missing.
    pub expected: f64,
    /// What follows from the student's own earlier answers.
    pub own: f64,
    /// Nobody could choose rightly: the limits leave nothing.
    pub is_impossible: bool,
}

impl Judged {
    const NOTHING: Judged =
        Judged { verdict: Verdict::Missing, expected: f64::NAN, own: f64::NAN, is_impossible: false };
}

/// A choice so many times beyond its upper limit is a slip of the pen or the unit: it is taken out of the answers, and
/// nothing is worked from it.
const ABSURD: f64 = 10.0;

impl Judge<'_> {
    /// How far a step's answer may be off.
    pub fn tolerance(&self, step: StepId) -> Tolerance {
        Tolerance::of(Length::from_nm_f64(self.widths[step]).unwrap_or_default())
    }

    /// Works the exercise both ways.
    ///
    /// # Errors
    /// The first step that can't be worked out from the givens and the choices.
    pub fn work(&self, givens: &Measures, answers: &Answers) -> Result<Worked, WorkFault> {
        let exercise = self.exercise;
        let mut worked = Worked::new(exercise, givens);
        work(exercise, &mut worked.truth, &|step, row| {
            exercise.steps[step].is_choice().then(|| answers.get(step, row)).flatten()
        })?;
        // A step that can't be worked out from wild answers stays unset, and so do those after it.
        let _ = work(exercise, &mut worked.own, &|step, row| answers.get(step, row));
        for &index in &exercise.order {
            let step = &exercise.steps[index];
            worked.rests.enter(step, index);
            worked.rests.leave(step, index, answers.has_all(index));
        }
        Ok(worked)
    }

    /// What is found about a step's answer in one row.
    pub fn verdict(&self, worked: &Worked, answers: &Answers, index: StepId, row: usize) -> Judged {
        let step = &self.exercise.steps[index];
        let answer = answers.get(index, row);
        let held = self.held(index, row, answer, &worked.truth);
        let own = match &step.rule {
            StepRule::Value(formula) => follows(step, formula, &worked.own, row),
            StepRule::Within { .. } => answer.unwrap_or(f64::NAN),
        };
        let expected = worked.truth.value(step.slot, row).unwrap_or(f64::NAN);
        self.decide(worked, (index, row), &Found { answer, held, expected, own, is_apart: true })
    }

    /// What is found about every answer.
    pub fn verdicts(&self, worked: &Worked, answers: &Answers) -> Vec<Judged> {
        let cells = self.exercise.steps.keys().flat_map(|step| {
            let rows = 0..answers.cells(step).len();
            rows.map(move |row| (step, row))
        });
        cells.map(|(step, row)| self.verdict(worked, answers, step, row)).collect()
    }

    /// Works the exercise both ways and judges every answer on the way: as [`Judge::work`] and [`Judge::verdict`] one after
    /// the other, but nothing is worked twice. `worked.truth` holds the givens. Absurd choices are taken out of the answers,
    /// and their cells told.
    ///
    /// # Errors
    /// The first step that can't be worked out from the givens and the choices.
    pub fn judge(
        &self,
        worked: &mut Worked,
        answers: &mut Answers,
        judged: &mut Vec<Judged>,
        absurd: &mut Vec<usize>,
    ) -> Result<(), WorkFault> {
        (worked.is_parted, worked.is_lost) = (false, false);
        // Where nothing is missing, nothing rests on what is missing.
        let mut has_gaps = !answers.is_complete();
        worked.rests.clear();
        judged.clear();
        judged.resize(answers.len(), Judged::NOTHING);
        for &index in &self.exercise.order {
            let step = &self.exercise.steps[index];
            // Where all that a step uses is as it should be, what follows from it is the same both ways.
            let is_apart = worked.is_lost || worked.is_parted && step.uses.iter().any(|used| worked.is_apart[*used]);
            let mut comes_apart = false;
            if has_gaps {
                worked.rests.enter(step, index);
            }
            for (row, cell) in answers.cells(index).enumerate() {
                let mut answer = answers.values[cell];
                let mut held = self.held(index, row, answer, &worked.truth);
                if held.zip(answer).is_some_and(|(held, answer)| is_absurd(held, answer)) {
                    absurd.push(cell);
                    answers.set(cell, None);
                    (answer, held, has_gaps) = (None, None, true);
                }
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
                    judged[cell] =
                        Judged { verdict: Verdict::Right, expected: truth, own: truth, is_impossible: false };
                    continue;
                }
                let follows = match chosen {
                    None if is_apart => formula.evaluate(&worked.own, Some(row)).unwrap_or(f64::NAN),
                    _ => truth,
                };
                comes_apart |= worked.follow(step, row, answer.or_else(|| whole(step, follows)), truth);
                let own = if step.is_choice() { answer.unwrap_or(f64::NAN) } else { settled(step, follows) };
                judged[cell] =
                    self.decide(worked, (index, row), &Found { answer, held, expected: truth, own, is_apart });
            }
            if has_gaps {
                worked.rests.leave(step, index, answers.has_all(index));
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
        let expected = if true_rest.is_none() { found.expected } else { f64::NAN };
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
        let fits_truth = found.held.map_or_else(|| is_near(expected), |held| held.fits);
        let fits_own = || match found.held {
            None => is_near(found.own),
            Some(held) if !found.is_apart => held.fits,
            Some(_) => self.held(index, row, found.answer, &worked.own).is_some_and(|held| held.fits),
        };
        judged.verdict = if fits_truth && true_rest.is_none() {
            Verdict::Right
        } else if own_rest.is_none() && fits_own() {
            Verdict::RightFromOwn
        } else if true_rest.is_some() && own_rest.is_some() {
            Verdict::Missing
        } else if step.is_choice() {
            Verdict::OutsideRule
        } else {
            Verdict::NotRight
        };
        judged
    }
}

fn is_absurd(held: Held, answer: f64) -> bool {
    held.high.is_some_and(|most| most > 0.0 && answer > ABSURD * most)
}

/// What an answer is judged by.
struct Found {
    answer: Option<f64>,
    /// A choice, held against its true limits.
    held: Option<Held>,
    expected: f64,
    own: f64,
    /// Whether the student's own figures may lead to other limits.
    is_apart: bool,
}

/// A formula's value as a step would keep it: a length in whole nanometres.
pub(super) fn follows(step: &Step, formula: &Formula, values: &impl Values, row: usize) -> f64 {
    settled(step, formula.evaluate(values, Some(row)).unwrap_or(f64::NAN))
}

fn settled(step: &Step, value: f64) -> f64 {
    match step.kind.base {
        Base::Length => Length::from_nm_f64(value).map_or(f64::NAN, Length::as_nm_f64),
        _ => value,
    }
}

/// Which steps rest on a choice that is missing or can't be read, directly or through others: by the true
/// values, and by the student's own answers. A choice that was made carries nothing on: what follows it is
/// worked from the choice itself.
#[derive(Debug, Clone)]
pub(super) struct Rests {
    pub truth: TiVec<StepId, Option<StepId>>,
    pub own: TiVec<StepId, Option<StepId>>,
    /// What each step carries on to those that use it.
    pub true_carry: TiVec<StepId, Option<StepId>>,
    /// The same, by the student's own answers.
    pub own_carry: TiVec<StepId, Option<StepId>>,
    /// Whether no step rests on anything.
    is_clear: bool,
}

impl Rests {
    fn none(exercise: &Exercise) -> Rests {
        let nothing = || TiVec::from(vec![None; exercise.steps.len()]);
        Rests { truth: nothing(), own: nothing(), true_carry: nothing(), own_carry: nothing(), is_clear: true }
    }

    fn clear(&mut self) {
        if std::mem::replace(&mut self.is_clear, true) {
            return;
        }
        for rests in [&mut self.truth, &mut self.own, &mut self.true_carry, &mut self.own_carry] {
            rests.fill(None);
        }
    }

    /// What a step rests on, once those that it uses were left.
    fn enter(&mut self, step: &Step, index: StepId) {
        self.is_clear = false;
        self.truth[index] = step.uses.iter().find_map(|used| self.true_carry[*used]);
        self.own[index] = step.uses.iter().find_map(|used| self.own_carry[*used]);
    }

    /// What a step carries on.
    fn leave(&mut self, step: &Step, index: StepId, is_answered: bool) {
        self.true_carry[index] = if step.is_choice() { (!is_answered).then_some(index) } else { self.truth[index] };
        self.own_carry[index] = match (is_answered, step.is_choice()) {
            (true, _) => None,
            (false, true) => Some(index),
            (false, false) => self.own[index],
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draft::{Draft, Givens, Raw};
    use crate::exercise::Shelf;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

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
                let (mut worked, mut judged, mut absurd) =
                    (Worked::new(exercise, &givens.measures), Vec::new(), Vec::new());
                let found = judge.judge(&mut worked, &mut answers.clone(), &mut judged, &mut absurd);
                if !absurd.is_empty() {
                    continue;
                }
                let after = judge.work(&givens.measures, &answers);
                prop_assert_eq!(found.err(), after.as_ref().err().cloned());
                if let Ok(after) = after {
                    let bits = |judged: Vec<Judged>| {
                        let bits = |one: Judged| (one.verdict, one.expected.to_bits(), one.own.to_bits(), one.is_impossible);
                        judged.into_iter().map(bits).collect::<Vec<_>>()
                    };
                    prop_assert_eq!(bits(judged), bits(judge.verdicts(&after, &answers)), "{}", exercise.name);
                }
            }
        }
    }
}
