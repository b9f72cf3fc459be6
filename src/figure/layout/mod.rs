//! Where everything stands on the sheet.

mod crowding;
pub(crate) mod dimensions;
pub(crate) mod labels;
pub(crate) mod pair;
pub(crate) mod sheet;
