//! Foldmark.
pub mod check;
pub mod draft;
pub mod exercise;
pub mod formula;
pub mod geometry;
pub mod length;
mod nearest;
