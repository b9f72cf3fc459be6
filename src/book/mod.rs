//! Books: the blocks of a chapter found with mdBook's parser, the preprocessor, and the building of pages in this process.

mod build;
mod find;
mod library;
mod preprocessor;

pub use build::build_book;
pub use find::render_chapter;
pub use library::{Library, Notice};
pub use preprocessor::Foldmark;
