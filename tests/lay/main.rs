//! Pieces on cloth: strips against published optima, what to buy against published lists, drafts laid so that nothing
//! overlaps.

mod strips;

/// Whether this is a quick build, which tries fewer cases.
const QUICK: bool = cfg!(debug_assertions);
