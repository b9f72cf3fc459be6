//! What pages are made of: text that can't become markup, the shell of a page, its colours. It belongs to no room; the
//! pages of marking, of progress, of practice and of lessons are made with it.

mod escape;
mod inline;
mod lengths;
mod page;
mod paper;
mod style;

pub use escape::escape;
pub(crate) use inline::{foreign, isolated, linked, shortened, text};
pub use lengths::{keep_lengths, keep_together};
pub(crate) use page::{PAGE_END, page_head};
pub(crate) use paper::paper;
#[cfg(feature = "cli")]
pub(crate) use style::style_sheet;
