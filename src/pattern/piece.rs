//! A piece as it is drawn at true size, with what has to stand on it.

use super::drawing::{Drawing, Ink, Stroke, Writing};
use super::fault::PatternFault;
use super::font::Letters;
use super::named::Named;
use super::places::{around_the_middle, is_clear, longest};
use super::said::{said, to_mark_by};
use super::words::broken;
use crate::draft::{CutPiece, Draft, Mark};
use crate::exercise::Pen;
use crate::geometry::{Bounds, Edge, Finish, Point};
use crate::length::Length;

/// How pieces are drawn.
pub(super) struct Hand<'h> {
    pub letters: &'h Letters,
    pub named: &'h Named,
    /// How closely curves are followed, in millimetres.
    pub near: f64,
    /// How far a line may be off, where the pattern is to mark by.
    pub off: Option<Length>,
}

/// A piece, drawn in the millimetres of its draft.
pub(super) struct Drawn<'e> {
    pub cut: CutPiece<'e>,
    pub drawing: Drawing,
    pub bounds: Bounds,
    /// What a reader hears of it.
    pub says: String,
}

/// Every piece of a draft.
///
/// # Errors
/// The first that can't be drawn, or a name that can't be written on it.
pub(super) fn all<'e>(draft: &Draft<'e>, hand: &Hand) -> Result<Vec<Drawn<'e>>, PatternFault> {
    let cut = |piece| draft.piece(piece).map_err(|fault| PatternFault(format!("{}: {fault}", piece.title)));
    let site = Site { is_turned: false, is_good: &|_| true };
    draft.pieces().map(|piece| drawn(draft, cut(piece)?, hand, &site)).collect()
}

/// Where a piece will lie: whether it is turned by a quarter against the clock, and which places on it are good to write on.
pub(super) struct Site<'s> {
    pub is_turned: bool,
    pub is_good: &'s dyn Fn(&Bounds) -> bool,
}

/// A piece's drawing.
pub(super) fn drawn<'e>(
    draft: &Draft<'e>,
    cut: CutPiece<'e>,
    hand: &Hand,
    site: &Site,
) -> Result<Drawn<'e>, PatternFault> {
    let outline = cut.outline.cutting_near(hand.near);
    let mut drawing = Drawing::default();
    lines(&mut drawing, &cut, &outline, hand.near);
    let area = cut.outline.cutting_bounds();
    let mut writer = Writer { drawing, hand, area, outline, site };
    for mark in &cut.marks {
        writer.mark(mark)?;
    }
    for edge in cut.outline.edges().iter().filter(|edge| matches!(edge.finish, Finish::Hem(_))) {
        let (from, to) = (edge.from(), edge.to());
        let is_of = |mark: &Mark| {
            let Mark::Lines { lines, label: Some(_), .. } = mark else { return false };
            lines.iter().any(|(a, b)| on(edge, *a) && on(edge, *b))
        };
        if cut.marks.iter().any(is_of) {
            continue;
        }
        writer.name("hem fold", from.towards(to, 0.3), is_steep(from, to))?;
    }
    if let Some(fold) = cut.outline.fold() {
        writer.fold(fold);
    }
    let said = match hand.off {
        None => said(draft, &cut, hand.named, hand.letters)?,
        Some(off) => to_mark_by(draft, &cut, off, hand.named, hand.letters)?,
    };
    writer.block(&said);
    writer.grain(cut.piece.grain_up);
    let mut drawing = writer.drawing;
    if let Some(off) = hand.off {
        let bands = drawing.strokes.iter().filter(|stroke| stroke.ink.is_drafted());
        let band =
            |stroke: &Stroke| Stroke { ink: Ink::Band((off.nm() / 500).unsigned_abs() as u32), ..stroke.clone() };
        // Below everything else.
        drawing.strokes = bands.map(band).chain(drawing.strokes.iter().cloned()).collect();
    }
    let bounds = drawing.bounds().unwrap_or(area);
    Ok(Drawn { cut, drawing, bounds, says: said.join("; ") })
}

fn is_steep(from: Point, to: Point) -> bool {
    (from.x - to.x).abs() < (from.y - to.y).abs()
}

/// Cutting line, fold edge and stitching lines.
fn lines(drawing: &mut Drawing, cut: &CutPiece, corners: &[Point], near: f64) {
    let fold = cut.outline.fold();
    let count = corners.len();
    let is_fold = |at: usize| fold.is_some_and(|fold| on(fold, corners[at]) && on(fold, corners[(at + 1) % count]));
    match (0..count).find(|at| is_fold(*at) && !is_fold((at + 1) % count)) {
        None => drawing.ring(Ink::Cut, corners.to_vec()),
        Some(last) => {
            let sides = (1..count).take_while(|step| !is_fold((last + step) % count)).count();
            let run = |from: usize, sides: usize| (0..=sides).map(|at| corners[(from + at) % count]).collect();
            drawing.line(Ink::Cut, run(last + 1, sides));
            drawing.line(Ink::Mirror, run(last + 1 + sides, count - sides));
        }
    }
    for edge in cut.outline.edges().iter().filter(|edge| edge.finish.width() > 0.0) {
        let ink = if matches!(edge.finish, Finish::Hem(_)) { Ink::Fold } else { Ink::Stitch };
        drawing.line(ink, edge.curve.steps(0.0, near).into_iter().map(|t| edge.curve.at(t)).collect());
    }
}

fn on(edge: &Edge, point: Point) -> bool {
    let out = edge.outward(0.0);
    let from = edge.from();
    ((point.x - from.x) * out.x + (point.y - from.y) * out.y).abs() < 1e-6
}

struct Writer<'w> {
    drawing: Drawing,
    hand: &'w Hand<'w>,
    area: Bounds,
    outline: Vec<Point>,
    site: &'w Site<'w>,
}

impl Writer<'_> {
    fn mark(&mut self, mark: &Mark) -> Result<(), PatternFault> {
        match mark {
            Mark::Lines { lines, pen, label } => {
                for (from, to) in lines {
                    self.pen(*pen, vec![*from, *to]);
                }
                if let (Some((from, to)), Some(label)) = (lines.first(), label) {
                    self.name(label, from.towards(*to, 0.1), is_steep(*from, *to))?;
                }
            }
            Mark::Arc { curve, pen, label } => {
                self.pen(*pen, curve.steps(0.0, self.hand.near).into_iter().map(|t| curve.at(t)).collect());
                if let Some(label) = label {
                    self.name(label, curve.at(0.1), false)?;
                }
            }
            Mark::Spot { at, label } => {
                let p = |x: f64, y: f64| Point::new(at.x + x, at.y + y);
                self.drawing.line(Ink::Spot, vec![p(-3.0, 0.0), p(3.0, 0.0)]);
                self.drawing.line(Ink::Spot, vec![p(0.0, -3.0), p(0.0, 3.0)]);
                if let Some(label) = label {
                    self.name(label, *at, false)?;
                }
            }
            Mark::Notch { at, outward, allowance } => {
                // Less than half-way to the stitching line, so that no snip reaches the seam.
                let depth = if *allowance > 0.0 { (allowance * 0.45).min(4.0) } else { 3.0 };
                let p = |out: f64, beside: f64| {
                    let (x, y) = (outward.x, outward.y);
                    Point::new(at.x + x * out - y * beside, at.y + y * out + x * beside)
                };
                let wedge = vec![p(*allowance, 1.3), p(allowance - depth, 0.0), p(*allowance, -1.3)];
                self.drawing.line(Ink::Notch, wedge);
            }
            Mark::Objects { .. } | Mark::Measure { .. } => {}
        }
        Ok(())
    }

    fn pen(&mut self, pen: Pen, points: Vec<Point>) {
        let ink = match pen {
            Pen::Cut => Ink::CutOut,
            Pen::Stitch => Ink::Stitch,
            Pen::Baste => Ink::Baste,
            Pen::Fold => Ink::Fold,
            Pen::Edge | Pen::Gap => Ink::Drawn,
            Pen::Guide => Ink::Guide,
        };
        if pen == Pen::Gap {
            // An opening is what lies between two ticks across the seam, aslant, so that they are no other line's.
            if let [from, to] = points[..] {
                let length = from.distance(to).max(1e-9);
                let (x, y) = ((to.x - from.x) / length, (to.y - from.y) / length);
                let (x, y) = (4.0 * y + 2.0 * x, 2.0 * y - 4.0 * x);
                for end in [from, to] {
                    self.drawing.line(ink, vec![Point::new(end.x - x, end.y - y), Point::new(end.x + x, end.y + y)]);
                }
            }
            return;
        }
        // A mark along a line of the outline is that line.
        if let [from, to] = points[..]
            && self.drawing.strokes.iter().any(|stroke| stroke.covers(from, to))
        {
            return;
        }
        self.drawing.line(ink, points);
    }

    fn is_clear(&self, area: &Bounds) -> bool {
        (self.site.is_good)(area) && is_clear(&self.drawing, &self.outline, area)
    }

    /// A mark's name, within the piece and clear of other names.
    fn name(&mut self, label: &str, at: Point, is_upright: bool) -> Result<(), PatternFault> {
        let text = self.hand.letters.set(label)?;
        let width = self.hand.letters.width(&text, NAME);
        let places = (0..24).flat_map(|step| {
            let along = 1.0 + f64::from(step) * 4.0;
            [(along, 1.0), (along, -3.2), (-along - width, 1.0), (-along - width, -3.2)]
        });
        let quarters = u8::from(is_upright);
        let writing = |(along, beside): (f64, f64)| {
            let by = if is_upright { (-beside, along) } else { (along, beside) };
            let at = Point::new(at.x + by.0, at.y + by.1);
            Writing { text: text.clone(), at, size: NAME, quarters, width }
        };
        let best = places.map(writing).find(|writing| self.is_clear(&writing.bounds()));
        self.drawing.writings.push(best.unwrap_or_else(|| writing((1.0, 1.0))));
        Ok(())
    }

    /// The bracket at the fold, and its word, in the first of some places that is free.
    fn fold(&mut self, fold: &Edge) {
        let (from, to, out) = (fold.from(), fold.to(), fold.outward(0.0));
        let length = from.distance(to);
        let into = |point: Point, by: f64| Point::new(point.x - out.x * by, point.y - out.y * by);
        let is_upright = out.x.abs() > out.y.abs();
        let width = self.hand.letters.width(FOLD, 5.0);
        let word = |depth: f64, along: f64| {
            let middle = into(from.towards(to, along), depth / 2.0);
            let (by, quarters) = if is_upright { ((1.8, -width / 2.0), 1) } else { ((-width / 2.0, -1.8), 0) };
            let at = Point::new(middle.x + by.0, middle.y + by.1);
            Writing { text: FOLD.to_owned(), at, size: 5.0, quarters, width }
        };
        let places = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8]
            .into_iter()
            .flat_map(|along| [8.0, 12.0, 18.0, 24.0].map(|depth| (depth, along)));
        let free = places.clone().find(|(depth, along)| {
            let within = inset(length) + width / 2.0 / length;
            (within..=1.0 - within).contains(along) && self.is_clear(&word(*depth, *along).bounds())
        });
        let (depth, along) = free.unwrap_or((8.0, 0.5));
        let (a, d) = (from.towards(to, inset(length)), from.towards(to, 1.0 - inset(length)));
        self.drawing.line(Ink::Sign, vec![a, into(a, depth), into(d, depth), d]);
        for tip in [a, d] {
            self.head(tip, into(tip, depth));
        }
        self.drawing.writings.push(word(depth, along));
    }

    fn head(&mut self, tip: Point, from: Point) {
        let length = tip.distance(from).max(1e-9);
        let (x, y) = ((from.x - tip.x) / length, (from.y - tip.y) / length);
        let wing = |side: f64| Point::new(tip.x + 3.0 * x - side * y, tip.y + 3.0 * y + side * x);
        self.drawing.line(Ink::Sign, vec![wing(1.0), tip, wing(-1.0)]);
    }

    /// What the piece is: where nothing else is drawn, as large as it fits; beside the piece, where it does not.
    fn block(&mut self, said: &[String]) {
        let letters = self.hand.letters;
        let set = |size: f64, most: f64| -> Vec<String> {
            said.iter().flat_map(|line| broken(letters, line, size, most)).collect()
        };
        for size in [4.0, 3.2, 2.6, 2.2] {
            // Turned, it is not to stand on its head.
            for quarters in [0, if self.site.is_turned { 3 } else { 1 }] {
                let (along, across) = if quarters == 0 {
                    (self.area.width(), self.area.height())
                } else {
                    (self.area.height(), self.area.width())
                };
                for part in [0.45, 0.7, 0.3, 0.92] {
                    let lines = set(size, (along * part).min(size * MOST_ALONG));
                    let wide = lines.iter().map(|line| letters.width(line, size)).fold(0.0, f64::max);
                    let high = lines.len() as f64 * size * LEADING;
                    if wide > along || high > across {
                        continue;
                    }
                    if let Some(top) = self.place(wide, high, quarters) {
                        self.lines(&lines, top, size, quarters);
                        return;
                    }
                }
            }
        }
        let lines = set(NAME, self.area.width().max(60.0));
        let top = self.area.most.y + 2.0 + lines.len() as f64 * NAME * LEADING;
        self.lines(&lines, Point::new(self.area.least.x, top), NAME, 0);
    }

    /// The upper left corner of a free box, as the text in it is read: near the middle.
    fn place(&self, wide: f64, high: f64, quarters: u8) -> Option<Point> {
        let (width, height) = if quarters == 0 { (wide, high) } else { (high, wide) };
        let at = around_the_middle(&self.area, width, height).into_iter().find(|at| {
            self.is_clear(&Bounds {
                least: Point::new(at.x - 1.5, at.y - 1.5),
                most: Point::new(at.x + width + 1.5, at.y + height + 1.5),
            })
        })?;
        Some(match quarters {
            0 => Point::new(at.x, at.y + high),
            3 => Point::new(at.x + width, at.y + height),
            _ => at,
        })
    }

    fn lines(&mut self, lines: &[String], top: Point, size: f64, quarters: u8) {
        for (index, line) in lines.iter().enumerate() {
            let down = size * (index as f64 * LEADING + 1.05);
            let at = match quarters {
                0 => Point::new(top.x, top.y - down),
                3 => Point::new(top.x - down, top.y),
                _ => Point::new(top.x + down, top.y),
            };
            self.drawing.write(self.hand.letters, line, at, size, quarters);
        }
    }

    /// The grain arrow: along the grain, as long as it can be without meeting a text.
    fn grain(&mut self, is_up: bool) {
        let Some(ends) = longest(&self.drawing, &self.outline, &self.area, is_up) else { return };
        self.drawing.line(Ink::Grain, ends.to_vec());
        self.head(ends[0], ends[1]);
        self.head(ends[1], ends[0]);
    }
}

/// From an end of the fold to its bracket, as a part of the fold.
fn inset(length: f64) -> f64 {
    (0.1 * length).min(15.0) / length
}

const FOLD: &str = "FOLD";
/// How high the letters of a mark's name are.
const NAME: f64 = 2.6;
/// From line to line.
const LEADING: f64 = 1.4;
/// A line of what is said is no longer than this many times its letters are high.
const MOST_ALONG: f64 = 26.0;
