//! An invented student, who goes through the steps in the order of work, with what they wrote down before, and writes
//! every answer on the ruler.

use super::problem::Dice;
use foldmark::draft::{Draft, Givens, Measures, broken_limit, range, work};
use foldmark::exercise::{Exercise, Step, StepId, StepRule};
use foldmark::formula::{Base, Slot, Values};
use foldmark::length::{Length, Ruler, Tolerance};
use typed_index_collections::TiVec;

/// What a student has before them as they answer a step.
pub struct Moment<'m> {
    pub exercise: &'m Exercise,
    pub ruler: Ruler,
    pub step: StepId,
    pub row: usize,
    /// Everything the student works with: the givens as they read them, and their answers so far. For the steps
    /// still to come, what a first time through without a mistake gave.
    pub hand: &'m Measures,
    /// What they would write, if nothing (more) went wrong; not rounded.
    pub so_far: f64,
}

/// Something that goes wrong in one step.
pub struct Mistake<'e> {
    pub step: StepId,
    /// The one row it concerns; all of them, if there is none.
    pub row: Option<usize>,
    /// What comes of it.
    pub value: Box<dyn Fn(&Moment) -> f64 + 'e>,
    /// Whether the student works on with it; otherwise only the pen slipped.
    pub carried: bool,
    /// Whether it is written as it is, without looking for the nearest tick.
    pub exact: bool,
    /// Whether the line stays empty, though the student works on with the value.
    pub blank: bool,
    /// Steps that are as they were on the first time through, since this mistake was made with them in view.
    pub held: Vec<StepId>,
}

/// What a student did: what they worked with, and what they handed in.
pub struct Sheet {
    pub hand: Measures,
    pub paper: Measures,
}

pub struct Student<'e> {
    pub exercise: &'e Exercise,
    pub givens: &'e Givens,
    /// For each step and row where between its limits they like to choose; where there is none, as suggested.
    taste: TiVec<StepId, Vec<Option<f64>>>,
}

impl<'e> Student<'e> {
    pub fn new(exercise: &'e Exercise, givens: &'e Givens, dice: &mut Dice) -> Student<'e> {
        let taste = exercise.steps.iter().map(|step| {
            let rows = givens.measures.count(exercise, step.slot);
            (0..rows).map(|_| dice.percent(60).then(|| dice.share())).collect()
        });
        Student { exercise, givens, taste: taste.collect() }
    }

    /// Works the whole sheet. A misread given is as the student reads it; `first` is the first time through.
    pub fn work(
        &self,
        mistakes: &[Mistake],
        misread: Option<(Slot, usize, f64)>,
        first: Option<&Sheet>,
    ) -> Option<Sheet> {
        let exercise = self.exercise;
        let mut hand = first.map_or_else(|| self.givens.measures.clone(), |first| first.hand.clone());
        let mut paper = self.givens.measures.clone();
        if let Some((slot, row, value)) = misread {
            hand.set(slot, row, value);
        }
        for &index in &exercise.order {
            let step = &exercise.steps[index];
            let rows = hand.count(exercise, step.slot);
            let held = mistakes.iter().any(|mistake| mistake.held.contains(&index));
            let mut right = Vec::new();
            for row in 0..rows {
                let value =
                    if held { hand.value(step.slot, row).unwrap_or(f64::NAN) } else { self.right(index, row, &hand) };
                right.push(value);
                let written = on_ruler(step, self.givens.ruler, value)?;
                hand.set(step.slot, row, written);
                paper.set(step.slot, row, written);
            }
            for (row, right) in right.into_iter().enumerate() {
                let here = mistakes
                    .iter()
                    .filter(|mistake| mistake.step == index && mistake.row.is_none_or(|only| only == row));
                let mut so_far = right;
                let mut carried = None;
                for mistake in here {
                    let ruler = self.givens.ruler;
                    let moment = Moment { exercise, ruler, step: index, row, hand: &hand, so_far };
                    so_far = (mistake.value)(&moment);
                    let written =
                        if mistake.exact { exactly(so_far)? } else { on_ruler(step, self.givens.ruler, so_far)? };
                    paper.set(step.slot, row, if mistake.blank { f64::NAN } else { written });
                    carried = mistake.carried.then_some(written);
                }
                if let Some(value) = carried {
                    hand.set(step.slot, row, value);
                }
            }
        }
        Some(Sheet { hand, paper })
    }

    fn right(&self, index: StepId, row: usize, hand: &Measures) -> f64 {
        let step = &self.exercise.steps[index];
        match &step.rule {
            StepRule::Value(formula) => formula.evaluate(hand, Some(row)).unwrap_or(f64::NAN),
            StepRule::Within { suggest, .. } => self.choice(
                step,
                row,
                hand,
                suggest.evaluate(hand, Some(row)).unwrap_or(f64::NAN),
                self.taste[index][row],
            ),
        }
    }

    /// A tick within the limits that follow from the student's own figures, if there is one.
    fn choice(&self, step: &Step, row: usize, hand: &Measures, suggested: f64, taste: Option<f64>) -> f64 {
        let tick = self.givens.ruler.tick().as_nm_f64();
        let holds = |value: f64| broken_limit(step, value, hand, row, Tolerance::exactly()).is_none();
        let suggested = (suggested / tick).round() * tick;
        let (low, high) = range(step, hand, row);
        let low = low.map_or(tick, |bound| bound.value);
        let high = high.map_or(low.max(suggested) * 1.25, |bound| bound.value);
        let ticks: Vec<f64> = ((low / tick).floor() as i64..=(high / tick).ceil() as i64)
            .map(|count| count as f64 * tick)
            .filter(|value| holds(*value))
            .collect();
        match taste {
            Some(taste) if !ticks.is_empty() => ticks[(taste * ticks.len() as f64) as usize],
            _ if holds(suggested) => suggested,
            _ => {
                let nearest = ticks.into_iter().min_by(|a, b| (a - suggested).abs().total_cmp(&(b - suggested).abs()));
                nearest.unwrap_or(suggested)
            }
        }
    }

    /// What follows from the givens and the student's choices, not rounded.
    pub fn truth(&self, paper: &Measures) -> Option<Measures> {
        let mut truth = self.givens.measures.clone();
        let choose = |index: StepId, row: usize| {
            let step = &self.exercise.steps[index];
            let value = paper.value(step.slot, row).unwrap_or(f64::NAN);
            (matches!(step.rule, StepRule::Within { .. }) && value.is_finite()).then_some(value)
        };
        work(self.exercise, &mut truth, &choose).ok()?;
        Some(truth)
    }

    /// What would be read off the sheet by the rules alone, as a teacher with a pencil would: which answers are wrong both
    /// by the true values and by the student's own.
    pub fn wrong_cells(&self, paper: &Measures) -> Option<Vec<(StepId, usize)>> {
        let exercise = self.exercise;
        let ruler = self.givens.ruler;
        let truth = self.truth(paper)?;
        let mut own = self.givens.measures.clone();
        let answered = |index: StepId, row: usize| {
            let value = paper.value(exercise.steps[index].slot, row).unwrap_or(f64::NAN);
            value.is_finite().then_some(value)
        };
        work(exercise, &mut own, &answered).ok()?;
        let mut wrong = Vec::new();
        for (index, step) in exercise.steps.iter_enumerated() {
            let tolerance = tolerance(step, ruler);
            for row in 0..paper.count(exercise, step.slot) {
                let value = paper.value(step.slot, row).unwrap_or(f64::NAN);
                let is_wrong = |measures: &Measures| match &step.rule {
                    StepRule::Value(formula) => {
                        let right = formula.evaluate(measures, Some(row)).unwrap_or(f64::NAN);
                        (value - right).abs() > tolerance.width().as_nm_f64() + 1.0
                    }
                    StepRule::Within { .. } => {
                        let possible = match range(step, measures, row) {
                            (Some(low), Some(high)) => low.value <= high.value,
                            _ => true,
                        };
                        possible && broken_limit(step, value, measures, row, tolerance).is_some()
                    }
                };
                if value.is_finite() && is_wrong(&truth) && is_wrong(&own) {
                    wrong.push((index, row));
                }
            }
        }
        Some(wrong)
    }

    /// The sheet as it is handed in.
    pub fn draft(&self, paper: &Measures) -> Draft<'e> {
        Draft { exercise: self.exercise, givens: self.givens.clone(), measures: paper.clone() }
    }
}

/// One tick, unless the exercise says otherwise: the rule in the design.
pub fn tolerance(step: &Step, ruler: Ruler) -> Tolerance {
    step.tolerance.map_or_else(|| Tolerance::one_tick(ruler), Tolerance::of)
}

/// As it is written down: on the nearest tick. `None` for what nobody would write: less than nothing, or miles.
pub fn on_ruler(step: &Step, ruler: Ruler, value: f64) -> Option<f64> {
    let length = Length::from_nm_f64(value)?;
    match step.kind.base {
        Base::Length => exactly(ruler.nearest(length).as_nm_f64()),
        _ => exactly(value),
    }
}

fn exactly(value: f64) -> Option<f64> {
    (value >= 0.0 && value < Length::LIMIT.as_nm_f64() / 4.0).then(|| value.round())
}
