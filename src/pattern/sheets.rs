//! The sheets of a pattern: what is pinned above the table with the plan of the tiles, and then tile after tile.

use super::drawing::{Drawing, Ink, meet};
use super::fault::PatternFault;
use super::first::{Planned, first};
use super::font::Letters;
use super::named::Named;
use super::page::Sheet;
use super::paper::{FOOT, OVERLAP, Paper};
use super::pdf::{Layer, Page, Tag, written};
use super::piece::{Drawn, Hand, Site, all, drawn};
use super::tiles::{Block, Laid, is_clear, is_whole, lay, tile_name};
use crate::draft::Draft;
use crate::geometry::{Bounds, Point};
use crate::length::{Length, Unit};

/// So many tiles are glued together at the most.
const MOST_TILES: usize = 200;
/// How closely curves are followed, in millimetres.
const NEAR: f64 = 0.01;
/// Around a piece: half a line's width, and a little.
const BESIDE: f64 = 1.0;

/// The pattern of a draft as a PDF at true size, on sheets of paper. The same draft gives the same bytes.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler, pattern::{self, Named, Paper}};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// assert!(pattern::pdf(&draft, Paper::A4, &Named::default()).unwrap().starts_with(b"%PDF-1.7"));
/// ```
///
/// # Errors
/// A piece that can't be drawn, more tiles than can be glued, or a name in a script that can't be set.
pub fn pdf(draft: &Draft, paper: Paper, named: &Named) -> Result<Vec<u8>, PatternFault> {
    tiled(draft, paper, named, None)
}

/// The same to mark work on paper by: every line that is drafted in a grey band, half of it as wide as the line may be off.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler, pattern::{self, Named, Paper}};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let off = Ruler::EIGHTH.tick();
/// assert!(pattern::overlay(&draft, Paper::A4, &Named::default(), off).unwrap().starts_with(b"%PDF-1.7"));
/// ```
///
/// # Errors
/// As of any pattern; and a line that may be off by nothing, or by more than an inch.
pub fn overlay(draft: &Draft, paper: Paper, named: &Named, off: Length) -> Result<Vec<u8>, PatternFault> {
    if !(Length::from_nm(1)..=Unit::Inch.length()).contains(&off) {
        return Err(PatternFault(format!(
            "a line can't be off by {}; write more than nothing and at most {}",
            draft.write(off),
            draft.write(Unit::Inch.length())
        )));
    }
    tiled(draft, paper, named, Some(off))
}

fn tiled(draft: &Draft, paper: Paper, named: &Named, off: Option<Length>) -> Result<Vec<u8>, PatternFault> {
    let letters = Letters::new()?;
    let hand = Hand { letters: &letters, named, near: NEAR, off };
    let pieces = all(draft, &hand)?;
    let field = paper.field();
    let size = |piece: &Drawn| (piece.bounds.width() + 2.0 * BESIDE, piece.bounds.height() + 2.0 * BESIDE);
    let blocks = lay(&pieces.iter().map(size).collect::<Vec<_>>(), field);
    few_enough(&blocks, &pieces, draft)?;
    let mut laid: Vec<Vec<(&Drawn, Drawing)>> = Vec::new();
    for block in &blocks {
        let mut of_block = Vec::new();
        for on in &block.laid {
            let piece = &pieces[on.piece];
            of_block.push((piece, put(draft, piece, on, block, field, &hand)?));
        }
        laid.push(of_block);
    }
    let plan: Vec<Planned> = blocks
        .iter()
        .zip(&laid)
        .map(|(block, laid)| {
            let pieces = laid.iter().map(|(piece, drawing)| (piece.cut.piece.title.as_str(), drawing)).collect();
            Planned { block, pieces }
        })
        .collect();
    let to_mark_by = if off.is_some() { ": to mark by" } else { "" };
    let title = letters.set(&format!("{}{to_mark_by}", draft.exercise.title))?;
    let sheet = Sheet { letters: &letters, paper, title };
    let mut pages = first(&sheet, draft, &plan, named)?;
    let mut above = 0;
    for (block, drawings) in blocks.iter().zip(&laid) {
        pages.extend(block.tiles().map(|at| tile(&sheet, block, drawings, at, above)));
        above += block.rows;
    }
    written(&pages, &letters, &sheet.title)
}

/// Only what is pinned above the table: objects, givens, every measure with its sum, what to cut, and what can hurt.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler, pattern::{self, Named, Paper}};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let pinned = pattern::pinned(&draft, Paper::LETTER, &Named::default()).unwrap();
/// assert!(pinned.len() < pattern::pdf(&draft, Paper::LETTER, &Named::default()).unwrap().len());
/// ```
///
/// # Errors
/// A piece that can't be drawn, or a name in a script that can't be set.
pub fn pinned(draft: &Draft, paper: Paper, named: &Named) -> Result<Vec<u8>, PatternFault> {
    let letters = Letters::new()?;
    let sheet = Sheet { letters: &letters, paper, title: letters.set(&draft.exercise.title)? };
    written(&first(&sheet, draft, &[], named)?, &letters, &sheet.title)
}

fn few_enough(blocks: &[Block], pieces: &[Drawn], draft: &Draft) -> Result<(), PatternFault> {
    let count: usize = blocks.iter().map(Block::count).sum();
    if count <= MOST_TILES {
        return Ok(());
    }
    let largest = blocks.iter().max_by_key(|block| block.count()).and_then(|block| block.laid.first());
    let which = largest.map_or_else(String::new, |laid| {
        let piece = &pieces[laid.piece];
        let area = piece.cut.outline.cutting_bounds();
        let (width, height) = (draft.written(area.width()), draft.written(area.height()));
        format!(": the {} alone is {width} × {height}", piece.cut.piece.title.to_lowercase())
    });
    Err(PatternFault(format!(
        "the pattern would take {count} sheets{which}. More than {MOST_TILES} can't be glued together so that they are true; \
         choose a larger paper, such as --paper a0 or --paper 36inx200in, or write it as SVG or DXF"
    )))
}

/// A piece where it lies on its tiles. What is written on it stands on one tile, where there is such a place.
fn put(
    draft: &Draft,
    piece: &Drawn,
    laid: &Laid,
    block: &Block,
    (across, up): (f64, f64),
    hand: &Hand,
) -> Result<Drawing, PatternFault> {
    let turned = piece.drawing.moved(laid.is_turned, Point::default());
    let least = turned.bounds().map_or(Point::default(), |bounds| bounds.least);
    let by = Point::new(laid.at.x + BESIDE - least.x, laid.at.y + BESIDE - least.y);
    let straight = turned.moved(false, by);
    if block.count() == 1 && !laid.is_turned {
        return Ok(straight);
    }
    let along = |area: &Bounds| {
        let (from, long, high) = if laid.is_turned {
            (Point::new(-area.most.y, area.least.x), area.height(), area.width())
        } else {
            (area.least, area.width(), area.height())
        };
        [(from.x + by.x, long, across), (from.y + by.y, high, up)]
    };
    // Clear of the joins, or at least whole on a tile.
    let clear = |area: &Bounds| along(area).iter().all(|(from, length, field)| is_clear(*from, *length, *field));
    let whole = |area: &Bounds| along(area).iter().all(|(from, length, field)| is_whole(*from, *length, *field));
    for is_good in [&clear as &dyn Fn(&Bounds) -> bool, &whole] {
        let site = Site { is_turned: laid.is_turned, is_good };
        let again = drawn(draft, piece.cut.clone(), hand, &site)?;
        if again.bounds == piece.bounds {
            return Ok(again.drawing.moved(laid.is_turned, Point::default()).moved(false, by));
        }
    }
    Ok(straight)
}

fn tile(
    sheet: &Sheet,
    block: &Block,
    drawings: &[(&Drawn, Drawing)],
    (column, row): (usize, usize),
    above: usize,
) -> Page {
    let (width, height) = sheet.paper.field();
    let (left, foot) = sheet.paper.corner();
    let corner = Point::new(left, foot + FOOT);
    // Where the field's corner lies on the block: rows are counted from the top.
    let x = column as f64 * (width - OVERLAP);
    let y = (block.rows - 1 - row) as f64 * (height - OVERLAP);
    let clip = Bounds { least: corner, most: Point::new(corner.x + width, corner.y + height) };
    let shown = Bounds { least: Point::new(x, y), most: Point::new(x + width, y + height) };
    let mut layers: Vec<Layer> = drawings
        .iter()
        .filter(|(_, drawing)| drawing.bounds().is_some_and(|bounds| meet(&bounds, &shown)))
        .map(|(piece, drawing)| Layer {
            drawing: drawing.moved(false, Point::new(corner.x - x, corner.y - y)),
            clip: Some(clip),
            tag: Tag::Figure { title: piece.cut.piece.title.clone(), says: piece.says.clone() },
        })
        .collect();
    let name = |column: usize, row: usize| tile_name(column, above + row);
    let own = name(column, row);
    let mut joins = Drawing::default();
    let p = |x: f64, y: f64| Point::new(corner.x + x, corner.y + y);
    let write = |joins: &mut Drawing, text: &str, at: Point, quarters: u8| {
        joins.write(sheet.letters, text, at, 2.2, quarters);
    };
    if column > 0 {
        joins.line(Ink::Sheet, vec![p(0.0, 0.0), p(0.0, height)]);
        write(&mut joins, &format!("{own}: cut here, lay on {}", name(column - 1, row)), p(3.2, height * 0.2), 1);
    }
    if row + 1 < block.rows {
        joins.line(Ink::Sheet, vec![p(0.0, 0.0), p(width, 0.0)]);
        write(&mut joins, &format!("{own}: cut here, lay on {}", name(column, row + 1)), p(width * 0.2, 1.2), 0);
    }
    if column + 1 < block.columns {
        let at = width - OVERLAP;
        joins.line(Ink::Sheet, vec![p(at, 0.0), p(at, height)]);
        let text = format!("{own}: glue {} on here, up to the line", name(column + 1, row));
        write(&mut joins, &text, p(width - 1.2, height * 0.2), 1);
    }
    if row > 0 {
        let at = height - OVERLAP;
        joins.line(Ink::Sheet, vec![p(0.0, at), p(width, at)]);
        let text = format!("{own}: glue {} on here, down to the line", name(column, row - 1));
        write(&mut joins, &text, p(width * 0.2, height - 3.2), 0);
    }
    layers.push(Layer { drawing: joins, clip: None, tag: Tag::Text });
    sheet.page(layers, &own)
}
