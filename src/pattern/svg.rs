//! A pattern as one SVG drawing in millimetres.

use super::drawing::{Drawing, Ink};
use super::fault::PatternFault;
use super::font::Letters;
use super::named::Named;
use super::page::foot;
use super::paper::FOOT;
use super::piece::Hand;
use super::spread::spread;
use crate::draft::Draft;
use crate::geometry::Point;
use svg::node::element::Element;
use svg::node::{Node, Text};

/// How closely curves are followed, in millimetres.
const NEAR: f64 = 1e-3;
/// Round the drawing.
const BORDER: f64 = 5.0;
/// As wide as the foot.
const FOOT_WIDE: f64 = 190.0;

/// The pattern of a draft as an SVG drawing, one unit a millimetre, each piece a group with its name and a description. The
/// class of every line says what it is: `cut`, `stitch`, `fold`, `grain` and so on. Curves are followed to a micrometre.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler, pattern::{self, Named}};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let svg = pattern::svg(&draft, &Named::default()).unwrap();
/// assert!(svg.contains("mm\"") && svg.contains("id=\"outer\"") && svg.contains("class=\"cut\""));
/// ```
///
/// # Errors
/// A piece that can't be drawn, or a name in a script that can't be set.
pub fn svg(draft: &Draft, named: &Named) -> Result<String, PatternFault> {
    let letters = Letters::new()?;
    let spread = spread(draft, &Hand { letters: &letters, named, near: NEAR, off: None }, 0.0)?;
    let width = spread.width.max(FOOT_WIDE) + 2.0 * BORDER;
    let height = spread.height + FOOT + 2.0 * BORDER;
    let title = letters.set(&draft.exercise.title)?;
    let mut svg = element("svg", &[("xmlns", "http://www.w3.org/2000/svg")]);
    svg.assign("width", format!("{}mm", number(width)));
    svg.assign("height", format!("{}mm", number(height)));
    svg.assign("viewBox", format!("0 0 {} {}", number(width), number(height)));
    svg.assign("fill", "none");
    svg.assign("stroke", "#000");
    svg.assign("font-family", "DejaVu Sans, Verdana, sans-serif");
    svg.append(said("title", &title));
    for (piece, at) in &spread.pieces {
        let to = Point::new(at.x + BORDER, at.y + BORDER + FOOT);
        let mut group = group(&piece.drawing, to, height);
        group.assign("id", piece.cut.piece.name.clone());
        group.get_children_mut().insert(0, said("desc", &piece.says).into());
        group.get_children_mut().insert(0, said("title", &piece.cut.piece.title).into());
        svg.append(group);
    }
    let mut squares = group(&foot(&letters, &title, ""), Point::new(BORDER, BORDER), height);
    squares.assign("id", "foldmark-test-squares");
    svg.append(squares);
    Ok(format!("{svg}\n"))
}

/// A drawing, with its zero at a point.
fn group(drawing: &Drawing, to: Point, height: f64) -> Element {
    let place = |at: Point| format!("{} {}", number(at.x + to.x), number(height - at.y - to.y));
    let mut group = element("g", &[]);
    for stroke in &drawing.strokes {
        let look = stroke.ink.look();
        let mut data = String::new();
        for (index, point) in stroke.points.iter().enumerate() {
            data.push_str(if index == 0 { "M" } else { "L" });
            data.push_str(&place(*point));
        }
        if stroke.is_closed {
            data.push('Z');
        }
        let mut path = element("path", &[("class", class(stroke.ink)), ("d", &data)]);
        path.assign("stroke-width", number(look.width));
        if !look.dashes.is_empty() {
            let dashes: Vec<String> = look.dashes.iter().map(|dash| number(*dash)).collect();
            path.assign("stroke-dasharray", dashes.join(" "));
        }
        group.append(path);
    }
    for writing in drawing.writings.iter().filter(|writing| !writing.text.is_empty()) {
        let mut text = element("text", &[("fill", "#000"), ("stroke", "none")]);
        let at = place(writing.at);
        text.assign("font-size", number(writing.size));
        text.assign("transform", format!("translate({at}) rotate({})", -90 * i32::from(writing.quarters % 4)));
        text.append(Text::new(&writing.text));
        group.append(text);
    }
    group
}

/// What a line is called.
fn class(ink: Ink) -> &'static str {
    match ink {
        Ink::Cut => "cut",
        Ink::CutOut => "cut-out",
        Ink::Stitch => "stitch",
        Ink::Baste => "baste",
        Ink::Fold => "fold",
        Ink::Mirror => "on-the-fold",
        Ink::Drawn => "drawn",
        Ink::Guide => "guide",
        Ink::Notch => "notch",
        Ink::Grain => "grain",
        Ink::Spot => "spot",
        Ink::Sign | Ink::Filled => "sign",
        Ink::Sheet => "sheet",
        Ink::Band(_) => "band",
    }
}

fn element(name: &str, attributes: &[(&str, &str)]) -> Element {
    let mut element = Element::new(name);
    attributes.iter().for_each(|(name, value)| element.assign(*name, *value));
    element
}

fn said(name: &str, text: &str) -> Element {
    let mut said = Element::new(name);
    said.append(Text::new(text));
    said
}

/// To a tenth of a micrometre.
fn number(value: f64) -> String {
    let text = format!("{value:.4}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}
