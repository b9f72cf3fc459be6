//! The pattern at true size, read back from PDF, SVG and DXF with libraries that know nothing of patterns.

mod drawings;
mod true_size;

#[path = "../shared/mod.rs"]
mod shared;
