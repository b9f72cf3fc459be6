//! The pattern at true size, read back from its PDF with a PDF library that knows nothing of patterns.

mod true_size;

#[path = "../shared/mod.rs"]
mod shared;
