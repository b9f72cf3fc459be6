//! How fresh problems are made.

use super::common::{TEXT, TEXTS};
use crate::text::schema::{Holds, Schema, key, needed};

/// The highest level there can be.
pub(crate) const HIGHEST_LEVEL: i64 = 4;

/// How fresh problems are made.
pub static PRACTICE: Schema = Schema::new(&[
    key("tells", TEXT).says("the situation, in a sentence"),
    key("require", Holds::Tables(&REQUIREMENT, 0..=60)).says("the conditions that every problem has to fulfil"),
    key("level", Holds::Tables(&LEVEL, 0..=HIGHEST_LEVEL as usize)).says("its levels, each as `[[practice.level]]`"),
])
.named("practice", "how fresh problems are made");

/// A condition on a problem.
pub static REQUIREMENT: Schema =
    Schema::new(&[needed("rule", TEXT).says("a condition"), needed("says", TEXT).says("what it is for, in words")])
        .named("requirement", "a condition on a problem");

/// A level of practice.
pub static LEVEL: Schema = Schema::new(&[
    needed("level", Holds::Whole(1..=HIGHEST_LEVEL)).says("which level, from 1 to 4"),
    needed("says", TEXT).says("what it trains, for instructors"),
    key("rulers", TEXTS)
        .says("rulers of its own, the first of each system the usual one; without them, those of the exercise"),
    key("on_tick", Holds::Truth).says("`true` if every length that is worked out has to fall on a tick of the ruler"),
    key("off_tick", TEXTS).says("steps that need not"),
    key("exact", Holds::Truth).says("`true` if an answer has to be right to the tick"),
    key("every", Holds::Whole(1..=1_000))
        .says("how many ticks apart the values of a given lie, in place of its own `every`"),
    key("rows", Holds::Whole(1..=1_000)).says("how many rows each table has"),
    key("keeps", TEXTS).says("givens that keep their usual value"),
    key("rounds_up", TEXTS).says("steps that are rounded up to a tick, never down"),
    key("converts", Holds::Truth).says("`true` if what is given is measured in the other system of units"),
    key("hides", TEXTS).says("givens that the sheet leaves out"),
    key("tells", TEXTS).says("steps whose values the sheet tells"),
    key("asks", TEXTS).says("steps that it asks for; without it, all that it does not tell"),
    key("require", Holds::Tables(&REQUIREMENT, 0..=60)).says("conditions as under `[practice]`, for this level only"),
])
.named("level", "a level of practice");
