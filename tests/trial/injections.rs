//! What goes wrong on a sheet, by class. All of it is invented, and written apart from the explanations: a slip is what
//! a student does, not what the checker looks for.

use crate::general::{General, general, in_other_unit, misread};
use crate::problem::Dice;
use crate::student::{Mistake, Moment, Sheet, Student, on_ruler};
use foldmark::draft::Measures;
use foldmark::exercise::{Exercise, GivenKind, StepRule};
use foldmark::formula::{Base, Slot, Values};

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
    fn one(label: &'static str, what: String, mistake: Mistake<'e>, names: Vec<&'e str>) -> Injection<'e> {
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

fn mistake<'e>(step: usize, row: Option<usize>, value: impl Fn(&Moment) -> f64 + 'e) -> Mistake<'e> {
    Mistake { step, row, value: Box::new(value), carried: true, exact: false, blank: false, held: Vec::new() }
}

fn own_slip<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<(Mistake<'e>, &'e str)> {
    let exercise = student.exercise;
    let slip = dice.pick(&exercise.slips)?;
    if slip.when.as_ref().is_some_and(|when| when.evaluate(&first.hand, None) == 0.0) {
        return None;
    }
    let mut made = mistake(slip.step, None, |moment| slip.used.evaluate(moment.hand, Some(moment.row)));
    made.held = looked_ahead(exercise, slip.step, slip.used.uses());
    Some((made, &slip.name))
}

/// The steps after this one that a slip reads, and what they rest on: a student who makes it has them in view.
fn looked_ahead(exercise: &Exercise, step: usize, used: &[Slot]) -> Vec<usize> {
    let place = |step: usize| exercise.order.iter().position(|index| *index == step);
    let mut held: Vec<usize> = Vec::new();
    let mut open: Vec<usize> =
        (0..exercise.steps.len()).filter(|other| used.contains(&exercise.steps[*other].slot)).collect();
    while let Some(other) = open.pop() {
        if place(other) > place(step) && !held.contains(&other) {
            held.push(other);
            open.extend(&exercise.steps[other].uses);
        }
    }
    held
}

/// The cells of steps that are worked out, with what is right on the first time through.
fn worked_cells(exercise: &Exercise, hand: &Measures) -> Vec<(usize, usize, f64)> {
    let mut all = Vec::new();
    for (index, step) in exercise.steps.iter().enumerate() {
        let StepRule::Value(formula) = &step.rule else { continue };
        let rows = hand.count(exercise, step.slot);
        all.extend((0..rows).map(|row| (index, row, formula.evaluate(hand, Some(row)))));
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
        let other = crate::general::partner(exercise, index)?;
        let there = first.hand.value(exercise.steps[index].slot, 0);
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
) -> Option<(Mistake<'e>, usize)> {
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

type Habit = for<'e> fn(&Student<'e>, &Sheet, &mut Dice) -> Option<Injection<'e>>;

const HABITS: [Habit; 9] = [
    rounds_each_slot,
    rounds_each_measure,
    misreads_a_given,
    has_a_margin,
    forgets_the_fold,
    swaps_pocket_and_flap,
    takes_the_row_beside,
    works_in_the_other_unit,
    leaves_the_line_empty,
];

/// A grid that people like to round to, and whether they round up.
fn coarse(student: &Student, dice: &mut Dice) -> (f64, bool) {
    let grids =
        if student.givens.ruler.is_metric() { [5_000_000.0, 10_000_000.0] } else { [6_350_000.0, 12_700_000.0] };
    (grids[dice.below(2)], dice.percent(50))
}

/// Every part is rounded before it is used; the answers to the steps before stand as they were.
fn rounding<'e>(student: &Student<'e>, index: usize, slots: Vec<Slot>, dice: &mut Dice) -> Mistake<'e> {
    let exercise = student.exercise;
    let (grid, up) = coarse(student, dice);
    mistake(index, None, move |moment| {
        let StepRule::Value(formula) = &exercise.steps[index].rule else { return moment.so_far };
        let mut rounded = moment.hand.clone();
        for slot in &slots {
            for row in 0..rounded.count(exercise, *slot) {
                let parts = rounded.value(*slot, row) / grid;
                rounded.set(*slot, row, grid * if up { parts.ceil() } else { parts.round() });
            }
        }
        formula.evaluate(&rounded, Some(moment.row))
    })
}

fn lengths_used(exercise: &Exercise, index: usize, lists: bool) -> Vec<Slot> {
    let StepRule::Value(formula) = &exercise.steps[index].rule else { return Vec::new() };
    let fits = |slot: &Slot| {
        let kind = exercise.scope.kind(*slot);
        kind.base == Base::Length && kind.list.is_some() == lists
    };
    formula.uses().iter().copied().filter(fits).collect()
}

fn rounds_each_slot<'e>(student: &Student<'e>, _: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let sums =
        |index: &usize| exercise.steps[*index].kind.list.is_none() && !lengths_used(exercise, *index, true).is_empty();
    let index = *dice.pick(&(0..exercise.steps.len()).filter(sums).collect::<Vec<_>>())?;
    let made = rounding(student, index, lengths_used(exercise, index, true), dice);
    let what = format!("rounds each slot in {}", exercise.steps[index].name);
    Some(Injection::one("rounds each slot", what, made, vec!["rounded-parts"]))
}

fn rounds_each_measure<'e>(student: &Student<'e>, _: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let several = |index: &usize| lengths_used(exercise, *index, false).len() >= 2;
    let index = *dice.pick(&(0..exercise.steps.len()).filter(several).collect::<Vec<_>>())?;
    let made = rounding(student, index, lengths_used(exercise, index, false), dice);
    let what = format!("rounds each measure in {}", exercise.steps[index].name);
    Some(Injection::one("rounds each measure", what, made, vec!["rounded-parts"]))
}

fn misreads_a_given<'e>(student: &Student<'e>, _: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let measures = &student.givens.measures;
    let mut cells: Vec<(Slot, usize)> = Vec::new();
    for given in &exercise.givens {
        match &given.kind {
            GivenKind::Length { slot, .. } => cells.push((*slot, 0)),
            GivenKind::Table { table, columns, .. } => {
                for column in columns.iter().filter(|column| column.is_length) {
                    cells.extend((0..measures.rows(*table)).map(|row| (column.slot, row)));
                }
            }
            _ => {}
        }
    }
    let (slot, row) = *dice.pick(&cells)?;
    let value = *dice.pick(&misread(student.givens.ruler, measures.value(slot, row)))?;
    Some(Injection {
        label: "a given misread, in one step",
        what: format!("{} misread", exercise.scope.name(slot)),
        mistakes: Vec::new(),
        names: Vec::new(),
        misread: Some((slot, row, value)),
        everywhere: vec!["given-misread"],
    })
}

/// Nothing that the checker knows: it should say nothing.
fn has_a_margin<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let margins: &[f64] = if student.givens.ruler.is_metric() {
        &[10.0, 12.0, 15.0, 20.0, 25.0]
    } else {
        &[12.7, 15.875, 19.05, 25.4, 31.75]
    };
    let margin = dice.pick(margins)? * 1_000_000.0;
    let (index, row, _) = *dice.pick(&worked_cells(student.exercise, &first.hand))?;
    let mut made = mistake(index, Some(row), move |moment| moment.so_far + margin);
    made.carried = dice.percent(50);
    let what = format!("a margin of one's own in {}", student.exercise.steps[index].name);
    Some(Injection::one("a margin of one's own", what, made, Vec::new()))
}

/// Opened out what was to be folded, or folded what was to be opened out.
fn forgets_the_fold<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let is_folded = |index: usize| {
        let step = &exercise.steps[index];
        format!("{} {}", step.title, step.why)
            .to_lowercase()
            .split(|c: char| !c.is_alphabetic())
            .any(|word| word.starts_with("fold") || word == "opened")
    };
    let cells: Vec<_> =
        worked_cells(exercise, &first.hand).into_iter().filter(|(index, ..)| is_folded(*index)).collect();
    let (index, row, _) = *dice.pick(&cells)?;
    let (factor, name) = if dice.percent(50) { (2.0, "doubled") } else { (0.5, "halved") };
    let made = mistake(index, Some(row), move |moment| moment.so_far * factor);
    let what = format!("fold forgotten, {name} in {}", exercise.steps[index].name);
    Some(Injection::one("fold forgotten", what, made, vec![name]))
}

fn swaps_pocket_and_flap<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let named = |word: &str| -> Vec<usize> {
        let has =
            |index: &usize| exercise.steps[*index].name.contains(word) && exercise.steps[*index].kind.list.is_none();
        (0..exercise.steps.len()).filter(has).collect()
    };
    let (pocket, flap) = (*dice.pick(&named("pocket"))?, *dice.pick(&named("flap"))?);
    if pocket == flap {
        return None;
    }
    let carried = dice.percent(50);
    let swap = |here: usize, there: usize| {
        let value = first.hand.value(exercise.steps[there].slot, 0);
        Mistake { carried, ..mistake(here, Some(0), move |_| value) }
    };
    Some(Injection {
        label: if carried { "pocket and flap swapped, and on" } else { "pocket and flap swapped on paper" },
        what: format!("{} and {} swapped", exercise.steps[pocket].name, exercise.steps[flap].name),
        mistakes: vec![swap(pocket, flap), swap(flap, pocket)],
        names: vec![vec!["exchanged"], vec!["exchanged"]],
        misread: None,
        everywhere: Vec::new(),
    })
}

/// Row by row through the table, one line too far or not far enough, and on with it.
fn takes_the_row_beside<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let lists: Vec<_> = worked_cells(exercise, &first.hand)
        .into_iter()
        .filter(|(index, ..)| exercise.steps[*index].kind.list.is_some())
        .collect();
    let (index, row, _) = *dice.pick(&lists)?;
    let rows = first.hand.count(exercise, exercise.steps[index].slot);
    let beside = if dice.percent(50) { row + 1 } else { row.checked_sub(1)? };
    if beside >= rows {
        return None;
    }
    let made = mistake(index, Some(row), move |moment| moment.hand.value(exercise.steps[index].slot, beside));
    let what = format!("neighbour's row in {}", exercise.steps[index].name);
    Some(Injection::one("neighbour's row, and on", what, made, vec!["neighbouring-row"]))
}

/// The whole sheet measured with the other ruler, and the numbers written down as they were read there.
fn works_in_the_other_unit<'e>(student: &Student<'e>, first: &Sheet, _: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let metric = student.givens.ruler.is_metric();
    let steps: Vec<usize> =
        (0..exercise.steps.len()).filter(|index| exercise.steps[*index].kind.base == Base::Length).collect();
    let made = |index: &usize| {
        let slot = exercise.steps[*index].slot;
        let rights: Vec<f64> = (0..first.hand.count(exercise, slot)).map(|row| first.hand.value(slot, row)).collect();
        let mut made = mistake(*index, None, move |moment| {
            let tick = if metric { 1_587_500.0 } else { 1_000_000.0 };
            let read = (rights[moment.row] / tick).round() * tick;
            in_other_unit(moment.ruler, read)
        });
        (made.carried, made.exact) = (false, true);
        made
    };
    Some(Injection {
        label: "sheet in the other unit",
        what: "sheet in the other unit".to_owned(),
        mistakes: steps.iter().map(made).collect(),
        names: steps.iter().map(|_| vec!["wrong-unit"]).collect(),
        misread: None,
        everywhere: vec!["wrong-unit"],
    })
}

/// Worked with a slip, not written down, and on with it.
fn leaves_the_line_empty<'e>(student: &Student<'e>, first: &Sheet, dice: &mut Dice) -> Option<Injection<'e>> {
    let exercise = student.exercise;
    let (mut made, name) = own_slip(student, first, dice)?;
    if !made.held.is_empty() || matches!(exercise.steps[made.step].rule, StepRule::Within { .. }) {
        return None;
    }
    made.blank = true;
    Some(Injection {
        label: "slip in a line left empty",
        what: format!("{name}, line left empty"),
        mistakes: vec![made],
        names: vec![vec![name]],
        misread: None,
        everywhere: vec![name],
    })
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
        if matches!(exercise.steps[one.step].rule, StepRule::Within { .. }) {
            return None;
        }
        let kind = *dice.pick(&General::ALL)?;
        if !in_place(kind) || exercise.steps[one.step].kind.list.is_some() {
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
    let index = dice.below(exercise.steps.len());
    let step = &exercise.steps[index];
    let row = dice.below(first.hand.count(exercise, step.slot));
    let right = match &step.rule {
        StepRule::Value(formula) => formula.evaluate(&first.hand, Some(row)),
        StepRule::Within { .. } => first.hand.value(step.slot, row),
    };
    let value = on_ruler(step, ruler, right * (0.5 + 1.5 * dice.share()))?;
    if unknown {
        let moment = Moment { exercise, ruler, step: index, row, hand: &first.hand, so_far: right };
        let half_a_tick = ruler.tick().as_nm_f64() / 2.0 + 1.0;
        let near = |known: f64| (known - value).abs() <= half_a_tick;
        if own_values(&moment).into_iter().any(|(_, known)| near(known))
            || general(&moment).into_iter().any(|(_, known)| near(known))
        {
            return None;
        }
    }
    let mut made = mistake(index, Some(row), move |_| value);
    made.carried = dice.percent(50);
    Some(Injection::one("a number by chance", format!("a number by chance in {}", step.name), made, Vec::new()))
}

/// The exercise's own slips in this step, by index, with what comes of them.
pub fn own_values(moment: &Moment) -> Vec<(usize, f64)> {
    let slips = moment.exercise.slips.iter().enumerate().filter(|(_, slip)| {
        slip.step == moment.step && slip.when.as_ref().is_none_or(|when| when.evaluate(moment.hand, None) != 0.0)
    });
    slips.map(|(index, slip)| (index, slip.used.evaluate(moment.hand, Some(moment.row)))).collect()
}

/// Givens that only this step reads, misread: on the sheet this can't be told from a misread answer.
pub fn misread_here(moment: &Moment) -> Vec<f64> {
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
        for read in misread(moment.ruler, moment.hand.value(slot, 0)) {
            let mut hand = moment.hand.clone();
            hand.set(slot, 0, read);
            values.push(formula.evaluate(&hand, Some(moment.row)));
        }
    }
    values
}
