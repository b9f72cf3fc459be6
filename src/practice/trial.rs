//! Trying an exercise out over the whole of its ranges, to find what an author would not think of.

use super::choose::{Chooser, Dice};
use crate::check::is_told_apart;
use crate::draft::{Draft, Givens, Measures, range, work};
use crate::exercise::{Exercise, GivenKind, Slip};
use crate::formula::{Slot, Values};
use crate::length::{Length, Ruler};

/// What was found in so many trials.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Findings {
    /// Worth a look: sentences without a full stop, in the order of the file.
    pub notes: Vec<String>,
}

/// So many trials are made.
const TRIALS: usize = 600;

/// Works an exercise for random givens from the whole of their ranges, ends included, and notes what can go
/// wrong there: a step that can't be worked out, a choice whose limits pass each other, a piece that can't be
/// cut, a seam whose sides differ, a slip that gives the right answer every time, a given that nothing uses.
///
/// ```
/// use foldmark::{exercise::Shelf, length::Ruler, practice::try_out};
/// let shelf = Shelf::shipped();
/// let notes = try_out(shelf.get("flap-roll").unwrap(), Ruler::EIGHTH).notes;
/// // A short object among long ones leaves no pocket height to choose.
/// assert!(notes.iter().any(|note| note.starts_with("step.pocket_height: ")));
/// ```
pub fn try_out(exercise: &Exercise, ruler: Ruler) -> Findings {
    let mut dice = Dice::new(1, &format!("{} trials", exercise.name));
    let mut notes = Notes::default();
    let mut apart = vec![false; exercise.slips.len()];
    for trial in 0..TRIALS {
        let mut measures = draw(exercise, ruler, &mut dice, trial);
        if let Err(fault) = work(exercise, &mut measures, &|_, _| None) {
            notes.add(&format!("step.{}", fault.name), "can't be worked out", exercise, &measures, ruler);
            continue;
        }
        limits(exercise, &measures, ruler, &mut notes);
        for (slip, apart) in exercise.slips.iter().zip(&mut apart) {
            *apart |= tells_apart(exercise, slip, &measures, ruler);
        }
        let givens = Givens { ruler, row_names: Vec::new(), measures: measures.clone() };
        pieces(&Draft { exercise, givens, measures }, &mut notes);
    }
    let mut all: Vec<String> = notes.found.into_iter().map(|(_, note)| note).collect();
    let hidden = exercise.slips.iter().zip(apart).filter(|(_, apart)| !apart);
    all.extend(
        hidden.map(|(slip, _)| {
            format!("slip.{}: it can't be told from the right answer anywhere in the ranges", slip.name)
        }),
    );
    all.extend(unused(exercise).into_iter().map(|name| format!("given.{name}: nothing uses it")));
    Findings { notes: all }
}

/// The first finding under each key.
#[derive(Default)]
struct Notes {
    found: Vec<(String, String)>,
}

impl Notes {
    fn add(&mut self, key: &str, what: &str, exercise: &Exercise, measures: &Measures, ruler: Ruler) {
        if self.found.iter().any(|(known, _)| known == key) {
            return;
        }
        let note = format!("{key}: {what}, for instance with {}", example(exercise, measures, ruler));
        self.found.push((key.to_owned(), note));
    }
}

/// Givens in a few words: singles, and the first row of each table.
fn example(exercise: &Exercise, measures: &Measures, ruler: Ruler) -> String {
    let givens = Givens { ruler, row_names: Vec::new(), measures: measures.clone() };
    let mut parts = Vec::new();
    for given in exercise.givens.iter().filter(|given| given.is_needed(measures)) {
        match &given.kind {
            GivenKind::Table { table, columns, .. } => {
                for row in 0..measures.rows(*table).min(3) {
                    let cells = columns.iter().filter(|column| column.is_needed(measures)).filter_map(|column| {
                        Some(format!("{} {}", column.name, givens.text(exercise, column.slot, row)?))
                    });
                    parts.push(format!("{} {{ {} }}", given.name, cells.collect::<Vec<_>>().join(", ")));
                }
            }
            GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } | GivenKind::Choice { slot, .. } => {
                parts.extend(givens.text(exercise, *slot, 0).map(|text| format!("{} {text}", given.name)));
            }
        }
    }
    parts.join(", ")
}

fn limits(exercise: &Exercise, measures: &Measures, ruler: Ruler, notes: &mut Notes) {
    for step in &exercise.steps {
        for row in 0..measures.count(exercise, step.slot) {
            if let (Some(low), Some(high)) = range(step, measures, row)
                && low.value > high.value
            {
                let write = |value: f64| crate::draft::value_text(step.kind.base, value, ruler);
                let what = format!(
                    "its limits leave nothing to choose ({} {}, {} {})",
                    low.limit.kind.words(),
                    write(low.value),
                    high.limit.kind.words(),
                    write(high.value)
                );
                notes.add(&format!("step.{}", step.name), &what, exercise, measures, ruler);
            }
        }
    }
}

fn tells_apart(exercise: &Exercise, slip: &Slip, measures: &Measures, ruler: Ruler) -> bool {
    let step = &exercise.steps[slip.step];
    let can_be = slip.when.as_ref().is_none_or(|when| when.evaluate(measures, None) != 0.0);
    can_be
        && (0..measures.count(exercise, step.slot)).any(|row| {
            is_told_apart(step, slip.used.evaluate(measures, Some(row)), measures.value(step.slot, row), ruler)
        })
}

fn pieces(draft: &Draft, notes: &mut Notes) {
    let ruler = draft.givens.ruler;
    let mut all_drawn = true;
    for piece in draft.pieces() {
        if let Err(fault) = draft.piece(piece) {
            all_drawn = false;
            notes.add(&format!("piece.{}", piece.name), &fault.to_string(), draft.exercise, &draft.measures, ruler);
        }
    }
    if !all_drawn {
        return;
    }
    for seam in draft.seams().unwrap_or_default() {
        if !seam.is_true() {
            let what = format!("one side is {}, the other {}", draft.write(seam.one), draft.write(seam.other));
            notes.add(&format!("seam.{}", seam.seam.name), &what, draft.exercise, &draft.measures, ruler);
        }
    }
}

/// Givens and columns that no formula of the exercise reads.
fn unused(exercise: &Exercise) -> Vec<String> {
    let used = exercise.used_slots();
    let is_unused = |slot: &Slot| !used.contains(slot);
    let mut names = Vec::new();
    for given in &exercise.givens {
        match &given.kind {
            GivenKind::Table { columns, .. } => {
                let unused = columns.iter().filter(|column| is_unused(&column.slot));
                names.extend(unused.map(|column| format!("{}.{}", given.name, column.name)));
            }
            GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } | GivenKind::Choice { slot, .. } => {
                names.extend(is_unused(slot).then(|| given.name.clone()));
            }
        }
    }
    names
}

/// Random givens on the ruler. The first trials keep to what is usual and vary a little; in every other, each value
/// lies at an end of its range one time in four.
fn draw(exercise: &Exercise, ruler: Ruler, dice: &mut Dice, trial: usize) -> Measures {
    let tick = ruler.tick().nm();
    let mut between = |least: i64, most: i64, step: i64| -> f64 {
        let (first, last) = ((least + step - 1) / step, most / step);
        match dice.choose(8) {
            _ if first >= last => Length::from_nm(least).as_nm_f64(),
            0 => least as f64,
            1 => most as f64,
            _ => ((first + dice.choose((last - first + 1) as usize) as i64) * step) as f64,
        }
    };
    let mut rows = vec![0; exercise.scope.tables()];
    for given in &exercise.givens {
        if let GivenKind::Table { table, rows: (least, most), .. } = given.kind {
            rows[table.0] = between(least as i64, most.min(least + 3) as i64, 1) as usize;
        }
    }
    let mut measures = Measures::new(exercise, &rows, ruler);
    for given in &exercise.givens {
        match &given.kind {
            GivenKind::Length { slot, range, usual, .. } => {
                let usual = crate::exercise::usual_on(ruler, usual).filter(|_| trial < TRIALS / 2);
                let value = usual.map_or_else(|| between(range.0.nm(), range.1.nm(), tick), Length::as_nm_f64);
                measures.set(*slot, 0, value);
            }
            GivenKind::Number { slot, range, .. } => measures.set(*slot, 0, between(range.0, range.1, 1)),
            GivenKind::Choice { slot, words, .. } => measures.set(*slot, 0, between(0, words.len() as i64 - 1, 1)),
            GivenKind::Table { .. } => {}
        }
    }
    for given in &exercise.givens {
        let GivenKind::Table { table, columns, .. } = &given.kind else { continue };
        for row in 0..rows[table.0] {
            for column in columns {
                let step = if column.is_length { tick } else { 1 };
                measures.set(column.slot, row, between(column.range.0, column.range.1, step));
            }
        }
    }
    measures
}
