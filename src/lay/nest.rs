//! Pieces that lie closer together than their boxes: two of them moved towards each other until they meet, one of them
//! turned by a half where nap and print allow it.

use crate::geometry::Point;
use crate::length::Length;

/// A piece as it lies with its grain along the cloth: its outline in millimetres, its box beginning at zero.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shape<'s> {
    pub outline: &'s [Point],
    pub size: (Length, Length),
}

/// Two shapes that lie together in one box, which takes less cloth than theirs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Nest {
    /// Which two.
    pub pair: [usize; 2],
    /// Where the box of each begins in the box of both.
    pub starts: [(Length, Length); 2],
    /// The box of both.
    pub size: (Length, Length),
    /// Whether the second is turned by a half.
    pub is_upside_down: bool,
    /// How much less it takes, in square nanometres.
    saves: i128,
}

/// More shapes than this are not tried with each other.
const MOST_SHAPES: usize = 24;

/// A nest is made for this much of its boxes at the least, one part in so many; less is not worth a lay that is harder to
/// cut.
const LEAST_SAVING: i128 = 100;

/// Every two shapes of which none is in another pair, those that save most first.
pub(super) fn nests(shapes: &[Option<Shape>], room: Length, may_turn: bool) -> Vec<Nest> {
    let known: Vec<(usize, Shape)> =
        shapes.iter().enumerate().filter_map(|(at, shape)| Some((at, (*shape)?))).take(MOST_SHAPES).collect();
    let mut all = Vec::new();
    for (at, (one, first)) in known.iter().enumerate() {
        for (other, second) in &known[at + 1..] {
            if are_hollow(first, second) {
                all.extend(nest([*one, *other], [first, second], room, may_turn));
            }
        }
    }
    // The sort is stable: of several that save as much, the first stays first.
    all.sort_by_key(|nest| std::cmp::Reverse(nest.saves));
    let mut taken = vec![false; shapes.len()];
    all.retain(|nest| {
        let is_free = nest.pair.iter().all(|&at| !taken[at]);
        if is_free {
            nest.pair.iter().for_each(|&at| taken[at] = true);
        }
        is_free
    });
    all
}

/// The area of an outline, in square millimetres.
pub(super) fn area(outline: &[Point]) -> f64 {
    let next = outline.iter().cycle().skip(1);
    outline.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>().abs() / 2.0
}

/// An outline turned by a half within its box.
pub(super) fn upside_down(outline: &[Point], size: (Length, Length)) -> Vec<Point> {
    let (wide, high) = (size.0.as_mm(), size.1.as_mm());
    outline.iter().map(|point| Point::new(wide - point.x, high - point.y)).collect()
}

/// Whether so much of their boxes is empty that a nest could be worth it.
fn are_hollow(one: &Shape, other: &Shape) -> bool {
    let boxes = |shape: &Shape| shape.size.0.as_mm() * shape.size.1.as_mm();
    let (boxes, cloth) = (boxes(one) + boxes(other), area(one.outline) + area(other.outline));
    (boxes - cloth) * LEAST_SAVING as f64 > boxes
}

fn product((across, along): (Length, Length)) -> i128 {
    i128::from(across.nm()) * i128::from(along.nm())
}

/// The best way to lay two shapes together: side by side or one after the other, the second as it is or turned by a half,
/// at either end of the first.
fn nest(pair: [usize; 2], [one, other]: [&Shape; 2], room: Length, may_turn: bool) -> Option<Nest> {
    let boxes = product(one.size) + product(other.size);
    let mut best: Option<Nest> = None;
    for is_upside_down in [false, true].into_iter().take(if may_turn { 2 } else { 1 }) {
        let second = if is_upside_down { upside_down(other.outline, other.size) } else { other.outline.to_vec() };
        for is_beside in [true, false] {
            // Moved along the first axis, shifted along the second.
            let swap = |point: &Point| if is_beside { *point } else { Point::new(point.y, point.x) };
            let lines = [one.outline, &second].map(|outline| outline.iter().map(swap).collect::<Vec<_>>());
            let sides =
                [one.size, other.size].map(|(across, along)| if is_beside { (across, along) } else { (along, across) });
            let difference = sides[0].1 - sides[1].1;
            for shift in [Length::ZERO, difference] {
                let Some(moved) = distance([&lines[0], &lines[1]], shift) else { continue };
                // The one that begins further to the left or lower begins at zero.
                let (down, up) = if shift.is_negative() { (-shift, Length::ZERO) } else { (Length::ZERO, shift) };
                let long = sides[0].0.max(moved + sides[1].0);
                let wide = (down + sides[0].1).max(up + sides[1].1);
                let back =
                    |(first, second): (Length, Length)| if is_beside { (first, second) } else { (second, first) };
                let size = back((long, wide));
                let saves = boxes - product(size);
                if size.0 <= room && saves * LEAST_SAVING > boxes && best.is_none_or(|best| saves > best.saves) {
                    let starts = [back((Length::ZERO, down)), back((moved, up))];
                    best = Some(Nest { pair, starts, size, is_upside_down, saves });
                }
            }
        }
    }
    best
}

/// How far the second line has to lie to the right of the first, both drawn from zero and the second shifted up, so that
/// they don't overlap: nowhere does the right side of the first lie beyond the left side of the second. Both sides are
/// straight between corners, so it is enough to look at the corners. Rounded up to a nanometre; not less than zero.
fn distance(lines: [&[Point]; 2], shift: Length) -> Option<Length> {
    let up = shift.as_mm();
    let heights = lines[0].iter().map(|point| point.y).chain(lines[1].iter().map(|point| point.y + up));
    let mut most = 0.0_f64;
    for height in heights {
        let right = reach(lines[0], height, f64::max);
        let left = reach(lines[1], height - up, f64::min);
        if let (Some(right), Some(left)) = (right, left) {
            most = most.max(right - left);
        }
    }
    // One more, for what was lost to rounding.
    Some(Length::from_mm(most)? + Length::from_nm(1))
}

/// How far a closed line reaches to one side at a height, its corners counted; `None` above and below it.
fn reach(line: &[Point], height: f64, further: fn(f64, f64) -> f64) -> Option<f64> {
    /// A height within a nanometre of a corner's is the corner's.
    const NEAR: f64 = 1e-6;
    let next = line.iter().cycle().skip(1);
    let at = |(a, b): (&Point, &Point)| {
        let (low, high) = if a.y <= b.y { (a, b) } else { (b, a) };
        if height < low.y - NEAR || height > high.y + NEAR {
            return None;
        }
        if high.y - low.y < 2.0 * NEAR {
            return Some(further(low.x, high.x));
        }
        let part = ((height - low.y) / (high.y - low.y)).clamp(0.0, 1.0);
        Some(low.x + (high.x - low.x) * part)
    };
    line.iter().zip(next).filter_map(at).reduce(further)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn millimetres(count: i64) -> Length {
        Length::from_nm(count * 1_000_000)
    }

    fn shape(outline: &[Point], wide: i64, high: i64) -> Option<Shape<'_>> {
        Some(Shape { outline, size: (millimetres(wide), millimetres(high)) })
    }

    /// Closed form: two trapezoids side by side, one of them upside down, are as wide as the wider side and what lies between
    /// the slants.
    #[test]
    fn two_trapezoids() {
        let outline = [(0.0, 0.0), (300.0, 0.0), (250.0, 200.0), (50.0, 200.0)].map(|(x, y)| Point::new(x, y));
        let shapes = [shape(&outline, 300, 200), shape(&outline, 300, 200)];
        let found = nests(&shapes, millimetres(1_000), true);
        let [nest] = found[..] else { panic!("{found:?}") };
        assert!(nest.is_upside_down);
        let off = nest.size.0 - millimetres(300 + 250);
        assert!(off.nm() <= 2 && nest.size.1 == millimetres(200), "{nest:?}");
        assert_eq!(nest.starts[0], (Length::ZERO, Length::ZERO));
        // With nap they lie the same way up, and nothing is saved: their widest sides meet.
        assert!(nests(&shapes, millimetres(1_000), false).is_empty());
        // Where the cloth is too narrow for both, they are not laid together.
        assert!(nests(&shapes, millimetres(540), true).is_empty());
    }

    /// Boxes can't lie closer than they are.
    #[test]
    fn boxes() {
        let outline = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0, 200.0)].map(|(x, y)| Point::new(x, y));
        assert!(nests(&[shape(&outline, 300, 200), shape(&outline, 300, 200)], millimetres(1_000), true).is_empty());
    }

    /// Arrowheads lie in each other the same way up, nap or not.
    #[test]
    fn arrowheads() {
        let outline = [(0.0, 0.0), (100.0, 60.0), (200.0, 0.0), (100.0, 160.0)].map(|(x, y)| Point::new(x, y));
        let found = nests(&[shape(&outline, 200, 160), None, shape(&outline, 200, 160)], millimetres(250), false);
        let [nest] = found[..] else { panic!("{found:?}") };
        assert_eq!((nest.pair, nest.is_upside_down), ([0, 2], false));
        // The tip of the one meets the notch of the other: 160 - 60 apart.
        assert!((nest.size.1 - millimetres(260)).nm() <= 2, "{nest:?}");
    }
}
