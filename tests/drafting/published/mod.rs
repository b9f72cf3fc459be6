//! The exercises against check values from outside the project, a family of them in each module.
//!
//! What a source states is the expectation; what it leaves open is turned into givens by the arithmetic in
//! the comment beside it. A source's own error is here too: as an answer that must be marked wrong, and named
//! as the slip it is. The rest is closed form, worked again in whole nanometres. Lengths are inches unless
//! they say otherwise.

pub mod shared;

mod flat_and_boxed;
mod needle_book;
mod pockets_and_flaps;
mod printed;
mod roll;
mod rolls_and_strips;
mod round;
