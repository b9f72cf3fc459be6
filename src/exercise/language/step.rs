//! Steps of the draft, and the slips that are made in them.

use super::common::{SHORT, TEXT, TITLE};
use super::mark::MARK_OF_A_STEP;
use crate::text::schema::{Holds, Key, Schema, Variant, key, needed};

const NAME: Key = needed("name", TEXT).says("what formulas and answer files call it");
const WHY: Key = needed("why", TEXT).says("the reason for the rule");
const NUDGE: Key = key("nudge", TEXT).says("a hint without the answer, for `foldmark check --show coach`");
const POINTS: Key = key("points", Holds::Whole(0..=100)).says("what a right answer earns; 1 if left out");
const TOLERANCE: Key =
    key("tolerance", TEXT).says("how far an answer may be off; less than one tick of the ruler, if left out");
const RECKONED: Key = key("reckoned", Holds::Truth)
    .says("`true` if it can't be measured on the draft, and is handed in as it was reckoned: sheets say so beside it");
const DRAW: Key = key("draw", Holds::Tables(&MARK_OF_A_STEP, 0..=400)).says("the marks that it adds to the figure");

const LIMITS: Holds = Holds::OneOrMore(&Holds::Either(&[TEXT, Holds::Table(&LIMIT)]));

/// A step of the draft.
pub static STEP: Schema = Schema::mixed(&[
    Variant::new(&[
        NAME,
        TITLE,
        SHORT,
        key("at_least", LIMITS).says("a limit that may be chosen"),
        key("above", LIMITS).says("a limit that is itself too little"),
        key("at_most", LIMITS).says("a limit that may be chosen"),
        key("below", LIMITS).says("a limit that is itself too much"),
        needed("suggest", TEXT).says("what is taken where nobody has chosen; one length"),
        WHY,
        NUDGE,
        POINTS,
        TOLERANCE,
        RECKONED,
        DRAW,
    ])
    .named("chosen", "a step that the student chooses within limits"),
    Variant::new(&[
        NAME,
        TITLE,
        SHORT,
        needed("value", TEXT).says("the formula of the right answer: a length or a number, or a list of one of them"),
        WHY,
        NUDGE,
        POINTS,
        TOLERANCE,
        RECKONED,
        DRAW,
    ])
    .named("worked", "a step that is worked out by a formula"),
])
.named("step", "a measurement that the student works out, or chooses within limits");

/// A limit of a choice.
pub static LIMIT: Schema = Schema::new(&[
    needed("value", TEXT).says("the formula"),
    key("why", TEXT).says("what is wrong beyond it: the end of a sentence"),
])
.named("limit", "a limit, and what is wrong beyond it");

/// A known mistake.
pub static SLIP: Schema = Schema::new(&[
    needed("name", TEXT).says("for counting it over a class"),
    needed("step", TEXT).says("the step in which it is made"),
    needed("used", TEXT).says("the formula that the student used; of the same kind as the step's"),
    key("when", TEXT).says("a condition under which it can be made"),
    needed("says", TEXT).says("what to tell the student"),
])
.named("slip", "a known mistake, as the formula that the student in fact used");
