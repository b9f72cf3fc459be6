//! Exercises: one TOML file each, read once with all its faults, evaluated many times.
//!
//! An [`Exercise`] says what the student is given, the steps of the draft as formulas, the slips people
//! make, the pieces to cut and the cautions. [`read`] turns a file into one, by the keys that the [`language`] declares;
//! [`shipped`] lists those that come with the program.

pub mod language;
mod model;
mod read;
mod shelf;

pub use model::{
    Across, Caution, Choice, Column, Coordinates, CrossSection, Drafted, Drawn, Edge, Exercise, Finish, Fitting,
    FittingKind, Form, Given, GivenId, GivenKind, Layer, LayerMark, LayerSign, Level, Limit, LimitKind, OnSheet, Pen,
    Piece, PieceId, Practice, Recedes, Requirement, Row, Scope, Seam, Sewn, Shape, Side, Sign, Slip, SlipId, Solid,
    SpatialCoordinates, Split, Stated, Step, StepId, StepRule, Surface, Vary, View, offered_on, usual_on,
};
pub use read::read;
pub(crate) use read::{PARTS, no_parts};
pub use shelf::{Shelf, UnknownExercise, shipped};
