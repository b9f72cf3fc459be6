//! Exact lengths: what a drafting class writes (`12 1/2"`, `31.8 cm`) as whole nanometres.
//!
//! One inch is exactly 25.4 mm and one yard exactly 0.9144 m (addendum to NBS Circular 572,
//! 1 July 1959), so every unit here, and every tick down to 1/64 in, is a whole number of
//! nanometres: sums of tape-measure readings lose nothing.
//!
//! ```
//! use foldmark::length::{Ruler, Unit, read};
//! let waist = read("12 1/2\"", None)? + read("3/4", Some(Unit::Inch))?;
//! assert_eq!(waist.to_string(), "13 1/4 in");
//! assert_eq!(Ruler::MILLIMETRE.write(waist).to_string(), "≈ 33.7 cm");
//! # Ok::<(), foldmark::length::ReadFault>(())
//! ```

mod dated;
mod exact;
mod fault;
mod likely;
mod number;
mod plain;
mod print;
mod read;
mod ruler;
mod signs;
mod spelled;
mod tolerance;
mod unit;

pub use exact::{Length, NM_PER_MM, Rounding};
pub use fault::{ReadFault, ReadFaultKind, UnitFault};
pub use likely::likely;
pub(crate) use read::{is_spelled_oddly, read_number, with_decimal_comma};
pub use read::{read, read_with_unit};
pub use ruler::{Ruler, RulerFault, Written};
pub use tolerance::Tolerance;
pub use unit::Unit;
