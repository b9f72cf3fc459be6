//! The sheet that everything stands on.

use crate::figure::drawing::{Area, Drawing};
use crate::figure::{letters, style};

/// The space of all that is drawn, with the weight of its lines.
pub(crate) fn space(drawing: &Drawing) -> Area {
    let frame = drawing.frame();
    let paths = drawing.paths().iter().map(|path| path.space.grown(style::ink(path, frame).width / 2.0));
    let texts = drawing.texts().iter().map(letters::space);
    paths.chain(texts).fold(drawing.reserved(), Area::with)
}

/// The sheet under some drawings: never narrower than usual, so that letters keep their size.
pub(crate) fn page(drawings: &[Drawing]) -> Area {
    let margin = style::MARGIN;
    let all = drawings.iter().map(space).fold(Area::EMPTY, Area::with);
    if all.left > all.right {
        return Area { left: 0.0, top: -margin, right: style::WIDTH, bottom: margin };
    }
    let mut page = all.grown(margin);
    if page.left > -margin && page.right < style::WIDTH + margin {
        page = Area { left: 0.0, right: style::WIDTH, ..page };
    }
    let missing = (style::WIDTH - page.width()).max(0.0) / 2.0;
    Area { left: page.left - missing, right: page.right + missing, ..page }
}
