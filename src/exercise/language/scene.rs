//! How the layers lie, and how the finished object looks.

use super::common::{TEXT, TEXTS, TITLE};
use super::mark::{LABEL, SIDE, START, TIMES, WHEN};
use crate::exercise::model::{ABOVE_OR_BELOW, LEFT_OR_RIGHT, Pen, RIGHT_SIDES, Recedes, Surface};
use crate::text::schema::{Holds, Key, Schema, Variant, key, needed, words};

/// A layer folds so often at the most.
pub(in crate::exercise) const STRETCHES: usize = 20;
/// A face, or a line, has so many points at the most.
pub(in crate::exercise) const POINTS: usize = 60;

/// More layers on each other than any needle goes through.
const LEVEL: Holds = Holds::Whole(0..=40);
/// A point of a view: across, up, and deep.
const PLACE: Holds = Holds::List(&TEXT, 3..=3);

const NAME: Key = needed("name", TEXT).says("what a lesson calls it: letters, digits, `-` and `_`");
const SAYS: Key = needed("says", TEXT).says("what is to be seen, for a reader who can't see it");

/// A cross-section.
pub static SECTION: Schema = Schema::new(&[
    NAME,
    TITLE,
    SAYS,
    needed("layers", Holds::Tables(&LAYER, 1..=40)).says("the layers, from the lowest up"),
    key("marks", Holds::Tables(&LAYER_MARK, 0..=100)).says("what is marked on them"),
    key("to_scale", Holds::Truth).says("`false` if all places shall lie at equal distances"),
    key("broken", Holds::Word(&words(&LEFT_OR_RIGHT)))
        .says("`\"left\"` or `\"right\"`: the side on which the work goes on beyond what is shown"),
])
.named("section", "a cross-section of layers");

/// A layer of cloth.
pub static LAYER: Schema = Schema::new(&[
    needed("label", TEXT).says("what it is called"),
    needed("run", Holds::List(&TEXT, 2..=STRETCHES + 1))
        .says("lengths along the section: where the layer begins, where it folds, where it ends"),
    key("levels", Holds::List(&LEVEL, 1..=STRETCHES))
        .says("the level of each stretch, where it is not one above the other; the lowest is 0"),
    key("right_side", Holds::Word(&words(&RIGHT_SIDES)))
        .says("`\"up\"` or `\"down\"`: how its first stretch lies; dots run along the right side"),
    key("when", TEXT).says("a condition under which there is such a layer"),
])
.named("layer", "a layer of cloth, folded back at every length on its way");

const THROUGH: Key = key("levels", Holds::List(&LEVEL, 2..=2))
    .says("the lowest and the highest level that it goes through; all of them, if left out");

/// What is marked on layers.
pub static LAYER_MARK: Schema = Schema::told(&[
    Variant::new(&[needed("stitch", TEXT).says("where along the section"), THROUGH, LABEL, WHEN])
        .named("stitch", "a seam at this length, through all layers or from a level to a level"),
    Variant::new(&[needed("fold", TEXT).says("where along the section"), THROUGH, LABEL, WHEN])
        .named("fold", "a fold to come"),
    Variant::new(&[
        needed("spot", TEXT).says("where along the section"),
        needed("level", LEVEL).says("the level below it; the lowest is 0"),
        LABEL,
        WHEN,
    ])
    .named("spot", "something round that lies on this level, such as a cord"),
    Variant::new(&[
        MEASURE,
        needed("from", TEXT).says("one end"),
        needed("to", TEXT).says("the other end"),
        needed("side", Holds::Word(&words(&ABOVE_OR_BELOW))).says("above or below the section"),
        NAME_OF_A_MEASURE,
        WHEN,
    ])
    .named("measure", "a dimension; `side` is `\"top\"` or `\"bottom\"`"),
])
.named("layer-mark", "something marked on a section");

const MEASURE: Key = needed("measure", TEXT).says("what it tells: a given, a step, or any other formula of a length");
const NAME_OF_A_MEASURE: Key =
    key("label", TEXT).says("what it is called; needed where it is neither a given nor a step");

/// The finished object.
pub static VIEW: Schema = Schema::new(&[
    NAME,
    TITLE,
    SAYS,
    key("recedes", Holds::Word(&words(&Recedes::ALL)))
        .says("which way the depth runs: `right`, at 45°, as where nothing is said, or `up`, for round things"),
    needed("draw", Holds::Tables(&SOLID, 1..=200)).says("what is drawn, from back to front"),
])
.named("view", "the finished object in an oblique view");

const PEN: Key = key("pen", Holds::Word(&words(&Pen::ALL))).says("how its lines are drawn; as edges, if left out");
const SHOWS: Key = key("shows", Holds::Word(&words(&Surface::ALL))).says(
    "what of the cloth is seen: `\"right\"`, as where nothing is said of edges, `\"wrong\"`, `\"lining\"` or `\"padding\"`",
);
const ROUNDS: Key = key("rounds", TEXTS).says("the radius of each corner, `\"0 in\"` for a sharp one");

/// What is drawn in a view.
pub static SOLID: Schema = Schema::told(&[
    Variant::new(&[
        needed("face", Holds::List(&PLACE, 3..=POINTS)).says("its corners"),
        ROUNDS,
        SHOWS,
        PEN,
        LABEL,
        WHEN,
    ])
    .named("face", "a flat face with these corners, three or more"),
    Variant::new(&[
        needed("box", Holds::List(&PLACE, 2..=2)).says("two opposite corners"),
        key("open", Holds::Truth).says("whether one can look into it from above"),
        SHOWS,
        PEN,
        LABEL,
        WHEN,
    ])
    .named("box", "a box between two opposite corners; with `open = true` one can look into it"),
    Variant::new(&[
        needed("ring", PLACE).says("its middle"),
        needed("radius", TEXT).says("its radius"),
        key("height", TEXT).says("how high the body on it is"),
        SHOWS,
        PEN,
        LABEL,
        WHEN,
    ])
    .named("ring", "a level disc around this point; with a `height` the round body that stands on it"),
    Variant::new(&[needed("line", Holds::List(&PLACE, 2..=POINTS)).says("its points"), ROUNDS, PEN, LABEL, WHEN])
        .named("line", "a line from point to point"),
    Variant::new(&[
        needed("dividers", TEXT).says("a list of widths"),
        TIMES,
        START,
        needed("from", TEXT).says("the lower end of the lines"),
        needed("to", TEXT).says("their upper end"),
        PEN,
        LABEL,
        WHEN,
    ])
    .named(
        "dividers",
        "upright lines at the front, between widths laid side by side, as in a drawing; the last of \
         them is named",
    ),
    Variant::new(&[
        needed("curve", Holds::List(&PLACE, 4..=4)).says("an end, two handles, the other end"),
        PEN,
        LABEL,
        WHEN,
    ])
    .named("curve", "a curve: an end, two handles as for an edge, the other end"),
    Variant::new(&[
        MEASURE,
        needed("from", PLACE).says("one end"),
        needed("to", PLACE).says("the other end"),
        SIDE,
        NAME_OF_A_MEASURE,
        WHEN,
    ])
    .named("measure", "a dimension; one that recedes stands along its edge, at this side of it"),
])
.named("solid", "something in a view");
