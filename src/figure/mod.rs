//! A draft drawn: step by step, finished, piece by piece; sections and views of the finished object; a piece of ruler.
//!
//! Each of the `kinds` of figures puts its `subject` on a sheet, the `layout` finds the places, and what comes of it is a
//! `drawing`: paths and texts, each with what it is, and the way back to true size. How a role looks stands in `style`.
//! `svg` writes a figure; another way to write one is another file beside it, and changes none of the rest.
//!
//! Most figures are true to scale, and all are made of the geometry that is checked. Lines have three weights, each twice the
//! next. The right side of cloth is plain, the wrong side hatched, a lining dotted, padding latticed, each with a tint of its
//! own, as has the allowance. Trade conventions: the cutting line solid and heavy, the stitching line dashed, a fold dash-dot, basting dotted, an opening as a break
//! between two ticks, grain as an arrow with two heads, notches as wedges. Dimensions stand in lanes outside
//! the drawing, names at what they name, or in a column right of it; no text stands on another or on a line. What is too small
//! to be seen is shown once more in a circle.

mod drawing;
mod kinds;
mod layout;
#[cfg(test)]
mod leaders;
#[cfg(test)]
mod legible;
mod letters;
#[cfg(test)]
mod seen;
mod style;
mod subject;
mod svg;
mod telling;

pub use drawing::{Anchor, Drawing, Figure, Frame, Path, Role, Shape, Standing, Text, TextRole};
pub use kinds::blank::{Blank, blank};
pub use kinds::choices::{Chosen, choices};
pub use kinds::lay::lay;
pub use kinds::opened::opened;
pub use kinds::overlay::{Differing, overlay};
pub use kinds::piece::piece;
pub use kinds::ruler::ruler;
pub use kinds::section::section;
pub use kinds::slip::slip;
pub use kinds::step::{growing, step, whole};
pub use kinds::view::view;
pub use subject::mark::is_drawable;
