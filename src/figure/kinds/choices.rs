//! What a class chose: a strip for each student, with what was allowed and what was chosen, all on one scale.

use crate::figure::drawing::{Anchor, Drawing, Figure, Path, Role, Text, TextRole, plain};
use crate::figure::telling::Telling;
use crate::figure::{letters, style};
use crate::geometry::Point;
use crate::length::{Length, Ruler};

/// One student's choice.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// Whose.
    pub name: String,
    /// What was chosen, as it is written.
    pub text: String,
    /// The same in nanometres.
    pub value: f64,
    /// The least that was allowed, where there is a limit.
    pub low: Option<f64>,
    /// The most.
    pub high: Option<f64>,
    /// Whether the choice is beyond a limit.
    pub is_beyond: bool,
}

/// From strip to strip.
const ROW: f64 = 18.4;
/// Half a bar's height.
const BAR: f64 = 4.5;
/// Half the size of a dot and of a cross.
const MARK: f64 = 3.2;
/// The column of names is no wider than this.
const NAMES: f64 = 96.0;
/// Free space beside the scale on either side.
const BESIDE: f64 = 8.0;
/// A choice more than so many times the largest limit is shown at the border.
const FARTHEST: f64 = 1.5;

/// What each student chose, in the order given, on a scale numbered as `ruler` is.
///
/// ```
/// use foldmark::figure::{Chosen, choices};
/// use foldmark::length::Ruler;
/// let inch = 25_400_000.0;
/// let row = Chosen {
///     name: "Tansy".to_owned(), text: "5 1/2 in".to_owned(), value: 5.5 * inch,
///     low: Some(4.5 * inch), high: Some(6.0 * inch), is_beyond: false,
/// };
/// let figure = choices("Pocket height", Ruler::EIGHTH, &[row]);
/// assert_eq!(figure.title(), "Pocket height: what was chosen");
/// assert!(figure.inline("s").contains("Tansy") && figure.inline("s").contains(">5 </tspan>"));
/// ```
pub fn choices(title: &str, ruler: Ruler, rows: &[Chosen]) -> Figure {
    let mut drawing = Drawing::default();
    let scale = Scale::of(ruler, rows);
    scale.draw(&mut drawing, ruler, rows.len());
    for (index, row) in rows.iter().enumerate() {
        let y = (index as f64 + 0.5) * ROW;
        draw_bar(&mut drawing, &scale, row, y);
        draw_choice(&mut drawing, &scale, row, y);
        let name = fitting(&plain(&row.name));
        for (text, x) in [(name, style::MARGIN), (plain(&row.text), scale.right + BESIDE)] {
            let at = Point::new(x, y);
            drawing.write(Text::level(TextRole::Row, vec![text], at, Anchor::Start));
        }
    }
    let title = plain(title);
    let description = told(rows, &written(ruler, scale.least), &written(ruler, scale.most));
    Figure::new(&format!("{title}: what was chosen"), &description, [drawing])
}

fn written(ruler: Ruler, nm: f64) -> String {
    ruler.write(Length::from_nm_f64(nm).unwrap_or_default()).to_string()
}

/// As much of a name as the column holds.
fn fitting(name: &str) -> String {
    if letters::width(name, false) <= NAMES {
        return name.to_owned();
    }
    let mut cut = String::new();
    for letter in name.chars() {
        cut.push(letter);
        if letters::width(&cut, false) + letters::width("…", false) > NAMES {
            cut.pop();
            break;
        }
    }
    format!("{}…", cut.trim_end())
}

/// From values to places across.
struct Scale {
    least: f64,
    most: f64,
    left: f64,
    right: f64,
    /// From number to number.
    step: f64,
}

impl Scale {
    fn of(ruler: Ruler, rows: &[Chosen]) -> Scale {
        let limits = || rows.iter().flat_map(|row| [row.low, row.high]).flatten().filter(|limit| limit.is_finite());
        let farthest = limits().fold(0.0, f64::max) * FARTHEST;
        let values = rows.iter().map(|row| if farthest > 0.0 { row.value.min(farthest) } else { row.value });
        let all = || limits().chain(values.clone());
        let (least, most) = (all().fold(f64::INFINITY, f64::min), all().fold(0.0, f64::max));
        let names = rows.iter().map(|row| letters::width(&fitting(&plain(&row.name)), false));
        let texts = rows.iter().map(|row| letters::width(&plain(&row.text), false));
        let left = style::MARGIN + names.fold(0.0, f64::max) + BESIDE;
        let right = style::WIDTH - style::MARGIN - texts.fold(0.0, f64::max) - BESIDE;
        let least = if least.is_finite() { least } else { 0.0 };
        // Numbers that are whole units, halves or quarters of one, or tens of them, and that stand clear of each other.
        let unit = ruler.unit().length().as_nm_f64();
        let rounded = |units: f64| {
            let step = units * unit;
            let least = (least / step).floor() * step;
            (least, (most / step).ceil().max(least / step + 1.0) * step, step)
        };
        let is_clear = |(least, most, step): &(f64, f64, f64)| {
            let widest =
                letters::width(&written(ruler, *most), false).max(letters::width(&written(ruler, *step), false));
            (right - left) * step / (most - least) > widest + 4.0 * style::CLEAR
        };
        let tens = std::iter::successors(Some(1.0), |ten| (*ten < 1e6).then_some(ten * 10.0));
        let units = [0.25, 0.5].into_iter().chain(tens.flat_map(|ten| [ten, 2.0 * ten, 5.0 * ten]));
        let mut scales = units.map(rounded);
        let (least, most, step) = scales.find(is_clear).unwrap_or_else(|| rounded(1e7));
        Scale { least, most, left, right, step }
    }

    fn x(&self, value: f64) -> f64 {
        let part = ((value - self.least) / (self.most - self.least)).clamp(0.0, 1.0);
        self.left + (self.right - self.left) * part
    }

    /// The numbers above, and a thin line down from each.
    fn draw(&self, drawing: &mut Drawing, ruler: Ruler, rows: usize) {
        let bottom = rows as f64 * ROW;
        let count = ((self.most - self.least) / self.step).round() as usize;
        for index in 0..=count {
            let value = self.least + index as f64 * self.step;
            let x = self.x(value);
            drawing.add(Path::run(Role::ScaleLine, &[Point::new(x, -2.0), Point::new(x, bottom)]));
            let at = Point::new(x, -2.0 - style::HALF_LINE);
            drawing.write(Text::level(TextRole::Number, vec![written(ruler, value)], at, Anchor::Middle));
        }
    }
}

/// The bar of what was allowed, open where there is no limit.
fn draw_bar(drawing: &mut Drawing, scale: &Scale, row: &Chosen, y: f64) {
    let known = |limit: Option<f64>| limit.filter(|limit| limit.is_finite());
    let (low, high) = (known(row.low), known(row.high));
    let (left, right) = (scale.x(low.unwrap_or(scale.least)), scale.x(high.unwrap_or(scale.most)));
    if left > right {
        return;
    }
    let corner = |x: f64, down: f64| Point::new(x, y + down * BAR);
    let around = [corner(left, 1.0), corner(right, 1.0), corner(right, -1.0), corner(left, -1.0)];
    match (low, high) {
        (Some(_), Some(_)) => drawing.add(Path::closed(Role::Allowed, &around)),
        (None, Some(_)) => drawing.add(Path::run(Role::Allowed, &around)),
        (Some(_), None) => drawing.add(Path::run(Role::Allowed, &[around[1], around[0], around[3], around[2]])),
        (None, None) => {}
    }
}

/// A dot within, a cross beyond; an arrowhead where the scale ends before it.
fn draw_choice(drawing: &mut Drawing, scale: &Scale, row: &Chosen, y: f64) {
    let at = Point::new(scale.x(row.value), y);
    drawing.add(if row.value > scale.most {
        let (tip, from) = (Point::new(at.x + MARK, y), Point::new(at.x - 1.0, y));
        Path::arrowhead(Role::OffScale, tip, from, 2.0 * MARK, MARK)
    } else if row.is_beyond {
        Path::cross(Role::Beyond, at, MARK)
    } else {
        Path::dot(Role::Within, at, MARK)
    });
}

/// What a class chose, on a scale from one length to another.
fn told(rows: &[Chosen], least: &str, most: &str) -> String {
    let mut telling =
        Telling::new(&format!("A strip for each of {} students, on one scale from {least} to {most}.", rows.len()));
    telling.say("A bar is what the student's own draft allows, a dot a choice within it, a cross one beyond.");
    let beyond: Vec<String> =
        rows.iter().filter(|row| row.is_beyond).map(|row| format!("{} {}", plain(&row.name), row.text)).collect();
    if beyond.is_empty() {
        telling.say("All are within.");
    }
    telling.list("Beyond:", &beyond);
    telling.told()
}
