//! What a page asks and is told while someone works in it: text in, text out. A page knows no drafting; all that it shows is
//! worked here, by the code that builds books and marks classes.

mod ask;
mod engine;
mod form;
mod hand_in;
mod known;
mod own;
mod problem;

pub use engine::Live;
