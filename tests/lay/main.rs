//! Pieces on cloth: strips against published optima, what to buy against published lists, drafts laid so that nothing
//! overlaps, and the command.

mod bought;
mod command;
mod drafts;
#[allow(dead_code)]
#[path = "../drafting/shelf/ranges.rs"]
mod ranges;
#[path = "../shared/mod.rs"]
mod shared;
mod strips;

/// Whether this is a quick build, which tries fewer cases.
const QUICK: bool = cfg!(debug_assertions);
