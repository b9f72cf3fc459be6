//! Chapters and books: the mdBook preprocessor, the course, the chapter for authors, and what the README shows.

mod authors;
mod course;
mod declared;
mod preprocessor;
mod readme;

#[path = "../shared/mod.rs"]
mod shared;
