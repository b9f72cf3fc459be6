//! Exercises: one TOML file each, read once with all its faults, evaluated many times.
//!
//! An [`Exercise`] says what the student is given, the steps of the draft as formulas, the slips people
//! make, the pieces to cut and the cautions. [`read`] turns a file into one; [`shipped`] lists those that
//! come with the program.

mod drawing;
mod index;
mod level;
mod model;
mod piece;
mod read;
mod read_drawing;
mod read_given;
mod read_level;
mod read_piece;
mod read_scene;
mod scene;
mod scope;
mod shelf;

pub use drawing::{Across, Corner, Drawn, Pen, Side, Sign};
pub use index::{GivenId, PieceId, SlipId, StepId};
pub use level::{Level, Part};
pub use model::{
    Caution, Choice, Column, Exercise, Given, GivenKind, Limit, LimitKind, Practice, Requirement, Row, Slip, Stated,
    Step, StepRule, Vary, offered_on, usual_on,
};
pub use piece::{Drafted, Edge, Finish, Piece, Seam, Sewn, Shape, Split};
pub use read::read;
pub(crate) use read_drawing::{PARTS, no_parts};
pub use scene::{CrossSection, Form, Layer, LayerMark, LayerSign, Place as SpacePlace, Recedes, Solid, View};
pub use scope::Scope;
pub use shelf::{Shelf, UnknownExercise, shipped};
