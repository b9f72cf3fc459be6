//! Where everything stands on the sheet.

pub(crate) mod bar;
pub(crate) mod beside;
pub(crate) mod crowding;
pub(crate) mod detail;
mod dimensions;
pub(crate) mod fit;
pub(crate) mod inside;
mod labels;
pub(crate) mod page;
pub(crate) mod pair;
pub(crate) mod sheet;
