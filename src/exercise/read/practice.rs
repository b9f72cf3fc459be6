//! How fresh problems are made, and the levels of practice.

use super::reader::{Reader, line_of};
use crate::exercise::language::HIGHEST_LEVEL;
use crate::exercise::model::{Given, GivenId, GivenKind, Level, OnSheet, Practice, Requirement, Step, StepId};
use crate::formula::{Base, Kind};
use crate::text::{Section, Shown, Text, or_did_you_mean, quoted};
use typed_index_collections::TiSlice;

/// Reads how problems are made, at every level.
pub(super) fn read_practice(
    reader: &Reader,
    section: &Section,
    givens: &TiSlice<GivenId, Given>,
    steps: &TiSlice<StepId, Step>,
) -> Practice {
    let tells = line_of(section, "tells");
    let require = read_requirements(reader, section);
    let mut levels: Vec<Level> = Vec::new();
    for level in section.tables("level") {
        let Some(number) = level.whole("level") else {
            if !level.has("level") {
                level.note("level", format!("say which level this is, from 1 to {HIGHEST_LEVEL}"));
            }
            continue;
        };
        if levels.iter().any(|known| i64::from(known.level) == number) {
            level.note("level", format!("level {number} is laid down already"));
        }
        levels.push(read_level(reader, &level, number as u8, givens, steps));
    }
    levels.sort_by_key(|level| level.level);
    Practice { tells, require, levels }
}

fn read_requirements(reader: &Reader, section: &Section) -> Vec<Requirement> {
    let read = |requirement: &Section| {
        let rule = reader.value(requirement, "rule", Some(Kind::TRUTH));
        let says = line_of(requirement, "says");
        Some(Requirement { rule: rule?, says })
    };
    section.tables("require").iter().filter_map(read).collect()
}

fn read_level(
    reader: &Reader,
    section: &Section,
    number: u8,
    givens: &TiSlice<GivenId, Given>,
    steps: &TiSlice<StepId, Step>,
) -> Level {
    let named = |key| -> Vec<StepId> {
        section.texts(key).into_iter().filter_map(|text| reader.find_step(section, key, text, steps)).collect()
    };
    let given = |key| -> Vec<GivenId> {
        section.texts(key).iter().filter_map(|text| find_given(section, key, text, givens)).collect()
    };
    let level = Level {
        level: number,
        says: line_of(section, "says"),
        rulers: reader.rulers(section),
        on_tick: section.truth("on_tick").unwrap_or(false),
        off_tick: named("off_tick"),
        keeps: given("keeps"),
        every: section.whole("every"),
        rows: section.whole("rows").map(|rows| rows as usize),
        converts: section.truth("converts").unwrap_or(false),
        hides: given("hides"),
        tells: named("tells"),
        asks: named("asks"),
        rounds_up: named("rounds_up"),
        exact: section.truth("exact").unwrap_or(false),
        require: read_requirements(reader, section),
    };
    check(&level, section, givens, steps);
    level
}

/// Which single given is named, or a fault.
fn find_given(section: &Section, key: &str, text: &Text, givens: &TiSlice<GivenId, Given>) -> Option<GivenId> {
    let is_single = |given: &&Given| !matches!(given.kind, GivenKind::Table { .. });
    let found = givens.position(|given| given.name == text.value && is_single(&given));
    if found.is_none() {
        let known = givens.iter().filter(is_single).map(|given| given.name.as_str());
        let hint = or_did_you_mean(&text.value, known, Shown::Key);
        section.note_text(key, text, format!("there is no single given {}{hint}", quoted(&text.value)));
    }
    found
}

/// Notes what can't be in a level.
fn check(level: &Level, section: &Section, givens: &TiSlice<GivenId, Given>, steps: &TiSlice<StepId, Step>) {
    let name = |step: StepId| steps[step].name.as_str();
    if let Some(both) = level.asks.iter().find(|step| level.tells.contains(step)) {
        section.note("asks", format!("`{}` is told already; a sheet asks for a step or tells it", name(*both)));
    }
    if let Some(step) =
        level.rounds_up.iter().find(|step| steps[**step].is_choice() || steps[**step].kind.base != Base::Length)
    {
        let message = format!("`{}` is not a length that is worked out, so there is nothing to round up", name(*step));
        section.note("rounds_up", message);
    }
    if level.tells.len() == steps.len() {
        section.note("tells", "every step is told, so there is nothing to ask for");
    }
    let rests_on_unknown = |step: StepId| {
        let unknown = |used: &StepId| level.on_sheet(*used) == OnSheet::Silent && steps[*used].is_choice();
        rest(steps, step).into_iter().find(unknown)
    };
    for step in steps.keys().filter(|step| level.on_sheet(*step) == OnSheet::Asked) {
        if let Some(choice) = rests_on_unknown(step) {
            let message = format!(
                "`{}` rests on the choice `{}`, which is neither asked for nor told at this level",
                name(step),
                name(choice)
            );
            section.note("asks", message);
        }
    }
    for &given in &level.hides {
        let is_asked = |step: StepId| level.on_sheet(step) == OnSheet::Asked;
        let rests =
            |such: &dyn Fn(StepId) -> bool| steps.keys().any(|step| such(step) && uses(steps, step, &givens[given]));
        if rests(&is_asked) && !rests(&|step| level.tells.contains(&step)) {
            let message = format!("`{}` is hidden, and nothing that is told rests on it", givens[given].name);
            section.note("hides", message);
        }
    }
    for &given in &level.keeps {
        let has_usual = match &givens[given].kind {
            GivenKind::Length { usual, .. } => !usual.is_empty(),
            GivenKind::Number { usual, .. } => usual.is_some(),
            GivenKind::Choice { usual, .. } => usual.is_some(),
            GivenKind::Table { .. } => true,
        };
        if !has_usual {
            section.note("keeps", format!("`{}` has no usual value to keep", givens[given].name));
        }
    }
    if let Some(rows) = level.rows {
        for given in givens {
            if let GivenKind::Table { rows: (least, most), varies, .. } = &given.kind {
                let names = varies.as_ref().map_or(0, |(_, _, names)| names.len());
                if rows < *least || rows > *most || rows > names {
                    let message =
                        format!("`{}` can't have {rows} rows: it has {least} to {most}, and {names} names", given.name);
                    section.note("rows", message);
                }
            }
        }
    }
}

/// Whether a step rests on a given, directly or through others.
fn uses(steps: &TiSlice<StepId, Step>, step: StepId, given: &Given) -> bool {
    let slot = match given.kind {
        GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } | GivenKind::Choice { slot, .. } => slot,
        GivenKind::Table { .. } => return false,
    };
    let reads = |step: &StepId| steps[*step].formulas().any(|formula| formula.uses().contains(&slot));
    reads(&step) || rest(steps, step).iter().any(reads)
}

/// Every step that a step rests on, directly or through others.
fn rest(steps: &TiSlice<StepId, Step>, step: StepId) -> Vec<StepId> {
    let (mut found, mut open) = (Vec::new(), steps[step].uses.clone());
    while let Some(next) = open.pop() {
        if !found.contains(&next) {
            found.push(next);
            open.extend(&steps[next].uses);
        }
    }
    found
}
