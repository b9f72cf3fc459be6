//! What a drawing shows, in words: its marks, those with a name first.

use crate::draft::Mark;
use crate::exercise::Pen;
use crate::figure::drawing::plain;
use crate::figure::subject::mark;
use crate::figure::subject::pen::lines_in_words;

/// Some marks in words: those with a name first, then the others, counted.
pub(crate) fn looks<'m>(marks: impl Iterator<Item = &'m Mark>) -> Vec<String> {
    let mut named: Vec<String> = Vec::new();
    let mut others = [0; Pen::ALL.len()];
    for mark in marks {
        let name = mark::label(mark).map(plain).filter(|name| !name.is_empty());
        let plain = mark::lines(mark).filter(|(lines, _)| name.is_none() && !mark::is_rectangle(lines));
        if let Some((lines, pen)) = plain {
            let at = Pen::ALL.iter().position(|(_, other)| *other == pen);
            others[at.unwrap_or(0)] += lines.len();
        } else if let Some(what) = mark::in_words(mark) {
            named.push(name.map_or(what.clone(), |name| format!("{what} ({name})")));
        }
    }
    let others = others.iter().zip(Pen::ALL).filter(|(count, _)| **count > 0);
    named.extend(others.map(|(count, (_, pen))| lines_in_words(*count, pen)));
    named
}
