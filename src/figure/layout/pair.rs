//! Two drawings on one sheet, at one scale: side by side, or one above the other where that shows them much larger.

use super::page;
use super::sheet::Sheet;
use crate::figure::drawing::{Anchor, Area, Drawing, Frame, Text, TextRole};
use crate::figure::{letters, style};
use crate::geometry::{Bounds, Point};

/// One of the two.
pub(crate) struct Panel<'s> {
    /// What it is, in bold letters above it.
    pub heading: String,
    /// More about it, below the heading; or empty.
    pub note: String,
    pub sheet: Sheet<'s>,
}

/// One above the other has to be so much larger.
const MUCH: f64 = 1.6;
/// From scale to scale, until both drawings fit.
const SMALLER: f64 = 0.95;
/// So many scales are tried. Letters keep their size, so what is small enough may not fit all the same.
const STEPS: usize = 90;

/// Draws both, the first left of the second or above it. Nothing, if either is empty.
pub(crate) fn pair(panels: [Panel; 2]) -> Vec<Drawing> {
    let [Some(one), Some(other)] = panels.each_ref().map(|panel| panel.sheet.bounds()) else { return Vec::new() };
    let both = [(&panels[0], one), (&panels[1], other)];
    let room = style::WIDTH - 2.0 * style::MARGIN;
    let beside = |[one, other]: [Area; 2]| one.width() + other.width() <= room && one.with(other).height() <= TALLEST;
    let above = |[one, other]: [Area; 2]| one.with(other).width() <= room && one.height() + other.height() <= TALLEST;
    let scales = scales(&both);
    let beside = largest(&both, scales.clone().take(STEPS), beside)
        .unwrap_or_else(|| Sized::new(&both, scales.clone().nth(STEPS).unwrap_or_default()));
    match largest(&both, scales.take_while(|scale| *scale > beside.scale * MUCH), above) {
        Some(above) => draw_above(&both, &above),
        None => draw_beside(&both, &beside),
    }
}

/// How high both may become, with all that belongs to them.
const TALLEST: f64 = style::TALLEST;

/// Both at one scale.
struct Sized {
    scale: f64,
    /// What the drawings take up, each with its own zero at the sheet's.
    drawn: [Area; 2],
    /// The same with the words above them.
    areas: [Area; 2],
}

impl Sized {
    fn new(both: &[(&Panel, Bounds); 2], scale: f64) -> Sized {
        let drawn = both.map(|(panel, bounds)| page::space(&panel.sheet.draw_at(Frame::at_scale(bounds, scale))));
        let area = |index: usize| {
            let (panel, drawn) = (both[index].0, drawn[index]);
            let words = words(panel, foot(drawn), notes(panel).len());
            words.iter().map(letters::space).fold(drawn, Area::with).grown(style::CLEAR)
        };
        Sized { scale, drawn, areas: [area(0), area(1)] }
    }
}

/// The scales to be tried, from the largest.
fn scales(both: &[(&Panel, Bounds); 2]) -> impl Iterator<Item = f64> + Clone {
    let extent = |(_, bounds): &(&Panel, Bounds)| bounds.width().max(bounds.height());
    let first = TALLEST / both.iter().map(extent).fold(f64::MIN_POSITIVE, f64::max);
    std::iter::successors(Some(first), |scale| Some(scale * SMALLER))
}

/// Both at the first of these scales at which their areas are such.
fn largest(
    both: &[(&Panel, Bounds); 2],
    mut scales: impl Iterator<Item = f64>,
    fits: impl Fn([Area; 2]) -> bool,
) -> Option<Sized> {
    scales.find_map(|scale| {
        // Where the bare drawings don't fit, all that belongs to them need not be drawn.
        let bare = both.map(|(_, bounds)| Frame::at_scale(bounds, scale).area().grown(style::CLEAR));
        fits(bare).then(|| Sized::new(both, scale)).filter(|sized| fits(sized.areas))
    })
}

/// Where the words above a drawing stand.
fn foot(drawn: Area) -> Point {
    Point::new((drawn.left + drawn.right) / 2.0, drawn.top)
}

fn notes(panel: &Panel) -> Vec<String> {
    letters::wrap(&panel.note, style::WIDTH / 2.0 - 3.0 * style::MARGIN, false)
}

/// The words above a drawing, standing on `foot`, with room for so many notes.
fn words(panel: &Panel, foot: Point, room: usize) -> Vec<Text> {
    // From the heading to the first note it is a little farther than from line to line.
    let first = if room > 0 { 2.0 * style::HALF_LINE } else { 0.0 };
    let top = foot.y - style::CLEAR - style::HALF_LINE - first - room.saturating_sub(1) as f64 * style::LEADING;
    let text =
        |role: TextRole, lines: Vec<String>, y: f64| Text::level(role, lines, Point::new(foot.x, y), Anchor::Middle);
    let mut words = vec![text(TextRole::Heading, vec![panel.heading.clone()], top)];
    let notes = notes(panel);
    if !notes.is_empty() {
        words.push(text(TextRole::Note, notes, top + first));
    }
    words
}

/// One of them in its place, with the words above it.
fn draw_panel((panel, bounds): &(&Panel, Bounds), scale: f64, (across, down): (f64, f64), words: Vec<Text>) -> Drawing {
    let mut drawing = panel.sheet.draw_at(Frame::at_scale(*bounds, scale).moved(across, down)).called(&panel.heading);
    words.into_iter().for_each(|text| drawing.write(text));
    drawing
}

fn draw_beside(both: &[(&Panel, Bounds); 2], sized: &Sized) -> Vec<Drawing> {
    let Sized { scale, drawn, areas } = sized;
    let spare = (style::WIDTH - 2.0 * style::MARGIN - areas[0].width() - areas[1].width()).max(0.0) / 4.0;
    // The words of both stand at one height.
    let top = drawn[0].top.min(drawn[1].top);
    let room = notes(both[0].0).len().max(notes(both[1].0).len());
    let mut left = style::MARGIN + spare;
    let draw = |index: usize| {
        let across = left - areas[index].left;
        left += areas[index].width() + 2.0 * spare;
        let middle = foot(drawn[index]).x + across;
        draw_panel(&both[index], *scale, (across, 0.0), words(both[index].0, Point::new(middle, top), room))
    };
    [0, 1].map(draw).into()
}

fn draw_above(both: &[(&Panel, Bounds); 2], sized: &Sized) -> Vec<Drawing> {
    let Sized { scale, drawn, areas } = sized;
    let around = areas[0].with(areas[1]);
    let across = (style::WIDTH - around.width()) / 2.0 - around.left;
    let mut top = 0.0;
    let draw = |index: usize| {
        let down = top - areas[index].top;
        top += areas[index].height() + style::LANE;
        let (panel, foot) = (both[index].0, foot(drawn[index]));
        let foot = Point::new(foot.x + across, foot.y + down);
        draw_panel(&both[index], *scale, (across, down), words(panel, foot, notes(panel).len()))
    };
    [0, 1].map(draw).into()
}
