//! What there is to fill in: the givens of an exercise, as fields of a form.

use super::ask::OwnAsked;
use crate::draft::{Givens, Measures, Raw};
use crate::exercise::{Exercise, Given, GivenKind, usual_on};
use crate::length::{Length, Ruler, Unit};
use serde::Serialize;

/// The givens of an exercise, for a reader to fill in.
#[derive(Debug, Serialize)]
pub(super) struct Form {
    title: String,
    ruler: String,
    unit: &'static str,
    /// The rulers to choose from.
    rulers: Vec<String>,
    /// The fractions that the ruler has between two whole numbers.
    fractions: Vec<String>,
    givens: Vec<Field>,
    /// The levels of practice, each with what it trains.
    levels: Vec<(u8, String)>,
    /// Whether it has slips to be found in finished drafts.
    has_slips: bool,
}

/// One given.
#[derive(Debug, Serialize)]
struct Field {
    name: String,
    title: String,
    says: String,
    /// Whether it matters with what is filled in so far.
    is_needed: bool,
    kind: &'static str,
    /// What it is where nothing is filled in.
    usual: String,
    /// The words to choose from, each with what it means.
    words: Vec<(String, String)>,
    /// What a row is called, and how many there may be.
    each: String,
    most: usize,
    columns: Vec<Column>,
    /// The steps that have a value for each of its rows.
    steps: Vec<String>,
}

/// A column of a table.
#[derive(Debug, Serialize)]
struct Column {
    name: String,
    title: String,
    says: String,
    is_needed: bool,
    is_length: bool,
}

/// The form for an exercise, as far as it is filled in.
pub(super) fn form(exercise: &Exercise, own: &OwnAsked, ruler: Ruler) -> Form {
    let measures = as_far(exercise, own, ruler);
    let rulers = exercise.rulers.iter().map(ToString::to_string).collect();
    let levels = exercise.practice.levels.iter().map(|level| (level.level, level.says.clone())).collect();
    Form {
        title: exercise.title.clone(),
        ruler: ruler.to_string(),
        unit: ruler.unit().symbol(),
        rulers,
        fractions: fractions(ruler),
        givens: exercise.givens.iter().map(|given| field(exercise, given, ruler, measures.as_ref())).collect(),
        levels,
        has_slips: !exercise.slips.is_empty(),
    }
}

/// What a reader typed that matters for an exercise.
pub(super) fn needed(exercise: &Exercise, own: &OwnAsked, ruler: Ruler) -> OwnAsked {
    let mut own = own.clone();
    if let Some(measures) = as_far(exercise, &own, ruler) {
        own.retain_needed(exercise, &measures);
    }
    own
}

/// The givens as far as they can be read: all of them, or only the words chosen, on which it mostly depends what else is needed.
fn as_far(exercise: &Exercise, own: &OwnAsked, ruler: Ruler) -> Option<Measures> {
    let raw = own.raw();
    let unit = Some(ruler.unit());
    if let Ok(givens) = Givens::read(exercise, &raw, unit, ruler) {
        return Some(givens.measures);
    }
    let mut example = Raw::example(exercise);
    let is_choice = |key: &str| exercise.given(key).is_some_and(|given| matches!(given.kind, GivenKind::Choice { .. }));
    let words = raw.singles.into_iter().filter(|entry| is_choice(&entry.key));
    for word in words {
        example.singles.retain(|known| known.key != word.key);
        example.singles.push(word);
    }
    let givens = Givens::read(exercise, &example, unit, ruler);
    let givens = givens.or_else(|_| Givens::read(exercise, &Raw::example(exercise), unit, ruler));
    givens.ok().map(|givens| givens.measures)
}

fn field(exercise: &Exercise, given: &Given, ruler: Ruler, measures: Option<&Measures>) -> Field {
    let mut field = Field {
        name: given.name.clone(),
        title: given.title.clone(),
        says: given.says.clone(),
        is_needed: measures.is_none_or(|measures| given.is_needed(measures)),
        kind: "length",
        usual: given.example.clone().unwrap_or_default(),
        words: Vec::new(),
        each: String::new(),
        most: 0,
        columns: Vec::new(),
        steps: Vec::new(),
    };
    match &given.kind {
        GivenKind::Length { usual, .. } => {
            if let Some(usual) = usual_on(ruler, usual) {
                field.usual = ruler.write_exactly(usual);
            }
        }
        GivenKind::Number { parts, usual, .. } => {
            field.kind = "number";
            field.usual = usual.map_or(field.usual, |usual| parts.write(usual));
        }
        GivenKind::Choice { words, usual, .. } => {
            field.kind = "choice";
            field.usual = usual.map_or(field.usual, |usual| words[usual].word.clone());
            field.words = words.iter().map(|word| (word.word.clone(), word.says.clone())).collect();
        }
        GivenKind::Table { table, each, rows, columns, .. } => {
            let of_rows = exercise.steps.iter().filter(|step| step.kind.list == Some(*table));
            field.steps = of_rows.map(|step| step.name.clone()).collect();
            field.kind = "table";
            field.each = each.clone();
            field.most = rows.1;
            let column = |column: &crate::exercise::Column| Column {
                name: column.name.clone(),
                title: column.title.clone(),
                says: column.says.clone(),
                is_needed: measures.is_none_or(|measures| column.is_needed(measures)),
                is_length: column.is_length,
            };
            field.columns = columns.iter().map(column).collect();
        }
    }
    field
}

/// The ticks between two inches, reduced: those that a student writes with a line between two numbers.
fn fractions(ruler: Ruler) -> Vec<String> {
    if ruler.is_metric() {
        return Vec::new();
    }
    let inch = Unit::Inch.length();
    let ticks = inch.nm() / ruler.tick().nm();
    let fraction = |tick: i64| {
        let length = Length::from_nm(ruler.tick().nm() * tick);
        ruler.write_bare(length).number()
    };
    (1..ticks).map(fraction).collect()
}
