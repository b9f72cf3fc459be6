//! The pattern at true size: every piece with what has to be written on it, as PDF on sheets of paper, as SVG, as DXF.
//!
//! `piece` draws a piece in the millimetres of its draft, each stroke with what it is. `sheets` lays pieces on tiles of paper,
//! `first` makes what is pinned above the table, and `pdf` writes pages; `svg` and `dxf` write the same strokes side by side.

mod drawing;
mod dxf;
mod fault;
mod first;
mod font;
mod named;
mod page;
mod paper;
mod pdf;
mod piece;
mod pinned;
mod places;
mod said;
mod sheets;
mod small;
mod spread;
mod svg;
mod tiles;
mod words;

pub use dxf::dxf;
pub use fault::PatternFault;
pub use named::Named;
pub use paper::Paper;
pub use sheets::{overlay, pdf, pinned};
pub use svg::svg;
