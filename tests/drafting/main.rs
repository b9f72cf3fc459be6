//! From a length to a figure: lengths, outlines, what an exercise file may say, and drafts, cross-sections and views; and of
//! the exercises that are shipped that they draft what books and closed forms say.

mod allocations;
mod exercise_faults;
mod figures;
mod fractions;
mod geometry;
mod language;
mod lengths;
mod published;
mod scenes;
mod shelf;

#[path = "../shared/mod.rs"]
mod shared;

use foldmark::length::Ruler;

/// A usual and a fine ruler of either system.
const RULERS: [Ruler; 4] = [Ruler::EIGHTH, Ruler::SIXTEENTH, Ruler::MILLIMETRE, Ruler::FIVE_MILLIMETRES];
