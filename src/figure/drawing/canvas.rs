//! A drawing as shapes and texts in units, `y` downwards.

use crate::figure::drawing::area::Area;
use crate::figure::drawing::frame::Frame;
use crate::figure::letters;
use crate::figure::style::{self, Ink};
use crate::figure::svg::write_point;
use crate::geometry::{Curve, Point};

/// Where a text stands against its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
}

/// A text of one or more lines.
#[derive(Debug, Clone)]
pub(crate) struct Words {
    pub lines: Vec<String>,
    /// The middle of the first line's height.
    pub at: Point,
    pub anchor: Anchor,
    /// Reading from bottom to top.
    pub is_upright: bool,
    pub is_bold: bool,
}

impl Words {
    /// The space it takes, at most.
    pub(crate) fn area(&self) -> Area {
        let width = self.lines.iter().map(|line| letters::width(line, self.is_bold)).fold(0.0, f64::max);
        let more = self.lines.len().saturating_sub(1) as f64 * style::LEADING;
        let left = if self.anchor == Anchor::Middle { width / 2.0 } else { 0.0 };
        let (x, y, half) = (self.at.x, self.at.y, style::HALF_LINE);
        if self.is_upright {
            return Area { left: x - half, right: x + half + more, top: y - width + left, bottom: y + left };
        }
        Area { left: x - left, right: x - left + width, top: y - half, bottom: y + half + more }
    }
}

/// Lines in one ink, as SVG path data.
#[derive(Debug, Clone)]
pub(crate) struct Shape {
    pub ink: Ink,
    pub data: String,
}

/// Shapes and texts, in the order in which they are drawn; texts come last.
#[derive(Debug, Clone)]
pub(crate) struct Canvas {
    shapes: Vec<Shape>,
    texts: Vec<Words>,
    area: Area,
}

impl Canvas {
    pub(crate) fn new() -> Canvas {
        Canvas { shapes: Vec::new(), texts: Vec::new(), area: Area::EMPTY }
    }

    /// A run of straight lines.
    pub(crate) fn trace(&mut self, ink: Ink, points: &[Point], is_closed: bool) {
        let data = self.shape(ink, points);
        for (index, point) in points.iter().enumerate() {
            data.push(if index == 0 { 'M' } else { 'L' });
            write_point(data, *point);
        }
        if is_closed {
            data.push('Z');
        }
    }

    /// A run of lines that is closed if it comes back to its start; nothing, if it is no line.
    pub(crate) fn trace_run(&mut self, ink: Ink, points: &[Point]) {
        match points {
            [first, .., last] if points.len() > 3 && first == last => self.trace(ink, &points[1..], true),
            [_, _, ..] => self.trace(ink, points, false),
            _ => {}
        }
    }

    /// A part of a circle, in millimetres, as arcs of a third of the circle at most: past half of it an end that is
    /// rounded to a hundredth might turn it over.
    pub(crate) fn arc(&mut self, ink: Ink, frame: &Frame, curve: &Curve) {
        let Curve::Arc { radius, sweep, .. } = *curve else { return };
        let bounds = curve.bounds();
        let radius = frame.length(radius);
        let data = self.shape(ink, &[frame.at(bounds.least), frame.at(bounds.most)]);
        let parts = libm::ceil(sweep.abs() / 2.1).max(1.0);
        data.push('M');
        write_point(data, frame.at(curve.start()));
        for part in 1..=parts as u32 {
            data.push('A');
            write_point(data, Point::new(radius, radius));
            // Neither turned nor the long way round; on the page, left is against the clock.
            data.push_str(if sweep > 0.0 { " 0 0 0 " } else { " 0 0 1 " });
            write_point(data, frame.at(curve.at(f64::from(part) / parts)));
        }
        if sweep.abs() > 2.0 * std::f64::consts::PI - 1e-9 {
            data.push('Z');
        }
    }

    /// An upright rectangle with round corners.
    pub(crate) fn rounded(&mut self, ink: Ink, area: Area, radius: f64) {
        let Area { left, top, right, bottom } = area;
        let r = radius.min((right - left) / 2.0).min((bottom - top) / 2.0).max(0.0);
        let at = Point::new;
        let data = self.shape(ink, &[at(left, top), at(right, bottom)]);
        data.push('M');
        write_point(data, at(left + r, top));
        let turns = [
            (at(right - r, top), at(right, top), at(right, top + r)),
            (at(right, bottom - r), at(right, bottom), at(right - r, bottom)),
            (at(left + r, bottom), at(left, bottom), at(left, bottom - r)),
            (at(left, top + r), at(left, top), at(left + r, top)),
        ];
        for (before, corner, after) in turns {
            data.push('L');
            write_point(data, before);
            data.push('Q');
            write_point(data, corner);
            data.push(' ');
            write_point(data, after);
        }
        data.push('Z');
    }

    /// An arrowhead with its tip at `tip`, pointing away from `from`.
    pub(crate) fn arrowhead(&mut self, tip: Point, from: Point, length: f64, half: f64) {
        let distance = tip.distance(from);
        if distance == 0.0 {
            return;
        }
        let (x, y) = ((tip.x - from.x) / distance, (tip.y - from.y) / distance);
        let foot = Point::new(tip.x - x * length, tip.y - y * length);
        let wing = |side: f64| Point::new(foot.x - y * half * side, foot.y + x * half * side);
        self.trace(style::HEAD, &[tip, wing(1.0), wing(-1.0)], true);
    }

    /// A line, less what lies within a text.
    pub(crate) fn line_past(&mut self, ink: Ink, from: Point, to: Point, texts: &[Area]) {
        let mut inside: Vec<(f64, f64)> =
            texts.iter().filter_map(|area| area.grown(1.0).part_inside(from, to)).collect();
        inside.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut start = 0.0;
        for (enter, leave) in inside {
            if enter > start {
                self.trace(ink, &[from.towards(to, start), from.towards(to, enter)], false);
            }
            start = leave.max(start);
        }
        if start < 1.0 {
            self.trace(ink, &[from.towards(to, start), to], false);
        }
    }

    pub(crate) fn text(&mut self, words: Words) {
        self.area = self.area.with(words.area());
        self.texts.push(words);
    }

    /// Takes this much space, whether anything is drawn in it or not.
    pub(crate) fn reserve(&mut self, area: Area) {
        self.area = self.area.with(area);
    }

    /// The space of all that is drawn.
    pub(crate) fn area(&self) -> Area {
        self.area
    }

    pub(crate) fn shapes(&self) -> &[Shape] {
        &self.shapes
    }

    pub(crate) fn texts(&self) -> &[Words] {
        &self.texts
    }

    /// The path data of the ink: the last shape's, if that has the same ink.
    fn shape(&mut self, ink: Ink, points: &[Point]) -> &mut String {
        for point in points {
            self.area = self.area.with(Area::around(*point, ink.width / 2.0));
        }
        if self.shapes.last().is_none_or(|shape| shape.ink != ink) {
            self.shapes.push(Shape { ink, data: String::new() });
        }
        // Just pushed, if there was none.
        let last = self.shapes.len() - 1;
        &mut self.shapes[last].data
    }

    /// The sheet that everything stands on: never narrower than usual, so that letters keep their size.
    pub(crate) fn page(&self) -> Area {
        let margin = style::MARGIN;
        if self.area.left > self.area.right {
            return Area { left: 0.0, top: -margin, right: style::WIDTH, bottom: margin };
        }
        let mut page = self.area.grown(margin);
        if page.left > -margin && page.right < style::WIDTH + margin {
            page = Area { left: 0.0, right: style::WIDTH, ..page };
        }
        let missing = (style::WIDTH - (page.right - page.left)).max(0.0) / 2.0;
        Area { left: page.left - missing, right: page.right + missing, ..page }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::drawing::frame::Rooms;

    /// Half a circle over a level line: its sheet reaches as high as its top, which no end of it lies at.
    #[test]
    fn arcs_are_arcs_and_take_their_space() {
        let (left, right, middle) = (Point::new(-50.0, 0.0), Point::new(50.0, 0.0), Point::default());
        let curve = Curve::arc(right, middle, left, true).unwrap();
        let frame = Frame::fit(curve.bounds(), Rooms::default());
        let unit = frame.length(1.0);
        let mut canvas = Canvas::new();
        canvas.arc(Ink::line(2.0), &frame, &curve);
        let (high, radius) = (frame.at(middle).y, 50.0 * unit);
        assert!((canvas.area.top - (high - radius - 1.0)).abs() < 1e-9, "{:?}", canvas.area);
        assert!((canvas.area.bottom - (high + 1.0)).abs() < 1e-9, "{:?}", canvas.area);
        // Two arcs of a quarter each, against the clock, by way of the top.
        let top = frame.at(Point::new(0.0, 50.0));
        let data = &canvas.shapes[0].data;
        assert_eq!(data.matches('A').count(), 2, "{data}");
        assert!(data.contains(&format!("A165 165 0 0 0 {} {}A", top.x, top.y)), "{data}");
    }

    #[test]
    fn a_line_stops_at_a_text() {
        let mut canvas = Canvas::new();
        let text = Area { left: 4.0, top: -1.0, right: 6.0, bottom: 1.0 };
        canvas.line_past(Ink::line(1.0), Point::new(0.0, 0.0), Point::new(10.0, 0.0), &[text]);
        assert_eq!(canvas.shapes[0].data, "M0 0L3 0M7 0L10 0");
    }
}
