//! What several parts of the language have in common.

use crate::text::schema::{Holds, Key, key, needed};

/// A formula, a condition or the name of something else in the file.
pub(super) const TEXT: Holds = Holds::Text;
/// One text or several.
pub(super) const TEXTS: Holds = Holds::OneOrMore(&TEXT);
/// A point of a draft: across and up.
pub(super) const POINT: Holds = Holds::List(&TEXT, 2..=2);
/// Two points in one bracket.
pub(super) const ENDS: Holds = Holds::List(&TEXT, 4..=4);

pub(super) const TITLE: Key = needed("title", TEXT).says("its name for people");
pub(super) const SHORT: Key = key("short", TEXT).says("the title as it reads within a formula; the title, if left out");
