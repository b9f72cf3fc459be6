//! Two drawings on one sheet, at one scale: side by side, or one above the other where that shows them much larger.

use crate::figure::drawing::area::Area;
use crate::figure::drawing::canvas::{Anchor, Canvas, Words};
use crate::figure::drawing::frame::Frame;
use crate::figure::layout::sheet::Sheet;
use crate::figure::letters;
use crate::figure::style;
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
pub(crate) fn pair(panels: [Panel; 2]) -> Canvas {
    let mut canvas = Canvas::new();
    let [Some(one), Some(other)] = panels.each_ref().map(|panel| panel.sheet.bounds()) else { return canvas };
    let both = [(&panels[0], one), (&panels[1], other)];
    let room = style::WIDTH - 2.0 * style::MARGIN;
    let beside = |[one, other]: [Area; 2]| width(one) + width(other) <= room && height(one.with(other)) <= TALLEST;
    let above = |[one, other]: [Area; 2]| width(one.with(other)) <= room && height(one) + height(other) <= TALLEST;
    let scales = scales(&both);
    let beside = largest(&both, scales.clone().take(STEPS), beside)
        .unwrap_or_else(|| Sized::new(&both, scales.clone().nth(STEPS).unwrap_or_default()));
    match largest(&both, scales.take_while(|scale| *scale > beside.scale * MUCH), above) {
        Some(above) => draw_above(&mut canvas, &both, &above),
        None => draw_beside(&mut canvas, &both, &beside),
    }
    canvas
}

/// How high both may become, with all that belongs to them.
const TALLEST: f64 = style::TALLEST;

fn width(area: Area) -> f64 {
    area.right - area.left
}

fn height(area: Area) -> f64 {
    area.bottom - area.top
}

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
        let drawn = both.map(|(panel, bounds)| {
            let mut canvas = Canvas::new();
            panel.sheet.draw_at(&mut canvas, Frame::at_scale(bounds, scale));
            canvas.area()
        });
        let area = |index: usize| {
            let (panel, drawn) = (both[index].0, drawn[index]);
            let words = words(panel, foot(drawn), notes(panel).len());
            words.iter().map(Words::area).fold(drawn, Area::with).grown(style::CLEAR)
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
fn words(panel: &Panel, foot: Point, room: usize) -> Vec<Words> {
    // From the heading to the first note it is a little farther than from line to line.
    let first = if room > 0 { 2.0 * style::HALF_LINE } else { 0.0 };
    let top = foot.y - style::CLEAR - style::HALF_LINE - first - room.saturating_sub(1) as f64 * style::LEADING;
    let word = |lines: Vec<String>, y: f64, is_bold: bool| {
        let at = Point::new(foot.x, y);
        Words { lines, at, anchor: Anchor::Middle, is_upright: false, is_bold }
    };
    let mut words = vec![word(vec![panel.heading.clone()], top, true)];
    let notes = notes(panel);
    if !notes.is_empty() {
        words.push(word(notes, top + first, false));
    }
    words
}

fn draw_beside(canvas: &mut Canvas, both: &[(&Panel, Bounds); 2], sized: &Sized) {
    let Sized { scale, drawn, areas } = sized;
    let spare = (style::WIDTH - 2.0 * style::MARGIN - width(areas[0]) - width(areas[1])).max(0.0) / 4.0;
    // The words of both stand at one height.
    let top = drawn[0].top.min(drawn[1].top);
    let room = notes(both[0].0).len().max(notes(both[1].0).len());
    let mut left = style::MARGIN + spare;
    for (index, (panel, bounds)) in both.iter().enumerate() {
        let across = left - areas[index].left;
        panel.sheet.draw_at(canvas, Frame::at_scale(*bounds, *scale).moved(across, 0.0));
        let middle = foot(drawn[index]).x + across;
        for words in words(panel, Point::new(middle, top), room) {
            canvas.text(words);
        }
        left += width(areas[index]) + 2.0 * spare;
    }
}

fn draw_above(canvas: &mut Canvas, both: &[(&Panel, Bounds); 2], sized: &Sized) {
    let Sized { scale, drawn, areas } = sized;
    let around = areas[0].with(areas[1]);
    let across = (style::WIDTH - width(around)) / 2.0 - around.left;
    let mut top = 0.0;
    for (index, (panel, bounds)) in both.iter().enumerate() {
        let down = top - areas[index].top;
        panel.sheet.draw_at(canvas, Frame::at_scale(*bounds, *scale).moved(across, down));
        let foot = foot(drawn[index]);
        for words in words(panel, Point::new(foot.x + across, foot.y + down), notes(panel).len()) {
            canvas.text(words);
        }
        top += height(areas[index]) + style::LANE;
    }
}
