//! Figures written as SVG: the one place that knows how.

use super::drawing::{Anchor, Drawing, Figure, Path, Shape, Text};
use super::layout::page;
use super::letters;
use super::style::{self, Fill, Ink, Tint};
use ::svg::Node;
use ::svg::node::element::Element;
use ::svg::node::{Blob, Text as Plain};
use kurbo::{PathEl, RoundedRect};

impl Figure {
    /// The figure as an `svg` element for a page, in the page's own colours. `id` is its identifier, and has to be the only
    /// one of its kind on the page. Title and description are told to who hears the page, and are no text of it, so that
    /// a search through a book doesn't find every figure that has the word.
    ///
    /// ```
    /// use foldmark::{figure, length::{Length, Ruler, Unit}};
    /// let inch = Unit::Inch.length();
    /// let svg = figure::ruler(Ruler::EIGHTH, inch, inch).inline("inch");
    /// assert!(svg.contains(r#"aria-label="A ruler in 1/8 in: 1 in""#) && svg.contains("currentColor"));
    /// ```
    pub fn inline(&self, id: &str) -> String {
        let mut svg = element_of(self, Theme::Page, id);
        svg.assign("id", id);
        svg.assign("role", "img");
        svg.assign("aria-label", self.title());
        svg.assign("aria-description", self.description());
        let page = page::page(self.drawings());
        svg.assign("style", format!("--foldmark-tall:{};{}", number(page.height() / page.width()), style::FITS));
        svg.to_string()
    }

    /// The same figure as a file of its own: ink on brown paper.
    ///
    /// ```
    /// use foldmark::{figure, length::{Length, Ruler, Unit}};
    /// let inch = Unit::Inch.length();
    /// let file = figure::ruler(Ruler::EIGHTH, inch, inch).file();
    /// assert!(file.starts_with("<svg ") && file.ends_with("</svg>\n") && !file.contains("currentColor"));
    /// ```
    pub fn file(&self) -> String {
        let mut file = element_of(self, Theme::Paper, "hatch").to_string();
        file.push('\n');
        file
    }
}

/// Which colours a figure is written with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Theme {
    /// Those of the page around it.
    Page,
    /// Ink on brown paper.
    Paper,
}

impl Theme {
    fn ink(self) -> &'static str {
        match self {
            Theme::Page => "currentColor",
            Theme::Paper => style::FILE_INK,
        }
    }
}

/// The colour of what is new or wrong, in a page.
const ACCENT: &str = "var(--foldmark-accent,var(--links,currentColor))";

/// A figure as an `svg` element; what it refers to within itself is called by `id`.
fn element_of(figure: &Figure, theme: Theme, id: &str) -> Element {
    let page = page::page(figure.drawings());
    let mut view_box = String::new();
    write_point(&mut view_box, (page.left, page.top));
    view_box.push(' ');
    write_point(&mut view_box, (page.width(), page.height()));
    let mut svg = element("svg", &[("xmlns", "http://www.w3.org/2000/svg"), ("viewBox", &view_box)]);
    svg.assign("fill", "none");
    svg.assign("stroke", theme.ink());
    svg.assign("stroke-linejoin", "round");
    if theme == Theme::Paper {
        svg.append(text_only("title", figure.title()));
        svg.append(text_only("desc", figure.description()));
        let mut paper = element("rect", &[("fill", style::FILE_PAPER), ("stroke", "none")]);
        let sides = [("x", page.left), ("y", page.top), ("width", page.width()), ("height", page.height())];
        for (name, value) in sides {
            paper.assign(name, number(value));
        }
        svg.append(paper);
    }
    let mut hatches: Vec<Tint> = Vec::new();
    for (ink, data) in strokes(figure.drawings()) {
        let hatch = ink.tint().filter(|tint| !tint.hatch.is_empty());
        if let Some(tint) = hatch.filter(|tint| !hatches.contains(tint)) {
            svg.append(pattern(tint, id));
            hatches.push(tint);
        }
        let hatched = hatch.map(|tint| {
            let fill = format!("url(#{id}-{})", tint.name);
            element("path", &[("d", &data), ("fill", &fill), ("stroke", "none")])
        });
        svg.append(path_element(ink, data, theme));
        hatched.into_iter().for_each(|path| svg.append(path));
    }
    let mut texts = figure.drawings().iter().flat_map(Drawing::texts).peekable();
    if texts.peek().is_some() {
        let size = number(style::LETTER);
        let mut group = element("g", &[("fill", theme.ink()), ("stroke", "none"), ("font-size", &size)]);
        if theme == Theme::Paper {
            group.assign("font-family", style::FAMILY);
        } else {
            // The description says it in order; these are read by who sees where they stand.
            group.assign("aria-hidden", "true");
        }
        for text in texts {
            group.append(text_element(text));
        }
        svg.append(group);
    }
    svg
}

/// What is repeated over a tint.
fn pattern(tint: Tint, id: &str) -> Element {
    let (id, size) = (format!("{id}-{}", tint.name), number(style::HATCH));
    let sides = [("id", &*id), ("width", &size), ("height", &size), ("patternUnits", "userSpaceOnUse")];
    let mut pattern = element("pattern", &sides);
    let (width, ink) = (number(style::HATCH_LINE), number(style::HATCH_INK));
    let line = [("d", tint.hatch), ("stroke-width", &*width), ("stroke-opacity", &*ink), ("stroke-linecap", "square")];
    pattern.append(element("path", &line));
    pattern
}

/// All paths as data; neighbours in one ink are one, but for cloth: where two that run opposite ways overlap, a hole would be left.
fn strokes(drawings: &[Drawing]) -> Vec<(Ink, String)> {
    let mut strokes: Vec<(Ink, String)> = Vec::new();
    for drawing in drawings {
        for path in drawing.paths() {
            let ink = style::ink(path, drawing.frame());
            match strokes.last_mut() {
                Some((last, data)) if *last == ink && ink.tint().is_none() => write_path(data, path),
                _ => {
                    let mut data = String::new();
                    write_path(&mut data, path);
                    strokes.push((ink, data));
                }
            }
        }
    }
    strokes
}

fn write_path(data: &mut String, path: &Path) {
    match &path.shape {
        Shape::Runs(run) => {
            for element in run.elements() {
                match *element {
                    PathEl::MoveTo(to) => write_command(data, 'M', &[to]),
                    PathEl::LineTo(to) => write_command(data, 'L', &[to]),
                    PathEl::QuadTo(by, to) => write_command(data, 'Q', &[by, to]),
                    PathEl::CurveTo(by, and, to) => write_command(data, 'C', &[by, and, to]),
                    PathEl::ClosePath => data.push('Z'),
                }
            }
        }
        Shape::Arc { arcs, is_closed } => {
            for (index, arc) in arcs.iter().enumerate() {
                if index == 0 {
                    write_command(data, 'M', &[arc.from]);
                }
                data.push('A');
                write_point(data, (arc.radii.x, arc.radii.y));
                // Neither turned nor the long way round.
                data.push_str(if arc.sweep { " 0 0 1 " } else { " 0 0 0 " });
                write_point(data, arc.to.into());
            }
            if *is_closed {
                data.push('Z');
            }
        }
        Shape::Rounded(all) => all.iter().for_each(|one| write_rounded(data, one)),
    }
}

fn write_rounded(data: &mut String, rounded: &RoundedRect) {
    let (r, rect) = (rounded.radii().top_left, rounded.rect());
    let at = kurbo::Point::new;
    let (left, top, right, bottom) = (rect.x0, rect.y0, rect.x1, rect.y1);
    write_command(data, 'M', &[at(left + r, top)]);
    let turns = [
        (at(right - r, top), at(right, top), at(right, top + r)),
        (at(right, bottom - r), at(right, bottom), at(right - r, bottom)),
        (at(left + r, bottom), at(left, bottom), at(left, bottom - r)),
        (at(left, top + r), at(left, top), at(left + r, top)),
    ];
    for (before, corner, after) in turns {
        write_command(data, 'L', &[before]);
        write_command(data, 'Q', &[corner, after]);
    }
    data.push('Z');
}

fn write_command(data: &mut String, command: char, points: &[kurbo::Point]) {
    data.push(command);
    for (index, point) in points.iter().enumerate() {
        if index > 0 {
            data.push(' ');
        }
        write_point(data, (*point).into());
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
fn text_only(name: &str, text: &str) -> Element {
    let mut element = Element::new(name);
    element.append(Plain::new(text));
    element
}

fn path_element(ink: Ink, data: String, theme: Theme) -> Element {
    let Ink { width, dash, opacity, fill, is_accent } = ink;
    let mut path = Element::new("path");
    path.assign("d", data);
    match fill {
        Fill::None => {}
        Fill::Solid => path.assign("fill", theme.ink()),
        Fill::Faint => {
            path.assign("fill", theme.ink());
            path.assign("fill-opacity", "0.05");
        }
        Fill::Tint(tint) => match theme {
            Theme::Page => path.assign("style", format!("fill:var(--foldmark-{},{})", tint.name, tint.file)),
            Theme::Paper => path.assign("fill", tint.file),
        },
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
        (true, Theme::Page) => {
            let filled = if fill == Fill::Solid { format!("fill:{ACCENT};") } else { String::new() };
            path.assign("style", format!("{filled}stroke:{ACCENT}"));
        }
        (true, Theme::Paper) => {
            path.assign("stroke", style::FILE_ACCENT);
            if fill == Fill::Solid {
                path.assign("fill", style::FILE_ACCENT);
            }
        }
    }
    path
}

fn text_element(words: &Text) -> Element {
    let at = words.at;
    let mut text = match words.lines.as_slice() {
        [line] => line_of("text", line, style::FOOT),
        lines => {
            let mut text = Element::new("text");
            for (index, line) in lines.iter().enumerate() {
                let down = if index == 0 { style::FOOT } else { style::LEADING / style::LETTER };
                let mut span = line_of("tspan", line, down);
                span.assign("x", number(at.x));
                span.assign("dy", ems(down));
                text.append(span);
            }
            text
        }
    };
    text.assign("x", number(at.x));
    text.assign("y", number(at.y));
    if let [_] = words.lines.as_slice() {
        text.assign("dy", ems(style::FOOT));
    }
    match words.anchor {
        Anchor::Start => {}
        Anchor::Middle => text.assign("text-anchor", "middle"),
    }
    if style::is_bold(words.role) {
        text.assign("font-weight", "bold");
    }
    if words.is_upright {
        let mut turn = "rotate(-90 ".to_owned();
        write_point(&mut turn, (at.x, at.y));
        turn.push(')');
        text.assign("transform", turn);
    }
    text
}

/// A line of text, its fractions set as fractions: a small numerator above the stroke, a small denominator below. Read as
/// plain text it is the same line. It stands so many ems below its place, `down`, whatever it begins with.
fn line_of(name: &str, line: &str, down: f64) -> Element {
    let (fractions, rest) = letters::fractions(line);
    if fractions.is_empty() {
        return text_only(name, line);
    }
    // Written one after the other, for a line broken between two elements would show as a space.
    let mut parts = String::new();
    let mut part = |attributes: &str, text: &str| {
        parts.push_str("<tspan");
        parts.push_str(attributes);
        parts.push('>');
        parts.push_str(&Plain::new(text).to_string());
        parts.push_str("</tspan>");
    };
    // A page sets letters smaller on a wide sheet, and all that is measured in them follows.
    let [near, raised, lowered, small] =
        [-style::CLOSE, -style::RAISED / style::FRACTION, style::RAISED, style::FRACTION].map(ems);
    for (index, [before, over, under]) in fractions.into_iter().enumerate() {
        // What is said of the first letter counts in place of what is said of its line.
        let is_first = index == 0 && before.is_empty();
        let raised = if is_first { ems((down - style::RAISED) / style::FRACTION) } else { raised.clone() };
        if !before.is_empty() {
            part("", before);
        }
        // A fraction stands close to its whole number.
        let follows_number = before.trim_end().ends_with(|letter: char| letter.is_ascii_digit());
        let near = if follows_number { format!(" dx=\"{near}\"") } else { String::new() };
        part(&format!("{near} dy=\"{raised}\" font-size=\"{small}\""), over);
        part(&format!(" dy=\"{lowered}\""), "/");
        part(&format!(" font-size=\"{small}\""), under);
    }
    if !rest.is_empty() {
        part("", rest);
    }
    let mut element = Element::new(name);
    element.append(Blob::new(parts));
    element
}

/// A length in ems.
fn ems(value: f64) -> String {
    number(value) + "em"
}

/// A number with at most two decimals.
fn number(value: f64) -> String {
    let mut text = String::new();
    write_number(&mut text, value);
    text
}

fn write_point(into: &mut String, (x, y): (f64, f64)) {
    write_number(into, x);
    into.push(' ');
    write_number(into, y);
}

/// Two decimals at most, no zeros at the end, no minus before zero; what is no number becomes 0.
fn write_number(into: &mut String, value: f64) {
    let hundredths = (value.clamp(-1e9, 1e9) * 100.0).round() as i64;
    let (whole, rest) = (hundredths.unsigned_abs() / 100, hundredths.unsigned_abs() % 100);
    if hundredths < 0 {
        into.push('-');
    }
    write_whole(into, whole);
    if rest > 0 {
        into.push('.');
        write_whole(into, rest / 10);
        if rest % 10 > 0 {
            write_whole(into, rest % 10);
        }
    }
}

fn write_whole(into: &mut String, value: u64) {
    if value >= 10 {
        write_whole(into, value / 10);
    }
    into.push(char::from(b'0' + (value % 10) as u8));
}

#[cfg(test)]
mod tests {
    use super::super::drawing::{Area, Role};
    use super::super::layout::fit::{Rooms, fit};
    use super::*;
    use crate::geometry::{Curve, Point};

    fn data(path: &Path) -> String {
        let mut data = String::new();
        write_path(&mut data, path);
        data
    }

    /// Half a circle over a level line: its sheet reaches as high as its top, which no end of it lies at.
    #[test]
    fn arcs_are_arcs_and_take_their_space() {
        let (left, right, middle) = (Point::new(-50.0, 0.0), Point::new(50.0, 0.0), Point::default());
        let curve = Curve::arc(right, middle, left, true).unwrap();
        let frame = fit(curve.bounds(), Rooms::default());
        let path = Path::curve(Role::Layer, &frame, &curve);
        // Two arcs of a quarter each, against the clock, by way of the top.
        let (top, data) = (frame.at(Point::new(0.0, 50.0)), data(&path));
        assert_eq!(data.matches('A').count(), 2, "{data}");
        assert!(data.contains(&format!("A165 165 0 0 0 {} {}A", top.x, top.y)), "{data}");
        let mut drawing = Drawing::default();
        drawing.add(path);
        let (space, high, radius) = (page::space(&drawing), frame.at(middle).y, 50.0 * frame.length(1.0));
        // With half the weight of a layer around it.
        assert!((space.top - (high - radius - style::WIDE / 2.0)).abs() < 1e-9, "{space:?}");
        assert!((space.bottom - (high + style::WIDE / 2.0)).abs() < 1e-9, "{space:?}");
    }

    #[test]
    fn a_line_stops_at_a_text() {
        let text = Area { left: 4.0, top: -1.0, right: 6.0, bottom: 1.0 };
        let path = Path::past(Role::Leader, Point::new(0.0, 0.0), Point::new(10.0, 0.0), &[text]);
        assert_eq!(data(&path), "M0 0L3 0M7 0L10 0");
    }

    #[test]
    fn numbers_are_short() {
        let shown = |value| number(value);
        assert_eq!([shown(1.0), shown(-0.001), shown(0.126), shown(-2.5)], ["1", "0", "0.13", "-2.5"]);
        assert_eq!([shown(f64::NAN), shown(f64::INFINITY), shown(-1e300)], ["0", "1000000000", "-1000000000"]);
    }
}
