//! A draft from givens and choices, and what is asked of it: a step's value, a piece's size, the verdict on an answer.

pub use crate::shared::exercise;
use foldmark::check::{MarkedCell, Verdict, answer_file, mark, read_answers};
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::{Exercise, StepId};
use foldmark::geometry::Outline;
use foldmark::length::{Length, Ruler, Unit};

/// A sixteenth of an inch, in nanometres.
pub const TICK: i64 = 25_400_000 / 16;

pub fn length(text: &str) -> Length {
    Length::read(text, Some(Unit::Inch)).unwrap_or_else(|error| panic!("{error}"))
}

/// An exercise worked for givens and choices.
pub fn draft_on<'e>(
    ruler: Ruler,
    exercise: &'e Exercise,
    givens: &[(&str, &str)],
    choices: &[(&str, &str)],
) -> Draft<'e> {
    let mut raw = Raw::default();
    for (given, value) in givens {
        raw.add(&format!("{given}={value}")).unwrap();
    }
    let givens = Givens::read(exercise, &raw, Some(Unit::Inch), ruler).unwrap_or_else(|faults| panic!("{}", faults[0]));
    let choose = |step: StepId, _: usize| {
        let name = &exercise.steps[step].name;
        choices.iter().find(|(choice, _)| choice == name).map(|(_, value)| length(value).as_nm_f64())
    };
    Draft::choosing(exercise, givens, &choose).unwrap()
}

/// The same in sixteenths.
pub fn draft<'e>(exercise: &'e Exercise, givens: &[(&str, &str)], choices: &[(&str, &str)]) -> Draft<'e> {
    draft_on(Ruler::SIXTEENTH, exercise, givens, choices)
}

/// An exercise's givens as written from whole sixteenths of an inch.
pub fn sixteenths(values: &[(&'static str, i64)]) -> Vec<(&'static str, String)> {
    values.iter().map(|(name, value)| (*name, format!("{value}/16 in"))).collect()
}

pub fn borrowed<'t>(values: &'t [(&'t str, String)]) -> Vec<(&'t str, &'t str)> {
    values.iter().map(|(name, value)| (*name, value.as_str())).collect()
}

pub fn gives(draft: &Draft, expected: &[(&str, &str)]) {
    for (step, value) in expected {
        assert_eq!(draft.length(step, 0), length(value), "{step}: {} for {value}", draft.text(step, 0));
    }
}

pub fn outline(draft: &Draft, piece: &str) -> Outline {
    draft.piece(draft.exercise.piece(piece).unwrap()).unwrap_or_else(|fault| panic!("{piece}: {fault}")).outline
}

/// Width and height of what is cut out for a piece, as the cutting list has it.
pub fn cut(draft: &Draft, piece: &str) -> (Length, Length) {
    let list = draft.cutting_list().unwrap();
    let line = list.iter().find(|line| line.piece.name == piece).unwrap_or_else(|| panic!("no {piece} is cut"));
    (line.width, line.height)
}

/// Width and height of an outline's cutting line, in nanometres.
pub fn cut_size(outline: &Outline) -> (i64, i64) {
    let bounds = outline.cutting_bounds();
    (nm(bounds.width()), nm(bounds.height()))
}

/// A length of the geometry, which is in millimetres, in whole nanometres.
pub fn nm(mm: f64) -> i64 {
    (mm * 1e6).round() as i64
}

/// Whether two lengths in nanometres agree to within a micrometre.
pub fn close(one: i64, other: i64) -> bool {
    (one - other).abs() <= 1_000
}

/// One cell of a sheet, as it is marked.
fn marked(exercise: &Exercise, answers: &str, step: &str) -> MarkedCell {
    let sheet = read_answers(answers).unwrap_or_else(|faults| panic!("{}", faults[0]));
    let marked = mark(exercise, &sheet).unwrap_or_else(|faults| panic!("{}", faults[0]));
    marked.cells.into_iter().find(|cell| exercise.steps[cell.step].name == step).unwrap()
}

/// The verdict on a step of a sheet that has every choice as in the draft, and every other answer as it follows.
pub fn verdict(draft: &Draft, step: &str) -> Verdict {
    marked(draft.exercise, &answer_file(draft, "Fennel", true), step).verdict
}

/// What is found about one answer of a sheet that is right otherwise: the verdict, and the slip named.
pub fn answered<'e>(draft: &Draft<'e>, step: &str, value: &str) -> (Verdict, Option<&'e str>) {
    let filled = answer_file(draft, "Fennel", true);
    let (before, answers) = filled.split_once("[answer]").unwrap();
    let change = |line: &str| match line.strip_prefix(&format!("{step} = ")) {
        Some(_) => format!("{step} = \"{value}\""),
        None => line.to_owned(),
    };
    let answers: Vec<String> = answers.lines().map(change).collect();
    let changed = format!("{before}[answer]{}", answers.join("\n"));
    assert_ne!(changed, filled.trim_end(), "{step} is not in the answer file, or was {value} already");
    let cell = marked(draft.exercise, &changed, step);
    (cell.verdict, cell.cause().map(|cause| cause.name(draft.exercise)))
}

pub fn is_slip(draft: &Draft, step: &str, value: &str, slip: &str) {
    assert_eq!(answered(draft, step, value), (Verdict::NotRight, Some(slip)), "{step} = {value}");
}

/// So many seams there are, and both sides of each agree.
pub fn seams_are_true(draft: &Draft, count: usize) {
    let seams = draft.seams().unwrap();
    assert_eq!(seams.len(), count);
    for seam in seams {
        assert!(seam.is_true(), "{}: {:?} against {:?}", seam.seam.name, seam.one, seam.other);
    }
}
