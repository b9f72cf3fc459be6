//! The pattern at true size: every piece with what has to be written on it, laid on sheets of paper, as PDF.

mod drawing;
mod fault;
mod font;
mod lay;
mod paper;
mod pdf;
mod piece;
mod pinned;
mod sheets;
mod words;

pub use fault::PatternFault;
pub use paper::Paper;
pub use sheets::{Named, pdf};
