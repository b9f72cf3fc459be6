//! Points, curves and outlines in the plane of the cloth: stitching line, cutting line, fold.
//!
//! Coordinates are millimetres, `x` across to the right, `y` up from the base, as a drafter measures.
//! Whatever is not `+ - * / sqrt` comes from `libm`, so that every machine draws the same line.

mod curve;
mod edge;
mod joint;
mod outline;
mod point;
mod split;

pub use curve::Curve;
pub use edge::{Corner, Edge, Finish};
pub use outline::{Outline, OutlineFault};
pub use point::{Bounds, Point};
