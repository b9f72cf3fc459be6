//! An invented student, who goes through the steps in the order of work with what they wrote down before, and writes
//! every answer on a ruler.

use super::problem::Dice;
use foldmark::draft::{Givens, Measures, broken_limit, range};
use foldmark::exercise::{Exercise, OnSheet, Step, StepId, StepRule};
use foldmark::formula::{Base, Formula, Slot, Values};
use foldmark::length::{Length, Rounding, Ruler, Tolerance};
use typed_index_collections::TiVec;

/// What comes of a mistake, from everything the student has before them, the row, and what would be right from it.
pub type Comes<'e> = dyn Fn(&Measures, usize, f64) -> Option<f64> + 'e;

/// What goes wrong in one step.
pub struct Wrong<'e> {
    pub step: StepId,
    /// The one row it concerns; all of them, if there is none.
    pub row: Option<usize>,
    pub value: Box<Comes<'e>>,
    /// Whether the student works on with it; otherwise only the pen slipped.
    pub carried: bool,
    /// Steps that come later and that the student had in view: they are as on the first time through.
    pub held: Vec<StepId>,
}

/// What a student worked with, and what they wrote down.
#[derive(Clone)]
pub struct Worked {
    pub hand: Measures,
    pub paper: Measures,
}

pub struct Student<'e> {
    pub exercise: &'e Exercise,
    pub givens: &'e Givens,
    /// What they measure with, and which way they round.
    pub ruler: Ruler,
    pub rounding: Rounding,
    /// Rounds up in some steps and down in others, as it comes.
    pub wavers: bool,
    /// What the sheet tells of its steps.
    pub told: Option<&'e Measures>,
    /// The rules as they know them, where that is not as the exercise has them: with a π of their own.
    pub rules: TiVec<StepId, Option<Formula>>,
    /// For each step and row where between its limits they like to choose; where there is none, as suggested.
    taste: TiVec<StepId, Vec<Option<f64>>>,
}

impl<'e> Student<'e> {
    pub fn new(exercise: &'e Exercise, givens: &'e Givens, dice: &mut Dice) -> Student<'e> {
        let taste = exercise.steps.iter().map(|step| {
            let rows = givens.measures.count(exercise, step.slot);
            (0..rows).map(|_| dice.percent(60).then(|| dice.share())).collect()
        });
        Student {
            exercise,
            givens,
            ruler: givens.ruler,
            rounding: Rounding::Nearest,
            wavers: false,
            told: None,
            rules: vec![None; exercise.steps.len()].into(),
            taste: taste.collect(),
        }
    }

    /// Chooses everywhere at one end of what is allowed: 0 for the least, 1 for the most.
    pub fn choosing_at(mut self, end: f64) -> Student<'e> {
        self.taste.iter_mut().flatten().for_each(|taste| *taste = Some(end * 0.999_999));
        self
    }

    /// Works with another number for π.
    pub fn with_pi(mut self, pi: &str) -> Student<'e> {
        for (index, step) in self.exercise.steps.iter_enumerated() {
            let StepRule::Value(rule) = &step.rule else { continue };
            let text = with_pi(rule.text(), pi);
            if text != rule.text() {
                self.rules[index] = Formula::compile(&text, &self.exercise.scope).ok();
            }
        }
        self
    }

    /// The whole sheet with nothing wrong.
    pub fn right(&self) -> Option<Worked> {
        self.work(&self.givens.measures, &[], None)
    }

    /// The whole sheet. The givens are as the student reads them; `first` is a first time through, for slips that have later
    /// steps in view.
    pub fn work(&self, read: &Measures, wrongs: &[Wrong], first: Option<&Worked>) -> Option<Worked> {
        let exercise = self.exercise;
        let mut hand = first.map_or_else(|| read.clone(), |first| first.hand.clone());
        let mut paper = self.givens.measures.clone();
        for &index in &exercise.order {
            let step = &exercise.steps[index];
            let rows = hand.count(exercise, step.slot);
            let held = wrongs.iter().any(|wrong| wrong.held.contains(&index));
            let mut rights = Vec::with_capacity(rows);
            for row in 0..rows {
                let told = self.told.filter(|_| step.on_sheet == OnSheet::Told);
                let right = match told {
                    Some(told) => told.value(step.slot, row),
                    None if held => hand.value(step.slot, row),
                    None => self.answer(index, row, &hand),
                };
                rights.push(right?);
                let written = match step.on_sheet {
                    OnSheet::Asked => self.written(step, right?)?,
                    // What the sheet tells is taken as it stands, and what it does not ask for is reckoned and not measured.
                    OnSheet::Told | OnSheet::Silent => right?,
                };
                hand.set(step.slot, row, written);
                paper.set(step.slot, row, written);
            }
            for (row, right) in rights.into_iter().enumerate() {
                let here = |wrong: &&Wrong| wrong.step == index && wrong.row.is_none_or(|only| only == row);
                let Some(wrong) = wrongs.iter().find(here) else { continue };
                let written = self.written(step, (wrong.value)(&hand, row, right)?)?;
                paper.set(step.slot, row, written);
                if wrong.carried {
                    hand.set(step.slot, row, written);
                }
            }
        }
        Some(Worked { hand, paper })
    }

    /// What the student's rule gives for a step, not rounded; of a choice what they like.
    pub fn answer(&self, index: StepId, row: usize, hand: &Measures) -> Option<f64> {
        let step = &self.exercise.steps[index];
        match (&step.rule, &self.rules[index]) {
            (StepRule::Value(_), Some(own)) => own.evaluate(hand, Some(row)),
            (StepRule::Value(rule), None) => rule.evaluate(hand, Some(row)),
            (StepRule::Within { suggest, .. }, _) => {
                Some(self.choice(step, row, hand, suggest.evaluate(hand, Some(row))?, self.taste[index][row]))
            }
        }
    }

    /// A tick within the limits that follow from the student's own figures, if there is one.
    fn choice(&self, step: &Step, row: usize, hand: &Measures, suggested: f64, taste: Option<f64>) -> f64 {
        let tick = self.ruler.tick().as_nm_f64();
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

    /// As it is written down: on a tick. `None` for what nobody would write: less than nothing, or miles.
    pub fn written(&self, step: &Step, value: f64) -> Option<f64> {
        match step.kind.base {
            Base::Length if self.wavers => {
                on_ruler(self.ruler, if step.slot.0.is_multiple_of(2) { Rounding::Up } else { Rounding::Down }, value)
            }
            Base::Length => on_ruler(self.ruler, self.rounding, value),
            _ => Some(value).filter(|value| *value >= 0.0),
        }
    }
}

/// A length on a tick; a rounding error of the arithmetic costs no tick.
pub fn on_ruler(ruler: Ruler, rounding: Rounding, value: f64) -> Option<f64> {
    let length = Length::from_nm_f64(value)?;
    let nearest = length.round_to(ruler.tick(), Rounding::Nearest);
    let near = (nearest.nm() - length.nm()).abs() <= 1_000;
    let written = if near { nearest } else { length.round_to(ruler.tick(), rounding) };
    (!written.is_negative() && written.nm() < Length::LIMIT.nm() / 4).then(|| written.as_nm_f64())
}

/// A formula's text with another number for π.
pub fn with_pi(text: &str, pi: &str) -> String {
    let is_name = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '.';
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find("pi") {
        let alone = !rest[..at].ends_with(is_name) && !rest[at + 2..].starts_with(is_name);
        out.push_str(&rest[..at]);
        out.push_str(if alone { pi } else { "pi" });
        rest = &rest[at + 2..];
    }
    out + rest
}

/// The steps after this one that a slip reads, and what they rest on: a student who makes it has them in view.
pub fn looked_ahead(exercise: &Exercise, step: StepId, used: &[Slot]) -> Vec<StepId> {
    let place = |step: StepId| exercise.order.iter().position(|index| *index == step);
    let mut held: Vec<StepId> = Vec::new();
    let mut open: Vec<StepId> =
        exercise.steps.keys().filter(|other| used.contains(&exercise.steps[*other].slot)).collect();
    while let Some(other) = open.pop() {
        if place(other) > place(step) && !held.contains(&other) {
            held.push(other);
            open.extend(&exercise.steps[other].uses);
        }
    }
    held
}
