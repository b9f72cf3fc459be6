//! One exercise worked for one set of givens: measures, limits of the choices, marks and pieces.

mod givens;
mod limits;
mod marks;
mod measures;
mod pieces;
mod raw;
mod rounded;
mod scene;
mod words;
mod work;

pub use givens::Givens;
pub use limits::{Bound, Held, broken_limit, held, range};
pub use marks::{DrawFault, Mark};
pub use measures::Measures;
pub use pieces::{CutLine, CutPiece, TruedSeam};
pub use raw::{Entry, Raw, RawRow};
pub use scene::{LaidLayer, LaidMark, Seen, Spatial, Stretch};
pub use words::value_text;
pub use work::{Draft, WorkFault, whole, work};
