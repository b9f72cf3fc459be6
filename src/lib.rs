//! Foldmark.
pub mod exercise;
pub mod formula;
pub mod length;
mod nearest;
