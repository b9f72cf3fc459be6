//! A file as a whole.

use super::common::{TEXT, TEXTS};
use super::fitting::FITTING;
use super::given::GIVEN;
use super::piece::{PIECE, SEAM};
use super::practice::{HIGHEST_LEVEL, PRACTICE};
use super::scene::{SECTION, VIEW};
use super::step::{SLIP, STEP};
use crate::text::schema::{Holds, Schema, key, needed};

/// An exercise file.
pub static EXERCISE: Schema = Schema::new(&[
    needed("title", TEXT).says("the name for people"),
    needed("teaches", TEXT).says("what a student learns"),
    key("version", Holds::Whole(1..=9_999)).says(
        "a whole number that counts up when a rule changes, so that old answers are told from new \
         ones; 1 if left out",
    ),
    key("level", Holds::Whole(1..=HIGHEST_LEVEL)).says("how hard, from 1 to 4; 1 if left out"),
    key("rulers", TEXTS).says(
        "the smallest ticks of the rulers that suit it; the first in inches and the first in \
         millimetres are the usual ones",
    ),
    key("given", Holds::Tables(&GIVEN, 0..=100)).says("`[[given]]`: something the student is given"),
    needed("step", Holds::Tables(&STEP, 0..=300)).says("`[[step]]`: a measurement to work out"),
    key("slip", Holds::Tables(&SLIP, 0..=1_000)).says("`[[slip]]`: a known mistake"),
    key("piece", Holds::Tables(&PIECE, 0..=100)).says("`[[piece]]`: something to cut"),
    key("seam", Holds::Tables(&SEAM, 0..=400)).says("`[[seam]]`: edges that are sewn together"),
    key("fitting", Holds::Tables(&FITTING, 0..=50)).says("`[[fitting]]`: something to buy beside cloth"),
    key("section", Holds::Tables(&SECTION, 0..=50)).says("`[[section]]`: a cross-section of the layers"),
    key("view", Holds::Tables(&VIEW, 0..=50)).says("`[[view]]`: the finished object"),
    key("caution", Holds::Tables(&CAUTION, 0..=100)).says("`[[caution]]`: what can hurt"),
    key("practice", Holds::Table(&PRACTICE))
        .says("`[practice]`, in single brackets, since there is only one: how fresh problems are made"),
])
.named(
    "exercise",
    "an exercise: what the student is given, the steps of the draft, the slips people make, what is cut",
);

/// What can hurt.
pub static CAUTION: Schema = Schema::new(&[
    needed("about", TEXT).says("a heading"),
    needed("says", TEXT).says("what can hurt, and what to do about it"),
])
.named("caution", "what can hurt, and what to do about it");
