//! Whether practice finds enough different problems on a ruler, and if not, what stands in their way.

use super::choose::{Chooser, Dice};
use super::code::Task;
use super::fault::PracticeFault;
use super::findings::example;
use super::maker::{Flaw, Maker, unsewn};
use super::set::PATIENCE;
use crate::exercise::{Exercise, GivenKind, Level, Vary};
use crate::length::Ruler;
use std::collections::{BTreeMap, BTreeSet};

/// A class needs so many different problems at least.
const ENOUGH: usize = 20;

/// What is to be said about an exercise's practice, if anything is: at each of its levels, on the level's own rulers or on
/// those of the exercise; or where it has no levels, at large.
pub(super) fn faults(exercise: &Exercise, rulers: &[Ruler]) -> Vec<String> {
    let own = |level: &Level| if level.rulers.is_empty() { rulers.to_vec() } else { level.rulers.clone() };
    let levels: Vec<(u8, Vec<Ruler>)> = match &exercise.practice.levels[..] {
        [] => vec![(0, rulers.to_vec())],
        levels => levels.iter().map(|level| (level.level, own(level))).collect(),
    };
    let tries = levels.iter().flat_map(|(level, rulers)| rulers.iter().map(|ruler| (*level, *ruler)));
    tries.filter_map(|(level, ruler)| fault(exercise, level, ruler)).collect()
}

fn fault(exercise: &Exercise, level: u8, ruler: Ruler) -> Option<String> {
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
            None if seen.insert(maker.answers(&measures)) => in_vain = 0,
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
