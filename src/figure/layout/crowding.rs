//! A draft has more dimensions than a figure of all of it has room for: which of them it shows, and where.

use crate::exercise::Side;
use crate::figure::layout::dimensions::{Dimension, is_upright};
use crate::figure::layout::sheet::Sheet;
use crate::figure::style;

impl Sheet<'_> {
    /// Leaves the right side to the names: what is measured there is told at the left, where heights are the same.
    pub(crate) fn clear_the_right(&mut self) {
        let Some(drawn) = self.drawn() else { return };
        for one in self.dimensions.iter_mut().filter(|one| one.side == Side::Right) {
            one.side = Side::Left;
            one.from.x = drawn.least.x;
            one.to.x = drawn.least.x;
        }
    }

    /// Leaves the smallest dimensions to the figures of their own steps: those too short for two arrows, and of those
    /// beside the drawing as many as it takes to give it room.
    pub(crate) fn thin(&mut self) {
        let Some(bounds) = self.bounds() else { return };
        loop {
            let (frame, _) = self.fit(bounds);
            let span = |one: &Dimension| frame.length(one.span());
            let count = self.dimensions.len();
            self.dimensions.retain(|one| span(one) >= 2.0 * style::ARROW + 2.0);
            let area = frame.area();
            let is_roomy = area.right - area.left >= style::ROOMY || area.bottom - area.top >= style::TALLEST - 1.0;
            let beside = self.dimensions.iter().enumerate().filter(|(_, one)| is_upright(one.side));
            let shortest = beside.min_by(|a, b| a.1.span().total_cmp(&b.1.span())).map(|(index, _)| index);
            match shortest {
                _ if self.dimensions.len() < count => {}
                Some(index) if !is_roomy => {
                    self.dimensions.remove(index);
                }
                _ => return,
            }
        }
    }
}
