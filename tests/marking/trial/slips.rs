//! Every slip in a rule that the trial makes: what was worked out instead, as a formula that tells its value for any givens.

use super::by_hand::ByHand;
use super::changes::{Change, Site};
use super::tree;
use foldmark::draft::Measures;
use foldmark::exercise::{Exercise, StepId, StepRule};
use foldmark::formula::{Formula, Values};

/// One kind of slip in one step of one exercise.
#[derive(Clone)]
pub struct Slip {
    pub step: StepId,
    pub used: Formula,
    /// Which kind of change it is.
    pub kind: &'static str,
    /// What was changed, in a few words.
    pub what: String,
}

impl Slip {
    pub fn value(&self, values: &Measures, row: usize) -> Option<f64> {
        self.used.evaluate(values, Some(row))
    }
}

/// The slips of an exercise, those of the changes and those thought out, each meaning once; none that is right always or
/// that the author foresaw, as far as some drafts of the exercise tell.
pub fn slips(
    exercise: &Exercise,
    metric: bool,
    changes: &[Change],
    by_hand: &[ByHand],
    drafts: &[&Measures],
) -> Vec<Slip> {
    let mut all: Vec<Slip> = Vec::new();
    let mut add = |step: StepId, text: &str, kind: &'static str, what: String| {
        let Ok(used) = Formula::compile(text, &exercise.scope) else { return false };
        let base = exercise.steps[step].kind;
        let slip = Slip { step, used, kind, what };
        let known = slip.used.kind().base == base.base
            && !all.iter().any(|other| other.step == step && same(&slip.used, &other.used, exercise, step, drafts));
        if known {
            all.push(slip);
        }
        true
    };
    for (name, step, used, what) in by_hand.iter().filter(|(name, ..)| *name == exercise.name) {
        let step = exercise.step_id(step).unwrap_or_else(|| panic!("{name} has no step {step}"));
        assert!(add(step, used, "thought out", format!("{}: {what}", exercise.steps[step].name)), "{name}: {used}");
    }
    for (index, step) in exercise.steps.iter_enumerated() {
        let StepRule::Value(rule) = &step.rule else { continue };
        let whole = tree::read(rule.text()).unwrap_or_else(|| panic!("{}: {}", exercise.name, rule.text()));
        let site = Site { exercise, step: index, metric, drafts };
        for (kind, change) in changes {
            for (what, changed) in whole.changed(&|part| change(&site, part)) {
                add(index, &changed.to_string(), kind, format!("{}: {kind}: {what}", step.name));
            }
        }
    }
    all.retain(|slip| {
        let StepRule::Value(rule) = &exercise.steps[slip.step].rule else { return false };
        !same(&slip.used, rule, exercise, slip.step, drafts) && is_likely(slip, rule, drafts)
    });
    all
}

/// Whether a student would take what comes of it for an answer: no less than a quarter of the right one, and no more than
/// four times as much, in half of the drafts.
fn is_likely(slip: &Slip, rule: &Formula, drafts: &[&Measures]) -> bool {
    let likely = drafts.iter().filter(|draft| {
        let (value, right) = (slip.value(draft, 0), rule.evaluate(**draft, Some(0)));
        value.zip(right).is_some_and(|(value, right)| (0.25..=4.0).contains(&(value / right)))
    });
    2 * likely.count() >= drafts.len()
}

/// Whether two formulas mean the same in a step, as far as some drafts tell.
pub fn same(one: &Formula, other: &Formula, exercise: &Exercise, step: StepId, drafts: &[&Measures]) -> bool {
    drafts.iter().all(|draft| {
        (0..draft.count(exercise, exercise.steps[step].slot)).all(|row| {
            let value = |formula: &Formula| formula.evaluate(*draft, Some(row));
            alike(value(one), value(other), draft.tick() / 1_000.0)
        })
    })
}

/// Whether two values are no further apart than that.
pub fn alike(one: Option<f64>, other: Option<f64>, within: f64) -> bool {
    one.zip(other).is_some_and(|(one, other)| (one - other).abs() <= within)
}
