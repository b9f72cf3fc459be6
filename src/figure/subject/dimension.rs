//! Dimensions: what is measured, between which points.

use crate::draft::{Draft, Mark};
use crate::exercise::Side;
use crate::figure::drawing::plain;
use crate::geometry::Point;

/// A dimension to draw, in millimetres.
#[derive(Debug, Clone)]
pub(crate) struct Dimension {
    pub from: Point,
    pub to: Point,
    pub side: Side,
    pub title: String,
    pub value: String,
    /// Whether it is the measure that is mistaken.
    pub is_wrong: bool,
}

impl Dimension {
    /// A mark's, if it is a measure.
    pub(crate) fn of(draft: &Draft, mark: &Mark) -> Option<Dimension> {
        let Mark::Measure { step, from, to, side } = mark else { return None };
        let step = draft.exercise.steps.get(*step)?;
        let (title, value) = (plain(&step.short), draft.text_at(step.slot, 0));
        Some(Dimension { from: *from, to: *to, side: *side, title, value, is_wrong: false })
    }

    /// Its name and value.
    pub(crate) fn told(&self) -> String {
        format!("{} {}", self.title, self.value)
    }

    /// How far it reaches along its lane, in millimetres.
    pub(crate) fn span(&self) -> f64 {
        let across = if is_upright(self.side) { self.to.y - self.from.y } else { self.to.x - self.from.x };
        across.abs()
    }
}

pub(crate) fn is_upright(side: Side) -> bool {
    matches!(side, Side::Left | Side::Right)
}

/// What is measured among some marks, in so few dimensions as tell it.
pub(crate) fn measured<'m>(draft: &Draft, marks: impl IntoIterator<Item = &'m Mark>) -> Vec<Dimension> {
    merged(marks.into_iter().filter_map(|mark| Dimension::of(draft, mark)))
}

/// The number of a side.
pub(crate) fn side_index(side: Side) -> usize {
    match side {
        Side::Left => 0,
        Side::Right => 1,
        Side::Top => 2,
        Side::Bottom => 3,
    }
}

/// Equal dimensions of one measure that lie end to end are told together: "4 × 7 1/2 in" from end to end.
pub(crate) fn merged(dimensions: impl IntoIterator<Item = Dimension>) -> Vec<Dimension> {
    let mut merged: Vec<(Dimension, u32)> = Vec::new();
    for one in dimensions {
        let follows = |(before, _): &&mut (Dimension, u32)| {
            let is_alike = before.side == one.side && before.title == one.title && before.value == one.value;
            is_alike
                && before.to.distance(one.from) < 1e-6
                && before.from.distance(one.to) > before.from.distance(one.from)
        };
        match merged.iter_mut().find(follows) {
            Some((before, count)) => {
                before.to = one.to;
                *count += 1;
            }
            None => merged.push((one, 1)),
        }
    }
    let told = |(one, count): (Dimension, u32)| match count {
        1 => one,
        count => Dimension { value: format!("{count} × {}", one.value), ..one },
    };
    merged.into_iter().map(told).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_neighbours_are_told_together() {
        let one = |from: f64, to: f64, value: &str| Dimension {
            from: Point::new(from, 0.0),
            to: Point::new(to, 0.0),
            side: Side::Bottom,
            title: "quarter".to_owned(),
            value: value.to_owned(),
            is_wrong: false,
        };
        let chain =
            vec![one(0.0, 5.0, "5 in"), one(5.0, 10.0, "5 in"), one(0.0, 30.0, "30 in"), one(10.0, 15.0, "5 in")];
        let told: Vec<(f64, f64, String)> =
            merged(chain).into_iter().map(|one| (one.from.x, one.to.x, one.value)).collect();
        assert_eq!(told, [(0.0, 15.0, "3 × 5 in".to_owned()), (0.0, 30.0, "30 in".to_owned())]);
        // Apart, there and back, or of different sizes, they stay as they are.
        for pair in [[one(0.0, 5.0, "5 in"), one(6.0, 11.0, "5 in")], [one(0.0, 5.0, "5 in"), one(5.0, 0.0, "5 in")]] {
            assert_eq!(merged(pair).len(), 2);
        }
    }
}
