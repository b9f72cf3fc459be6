//! Points and outlines in the plane of the cloth: stitching line, cutting line, fold.
//!
//! Coordinates are millimetres, `x` across to the right, `y` up from the base, as a drafter measures.
//! Everything is made of `+ - * / sqrt`, so that every machine draws the same line.

mod outline;
mod point;

pub use outline::{Edge, Finish, Outline, OutlineFault};
pub use point::{Bounds, Point};
