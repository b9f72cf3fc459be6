//! What is drawn and written: roles, from which everything else about the look follows.

use crate::exercise::{Pen, Surface};

/// What a path is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// A line of the draft: cutting line, stitching line, fold … Of an opening, the ticks at its ends.
    Line(Pen),
    /// Objects to be carried, in outline.
    Objects,
    /// The cross on a spot.
    Spot,
    /// A notch: a wedge from the cutting line towards the seam.
    Notch,
    /// Cloth, of which this is seen.
    Cloth(Surface),
    /// What lies beyond the stitching line of a piece: seam allowance or hem.
    Allowance,
    /// The grain arrow.
    Grain,
    /// A head of the grain arrow.
    GrainHead,
    /// The bracket along an edge on the fold.
    FoldBracket,
    /// One of its arrowheads.
    FoldHead,
    /// A layer of cloth in a section.
    Layer,
    /// Dots along the right side of a layer.
    RightSide,
    /// Where the work goes on beyond the drawing.
    Break,
    /// A dimension line.
    Dimension,
    /// The dimension line of a measure that is mistaken.
    WrongDimension,
    /// Its arrowhead.
    WrongHead,
    /// An arrowhead of a dimension line.
    DimensionHead,
    /// An extension line, from what is measured to the dimension line.
    Extension,
    /// The line from a name to what it names.
    Leader,
    /// The dot at its end.
    LeaderDot,
    /// The circle around a detail.
    Ring,
    /// The bar of the scale.
    Bar,
    /// Its first half, filled.
    BarHalf,
    /// The body of a ruler.
    Ruler,
    /// A tick at a whole unit of a ruler.
    UnitTick,
    /// Any other tick.
    Tick,
    /// The pointer at a reading.
    Pointer,
    /// Its head.
    PointerHead,
    /// A line of a scale of choices.
    ScaleLine,
    /// What a choice is allowed to be.
    Allowed,
    /// A choice within what is allowed.
    Within,
    /// A choice beyond it.
    Beyond,
    /// A choice beyond the end of the scale.
    OffScale,
}

/// How something stands among the rest: when it was drawn, and by whom.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Drawn in an earlier step.
    Before,
    /// Everything alike.
    Even,
    /// Drawn in this step.
    Now,
    /// Drawn by the student, and not where the rule puts it.
    Own,
}

/// What a text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TextRole {
    /// The value of a dimension, with or without its name.
    Dimension,
    /// The value of a dimension that is mistaken.
    WrongDimension,
    /// The name of something drawn.
    Name,
    /// The name of something drawn in the present step.
    NewName,
    /// What all of a drawing is.
    Heading,
    /// More about it.
    Note,
    /// A student's name or choice, in a row of its own.
    Row,
    /// A number of a ruler or a scale.
    Number,
    /// What a pointer reads.
    Reading,
    /// A sentence where there is nothing to be seen.
    Remark,
}
