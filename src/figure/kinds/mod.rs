//! The kinds of figures.

pub(crate) mod blank;
pub(crate) mod choices;
pub(crate) mod lay;
pub(crate) mod opened;
pub(crate) mod overlay;
pub(crate) mod piece;
pub(crate) mod ruler;
pub(crate) mod section;
pub(crate) mod slip;
pub(crate) mod step;
pub(crate) mod view;
