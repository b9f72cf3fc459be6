//! A piece of ruler with a reading.

use crate::figure::drawing::{Anchor, Area, Drawing, Figure, Frame, Path, Role, Text, TextRole};
use crate::figure::{letters, style};
use crate::geometry::{Bounds, Point};
use crate::length::{Length, Ruler};

/// How far apart ticks and numbers stand at least.
const TICKS_APART: f64 = 1.6;
/// How high the ruler is drawn.
const HEIGHT: f64 = 44.0;
/// The longest tick.
const LONGEST: f64 = 20.0;
/// The space at either end.
const SIDE: f64 = 18.0;

/// A piece of ruler from 0 to `length`, or to the reading if that is longer, with every tick that can be
/// told from its neighbours, and a pointer at `reading`.
///
/// ```
/// use foldmark::{figure, length::{Length, Ruler, Unit}};
/// let reading = Length::from_nm(85_725_000);
/// let figure = figure::ruler(Ruler::EIGHTH, Length::of(4, Unit::Inch), reading);
/// assert!(figure.inline("r").contains("3 3/8 in"));
/// ```
pub fn ruler(ruler: Ruler, length: Length, reading: Length) -> Figure {
    let unit = ruler.unit().length().nm();
    let longest = length.nm().max(reading.nm()).max(unit);
    let scale = (style::WIDTH - 2.0 * SIDE) / longest as f64;
    let x = |nm: i64| SIDE + nm as f64 * scale;
    let length = Bounds { least: Point::default(), most: Point::new(longest as f64 / 1e6, 0.0) };
    let mut drawing = Drawing::new(Some(Frame::at_scale(length, scale * 1e6).moved(SIDE, 0.0)));
    let body = Area { left: SIDE - 10.0, top: 0.0, right: x(longest) + 10.0, bottom: HEIGHT };
    drawing.add(Path::rounded(Role::Ruler, &[body], 2.0));
    let tick = draw_ticks(&mut drawing, ruler, longest, scale);
    draw_numbers(&mut drawing, ruler, longest, scale);
    draw_pointer(&mut drawing, x(reading.nm().clamp(0, longest)), ruler.write(reading).to_string());
    let title = format!("A ruler in {ruler}: {}", ruler.write(reading));
    let numbered = if ruler.is_metric() { "centimetres" } else { "inches" };
    let description = format!(
        "A piece of ruler from 0 to {}, numbered in {numbered}, with a tick every {}. A pointer stands at {}.",
        ruler.write(Length::from_nm(longest)),
        if tick == ruler.tick().nm() { ruler.to_string() } else { ruler.write(Length::from_nm(tick)).to_string() },
        ruler.write(reading),
    );
    Figure::new(&title, &description, [drawing])
}

/// Draws the ticks and returns how far apart they are, in nanometres.
fn draw_ticks(drawing: &mut Drawing, ruler: Ruler, longest: i64, scale: f64) -> i64 {
    let unit = ruler.unit().length().nm();
    let per_unit = (unit / ruler.tick().nm()).max(1);
    // The finest division of the unit whose ticks can be told apart; whole units, and tens of them, at worst.
    let divisors = (1..=per_unit).rev().filter(|parts| per_unit % parts == 0).map(|parts| unit / parts);
    let tens = std::iter::successors(Some(unit), |step| step.checked_mul(10));
    let step = divisors.chain(tens).find(|step| *step as f64 * scale >= TICKS_APART).unwrap_or(longest);
    let mut at = 0;
    while at <= longest {
        let x = SIDE + at as f64 * scale;
        let part = tick_part(at, unit, ruler.is_metric());
        let role = if part == 1.0 { Role::UnitTick } else { Role::Tick };
        drawing.add(Path::run(role, &[Point::new(x, 0.0), Point::new(x, LONGEST * part)]));
        match at.checked_add(step) {
            Some(next) => at = next,
            None => break,
        }
    }
    step
}

/// How long a tick is, as a part of the longest: whole units longest, then halves, quarters, eighths, or halves and tenths.
fn tick_part(at: i64, unit: i64, is_metric: bool) -> f64 {
    let is_part = |parts: i64| (at * i64::from(at.abs() < i64::MAX / 64)).wrapping_mul(parts) % unit == 0;
    let levels: &[(i64, f64)] = if is_metric {
        &[(1, 1.0), (2, 0.72), (10, 0.48)]
    } else {
        &[(1, 1.0), (2, 0.76), (4, 0.6), (8, 0.46), (16, 0.34)]
    };
    let level = levels.iter().find(|(parts, _)| is_part(*parts));
    level.map_or(0.25, |(_, part)| *part)
}

fn draw_numbers(drawing: &mut Drawing, ruler: Ruler, longest: i64, scale: f64) {
    let unit = ruler.unit().length().nm();
    let last = longest / unit;
    let wide = letters::width(&last.to_string(), false) + 2.0 * style::CLEAR;
    let steps = [1, 2, 5].into_iter().cycle().zip((0..54).map(|n| 10_i64.checked_pow(n / 3)));
    let every = steps.filter_map(|(few, ten)| ten?.checked_mul(few)).find(|n| *n as f64 * unit as f64 * scale >= wide);
    let Some(every) = every else { return };
    let mut number = 0;
    while number <= last {
        let at = Point::new(SIDE + number as f64 * unit as f64 * scale, HEIGHT - style::HALF_LINE - 3.0);
        drawing.write(Text::level(TextRole::Number, vec![number.to_string()], at, Anchor::Middle));
        match number.checked_add(every) {
            Some(next) => number = next,
            None => break,
        }
    }
}

/// A pointer from above, with what it reads.
fn draw_pointer(drawing: &mut Drawing, x: f64, text: String) {
    let half = letters::width(&text, true) / 2.0;
    let middle = x.max(half + style::MARGIN).min(style::WIDTH - half - style::MARGIN);
    let (tip, top) = (Point::new(x, -1.5), Point::new(x, -16.0));
    drawing.add(Path::run(Role::Pointer, &[top, tip]));
    drawing.add(Path::arrowhead(Role::PointerHead, tip, top, 9.0, 4.0));
    let at = Point::new(middle, top.y - style::HALF_LINE - 1.0);
    drawing.write(Text::level(TextRole::Reading, vec![text], at, Anchor::Middle));
}
