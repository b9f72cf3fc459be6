//! What is bought beside cloth.

use super::reader::{Reader, line_of};
use crate::exercise::model::{FITTING_KINDS, Fitting};
use crate::text::Section;

pub(super) fn read_fitting(reader: &Reader, section: &Section) -> Option<Fitting> {
    let kind = section.word("kind", &FITTING_KINDS);
    let title = section.text("title").map(|_| line_of(section, "title"));
    let length = section.if_there("length", |key| reader.length(section, key));
    let count = section.whole("count").unwrap_or(1) as u32;
    let (note, when) = (line_of(section, "note"), reader.condition(section, "when"));
    match (kind, section.has("length")) {
        (Some(kind), false) if kind.has_length() => section.note_missing("length"),
        (Some(kind), true) if !kind.has_length() => {
            section.note("length", "this is counted and has no length; leave it out, or choose another kind");
        }
        _ => {}
    }
    Some(Fitting { kind: kind?, title: title?, length: length?, count, note, when: when? })
}
