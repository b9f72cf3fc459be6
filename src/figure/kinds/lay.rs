//! The pieces of one cloth, as they lie on it.

use crate::draft::{Draft, Mark};
use crate::exercise::{Pen, Side};
use crate::figure::drawing::{Anchor, Area, Figure, Frame, Path, Role, Text, TextRole, plain};
use crate::figure::layout::bar::scaled;
use crate::figure::layout::sheet::Sheet;
use crate::figure::subject::dimension::Dimension;
use crate::figure::telling::Telling;
use crate::figure::{letters, style};
use crate::geometry::{Bounds, Point};
use crate::lay::{Laid, Lay};

/// The pieces of one cloth in their places, to scale, the grain upright, each with its name, with a scale bar below. A
/// name for which there is no room in its piece stands beside the cloth.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, lay::{self, Cloth}, length::Ruler};
/// let shelf = Shelf::shipped();
/// let tote = shelf.get("boxed-tote").unwrap();
/// let givens = Givens::read(tote, &Raw::example(tote), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(tote, givens).unwrap();
/// let lays = lay::plan(&draft, &|_| Cloth::usual(false), lay::USUAL_WORK).unwrap();
/// let figure = figure::lay(&draft, &lays[0]);
/// assert_eq!(figure.title(), "Lay of outer cloth");
/// assert!(figure.description().contains("Panel 1, Panel 2, Strap 1, Strap 2"));
/// ```
pub fn lay(draft: &Draft, lay: &Lay) -> Figure {
    let room = lay.cloth.room().as_mm();
    let bounds = Bounds { least: Point::default(), most: Point::new(room, lay.length.as_mm()) };
    let names: Vec<String> = lay.laid.iter().map(|laid| name(laid, lay)).collect();
    let mut is_beside = vec![false; names.len()];
    // What stands beside the cloth takes room from it, so that another name may find none.
    let (sheet, frame) = loop {
        let sheet = sheet(draft, lay, bounds, &names, &is_beside);
        let frame = sheet.fit(bounds).0;
        let fits = |at: usize| inside(&frame, &lay.laid[at], &names[at]).is_some();
        let more: Vec<usize> = (0..names.len()).filter(|&at| !is_beside[at] && !fits(at)).collect();
        if more.is_empty() {
            break (sheet, frame);
        }
        more.into_iter().for_each(|at| is_beside[at] = true);
    };
    let mut drawing = sheet.draw();
    let corners = |laid: &Laid| laid.outline.iter().map(|point| frame.at(*point)).collect::<Vec<Point>>();
    drawing.add_below(lay.laid.iter().map(|laid| Path::closed(Role::Cloth(laid.piece.shows), &corners(laid))));
    for (laid, (name, is_beside)) in lay.laid.iter().zip(names.iter().zip(is_beside)) {
        let text = inside(&frame, laid, name).filter(|_| !is_beside);
        if let Some((from, to)) = grain(&corners(laid), laid.is_turned, text.as_ref().map(letters::space)) {
            drawing.add(Path::run(Role::Grain, &[from, to]));
            for (tip, other) in [(from, to), (to, from)] {
                drawing.add(Path::arrowhead(Role::GrainHead, tip, other, style::ARROW, style::ARROW_HALF));
            }
        }
        if let Some(text) = text {
            drawing.write(text);
        }
    }
    let figure = Figure::new(&format!("Lay of {}", lay.name), &told(draft, lay, &names), [drawing]);
    scaled(figure, draft.givens.ruler)
}

/// A piece's name, with a number if there are several.
fn name(laid: &Laid, lay: &Lay) -> String {
    let title = plain(&laid.piece.title);
    let others = lay.laid.iter().filter(|other| other.piece.name == laid.piece.name).count();
    match (laid.copies, others) {
        (1, 1) => title,
        (1, _) => format!("{title} {}", laid.copy),
        (_, 1) => format!("{title} × {}", laid.copies),
        (copies, _) => format!("{title} {}–{}", laid.copy, laid.copy + copies - 1),
    }
}

/// The cloth with its outline and dimensions, and the outlines of all pieces.
fn sheet<'s>(draft: &Draft, lay: &Lay, bounds: Bounds, names: &[String], is_beside: &[bool]) -> Sheet<'s> {
    let corner = Point::new;
    let Bounds { least, most } = bounds;
    let (left, right) = ((least, corner(least.x, most.y)), (corner(most.x, least.y), most));
    let line = |lines, pen, label: Option<String>| Mark::Lines { lines, pen, label };
    // Names stand at the right, and a line from there to the fold would cross the pieces: its dimension names it.
    let (pen, title) = if lay.cloth.is_folded { (Pen::Fold, "fold") } else { (Pen::Guide, "") };
    let first = line(vec![left], pen, None);
    let ends = vec![(least, right.0), (left.1, most)];
    let mut marks =
        vec![first, line(vec![right], Pen::Guide, Some("selvage".to_owned())), line(ends, Pen::Guide, None)];
    for (laid, (name, is_beside)) in lay.laid.iter().zip(names.iter().zip(is_beside)) {
        let next = laid.outline.iter().cycle().skip(1);
        let lines = laid.outline.iter().copied().zip(next.copied()).collect();
        marks.push(line(lines, Pen::Cut, is_beside.then(|| name.clone())));
    }
    let dimension = |from, to, side, title: &str, value| Dimension {
        from,
        to,
        side,
        title: title.to_owned(),
        value,
        is_wrong: false,
    };
    let dimensions = vec![
        dimension(least, right.0, Side::Bottom, "", draft.written(bounds.width())),
        dimension(least, left.1, Side::Left, title, draft.written(bounds.height())),
    ];
    Sheet { least: Some(bounds), grows: true, is_written_in: true, ..Sheet::of(marks, dimensions) }
}

/// The name within its piece, level or upright, in one line or two; nothing, where there is no room.
fn inside(frame: &Frame, laid: &Laid, name: &str) -> Option<Text> {
    let area = Area::corners(frame.at(laid.bounds.least), frame.at(laid.bounds.most)).grown(-style::CLEAR);
    let (wide, high) = (area.width(), area.height());
    let text = |lines: Vec<String>, is_upright: bool| {
        let down = (lines.len() - 1) as f64 * style::LEADING / 2.0;
        let (x, y) = ((area.left + area.right) / 2.0, (area.top + area.bottom) / 2.0);
        let at = if is_upright { Point::new(x - down, y) } else { Point::new(x, y - down) };
        Text { role: TextRole::Name, lines, at, anchor: Anchor::Middle, is_upright }
    };
    let needed = |lines: &[String]| {
        let across = lines.iter().map(|line| letters::width(line, false)).fold(0.0, f64::max);
        (across, style::LETTER + (lines.len() - 1) as f64 * style::LEADING)
    };
    for (room, other, is_upright) in [(wide, high, false), (high, wide, true)] {
        let lines = letters::wrap(name, room, false);
        let (across, down) = needed(&lines);
        // A name is not broken within its words.
        if lines.join(" ") == name && lines.len() <= 2 && across <= room && down <= other {
            return Some(text(lines, is_upright));
        }
    }
    None
}

/// The ends of the grain arrow of a piece with these corners: along the cloth, or across it where the piece lies turned,
/// clear of the name. Nothing, where there is no room.
fn grain(corners: &[Point], is_turned: bool, name: Option<Area>) -> Option<(Point, Point)> {
    let turn = |point: Point| if is_turned { Point::new(point.y, point.x) } else { point };
    let outline: Vec<Point> = corners.iter().map(|point| turn(*point)).collect();
    let around = Bounds::around(outline.iter().copied())?;
    let name = name.map(|name| {
        let area = name.grown(style::CLEAR + style::ARROW_HALF);
        Area::corners(turn(Point::new(area.left, area.top)), turn(Point::new(area.right, area.bottom)))
    });
    let longest = |x: f64| {
        let next = outline.iter().cycle().skip(1);
        let crossing = outline.iter().zip(next).filter(|(a, b)| (a.x - x) * (b.x - x) < 0.0);
        let mut ends: Vec<f64> = crossing.map(|(a, b)| a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x)).collect();
        // Where the name stands in the way, a stretch ends at it.
        if let Some(name) = name.filter(|name| name.left < x && x < name.right) {
            ends.extend([name.top, name.bottom]);
        }
        ends.sort_by(f64::total_cmp);
        let stretches = ends.chunks_exact(2).map(|pair| (pair[0], pair[1]));
        stretches.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0))).map(|(top, bottom)| (x, top, bottom))
    };
    let arrow = |part: &f64| {
        let (x, top, bottom) = longest(around.least.x + around.width() * part)?;
        let (middle, half) = ((top + bottom) / 2.0, ((bottom - top) * 0.36).min(4.0 * style::ARROW));
        let aside = around.width() * part.min(1.0 - part);
        let is_room = half > 1.2 * style::ARROW && aside > 2.0 * style::ARROW_HALF;
        is_room.then(|| (turn(Point::new(x, middle + half)), turn(Point::new(x, middle - half))))
    };
    let parts: &[f64] = if name.is_some() { &[0.2, 0.8, 0.5, 0.1, 0.9] } else { &[0.5] };
    parts.iter().find_map(arrow)
}

fn told(draft: &Draft, lay: &Lay, names: &[String]) -> String {
    let (room, length) = (draft.write(lay.cloth.room()), draft.write(lay.length));
    let folded = if lay.cloth.is_folded { ", folded along its length" } else { "" };
    let mut telling = Telling::new(&format!("{} {room} wide{folded}, the lay {length} long.", plain(lay.name)));
    telling.say("The grain runs up the page.");
    telling.list("Pieces:", names);
    telling.told()
}
