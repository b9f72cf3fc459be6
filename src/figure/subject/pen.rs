//! Pens in words.

use crate::exercise::Pen;

/// So many lines of a pen: "2 dashed lines".
pub(crate) fn lines_in_words(count: usize, pen: Pen) -> String {
    let (one, many) = pen_words(pen);
    if count == 1 { one.to_owned() } else { format!("{count} {many}") }
}

/// A pen in words.
pub(crate) fn pen_words(pen: Pen) -> (&'static str, &'static str) {
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
