//! Lessons: fenced blocks in a chapter become figures, tables and measures. This belongs to the core; finding the blocks with
//! mdBook's parser, the preprocessor and the building of books do not.

mod block;
#[cfg(feature = "cli")]
mod build;
mod chapter;
mod compose;
mod content;
mod drafted;
#[cfg(feature = "cli")]
mod find;
mod image;
#[cfg(feature = "cli")]
mod library;
mod markdown;
#[cfg(feature = "cli")]
mod preprocessor;
mod units;

pub use block::BLOCKS;
#[cfg(feature = "cli")]
pub use build::build_book;
pub use chapter::{Chapter, Found, LessonFault, render_found};
pub use content::Output;
#[cfg(feature = "cli")]
pub use find::render_chapter;
#[cfg(feature = "cli")]
pub use library::{Library, Notice};
#[cfg(feature = "cli")]
pub use preprocessor::Foldmark;
pub use units::System;
