//! What `class.toml` may hold.

use super::show::Show;
use crate::exercise::language::HIGHEST_LEVEL;
use crate::text::schema::{Holds, Schema, key, needed, words};

/// Most points for one step.
pub(super) const MOST_POINTS: i64 = 1_000;

const TEXT: Holds = Holds::Text;
/// Values by name, each alone.
const VALUES: Holds = Holds::Free(&Holds::Value);
/// A folder or a file beside `class.toml`.
const PLACE: Holds = TEXT;

/// A class.
pub static CLASS: Schema = Schema::new(&[
    key("title", TEXT).says("what the class is called"),
    key("secret", TEXT)
        .says("what sets are made from beside the number of the week, so that no student can make them first"),
    key("unit", TEXT).says("what a bare number is measured in, where a sheet does not say: in, ft, yd, mm, cm or m"),
    key("ruler", TEXT).says("the class's ruler by its smallest tick, such as \"1/8 in\""),
    key("tolerance", TEXT).says("how far an answer may be off; less than one tick of the ruler, if left out"),
    key("follow_through", Holds::Whole(0..=100))
        .says("how many percent of its points an answer earns that follows from the student's own earlier one"),
    key("show", Holds::Word(&words(&Show::ALL))).says("how much a report shows"),
    key("given", VALUES).says("givens that hold for the whole class where a sheet leaves them out"),
    key("exercise", Holds::Tables(&OF_EXERCISE, 0..=usize::MAX)).says("what holds for single exercises"),
    key("roster", PLACE)
        .says("the file with those who belong to the class: a column student, and perhaps id, level, unit and others"),
    key("folders", Holds::Table(&FOLDERS)).says("where the class's work lies, as folders beside this file"),
    key("practice", Holds::Table(&PRACTICE)).says("what is set as practice where nothing else is asked for"),
    key("week", Holds::Tables(&WEEK, 0..=999)).says("the course, week by week"),
])
.named("class", "what an instructor has laid down for a class");

static FOLDERS: Schema = Schema::new(&[
    key("exercises", PLACE).says("exercises of the instructor's own"),
    key("sheets", PLACE).says("practice sheets"),
    key("keys", PLACE).says("keys; never within the sheets' folder"),
    key("handed_in", PLACE).says("answers that were handed in"),
    key("marked", PLACE).says("what came of marking them"),
])
.named("folders", "where a class's work lies");

static PRACTICE: Schema = Schema::new(&[
    key("exercises", Holds::OneOrMore(&TEXT)).says("the exercises' names"),
    key("level", Holds::Whole(1..=HIGHEST_LEVEL)).says("the level"),
    key("steps", Holds::OneOrMore(&TEXT)).says("the steps that sheets ask for; each exercise's core, if left out"),
])
.named("practice", "what is set as practice in a class");

static WEEK: Schema = Schema::new(&[
    key("title", TEXT).says("what the week is called"),
    key("date", TEXT).says("when its set is given out, as \"2026-03-05\""),
    key("due", TEXT).says("until when it is handed in"),
    key("lesson", TEXT).says("the chapter that it goes with"),
    key("exercises", Holds::OneOrMore(&TEXT)).says("the exercises of its set; those of `practice`, if left out"),
    key("level", Holds::Whole(1..=HIGHEST_LEVEL)).says("the level of its set"),
    key("steps", Holds::OneOrMore(&TEXT))
        .says("the steps that its sheets ask for, and that count; each exercise's core, if left out"),
])
.named("week", "a week of the course");

static OF_EXERCISE: Schema = Schema::new(&[
    needed("name", TEXT).says("the exercise's name"),
    key("steps", Holds::OneOrMore(&TEXT))
        .says("the steps that count and that sheets ask for; the exercise's core, if none is named"),
    key("points", Holds::Free(&Holds::Whole(0..=MOST_POINTS)))
        .says("points for single steps, in place of the exercise's own"),
])
.named("exercise", "what holds for one exercise in a class");
