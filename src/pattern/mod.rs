//! The pattern at true size: every piece with what has to be written on it, laid on sheets of paper, as PDF.

mod drawing;
mod fault;
mod font;
mod named;
mod paper;
mod pdf;
mod piece;
mod pinned;
mod sheets;
mod tiles;
mod words;

pub use fault::PatternFault;
pub use named::Named;
pub use paper::Paper;
pub use sheets::pdf;
