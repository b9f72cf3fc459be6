//! What the student is given.

use super::common::{SHORT, TEXT, TEXTS, TITLE};
use crate::text::schema::{Holds, Key, Schema, Variant, key, needed};

/// A table has so many rows at the most.
const MOST_ROWS: usize = 1_000;
/// A number that is given: whole, or where it counts in parts as it is written, such as 2.5 or "2 1/2".
const NUMBER: Holds = Holds::Either(&[Holds::Whole(0..=1_000_000), Holds::Value]);
/// The fewest and the most rows.
const ROWS: Holds = Holds::List(&Holds::Whole(1..=MOST_ROWS as i64), 2..=2);

const NAME: Key = needed("name", TEXT).says("what formulas and answer files call it");
const SHORT_OF_A_GIVEN: Key = key("short", TEXT).says(
    "the title as it reads within a formula; of a choice, what stands before the meaning of a \
     word, such as \"the leaves are of\"; the title, if left out",
);
const SAYS: Key = key("says", TEXT).says("a sentence of explanation");
const NEEDED: Key = key("needed", TEXT).says("a condition; where it does not hold, nobody is asked");

const fn kind(words: &'static [&'static str]) -> Key {
    needed("kind", Holds::Word(words)).says("`\"length\"` or `\"number\"`")
}

const fn range(of: &'static Holds) -> Key {
    needed("range", Holds::List(of, 2..=2)).says("the least and the greatest")
}

const PARTS: Key = key("parts", Holds::Whole(1..=1_000)).says(
    "for a number that may have a fraction, into how many parts a whole is divided: 2 for halves, 4 for quarters, 10 for \
     tenths; whole numbers only, if left out",
);

const fn usual(holds: Holds) -> Key {
    key("usual", holds).says(
        "what is taken where nothing is said; for a length also a list, of which the first in the \
         sheet's own units that falls on its ruler is taken",
    )
}

const fn example(holds: Holds) -> Key {
    key("example", holds).says(
        "what the exercise is shown with: a text, and for a table its rows; needed where there is no \
         `usual`",
    )
}

const fn varies(schema: &'static Schema) -> Key {
    key("varies", Holds::Table(schema)).says("how practice sheets vary it; without it they keep to the usual value")
}

/// Something the student is given.
pub static GIVEN: Schema = Schema::told(&[
    Variant::new(&[
        NAME,
        TITLE,
        SAYS,
        NEEDED,
        example(Holds::List(&Holds::Free(&Holds::Value), 0..=MOST_ROWS)),
        varies(&VARY_TABLE),
        needed("columns", Holds::Tables(&COLUMN, 0..=60)).says("its columns"),
        key("each", TEXT).says("what one row is called"),
        needed("rows", ROWS).says("how few and how many rows there may be"),
    ])
    .named("table", "a table: one row for each object")
    .told_by("columns"),
    Variant::new(&[
        NAME,
        TITLE,
        SHORT_OF_A_GIVEN,
        SAYS,
        NEEDED,
        usual(TEXT),
        example(TEXT),
        varies(&VARY_CHOICE),
        needed("words", Holds::Free(&TEXT)).says("the words and what each means"),
    ])
    .named("choice", "one of several words")
    .told_by("words"),
    Variant::new(&[
        NAME,
        TITLE,
        SHORT_OF_A_GIVEN,
        SAYS,
        NEEDED,
        kind(&["length"]),
        range(&TEXT),
        usual(TEXTS),
        example(TEXT),
        varies(&VARY_LENGTH),
    ])
    .named("length", "a length between two limits")
    .told_by("kind"),
    Variant::new(&[
        NAME,
        TITLE,
        SHORT_OF_A_GIVEN,
        SAYS,
        NEEDED,
        kind(&["number"]),
        PARTS,
        range(&NUMBER),
        usual(NUMBER),
        example(TEXT),
        varies(&VARY_NUMBER),
    ])
    .named("number", "a number between two limits")
    .told_by("kind"),
])
.named("given", "something the student is given");

const NAME_OF_A_COLUMN: Key = needed("name", TEXT).says("after the table's name and a full stop, its name in formulas");
const HEAD: Key = needed("title", TEXT).says("the head of the column");
const WORDS: Key = key("says", TEXT).says("a few words of explanation");
const NEEDED_IN_A_COLUMN: Key =
    key("needed", TEXT).says("a condition; where it does not hold, the column is left empty");

const fn varies_in_a_column(schema: &'static Schema) -> Key {
    key("varies", Holds::Table(schema)).says("how practice sheets vary it; required if there is practice")
}

/// A column of a table.
pub static COLUMN: Schema = Schema::told(&[
    Variant::new(&[
        NAME_OF_A_COLUMN,
        HEAD,
        SHORT,
        WORDS,
        kind(&["length"]),
        range(&TEXT),
        NEEDED_IN_A_COLUMN,
        varies_in_a_column(&VARY_LENGTH),
    ])
    .named("length", "a column of lengths")
    .told_by("kind"),
    Variant::new(&[
        NAME_OF_A_COLUMN,
        HEAD,
        SHORT,
        WORDS,
        kind(&["number"]),
        PARTS,
        range(&NUMBER),
        NEEDED_IN_A_COLUMN,
        varies_in_a_column(&VARY_NUMBER),
    ])
    .named("number", "a column of numbers")
    .told_by("kind"),
])
.named("column", "a column of a table");

/// How practice varies a length.
pub static VARY_LENGTH: Schema = Schema::new(&[
    key("one_of", TEXTS)
        .says("measurements to choose from; a sheet takes those in its own units that fall on its ruler"),
    key("from", TEXT).says("the least"),
    key("to", TEXT).says("the greatest"),
    key("every", Holds::Whole(1..=1_000)).says("how many ticks of the ruler apart; 1 if left out"),
])
.named("vary-length", "some of these, or every so many ticks from a length to a length");

/// How practice varies a number.
pub static VARY_NUMBER: Schema =
    Schema::new(&[needed("from", NUMBER).says("the least"), needed("to", NUMBER).says("the greatest")])
        .named("vary-number", "any number between two, in the parts that it counts in");

/// How practice varies a choice.
pub static VARY_CHOICE: Schema =
    Schema::new(&[key("words", TEXTS).says("the words to choose from")]).named("vary-choice", "one of some words");

/// How practice varies a table.
pub static VARY_TABLE: Schema = Schema::new(&[
    needed("rows", ROWS).says("how few and how many rows"),
    needed("names", TEXTS).says("what the rows are called; at least as many as there may be rows"),
])
.named("vary-table", "so many rows, with names");
