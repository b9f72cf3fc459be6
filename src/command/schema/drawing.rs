//! The form of what an exercise draws and cuts.
#![allow(dead_code, reason = "only the form is of interest")]

use super::exercise::{Formula, Many};
use schemars::JsonSchema;

/// A point: across from the left seam, up from the base.
type Corner = [Formula; 2];
/// Two points.
type Ends = [Formula; 4];

/// How a line is drawn.
#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
pub(super) enum Pen {
    Cut,
    Stitch,
    Fold,
    Edge,
    Baste,
    Gap,
    Guide,
}

#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
pub(super) enum Side {
    Left,
    Right,
    Top,
    Bottom,
}

#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
pub(super) enum Turn {
    Left,
    Right,
}

/// Something drawn: the first key says what it is.
#[derive(JsonSchema)]
#[schemars(untagged)]
pub(super) enum Mark {
    Line(LineMark),
    Box(BoxMark),
    Arc(ArcMark),
    Circle(CircleMark),
    Dividers(DividersMark),
    Objects(ObjectsMark),
    Measure(MeasureMark),
    Spot(SpotMark),
    Notch(NotchMark),
    Divide(DivideMark),
}

/// A straight line.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct LineMark {
    line: Ends,
    pen: Pen,
    label: Option<String>,
    when: Option<Formula>,
}

/// An upright rectangle.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct BoxMark {
    r#box: Ends,
    pen: Pen,
    label: Option<String>,
    when: Option<Formula>,
}

/// A part of a circle.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct ArcMark {
    arc: Ends,
    centre: Corner,
    turn: Option<Turn>,
    pen: Option<Pen>,
    label: Option<String>,
    when: Option<Formula>,
}

/// A circle.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct CircleMark {
    circle: Corner,
    radius: Formula,
    pen: Option<Pen>,
    label: Option<String>,
    when: Option<Formula>,
}

/// Upright lines between widths laid side by side.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct DividersMark {
    dividers: Formula,
    times: Option<Formula>,
    start: Formula,
    from: Formula,
    to: Formula,
    pen: Pen,
    label: Option<String>,
    when: Option<Formula>,
}

/// The objects themselves, each in the middle of its width.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct ObjectsMark {
    objects: Formula,
    times: Option<Formula>,
    start: Formula,
    base: Formula,
    widths: Formula,
    heights: Formula,
    label: Option<String>,
    when: Option<Formula>,
}

/// A dimension line with the value of a step.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct MeasureMark {
    /// The step's name.
    measure: String,
    from: Corner,
    to: Corner,
    side: Side,
    when: Option<Formula>,
}

/// A spot, marked with a cross.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct SpotMark {
    spot: Corner,
    label: Option<String>,
    when: Option<Formula>,
}

/// A notch in an edge of a piece.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct NotchMark {
    /// The edge's name.
    notch: String,
    /// How far along the stitching line.
    at: Formula,
    when: Option<Formula>,
}

/// Notches that divide an edge of a piece, or its outline, into equal parts.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct DivideMark {
    /// The edge's name, or "outline".
    divide: String,
    /// Into how many parts.
    into: Formula,
    /// Where on the outline the first notch lies.
    from: Option<Formula>,
    when: Option<Formula>,
}

#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
pub(super) enum Grain {
    Up,
    Across,
}

#[derive(JsonSchema)]
#[schemars(untagged)]
pub(super) enum Piece {
    Drafted(DraftedPiece),
    Split(SplitPiece),
}

/// A piece drafted edge by edge.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct DraftedPiece {
    /// Letters, digits, - and _.
    name: String,
    /// For people.
    title: String,
    /// What it is cut from.
    cloth: String,
    /// How many.
    #[schemars(range(min = 1, max = 1000))]
    count: Option<u32>,
    /// A few words for the cutting list.
    note: Option<String>,
    /// Condition under which there is such a piece.
    when: Option<Formula>,
    grain: Grain,
    /// The first corner of the stitching line.
    start: Corner,
    /// Counter-clockwise; the last one returns to the start.
    edges: Vec<Edge>,
    /// What is marked on it.
    marks: Option<Vec<Mark>>,
}

/// A part of another piece, split along a line.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct SplitPiece {
    /// Letters, digits, - and _.
    name: String,
    /// For people.
    title: String,
    /// What it is cut from.
    cloth: String,
    /// How many.
    #[schemars(range(min = 1, max = 1000))]
    count: Option<u32>,
    /// A few words for the cutting list.
    note: Option<String>,
    /// Condition under which there is such a piece.
    when: Option<Formula>,
    /// That of the whole piece, if nothing is said.
    grain: Option<Grain>,
    split: Split,
    /// What is marked on it.
    marks: Option<Vec<Mark>>,
}

/// Where a piece is split, and which part this is.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct Split {
    /// The piece that is split.
    piece: String,
    /// Two points of the line.
    line: Ends,
    /// On which side of it this part lies.
    keep: Side,
    /// The new edge's name.
    edge: String,
    /// Cloth for a seam along it.
    allowance: Option<Formula>,
    /// Cloth that is turned along it.
    hem: Option<Formula>,
    /// Whether it lies on the fold.
    fold: Option<bool>,
}

/// An edge: straight, an arc, or a curve; it has one of allowance, hem and fold.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct Edge {
    name: String,
    /// The corner it ends in; none for the last one.
    to: Option<Corner>,
    /// Of an arc, the circle's middle.
    centre: Option<Corner>,
    /// Which way an arc turns.
    turn: Option<Turn>,
    /// Of a curve, the points that it leaves towards and comes from.
    handles: Option<Ends>,
    /// How the cut turns the corner at its start.
    corner: Option<CornerCut>,
    /// Cloth for the seam.
    allowance: Option<Formula>,
    /// Cloth that is turned to the inside.
    hem: Option<Formula>,
    /// Whether it lies on the fold.
    fold: Option<bool>,
}

#[derive(JsonSchema)]
#[schemars(rename_all = "lowercase")]
pub(super) enum CornerCut {
    Mitred,
    Trimmed,
}

/// A seam: both sides are equally long along their stitching lines, but for the ease.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct Seam {
    name: String,
    /// Edges as "piece: edge".
    one: Many<String>,
    /// Edges as "piece: edge".
    other: Many<String>,
    /// How much longer the other side is meant to be.
    ease: Option<Formula>,
    /// Condition under which there is such a seam.
    when: Option<Formula>,
}
