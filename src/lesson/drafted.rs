//! A draft block worked: in its own system of units, and where it has a twin, in the other.

use super::block::{DraftBlock, Values};
use super::units::System;
use crate::draft::{Draft, Entry, Givens, Raw, RawRow, broken_limit};
use crate::exercise::{Exercise, GivenKind, Shelf, StepId};
use crate::length::{Length, Ruler, Tolerance, Unit};
use crate::text::{Fault, Place, Shown, Text, harmless, or_did_you_mean, quoted};

/// What is wrong, and where in the block's text, if that can be told.
pub(super) type BlockFault = (Option<Place>, String);

/// A draft, and the same problem in round numbers of the other system.
#[derive(Debug, Clone)]
pub(super) struct Drafted<'s> {
    pub name: String,
    pub own: Draft<'s>,
    pub twin: Option<Draft<'s>>,
    /// Whether it is shown, so that a reader may work it for their own objects.
    pub is_open: bool,
}

impl<'s> Drafted<'s> {
    /// Works a draft block, and its twin.
    pub(super) fn work(shelf: &'s Shelf, block: &DraftBlock, body: &str) -> Result<Drafted<'s>, Vec<BlockFault>> {
        let exercise = shelf.get(&block.exercise.value).map_err(|unknown| {
            if unknown.near.is_some() {
                return vec![(at(body, &block.exercise), unknown.to_string())];
            }
            let hint = "name a folder of your own in book.toml, as exercises = \"DIR\" under [preprocessor.foldmark]";
            vec![(at(body, &block.exercise), format!("{unknown}; {hint}"))]
        })?;
        let reading = Reading { exercise, body, within: "" };
        let values = &block.values;
        let unit = reading.unit(values)?;
        let ruler = reading.ruler(values, unit.is_some_and(Unit::is_metric))?;
        let raw = values.given.clone().unwrap_or_else(|| Raw::example(exercise));
        let own = reading.draft(values, &raw, unit, ruler)?;
        let twin = match &block.twin {
            Some((system, values)) => Some(twin(exercise, *system, values, &own, &raw, body)?),
            None => None,
        };
        Ok(Drafted { name: block.name.clone(), own, twin, is_open: !block.quiet })
    }
}

/// The twin of `own`, which was worked from `own_raw`. What has no unit is the same in both, and need not be said again.
fn twin<'s>(
    exercise: &'s Exercise,
    system: System,
    values: &Values,
    own: &Draft<'s>,
    own_raw: &Raw,
    body: &str,
) -> Result<Draft<'s>, Vec<BlockFault>> {
    let key = system.key();
    let reading = Reading { exercise, body, within: key };
    if System::of(own.givens.ruler) == system {
        let message =
            format!("{key}: the draft is in {} itself; its twin is called [{}]", system.people(), system.other().key());
        return Err(vec![(values.ruler.as_ref().and_then(|ruler| at(body, ruler)), message)]);
    }
    let unit = reading.unit(values)?;
    let ruler = reading.ruler(values, system == System::Metric)?;
    if System::of(ruler) != system {
        let message = format!("{key}.ruler: a ruler in {} is expected here", system.people());
        return Err(vec![(values.ruler.as_ref().and_then(|ruler| at(body, ruler)), message)]);
    }
    let raw = filled(exercise, values.given.clone().unwrap_or_default(), own_raw);
    let draft = reading.draft(values, &raw, unit, ruler)?;
    let wrongs = differing(&draft, own, &raw, key);
    if wrongs.is_empty() { Ok(draft) } else { Err(wrongs) }
}

/// The twin's givens with the names, words and numbers of the draft's own where it has none.
fn filled(exercise: &Exercise, mut raw: Raw, own: &Raw) -> Raw {
    let is_missing = |entries: &[Entry], key: &str| !entries.iter().any(|entry| entry.key == key);
    for given in &exercise.givens {
        match &given.kind {
            GivenKind::Length { .. } => {}
            GivenKind::Number { .. } | GivenKind::Choice { .. } => {
                let entry = own.singles.iter().find(|entry| entry.key == given.name);
                raw.singles.extend(entry.filter(|_| is_missing(&raw.singles, &given.name)).cloned());
            }
            GivenKind::Table { columns, .. } => {
                let rows = |raw: &Raw| raw.tables.iter().position(|(key, _)| *key == given.name);
                let (Some(mine), Some(theirs)) = (rows(&raw), rows(own)) else { continue };
                for (row, theirs) in raw.tables[mine].1.iter_mut().zip(&own.tables[theirs].1) {
                    if row.name.is_empty() {
                        row.name.clone_from(&theirs.name);
                    }
                    let unitless = |entry: &&Entry| {
                        columns.iter().any(|column| column.name == entry.key && !column.is_length)
                            && is_missing(&row.cells, &entry.key)
                    };
                    let more: Vec<Entry> = theirs.cells.iter().filter(unitless).cloned().collect();
                    row.cells.extend(more);
                }
            }
        }
    }
    raw
}

/// Where a twin is another problem: other words, other numbers, other rows.
fn differing(twin: &Draft, own: &Draft, raw: &Raw, key: &str) -> Vec<BlockFault> {
    let exercise = own.exercise;
    let mut wrongs = Vec::new();
    let mut note = |place: Option<Place>, path: String, (here, there): (String, String)| {
        let message = format!("{key}.given.{path}: {here} here, but {there} above; a twin is the same problem");
        wrongs.push((place.or(raw.place), message));
    };
    for given in &exercise.givens {
        match &given.kind {
            GivenKind::Length { .. } => {}
            GivenKind::Number { slot, .. } | GivenKind::Choice { slot, .. } => {
                let texts = [twin, own].map(|draft| draft.givens.text(exercise, *slot, 0).unwrap_or_default());
                let [here, there] = texts;
                if here != there {
                    let entry = raw.singles.iter().find(|entry| entry.key == given.name);
                    note(entry.and_then(|entry| entry.place), given.name.clone(), (here, there));
                }
            }
            GivenKind::Table { table, columns, .. } => {
                let rows: &[RawRow] =
                    raw.tables.iter().find(|(key, _)| *key == given.name).map_or(&[], |(_, rows)| rows.as_slice());
                let names = |draft: &Draft| draft.givens.row_names[table.0].join(", ");
                if names(twin) != names(own) {
                    note(rows.first().and_then(|row| row.place), given.name.clone(), (names(twin), names(own)));
                    continue;
                }
                for column in columns.iter().filter(|column| !column.is_length) {
                    for (index, row) in rows.iter().enumerate() {
                        let text = |draft: &Draft| draft.givens.text(exercise, column.slot, index).unwrap_or_default();
                        if text(twin) != text(own) {
                            let entry = row.cells.iter().find(|entry| entry.key == column.name);
                            let path = format!("{}.{}.{}", given.name, index + 1, column.name);
                            note(entry.and_then(|entry| entry.place), path, (text(twin), text(own)));
                        }
                    }
                }
            }
        }
    }
    wrongs
}

/// Reads the values of a draft block, or of its twin `within` it.
struct Reading<'s, 'b> {
    exercise: &'s Exercise,
    body: &'b str,
    within: &'static str,
}

impl<'s> Reading<'s, '_> {
    /// A fault with the twin's key before it.
    fn named(&self, message: String) -> String {
        if self.within.is_empty() { message } else { format!("{}: {message}", self.within) }
    }

    /// The same of a choice. Without a twin its line says enough.
    fn of_choice(&self, name: &Text, message: String) -> String {
        let key = harmless(&name.value, 40);
        if self.within.is_empty() { message } else { format!("{}.choice.{key}: {message}", self.within) }
    }

    fn wrong(&self, text: &Text, message: String) -> Vec<BlockFault> {
        vec![(at(self.body, text), self.named(message))]
    }

    fn unit(&self, values: &Values) -> Result<Option<Unit>, Vec<BlockFault>> {
        let Some(text) = &values.unit else { return Ok(None) };
        Unit::named(&text.value).map(Some).map_err(|fault| self.wrong(text, fault.to_string()))
    }

    fn ruler(&self, values: &Values, is_metric: bool) -> Result<Ruler, Vec<BlockFault>> {
        match &values.ruler {
            Some(text) => Ruler::read(&text.value).map_err(|error| self.wrong(text, error.to_string())),
            None => Ok(self.exercise.usual_ruler(is_metric)),
        }
    }

    fn draft(
        &self,
        values: &Values,
        raw: &Raw,
        unit: Option<Unit>,
        ruler: Ruler,
    ) -> Result<Draft<'s>, Vec<BlockFault>> {
        let exercise = self.exercise;
        let within = |fault: Fault| {
            let (place, message) = wrong(fault);
            (place, if self.within.is_empty() { message } else { format!("{}.{message}", self.within) })
        };
        let givens = Givens::read(exercise, raw, unit, ruler)
            .map_err(|faults| faults.into_iter().map(within).collect::<Vec<_>>())?;
        let (mut choices, mut wrongs) = (Vec::new(), Vec::new());
        for (name, text) in &values.choice {
            match read_choice(exercise, name, text, unit, self.body) {
                Ok((index, value)) => choices.push((index, value, name, text)),
                Err((place, message)) => wrongs.push((place, self.of_choice(name, message))),
            }
        }
        let choose =
            |step: StepId, _: usize| choices.iter().find(|(index, ..)| *index == step).map(|(_, value, ..)| *value);
        let draft =
            Draft::choosing(exercise, givens, &choose).map_err(|fault| vec![(None, self.named(fault.to_string()))])?;
        for (index, value, name, text) in &choices {
            let step = &exercise.steps[*index];
            if let Some(bound) = broken_limit(step, *value, &draft.measures, 0, Tolerance::exactly()) {
                let limit = draft.write_limit(&bound);
                let message = format!("{} of {} is outside the rule: {limit}", step.title, text.value);
                wrongs.push((at(self.body, text), self.of_choice(name, message)));
            }
        }
        if wrongs.is_empty() { Ok(draft) } else { Err(wrongs) }
    }
}

fn at(body: &str, text: &Text) -> Option<Place> {
    Some(Place::of(body, text.span.start))
}

/// A choice in a draft block: the step's index and the value.
fn read_choice(
    exercise: &Exercise,
    name: &Text,
    text: &Text,
    unit: Option<Unit>,
    body: &str,
) -> Result<(StepId, f64), BlockFault> {
    let index = step_index(exercise, name, body)?;
    if !exercise.steps[index].is_choice() {
        return Err((at(body, name), format!("{} is worked out, not chosen", exercise.steps[index].title)));
    }
    let length = Length::read(&text.value, unit).map_err(|error| (at(body, text), error.to_string()))?;
    Ok((index, length.as_nm_f64()))
}

/// A fault of a file, as one of a block.
pub(super) fn wrong(fault: Fault) -> BlockFault {
    let message = if fault.key.is_empty() { fault.message } else { format!("{}: {}", fault.key, fault.message) };
    (fault.place, message)
}

/// The step that a block names.
pub(super) fn step_index(exercise: &Exercise, name: &Text, body: &str) -> Result<StepId, BlockFault> {
    exercise.steps.position(|step| step.name == name.value).ok_or_else(|| {
        let hint = or_did_you_mean(&name.value, exercise.steps.iter().map(|step| step.name.as_str()), Shown::Key);
        (at(body, name), format!("there is no step {}{hint}", quoted(&name.value)))
    })
}

/// The steps named, or all if none is.
pub(super) fn step_indices(exercise: &Exercise, names: &[Text], body: &str) -> Result<Vec<StepId>, Vec<BlockFault>> {
    if names.is_empty() {
        return Ok(exercise.steps.keys().collect());
    }
    names.iter().map(|name| step_index(exercise, name, body)).collect::<Result<_, _>>().map_err(|wrong| vec![wrong])
}
