//! Pieces laid on cloth, and how much of it to buy.

mod block;
mod bottom_left;
mod levels;
mod search;

pub use block::{Block, Packing, Place, least_length};
pub use bottom_left::bottom_left;
pub use levels::{Fit, levels};
pub use search::{USUAL_WORK, pack};
