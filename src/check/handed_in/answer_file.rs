//! An answer file: which exercise, whose, in what unit, the givens and the answers.

use crate::draft::Raw;
use crate::exercise::SlipId;
use crate::length::{Ruler, Unit};
use crate::text::schema::{Holds, Schema, key, needed};
use crate::text::{Document, Fault, Place, Section, harmless};

/// Longest answer file that is read, in bytes.
pub(crate) const LONGEST: usize = 1 << 20;

const TEXT: Holds = Holds::Text;

/// What an answer file may hold.
pub static ANSWERS: Schema = Schema::new(&[
    needed("exercise", TEXT).says("the exercise's name"),
    key("version", Holds::Whole(1..=9_999)).says("the exercise's version"),
    needed("student", TEXT).says("the student's name"),
    key("id", TEXT).says("what tells the student from others of the same name"),
    key("unit", TEXT).says("what a bare number is measured in: in, ft, yd, mm, cm or m"),
    key("ruler", TEXT).says("the ruler's smallest tick, such as \"1/8 in\" or \"1 mm\""),
    key("code", TEXT).says("the code in the head of a practice sheet, in place of everything that is given there"),
    key(
        "given",
        Holds::Free(&Holds::Either(&[Holds::Value, Holds::List(&Holds::Free(&Holds::Value), 0..=usize::MAX)])),
    )
    .says("the givens by name, a table with one part for each row; what is left out takes its usual value"),
    needed("answer", Holds::Free(&Holds::OneOrMore(&Holds::Value)))
        .says("the answers by step; for a list one value for each row of its table"),
])
.named("answers", "answers of one student to one exercise");

/// A value as it was written, and its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Value {
    /// The text.
    pub text: String,
    /// Where it stands.
    pub place: Place,
}

/// The answer to one step: one value, or one for each row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// The step's name.
    pub step: String,
    /// Where it stands.
    pub place: Place,
    /// The values.
    pub values: Vec<Value>,
}

/// What a sheet of practice sets.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Assignment {
    /// The level; 0 for none.
    pub level: u8,
    /// The slips in the finished draft that is to be looked through; none where there is to be
    /// drafted.
    pub slips: Vec<SlipId>,
    /// Whether the file had givens of its own, which don't count.
    pub had_givens: bool,
}

/// What a student handed in. Nothing in it is trusted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AnswerSheet {
    /// The exercise's name.
    pub exercise: String,
    /// The exercise's version, if the file says.
    pub version: Option<u32>,
    /// The student's name.
    pub student: String,
    /// What tells the student from others of the same name; empty if the file has none.
    pub id: String,
    /// What a bare number is measured in.
    pub unit: Option<Unit>,
    /// The ruler it was drafted with; the exercise's usual one, if the file does not say.
    pub ruler: Option<Ruler>,
    /// The code of the sheet that it answers; empty if the file has none.
    pub code: String,
    /// What that code sets, once it was looked up.
    pub assignment: Option<Assignment>,
    /// The givens as written.
    pub given: Raw,
    /// The answers as written, in the order of the file.
    pub answers: Vec<Answer>,
    /// How it was read, where that has to be said once; sentences without a full stop.
    pub remarks: Vec<String>,
    /// What could not be read of it, and costs nothing else.
    pub faults: Vec<Fault>,
}

/// Reads an answer file.
///
/// ```
/// let sheet = foldmark::check::read_answers(r#"
/// exercise = "flap-roll"
/// student = "Rosemary"
/// unit = "in"
/// [answer]
/// finished_width = "12 1/2"
/// "#).unwrap();
/// assert_eq!((sheet.student.as_str(), sheet.answers.len()), ("Rosemary", 1));
/// ```
///
/// # Errors
/// Every fault of the file's form, with its place. Whether the answers can be read is found when they are
/// marked.
pub fn read_answers(text: &str) -> Result<AnswerSheet, Vec<Fault>> {
    if text.trim().is_empty() {
        return Err(vec![Fault::whole(
            "the file is empty; an answer file names its exercise and the student, and has an [answer] part",
        )]);
    }
    if text.len() > LONGEST {
        let message = format!("the file has {} bytes; an answer file has at most {LONGEST}", text.len());
        return Err(vec![Fault::whole(message)]);
    }
    let document = Document::new(text);
    let table = document.parse();
    if document.is_broken() {
        return Err(document.into_faults());
    }
    let root = Section::root(&document, &table, &ANSWERS);
    let exercise = root.text("exercise");
    let student = root.text("student");
    let id = root.text("id").map(|id| id.value).unwrap_or_default();
    let code = root.text("code").map(|code| code.value).unwrap_or_default();
    let version = root.whole("version").map(|version| version as u32);
    let unit = root.text("unit").and_then(|unit| {
        Unit::named(unit.value.trim()).map_err(|fault| document.note(unit.span, "unit", fault.to_string())).ok()
    });
    let ruler = root.text("ruler").and_then(|ruler| {
        Ruler::read(&ruler.value).map_err(|error| document.note(ruler.span, "ruler", error.to_string())).ok()
    });
    let given = root.table("given").map(|section| Raw::from_section(&section)).unwrap_or_default();
    let mut answers = Vec::new();
    if let Some(section) = root.table("answer") {
        for (key, values) in section.entries_of_any_kind() {
            let value = |value: crate::text::Text| Value { place: document.place(value.span.start), text: value.value };
            let place = document.place(key.span.start);
            answers.push(Answer { step: key.value, place, values: values.into_iter().map(value).collect() });
        }
    } else if !root.has("answer") {
        root.note("answer", "there is no [answer] part, so there is nothing to mark");
    }
    let faults = document.into_faults();
    match (exercise, student) {
        (Some(exercise), Some(student)) if faults.is_empty() => Ok(AnswerSheet {
            exercise: exercise.value,
            version,
            student: student.value,
            id,
            unit,
            ruler,
            code,
            assignment: None,
            given,
            answers,
            remarks: Vec::new(),
            faults: Vec::new(),
        }),
        _ => Err(faults),
    }
}

impl AnswerSheet {
    /// The level of practice that it was set at; 0 for none.
    pub fn level(&self) -> u8 {
        self.assignment.as_ref().map_or(0, |assignment| assignment.level)
    }

    /// The slips that it has to find in a finished draft; none where there is to be drafted.
    pub fn planted(&self) -> &[SlipId] {
        self.assignment.as_ref().map_or(&[], |assignment| &assignment.slips)
    }

    /// What tells the student from others of the same name, fit to be shown anywhere that takes plain text.
    pub fn shown_id(&self) -> String {
        harmless(self.id.trim(), 40).into_owned()
    }

    /// The student's name, fit to be shown anywhere that takes plain text.
    pub fn shown_name(&self) -> String {
        harmless(self.student.trim(), 60).into_owned()
    }
}
