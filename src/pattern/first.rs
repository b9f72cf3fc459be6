//! What is pinned above the table: the plan of the tiles with the pieces on them, the draft in one figure, and all that is said of it.

use super::drawing::{Drawing, Ink};
use super::fault::PatternFault;
use super::named::Named;
use super::page::Sheet;
use super::paper::{FOOT, OVERLAP};
use super::pdf::{Layer, Page, Tag};
use super::pinned::{Kind, paragraphs};
use super::small::small;
use super::tiles::{Block, tile_name};
use super::words::broken;
use crate::draft::Draft;
use crate::figure;
use crate::geometry::Point;

/// Tiles glued together, with the pieces as they lie on them: each with its title.
pub(super) struct Planned<'p> {
    pub block: &'p Block,
    pub pieces: Vec<(&'p str, &'p Drawing)>,
}

/// Between the column of text and the figure.
const GUTTER: f64 = 6.0;

/// The first page, and as many more as its text takes; without a plan, where no tiles follow.
pub(super) fn first(sheet: &Sheet, draft: &Draft, plan: &[Planned], named: &Named) -> Result<Vec<Page>, PatternFault> {
    let (width, height) = sheet.paper.field();
    let (left, foot) = sheet.paper.corner();
    let top = foot + FOOT + height;
    let mut pages = Vec::new();
    let mut layers = Vec::new();
    let mut y = top - 7.0;
    let mut head = Drawing::default();
    head.write(sheet.letters, &sheet.title, Point::new(left, y), 6.0, 0);
    if let Some(line) = named.line() {
        y -= 6.0;
        head.write(sheet.letters, &sheet.letters.set(&line)?, Point::new(left, y), 3.6, 0);
    }
    layers.push(Layer { drawing: head, clip: None, tag: Tag::Heading });
    if !plan.is_empty() {
        let (drawing, below) = planned(sheet, plan, Point::new(left, y - 4.0))?;
        y = below;
        let says = "The tiles by their letters, and which pieces lie on them.".to_owned();
        layers.push(Layer { drawing, clip: None, tag: Tag::Figure { title: "Plan of the tiles".to_owned(), says } });
    }
    let whole = figure::whole(draft);
    let room = (width * 0.48, y - 4.0 - (foot + FOOT + 4.0));
    let drawn = small(&whole, sheet.letters, room);
    let taken = drawn.bounds().map_or(Point::default(), |area| Point::new(area.width(), area.height()));
    let figure_foot = y - 4.0 - taken.y;
    let drawing = drawn.moved(false, Point::new(left + width - taken.x, y - 4.0));
    let tag = Tag::Figure { title: whole.title().to_owned(), says: whole.description().to_owned() };
    layers.push(Layer { drawing, clip: None, tag });
    let mut is_first = true;
    for (kind, text) in paragraphs(draft, sheet.letters)? {
        let (size, tag) = match kind {
            Kind::Heading => (4.0, Tag::Heading),
            Kind::Body => (2.8, Tag::Text),
        };
        let beside = is_first && y > figure_foot - 2.0;
        let lines = broken(sheet.letters, &text, size, if beside { width - taken.x - GUTTER } else { width });
        // A heading stays with what it heads.
        let needed = match kind {
            Kind::Heading => size * 3.0,
            Kind::Body => lines.len() as f64 * size * LEADING,
        };
        if y - needed < foot + FOOT + 1.0 {
            pages.push(sheet.page(std::mem::take(&mut layers), "to pin up"));
            y = top;
            is_first = false;
        }
        let mut drawing = Drawing::default();
        for line in lines {
            y -= size * LEADING;
            drawing.write(sheet.letters, &line, Point::new(left, y), size, 0);
        }
        layers.push(Layer { drawing, clip: None, tag });
        y -= size * 0.25;
    }
    pages.push(sheet.page(layers, "to pin up"));
    Ok(pages)
}

const LEADING: f64 = 1.4;

/// How the tiles lie, small, and the pieces on them; with it where it ends below.
fn planned(sheet: &Sheet, plan: &[Planned], at: Point) -> Result<(Drawing, f64), PatternFault> {
    let (width, height) = sheet.paper.field();
    let (across, up) = (width - OVERLAP, height - OVERLAP);
    let columns: usize = plan.iter().map(|planned| planned.block.columns).sum();
    let rows = plan.iter().map(|planned| planned.block.rows).max().unwrap_or(1);
    let gaps = 4.0 * plan.len() as f64;
    let scale = ((width - gaps) / (columns as f64 * across)).min(60.0 / (rows as f64 * up)).min(0.2);
    let mut page = Drawing::default();
    let (mut x, mut above) = (at.x, 0);
    let mut legend = Vec::new();
    for Planned { block, pieces } in plan {
        for (column, row) in block.tiles() {
            let p = |dx: f64, dy: f64| {
                Point::new(x + (column as f64 + dx) * across * scale, at.y - (row as f64 + dy) * up * scale)
            };
            page.ring(Ink::Sheet, vec![p(0.0, 0.0), p(1.0, 0.0), p(1.0, 1.0), p(0.0, 1.0)]);
            let size = (up * scale * 0.16).min(3.0);
            page.write(sheet.letters, &tile_name(column, above + row), p(0.06, 0.24), size, 0);
        }
        let foot = at.y - block.rows as f64 * up * scale;
        for (_, drawing) in pieces {
            for stroke in
                drawing.strokes.iter().filter(|stroke| matches!(stroke.ink, Ink::Cut | Ink::CutOut | Ink::Mirror))
            {
                let mut small = stroke.clone();
                small.ink = Ink::Cut;
                small.points.iter_mut().for_each(|point| {
                    *point = Point::new(x + point.x * scale, foot + point.y * scale);
                });
                page.strokes.push(small);
            }
        }
        let last = tile_name(block.columns - 1, above + block.rows - 1);
        let names: Vec<&str> = pieces.iter().map(|(title, _)| *title).collect();
        let first = tile_name(0, above);
        let tiles = if first == last { first } else { format!("{first} to {last}") };
        legend.push(format!("{tiles}: {}", names.join(", ")));
        x += block.columns as f64 * across * scale + 4.0;
        above += block.rows;
    }
    let mut y = at.y - rows as f64 * up * scale - 1.0;
    let how = "Join the tiles by their letters: cut off the edges marked to be cut, lay each on its neighbour's glue line, and \
               glue. Cut the cloth only when both test squares are right.";
    for text in legend.iter().map(String::as_str).chain([how]) {
        for line in broken(sheet.letters, &sheet.letters.set(text)?, 2.8, width) {
            y -= 4.0;
            page.write(sheet.letters, &line, Point::new(at.x, y), 2.8, 0);
        }
    }
    Ok((page, y - 2.0))
}
