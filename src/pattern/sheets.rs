//! The sheets of a pattern: what is pinned above the table with the plan of the tiles, and then tile after tile.

use super::drawing::{Drawing, Ink, Writing};
use super::fault::PatternFault;
use super::font::Letters;
use super::named::Named;
use super::paper::{FOOT, OVERLAP, Paper};
use super::pdf::{Layer, Page, written};
use super::piece::drawn;
use super::pinned::paragraphs;
use super::tiles::{Block, lay};
use super::words::broken;
use crate::draft::Draft;
use crate::geometry::{Bounds, Point};

/// So many tiles are glued together at the most.
const MOST_TILES: usize = 200;

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
    let letters = Letters::new()?;
    let mut pieces = Vec::new();
    for piece in draft.pieces() {
        let told = |fault: String| PatternFault(format!("{}: {fault}", piece.title));
        let cut = draft.piece(piece).map_err(|fault| told(fault.to_string()))?;
        let drawing = drawn(draft, &cut, named, &letters)?;
        let bounds = drawing.bounds().ok_or_else(|| told("there is nothing to draw".to_owned()))?;
        pieces.push((piece.title.clone(), drawing, bounds));
    }
    // Half a line's width, and a little.
    let sizes: Vec<(f64, f64)> =
        pieces.iter().map(|(_, _, bounds)| (bounds.width() + 2.0, bounds.height() + 2.0)).collect();
    let field = paper.field();
    let blocks = lay(&sizes, field);
    let count: usize = blocks.iter().map(|block| block.columns * block.rows).sum();
    if count > MOST_TILES {
        return Err(PatternFault(format!(
            "the pattern would take {count} sheets, and more than {MOST_TILES} can't be glued together so that they are \
             true; choose a larger paper, such as --paper 841x1189"
        )));
    }
    let laid: Vec<Vec<Drawing>> = blocks
        .iter()
        .map(|block| {
            let put = |laid: &super::tiles::Laid| {
                let turned = pieces[laid.piece].1.moved(laid.is_turned, Point::default());
                let least = turned.bounds().map_or(Point::default(), |bounds| bounds.least);
                let by = Point::new(laid.at.x + 1.0 - least.x, laid.at.y + 1.0 - least.y);
                turned.moved(false, by)
            };
            block.laid.iter().map(put).collect()
        })
        .collect();
    let title = letters.set(&draft.exercise.title)?;
    let sheets = Sheets { letters: &letters, paper, field, title };
    let titles: Vec<&str> = pieces.iter().map(|(title, _, _)| title.as_str()).collect();
    let mut pages = sheets.first(draft, &blocks, &titles, named)?;
    let mut row = 0;
    for (block, drawings) in blocks.iter().zip(&laid) {
        for tile in tiles(block) {
            pages.push(sheets.tile(block, drawings, tile, row));
        }
        row += block.rows;
    }
    written(&pages, &letters, &sheets.title)
}

/// The tiles of a block that something lies on: column from the left, row from the top; all of them, for the paper is
/// needed wherever the piece is.
fn tiles(block: &Block) -> impl Iterator<Item = (usize, usize)> + '_ {
    (0..block.rows).flat_map(|row| (0..block.columns).map(move |column| (column, row)))
}

/// A tile's letter and number: every row of the whole pattern has its own letter.
fn tile_name(column: usize, row: usize) -> String {
    let letter = char::from(b'A' + (row % 26) as u8);
    format!("{}{}", String::from(letter).repeat(row / 26 + 1), column + 1)
}

struct Sheets<'l> {
    letters: &'l Letters,
    paper: Paper,
    field: (f64, f64),
    title: String,
}

impl Sheets<'_> {
    fn write(&self, into: &mut Drawing, text: &str, at: Point, size: f64, quarters: u8) {
        let width = self.letters.width(text, size);
        into.writings.push(Writing { text: text.to_owned(), at, size, quarters, width });
    }

    /// The test squares, and what to do where they measure wrong. What a page is called stands beside them.
    fn foot(&self, name: &str) -> Drawing {
        let mut foot = Drawing::default();
        let square = |foot: &mut Drawing, left: f64, side: f64| {
            let p = |x: f64, y: f64| Point::new(left + x, 1.0 + y);
            foot.ring(Ink::Thin, vec![p(0.0, 0.0), p(side, 0.0), p(side, side), p(0.0, side)]);
        };
        square(&mut foot, 1.0, 50.0);
        square(&mut foot, 56.0, 50.8);
        self.write(&mut foot, "5 cm", Point::new(18.0, 24.0), 5.0, 0);
        self.write(&mut foot, "2 in", Point::new(75.0, 24.0), 5.0, 0);
        self.write(&mut foot, name, Point::new(111.0, 44.0), 8.0, 0);
        let told = [
            self.title.as_str(),
            "Measure the squares before you cut: within half a millimetre of 5 cm and of 2 in is right.",
            "If they measure wrong, this page was scaled. Print it again with \"Actual size\", \"100 %\" or \"No scaling\". \
             48.6 mm in place of 50 mm means \"Fit to page\".",
        ];
        let lines = told.iter().flat_map(|text| broken(self.letters, text, 2.8, 77.0));
        for (index, line) in lines.enumerate() {
            self.write(&mut foot, &line, Point::new(111.0, 38.0 - index as f64 * 4.0), 2.8, 0);
        }
        foot
    }

    fn page(&self, mut layers: Vec<Layer>, name: &str) -> Page {
        let (x, y) = self.paper.corner();
        layers.push(Layer { drawing: self.foot(name).moved(false, Point::new(x, y)), clip: None });
        Page { width: self.paper.width, height: self.paper.height, layers }
    }

    fn tile(&self, block: &Block, drawings: &[Drawing], (column, row): (usize, usize), above: usize) -> Page {
        let (width, height) = self.field;
        let (left, foot) = self.paper.corner();
        let corner = Point::new(left, foot + FOOT);
        // Where the field's corner lies on the block: rows are counted from the top.
        let x = column as f64 * (width - OVERLAP);
        let y = (block.rows - 1 - row) as f64 * (height - OVERLAP);
        let clip = Bounds { least: corner, most: Point::new(corner.x + width, corner.y + height) };
        let shown = Bounds { least: Point::new(x, y), most: Point::new(x + width, y + height) };
        let mut layers: Vec<Layer> = drawings
            .iter()
            .filter(|drawing| drawing.bounds().is_some_and(|bounds| meets(&bounds, &shown)))
            .map(|drawing| Layer {
                drawing: drawing.moved(false, Point::new(corner.x - x, corner.y - y)),
                clip: Some(clip),
            })
            .collect();
        let name = |column: usize, row: usize| tile_name(column, above + row);
        let own = name(column, row);
        let mut joins = Drawing::default();
        let p = |x: f64, y: f64| Point::new(corner.x + x, corner.y + y);
        if column > 0 {
            joins.line(Ink::Thin, vec![p(0.0, 0.0), p(0.0, height)]);
            let text = format!("{own}: cut here, lay on {}", name(column - 1, row));
            self.write(&mut joins, &text, p(3.2, height * 0.2), 2.2, 1);
        }
        if row + 1 < block.rows {
            joins.line(Ink::Thin, vec![p(0.0, 0.0), p(width, 0.0)]);
            let text = format!("{own}: cut here, lay on {}", name(column, row + 1));
            self.write(&mut joins, &text, p(width * 0.2, 1.2), 2.2, 0);
        }
        if column + 1 < block.columns {
            let at = width - OVERLAP;
            joins.line(Ink::Thin, vec![p(at, 0.0), p(at, height)]);
            let text = format!("{own}: glue {} on here, up to the line", name(column + 1, row));
            self.write(&mut joins, &text, p(width - 1.2, height * 0.2), 2.2, 1);
        }
        if row > 0 {
            let at = height - OVERLAP;
            joins.line(Ink::Thin, vec![p(0.0, at), p(width, at)]);
            let text = format!("{own}: glue {} on here, down to the line", name(column, row - 1));
            self.write(&mut joins, &text, p(width * 0.2, height - 3.2), 2.2, 0);
        }
        layers.push(Layer { drawing: joins, clip: None });
        self.page(layers, &own)
    }

    /// The first page, and as many more as its text takes.
    fn first(
        &self,
        draft: &Draft,
        blocks: &[Block],
        titles: &[&str],
        named: &Named,
    ) -> Result<Vec<Page>, PatternFault> {
        let (width, height) = self.field;
        let (left, foot) = self.paper.corner();
        let mut page = Drawing::default();
        let mut pages = Vec::new();
        let top = foot + FOOT + height;
        let mut y = top - 7.0;
        self.write(&mut page, &self.title, Point::new(left, y), 6.0, 0);
        let whose: Vec<&str> = [&named.maker, &named.date].into_iter().flatten().map(String::as_str).collect();
        if !whose.is_empty() {
            y -= 6.0;
            self.write(&mut page, &self.letters.set(&whose.join(" · "))?, Point::new(left, y), 3.6, 0);
        }
        y = self.plan(&mut page, blocks, titles, Point::new(left, y - 4.0))?;
        for (size, text) in paragraphs(draft, self.letters)? {
            for line in broken(self.letters, &text, size, width) {
                y -= size * 1.4;
                if y < foot + FOOT + 1.0 {
                    let layers = vec![Layer { drawing: std::mem::take(&mut page), clip: None }];
                    pages.push(self.page(layers, "to pin up"));
                    y = top - size * 1.4;
                }
                self.write(&mut page, &line, Point::new(left, y), size, 0);
            }
            y -= size * 0.25;
        }
        pages.push(self.page(vec![Layer { drawing: page, clip: None }], "to pin up"));
        Ok(pages)
    }

    /// How the tiles lie, small; returns where it ends below.
    fn plan(&self, page: &mut Drawing, blocks: &[Block], titles: &[&str], at: Point) -> Result<f64, PatternFault> {
        let (width, height) = self.field;
        let (across, up) = (width - OVERLAP, height - OVERLAP);
        let columns: usize = blocks.iter().map(|block| block.columns).sum();
        let rows = blocks.iter().map(|block| block.rows).max().unwrap_or(1);
        let gaps = 4.0 * blocks.len() as f64;
        let scale = ((width - gaps) / (columns as f64 * across)).min(60.0 / (rows as f64 * up)).min(0.1);
        let (mut x, mut above) = (at.x, 0);
        let mut legend = Vec::new();
        for block in blocks {
            for (column, row) in tiles(block) {
                let p = |dx: f64, dy: f64| {
                    Point::new(x + (column as f64 + dx) * across * scale, at.y - (row as f64 + dy) * up * scale)
                };
                page.ring(Ink::Thin, vec![p(0.0, 0.0), p(1.0, 0.0), p(1.0, 1.0), p(0.0, 1.0)]);
                let name = tile_name(column, above + row);
                self.write(page, &name, p(0.08, 0.3), (up * scale * 0.2).min(3.0), 0);
            }
            let last = tile_name(block.columns - 1, above + block.rows - 1);
            let names: Vec<&str> = block.laid.iter().map(|laid| titles[laid.piece]).collect();
            legend.push(format!("{} to {last}: {}", tile_name(0, above), names.join(", ")));
            x += block.columns as f64 * across * scale + 4.0;
            above += block.rows;
        }
        let mut y = at.y - rows as f64 * up * scale - 1.0;
        let how = "Join the tiles by their letters: cut off the edges marked to be cut, lay each on its neighbour's glue \
                   line, and glue. Cut the cloth only when both test squares are right.";
        for text in legend.iter().map(String::as_str).chain([how]) {
            for line in broken(self.letters, &self.letters.set(text)?, 2.8, width) {
                y -= 4.0;
                self.write(page, &line, Point::new(at.x, y), 2.8, 0);
            }
        }
        Ok(y - 2.0)
    }
}

fn meets(one: &Bounds, other: &Bounds) -> bool {
    one.least.x < other.most.x && other.least.x < one.most.x && one.least.y < other.most.y && other.least.y < one.most.y
}
