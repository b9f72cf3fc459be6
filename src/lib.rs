//! Foldmark: the companion to a pattern-drafting class.
//!
//! A lesson shows a worked draft as a figure that the program itself drew; a student drafts the same
//! thing for their own objects and measures it; the program marks the measurements and says what went
//! wrong; the instructor sets fresh problems whose numbers fall on a ruler.
//!
//! Data goes one way through the rooms, and each imports only those before it:
//! [`practice`], [`progress`], [`lesson`], [`live`], with the feature `pattern` `pattern` after `figure`, with the feature `desk` then `desk`; with the feature `cli` then `files`, `book` and `command`.
//! Without that feature what remains has no files, no clock, no threads and no terminal, and runs in a browser as well.
//!
//! A draft is worked, drawn and marked like this:
//!
//! ```
//! use foldmark::check::{Verdict, mark, read_answers};
//! use foldmark::draft::{Draft, Givens, Raw};
//! use foldmark::{exercise::Shelf, figure, length::Ruler};
//!
//! let shelf = Shelf::shipped();
//! let roll = shelf.get("flap-roll")?;
//!
//! // The exercise worked for its own example, on a ruler in eighths of an inch.
//! let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).map_err(|faults| faults[0].to_string())?;
//! let draft = Draft::new(roll, givens)?;
//! assert_eq!(draft.text("fold_height", 0), "10 1/4 in");
//! assert_eq!(draft.rule(roll.step("cut_width").unwrap()), "finished width + 2 × seam allowance");
//!
//! // Drawn, as part of a page.
//! assert!(figure::whole(&draft).inline("roll").starts_with("<svg "));
//!
//! // What a student measured, marked: the cut width follows from their own finished width.
//! let sheet = read_answers(r#"
//!     exercise = "flap-roll"
//!     student = "Tansy"
//!     unit = "in"
//!     [[given.objects]]
//!     length = "9"
//!     girth = "3"
//!     count = 4
//!     [answer]
//!     finished_width = "9"
//!     cut_width = "10"
//! "#).map_err(|faults| faults[0].to_string())?;
//! let marked = mark(roll, &sheet).map_err(|faults| faults[0].to_string())?;
//! assert_eq!(marked.verdict(roll.step_id("cut_width").unwrap()), Verdict::RightFromOwn);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![forbid(unsafe_code)]
// The library prints nothing by itself and gives up on nothing.
#![warn(clippy::print_stdout, clippy::print_stderr)]
#![cfg_attr(not(test), warn(clippy::unwrap_used, clippy::expect_used))]
// A new verdict, mark or function is found by the compiler wherever it has to be told of.
#![cfg_attr(not(test), warn(clippy::wildcard_enum_match_arm))]

pub mod text;

pub mod length;

pub mod formula;

pub mod geometry;

pub mod exercise;

pub mod class;

pub mod draft;

pub mod lay;

pub mod figure;

#[cfg(feature = "pattern")]
pub mod pattern;

pub mod check;

pub mod practice;

pub mod progress;

pub mod lesson;

pub mod live;

#[cfg(feature = "desk")]
pub mod desk;

#[cfg(feature = "cli")]
pub mod files;

#[cfg(feature = "cli")]
pub mod book;

#[cfg(feature = "cli")]
pub mod command;

// What the pages of several rooms are made of.
pub mod html;
