//! A class's work without a disk: what was handed in, read, marked and filed by set, and sets made for a roster. In go
//! names and bytes, and names and bytes come out; the commands put them on a disk, the desk shows them in a page.

mod course;
mod drawer;
mod encoding;
mod files;
mod gathering;
mod hands;
mod kept_sets;
mod library;
mod marking;
mod names;
mod pieces;
mod result;
mod roster;
mod set;
mod sources;
mod spreadsheet;
mod told;

pub(crate) use course::CourseResults;
pub use drawer::Drawer;
pub(crate) use encoding::decoded;
pub use files::{Files, More};
pub(crate) use files::{LONGEST, too_long};
pub(crate) use gathering::{Gathering, Grade};
pub(crate) use kept_sets::KeptSets;
pub use library::{Library, Notice};
pub(crate) use marking::{Handed, Keeper, Marking, Placed, Unread, Wanted};
pub(crate) use names::{CLASS_FILE, MADE_FROM, RECORD_FILE};
pub(crate) use pieces::Pieces;
pub(crate) use result::{JSON_HEAD, is_gradebook, json_end, json_gap};
pub(crate) use roster::roster;
pub(crate) use set::{FOLDERS, SetRequest, Wish, papers, title, write_set};
pub(crate) use sources::sources;
pub use told::{Told, shown};
