//! Mistakes that give the same number as another: nobody could tell them apart from the number alone.

use super::general::{General, general, misread};
use super::injections::Injection;
use super::student::{Moment, Sheet, Student};
use foldmark::draft::Measures;
use foldmark::exercise::{GivenKind, SlipId, StepId, StepRule};
use foldmark::formula::Values;

/// Whether the number that came of it is also that of another known mistake.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Twin {
    None,
    /// Of one on the general list, or of a misread given that nothing else reads.
    General,
    /// Of another of the exercise's own slips, or closer to it than a tick.
    Own,
}

/// What other mistakes could have given the numbers of a sheet.
pub struct Twins<'t> {
    student: &'t Student<'t>,
    injection: &'t Injection<'t>,
    paper: &'t Measures,
    /// The student's own figures with every given read as it stands and every empty line filled in rightly; and exact
    /// ones.
    hands: [Measures; 2],
}

impl<'t> Twins<'t> {
    pub fn new(student: &'t Student<'t>, sheet: &'t Sheet, injection: &'t Injection<'t>) -> Option<Twins<'t>> {
        let exercise = student.exercise;
        let mut hand = sheet.hand.clone();
        if let Some((slot, row, _)) = injection.misread {
            hand.set(slot, row, student.givens.measures.value(slot, row).unwrap_or(f64::NAN));
        }
        for mistake in injection.mistakes.iter().filter(|mistake| mistake.blank) {
            let step = &exercise.steps[mistake.step];
            let StepRule::Value(formula) = &step.rule else { continue };
            for row in 0..hand.count(exercise, step.slot) {
                let right = formula.evaluate(&hand, Some(row)).unwrap_or(f64::NAN);
                hand.set(step.slot, row, right);
            }
        }
        let truth = student.truth(&sheet.paper)?;
        Some(Twins { student, injection, paper: &sheet.paper, hands: [hand, truth] })
    }

    /// The names of those in one cell, beside the wanted ones.
    pub fn of(&self, cell: (StepId, usize), wanted: &[&[&str]]) -> (Vec<&'t str>, Twin) {
        let exercise = self.student.exercise;
        let (mut names, mut twin) = (Vec::new(), Twin::None);
        let is_wanted = |name: &str| wanted.iter().any(|names| names.contains(&name));
        let mut add = |name: &'t str, of: Twin| {
            if !is_wanted(name) {
                names.push(name);
                twin = twin.max(of);
            }
        };
        let tick = self.student.givens.ruler.tick().as_nm_f64();
        let written = self.paper.value(exercise.steps[cell.0].slot, cell.1).unwrap_or(f64::NAN);
        let near = |value: f64, within: f64| (value - written).abs() <= within + 1.0;
        // Two own slips that are closer than a tick can't be told apart on the ruler.
        let an_own_slip = exercise.slips.iter().any(|slip| is_wanted(&slip.name));
        for hand in &self.hands {
            let moment = self.moment(cell, hand);
            for (kind, value) in general(&moment) {
                // Two answers in each other's place are told by both together.
                let exchanged = kind == General::Partner
                    || is_wanted("exchanged") && matches!(kind, General::LineAbove | General::LineBelow);
                if near(value, tick / 2.0) && !exchanged && moment.so_far.is_finite() {
                    kind.names().iter().for_each(|name| add(name, Twin::General));
                }
            }
            if misread_here(&moment).into_iter().any(|value| near(value, tick / 2.0)) {
                add("given-misread", Twin::General);
            }
            for (slip, value) in own_values(&moment) {
                if near(value, if an_own_slip { tick } else { tick / 2.0 }) {
                    add(&exercise.slips[slip].name, Twin::Own);
                }
            }
        }
        if self.is_as_if_exchanged(tick / 2.0) {
            add("exchanged", Twin::General);
        }
        (names, twin)
    }

    fn moment<'m>(&'m self, (step, row): (StepId, usize), hand: &'m Measures) -> Moment<'m> {
        let exercise = self.student.exercise;
        let so_far = match &exercise.steps[step].rule {
            StepRule::Value(formula) => formula.evaluate(hand, Some(row)).unwrap_or(f64::NAN),
            StepRule::Within { .. } => f64::NAN,
        };
        Moment { exercise, ruler: self.student.givens.ruler, step, row, hand, so_far }
    }

    /// Whether two slips gave each the number of the other step.
    fn is_as_if_exchanged(&self, within: f64) -> bool {
        let [one, other] = &self.injection.mistakes[..] else { return false };
        let paper = |step: StepId| self.paper.value(self.student.exercise.steps[step].slot, 0).unwrap_or(f64::NAN);
        let right = |step: StepId| self.moment((step, 0), &self.hands[0]).so_far;
        one.step != other.step
            && (paper(one.step) - right(other.step)).abs() <= within + 1.0
            && (paper(other.step) - right(one.step)).abs() <= within + 1.0
    }
}

/// The exercise's own slips in this step, by index, with what comes of them.
pub fn own_values(moment: &Moment) -> Vec<(SlipId, f64)> {
    let slips =
        moment.exercise.slips.iter_enumerated().filter(|(_, slip)| {
            slip.step == moment.step && slip.when.as_ref().is_none_or(|when| when.holds(moment.hand))
        });
    slips.map(|(index, slip)| (index, slip.used.evaluate(moment.hand, Some(moment.row)).unwrap_or(f64::NAN))).collect()
}

/// Givens that only this step reads, misread: on the sheet this can't be told from a misread answer.
fn misread_here(moment: &Moment) -> Vec<f64> {
    let exercise = moment.exercise;
    let StepRule::Value(formula) = &exercise.steps[moment.step].rule else { return Vec::new() };
    let mut values = Vec::new();
    for given in &exercise.givens {
        let GivenKind::Length { slot, .. } = given.kind else { continue };
        let readers =
            exercise.steps.iter().filter(|step| step.formulas().any(|formula| formula.uses().contains(&slot)));
        if !formula.uses().contains(&slot) || readers.count() > 1 {
            continue;
        }
        for read in misread(moment.ruler, moment.hand.value(slot, 0).unwrap_or(f64::NAN)) {
            let mut hand = moment.hand.clone();
            hand.set(slot, 0, read);
            values.push(formula.evaluate(&hand, Some(moment.row)).unwrap_or(f64::NAN));
        }
    }
    values
}
