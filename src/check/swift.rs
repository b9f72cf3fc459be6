//! The swift way to grade a row of a table: its fields are read straight into the measures, with nothing allocated and
//! nothing written down of how they were spelled.
//!
//! It takes only rows about which nothing has to be told. Whatever is missing, out of range, unreadable or otherwise
//! unusual is left to the general way, which makes an [`AnswerSheet`](super::AnswerSheet) of the row and marks it as any
//! other; a property test holds the two to the same result.

use super::coarse::coarser_ruler;
use super::gradebook::StepGrade;
use super::judge::{Answers, Judge, Judged, Worked};
use super::mark::Marker;
use super::points::Points;
use super::records::Fields;
use super::table::{CODE, Column, RULER, Table, UNIT, trimmed};
use crate::draft::Measures;
use crate::exercise::{GivenKind, StepId, usual_on};
use crate::formula::Base;
use crate::length::{Length, Ruler, Unit, quick};
use typed_index_collections::TiVec;

/// What is known of a table's columns for one exercise, and room to grade a row in.
pub(super) struct Swift<'e> {
    marker: Marker<'e>,
    /// For each given its field; none for a table.
    singles: Vec<Option<usize>>,
    /// For each table its rows.
    tables: Vec<Vec<Lane>>,
    /// For each step its fields, one for each row of a list.
    steps: TiVec<StepId, Vec<Option<usize>>>,
    /// Columns that this exercise does not have.
    foreign: Vec<usize>,
    settings: Vec<Setting<'e>>,
    worked: Worked,
    answers: Answers,
    judged: Vec<Judged>,
    absurd: Vec<usize>,
    /// The rows of each table that are filled in.
    filled: Vec<Vec<usize>>,
    counts: Vec<usize>,
    /// The grades of a row of which nothing is known yet.
    blank: TiVec<StepId, StepGrade>,
    pub grades: TiVec<StepId, StepGrade>,
}

/// The fields of one row of a table of givens.
struct Lane {
    name: Option<usize>,
    cells: Vec<Option<usize>>,
}

/// What a sheet's unit and ruler entail. A class has few of them.
struct Setting<'e> {
    texts: [String; 2],
    unit: Option<Unit>,
    ruler: Ruler,
    judge: Judge<'e>,
    /// The value of each given that a sheet leaves out.
    usual: Vec<Option<f64>>,
}

/// So many settings are kept.
const MOST_SETTINGS: usize = 16;

/// What a row came to; the grade of each step is in [`Swift::grades`].
pub(super) struct Graded {
    pub points: Points,
    pub out_of: Points,
}

impl<'e> Swift<'e> {
    pub fn new(marker: Marker<'e>, table: &Table) -> Swift<'e> {
        let exercise = marker.exercise();
        let rows = table.columns.iter().map(|column| match column {
            Column::Cell(_, row, _) | Column::Answer(_, row) => row + 1,
            _ => 1,
        });
        let rows = 0..rows.max().unwrap_or(1);
        let single = |given: &crate::exercise::Given| table.column(&Column::Given(given.name.clone()));
        let tables = exercise.givens.iter().filter_map(|given| {
            let GivenKind::Table { columns, .. } = &given.kind else { return None };
            let cell = |row: usize, name: &str| table.column(&Column::Cell(given.name.clone(), row, name.to_owned()));
            let lane = |row: usize| Lane {
                name: cell(row, "name"),
                cells: columns.iter().map(|column| cell(row, &column.name)).collect(),
            };
            Some(rows.clone().map(lane).collect::<Vec<_>>())
        });
        let tables: Vec<Vec<Lane>> = tables.collect();
        let answer = |step: &str, row: usize| table.column(&Column::Answer(step.to_owned(), row));
        let steps = exercise.steps.iter().map(|step| {
            let mut fields: Vec<Option<usize>> = rows.clone().map(|row| answer(&step.name, row)).collect();
            let last = fields.iter().rposition(Option::is_some);
            fields.truncate(last.map_or(0, |last| last + 1));
            fields
        });
        let shape = Measures::new(exercise, &vec![0; tables.len()], exercise.usual_ruler(false));
        Swift {
            singles: exercise.givens.iter().map(single).collect(),
            steps: steps.collect(),
            foreign: table.foreign(exercise),
            settings: Vec::new(),
            worked: Worked::new(exercise, &shape),
            answers: Answers::new(exercise, &shape),
            judged: Vec::new(),
            absurd: Vec::new(),
            filled: vec![Vec::new(); tables.len()],
            counts: Vec::new(),
            blank: exercise.steps.keys().map(|step| marker.blank_grade(step)).collect(),
            grades: TiVec::new(),
            tables,
            marker,
        }
    }

    pub fn marker(&self) -> &Marker<'e> {
        &self.marker
    }

    /// Grades a row; nothing, if the general way has to look at it.
    pub fn grade(&mut self, table: &Table, fields: Fields) -> Option<Graded> {
        if self.foreign.iter().any(|&column| fields.filled(Some(column)).is_some()) {
            return None;
        }
        if !table.text(fields, CODE).is_empty() {
            return None;
        }
        let setting = self.setting([table.text(fields, UNIT), table.text(fields, RULER)])?;
        self.read_given(setting, fields)?;
        self.read_answers(setting, fields)?;
        let Setting { judge, ruler, .. } = &self.settings[setting];
        self.absurd.clear();
        judge.judge(&mut self.worked, &mut self.answers, &mut self.judged, &mut self.absurd).ok()?;
        if !self.absurd.is_empty() || coarser_ruler(judge, *ruler, &self.answers, &self.judged).is_some() {
            return None;
        }
        self.grades.clone_from(&self.blank);
        for (step, grade) in self.grades.iter_mut_enumerated() {
            for cell in self.answers.cells(step) {
                grade.add(self.judged[cell].verdict, self.answers.has(cell));
            }
        }
        let (points, out_of) = self.marker.points(&self.grades);
        Some(Graded { points, out_of })
    }

    /// The place of a setting, which is made if it is new.
    fn setting(&mut self, texts: [&str; 2]) -> Option<usize> {
        if let Some(known) = self.settings.iter().position(|setting| setting.texts == texts) {
            return Some(known);
        }
        let setting = Setting::new(&self.marker, texts)?;
        if self.settings.len() == MOST_SETTINGS {
            self.settings.clear();
        }
        self.settings.push(setting);
        Some(self.settings.len() - 1)
    }

    /// Reads the givens into the measures.
    fn read_given(&mut self, setting: usize, fields: Fields) -> Option<()> {
        let exercise = self.marker.exercise();
        let setting = &self.settings[setting];
        self.counts.clear();
        for (lanes, filled) in self.tables.iter().zip(&mut self.filled) {
            filled.clear();
            filled.extend(lanes.iter().enumerate().filter(|(_, lane)| lane.is_filled(fields)).map(|(row, _)| row));
            self.counts.push(filled.len());
        }
        let measures = &mut self.worked.truth;
        measures.reshape(exercise, &self.counts, setting.ruler);
        measures.clear();
        for ((given, field), usual) in exercise.givens.iter().zip(&self.singles).zip(&setting.usual) {
            let (GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } | GivenKind::Choice { slot, .. }) =
                given.kind
            else {
                continue;
            };
            let value = match fields.filled(*field) {
                Some(text) => Some(single(&given.kind, text, setting.unit)?),
                None if usual.is_none() && given.is_needed(measures) => return None,
                None => *usual,
            };
            measures.set(slot, 0, value);
        }
        // Whether a column is needed may depend on the single givens, so tables come after them.
        let tables = exercise.givens.iter().filter_map(|given| match &given.kind {
            GivenKind::Table { columns, rows, .. } => Some((columns, *rows)),
            _ => None,
        });
        for (((columns, (least, most)), lanes), filled) in tables.zip(&self.tables).zip(&self.filled) {
            if filled.len() < least || filled.len() > most {
                return None;
            }
            for (at, column) in columns.iter().enumerate() {
                let is_needed = column.is_needed(measures);
                for (row, &lane) in filled.iter().enumerate() {
                    let value = match fields.filled(lanes[lane].cells[at]) {
                        Some(text) if column.is_length => Some(length(text, column.range, setting.unit)?),
                        Some(text) => Some(number(text, column.range)?),
                        None if is_needed => return None,
                        None => None,
                    };
                    measures.set(column.slot, row, value);
                }
            }
        }
        Some(())
    }

    /// Reads the answers.
    fn read_answers(&mut self, setting: usize, fields: Fields) -> Option<()> {
        let exercise = self.marker.exercise();
        let unit = self.settings[setting].unit;
        self.answers.reshape(exercise, &self.worked.truth);
        for ((index, step), places) in exercise.steps.iter_enumerated().zip(&self.steps) {
            let filled = step.kind.list.map_or(&[0][..], |table| &self.filled[table.0]);
            let mut row = 0;
            for (at, field) in places.iter().enumerate() {
                let is_asked = filled.get(row) == Some(&at);
                if let Some(text) = fields.filled(*field) {
                    // An answer to what is not given.
                    if !is_asked {
                        return None;
                    }
                    let value = match step.kind.base {
                        Base::Length => read(text, unit).filter(|length| !length.is_negative())?.as_nm_f64(),
                        _ => trimmed(text).parse().ok().filter(|number: &f64| number.is_finite())?,
                    };
                    self.answers.set(self.answers.cell(index, row), Some(value));
                }
                row += usize::from(is_asked);
            }
        }
        Some(())
    }
}

impl Lane {
    fn is_filled(&self, fields: Fields) -> bool {
        self.cells.iter().any(|cell| fields.filled(*cell).is_some()) || fields.filled(self.name).is_some()
    }
}

impl<'e> Setting<'e> {
    /// What a unit and a ruler as written entail; nothing, if they can't be read.
    fn new(marker: &Marker<'e>, texts: [&str; 2]) -> Option<Setting<'e>> {
        let exercise = marker.exercise();
        let [unit, ruler] = texts;
        let unit = if unit.is_empty() { None } else { Some(Unit::read(unit)?) };
        let ruler = if ruler.is_empty() { None } else { Some(Ruler::read(ruler).ok()?) };
        let (unit, ruler) = marker.measuring(unit, ruler);
        let mut usual = Vec::with_capacity(exercise.givens.len());
        for given in &exercise.givens {
            let of_class = marker.usual(&given.name).filter(|text| !text.trim().is_empty());
            usual.push(match (of_class, &given.kind) {
                (Some(text), kind) => Some(single(kind, text, unit)?),
                (None, GivenKind::Length { usual, .. }) => usual_on(ruler, usual).map(Length::as_nm_f64),
                (None, GivenKind::Number { usual, .. }) => usual.map(|number| number as f64),
                (None, GivenKind::Choice { usual, .. }) => usual.map(|index| index as f64),
                (None, GivenKind::Table { .. }) => None,
            });
        }
        let judge = Judge { exercise, widths: marker.widths(ruler, &mut Vec::new()) };
        Some(Setting { texts: texts.map(str::to_owned), unit, ruler, judge, usual })
    }
}

/// The value of a single given; nothing, if it can't be read or is out of range.
fn single(kind: &GivenKind, text: &str, bare: Option<Unit>) -> Option<f64> {
    match kind {
        GivenKind::Length { range: (least, most), .. } => length(text, (least.nm(), most.nm()), bare),
        GivenKind::Number { range, .. } => number(text, *range),
        GivenKind::Choice { words, .. } => {
            words.iter().position(|choice| choice.word == trimmed(text)).map(|index| index as f64)
        }
        GivenKind::Table { .. } => None,
    }
}

/// Nearly every length is written in a plain way.
fn read(text: &str, bare: Option<Unit>) -> Option<Length> {
    quick(text, bare).map_or_else(|| Length::read(text, bare).ok(), |(length, _)| Some(length))
}

fn length(text: &str, (least, most): (i64, i64), bare: Option<Unit>) -> Option<f64> {
    let length = read(text, bare)?;
    (least..=most).contains(&length.nm()).then_some(length.as_nm_f64())
}

fn number(text: &str, (least, most): (i64, i64)) -> Option<f64> {
    let number: i64 = trimmed(text).parse().ok()?;
    (least..=most).contains(&number).then_some(number as f64)
}
