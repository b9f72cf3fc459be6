//! A draft has more dimensions than a figure of all of it has room for: which of them it shows, and where.

use super::sheet::Sheet;
use crate::exercise::Side;
use crate::figure::style;
use crate::figure::subject::dimension::{Dimension, is_upright};

/// Leaves the right side to the names, if there are any: what is measured there is told at the left, where heights are the
/// same.
pub(crate) fn leave_right_to_names(sheet: &mut Sheet) {
    let Some(drawn) = sheet.drawn().filter(|_| sheet.is_named()) else { return };
    for one in sheet.dimensions.iter_mut().filter(|one| one.side == Side::Right) {
        one.side = Side::Left;
        one.from.x = drawn.least.x;
        one.to.x = drawn.least.x;
    }
}

/// Leaves the smallest dimensions to the figures of their own steps: those too short for two arrows, and of those
/// beside the drawing as many as it takes to give it room. How many were left out.
pub(crate) fn leave_out_smallest(sheet: &mut Sheet) -> usize {
    let all = sheet.dimensions.len();
    let Some(bounds) = sheet.bounds() else { return 0 };
    loop {
        let frame = sheet.fit(bounds).0;
        let span = |one: &Dimension| frame.length(one.span());
        let count = sheet.dimensions.len();
        sheet.dimensions.retain(|one| span(one) >= 2.0 * style::ARROW + 2.0);
        let area = frame.area();
        let is_roomy = area.width() >= style::ROOMY || area.height() >= style::TALLEST - 1.0;
        let beside = sheet.dimensions.iter().enumerate().filter(|(_, one)| is_upright(one.side));
        let shortest = beside.min_by(|a, b| a.1.span().total_cmp(&b.1.span())).map(|(index, _)| index);
        match shortest {
            _ if sheet.dimensions.len() < count => {}
            Some(index) if !is_roomy => {
                sheet.dimensions.remove(index);
            }
            _ => return all - sheet.dimensions.len(),
        }
    }
}
