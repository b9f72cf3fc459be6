//! What is drawn: marks, a piece of cloth, a section or a view.

pub(crate) mod cloth;
pub(crate) mod marks;
pub(crate) mod plain;
pub(crate) mod scene;
