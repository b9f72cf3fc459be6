//! What a figure is made of.

pub(crate) mod area;
pub(crate) mod canvas;
pub(crate) mod frame;
