//! The columns of a table of answers, and what each holds.

use crate::exercise::{Exercise, GivenKind, Shelf, Step};
use crate::text::{Shown, or_did_you_mean, quoted};

/// What a column holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Column {
    /// What every table may have, whatever the exercise.
    Plain(Plain),
    /// A single given.
    Given(String),
    /// A cell of a table of givens: which table, which row from 0, which column; the row's name has the column `name`.
    Cell(String, usize, String),
    /// The answer to a step, in which row of a list.
    Answer(String, usize),
    /// Something else, which is not read.
    Other,
}

/// A column that every table may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Plain {
    Student,
    Id,
    Exercise,
    Version,
    Unit,
    Ruler,
    Code,
}

impl Plain {
    /// Each with its name in the head.
    pub(super) const ALL: [(&'static str, Plain); 7] = [
        ("student", Plain::Student),
        ("id", Plain::Id),
        ("exercise", Plain::Exercise),
        ("version", Plain::Version),
        ("unit", Plain::Unit),
        ("ruler", Plain::Ruler),
        ("code", Plain::Code),
    ];
}

/// Something about the columns of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColumnNote {
    /// A sentence without a full stop.
    pub says: String,
    /// Whether answers are lost by it; otherwise it is merely good to know.
    pub is_fault: bool,
}

/// The columns of a table for an exercise, with room for so many rows in each table of givens: its head. What the exercise
/// asks for stands before the answers that may be handed in beside it.
///
/// ```
/// use foldmark::{check::table_columns, exercise::Shelf};
/// let shelf = Shelf::shipped();
/// let columns = table_columns(shelf.get("flap-roll").unwrap(), 2);
/// assert_eq!(columns[..2], ["student", "id"]);
/// assert!(columns.contains(&"given.objects.2.length".to_owned()) && columns.contains(&"answer.slot.2".to_owned()));
/// ```
pub fn table_columns(exercise: &Exercise, rows: usize) -> Vec<String> {
    let mut names: Vec<String> = Plain::ALL.iter().map(|(name, _)| (*name).to_owned()).collect();
    let (tables, singles): (Vec<_>, Vec<_>) =
        exercise.givens.iter().partition(|given| matches!(given.kind, GivenKind::Table { .. }));
    names.extend(singles.iter().map(|given| format!("given.{}", given.name)));
    for given in tables {
        let GivenKind::Table { columns, rows: (_, most), .. } = &given.kind else { continue };
        for row in 1..=rows.min(*most) {
            let columns = std::iter::once("name").chain(columns.iter().map(|column| column.name.as_str()));
            names.extend(columns.map(|column| format!("given.{}.{row}.{column}", given.name)));
        }
    }
    let (asked, others): (Vec<_>, Vec<_>) = exercise.steps.keys().partition(|step| exercise.asks(*step));
    for step in asked.into_iter().chain(others).map(|step| &exercise.steps[step]) {
        match table_of(exercise, step) {
            None => names.push(format!("answer.{}", step.name)),
            Some((_, most)) => names.extend((1..=rows.min(most)).map(|row| format!("answer.{}.{row}", step.name))),
        }
    }
    names
}

/// The table of givens that a list step has a value for each row of, and how many rows it may have.
pub(super) fn table_of<'e>(exercise: &'e Exercise, step: &Step) -> Option<(&'e str, usize)> {
    let wanted = step.kind.list?;
    exercise.givens.iter().find_map(|given| match &given.kind {
        GivenKind::Table { table, rows: (_, most), .. } => (*table == wanted).then_some((given.name.as_str(), *most)),
        GivenKind::Length { .. } | GivenKind::Number { .. } | GivenKind::Choice { .. } => None,
    })
}

impl Column {
    /// What a name in the head stands for; `Other`, if it is spelled in no known way.
    pub(super) fn read(name: &str) -> Column {
        if let Some((_, plain)) = Plain::ALL.iter().find(|(plain, _)| name.eq_ignore_ascii_case(plain)) {
            return Column::Plain(*plain);
        }
        let parts: Vec<&str> = name.split('.').map(str::trim).collect();
        let row = |text: &str| text.parse::<usize>().ok().and_then(|row| row.checked_sub(1));
        match parts[..] {
            ["given", name] => Some(Column::Given(name.to_owned())),
            ["given", table, at, column] => row(at).map(|row| Column::Cell(table.to_owned(), row, column.to_owned())),
            ["answer", step] => Some(Column::Answer(step.to_owned(), 0)),
            ["answer", step, at] => row(at).map(|row| Column::Answer(step.to_owned(), row)),
            _ => None,
        }
        .unwrap_or(Column::Other)
    }

    /// Whether an exercise has it.
    pub(super) fn fits(&self, exercise: &Exercise) -> bool {
        match self {
            Column::Given(name) => {
                exercise.given(name).is_some_and(|given| !matches!(given.kind, GivenKind::Table { .. }))
            }
            Column::Cell(table, row, name) => exercise.given(table).is_some_and(|given| match &given.kind {
                GivenKind::Table { columns, rows: (_, most), .. } => {
                    row < most && (name == "name" || columns.iter().any(|column| column.name == *name))
                }
                GivenKind::Length { .. } | GivenKind::Number { .. } | GivenKind::Choice { .. } => false,
            }),
            Column::Answer(step, row) => {
                exercise.step(step).is_some_and(|step| *row < table_of(exercise, step).map_or(1, |(_, most)| most))
            }
            Column::Other => false,
            Column::Plain(_) => true,
        }
    }

    /// How many rows of a table of givens there have to be for it.
    pub(super) fn rows(&self) -> usize {
        match self {
            Column::Cell(_, row, _) | Column::Answer(_, row) => row + 1,
            Column::Plain(_) | Column::Given(_) | Column::Other => 1,
        }
    }

    /// Whether it is about an exercise.
    pub(super) fn is_about_exercise(&self) -> bool {
        matches!(self, Column::Given(_) | Column::Cell(..) | Column::Answer(..))
    }
}

/// Finds the columns that no exercise in question has, and marks them as not read.
pub(super) fn strange_columns(
    names: &[&str],
    columns: &mut [Column],
    asked: Option<&Exercise>,
    likely: Option<&Exercise>,
    shelf: &Shelf,
) -> Vec<ColumnNote> {
    let mut notes = Vec::new();
    // The shelf is searched only for a column that needs it: reading all exercises takes a while.
    let exercises = || -> Vec<&Exercise> { asked.map_or_else(|| shelf.iter().collect(), |asked| vec![asked]) };
    for (name, column) in names.iter().zip(columns) {
        let is_likely = likely.is_some_and(|exercise| column.fits(exercise));
        if name.is_empty() || is_likely || exercises().into_iter().any(|exercise| column.fits(exercise)) {
            continue;
        }
        let known: Vec<String> =
            exercises().into_iter().flat_map(|exercise| table_columns(exercise, column.rows())).collect();
        let hint = or_did_you_mean(name, known.iter().map(String::as_str), Shown::Bare);
        let is_fault = !hint.is_empty() || column.is_about_exercise();
        let whose = asked.map_or("no exercise has", |_| "this exercise does not have");
        let says = if is_fault {
            format!("{whose} a column {}, and it is not read{hint}", quoted(name))
        } else {
            format!("the column {} is not read", quoted(name))
        };
        notes.push(ColumnNote { says, is_fault });
        *column = Column::Other;
    }
    notes
}
