//! The language of exercise files: every key of every part, stated once. The readers know these keys and no others, and the
//! JSON Schema and the tables of the authors' chapter are made of the same sentences.

mod common;
mod exercise;
mod fitting;
mod given;
mod mark;
mod piece;
mod practice;
mod scene;
mod step;

pub use exercise::{CAUTION, EXERCISE};
pub use fitting::FITTING;
pub use given::{COLUMN, GIVEN, VARY_CHOICE, VARY_LENGTH, VARY_NUMBER, VARY_TABLE};
pub use mark::{MARK_OF_A_PIECE, MARK_OF_A_STEP};
pub use piece::{DETAIL, EDGE, PIECE, SEAM, SPLIT};
pub(crate) use practice::HIGHEST_LEVEL;
pub use practice::{LEVEL, PRACTICE, REQUIREMENT};
pub use scene::{LAYER, LAYER_MARK, SECTION, SOLID, VIEW};
pub(super) use scene::{POINTS, STRETCHES};
pub use step::{LIMIT, SLIP, STEP};
