//! What a figure is: drawings of paths and texts, each with what it is. How they look is decided later.

mod area;
mod figure;
mod frame;
mod path;
mod role;
mod text;

pub(crate) use area::Area;
pub use figure::{Drawing, Figure};
pub use frame::Frame;
pub use path::{Path, Shape};
pub use role::{Role, Standing, TextRole};
pub(crate) use text::plain;
pub use text::{Anchor, Text};
