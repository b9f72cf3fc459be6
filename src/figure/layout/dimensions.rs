//! Dimensions: which stand in which lane beside the drawing, and where each text stands.
//!
//! A dimension is laid out along its own direction, from `low` to `high` in units: `x` for one above or
//! below the drawing, `y` (downwards) for one beside it.

use crate::exercise::Side;
use crate::figure::drawing::area::Area;
use crate::figure::drawing::canvas::{Anchor, Canvas, Words};
use crate::figure::drawing::frame::Frame;
use crate::figure::letters;
use crate::figure::style;
use crate::geometry::Point;

/// A dimension to draw, in millimetres.
#[derive(Debug, Clone)]
pub(crate) struct Dimension {
    pub from: Point,
    pub to: Point,
    pub side: Side,
    pub title: String,
    pub value: String,
}

/// Equal dimensions of one measure that lie end to end are told together: "4 × 7 1/2 in" from end to end.
pub(crate) fn merged(dimensions: Vec<Dimension>) -> Vec<Dimension> {
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

/// A dimension in its lane.
#[derive(Debug, Clone)]
pub(crate) struct Placed {
    pub side: Side,
    pub lane: usize,
    /// The measured points, in units; `low` comes first.
    ends: (Point, Point),
    low: f64,
    high: f64,
    text: String,
    text_width: f64,
    /// The text's middle.
    middle: f64,
    /// Whether the text stands on the dimension line, or beyond its end.
    is_inside: bool,
    /// Whether the arrows point at the span from outside, for want of room.
    is_pinched: bool,
    /// The middle of the lane, across it.
    level: f64,
}

impl Dimension {
    /// How far it reaches along its lane, in millimetres.
    pub(crate) fn span(&self) -> f64 {
        let across = if is_upright(self.side) { self.to.y - self.from.y } else { self.to.x - self.from.x };
        across.abs()
    }
}

pub(crate) fn is_upright(side: Side) -> bool {
    matches!(side, Side::Left | Side::Right)
}

/// Distributes the dimensions over lanes, the shortest nearest to the drawing.
pub(crate) fn assign(dimensions: &[Dimension], frame: &Frame) -> Vec<Placed> {
    let mut placed: Vec<Placed> = dimensions.iter().map(|dimension| place(dimension, frame)).collect();
    placed.sort_by(|a, b| (a.high - a.low).total_cmp(&(b.high - b.low)));
    for index in 0..placed.len() {
        let (done, rest) = placed.split_at_mut(index);
        let one = &mut rest[0];
        let is_taken =
            |lane: usize| done.iter().any(|other| other.side == one.side && other.lane == lane && other.meets(one));
        let lane = (0..index).find(|lane| !is_taken(*lane)).unwrap_or(index);
        one.lane = lane;
    }
    placed
}

fn place(dimension: &Dimension, frame: &Frame) -> Placed {
    let (from, to) = (frame.at(dimension.from), frame.at(dimension.to));
    let upright = is_upright(dimension.side);
    let along = |point: Point| if upright { point.y } else { point.x };
    let ends = if along(from) <= along(to) { (from, to) } else { (to, from) };
    let (low, high) = (along(ends.0), along(ends.1));
    let room = high - low - 2.0 * (style::ARROW + style::CLEAR + 1.0);
    let full = format!("{} {}", dimension.title, dimension.value);
    let (full_width, width) = (letters::width(&full, false), width(&dimension.value, upright));
    let (text, text_width) = if full_width <= room && !dimension.title.is_empty() {
        (full, full_width)
    } else {
        (dimension.value.clone(), width)
    };
    let is_inside = text_width + 2.0 * style::CLEAR <= high - low;
    // Too short for arrows, or for arrows beside the text.
    let is_pinched = high - low < 2.0 * style::ARROW + 2.0 || (is_inside && text_width > room);
    // Beyond the end that is nearer to the middle of the drawing, where there is more room.
    let area = frame.area();
    let middle_of_all = if upright { (area.top + area.bottom) / 2.0 } else { (area.left + area.right) / 2.0 };
    let middle = (low + high) / 2.0;
    let beyond = (if is_pinched { style::TAIL } else { style::CLEAR }) + style::CLEAR + text_width / 2.0;
    let middle = match is_inside {
        true => middle,
        // In the middle itself it is the same end wherever the drawing stands.
        false if middle <= middle_of_all + 0.01 => high + beyond,
        false => low - beyond,
    };
    let level = 0.0;
    Placed { side: dimension.side, lane: 0, ends, low, high, text, text_width, middle, is_inside, is_pinched, level }
}

/// Whether a text reads along an upright lane: a single letter stands level, or an N would read as a Z.
fn is_turned(text: &str, upright: bool) -> bool {
    upright && text.chars().nth(1).is_some()
}

/// How much of its lane a text takes up.
fn width(text: &str, upright: bool) -> f64 {
    if upright && !is_turned(text, upright) { 2.0 * style::HALF_LINE } else { letters::width(text, false) }
}

impl Placed {
    /// What it takes up along its lane.
    pub(crate) fn extent(&self) -> (f64, f64) {
        let tail = if self.is_pinched { style::TAIL } else { 0.0 };
        let half = self.text_width / 2.0 + style::CLEAR;
        ((self.low - tail).min(self.middle - half), (self.high + tail).max(self.middle + half))
    }

    fn meets(&self, other: &Placed) -> bool {
        let (one, other) = (self.extent(), other.extent());
        // Two that are measured from the same point may touch there.
        one.0 < other.1 - 0.01 && other.0 < one.1 - 0.01
    }

    pub(crate) fn text_area(&self) -> Area {
        self.words().area()
    }

    /// The space of the text and its line.
    pub(crate) fn area(&self) -> Area {
        let (low, high) = self.extent();
        self.text_area().with(Area::around(self.point(low), 0.0)).with(Area::around(self.point(high), 0.0))
    }

    fn words(&self) -> Words {
        let at = self.point(self.middle);
        let is_upright = is_turned(&self.text, is_upright(self.side));
        Words { lines: vec![self.text.clone()], at, anchor: Anchor::Middle, is_upright, is_bold: false }
    }

    /// A point of the dimension line.
    fn point(&self, along: f64) -> Point {
        if is_upright(self.side) { Point::new(self.level, along) } else { Point::new(along, self.level) }
    }

    /// Which way the lane lies from the drawing.
    fn outward(&self) -> f64 {
        if matches!(self.side, Side::Left | Side::Top) { -1.0 } else { 1.0 }
    }

    /// Sets the lane's middle, from the edge that its side's lanes are counted from.
    pub(crate) fn set_level(&mut self, edge: f64) {
        self.level = edge + self.outward() * (style::FIRST_LANE + self.lane as f64 * style::LANE);
    }

    /// The extension line from an end, where it is not drawn anyway: from, to.
    fn extension(&self, end: Point, drawn: &[(Point, Point)]) -> (Point, Point) {
        let upright = is_upright(self.side);
        let turn = |point: Point| if upright { point } else { Point::new(point.y, point.x) };
        let (out, end) = (self.outward(), turn(end));
        // A line that already runs from the end towards the lane takes the extension line's place.
        let mut start = end.x;
        let mut is_on_line = true;
        while is_on_line {
            is_on_line = false;
            for (a, b) in drawn {
                let (a, b) = (turn(*a), turn(*b));
                let is_along = (a.y - end.y).abs() < 0.05 && (b.y - end.y).abs() < 0.05;
                let (near, far) = if (a.x - b.x) * out < 0.0 { (a.x, b.x) } else { (b.x, a.x) };
                if is_along && (near - start) * out < 0.5 && (far - start) * out > 0.5 {
                    start = far;
                    is_on_line = true;
                }
            }
        }
        let from = Point::new(start + out * style::EXTENSION_GAP, end.y);
        let to = Point::new(self.level + out * style::EXTENSION_PAST, end.y);
        (turn(from), turn(to))
    }

    /// Shifts the text along its line, so that none of `lines` runs through it, as far as it can.
    fn dodge(&mut self, lines: &[(Point, Point)]) {
        if !self.is_inside || self.is_pinched {
            return;
        }
        let half = self.text_width / 2.0 + style::ARROW + style::CLEAR + 1.0;
        let (least, most) = (self.low + half, self.high - half);
        let middle = (self.low + self.high) / 2.0;
        let steps = ((most - least) / 2.0 / 4.0).clamp(0.0, 60.0) as i32;
        let tries = (0..=steps).flat_map(|step| [middle - f64::from(step) * 4.0, middle + f64::from(step) * 4.0]);
        for along in tries {
            self.middle = along;
            let area = self.text_area().grown(style::CLEAR);
            if !lines.iter().any(|(from, to)| area.part_inside(*from, *to).is_some()) {
                return;
            }
        }
        self.middle = middle;
    }
}

/// Draws the dimensions. Their lines stop at every text in `texts` and at each other's; their own texts
/// keep clear of `leaders`. `drawn` are the lines that stand in for extension lines.
pub(crate) fn draw(
    canvas: &mut Canvas,
    placed: &mut [Placed],
    drawn: &[(Point, Point)],
    leaders: &[(Point, Point)],
    texts: &mut Vec<Area>,
) {
    let extensions: Vec<(Side, usize, (Point, Point))> = placed
        .iter()
        .flat_map(|one| [one.ends.0, one.ends.1].map(|end| (one.side, one.lane, one.extension(end, drawn))))
        .collect();
    for one in placed.iter_mut() {
        let outer = extensions.iter().filter(|(side, lane, _)| *side == one.side && *lane > one.lane);
        let mut lines: Vec<(Point, Point)> = outer.map(|(_, _, line)| *line).collect();
        lines.extend_from_slice(leaders);
        one.dodge(&lines);
    }
    texts.extend(placed.iter().map(Placed::text_area));
    for (_, _, (from, to)) in &extensions {
        canvas.line_past(style::EXTENSION, *from, *to, texts);
    }
    for one in placed.iter() {
        one.draw_line(canvas);
    }
    for one in placed.iter() {
        one.draw_heads(canvas);
    }
    for one in placed.iter() {
        canvas.text(one.words());
    }
}

impl Placed {
    fn draw_line(&self, canvas: &mut Canvas) {
        let mut line = |from: f64, to: f64| canvas.trace(style::DIMENSION, &[self.point(from), self.point(to)], false);
        let half = self.text_width / 2.0 + style::CLEAR;
        let tail = if self.is_pinched { style::TAIL } else { 0.0 };
        if self.is_inside {
            line(self.low - tail, (self.middle - half).max(self.low));
            line((self.middle + half).min(self.high), self.high + tail);
            return;
        }
        // Past one end the line runs on to its text.
        let (from, to) = if self.middle > self.high {
            (self.low - tail, self.middle - half)
        } else {
            (self.middle + half, self.high + tail)
        };
        line(from, to);
    }

    fn draw_heads(&self, canvas: &mut Canvas) {
        let (low, high) = (self.point(self.low), self.point(self.high));
        let (before, after) = (self.point(self.low - style::TAIL), self.point(self.high + style::TAIL));
        let mut head = |tip, from| canvas.arrowhead(tip, from, style::ARROW, style::ARROW_HALF);
        if self.is_pinched {
            head(low, before);
            head(high, after);
        } else {
            head(low, self.point(self.high));
            head(high, self.point(self.low));
        }
    }
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
        };
        let chain =
            vec![one(0.0, 5.0, "5 in"), one(5.0, 10.0, "5 in"), one(0.0, 30.0, "30 in"), one(10.0, 15.0, "5 in")];
        let told: Vec<(f64, f64, String)> =
            merged(chain).into_iter().map(|one| (one.from.x, one.to.x, one.value)).collect();
        assert_eq!(told, [(0.0, 15.0, "3 × 5 in".to_owned()), (0.0, 30.0, "30 in".to_owned())]);
        // Apart, there and back, or of different sizes, they stay as they are.
        for pair in [[one(0.0, 5.0, "5 in"), one(6.0, 11.0, "5 in")], [one(0.0, 5.0, "5 in"), one(5.0, 0.0, "5 in")]] {
            assert_eq!(merged(pair.into()).len(), 2);
        }
    }
}
