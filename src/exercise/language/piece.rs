//! What is cut, and which edges are sewn together.

use super::common::{ENDS, POINT, TEXT, TEXTS, TITLE};
use super::mark::{MARK_OF_A_PIECE, SIDES, TURN_WORDS};
use crate::exercise::model::{CORNER_CUTS, GRAINS, Surface};
use crate::text::schema::{Holds, Key, Schema, Variant, key, needed, words};

const GRAIN_WORDS: &[&str] = &words(&GRAINS);
const CUT_WORDS: &[&str] = &words(&CORNER_CUTS);

const NAME: Key = needed("name", TEXT).says("what seams and files call it");
const CLOTH: Key = needed("cloth", TEXT).says("what it is cut from");
const SHOWS: Key = key("shows", Holds::Word(&words(&Surface::ALL))).says(
    "what of the cloth is seen in its figure: `\"right\"`, as where nothing is said, `\"wrong\"`, `\"lining\"` or \
     `\"padding\"`",
);
const COUNT: Key = key("count", Holds::Whole(1..=1_000)).says("how many; 1 if left out");
const NOTE: Key = key("note", TEXT).says("a few words for the cutting list");
const WHEN: Key = key("when", TEXT).says("a condition under which there is such a piece");
const GRAIN: Key = key("grain", Holds::Word(GRAIN_WORDS)).says(
    "`\"up\"` or `\"across\"`: how the arrow runs; with a `split` that of the other piece, if \
     left out; otherwise required",
);
const DETAIL_KEY: Key =
    key("detail", Holds::Table(&DETAIL)).says("a place that its figure shows once more, enlarged, in a circle");
const MARKS: Key = key("marks", Holds::Tables(&MARK_OF_A_PIECE, 0..=400)).says("what is marked on it");

/// Something to cut.
pub static PIECE: Schema = Schema::mixed(&[
    Variant::new(&[
        NAME,
        TITLE,
        CLOTH,
        SHOWS,
        COUNT,
        NOTE,
        WHEN,
        GRAIN,
        needed("split", Holds::Table(&SPLIT)).says("the part of another piece that it is"),
        MARKS,
        DETAIL_KEY,
    ])
    .named("split", "a part of another piece, split along a line"),
    Variant::new(&[
        NAME,
        TITLE,
        CLOTH,
        SHOWS,
        COUNT,
        NOTE,
        WHEN,
        Key { is_needed: true, ..GRAIN },
        needed("start", POINT).says("the first corner of the stitching line"),
        needed("edges", Holds::Tables(&EDGE, 2..=100)).says("its edges, against the clock"),
        MARKS,
        DETAIL_KEY,
    ])
    .named("drafted", "a piece drafted edge by edge"),
])
.named("piece", "something to cut");

/// A place of a piece that is shown enlarged.
pub static DETAIL: Schema = Schema::new(&[
    needed("at", POINT).says("the middle of the circle"),
    needed("reach", TEXT).says("how far around it the circle reaches"),
    needed("says", TEXT).says("what is to be seen there, in a few words"),
])
.named("detail", "a place of a piece that its figure shows enlarged");

/// An edge of a piece.
pub static EDGE: Schema = Schema::new(&[
    needed("name", TEXT).says("what notches and seams call it"),
    key("to", POINT).says("the corner it goes to; not for the last edge, which returns to the start"),
    key("allowance", TEXT).says("the width of the seam allowance; `\"0 in\"` for none"),
    key("hem", TEXT).says("the width of a hem, turned to the inside along the stitching line"),
    key("fold", Holds::Truth).says("`true`, if it lies on the fold of the cloth; at most one edge"),
    key("centre", POINT).says("for an arc: the middle of its circle"),
    key("turn", Holds::Word(TURN_WORDS))
        .says("for an arc: `\"left\"`, outward, or `\"right\"` for a hollow; left, if left out"),
    key("handles", ENDS).says("for a curve: the two points it leaves towards and comes in from, four lengths"),
    key("corner", Holds::Word(CUT_WORDS)).says(
        "how the cut goes round the corner at its start: `\"mitred\"`, to a point, or `\"trimmed\"`, \
         at a slant",
    ),
])
.named("edge", "an edge: straight, an arc, or a curve; it has one of `allowance`, `hem` and `fold`");

/// Where a piece is split, and which part this is.
pub static SPLIT: Schema = Schema::new(&[
    needed("piece", TEXT).says("the name of the other piece"),
    needed("line", ENDS).says("two points of the line, which runs on past both of them"),
    needed("keep", Holds::Word(SIDES))
        .says("on which side of the line the part lies: `\"left\"`, `\"right\"`, `\"top\"` or `\"bottom\"`"),
    needed("edge", TEXT).says("the name of the new edge"),
    key("allowance", TEXT).says("beyond the new edge: the width of the seam allowance"),
    key("hem", TEXT).says("beyond the new edge: the width of a hem"),
    key("fold", Holds::Truth).says("`true`, if the new edge lies on the fold"),
])
.named("split", "where another piece is split, and which part of it this is");

/// A seam.
pub static SEAM: Schema = Schema::new(&[
    needed("name", TEXT).says("what the maker calls it"),
    needed("one", TEXTS).says("the edges on one side, each as `\"piece: edge\"`"),
    needed("other", TEXTS).says("the edges on the other side"),
    key("ease", TEXT).says("how much longer the other side is meant to be"),
    key("when", TEXT).says("a condition under which there is such a seam"),
])
.named("seam", "a seam: both sides are equally long along their stitching lines, but for the ease");
