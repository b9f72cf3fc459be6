//! The form of an answer file.
#![allow(dead_code, reason = "only the form is of interest")]

use schemars::JsonSchema;
use std::collections::BTreeMap;

/// Answers of one student to one exercise.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct Answers {
    /// The exercise's name.
    exercise: String,
    /// The exercise's version.
    #[schemars(range(min = 1, max = 9999))]
    version: Option<u32>,
    /// The student's name.
    student: String,
    /// What tells the student from others of the same name.
    id: Option<String>,
    /// What a bare number is measured in: in, ft, yd, mm, cm or m.
    unit: Option<String>,
    /// The ruler's smallest tick, such as "1/8 in" or "1 mm".
    ruler: Option<String>,
    /// The code in the head of a practice sheet, in place of everything that is given there.
    code: Option<String>,
    /// The givens by name; what is left out takes its usual value.
    given: Option<BTreeMap<String, Given>>,
    /// The answers by step; for a list one value for each row of its table.
    answer: BTreeMap<String, Answer>,
}

#[derive(JsonSchema)]
#[schemars(untagged)]
enum Given {
    /// A single value.
    Single(Value),
    /// A table: one part for each row, with its name and its columns.
    Table(Vec<BTreeMap<String, Value>>),
}

#[derive(JsonSchema)]
#[schemars(untagged)]
enum Answer {
    One(Value),
    List(Vec<Value>),
}

/// A measurement as written, such as "12 1/2 in" or 31.8; a number takes the file's unit.
#[derive(JsonSchema)]
#[schemars(untagged)]
enum Value {
    Text(String),
    Number(f64),
}
