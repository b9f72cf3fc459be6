//! A pattern as a drawing for CAD programs: DXF of release 12 in millimetres, with apparel layers as commonly restated.
//!
//! One block a piece, and no others, for some programs take every block for a piece; ASCII only; no tables.

use super::drawing::{Ink, Stroke, Writing};
use super::fault::PatternFault;
use super::font::Letters;
use super::named::Named;
use super::piece::{Drawn, Hand};
use super::spread::spread;
use crate::draft::{Draft, Mark};
use crate::geometry::Point;
use any_ascii::any_ascii;
use std::collections::BTreeSet;

/// How closely curves are followed, in millimetres.
const NEAR: f64 = 1e-3;
/// Above each piece, for what a program reads about it.
const ABOVE: f64 = 12.0;
/// A line that turns by more than this, in radians, turns at a corner: ten degrees.
const TURN: f64 = 0.1745;
/// So long may a block's name be in release 12.
const LONGEST: usize = 31;

/// Layers as commonly restated: where lines are cut, drawn and sewn.
mod layer {
    pub(super) const BOUNDARY: u8 = 1;
    pub(super) const TURN_POINT: u8 = 2;
    pub(super) const CURVE_POINT: u8 = 3;
    pub(super) const NOTCH: u8 = 4;
    pub(super) const MIRROR: u8 = 6;
    pub(super) const GRAIN: u8 = 7;
    pub(super) const INTERNAL: u8 = 8;
    pub(super) const CUT_OUT: u8 = 11;
    pub(super) const DRILL: u8 = 13;
    pub(super) const SEW: u8 = 14;
    pub(super) const ANNOTATION: u8 = 15;
}

/// The pattern of a draft as a DXF of release 12: one block a piece, lengths in millimetres, ASCII. A piece on the fold is the half
/// that is drafted, with the fold on the layer of mirror lines. Curves are followed to a micrometre.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler, pattern::{self, Named}};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let dxf = pattern::dxf(&draft, &Named::default()).unwrap();
/// assert!(dxf.is_ascii() && dxf.contains("UNITS: METRIC"));
/// assert_eq!(dxf.matches("\nBLOCK\n").count(), draft.pieces().count());
/// ```
///
/// # Errors
/// A piece that can't be drawn, or a name in a script that can't be set.
pub fn dxf(draft: &Draft, named: &Named) -> Result<String, PatternFault> {
    let letters = Letters::new()?;
    let spread = spread(draft, &Hand { letters: &letters, named, near: NEAR, off: None }, ABOVE)?;
    let mut file = File(String::new());
    file.pair(0, "SECTION").pair(2, "HEADER").pair(9, "$ACADVER").pair(1, "AC1009").pair(0, "ENDSEC");
    file.pair(0, "SECTION").pair(2, "BLOCKS");
    let mut names: Vec<String> = Vec::new();
    for (piece, _) in &spread.pieces {
        let name = block_name(&piece.cut.piece.name, &names);
        file.block(&name, piece);
        names.push(name);
    }
    file.pair(0, "ENDSEC").pair(0, "SECTION").pair(2, "ENTITIES");
    for ((_, at), name) in spread.pieces.iter().zip(&names) {
        file.pair(0, "INSERT").layer(layer::BOUNDARY).pair(2, name).at(*at);
    }
    let style = [
        Some(format!("STYLE NAME: {}", draft.exercise.title)),
        named.maker.as_ref().map(|maker| format!("AUTHOR: {maker}")),
        named.date.as_ref().map(|date| format!("CREATION DATE: {date}")),
        Some("UNITS: METRIC".to_owned()),
    ];
    for (index, text) in style.into_iter().flatten().enumerate() {
        file.text(layer::BOUNDARY, &text, Point::new(0.0, -5.0 * (index as f64 + 1.0)), 2.5, 0);
    }
    file.pair(0, "ENDSEC").pair(0, "EOF");
    Ok(file.0)
}

/// A piece's name for a block, unlike those before it.
fn block_name(name: &str, before: &[String]) -> String {
    let plain: String = any_ascii(name)
        .to_uppercase()
        .chars()
        .map(|letter| if letter.is_ascii_alphanumeric() { letter } else { '-' })
        .take(LONGEST)
        .collect();
    if !plain.is_empty() && !before.contains(&plain) {
        return plain;
    }
    let short: String = plain.chars().take(LONGEST - 4).collect();
    format!("{short}-{}", before.len() + 1)
}

struct File(String);

impl File {
    fn pair(&mut self, code: u16, value: &str) -> &mut File {
        self.0.push_str(&format!("{code:>3}\n{value}\n"));
        self
    }

    fn layer(&mut self, layer: u8) -> &mut File {
        self.pair(8, &layer.to_string())
    }

    fn at(&mut self, at: Point) -> &mut File {
        self.pair(10, &number(at.x)).pair(20, &number(at.y)).pair(30, "0.0")
    }

    fn block(&mut self, name: &str, piece: &Drawn) {
        self.pair(0, "BLOCK").layer(layer::BOUNDARY).pair(2, name).pair(70, "0");
        self.at(Point::default()).pair(3, name);
        let mut marked = BTreeSet::new();
        let ring = piece.cut.outline.cutting_near(NEAR);
        self.line(layer::BOUNDARY, &ring, true);
        self.points(&ring, true, &mut marked);
        for stroke in &piece.drawing.strokes {
            self.stroke(stroke, &mut marked);
        }
        for mark in &piece.cut.marks {
            match mark {
                Mark::Notch { at, outward, allowance } => {
                    let edge = Point::new(at.x + outward.x * allowance, at.y + outward.y * allowance);
                    self.pair(0, "POINT").layer(layer::NOTCH).at(edge);
                }
                Mark::Spot { at, .. } => {
                    self.pair(0, "POINT").layer(layer::DRILL).at(*at);
                }
                Mark::Lines { .. } | Mark::Arc { .. } | Mark::Objects { .. } | Mark::Measure { .. } => {}
            }
        }
        let told = piece.cut.piece;
        let texts = [
            format!("PIECE NAME: {}", told.title),
            format!("QUANTITY: {}", told.count),
            format!("MATERIAL: {}", told.cloth),
        ];
        for (text, above) in texts.iter().zip([8.0, 5.0, 2.0]) {
            let at = Point::new(piece.bounds.least.x, piece.bounds.most.y + above);
            self.text(layer::BOUNDARY, text, at, 2.0, 0);
        }
        for Writing { text, at, size, quarters, .. } in &piece.drawing.writings {
            self.text(layer::ANNOTATION, text, *at, size * CAPITALS, *quarters);
        }
        self.pair(0, "ENDBLK").layer(layer::BOUNDARY);
    }

    /// A stroke on its layer. The cutting line is the boundary, which stands already; signs and spots are told by
    /// their layers.
    fn stroke(&mut self, stroke: &Stroke, marked: &mut BTreeSet<(String, String)>) {
        let (layer, has_points) = match stroke.ink {
            Ink::Cut | Ink::Spot | Ink::Sign | Ink::Sheet | Ink::Filled | Ink::Band(_) => return,
            Ink::Mirror => (layer::MIRROR, false),
            Ink::Grain => (layer::GRAIN, false),
            Ink::Notch => (layer::INTERNAL, false),
            Ink::Stitch => (layer::SEW, true),
            Ink::CutOut => (layer::CUT_OUT, true),
            Ink::Baste | Ink::Fold | Ink::Drawn | Ink::Guide => (layer::INTERNAL, true),
        };
        self.line(layer, &stroke.points, stroke.is_closed);
        if has_points {
            self.points(&stroke.points, stroke.is_closed, marked);
        }
    }

    fn line(&mut self, layer: u8, points: &[Point], is_closed: bool) {
        if let ([from, to], false) = (points, is_closed) {
            self.pair(0, "LINE").layer(layer).at(*from);
            self.pair(11, &number(to.x)).pair(21, &number(to.y)).pair(31, "0.0");
            return;
        }
        self.pair(0, "POLYLINE").layer(layer).pair(66, "1").at(Point::default());
        self.pair(70, if is_closed { "1" } else { "0" });
        for point in points {
            self.pair(0, "VERTEX").layer(layer).at(*point);
        }
        self.pair(0, "SEQEND").layer(layer);
    }

    /// Where a line turns, and where it follows a curve; each place once.
    fn points(&mut self, points: &[Point], is_closed: bool, marked: &mut BTreeSet<(String, String)>) {
        let count = points.len();
        for (index, at) in points.iter().enumerate() {
            let is_end = !is_closed && (index == 0 || index + 1 == count);
            let (before, after) = (points[(index + count - 1) % count], points[(index + 1) % count]);
            // Between two straight lines there may be a point on the way.
            let is_curve = !is_end && (1e-6..=TURN).contains(&turn(before, *at, after));
            let layer = if is_curve { layer::CURVE_POINT } else { layer::TURN_POINT };
            if marked.insert((number(at.x), number(at.y))) {
                self.pair(0, "POINT").layer(layer).at(*at);
            }
        }
    }

    fn text(&mut self, layer: u8, text: &str, at: Point, high: f64, quarters: u8) {
        let plain: String = any_ascii(text).chars().filter(|letter| !letter.is_ascii_control()).collect();
        // What a percent sign or a caret begins is a sign of its own.
        let plain = plain.replace('%', " percent").replace('^', " ");
        if plain.trim().is_empty() {
            return;
        }
        self.pair(0, "TEXT").layer(layer).at(at).pair(40, &number(high)).pair(1, &plain);
        self.pair(50, &number(90.0 * f64::from(quarters % 4)));
    }
}

/// How high the capitals of a typeface are, as a part of its letters' height.
const CAPITALS: f64 = 0.73;

/// By how much a line turns at a point, in radians.
fn turn(before: Point, at: Point, after: Point) -> f64 {
    let (ax, ay, bx, by) = (at.x - before.x, at.y - before.y, after.x - at.x, after.y - at.y);
    libm::atan2((ax * by - ay * bx).abs(), ax * bx + ay * by)
}

/// To a tenth of a micrometre.
fn number(value: f64) -> String {
    let text = format!("{value:.4}");
    if text == "-0.0000" { "0.0000".to_owned() } else { text }
}
