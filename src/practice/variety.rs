//! Whether practice finds enough different problems on a ruler, and if not, what stands in their way.

use super::choose::{Chooser, Dice};
use super::code::Task;
use super::fault::PracticeFault;
use super::findings::example;
use super::maker::{Flaw, Maker, unsewn};
use super::set::PATIENCE;
use crate::draft::Measures;
use crate::exercise::{Exercise, GivenKind, Level, OnSheet, StepId, Vary};
use crate::formula::{Base, Values};
use crate::length::{Length, Ruler};
use std::collections::{BTreeMap, BTreeSet};

/// A class needs so many different problems at least.
const ENOUGH: usize = 20;

/// By level the steps that lie between two ticks where they may not, and givens that show it.
type Between = BTreeMap<u8, (BTreeSet<StepId>, String)>;

/// What is to be said about an exercise's practice, if anything is: at each of its levels, on the level's own rulers or on
/// those of the exercise; or where it has no levels, at large.
pub(super) fn faults(exercise: &Exercise, rulers: &[Ruler]) -> Vec<String> {
    let own = |level: &Level| if level.rulers.is_empty() { rulers.to_vec() } else { level.rulers.clone() };
    let levels: Vec<(u8, Vec<Ruler>)> = match &exercise.practice.levels[..] {
        [] => vec![(0, rulers.to_vec())],
        levels => levels.iter().map(|level| (level.level, own(level))).collect(),
    };
    let tries = levels.iter().flat_map(|(level, rulers)| rulers.iter().map(|ruler| (*level, *ruler)));
    let mut between = Between::new();
    let mut notes: Vec<String> =
        tries.filter_map(|(level, ruler)| fault(exercise, level, ruler, &mut between)).collect();
    notes.extend(between.into_iter().map(|(level, (steps, shown))| {
        let steps: Vec<String> = steps.into_iter().map(|step| format!("step.{}", exercise.steps[step].name)).collect();
        format!(
            "practice: at level {level} answers have to be right to the tick, and what is asked falls between two in {}; \
             name it in rounds_up or off_tick; for instance with {shown}",
            steps.join(", ")
        )
    }));
    notes
}

fn fault(exercise: &Exercise, level: u8, ruler: Ruler, between: &mut Between) -> Option<String> {
    let maker = match Maker::new(exercise, level, Task::Draft, ruler) {
        Ok(maker) => maker,
        Err(PracticeFault::NothingOnRuler { given, ruler }) => return Some(nothing_on(exercise, &given, ruler)),
        Err(fault) => return Some(format!("practice: {fault}")),
    };
    let mut dice = Dice::new(1, &format!("{} variety", exercise.name));
    let mut seen = BTreeSet::new();
    let (mut draws, mut in_vain) = (0, 0);
    let mut flaws: BTreeMap<Flaw, (usize, String)> = BTreeMap::new();
    let patience = (PATIENCE / maker.weight()).max(20);
    while seen.len() < ENOUGH && in_vain < patience {
        let shape = maker.shape(dice.choose(256) as u8);
        let mut measures = maker.room(&shape);
        maker.space.draw(&shape, &mut dice, &mut measures);
        draws += 1;
        in_vain += 1;
        let flaw = maker.work(&mut measures).err().or_else(|| unsewn(&maker.named(0, measures.clone())));
        match flaw {
            None if seen.insert(maker.answers(&measures)) => {
                between_ticks(&maker, &measures, ruler, between);
                in_vain = 0;
            }
            None => {}
            Some(flaw) => {
                let (times, _) = flaws.entry(flaw).or_insert_with(|| (0, example(exercise, &measures, ruler)));
                *times += 1;
            }
        }
    }
    let count = seen.len();
    if count >= ENOUGH {
        return None;
    }
    let some = match count {
        0 => "no problem was".to_owned(),
        1 => "only one problem was".to_owned(),
        count => format!("only {count} different problems were"),
    };
    let why = match flaws.into_iter().max_by_key(|(_, (times, _))| *times) {
        Some((flaw, (times, shown))) if 2 * times > draws => {
            format!("mostly {}, for instance with {shown}", flaw.words(maker.exercise()))
        }
        _ => "let more givens vary, or in smaller steps".to_owned(),
    };
    let at = if level == 0 { String::new() } else { format!(" at level {level}") };
    Some(format!("practice: {some} found{at} on a ruler of {ruler} in {draws} draws; {why}"))
}

/// Notes the steps that a level asks for right to the tick though they fall between two: nobody can say which is right.
fn between_ticks(maker: &Maker, measures: &Measures, ruler: Ruler, found: &mut Between) {
    let exercise = maker.exercise();
    let Some(level) = maker.level().filter(|level| level.exact) else { return };
    for (index, step) in exercise.steps.iter_enumerated() {
        let is_asked = level.on_sheet(index) == OnSheet::Asked && !level.off_tick.contains(&index);
        let rows = 0..measures.count(exercise, step.slot);
        let mut values = rows.filter_map(|row| measures.value(step.slot, row).and_then(Length::from_nm_f64));
        if is_asked && step.kind.base == Base::Length && values.any(|value| !ruler.on_tick(value)) {
            let (steps, _) =
                found.entry(level.level).or_insert_with(|| (BTreeSet::new(), example(exercise, measures, ruler)));
            steps.insert(index);
        }
    }
}

/// Nothing that a given may be in practice falls on a ruler.
fn nothing_on(exercise: &Exercise, title: &str, ruler: Ruler) -> String {
    let columns = exercise.givens.iter().filter_map(|given| {
        let GivenKind::Table { columns, .. } = &given.kind else { return None };
        Some(columns.iter().map(move |column| {
            (format!("{}.{}", given.name, column.name), column.title.as_str(), column.varies.as_ref())
        }))
    });
    let singles = exercise.givens.iter().map(|given| match &given.kind {
        GivenKind::Length { varies, .. } | GivenKind::Number { varies, .. } | GivenKind::Choice { varies, .. } => {
            (given.name.clone(), given.title.as_str(), varies.as_ref())
        }
        GivenKind::Table { .. } => (given.name.clone(), given.title.as_str(), None),
    });
    let known = singles.chain(columns.flatten()).find(|(_, known, _)| *known == title);
    let (name, varies) = known.map_or((title.to_owned(), None), |(name, _, varies)| (name, varies));
    let what = match varies {
        Some(Vary::OneOf(lengths)) => {
            let first = lengths.first().map_or_else(String::new, |stated| format!(", {} for instance", stated.length));
            format!("none of the values that practice may give it falls on a ruler of {ruler}{first}")
        }
        Some(Vary::Ticks { from, to, every }) => {
            format!("no tick of a ruler of {ruler}, counted by {every}, lies from {from} to {to}")
        }
        _ => format!("practice has nothing to give it on a ruler of {ruler}; it needs `varies`, or a usual value"),
    };
    format!("given.{name}.varies: {what}, so there is no practice on that ruler, which the exercise lists")
}
