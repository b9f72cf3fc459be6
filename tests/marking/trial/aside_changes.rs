//! Set aside: changes to a rule of other kinds than the open ones.

use super::changes::Change;

pub const CHANGES: [Change; 0] = [];
