//! What is bought beside cloth.

use super::common::{TEXT, TITLE};
use crate::exercise::model::FITTING_KINDS;
use crate::text::schema::{Holds, Schema, key, needed, words};

const KINDS: &[&str] = &words(&FITTING_KINDS);

/// What is bought beside cloth.
pub static FITTING: Schema = Schema::new(&[
    needed("kind", Holds::Word(KINDS)).says(
        "`\"zip\"`, `\"cord\"`, `\"webbing\"`, `\"ribbon\"`, `\"ring\"`, `\"eyelet\"`, `\"fastening\"` or `\"thread\"`",
    ),
    TITLE,
    key("length", TEXT).says(
        "what a zip has to cover, how long a cord, a webbing or a ribbon is cut, how wide a ring is inside; required of \
         these, and not for the others",
    ),
    key("count", Holds::Whole(1..=1_000)).says("how many; 1 if left out"),
    key("note", TEXT).says("a few words for the list of what to buy"),
    key("when", TEXT).says("a condition under which it is needed"),
])
.named("fitting", "what is bought beside cloth");
