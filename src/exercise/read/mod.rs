//! From TOML to an exercise, with every fault at once: one file for each part of the language.

mod exercise;
mod fitting;
mod given;
mod mark;
mod piece;
mod practice;
mod reader;
mod scene;
mod seam;
mod step;

pub use exercise::read;
pub(crate) use mark::{PARTS, no_parts};
