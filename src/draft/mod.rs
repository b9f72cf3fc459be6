//! One exercise worked for one set of givens: measures, limits of the choices, marks, pieces, sections and views.

mod arithmetic;
mod choices;
mod fault;
mod fields;
mod given_faults;
mod givens;
mod layers;
mod limits;
mod marks;
mod measures;
mod named;
mod pieces;
mod places;
mod raw;
mod rounded;
mod space;
mod undrawn;
mod view;
mod work;
mod written;

pub(crate) use arithmetic::in_names;
pub use choices::Room;
pub use fault::{DrawFault, PieceFault};
pub(crate) use fields::{Field, Written};
pub use givens::Givens;
pub use layers::{LaidLayer, LaidMark, Stretch};
pub use limits::{Bound, Held, broken_limit, held, range};
pub use marks::Mark;
pub use measures::Measures;
pub(crate) use named::Named;
pub use pieces::{CutLine, CutPiece, TruedSeam};
pub use raw::{Entry, Raw, RawFault, RawRow};
pub use space::Spatial;
pub use view::Seen;
pub use work::{Draft, WorkFault, whole, work};
pub use written::value_text;
