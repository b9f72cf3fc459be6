//! Pieces laid on cloth, and how much of it to buy.
//!
//! A strip has a width across and runs along the grain. `block` and the three methods lay rectangles on it in whole
//! nanometres; `plan` makes rectangles of a draft's pieces, cloth by cloth. Work is counted in steps, so that every
//! machine finds the same lay.

mod block;
mod bottom_left;
mod cloth;
mod fault;
mod fittings;
mod levels;
mod plan;
mod search;

pub use block::{Block, Packing, Place, least_length};
pub use bottom_left::bottom_left;
pub use cloth::{Cloth, Washed, rounded_up};
pub use fault::LayFault;
pub use fittings::{next_zip, to_buy};
pub use levels::{Fit, levels};
pub use plan::{Laid, Lay, plan};
pub use search::{USUAL_WORK, pack};
