//! The form of what an exercise shows of the finished work.
#![allow(dead_code, reason = "only the form is of interest")]

use super::drawing::{Pen, Side};
use super::exercise::Formula;
use schemars::JsonSchema;

/// A point in space: across, up, and deep, away from the eye.
type Place = [Formula; 3];

/// A cross-section of layers.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct CrossSection {
    /// Letters, digits, - and _.
    name: String,
    /// For people.
    title: String,
    /// What is to be seen.
    says: String,
    /// Whether lengths are true to scale; they are, if nothing is said.
    to_scale: Option<bool>,
    /// The side on which the work goes on.
    broken: Option<Beside>,
    /// From the lowest up.
    layers: Vec<Layer>,
    /// What is marked on them.
    marks: Option<Vec<LayerMark>>,
}

#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum Beside {
    Left,
    Right,
}

/// A layer of cloth, folded back at every length on its way.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Layer {
    label: String,
    /// Where it begins, where it folds, where it ends.
    run: Vec<Formula>,
    /// The level of each stretch; the lowest is 0.
    levels: Option<Vec<u32>>,
    /// How its first stretch lies.
    right_side: Option<RightSide>,
    /// Condition under which there is such a layer.
    when: Option<Formula>,
}

#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum RightSide {
    Up,
    Down,
}

#[derive(JsonSchema)]
#[schemars(untagged)]
enum LayerMark {
    Stitch(StitchMark),
    Fold(FoldMark),
    Spot(LayerSpot),
    Measure(LayerMeasure),
}

/// A seam through layers.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct StitchMark {
    /// Where along the section.
    stitch: Formula,
    /// The lowest and the highest level it goes through.
    levels: Option<[u32; 2]>,
    label: Option<String>,
    when: Option<Formula>,
}

/// A fold to come.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FoldMark {
    /// Where along the section.
    fold: Formula,
    /// The lowest and the highest level it goes through.
    levels: Option<[u32; 2]>,
    label: Option<String>,
    when: Option<Formula>,
}

/// Something round between two levels, such as a cord.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct LayerSpot {
    /// Where along the section.
    spot: Formula,
    /// The level below it.
    level: u32,
    label: Option<String>,
    when: Option<Formula>,
}

/// A dimension along a section.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct LayerMeasure {
    /// What it tells.
    measure: Formula,
    from: Formula,
    to: Formula,
    side: AboveOrBelow,
    label: Option<String>,
    when: Option<Formula>,
}

#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum AboveOrBelow {
    Top,
    Bottom,
}

/// The finished object in an oblique view.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct View {
    /// Letters, digits, - and _.
    name: String,
    /// For people.
    title: String,
    /// What is to be seen.
    says: String,
    /// Which way the depth recedes; right, if nothing is said.
    recedes: Option<Recedes>,
    /// From back to front.
    draw: Vec<Solid>,
}

#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
enum Recedes {
    Right,
    Up,
}

#[derive(JsonSchema)]
#[schemars(untagged)]
enum Solid {
    Face(FaceForm),
    Box(BoxForm),
    Ring(RingForm),
    Line(LineForm),
    Dividers(DividersForm),
    Curve(CurveForm),
    Measure(ViewMeasure),
}

/// A face; it hides what comes before it.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FaceForm {
    face: Vec<Place>,
    /// The radius of each corner, 0 for a sharp one.
    rounds: Option<Vec<Formula>>,
    pen: Option<Pen>,
    label: Option<String>,
    when: Option<Formula>,
}

/// A box between two opposite corners.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct BoxForm {
    r#box: [Place; 2],
    /// Whether one can look into it from above.
    open: Option<bool>,
    pen: Option<Pen>,
    label: Option<String>,
    when: Option<Formula>,
}

/// A level disc, or a round body that stands on it.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct RingForm {
    ring: Place,
    radius: Formula,
    /// How high the body is.
    height: Option<Formula>,
    pen: Option<Pen>,
    label: Option<String>,
    when: Option<Formula>,
}

/// A line from place to place.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct LineForm {
    line: Vec<Place>,
    /// The radius of each corner between its ends, 0 for a sharp one.
    rounds: Option<Vec<Formula>>,
    pen: Option<Pen>,
    label: Option<String>,
    when: Option<Formula>,
}

/// Upright lines at the front, between widths laid side by side.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct DividersForm {
    dividers: Formula,
    times: Option<Formula>,
    start: Formula,
    from: Formula,
    to: Formula,
    pen: Option<Pen>,
    label: Option<String>,
    when: Option<Formula>,
}

/// A curve: an end, two handles, the other end.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct CurveForm {
    curve: [Place; 4],
    pen: Option<Pen>,
    label: Option<String>,
    when: Option<Formula>,
}

/// A dimension in a view.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
struct ViewMeasure {
    /// What it tells.
    measure: Formula,
    from: Place,
    to: Place,
    side: Side,
    label: Option<String>,
    when: Option<Formula>,
}
