//! Foldmark: the companion to a pattern-drafting class.
//!
//! A lesson shows a worked draft as a figure that the program itself drew; a student drafts the same
//! thing for their own objects and measures it; the program marks the measurements and says what went
//! wrong; the instructor sets fresh problems whose numbers fall on a ruler.
//!
//! Data goes one way through the rooms, and each imports only those before it:
//! [`text`], [`length`], [`formula`], [`geometry`], [`exercise`], [`draft`], [`figure`], [`check`], [`practice`];
//! then, with the feature `cli`, `lesson` and `command`. Without that feature what remains has no files,
//! no clock, no threads and no terminal.

// The library prints nothing by itself and gives up on nothing.
#![warn(clippy::print_stdout, clippy::print_stderr)]
#![cfg_attr(not(test), warn(clippy::unwrap_used, clippy::expect_used))]

pub mod text;

pub mod length;

pub mod formula;

pub mod geometry;

pub mod exercise;

pub mod draft;

pub mod figure;

pub mod check;

pub mod practice;

#[cfg(feature = "cli")]
pub mod files;

#[cfg(feature = "cli")]
pub mod lesson;

#[cfg(feature = "cli")]
pub mod command;

// Text into HTML, for the pages of several rooms.
pub mod html;
