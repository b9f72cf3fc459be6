//! What is drawn in the figure of a step, and marked on a piece.

use super::common::{ENDS, POINT, TEXT};
use crate::exercise::model::{Pen, Side, TURNS};
use crate::text::schema::{Holds, Key, Schema, Variant, key, needed, words};

const PENS: &[&str] = &words(&Pen::ALL);
pub(super) const SIDES: &[&str] = &words(&Side::ALL);
pub(super) const TURN_WORDS: &[&str] = &words(&TURNS);

const PEN: Key = needed("pen", Holds::Word(PENS)).says("how it is drawn");
pub(super) const LABEL: Key = key("label", TEXT).says("what it is called in the figure, if it is");
pub(super) const WHEN: Key = key("when", TEXT).says("a condition under which it is drawn");
pub(super) const SIDE: Key = needed("side", Holds::Word(SIDES)).says("the side on which the dimension stands");
pub(super) const TIMES: Key = key("times", TEXT).says("how often each width comes; once, if left out");
pub(super) const START: Key = needed("start", TEXT).says("where the first width begins, from the left");

static MARKS: [Variant; 10] = [
    Variant::new(&[needed("line", ENDS).says("its two ends"), PEN, LABEL, WHEN])
        .named("line", "a straight line between two points"),
    Variant::new(&[
        needed("arc", ENDS).says("its two ends"),
        needed("centre", POINT).says("the middle of its circle"),
        key("turn", Holds::Word(TURN_WORDS))
            .says("which way it turns from its first end to its last; left, if left out"),
        PEN,
        LABEL,
        WHEN,
    ])
    .named(
        "arc",
        "a part of a circle about the `centre`, from one point to another; against the clock, or with \
         it if `turn` is `\"right\"`",
    ),
    Variant::new(&[
        needed("circle", POINT).says("its middle"),
        needed("radius", TEXT).says("its radius"),
        PEN,
        LABEL,
        WHEN,
    ])
    .named("circle", "a circle; `circle` is its middle"),
    Variant::new(&[needed("box", ENDS).says("two opposite corners"), PEN, LABEL, WHEN])
        .named("box", "an upright rectangle, from corner to opposite corner"),
    Variant::new(&[
        needed("dividers", TEXT).says("a list of widths"),
        TIMES,
        START,
        needed("from", TEXT).says("the lower end of the lines, up from the base"),
        needed("to", TEXT).says("their upper end"),
        PEN,
        LABEL,
        WHEN,
    ])
    .named(
        "dividers",
        "upright lines between widths laid side by side, from one height to another; `dividers` is a \
         list of widths, and `times` says how often each comes",
    ),
    Variant::new(&[
        needed("objects", TEXT).says("a list of the widths that they lie in"),
        TIMES,
        START,
        needed("base", TEXT).says("where they stand, up from the base of the draft"),
        needed("widths", TEXT).says("how wide each is: a list"),
        needed("heights", TEXT).says("how long each is: a list"),
        LABEL,
        WHEN,
    ])
    .named("objects", "things in outline, each in the middle of its width, standing on the `base`"),
    Variant::new(&[
        needed("measure", TEXT).says("the name of the step"),
        needed("from", POINT).says("one end"),
        needed("to", POINT).says("the other end"),
        SIDE,
        WHEN,
    ])
    .named("measure", "a dimension with the value of the step that `measure` names"),
    Variant::new(&[needed("spot", POINT).says("where it is"), LABEL, WHEN]).named("spot", "a small cross"),
    Variant::new(&[
        needed("notch", TEXT).says("the name of the edge"),
        needed("at", TEXT).says("how far along the stitching line, from the edge's first corner"),
        WHEN,
    ])
    .named("notch", "a notch in an edge, so far along its stitching line; only in a piece"),
    Variant::new(&[
        needed("divide", TEXT).says("the name of the edge, or `\"outline\"`"),
        needed("into", TEXT).says("how many parts"),
        key("from", TEXT).says("where on the outline the first notch lies, from the start corner on"),
        WHEN,
    ])
    .named(
        "divide",
        "notches that divide an edge into so many equal parts, along its stitching line; only in a \
         piece. `\"outline\"` divides all edges together, from a place on the outline",
    ),
];
/// The last two need an edge.
const OF_A_STEP: usize = 8;

/// What a step draws.
pub static MARK_OF_A_STEP: Schema = Schema::told(MARKS.split_at(OF_A_STEP).0).named("mark", "something drawn");

/// What is marked on a piece.
pub static MARK_OF_A_PIECE: Schema = Schema::told(&MARKS).named("mark-of-a-piece", "something marked on a piece");
