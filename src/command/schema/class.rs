//! The form of `class.toml`.
#![allow(dead_code, reason = "only the form is of interest")]

use schemars::JsonSchema;
use std::collections::BTreeMap;

/// What an instructor has laid down for a class.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct Class {
    /// What the class is called.
    title: Option<String>,
    /// What a bare number is measured in, where a sheet does not say: in, ft, yd, mm, cm or m.
    unit: Option<String>,
    /// The class's ruler by its smallest tick, such as "1/8 in".
    ruler: Option<String>,
    /// How far an answer may be off; one tick of the ruler, if nothing is said.
    tolerance: Option<String>,
    /// How many percent of its points an answer earns that follows from the student's own earlier one.
    #[schemars(range(min = 0, max = 100))]
    follow_through: Option<u32>,
    /// How much a report shows.
    show: Option<Show>,
    /// Givens that hold for the whole class where a sheet leaves them out.
    given: Option<BTreeMap<String, String>>,
    /// What holds for single exercises.
    exercise: Option<Vec<OfExercise>>,
    /// The file with those who belong to the class.
    roster: Option<String>,
    /// Where the class's work lies, as folders beside this file.
    folders: Option<Folders>,
    /// What is set as practice where nothing else is asked for.
    practice: Option<Practice>,
}

/// Where a class's work lies.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Folders {
    /// Exercises of the instructor's own.
    exercises: Option<String>,
    /// Practice sheets.
    sheets: Option<String>,
    /// Keys.
    keys: Option<String>,
    /// Answers that were handed in.
    handed_in: Option<String>,
    /// What came of marking them.
    marked: Option<String>,
}

/// What is set as practice in a class.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Practice {
    /// The exercises' names.
    exercises: Option<Vec<String>>,
    /// The level.
    #[schemars(range(min = 1, max = 4))]
    level: Option<u8>,
}

#[derive(JsonSchema)]
#[schemars(rename_all = "kebab-case")]
enum Show {
    Marks,
    Coach,
    Full,
}

/// What holds for one exercise in a class.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct OfExercise {
    /// The exercise's name.
    name: String,
    /// The steps that count; all of them, if none is named.
    steps: Option<Vec<String>>,
    /// Points for single steps, in place of the exercise's own.
    points: Option<BTreeMap<String, u32>>,
}
