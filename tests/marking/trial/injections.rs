//! What goes wrong on a sheet, by class. All of it is invented, and written apart from the explanations: a slip is what
//! a student does, not what the checker looks for.

use super::general::{General, general};
use super::habits::HABITS;
use super::problem::Dice;
use super::student::{Mistake, Moment, Sheet, Student, on_ruler, tolerance};
use super::twins::own_values;
use foldmark::draft::Measures;
use foldmark::exercise::{Exercise, StepId, StepRule};
use foldmark::formula::{Slot, Values};

/// A class of sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Class {
    /// Nothing goes wrong.
    Nothing,
    /// One of the exercise's own slips, and on with it.
    Own,
    /// One mistake of the general list.
    General,
    /// One habit of a student that no list foresaw.
    Habit,
    /// Two slips.
    Pair,
    /// A number by chance that no known mistake gives.
    Random,
    /// A number by chance.
    AnyRandom,
}

impl Class {
    pub const ALL: [Class; 7] =
        [Class::Nothing, Class::Own, Class::General, Class::Habit, Class::Pair, Class::Random, Class::AnyRandom];

    pub fn name(self) -> &'static str {
        match self {
            Class::Nothing => "a",
            Class::Own => "b1",
            Class::General => "b2",
            Class::Habit => "b3",
            Class::Pair => "c",
            Class::Random => "d",
            Class::AnyRandom => "d2",
        }
    }
}

/// Two slips in different steps.
pub const TWO_STEPS: &str = "in two steps";

/// What goes wrong on one sheet.
pub struct Injection<'e> {
    /// What it is, for the tables.
    pub label: &'static str,
    /// Where, or which slip.
    pub what: String,
    pub mistakes: Vec<Mistake<'e>>,
    /// What the checker may call each of the mistakes.
    pub names: Vec<Vec<&'e str>>,
    pub misread: Option<(Slot, usize, f64)>,
    /// What it may be called wherever it shows; empty, if it shows only where it is made.
    pub everywhere: Vec<&'e str>,
}

impl<'e> Injection<'e> {
    pub fn one(label: &'static str, what: String, mistake: Mistake<'e>, names: Vec<&'e str>) -> Injection<'e> {
        Injection { label, what, mistakes: vec![mistake], names: vec![names], misread: None, everywhere: Vec::new() }
    }
}

impl Injection<'_> {
    /// A given that is misread in one step only is harder to tell.
    pub fn label_where_it_shows_often(&self) -> &'static str {
        if self.misread.is_some() { "a given misread, in several steps" } else { self.label }
    }
}

/// Something of this class, if the throw of the dice gives anything that can be done with this problem.
pub fn inject<'e>(class: Class, student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    match class {
        Class::Nothing => None,
        Class::Own => {
            let slip = own_slip(student, first, dice)?;
            Some(Injection::one("own slip", slip.1.to_owned(), slip.0, vec![slip.1]))
        }
        Class::General => {
            let kind = *dice.pick(&General::ALL)?;
            general_mistake(kind, student, first, dice)
        }
        Class::Habit => {
            let habit = *dice.pick(&HABITS)?;
            habit(student, first, dice)
        }
        Class::Pair => pair(student, first, dice),
        Class::Random => random(true, student, first, dice),
        Class::AnyRandom => random(false, student, first, dice),
    }
}

pub fn mistake<'e>(step: StepId, row: Option<usize>, value: impl Fn(&Moment) -> f64 + 'e) -> Mistake<'e> {
    Mistake { step, row, value: Box::new(value), carried: true, exact: false, blank: false, held: Vec::new() }
}

pub fn own_slip<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<(Mistake<'e>, &'e str)> {
    let exercise = student.exercise;
    let slip = dice.pick(exercise.slips.as_ref())?;
    if slip.when.as_ref().is_some_and(|when| !when.holds(&first.hand)) {
        return None;
    }
    let mut made =
        mistake(slip.step, None, |moment| slip.used.evaluate(moment.hand, Some(moment.row)).unwrap_or(f64::NAN));
    made.held = looked_ahead(exercise, slip.step, slip.used.uses());
    Some((made, &slip.name))
}

/// The steps after this one that a slip reads, and what they rest on: a student who makes it has them in view.
fn looked_ahead(exercise: &Exercise, step: StepId, used: &[Slot]) -> Vec<StepId> {
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

/// The cells of steps that are worked out, with what is right on the first time through.
pub fn worked_cells(exercise: &Exercise, hand: &Measures) -> Vec<(StepId, usize, f64)> {
    let mut all = Vec::new();
    for (index, step) in exercise.steps.iter_enumerated() {
        let StepRule::Value(formula) = &step.rule else { continue };
        let rows = hand.count(exercise, step.slot);
        all.extend((0..rows).map(|row| (index, row, formula.evaluate(hand, Some(row)).unwrap_or(f64::NAN))));
    }
    all
}

/// The mistakes of one kind that can be made in a moment.
fn of_kind(kind: General, moment: &Moment) -> Vec<f64> {
    general(moment).into_iter().filter(|(known, _)| *known == kind).map(|(_, value)| value).collect()
}

fn general_mistake<'e>(kind: General, student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let (made, index) = one_general(kind, student, first, dice)?;
    let what = format!("{} in {}", kind.label(), exercise.steps[index].name);
    let mut injection = Injection::one(kind.label(), what, made, kind.names().to_vec());
    if kind == General::Partner {
        let other = super::general::partner(exercise, index)?;
        let there = first.hand.value(exercise.steps[index].slot, 0).unwrap_or(f64::NAN);
        let mut back = mistake(other, Some(0), move |_| there);
        back.carried = false;
        injection.mistakes.push(back);
        injection.names.push(kind.names().to_vec());
    }
    Some(injection)
}

fn one_general<'e>(
    kind: General,
    student: &Student<'e>,
    first: &Sheet,
    dice: &mut Dice,
) -> Option<(Mistake<'e>, StepId)> {
    let exercise = student.exercise;
    let ruler = student.givens.ruler;
    let (index, row, right) = *dice.pick(&worked_cells(exercise, &first.hand))?;
    let moment = Moment { exercise, ruler, step: index, row, hand: &first.hand, so_far: right };
    let options = of_kind(kind, &moment).len();
    if options == 0 {
        return None;
    }
    let nth = dice.below(options);
    let mut made = mistake(index, Some(row), move |moment| {
        let values = of_kind(kind, moment);
        values.get(nth).or(values.first()).copied().unwrap_or(moment.so_far)
    });
    // Two answers in each other's place are a slip of the pen, and so is a line that comes later.
    made.carried = match kind {
        General::Partner | General::LineBelow => false,
        _ => dice.percent(50),
    };
    Some((made, index))
}

fn pair<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let (one, name) = own_slip(student, first, dice)?;
    if !one.held.is_empty() {
        return None;
    }
    let alone = |kind: General| !matches!(kind, General::Partner | General::LineBelow);
    let in_place = |kind: General| alone(kind) && !matches!(kind, General::LineAbove | General::NextRow);
    if dice.percent(25) {
        // Both in one step: the slip, and then something happens to its number as well.
        let step = &exercise.steps[one.step];
        let kind = *dice.pick(&General::ALL)?;
        if matches!(step.rule, StepRule::Within { .. }) || step.kind.list.is_some() || !in_place(kind) {
            return None;
        }
        let ruler = student.givens.ruler;
        let moment = |so_far: f64| Moment { exercise, ruler, step: one.step, row: 0, hand: &first.hand, so_far };
        let slipped = (one.value)(&moment(f64::NAN));
        let then = *of_kind(kind, &moment(slipped)).first()?;
        if (then - slipped).abs() <= tolerance(step, ruler).width().as_nm_f64() {
            return None;
        }
        let other =
            mistake(one.step, None, move |moment| of_kind(kind, moment).first().copied().unwrap_or(moment.so_far));
        let what = format!("{name}, then {}", kind.label());
        let names = vec![vec![name], kind.names().to_vec()];
        return Some(Injection {
            label: kind.then_label(),
            what,
            mistakes: vec![one, other],
            names,
            misread: None,
            everywhere: Vec::new(),
        });
    }
    let (other, other_names, what) = if dice.percent(60) {
        let (other, other_name) = own_slip(student, first, dice)?;
        (other, vec![other_name], format!("{name} and {other_name}"))
    } else {
        let kind = *dice.pick(&General::ALL)?;
        if !alone(kind) {
            return None;
        }
        let (other, index) = one_general(kind, student, first, dice)?;
        let what = format!("{name} and {} in {}", kind.label(), exercise.steps[index].name);
        (other, kind.names().to_vec(), what)
    };
    if other.step == one.step || !other.held.is_empty() {
        return None;
    }
    Some(Injection {
        label: TWO_STEPS,
        what,
        mistakes: vec![one, other],
        names: vec![vec![name], other_names],
        misread: None,
        everywhere: Vec::new(),
    })
}

/// A tick between half and twice the right value.
fn random<'e>(unknown: bool, student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let ruler = student.givens.ruler;
    let index = StepId(dice.below(exercise.steps.len()));
    let step = &exercise.steps[index];
    let row = dice.below(first.hand.count(exercise, step.slot));
    let right = match &step.rule {
        StepRule::Value(formula) => formula.evaluate(&first.hand, Some(row)).unwrap_or(f64::NAN),
        StepRule::Within { .. } => first.hand.value(step.slot, row).unwrap_or(f64::NAN),
    };
    let value = on_ruler(step, ruler, right * (0.5 + 1.5 * dice.share()))?;
    if unknown {
        let half_a_tick = ruler.tick().as_nm_f64() / 2.0 + 1.0;
        let near = |known: f64| (known - value).abs() <= half_a_tick;
        // By the student's own rounded figures, and by exact ones.
        for hand in [&first.hand, &student.truth(&first.paper)?] {
            let so_far = match &step.rule {
                StepRule::Value(formula) => formula.evaluate(hand, Some(row)).unwrap_or(f64::NAN),
                StepRule::Within { .. } => right,
            };
            let moment = Moment { exercise, ruler, step: index, row, hand, so_far };
            if own_values(&moment).into_iter().any(|(_, known)| near(known))
                || general(&moment).into_iter().any(|(_, known)| near(known))
            {
                return None;
            }
        }
    }
    let mut made = mistake(index, Some(row), move |_| value);
    // A choice is what is written: there is no other that the student could have worked with.
    made.carried = matches!(step.rule, StepRule::Within { .. }) || dice.percent(50);
    Some(Injection::one("a number by chance", format!("a number by chance in {}", step.name), made, Vec::new()))
}
