//! Dimensions: which stand in which lane beside the drawing, and where each text stands.
//!
//! A dimension is laid out along its own direction, from `low` to `high` in units: `x` for one above or
//! below the drawing, `y` (downwards) for one beside it.

use crate::exercise::Side;
use crate::figure::drawing::{Anchor, Area, Drawing, Frame, Path, Role, Text, TextRole};
use crate::figure::subject::dimension::{Dimension, is_upright};
use crate::figure::subject::mark::Line;
use crate::figure::{letters, style};
use crate::geometry::Point;

/// A dimension in its lane.
#[derive(Debug, Clone)]
pub(crate) struct Placed {
    pub side: Side,
    pub lane: usize,
    /// The measured points, in units; `low` comes first.
    ends: Line,
    low: f64,
    high: f64,
    text: Text,
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
    let full = dimension.told();
    let is_wrong = dimension.is_wrong;
    let (full_width, width) = (letters::width(&full, is_wrong), width(&dimension.value, upright, is_wrong));
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
    let is_turned = is_turned(&text, upright);
    let role = if is_wrong { TextRole::WrongDimension } else { TextRole::Dimension };
    let text = Text { is_upright: is_turned, ..Text::level(role, vec![text], Point::default(), Anchor::Middle) };
    Placed { side: dimension.side, lane: 0, ends, low, high, text, text_width, middle, is_inside, is_pinched, level }
}

/// Whether a text reads along an upright lane: a single letter stands level, or an N would read as a Z.
fn is_turned(text: &str, upright: bool) -> bool {
    upright && text.chars().nth(1).is_some()
}

/// How much of its lane a text takes up.
fn width(text: &str, upright: bool, is_bold: bool) -> f64 {
    if upright && !is_turned(text, upright) { 2.0 * style::HALF_LINE } else { letters::width(text, is_bold) }
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
        letters::space(&self.text)
    }

    /// The space of the text and its line.
    pub(crate) fn area(&self) -> Area {
        let (low, high) = self.extent();
        self.text_area().with(Area::around(self.point(low), 0.0)).with(Area::around(self.point(high), 0.0))
    }

    /// Puts the text in the lane's middle, this far along.
    fn write_at(&mut self, along: f64) {
        self.middle = along;
        self.text.at = self.point(along);
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
        self.write_at(self.middle);
    }

    /// The extension line from an end, where it is not drawn anyway: from, to.
    fn extension(&self, end: Point, drawn: &[Line]) -> Line {
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
    fn dodge(&mut self, lines: &[Line]) {
        if !self.is_inside || self.is_pinched {
            return;
        }
        let half = self.text_width / 2.0 + style::ARROW + style::CLEAR + 1.0;
        let (least, most) = (self.low + half, self.high - half);
        let middle = (self.low + self.high) / 2.0;
        let steps = ((most - least) / 2.0 / 4.0).clamp(0.0, 60.0) as i32;
        let tries = (0..=steps).flat_map(|step| [middle - f64::from(step) * 4.0, middle + f64::from(step) * 4.0]);
        for along in tries {
            self.write_at(along);
            let area = self.text_area().grown(style::CLEAR);
            if !lines.iter().any(|(from, to)| area.part_inside(*from, *to).is_some()) {
                return;
            }
        }
        self.write_at(middle);
    }
}

/// Draws the dimensions. Their lines stop at every text in `texts` and at each other's; their own texts
/// keep clear of `leaders`. `drawn` are the lines that stand in for extension lines.
pub(crate) fn draw(
    drawing: &mut Drawing,
    placed: &mut [Placed],
    drawn: &[Line],
    leaders: &[Line],
    texts: &mut Vec<Area>,
) {
    let extensions: Vec<(Side, usize, Line)> = placed
        .iter()
        .flat_map(|one| [one.ends.0, one.ends.1].map(|end| (one.side, one.lane, one.extension(end, drawn))))
        .collect();
    for one in placed.iter_mut() {
        let outer = extensions.iter().filter(|(side, lane, _)| *side == one.side && *lane > one.lane);
        let mut lines: Vec<Line> = outer.map(|(_, _, line)| *line).collect();
        lines.extend_from_slice(leaders);
        one.dodge(&lines);
    }
    texts.extend(placed.iter().map(Placed::text_area));
    for (_, _, (from, to)) in &extensions {
        drawing.add(Path::past(Role::Extension, *from, *to, texts));
    }
    for one in placed.iter() {
        drawing.add(one.line());
    }
    for one in placed.iter() {
        one.heads().into_iter().for_each(|head| drawing.add(head));
    }
    for one in placed.iter() {
        drawing.write(one.text.clone());
    }
}

impl Placed {
    fn is_wrong(&self) -> bool {
        self.text.role == TextRole::WrongDimension
    }

    fn line(&self) -> Path {
        let half = self.text_width / 2.0 + style::CLEAR;
        let tail = if self.is_pinched { style::TAIL } else { 0.0 };
        let (before, after) = (self.middle - half, self.middle + half);
        let parts = match self.is_inside {
            true => vec![(self.low - tail, before.max(self.low)), (after.min(self.high), self.high + tail)],
            // Past one end the line runs on to its text.
            false if self.middle > self.high => vec![(self.low - tail, before)],
            false => vec![(after, self.high + tail)],
        };
        let role = if self.is_wrong() { Role::WrongDimension } else { Role::Dimension };
        Path::runs(role, parts.into_iter().map(|(from, to)| [self.point(from), self.point(to)]))
    }

    fn heads(&self) -> [Path; 2] {
        let (low, high) = (self.point(self.low), self.point(self.high));
        let (from_low, from_high) = match self.is_pinched {
            true => (self.point(self.low - style::TAIL), self.point(self.high + style::TAIL)),
            false => (high, low),
        };
        let role = if self.is_wrong() { Role::WrongHead } else { Role::DimensionHead };
        [(low, from_low), (high, from_high)]
            .map(|(tip, from)| Path::arrowhead(role, tip, from, style::ARROW, style::ARROW_HALF))
    }
}
