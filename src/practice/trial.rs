//! Trying an exercise out over the whole of its ranges, to find what an author would not think of.

use super::choose::{Chooser, Dice};
use super::findings::Notes;
use super::maker::{parts, weight};
use super::slips::Slips;
use super::spans;
use super::variety;
use crate::draft::{Draft, Givens, Measures, broken_limit, range, work};
use crate::exercise::{Column, Drawn, Exercise, GivenKind, Piece};
use crate::figure::is_drawable;
use crate::formula::{Slot, Values};
use crate::geometry::Outline;
use crate::length::{Length, Ruler, Tolerance};

/// What was found in so many trials.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Findings {
    /// Worth a look: sentences without a full stop, each with the key concerned and givens that show it.
    pub notes: Vec<String>,
}

/// So many trials are made.
const TRIALS: usize = 600;
/// And so many at least, however long one takes.
const FEWEST_TRIALS: usize = 24;

/// Works an exercise for random givens from the whole of their ranges, ends included, on every ruler that it lists,
/// and notes what can go wrong there: a step that can't be worked out or drawn, a choice whose limits pass each other
/// or whose suggestion breaks them, a piece that can't be cut, a notch past the end of its edge, a dimension whose
/// label is not what it spans or that comes out on another side, a seam whose sides differ, a slip that gives the right answer or another slip's every time, a given that nothing uses, a ruler on which
/// practice finds too few problems.
///
/// ```
/// use foldmark::{exercise::Shelf, practice::try_out};
/// let shelf = Shelf::shipped();
/// let notes = try_out(shelf.get("flap-roll").unwrap()).notes;
/// // A short object among long ones leaves no pocket height to choose.
/// assert!(notes.iter().any(|note| note.starts_with("step.pocket_height: ")));
/// ```
pub fn try_out(exercise: &Exercise) -> Findings {
    let rulers = match &exercise.rulers[..] {
        [] => &[exercise.usual_ruler(false)],
        rulers => rulers,
    };
    let mut dice = Dice::new(1, &format!("{} trials", exercise.name));
    let mut trial = Trial { exercise, notes: Notes::default() };
    let mut slips = Slips::new(exercise);
    let trials = (TRIALS / weight(exercise)).max(FEWEST_TRIALS);
    for at in 0..trials {
        let ruler = rulers[at % rulers.len()];
        let mut measures = draw(exercise, ruler, &mut dice, at < trials / 2);
        if let Err(fault) = work(exercise, &mut measures, &|_, _| None) {
            trial.notes.add(
                &format!("step.{}", exercise.steps[fault.step].name),
                "can't be worked out",
                exercise,
                &measures,
                ruler,
            );
            continue;
        }
        slips.look(&measures, ruler);
        let givens = Givens { ruler, row_names: Vec::new(), measures: measures.clone() };
        let draft = Draft { exercise, givens, measures };
        // Where nobody can choose, nobody cuts.
        if trial.choices(&draft) {
            trial.figures(&draft);
            trial.pieces(&draft);
        }
    }
    let mut notes = trial.notes.sentences();
    notes.extend(slips.sentences());
    notes.extend(unused(exercise).into_iter().map(|name| format!("given.{name}: nothing uses it")));
    notes.extend(variety::faults(exercise, rulers));
    notes.extend(much_to_work_out(exercise));
    Findings { notes }
}

/// That an exercise is so heavy that not everything can be tried.
fn much_to_work_out(exercise: &Exercise) -> Option<String> {
    let times = weight(exercise);
    (times > MANY_TIMES).then(|| {
        format!(
            "step: the rules have {} parts to work out, with as many rows as the tables may have, which is some {times} times \
             as many as is usual; where much is wrong on a sheet, not every answer is explained then, and practice looks at \
             fewer problems; allow fewer rows, or write shorter rules",
            parts(exercise)
        )
    })
}

/// From so many times as much as is usual on, it is said that there is much to work out.
const MANY_TIMES: usize = 10;

struct Trial<'e> {
    exercise: &'e Exercise,
    notes: Notes,
}

impl<'e> Trial<'e> {
    fn note(&mut self, key: &str, what: &str, draft: &Draft) {
        self.notes.add(key, what, self.exercise, &draft.measures, draft.givens.ruler);
    }

    /// Looks at the limits of every choice, and at what is suggested; whether something is left to choose everywhere.
    fn choices(&mut self, draft: &Draft<'e>) -> bool {
        let mut is_open = true;
        let tolerance = Tolerance::one_tick(draft.givens.ruler);
        for step in self.exercise.steps.iter().filter(|step| step.is_choice()) {
            let key = format!("step.{}", step.name);
            if let (Some(low), Some(high)) = range(step, &draft.measures, 0)
                && low.value > high.value
            {
                is_open = false;
                let (low, high) = (draft.write_limit(&low), draft.write_limit(&high));
                self.note(&key, &format!("its limits leave nothing to choose ({low}, {high})"), draft);
                continue;
            }
            let value = draft.measures.value(step.slot, 0);
            if let Some(bound) = value.and_then(|value| broken_limit(step, value, &draft.measures, 0, tolerance)) {
                let (value, limit) = (draft.text_at(step.slot, 0), draft.write_limit(&bound));
                self.note(&format!("{key}.suggest"), &format!("{value} is suggested, which is not {limit}"), draft);
            }
        }
        is_open
    }

    /// Looks for something in the steps' figures, and so in that of the whole, that is nowhere.
    fn figures(&mut self, draft: &Draft<'e>) {
        for step in &self.exercise.steps {
            if let Some(at) = step.draw.iter().position(|drawn| is_nowhere(draft, drawn, None)) {
                let what = format!("entry {} can't be drawn: its place can't be worked out", at + 1);
                self.note(&format!("step.{}.draw", step.name), &what, draft);
            }
        }
        for (step, fault) in draft.drawing_faults() {
            self.note(&format!("step.{step}.draw"), &fault.to_string(), draft);
        }
        for (key, fault) in draft.scene_faults() {
            self.note(&key, &fault.to_string(), draft);
        }
        for (key, fault) in spans::faults(draft) {
            self.note(&key, &fault, draft);
        }
    }

    fn pieces(&mut self, draft: &Draft<'e>) {
        let mut all_cut = true;
        for piece in draft.pieces() {
            match draft.piece(piece) {
                Err(fault) => {
                    all_cut = false;
                    self.note(&format!("piece.{}", piece.name), &fault.to_string(), draft);
                }
                Ok(cut) => self.marks(draft, piece, &cut.outline),
            }
        }
        if !all_cut {
            return;
        }
        let seams = match draft.seams() {
            Ok(seams) => seams,
            Err(fault) => {
                self.note("seam", &fault.to_string(), draft);
                return;
            }
        };
        for seam in seams {
            if !seam.is_true() {
                let what = format!("one side is {}, the other {}", draft.write(seam.one), draft.write(seam.other));
                self.note(&format!("seam.{}", seam.seam.name), &what, draft);
            }
        }
    }

    /// Looks for marks of a piece that are nowhere, and notches that are not on their edge.
    fn marks(&mut self, draft: &Draft<'e>, piece: &Piece, outline: &Outline) {
        let key = format!("piece.{}.marks", piece.name);
        for (at, mark) in piece.marks.iter().enumerate() {
            if is_nowhere(draft, mark, Some(outline)) {
                let what = format!("entry {} can't be drawn: its place can't be worked out", at + 1);
                self.note(&key, &what, draft);
            }
        }
        if let Some(fault) = spans::on_piece(draft, &piece.marks, outline) {
            self.note(&key, &fault, draft);
        }
    }
}

/// Whether an entry of a figure is left out of it, because a number in it is none.
fn is_nowhere(draft: &Draft, drawn: &Drawn, outline: Option<&Outline>) -> bool {
    !draft.is_placed(drawn, outline) || !draft.marks(std::slice::from_ref(drawn), outline).iter().all(is_drawable)
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

/// Random givens on the ruler: lengths as usual, or like all others, which lie at an end of their range one time in
/// four. What is not needed is not given.
fn draw(exercise: &Exercise, ruler: Ruler, dice: &mut Dice, is_usual: bool) -> Measures {
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
                let usual = crate::exercise::usual_on(ruler, usual).filter(|_| is_usual);
                let value = usual.map_or_else(|| between(range.0.nm(), range.1.nm(), tick), Length::as_nm_f64);
                measures.set(*slot, 0, value);
            }
            GivenKind::Number { slot, parts, range, .. } => {
                measures.set(*slot, 0, parts.value(between(range.0, range.1, 1) as i64));
            }
            GivenKind::Choice { slot, words, .. } => measures.set(*slot, 0, between(0, words.len() as i64 - 1, 1)),
            GivenKind::Table { .. } => {}
        }
    }
    for given in &exercise.givens {
        let GivenKind::Table { table, columns, .. } = &given.kind else { continue };
        let needed: Vec<&Column> = columns.iter().filter(|column| column.is_needed(&measures)).collect();
        for row in 0..rows[table.0] {
            for column in &needed {
                let step = if column.is_length { tick } else { 1 };
                let drawn = between(column.range.0, column.range.1, step);
                let value = if column.is_length { drawn } else { column.parts.value(drawn as i64) };
                measures.set(column.slot, row, value);
            }
        }
    }
    measures
}
