//! What an exercise draws: the marks of a step or a piece, as formulas still to be evaluated.

use crate::formula::Formula;

/// A point as two formulas: across from the left seam, up from the base.
#[derive(Debug, Clone)]
pub struct Corner {
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

/// The side of a figure on which a dimension stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Left of the outline.
    Left,
    /// Right of it.
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

/// One thing drawn.
#[derive(Debug, Clone)]
pub enum Drawn {
    /// A straight line.
    Line {
        /// One end.
        from: Corner,
        /// The other.
        to: Corner,
        /// How.
        pen: Pen,
        /// What it is called in the figure, if it is.
        label: Option<String>,
    },
    /// An upright rectangle.
    Box {
        /// One corner.
        from: Corner,
        /// The opposite one.
        to: Corner,
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
        step: usize,
        /// One end.
        from: Corner,
        /// The other.
        to: Corner,
        /// Where it stands.
        side: Side,
    },
    /// A spot, marked with a cross.
    Spot {
        /// Where.
        at: Corner,
        /// What it is called in the figure, if it is.
        label: Option<String>,
    },
    /// A notch in a named edge of a piece.
    Notch {
        /// Index of the edge.
        edge: usize,
        /// How far along the stitching line, from the edge's first corner.
        at: Formula,
    },
}

/// A piece to cut.
#[derive(Debug, Clone)]
pub struct Piece {
    /// Its name.
    pub name: String,
    /// For people.
    pub title: String,
    /// What it is cut from.
    pub cloth: String,
    /// How many.
    pub count: u32,
    /// A few words for the cutting list, or empty.
    pub note: String,
    /// Condition under which there is such a piece; always, if there is none.
    pub when: Option<Formula>,
    /// Whether the grain runs up the piece; otherwise across.
    pub grain_up: bool,
    /// The first corner of the stitching outline.
    pub start: Corner,
    /// Its edges, counter-clockwise; the last one returns to the start.
    pub edges: Vec<Edge>,
    /// What is marked on it.
    pub marks: Vec<Drawn>,
}

/// An edge of a piece: from the corner before it to its own.
#[derive(Debug, Clone)]
pub struct Edge {
    /// Its name.
    pub name: String,
    /// The corner it ends in; `None` for the last edge, which ends at the start.
    pub to: Option<Corner>,
    /// How it gets there.
    pub shape: Shape,
    /// Whether the cut trims the corner at its start at a slant.
    pub is_trimmed: bool,
    /// What lies beyond the stitching line.
    pub finish: Finish,
}

/// How an edge gets from corner to corner.
#[derive(Debug, Clone)]
pub enum Shape {
    /// Straight.
    Straight,
    /// Along a circle.
    Arc {
        /// The circle's middle.
        centre: Box<Corner>,
        /// Whether it turns left, as an outline does where it bulges.
        left: bool,
    },
    /// Along a cubic curve.
    Cubic {
        /// It leaves its first corner towards this point.
        leaving: Box<Corner>,
        /// It reaches its last corner from this point.
        reaching: Box<Corner>,
    },
}

/// What lies beyond an edge's stitching line.
#[derive(Debug, Clone)]
pub enum Finish {
    /// Cloth for the seam.
    Allowance(Formula),
    /// Cloth that is turned to the inside along the stitching line.
    Hem(Formula),
    /// The fold of the cloth: the piece goes on, mirrored.
    Fold,
}

/// A seam between edges of pieces: both sides have to be equally long along their stitching lines.
#[derive(Debug, Clone)]
pub struct Seam {
    /// What the maker calls it.
    pub name: String,
    /// The edges on one side, as indices of piece and edge.
    pub one: Vec<(usize, usize)>,
    /// The edges on the other side.
    pub other: Vec<(usize, usize)>,
    /// How much longer the other side is meant to be, to be eased in; not at all, if there is none.
    pub ease: Option<Formula>,
    /// Condition under which there is such a seam; always, if there is none.
    pub when: Option<Formula>,
}

impl Corner {
    fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        into.extend([&self.x, &self.y]);
    }
}

impl Across {
    fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        into.extend([&self.widths, &self.start]);
        into.extend(&self.times);
    }
}

impl Drawn {
    /// Every formula it is drawn from.
    pub(super) fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        match self {
            Drawn::Line { from, to, .. } | Drawn::Box { from, to, .. } | Drawn::Measure { from, to, .. } => {
                from.formulas(into);
                to.formulas(into);
            }
            Drawn::Dividers { across, from, to, .. } => {
                across.formulas(into);
                into.extend([from, to]);
            }
            Drawn::Objects { across, base, widths, heights, .. } => {
                across.formulas(into);
                into.extend([base, widths, heights]);
            }
            Drawn::Spot { at, .. } => at.formulas(into),
            Drawn::Notch { at, .. } => into.push(at),
        }
    }
}

impl Piece {
    /// Every formula it is made from.
    pub(super) fn formulas<'f>(&'f self, into: &mut Vec<&'f Formula>) {
        into.extend(&self.when);
        self.start.formulas(into);
        for edge in &self.edges {
            edge.to.iter().for_each(|to| to.formulas(into));
            match &edge.shape {
                Shape::Straight => {}
                Shape::Arc { centre, .. } => centre.formulas(into),
                Shape::Cubic { leaving, reaching } => {
                    leaving.formulas(into);
                    reaching.formulas(into);
                }
            }
            match &edge.finish {
                Finish::Allowance(width) | Finish::Hem(width) => into.push(width),
                Finish::Fold => {}
            }
        }
        self.marks.iter().for_each(|mark| mark.formulas(into));
    }
}
