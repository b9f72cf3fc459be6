//! Books: the blocks of a chapter found with mdBook's parser, the preprocessor, and the building of pages in this process.

mod build;
mod companions;
mod desk;
mod find;
mod install;
mod preprocessor;
mod sources;

pub use build::{Commands, build_book, build_book_with};
pub use desk::{DESK, desk_page};
pub use find::render_chapter;
pub use install::install;
pub use preprocessor::Foldmark;
