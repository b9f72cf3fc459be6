//! How everything is drawn: every line weight, dash, arrowhead, letter size and distance, in one place.
//!
//! All lengths are units of the drawing, of which a figure is [`WIDTH`] wide: at 1:1 on a small phone, a
//! unit is a pixel. Pens differ by weight and dash, never by colour alone.

use crate::exercise::Pen;

/// How wide a figure is.
pub(super) const WIDTH: f64 = 340.0;
/// How high the drawing itself may become, without the dimensions around it.
pub(super) const TALLEST: f64 = 420.0;
/// The drawing itself is never squeezed to less than this, whatever stands beside it.
pub(super) const NARROWEST: f64 = 60.0;
/// A drawing of a whole draft is wide enough with this, whatever stands beside it.
pub(super) const ROOMY: f64 = 160.0;
/// Free space at the border of a figure.
pub(super) const MARGIN: f64 = 5.0;

/// The size of letters.
pub(super) const LETTER: f64 = 11.5;
/// Half the height of a line of text, with the space that any usual font claims above and below.
pub(super) const HALF_LINE: f64 = 8.3;
/// From a line's middle down to the letters' feet.
pub(super) const FOOT: f64 = 4.1;
/// From line to line of one text.
pub(super) const LEADING: f64 = 13.5;
/// The digits of a fraction against other letters: still large enough to be read on a telephone.
pub(super) const FRACTION: f64 = 0.8;
/// How far a numerator is raised: no higher than a line has room for.
pub(super) const RAISED: f64 = 3.2;
/// How much of the space between a whole number and its fraction is taken back.
pub(super) const CLOSE: f64 = 1.5;
/// The family of letters: its widths are known well enough to keep texts apart.
pub(super) const FAMILY: &str = "sans-serif";
/// How a figure fills its page.
pub(super) const FITS: &str = "display:block;width:100%;max-width:32em;height:auto;margin:0 auto";

/// From the drawing to the middle of the first dimension lane.
pub(super) const FIRST_LANE: f64 = 14.0;
/// From lane to lane.
pub(super) const LANE: f64 = 17.0;
/// Beyond the last lane's middle.
pub(super) const LAST_LANE: f64 = 9.0;
/// Length of an arrowhead.
pub(super) const ARROW: f64 = 6.0;
/// Half its width.
pub(super) const ARROW_HALF: f64 = 1.9;
/// The tail of an arrow that points at a short span from outside.
pub(super) const TAIL: f64 = 11.0;
/// From a measured point to its extension line.
pub(super) const EXTENSION_GAP: f64 = 2.0;
/// How far an extension line runs past the dimension line.
pub(super) const EXTENSION_PAST: f64 = 3.0;
/// Free space between a text and a line.
pub(super) const CLEAR: f64 = 2.5;

/// How wide the column of names may be.
pub(super) const COLUMN: f64 = 84.0;
/// From the drawing to the column, at least.
pub(super) const COLUMN_GAP: f64 = 12.0;
/// A line that ends as near to the right border as this is pointed at level, from its end.
pub(super) const BORDER: f64 = 18.0;
/// A drawing lower than this has no room for names beside it.
pub(super) const FLAT: f64 = 100.0;
/// Half the size of the dot at the end of a leader.
pub(super) const DOT: f64 = 1.6;
/// Half the size of the cross on a spot.
pub(super) const CROSS: f64 = 4.0;
/// How deep a notch is drawn at most, and at least.
pub(super) const NOTCH: (f64, f64) = (7.0, 4.0);
/// Half the length of the tick at an end of an opening.
pub(super) const GAP_TICK: f64 = 4.5;
/// From the fold to the bracket that marks it.
pub(super) const BRACKET: f64 = 12.0;
/// A drawing that is less than this across is drawn with finer lines, down to a part of their weight.
pub(super) const SMALL: (f64, f64) = (36.0, 0.5);
/// How far straight lines may leave the curve that they stand for.
pub(super) const CHORD: f64 = 0.25;
/// The rounding of an object's corners.
pub(super) const ROUND: f64 = 3.0;

/// Ink of a drawing in a file of its own.
pub(super) const FILE_INK: &str = "#2b2118";
/// Brown paper.
pub(super) const FILE_PAPER: &str = "#ecdfc6";
/// What a step adds, in a file.
pub(super) const FILE_ACCENT: &str = "#7b1e3a";
/// How strongly receding lines are inked.
pub(super) const RECEDING: f64 = 0.65;

/// How much something stands out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Weight {
    /// Drawn in an earlier step.
    Before,
    /// Everything alike.
    Even,
    /// Drawn in this step.
    Now,
    /// Drawn by the student, and not where the rule puts it.
    Own,
}

/// What a shape is filled with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Fill {
    None,
    Faint,
    Solid,
}

/// A stroke and a fill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ink {
    pub width: f64,
    pub dash: &'static str,
    pub opacity: f64,
    pub fill: Fill,
    pub is_accent: bool,
}

impl Ink {
    pub(super) const fn line(width: f64) -> Ink {
        Ink { width, dash: "", opacity: 1.0, fill: Fill::None, is_accent: false }
    }

    const fn dashed(width: f64, dash: &'static str) -> Ink {
        Ink { dash, ..Ink::line(width) }
    }

    pub(super) const fn filled(fill: Fill) -> Ink {
        Ink { fill, ..Ink::line(0.0) }
    }

    /// Finer, for a drawing so small that its lines would run together.
    pub(super) fn finer(self, part: f64) -> Ink {
        Ink { width: self.width * part, ..self }
    }

    pub(super) fn weighted(self, weight: Weight) -> Ink {
        match weight {
            Weight::Even => self,
            Weight::Before => Ink { width: self.width * 0.75, opacity: RECEDING, ..self },
            Weight::Now => Ink { width: self.width * 1.5, is_accent: true, ..self },
            // Heavy and finely hatched, whatever the pen, and so like no other line.
            Weight::Own => Ink { width: 3.2, dash: "1 1.6", is_accent: true, ..self },
        }
    }
}

/// A pen's stroke.
pub(super) fn pen(pen: Pen, weight: Weight) -> Ink {
    let ink = match pen {
        Pen::Cut => Ink::line(2.2),
        Pen::Edge => Ink::line(1.3),
        Pen::Stitch => Ink::dashed(1.2, "5 3"),
        Pen::Fold => Ink::dashed(1.2, "12 3 2 3"),
        Pen::Baste => Ink::dashed(1.5, "0 3.5"),
        Pen::Gap => Ink::line(1.6),
        Pen::Guide => Ink::line(0.7),
    };
    ink.weighted(weight)
}

/// A pen in words.
pub(super) fn pen_words(pen: Pen) -> (&'static str, &'static str) {
    match pen {
        Pen::Cut => ("a heavy solid line", "heavy solid lines"),
        Pen::Edge => ("a solid line", "solid lines"),
        Pen::Stitch => ("a dashed line", "dashed lines"),
        Pen::Fold => ("a dash-dot line", "dash-dot lines"),
        Pen::Baste => ("a dotted line", "dotted lines"),
        Pen::Gap => ("an opening between two ticks", "openings between ticks"),
        Pen::Guide => ("a thin line", "thin lines"),
    }
}

/// An object in outline.
pub(super) fn ghost(weight: Weight) -> Ink {
    Ink { fill: Fill::Faint, ..Ink::line(0.8) }.weighted(weight)
}

/// The cross on a spot.
pub(super) fn spot(weight: Weight) -> Ink {
    // Hatched, it would fall apart.
    Ink { dash: "", ..Ink::line(1.3).weighted(weight) }
}

/// A layer of cloth in a section.
pub(super) const LAYER: Ink = Ink::line(1.8);
/// The dots along the right side of a layer.
pub(super) const RIGHT_SIDE: Ink = Ink::dashed(1.3, "0 3.2");

/// The body of a piece.
pub(super) const BODY: Ink = Ink::filled(Fill::Faint);
/// A notch.
pub(super) const WEDGE: Ink = Ink::filled(Fill::Solid);
/// An arrowhead.
pub(super) const HEAD: Ink = Ink::filled(Fill::Solid);
/// A dimension line.
pub(super) const DIMENSION: Ink = Ink::line(0.9);
/// An extension line.
pub(super) const EXTENSION: Ink = Ink::line(0.6);
/// The line from a name to what it names.
pub(super) const LEADER: Ink = Ink::line(0.6);
/// A strip narrower than this has its grain arrow in the middle.
pub(super) const STRIP: f64 = 16.0;
/// The grain arrow.
pub(super) const GRAIN: Ink = Ink::line(1.1);
/// The bracket along a fold edge.
pub(super) const FOLD_BRACKET: Ink = Ink::line(1.1);
