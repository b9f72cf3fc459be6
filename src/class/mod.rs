//! A class: who is in it, what its instructor has laid down, what an answer is worth, and how much is shown of a marking.

mod points;
mod policy;
mod record;
mod roster;
mod schema;
mod secret;
mod show;

pub use points::Points;
#[cfg(feature = "desk")]
pub(crate) use policy::unknown_step;
pub use policy::{ExercisePolicy, Folders, Policy, PracticePolicy, Week};
pub use record::{SetRecord, SetSheet, set_order};
pub use roster::{RosterColumns, Student, Wishes, read_roster, roster_columns, roster_wishes, which_student};
pub use schema::CLASS;
pub use secret::Secret;
pub use show::Show;
