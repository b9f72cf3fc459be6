//! What an exercise draws: the marks of a step or a piece, as formulas still to be evaluated.

use super::index::StepId;
use crate::formula::Formula;

/// A point as two formulas: across from the left seam, up from the base.
#[derive(Debug, Clone)]
pub struct Coordinates {
    /// Across.
    pub x: Formula,
    /// Up.
    pub y: Formula,
}

/// How a line is drawn. The meanings are the trade's; the strokes are in the figure room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pen {
    /// Where the shears go.
    Cut,
    /// Where the seam is sewn.
    Stitch,
    /// Where the cloth folds.
    Fold,
    /// An edge of the finished work.
    Edge,
    /// A temporary stitch.
    Baste,
    /// An opening left in a seam.
    Gap,
    /// A help line.
    Guide,
}

impl Pen {
    /// Every pen with the name it has in an exercise file.
    pub const ALL: [(&'static str, Pen); 7] = [
        ("cut", Pen::Cut),
        ("stitch", Pen::Stitch),
        ("fold", Pen::Fold),
        ("edge", Pen::Edge),
        ("baste", Pen::Baste),
        ("gap", Pen::Gap),
        ("guide", Pen::Guide),
    ];
}

/// What of the cloth is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Surface {
    /// The right side, which is seen in use.
    Right,
    /// The wrong side.
    Wrong,
    /// A lining.
    Lining,
    /// Wadding, interfacing, or what else lies between.
    Padding,
}

impl Surface {
    /// Each with the name it has in an exercise file.
    pub const ALL: [(&'static str, Surface); 4] = [
        ("right", Surface::Right),
        ("wrong", Surface::Wrong),
        ("lining", Surface::Lining),
        ("padding", Surface::Padding),
    ];
}

/// The side of a figure on which a dimension stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Left of the outline.
    Left,
    /// Right of it. Where anything drawn has a name, names stand there, and the dimension at the left.
    Right,
    /// Above it.
    Top,
    /// Below it.
    Bottom,
}

impl Side {
    /// Every side with the name it has in an exercise file.
    pub const ALL: [(&'static str, Side); 4] =
        [("left", Side::Left), ("right", Side::Right), ("top", Side::Top), ("bottom", Side::Bottom)];
}

/// Which way an arc turns on its way, as an exercise file has it, and whether that is left.
pub(in crate::exercise) const TURNS: [(&str, bool); 2] = [("left", true), ("right", false)];

/// Widths laid side by side: one for each row of a table, each as often as `times` says.
#[derive(Debug, Clone)]
pub struct Across {
    /// The widths, a list.
    pub widths: Formula,
    /// How often each comes; once, if there is none.
    pub times: Option<Formula>,
    /// Where the first begins, from the left seam.
    pub start: Formula,
}

/// One thing drawn, where its condition holds.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// Condition under which it is drawn; always, if there is none.
    pub when: Option<Formula>,
    /// What it is.
    pub sign: Sign,
}

/// What can be drawn.
#[derive(Debug, Clone)]
pub enum Sign {
    /// A straight line.
    Line {
        /// One end.
        from: Coordinates,
        /// The other.
        to: Coordinates,
        /// How.
        pen: Pen,
        /// What it is called in the figure, if it is.
        label: Option<String>,
    },
    /// A part of a circle.
    Arc {
        /// One end.
        from: Coordinates,
        /// The other.
        to: Coordinates,
        /// The circle's middle.
        centre: Coordinates,
        /// Whether it turns left on its way.
        left: bool,
        /// How.
        pen: Pen,
        /// What it is called in the figure, if it is.
        label: Option<String>,
    },
    /// A whole circle.
    Circle {
        /// Its middle.
        centre: Coordinates,
        /// Its radius.
        radius: Formula,
        /// How.
        pen: Pen,
        /// What it is called in the figure, if it is.
        label: Option<String>,
    },
    /// An upright rectangle.
    Box {
        /// One corner.
        from: Coordinates,
        /// The opposite one.
        to: Coordinates,
        /// How.
        pen: Pen,
        /// What it is called in the figure, if it is.
        label: Option<String>,
    },
    /// Upright lines between widths laid side by side: none before the first, none after the last.
    Dividers {
        /// The widths.
        across: Across,
        /// Lower end, up from the base.
        from: Formula,
        /// Upper end.
        to: Formula,
        /// How.
        pen: Pen,
        /// What they are called in the figure, if they are.
        label: Option<String>,
    },
    /// The objects themselves, in outline, each in the middle of its width.
    Objects {
        /// The widths they lie in.
        across: Across,
        /// Where they stand, up from the base.
        base: Formula,
        /// How wide each is, a list.
        widths: Formula,
        /// How long each is, a list.
        heights: Formula,
        /// What they are called in the figure, if they are.
        label: Option<String>,
    },
    /// A dimension line with the value of a measure.
    Measure {
        /// Index of the step, whose value and title it shows.
        step: StepId,
        /// One end.
        from: Coordinates,
        /// The other.
        to: Coordinates,
        /// Where it stands.
        side: Side,
    },
    /// A spot, marked with a cross.
    Spot {
        /// Where.
        at: Coordinates,
        /// What it is called in the figure, if it is.
        label: Option<String>,
    },
    /// A notch in a named edge of a piece.
    Notch {
        /// The edge's name.
        edge: String,
        /// How far along the stitching line, from the edge's first corner.
        at: Formula,
    },
    /// Notches that divide an edge of a piece, or its whole outline, into equal parts along the stitching line.
    Divide {
        /// The edge's name; the whole outline, if there is none.
        edge: Option<String>,
        /// Into how many parts.
        into: Formula,
        /// Where on the outline the first notch lies, from the start corner on; at the start, if there is none.
        from: Option<Formula>,
    },
}

impl Coordinates {
    pub(super) fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        into.extend([&self.x, &self.y]);
    }
}

impl Across {
    pub(super) fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        into.extend([&self.widths, &self.start]);
        into.extend(&self.times);
    }
}

impl Sign {
    /// Whether it is cut into an edge.
    pub fn is_notch(&self) -> bool {
        matches!(self, Sign::Notch { .. } | Sign::Divide { .. })
    }
}

impl Drawn {
    /// Every formula it is drawn from.
    pub(super) fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        into.extend(&self.when);
        match &self.sign {
            Sign::Line { from, to, .. } | Sign::Box { from, to, .. } | Sign::Measure { from, to, .. } => {
                from.formulas(into);
                to.formulas(into);
            }
            Sign::Dividers { across, from, to, .. } => {
                across.formulas(into);
                into.extend([from, to]);
            }
            Sign::Objects { across, base, widths, heights, .. } => {
                across.formulas(into);
                into.extend([base, widths, heights]);
            }
            Sign::Arc { from, to, centre, .. } => [from, to, centre].iter().for_each(|corner| corner.formulas(into)),
            Sign::Circle { centre, radius, .. } => {
                centre.formulas(into);
                into.push(radius);
            }
            Sign::Spot { at, .. } => at.formulas(into),
            Sign::Notch { at, .. } => into.push(at),
            Sign::Divide { into: parts, from, .. } => {
                into.push(parts);
                into.extend(from);
            }
        }
    }
}
