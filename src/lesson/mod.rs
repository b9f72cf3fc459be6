//! Lessons: fenced blocks in a chapter become figures, tables and measures; the mdBook preprocessor.

mod block;
mod build;
mod chapter;
mod compose;
mod content;
mod drafted;
mod image;
mod library;
mod markdown;
mod preprocessor;
mod units;

pub use block::BLOCKS;
pub use build::build_book;
pub use chapter::{Chapter, LessonFault, render_chapter};
pub use content::Output;
pub use library::{Library, Notice};
pub use preprocessor::Foldmark;
pub use units::System;
