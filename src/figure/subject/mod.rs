//! What is drawn, in the millimetres of the real thing: marks, a piece of cloth, a section or a view, and dimensions.

pub(crate) mod cloth;
pub(crate) mod dimension;
pub(crate) mod looks;
pub(crate) mod mark;
pub(crate) mod name;
pub(crate) mod pen;
pub(crate) mod scene;
