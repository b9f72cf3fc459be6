//! Lessons: fenced blocks in a chapter become figures, tables and measures.

mod block;
mod chapter;
mod compose;
mod content;
mod drafted;
mod image;
mod markdown;
mod measure;
mod own;
mod say;
mod shown;
mod units;

pub use block::BLOCKS;
pub use chapter::{Chapter, Found, LessonFault, Rendered, identifier, render_found};
pub use content::Output;
pub use own::{OpenChapter, OpenDraft, Own};
pub use shown::Shown;
pub use units::System;
