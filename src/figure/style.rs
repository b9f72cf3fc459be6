//! How everything is drawn: every line weight, dash, arrowhead, letter size and distance, in one place.
//!
//! All lengths are units of the drawing, of which a figure is [`WIDTH`] wide: at 1:1 on a small phone, a
//! unit is a pixel. Pens differ by weight and dash, never by colour alone.

use super::drawing::{Frame, Path, Role, Shape, Standing, TextRole};
use crate::exercise::{Pen, Surface};

/// How wide a figure is.
pub(crate) const WIDTH: f64 = 340.0;
/// How high the drawing itself may become, without the dimensions around it.
pub(crate) const TALLEST: f64 = 420.0;
/// The drawing itself is never squeezed to less than this, whatever stands beside it.
pub(crate) const NARROWEST: f64 = 60.0;
/// A drawing of a whole draft is wide enough with this, whatever stands beside it.
pub(crate) const ROOMY: f64 = 160.0;
/// Free space at the border of a figure.
pub(crate) const MARGIN: f64 = 5.0;

/// The size of letters: 12 pixels on a telephone 360 wide, whose column is 330. On a wider page they are smaller against
/// the drawing (`lesson.css`).
pub(crate) const LETTER: f64 = 12.5;
/// Half the height of a line of text, with the space that any usual font claims above and below.
pub(crate) const HALF_LINE: f64 = 9.0;
/// From a line's middle down to the letters' feet, in ems.
pub(crate) const FOOT: f64 = 0.355;
/// From line to line of one text.
pub(crate) const LEADING: f64 = 14.7;
/// The digits of a fraction against other letters: still large enough to be read on a telephone.
pub(crate) const FRACTION: f64 = 0.8;
/// How far a numerator is raised, in ems of the line: no higher than that has room for.
pub(crate) const RAISED: f64 = 0.28;
/// How much of the space between a whole number and its fraction is taken back, in ems of the fraction.
pub(crate) const CLOSE: f64 = 0.16;
/// The family of letters in a file: its widths are known well enough to keep texts apart, as are those of a page's own.
pub(crate) const FAMILY: &str = "sans-serif";
/// How a figure fills its page; before it stands how tall it is, as a part of its width.
pub(crate) const FITS: &str = "display:block;width:100%;max-width:var(--foldmark-wide,32em);height:auto;margin:0 auto";

/// From the drawing to the middle of the first dimension lane.
pub(crate) const FIRST_LANE: f64 = 15.0;
/// From lane to lane.
pub(crate) const LANE: f64 = 18.0;
/// Beyond the last lane's middle.
pub(crate) const LAST_LANE: f64 = 9.6;
/// Length of an arrowhead.
pub(crate) const ARROW: f64 = 6.0;
/// Half its width.
pub(crate) const ARROW_HALF: f64 = 1.9;
/// The tail of an arrow that points at a short span from outside.
pub(crate) const TAIL: f64 = 11.0;
/// From a measured point to its extension line.
pub(crate) const EXTENSION_GAP: f64 = 2.0;
/// How far an extension line runs past the dimension line.
pub(crate) const EXTENSION_PAST: f64 = 3.0;
/// Free space between a text and a line.
pub(crate) const CLEAR: f64 = 2.5;

/// The circle of an enlarged detail reaches no farther than this from its middle.
pub(crate) const DETAIL: f64 = 62.0;

/// A bar of the scale is no longer than this.
pub(crate) const BAR: f64 = 70.0;
/// Half its height.
pub(crate) const BAR_HALF: f64 = 2.2;
/// From all that is drawn to its middle.
pub(crate) const BAR_BELOW: f64 = 15.0;

/// How wide the column of names may be.
pub(crate) const COLUMN: f64 = 88.0;
/// From the drawing to the column, at least.
pub(crate) const COLUMN_GAP: f64 = 12.0;
/// A line that ends as near to the right border as this is pointed at level, from its end.
pub(crate) const BORDER: f64 = 18.0;
/// A drawing lower than this has no room for names beside it.
pub(crate) const FLAT: f64 = 100.0;
/// Half the size of the dot at the end of a leader.
pub(crate) const DOT: f64 = 1.6;
/// Half the size of the cross on a spot.
pub(crate) const CROSS: f64 = 4.0;
/// How deep a notch is drawn at most, and at least.
pub(crate) const NOTCH: (f64, f64) = (7.0, 4.0);
/// Half the length of the tick at an end of an opening.
pub(crate) const GAP_TICK: f64 = 4.5;
/// From the fold to the bracket that marks it.
pub(crate) const BRACKET: f64 = 12.0;
/// A drawing that is less than this across is drawn with finer lines, down to a part of their weight.
pub(crate) const SMALL: (f64, f64) = (36.0, 0.5);
/// How far straight lines may leave the curve that they stand for.
pub(crate) const CHORD: f64 = 0.25;
/// The rounding of an object's corners.
pub(crate) const ROUND: f64 = 3.0;

/// Ink of a drawing in a file of its own.
pub(crate) const FILE_INK: &str = "#2b2118";
/// Brown paper.
pub(crate) const FILE_PAPER: &str = "#ecdfc6";
/// What a step adds, in a file.
pub(crate) const FILE_ACCENT: &str = "#7b1e3a";
/// A strip narrower than this has its grain arrow in the middle.
pub(crate) const STRIP: f64 = 16.0;
/// How strongly receding lines are inked.
pub(crate) const RECEDING: f64 = 0.75;

/// What a shape is filled with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Fill {
    None,
    Faint,
    Solid,
    /// A tint, and a hatch over it where it has one.
    Tint(Tint),
}

/// A colour that fills: of cloth, of its allowance, of what it carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Tint {
    /// What style sheets call it, with `--foldmark-` before it.
    pub name: &'static str,
    /// In a file, and in a page whose style sheet says nothing of it.
    pub file: &'static str,
    /// What is repeated over it, in a square of [`HATCH`]: a line, or nothing.
    pub hatch: &'static str,
}

/// The side of the square that a hatch repeats.
pub(crate) const HATCH: f64 = 7.0;
/// The weight of a hatch.
pub(crate) const HATCH_LINE: f64 = 0.45;
/// How strongly it is inked.
pub(crate) const HATCH_INK: f64 = 0.75;

const fn tint(name: &'static str, file: &'static str, hatch: &'static str) -> Tint {
    Tint { name, file, hatch }
}

/// The right side of the cloth is plain; the wrong side has lines, a lining has dots, padding a lattice.
pub(crate) const RIGHT: Tint = tint("right", "#f6e4bf", "");
pub(crate) const WRONG: Tint = tint("wrong", "#ddd2bf", "M0 7L7 0");
pub(crate) const LINING: Tint = tint("lining", "#cfdfd2", "M1.5 1.7h.6M5 5.2h.6");
pub(crate) const PADDING: Tint = tint("padding", "#e6d3dc", "M0 7L7 0M0 0L7 7");
pub(crate) const ALLOWANCE: Tint = tint("allowance", "#fbf4e4", "");
pub(crate) const OBJECT: Tint = tint("object", "#c9cdd0", "");

/// Every tint.
#[cfg(test)]
pub(crate) const TINTS: [Tint; 6] = [RIGHT, WRONG, LINING, PADDING, ALLOWANCE, OBJECT];

/// The tint of what is seen of the cloth.
fn surface(surface: Surface) -> Tint {
    match surface {
        Surface::Right => RIGHT,
        Surface::Wrong => WRONG,
        Surface::Lining => LINING,
        Surface::Padding => PADDING,
    }
}

/// The three weights of lines, each twice the next: what is cut; what is sewn, folded or seen; what tells about it.
pub(crate) const WIDE: f64 = 2.4;
pub(crate) const MIDDLE: f64 = WIDE / 2.0;
pub(crate) const FINE: f64 = MIDDLE / 2.0;

/// A stroke and a fill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ink {
    pub width: f64,
    pub dash: &'static str,
    pub opacity: f64,
    pub fill: Fill,
    pub is_accent: bool,
}

impl Ink {
    /// What it fills with, if that is a tint.
    pub(crate) fn tint(&self) -> Option<Tint> {
        match self.fill {
            Fill::Tint(tint) => Some(tint),
            Fill::None | Fill::Faint | Fill::Solid => None,
        }
    }

    const fn line(width: f64) -> Ink {
        Ink { width, dash: "", opacity: 1.0, fill: Fill::None, is_accent: false }
    }

    const fn dashed(width: f64, dash: &'static str) -> Ink {
        Ink { dash, ..Ink::line(width) }
    }

    const fn filled(fill: Fill) -> Ink {
        Ink { fill, ..Ink::line(0.0) }
    }

    const fn faint(width: f64) -> Ink {
        Ink { fill: Fill::Faint, ..Ink::line(width) }
    }

    const fn accent(self) -> Ink {
        Ink { is_accent: true, ..self }
    }

    /// As it stands among the rest.
    fn standing(self, standing: Standing) -> Ink {
        match standing {
            Standing::Even => self,
            // A weight finer, or heavier, than it is among its like.
            Standing::Before => Ink { width: (self.width / 2.0).max(FINE), opacity: RECEDING, ..self },
            Standing::Now => Ink { width: (self.width * 2.0).min(WIDE), ..self.accent() },
            // Heavy and finely hatched, whatever the pen, and so like no other line.
            Standing::Own => Ink { width: WIDE, dash: "1 1.6", ..self.accent() },
        }
    }
}

/// How a path is drawn that belongs to a drawing with this frame.
pub(crate) fn ink(path: &Path, frame: Option<&Frame>) -> Ink {
    let fine = |ink: Ink| Ink { width: ink.width * frame.map_or(1.0, fineness), ..ink };
    let weighed = |ink: Ink| fine(ink.standing(path.standing));
    match path.role {
        Role::Line(pen) => weighed(stroke(pen)),
        Role::Objects => {
            let ink = weighed(Ink { fill: Fill::Tint(OBJECT), ..Ink::line(MIDDLE) });
            // Many narrow objects keep light between their outlines.
            if narrowest(&path.shape) < 4.0 * MIDDLE { Ink { width: ink.width.min(FINE), ..ink } } else { ink }
        }
        // Hatched, it would fall apart.
        Role::Spot => Ink { dash: "", ..weighed(Ink::line(MIDDLE)) },
        Role::Grain => fine(Ink::line(MIDDLE)),
        Role::FoldBracket | Role::Ring => Ink::line(MIDDLE),
        Role::Cloth(of) => Ink::filled(Fill::Tint(surface(of))),
        Role::Allowance => Ink::filled(Fill::Tint(ALLOWANCE)),
        Role::Layer => Ink::line(WIDE),
        Role::RightSide => Ink::dashed(MIDDLE, "0 3.2"),
        Role::Break => stroke(Pen::Guide),
        Role::Dimension | Role::Extension | Role::Leader => Ink::line(FINE),
        Role::WrongDimension => Ink::line(MIDDLE).accent(),
        Role::WrongHead => Ink { fill: Fill::Solid, ..Ink::line(FINE).accent() },
        Role::Notch
        | Role::GrainHead
        | Role::FoldHead
        | Role::DimensionHead
        | Role::LeaderDot
        | Role::PointerHead
        | Role::Within
        | Role::OffScale => Ink::filled(Fill::Solid),
        Role::Bar => Ink::line(FINE),
        Role::BarHalf => Ink::filled(Fill::Solid),
        Role::Ruler => Ink::faint(MIDDLE),
        Role::UnitTick => Ink::line(MIDDLE),
        Role::Tick => Ink::line(FINE),
        Role::Pointer => Ink::line(MIDDLE).accent(),
        Role::ScaleLine => Ink { opacity: RECEDING, ..Ink::line(FINE) },
        Role::Allowed => Ink::faint(FINE),
        Role::Beyond => Ink::line(WIDE).accent(),
    }
}

/// A pen's stroke.
fn stroke(pen: Pen) -> Ink {
    match pen {
        Pen::Cut => Ink::line(WIDE),
        Pen::Edge | Pen::Gap => Ink::line(MIDDLE),
        Pen::Stitch => Ink::dashed(MIDDLE, "5 3"),
        Pen::Fold => Ink::dashed(MIDDLE, "12 3 2 3"),
        Pen::Baste => Ink::dashed(MIDDLE, "0 3.5"),
        Pen::Guide => Ink::line(FINE),
    }
}

/// How heavy lines are drawn, as a part of their usual weight: finer, where the thing drawn is small.
fn fineness(frame: &Frame) -> f64 {
    let (small, finest) = SMALL;
    // A single line is as heavy as ever.
    if frame.extent() < 1.0 { 1.0 } else { (frame.extent() / small).max(finest).min(1.0) }
}

/// The width of the narrowest of some rectangles.
fn narrowest(shape: &Shape) -> f64 {
    match shape {
        Shape::Rounded(all) => all.iter().map(|one| one.width()).fold(f64::INFINITY, f64::min),
        Shape::Runs(_) | Shape::Arc { .. } => f64::INFINITY,
    }
}

/// Whether a text is in bold letters.
pub(crate) fn is_bold(role: TextRole) -> bool {
    match role {
        TextRole::NewName | TextRole::WrongDimension | TextRole::Heading | TextRole::Reading => true,
        TextRole::Dimension | TextRole::Name | TextRole::Note | TextRole::Row | TextRole::Number | TextRole::Remark => {
            false
        }
    }
}
