//! What marks look like, in words.

use crate::draft::Mark;
use crate::exercise::Pen;
use crate::figure::drawing::plain;
use crate::figure::subject::mark;
use crate::geometry::Point;

/// Some marks in words: those with a name first, then the others, counted.
pub(crate) fn looks<'m>(marks: impl Iterator<Item = &'m Mark>) -> Vec<String> {
    let mut named: Vec<String> = Vec::new();
    let mut others = [0; Pen::ALL.len()];
    for mark in marks {
        let name = mark::label(mark).map(plain).filter(|name| !name.is_empty());
        let plain = mark::lines(mark).filter(|(lines, _)| name.is_none() && !is_rectangle(lines));
        if let Some((lines, pen)) = plain {
            let at = Pen::ALL.iter().position(|(_, other)| *other == pen);
            others[at.unwrap_or(0)] += lines.len();
        } else if let Some(what) = what(mark) {
            named.push(name.map_or(what.clone(), |name| format!("{what} ({name})")));
        }
    }
    let others = others.iter().zip(Pen::ALL).filter(|(count, _)| **count > 0);
    named.extend(others.map(|(count, (_, pen))| lines_in_words(*count, pen)));
    named
}

/// What a mark looks like: "a dash-dot line".
fn what(mark: &Mark) -> Option<String> {
    Some(match mark {
        Mark::Lines { lines, .. } if lines.is_empty() => return None,
        Mark::Lines { lines, pen, .. } if is_rectangle(lines) => format!("a rectangle of {}", pen_words(*pen).1),
        Mark::Lines { lines, pen, .. } => lines_in_words(lines.len(), *pen),
        Mark::Arc { pen, .. } => format!("{} in {}", kind(mark), pen_words(*pen).0),
        Mark::Objects { boxes, .. } => match boxes.len() {
            0 => return None,
            1 => "an outline with round corners".to_owned(),
            more => format!("{more} outlines with round corners"),
        },
        Mark::Spot { .. } => kind(mark).to_owned(),
        Mark::Measure { .. } | Mark::Notch { .. } => return None,
    })
}

/// What kind of mark it is.
pub(crate) fn kind(mark: &Mark) -> &'static str {
    match mark {
        Mark::Lines { .. } | Mark::Measure { .. } => "a line",
        Mark::Arc { curve, .. } if curve.start().distance(curve.end()) < 1e-6 => "a circle",
        Mark::Arc { .. } => "an arc",
        Mark::Objects { .. } => "an outline",
        Mark::Spot { .. } => "a cross",
        Mark::Notch { .. } => "a notch",
    }
}

fn is_rectangle(lines: &[(Point, Point)]) -> bool {
    matches!(lines, [first, _, _, last] if first.0 == last.1)
}

fn lines_in_words(count: usize, pen: Pen) -> String {
    let (one, many) = pen_words(pen);
    if count == 1 { one.to_owned() } else { format!("{count} {many}") }
}

/// A pen in words.
fn pen_words(pen: Pen) -> (&'static str, &'static str) {
    match pen {
        Pen::Cut => ("a heavy solid line", "heavy solid lines"),
        Pen::Edge => ("a solid line", "solid lines"),
        Pen::Stitch => ("a dashed line", "dashed lines"),
        Pen::Fold => ("a dash-dot line", "dash-dot lines"),
        Pen::Baste => ("a dotted line", "dotted lines"),
        Pen::Gap => ("an opening between two ticks", "openings between ticks"),
        Pen::Guide => ("a thin line", "thin lines"),
    }
}
