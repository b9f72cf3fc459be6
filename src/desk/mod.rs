//! A class's work without a disk: what was handed in, read, marked and filed by set, and sets made for a roster. In go
//! names and bytes, and names and bytes come out; the commands put them on a disk, the desk shows them in a page.

mod archive;
mod class;
mod course;
mod drawer;
mod encoding;
mod engine;
mod files;
mod gathering;
mod hands;
mod kept_sets;
mod library;
mod marking;
mod names;
mod next_set;
mod pieces;
mod placing;
mod result;
mod roster;
mod set;
mod sources;
mod spreadsheet;
mod told;

pub use drawer::Drawer;
pub use engine::Desk;
pub use files::{Files, More};
pub use library::{Library, Notice};
pub use told::{Told, shown};

// What only the commands take.
#[cfg(feature = "cli")]
pub(crate) use course::CourseResults;
#[cfg(feature = "cli")]
pub(crate) use encoding::decoded;
#[cfg(feature = "cli")]
pub(crate) use files::{LONGEST, too_long};
#[cfg(feature = "cli")]
pub(crate) use gathering::{Gathering, Grade};
#[cfg(feature = "cli")]
pub(crate) use kept_sets::KeptSets;
#[cfg(feature = "cli")]
pub(crate) use marking::{Handed, Keeper, Marking, Placed, Unread, Wanted};
#[cfg(feature = "cli")]
pub(crate) use names::{CLASS_FILE, MADE_FROM, RECORD_FILE};
#[cfg(feature = "cli")]
pub(crate) use next_set::{NextSet, WHY};
#[cfg(feature = "cli")]
pub(crate) use pieces::Pieces;
#[cfg(feature = "cli")]
pub(crate) use result::{JSON_HEAD, is_gradebook, json_end, json_gap};
#[cfg(feature = "cli")]
pub(crate) use roster::{Roster, roster, roster_with_wishes};
#[cfg(feature = "cli")]
pub(crate) use set::{Each, SetRequest, Wish, is_filled_in, papers, title, write_set};
#[cfg(feature = "cli")]
pub(crate) use sources::sources;
