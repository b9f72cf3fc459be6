//! The form of an exercise file.
#![allow(dead_code, reason = "only the form is of interest")]

use super::drawing::{Mark, Piece, Seam};
use super::scene::{CrossSection, View};
use schemars::JsonSchema;
use std::collections::BTreeMap;

/// A formula, such as "finished_width + 2 * allowance".
pub(super) type Formula = String;
/// A length as written, such as "1/2 in" or "12 mm".
type Length = String;

/// An exercise: what the student is given, the steps of the draft, the slips people make, what is cut.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct Exercise {
    /// For people.
    title: String,
    /// Counts up when a rule changes, so that old answers are told from new ones.
    #[schemars(range(min = 1, max = 9999))]
    version: Option<u32>,
    /// How hard, from 1 to 4.
    #[schemars(range(min = 1, max = 4))]
    level: Option<u8>,
    /// What a student learns from it.
    teaches: String,
    /// Rulers it suits by their ticks; the first of each system is the usual one.
    rulers: Option<Many<Length>>,
    /// What the student is given.
    given: Option<Vec<Given>>,
    /// The steps of the draft, in the order of work.
    step: Vec<Step>,
    /// Known mistakes.
    slip: Option<Vec<Slip>>,
    /// What is cut.
    piece: Option<Vec<Piece>>,
    /// Which edges are sewn to which.
    seam: Option<Vec<Seam>>,
    /// How its layers lie.
    section: Option<Vec<CrossSection>>,
    /// The finished object.
    view: Option<Vec<View>>,
    /// What can hurt, and what to do about it.
    caution: Option<Vec<Caution>>,
    /// How fresh problems are made.
    practice: Option<Practice>,
}

/// One value or a list of them.
#[derive(JsonSchema)]
#[schemars(untagged)]
pub(super) enum Many<T> {
    One(T),
    Several(Vec<T>),
}

#[derive(JsonSchema)]
#[schemars(untagged)]
enum Given {
    Length(LengthGiven),
    Number(NumberGiven),
    Choice(ChoiceGiven),
    Table(TableGiven),
}

#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum IsLength {
    Length,
}

#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum IsNumber {
    Number,
}

/// A length between two limits.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct LengthGiven {
    /// Its name in formulas.
    name: String,
    /// For people.
    title: String,
    /// The title as it reads within a sentence.
    short: Option<String>,
    /// A sentence of explanation.
    says: Option<String>,
    kind: IsLength,
    /// Least and greatest.
    range: [Length; 2],
    /// Usual values; the first that suits the sheet's ruler is taken.
    usual: Option<Many<Length>>,
    /// Condition under which it matters.
    needed: Option<Formula>,
    /// A value to show the exercise with, where there is no usual one.
    example: Option<String>,
    /// How practice varies it.
    varies: Option<VaryLength>,
}

/// A whole number between two limits.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct NumberGiven {
    /// Its name in formulas.
    name: String,
    /// For people.
    title: String,
    /// The title as it reads within a sentence.
    short: Option<String>,
    /// A sentence of explanation.
    says: Option<String>,
    kind: IsNumber,
    /// Least and greatest.
    range: [u32; 2],
    /// The usual value.
    usual: Option<u32>,
    /// Condition under which it matters.
    needed: Option<Formula>,
    /// A value to show the exercise with, where there is no usual one.
    example: Option<String>,
    /// How practice varies it.
    varies: Option<VaryWhole>,
}

/// One of several words.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ChoiceGiven {
    /// Its name in formulas.
    name: String,
    /// For people.
    title: String,
    /// The title as it reads within a sentence.
    short: Option<String>,
    /// A sentence of explanation.
    says: Option<String>,
    /// Each word, and what it means.
    words: BTreeMap<String, String>,
    /// The usual word.
    usual: Option<String>,
    /// Condition under which it matters.
    needed: Option<Formula>,
    /// A word to show the exercise with, where there is no usual one.
    example: Option<String>,
    /// How practice varies it.
    varies: Option<VaryWords>,
}

/// A table: one row for each object.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct TableGiven {
    /// Its name in formulas.
    name: String,
    /// For people.
    title: String,
    /// A sentence of explanation.
    says: Option<String>,
    /// What a row is called.
    each: Option<String>,
    /// Fewest and most rows.
    rows: Option<[u32; 2]>,
    columns: Vec<Column>,
    /// Rows to show the exercise with: a name, and a value for each column.
    example: Option<Vec<BTreeMap<String, Value>>>,
    /// Condition under which it matters.
    needed: Option<Formula>,
    /// How practice varies it.
    varies: Option<VaryRows>,
}

#[derive(JsonSchema)]
#[schemars(untagged)]
enum Value {
    Text(String),
    Number(f64),
}

#[derive(JsonSchema)]
#[schemars(untagged)]
enum Column {
    Length(LengthColumn),
    Number(NumberColumn),
}

/// A column of lengths.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct LengthColumn {
    /// Its name in formulas, after the table's.
    name: String,
    /// For people.
    title: String,
    /// The title as it reads within a sentence.
    short: Option<String>,
    /// A few words of explanation.
    says: Option<String>,
    kind: IsLength,
    /// Least and greatest.
    range: [Length; 2],
    /// Condition under which it has to be given.
    needed: Option<Formula>,
    /// How practice varies it.
    varies: Option<VaryLength>,
}

/// A column of whole numbers.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct NumberColumn {
    /// Its name in formulas, after the table's.
    name: String,
    /// For people.
    title: String,
    /// The title as it reads within a sentence.
    short: Option<String>,
    /// A few words of explanation.
    says: Option<String>,
    kind: IsNumber,
    /// Least and greatest.
    range: [u32; 2],
    /// Condition under which it has to be given.
    needed: Option<Formula>,
    /// How practice varies it.
    varies: Option<VaryWhole>,
}

/// Some of these, or every so many ticks from a length to a length.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct VaryLength {
    /// One of these, as far as they suit the ruler.
    one_of: Option<Many<Length>>,
    /// Least.
    from: Option<Length>,
    /// Greatest.
    to: Option<Length>,
    /// How many ticks apart.
    #[schemars(range(min = 1, max = 1000))]
    every: Option<u32>,
}

#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct VaryWhole {
    /// Least.
    from: u32,
    /// Greatest.
    to: u32,
}

#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct VaryWords {
    /// One of these.
    words: Many<String>,
}

#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct VaryRows {
    /// Fewest and most rows.
    rows: [u32; 2],
    /// What the objects may be called.
    names: Many<String>,
}

#[derive(JsonSchema)]
#[schemars(untagged)]
enum Step {
    Worked(WorkedStep),
    Chosen(ChosenStep),
}

/// A step that is worked out by a formula.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct WorkedStep {
    /// Its name in formulas and answer files.
    name: String,
    /// For people.
    title: String,
    /// The title as it reads within a sentence.
    short: Option<String>,
    /// How it is worked out.
    value: Formula,
    /// The reason for the rule.
    why: String,
    /// A hint that gives no answer away.
    nudge: Option<String>,
    /// What a right answer earns.
    #[schemars(range(max = 100))]
    points: Option<u32>,
    /// How far an answer may be off, where that is not one tick of the ruler.
    tolerance: Option<Length>,
    /// What the step adds to the figure.
    draw: Option<Vec<Mark>>,
}

/// A step that the student chooses within limits.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ChosenStep {
    /// Its name in formulas and answer files.
    name: String,
    /// For people.
    title: String,
    /// The title as it reads within a sentence.
    short: Option<String>,
    /// Lower limits that may be chosen themselves.
    at_least: Option<Many<Limit>>,
    /// Lower limits that are too little themselves.
    above: Option<Many<Limit>>,
    /// Upper limits that may be chosen themselves.
    at_most: Option<Many<Limit>>,
    /// Upper limits that are too much themselves.
    below: Option<Many<Limit>>,
    /// What the program chooses where nobody did.
    suggest: Formula,
    /// The reason for the rule.
    why: String,
    /// A hint that gives no answer away.
    nudge: Option<String>,
    /// What a right answer earns.
    #[schemars(range(max = 100))]
    points: Option<u32>,
    /// How far an answer may be off, where that is not one tick of the ruler.
    tolerance: Option<Length>,
    /// What the step adds to the figure.
    draw: Option<Vec<Mark>>,
}

#[derive(JsonSchema)]
#[schemars(untagged)]
enum Limit {
    Plain(Formula),
    Told(ToldLimit),
}

/// A limit, and what is wrong beyond it.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ToldLimit {
    value: Formula,
    why: Option<String>,
}

/// A known mistake, as the formula that the student in fact used.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Slip {
    /// Letters, digits, - and _.
    name: String,
    /// The step it is made in.
    step: String,
    /// What was worked out instead.
    used: Formula,
    /// Condition under which it can be made at all.
    when: Option<Formula>,
    /// What to tell the student.
    says: String,
}

/// What can hurt, and what to do about it.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Caution {
    about: String,
    says: String,
}

/// How fresh problems are made.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Practice {
    /// The situation in a sentence.
    tells: Option<String>,
    /// What a problem has to fulfil.
    require: Option<Vec<Requirement>>,
    /// Its levels.
    level: Option<Vec<Level>>,
}

/// A level of practice.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Level {
    /// Which, the easiest is 1.
    #[schemars(range(min = 1, max = 4))]
    level: u8,
    /// What it trains, for instructors.
    says: String,
    /// Rulers of its own.
    rulers: Option<Many<Length>>,
    /// Whether every length that is worked out falls on a tick.
    on_tick: Option<bool>,
    /// Steps that need not.
    off_tick: Option<Many<String>>,
    /// Whether an answer has to be right to the tick.
    exact: Option<bool>,
    /// How many ticks apart the values of a given lie.
    #[schemars(range(min = 1, max = 1000))]
    every: Option<i64>,
    /// How many rows each table has.
    #[schemars(range(min = 1, max = 1000))]
    rows: Option<i64>,
    /// Givens that keep their usual value.
    keeps: Option<Many<String>>,
    /// Steps that are rounded up to a tick.
    rounds_up: Option<Many<String>>,
    /// Whether what is given is measured in the other system of units.
    converts: Option<bool>,
    /// Givens that the sheet leaves out.
    hides: Option<Many<String>>,
    /// Steps whose values the sheet tells.
    tells: Option<Many<String>>,
    /// Steps that the sheet asks for.
    asks: Option<Many<String>>,
    /// What a problem has to fulfil at this level.
    require: Option<Vec<Requirement>>,
}

/// A condition on a problem.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Requirement {
    rule: Formula,
    /// In words.
    says: String,
}
