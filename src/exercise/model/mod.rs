//! What an exercise is, once read: data, with formulas still to be evaluated.

mod changes;
mod dependents;
mod exercise;
mod fitting;
mod given;
mod index;
mod mark;
mod parts;
mod piece;
mod practice;
mod scene;
mod scope;
mod step;

pub use exercise::{Caution, Exercise};
pub(super) use fitting::FITTING_KINDS;
pub use fitting::{Fitting, FittingKind};
pub use given::{Choice, Column, Given, GivenKind, Row, Stated, Vary, offered_on, usual_on};
pub use index::{GivenId, PieceId, SlipId, StepId};
pub(super) use mark::TURNS;
pub use mark::{Across, Coordinates, Drawn, Pen, Side, Sign, Surface};
pub use parts::Parts;
pub(super) use piece::{CORNER_CUTS, GRAINS, edges_of};
pub use piece::{Drafted, Edge, Enlarged, Finish, Piece, Seam, Sewn, Shape, Split};
pub use practice::{Level, Practice, Requirement};
pub(super) use scene::{ABOVE_OR_BELOW, LEFT_OR_RIGHT, RIGHT_SIDES};
pub use scene::{CrossSection, Form, Layer, LayerMark, LayerSign, Recedes, Solid, SpatialCoordinates, View};
pub use scope::Scope;
pub(super) use scope::{column_kind, within_a_sentence};
pub use step::{Limit, LimitKind, OnSheet, Slip, Step, StepRule};
