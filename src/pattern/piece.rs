//! A piece as it is drawn at true size, with what has to stand on it.

use super::drawing::{Drawing, Ink, Writing, crosses};
use super::fault::PatternFault;
use super::font::Letters;
use super::named::Named;
use super::words::broken;
use crate::draft::{CutPiece, Draft, Mark};
use crate::exercise::Pen;
use crate::geometry::{Bounds, Edge, Finish, Point};

/// How closely curves are followed, in millimetres.
const NEAR: f64 = 0.02;

/// A piece's drawing, in the millimetres of its draft.
pub(super) fn drawn(draft: &Draft, cut: &CutPiece, named: &Named, letters: &Letters) -> Result<Drawing, PatternFault> {
    let mut drawing = Drawing::default();
    outlines(&mut drawing, cut);
    let mut piece = Writer { drawing, letters, area: cut.outline.cutting_bounds(), outline: cut.outline.cutting() };
    for mark in &cut.marks {
        piece.mark(mark)?;
    }
    if let Some(fold) = cut.outline.fold() {
        piece.fold(fold);
    }
    piece.block(&said(draft, cut, named, letters)?);
    piece.grain(cut.piece.grain_up);
    Ok(piece.drawing)
}

/// Cutting line, fold edge and stitching lines.
fn outlines(drawing: &mut Drawing, cut: &CutPiece) {
    let corners = cut.outline.cutting();
    let fold = cut.outline.fold();
    let count = corners.len();
    let is_fold = |at: usize| fold.is_some_and(|fold| on(fold, corners[at]) && on(fold, corners[(at + 1) % count]));
    match (0..count).find(|at| is_fold(*at) && !is_fold((at + 1) % count)) {
        None => drawing.ring(Ink::Cut, corners),
        Some(last) => {
            let sides = (1..count).take_while(|step| !is_fold((last + step) % count)).count();
            let run = |from: usize, sides: usize| (0..=sides).map(|at| corners[(from + at) % count]).collect();
            drawing.line(Ink::Cut, run(last + 1, sides));
            drawing.line(Ink::Fold, run(last + 1 + sides, count - sides));
        }
    }
    for edge in cut.outline.edges().iter().filter(|edge| edge.finish.width() > 0.0) {
        let ink = if matches!(edge.finish, Finish::Hem(_)) { Ink::Fold } else { Ink::Stitch };
        drawing.line(ink, edge.curve.steps(0.0, NEAR).into_iter().map(|t| edge.curve.at(t)).collect());
    }
}

fn on(edge: &Edge, point: Point) -> bool {
    let out = edge.outward(0.0);
    let from = edge.from();
    ((point.x - from.x) * out.x + (point.y - from.y) * out.y).abs() < 1e-6
}

/// What has to be said on a piece, in lines.
fn said(draft: &Draft, cut: &CutPiece, named: &Named, letters: &Letters) -> Result<Vec<String>, PatternFault> {
    let piece = cut.piece;
    let fold = if cut.outline.fold().is_some() { " on the fold" } else { "" };
    let mut lines = vec![
        draft.exercise.title.clone(),
        piece.title.to_uppercase(),
        format!("cut {}{fold} from {}", piece.count, piece.cloth),
        allowances(draft, cut),
    ];
    if !piece.note.is_empty() {
        lines.push(piece.note.clone());
    }
    let objects: Vec<&str> = draft.givens.row_names.iter().flatten().map(String::as_str).collect();
    if !objects.is_empty() {
        lines.push(format!("for {}", objects.join(", ")));
    }
    let whose: Vec<&str> = [&named.maker, &named.date].into_iter().flatten().map(String::as_str).collect();
    if !whose.is_empty() {
        lines.push(whose.join(" · "));
    }
    lines.push("true size: check the test square".to_owned());
    lines.iter().map(|line| letters.set(line)).collect()
}

/// Which allowance is on the piece; edge by edge, where they differ.
fn allowances(draft: &Draft, cut: &CutPiece) -> String {
    let told = |edge: &Edge| match edge.finish {
        Finish::Allowance(width) if width > 0.0 => format!("{} allowance", draft.written(width)),
        Finish::Allowance(_) => "no allowance".to_owned(),
        Finish::Hem(width) => format!("{} hem", draft.written(width)),
        Finish::Fold => "no allowance at the fold".to_owned(),
    };
    let edges: Vec<(&str, String)> = cut
        .outline
        .edges()
        .iter()
        .filter(|edge| edge.finish != Finish::Fold)
        .map(|edge| (edge.name.as_str(), told(edge)))
        .collect();
    match edges.first() {
        Some((_, first)) if edges.iter().all(|(_, told)| told == first) => format!("{first} included, all round"),
        _ => {
            let each: Vec<String> = edges.iter().map(|(name, told)| format!("{name}: {told}")).collect();
            format!("included: {}", each.join("; "))
        }
    }
}

struct Writer<'l> {
    drawing: Drawing,
    letters: &'l Letters,
    area: Bounds,
    outline: Vec<Point>,
}

impl Writer<'_> {
    fn mark(&mut self, mark: &Mark) -> Result<(), PatternFault> {
        match mark {
            Mark::Lines { lines, pen, label } => {
                for (from, to) in lines {
                    self.pen(*pen, vec![*from, *to]);
                }
                if let (Some((from, to)), Some(label)) = (lines.first(), label) {
                    self.name(label, from.towards(*to, 0.1), (from.x - to.x).abs() < (from.y - to.y).abs())?;
                }
            }
            Mark::Arc { curve, pen, label } => {
                self.pen(*pen, curve.steps(0.0, NEAR).into_iter().map(|t| curve.at(t)).collect());
                if let Some(label) = label {
                    self.name(label, curve.at(0.1), false)?;
                }
            }
            Mark::Spot { at, label } => {
                let p = |x: f64, y: f64| Point::new(at.x + x, at.y + y);
                self.drawing.line(Ink::Solid, vec![p(-3.0, 0.0), p(3.0, 0.0)]);
                self.drawing.line(Ink::Solid, vec![p(0.0, -3.0), p(0.0, 3.0)]);
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
                self.drawing.line(Ink::Solid, wedge);
            }
            Mark::Objects { .. } | Mark::Measure { .. } => {}
        }
        Ok(())
    }

    fn pen(&mut self, pen: Pen, points: Vec<Point>) {
        let ink = match pen {
            Pen::Cut => Ink::Cut,
            Pen::Stitch | Pen::Baste => Ink::Stitch,
            Pen::Fold => Ink::Fold,
            Pen::Edge | Pen::Gap => Ink::Solid,
            Pen::Guide => Ink::Thin,
        };
        if pen == Pen::Gap {
            // An opening is what lies between two ticks across the seam.
            if let [from, to] = points[..] {
                let length = from.distance(to).max(1e-9);
                let (x, y) = ((to.y - from.y) / length * 4.0, (from.x - to.x) / length * 4.0);
                for end in [from, to] {
                    self.drawing.line(ink, vec![Point::new(end.x - x, end.y - y), Point::new(end.x + x, end.y + y)]);
                }
            }
            return;
        }
        self.drawing.line(ink, points);
    }

    fn write(&mut self, text: &str, at: Point, size: f64, quarters: u8) {
        let width = self.letters.width(text, size);
        self.drawing.writings.push(Writing { text: text.to_owned(), at, size, quarters, width });
    }

    /// A mark's name, within the piece and clear of other names.
    fn name(&mut self, label: &str, at: Point, is_upright: bool) -> Result<(), PatternFault> {
        let text = self.letters.set(label)?;
        let width = self.letters.width(&text, 2.6);
        let places = (0..24).flat_map(|step| {
            let along = 1.0 + f64::from(step) * 4.0;
            [(along, 1.0), (along, -3.2), (-along - width, 1.0), (-along - width, -3.2)]
        });
        let quarters = u8::from(is_upright);
        let writing = |(along, beside): (f64, f64)| {
            let by = if is_upright { (-beside, along) } else { (along, beside) };
            let at = Point::new(at.x + by.0, at.y + by.1);
            Writing { text: text.clone(), at, size: 2.6, quarters, width }
        };
        let best = places.map(writing).find(|writing| self.is_clear(&writing.bounds()));
        self.drawing.writings.push(best.unwrap_or_else(|| writing((1.0, 1.0))));
        Ok(())
    }

    /// Whether nothing lies in a box, and the box within the piece.
    fn is_clear(&self, area: &Bounds) -> bool {
        let sides = |points: &[Point], closed: bool| -> bool {
            let last = points.last().zip(points.first()).filter(|_| closed).map(|(a, b)| (*a, *b));
            points.windows(2).map(|pair| (pair[0], pair[1])).chain(last).any(|(a, b)| crosses(area, a, b))
        };
        inside(&self.outline, Point::new(area.least.x, area.least.y))
            && !self.drawing.strokes.iter().any(|stroke| sides(&stroke.points, stroke.is_closed))
            && !self.drawing.writings.iter().any(|writing| overlap(&writing.bounds(), area))
    }

    /// The bracket at the fold, and its word.
    fn fold(&mut self, fold: &Edge) {
        let (from, to, out) = (fold.from(), fold.to(), fold.outward(0.0));
        let (length, depth) = (from.distance(to), 8.0);
        let inset = (0.1 * length).min(15.0) / length;
        let into = |point: Point, by: f64| Point::new(point.x - out.x * by, point.y - out.y * by);
        let (a, d) = (from.towards(to, inset), from.towards(to, 1.0 - inset));
        self.drawing.line(Ink::Solid, vec![a, into(a, depth), into(d, depth), d]);
        for tip in [a, d] {
            self.head(tip, into(tip, depth));
        }
        let is_upright = out.x.abs() > out.y.abs();
        let half = self.letters.width("FOLD", 5.0) / 2.0;
        let middle = into(from.towards(to, 0.5), depth / 2.0);
        let (by, quarters) = if is_upright { ((1.8, -half), 1) } else { ((-half, -1.8), 0) };
        self.write("FOLD", Point::new(middle.x + by.0, middle.y + by.1), 5.0, quarters);
    }

    fn head(&mut self, tip: Point, from: Point) {
        let length = tip.distance(from).max(1e-9);
        let (x, y) = ((from.x - tip.x) / length, (from.y - tip.y) / length);
        let wing = |side: f64| Point::new(tip.x + 3.0 * x - side * y, tip.y + 3.0 * y + side * x);
        self.drawing.line(Ink::Solid, vec![wing(1.0), tip, wing(-1.0)]);
    }

    /// What the piece is: where nothing else is drawn, as large as it fits; beside the piece, where it does not.
    fn block(&mut self, said: &[String]) {
        for size in [4.0, 3.2, 2.6, 2.2] {
            for quarters in [0_u8, 1] {
                let (along, across) = if quarters == 0 {
                    (self.area.width(), self.area.height())
                } else {
                    (self.area.height(), self.area.width())
                };
                for part in [0.45, 0.7, 0.92] {
                    let lines: Vec<String> =
                        said.iter().flat_map(|line| broken(self.letters, line, size, along * part)).collect();
                    let wide = lines.iter().map(|line| self.letters.width(line, size)).fold(0.0, f64::max);
                    let high = lines.len() as f64 * size * 1.4;
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
        let lines: Vec<String> =
            said.iter().flat_map(|line| broken(self.letters, line, 2.6, self.area.width().max(60.0))).collect();
        let top = self.area.most.y + 2.0 + lines.len() as f64 * 2.6 * 1.4;
        self.lines(&lines, Point::new(self.area.least.x, top), 2.6, 0);
    }

    /// The upper left corner of a free box, as the text in it is read: near the middle.
    fn place(&self, wide: f64, high: f64, quarters: u8) -> Option<Point> {
        let (width, height) = if quarters == 0 { (wide, high) } else { (high, wide) };
        let middle = Point::new(
            (self.area.least.x + self.area.most.x - width) / 2.0,
            (self.area.least.y + self.area.most.y - height) / 2.0,
        );
        let room = (self.area.width() - width, self.area.height() - height);
        let mut places: Vec<(f64, Point)> = Vec::new();
        for (x, y) in (-10..=10).flat_map(|x| (-10..=10).map(move |y| (f64::from(x) / 20.0, f64::from(y) / 20.0))) {
            let at = Point::new(middle.x + room.0 * x, middle.y + room.1 * y);
            places.push((x * x + y * y, at));
        }
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        let clear = places.into_iter().find(|(_, at)| {
            self.is_clear(&Bounds {
                least: Point::new(at.x - 1.5, at.y - 1.5),
                most: Point::new(at.x + width + 1.5, at.y + height + 1.5),
            })
        });
        let (_, at) = clear?;
        Some(if quarters == 0 { Point::new(at.x, at.y + high) } else { at })
    }

    fn lines(&mut self, lines: &[String], top: Point, size: f64, quarters: u8) {
        for (index, line) in lines.iter().enumerate() {
            let down = size * (index as f64 * 1.4 + 1.05);
            let at = if quarters == 0 { Point::new(top.x, top.y - down) } else { Point::new(top.x + down, top.y) };
            self.write(line, at, size, quarters);
        }
    }

    /// The grain arrow: along the grain, as long as it can be without meeting a text.
    fn grain(&mut self, is_up: bool) {
        let turn = |point: Point| if is_up { point } else { Point::new(point.y, point.x) };
        let (least, most) = (turn(self.area.least), turn(self.area.most));
        let outline: Vec<Point> = self.outline.iter().copied().map(turn).collect();
        let texts: Vec<Bounds> = self
            .drawing
            .writings
            .iter()
            .map(Writing::bounds)
            .map(|area| Bounds { least: turn(area.least), most: turn(area.most) })
            .collect();
        let mut best: Option<(f64, f64, f64)> = None;
        for step in 1..40 {
            let x = least.x + (most.x - least.x) * f64::from(step) / 40.0;
            let mut stops: Vec<f64> = Vec::new();
            for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
                if (a.x - x) * (b.x - x) < 0.0 {
                    stops.push(a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x));
                }
            }
            let meets = texts.iter().filter(|area| area.least.x - 2.0 < x && x < area.most.x + 2.0);
            stops.extend(meets.flat_map(|area| [area.least.y, area.most.y]));
            stops.sort_by(f64::total_cmp);
            for pair in stops.windows(2) {
                let middle = Point::new(x, (pair[0] + pair[1]) / 2.0);
                let hits = |area: &Bounds| {
                    area.least.x - 2.0 < x && x < area.most.x + 2.0 && area.least.y < middle.y && middle.y < area.most.y
                };
                let beside = |stroke: &[Point]| {
                    stroke.windows(2).any(|side| {
                        let (a, b) = (turn(side[0]), turn(side[1]));
                        (a.x - x).abs() < 1.0 && (b.x - x).abs() < 1.0
                    })
                };
                let is_free = inside(&outline, middle)
                    && !texts.iter().any(hits)
                    && !self.drawing.strokes.iter().any(|stroke| beside(&stroke.points));
                let length = pair[1] - pair[0];
                if is_free && best.is_none_or(|(_, from, to)| length > to - from + 1e-6) {
                    best = Some((x, pair[0], pair[1]));
                }
            }
        }
        let Some((x, from, to)) = best else { return };
        let inset = ((to - from) * 0.1).max(1.0).min((to - from) / 3.0);
        let ends = [turn(Point::new(x, from + inset)), turn(Point::new(x, to - inset))];
        self.drawing.line(Ink::Solid, ends.to_vec());
        self.head(ends[0], ends[1]);
        self.head(ends[1], ends[0]);
    }
}

fn overlap(one: &Bounds, other: &Bounds) -> bool {
    one.least.x < other.most.x && other.least.x < one.most.x && one.least.y < other.most.y && other.least.y < one.most.y
}

/// Whether a point lies within an outline.
fn inside(outline: &[Point], point: Point) -> bool {
    let sides = outline.iter().zip(outline.iter().cycle().skip(1));
    let crossed = sides.filter(|(a, b)| {
        (a.y > point.y) != (b.y > point.y) && point.x < a.x + (b.x - a.x) * (point.y - a.y) / (b.y - a.y)
    });
    crossed.count() % 2 == 1
}
