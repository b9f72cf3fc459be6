//! Set aside: habits of other kinds than the open ones.

use super::classes::Class;

pub const CLASSES: [Class; 0] = [];
