//! The pages that come out of marking: one for each student, one for the class.
//!
//! Each is a file of its own: no script, no network, light and dark, and fit to be printed. Nothing that came from a
//! student gets into a page but through [`crate::html::escape`].

mod class;
mod course;
mod feedback;
mod grid;
mod mistakes;
mod picture;
mod sign;

pub use class::{class_page, set_page};
pub use course::{HandedInFile, course_page};
pub use feedback::{feedback_page, feedback_pages, feedback_part};
pub use sign::Sign;
