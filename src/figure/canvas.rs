//! A drawing as shapes and texts in units, `y` downwards, and how it is written as SVG.

use super::letters;
use super::style::{self, Fill, Ink};
use crate::geometry::Point;
use svg::Node;
use svg::node::element::Element;

/// An upright rectangle, in units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Area {
    /// Around nothing.
    pub(super) const EMPTY: Area =
        Area { left: f64::INFINITY, top: f64::INFINITY, right: f64::NEG_INFINITY, bottom: f64::NEG_INFINITY };

    pub(super) fn with(self, other: Area) -> Area {
        Area {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    pub(super) fn around(point: Point, by: f64) -> Area {
        Area { left: point.x - by, top: point.y - by, right: point.x + by, bottom: point.y + by }
    }

    pub(super) fn grown(self, by: f64) -> Area {
        Area { left: self.left - by, top: self.top - by, right: self.right + by, bottom: self.bottom + by }
    }

    #[cfg(test)]
    pub(super) fn meets(self, other: Area) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    /// The part of a line inside, as parts of its length.
    pub(super) fn part_inside(self, from: Point, to: Point) -> Option<(f64, f64)> {
        let (mut start, mut end) = (0.0_f64, 1.0_f64);
        let sides = [(from.x, to.x - from.x, self.left, self.right), (from.y, to.y - from.y, self.top, self.bottom)];
        for (at, along, low, high) in sides {
            if along == 0.0 {
                if at <= low || at >= high {
                    return None;
                }
                continue;
            }
            let (one, other) = ((low - at) / along, (high - at) / along);
            start = start.max(one.min(other));
            end = end.min(one.max(other));
        }
        (start < end).then_some((start, end))
    }
}

/// Where a text stands against its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
}

/// A text of one or more lines.
#[derive(Debug, Clone)]
pub(super) struct Words {
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
    pub(super) fn area(&self) -> Area {
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

#[derive(Debug, Clone)]
struct Shape {
    ink: Ink,
    data: String,
}

/// Shapes and texts, in the order in which they are drawn; texts come last.
#[derive(Debug, Clone)]
pub(super) struct Canvas {
    shapes: Vec<Shape>,
    texts: Vec<Words>,
    area: Area,
}

/// Which colours a drawing is written with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Theme {
    /// Those of the page around it.
    Page,
    /// Ink on brown paper.
    Paper,
}

impl Canvas {
    pub(super) fn new() -> Canvas {
        Canvas { shapes: Vec::new(), texts: Vec::new(), area: Area::EMPTY }
    }

    /// A run of straight lines.
    pub(super) fn trace(&mut self, ink: Ink, points: &[Point], is_closed: bool) {
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
    pub(super) fn trace_run(&mut self, ink: Ink, points: &[Point]) {
        match points {
            [first, .., last] if points.len() > 3 && first == last => self.trace(ink, &points[1..], true),
            [_, _, ..] => self.trace(ink, points, false),
            _ => {}
        }
    }

    /// An upright rectangle with round corners.
    pub(super) fn rounded(&mut self, ink: Ink, area: Area, radius: f64) {
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
    pub(super) fn arrowhead(&mut self, tip: Point, from: Point, length: f64, half: f64) {
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
    pub(super) fn line_past(&mut self, ink: Ink, from: Point, to: Point, texts: &[Area]) {
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

    pub(super) fn text(&mut self, words: Words) {
        self.area = self.area.with(words.area());
        self.texts.push(words);
    }

    /// Takes this much space, whether anything is drawn in it or not.
    pub(super) fn reserve(&mut self, area: Area) {
        self.area = self.area.with(area);
    }

    #[cfg(test)]
    pub(super) fn texts(&self) -> &[Words] {
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

    /// Everything as an `svg` element, with `children` before it.
    pub(super) fn svg(&self, theme: Theme, children: Vec<Element>) -> Element {
        let page = self.page();
        let mut view_box = String::new();
        write_point(&mut view_box, Point::new(page.left, page.top));
        view_box.push(' ');
        write_point(&mut view_box, Point::new(page.right - page.left, page.bottom - page.top));
        let ink = if theme == Theme::Page { "currentColor" } else { style::FILE_INK };
        let mut svg = element("svg", &[("xmlns", "http://www.w3.org/2000/svg"), ("viewBox", &view_box)]);
        svg.assign("fill", "none");
        svg.assign("stroke", ink);
        svg.assign("stroke-linejoin", "round");
        for child in children {
            svg.append(child);
        }
        if theme == Theme::Paper {
            let mut paper = element("rect", &[("fill", style::FILE_PAPER), ("stroke", "none")]);
            for (name, value) in [
                ("x", page.left),
                ("y", page.top),
                ("width", page.right - page.left),
                ("height", page.bottom - page.top),
            ] {
                paper.assign(name, number(value));
            }
            svg.append(paper);
        }
        for shape in &self.shapes {
            svg.append(shape_element(shape, theme, ink));
        }
        if !self.texts.is_empty() {
            let size = number(style::LETTER);
            let mut group = element("g", &[("fill", ink), ("stroke", "none"), ("font-size", &size)]);
            group.assign("font-family", style::FAMILY);
            for words in &self.texts {
                group.append(text_element(words));
            }
            svg.append(group);
        }
        svg
    }

    /// The sheet that everything stands on: never narrower than usual, so that letters keep their size.
    fn page(&self) -> Area {
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

fn element(name: &str, attributes: &[(&str, &str)]) -> Element {
    let mut element = Element::new(name);
    for (name, value) in attributes {
        element.assign(*name, *value);
    }
    element
}

/// An element that holds nothing but text.
pub(super) fn text_only(name: &str, id: Option<String>, text: &str) -> Element {
    let mut element = Element::new(name);
    if let Some(id) = id {
        element.assign("id", id);
    }
    element.append(svg::node::Text::new(text));
    element
}

fn shape_element(shape: &Shape, theme: Theme, ink: &'static str) -> Element {
    let Ink { width, dash, opacity, fill, is_accent } = shape.ink;
    let mut path = element("path", &[("d", &shape.data)]);
    match fill {
        Fill::None => {}
        Fill::Solid => path.assign("fill", ink),
        Fill::Faint => {
            path.assign("fill", ink);
            path.assign("fill-opacity", "0.05");
        }
    }
    if width == 0.0 {
        path.assign("stroke", "none");
        return path;
    }
    path.assign("stroke-width", number(width));
    if !dash.is_empty() {
        path.assign("stroke-dasharray", dash);
        if dash.starts_with("0 ") {
            path.assign("stroke-linecap", "round");
        }
    }
    if opacity < 1.0 {
        path.assign("stroke-opacity", number(opacity));
    }
    match (is_accent, theme) {
        (false, _) => {}
        (true, Theme::Page) => path.assign("style", "stroke:var(--links, currentColor)"),
        (true, Theme::Paper) => path.assign("stroke", style::FILE_ACCENT),
    }
    path
}

fn text_element(words: &Words) -> Element {
    let at = words.at;
    let mut text = match words.lines.as_slice() {
        [line] => text_only("text", None, line),
        lines => {
            let mut text = Element::new("text");
            for (index, line) in lines.iter().enumerate() {
                let mut span = text_only("tspan", None, line);
                span.assign("x", number(at.x));
                span.assign("y", number(at.y + style::FOOT + index as f64 * style::LEADING));
                text.append(span);
            }
            text
        }
    };
    text.assign("x", number(at.x));
    text.assign("y", number(at.y + style::FOOT));
    if words.anchor == Anchor::Middle {
        text.assign("text-anchor", "middle");
    }
    if words.is_bold {
        text.assign("font-weight", "bold");
    }
    if words.is_upright {
        let mut turn = "rotate(-90 ".to_owned();
        write_point(&mut turn, at);
        turn.push(')');
        text.assign("transform", turn);
    }
    text
}

/// A number with at most two decimals.
fn number(value: f64) -> String {
    let mut text = String::new();
    write_number(&mut text, value);
    text
}

fn write_point(into: &mut String, point: Point) {
    write_number(into, point.x);
    into.push(' ');
    write_number(into, point.y);
}

/// Two decimals at most, no zeros at the end, no minus before zero; what is no number becomes 0.
fn write_number(into: &mut String, value: f64) {
    let hundredths = (value.clamp(-1e9, 1e9) * 100.0).round() as i64;
    let (whole, rest) = (hundredths.unsigned_abs() / 100, hundredths.unsigned_abs() % 100);
    if hundredths < 0 {
        into.push('-');
    }
    into.push_str(&whole.to_string());
    if rest > 0 {
        into.push('.');
        into.push(char::from(b'0' + (rest / 10) as u8));
        if rest % 10 > 0 {
            into.push(char::from(b'0' + (rest % 10) as u8));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        let shown = |value| number(value);
        assert_eq!([shown(1.0), shown(-0.001), shown(0.126), shown(-2.5)], ["1", "0", "0.13", "-2.5"]);
        assert_eq!([shown(f64::NAN), shown(f64::INFINITY), shown(-1e300)], ["0", "1000000000", "-1000000000"]);
    }

    #[test]
    fn a_line_stops_at_a_text() {
        let mut canvas = Canvas::new();
        let text = Area { left: 4.0, top: -1.0, right: 6.0, bottom: 1.0 };
        canvas.line_past(Ink::line(1.0), Point::new(0.0, 0.0), Point::new(10.0, 0.0), &[text]);
        assert_eq!(canvas.shapes[0].data, "M0 0L3 0M7 0L10 0");
    }
}
