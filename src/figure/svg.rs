//! A canvas written as SVG.

use crate::figure::drawing::canvas::{Anchor, Canvas, Shape, Words};
use crate::figure::letters;
use crate::figure::style::{self, Fill, Ink};
use crate::geometry::Point;
use ::svg::Node;
use ::svg::node::element::Element;

/// Which colours a drawing is written with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Theme {
    /// Those of the page around it.
    Page,
    /// Ink on brown paper.
    Paper,
}

/// Everything as an `svg` element, with `children` before it.
pub(crate) fn svg(canvas: &Canvas, theme: Theme, children: Vec<Element>) -> Element {
    let page = canvas.page();
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
        for (name, value) in
            [("x", page.left), ("y", page.top), ("width", page.right - page.left), ("height", page.bottom - page.top)]
        {
            paper.assign(name, number(value));
        }
        svg.append(paper);
    }
    for shape in canvas.shapes() {
        svg.append(shape_element(shape, theme, ink));
    }
    if !canvas.texts().is_empty() {
        let size = number(style::LETTER);
        let mut group = element("g", &[("fill", ink), ("stroke", "none"), ("font-size", &size)]);
        group.assign("font-family", style::FAMILY);
        if theme == Theme::Page {
            // Title and description say it in order; these are read by who sees where they stand.
            group.assign("aria-hidden", "true");
        }
        for words in canvas.texts() {
            group.append(text_element(words));
        }
        svg.append(group);
    }
    svg
}

fn element(name: &str, attributes: &[(&str, &str)]) -> Element {
    let mut element = Element::new(name);
    for (name, value) in attributes {
        element.assign(*name, *value);
    }
    element
}

/// An element that holds nothing but text.
pub(crate) fn text_only(name: &str, id: Option<String>, text: &str) -> Element {
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
        [line] => line_of("text", line),
        lines => {
            let mut text = Element::new("text");
            for (index, line) in lines.iter().enumerate() {
                let mut span = line_of("tspan", line);
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

/// A line of text, its fractions set as fractions: a small numerator above the stroke, a small denominator below. Read as
/// plain text it is the same line.
fn line_of(name: &str, line: &str) -> Element {
    let (fractions, rest) = letters::fractions(line);
    if fractions.is_empty() {
        return text_only(name, None, line);
    }
    // Written one after the other, for a line broken between two elements would show as a space.
    let mut parts = String::new();
    let mut part = |attributes: &str, text: &str| {
        parts.push_str("<tspan");
        parts.push_str(attributes);
        parts.push('>');
        parts.push_str(&svg::node::Text::new(text).to_string());
        parts.push_str("</tspan>");
    };
    let [near, raised, lowered, small] =
        [-style::CLOSE, -style::RAISED, style::RAISED, style::LETTER * style::FRACTION].map(number);
    for [before, over, under] in fractions {
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
    element.append(svg::node::Blob::new(parts));
    element
}

/// A number with at most two decimals.
fn number(value: f64) -> String {
    let mut text = String::new();
    write_number(&mut text, value);
    text
}

pub(crate) fn write_point(into: &mut String, point: Point) {
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
}
