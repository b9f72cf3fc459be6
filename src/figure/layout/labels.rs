//! Names of lines, in a column right of the drawing, each with a thin line to what it names.

use super::beside::{self, Obstacles};
use crate::figure::drawing::{Anchor, Area, Drawing, Path, Role, Text, TextRole};
use crate::figure::subject::name::{Name, Target};
use crate::figure::{letters, style};
use crate::geometry::Point;

/// How far above or below a point its name stands, so that the leader is not taken for a line.
const ASLANT: f64 = 1.7 * style::HALF_LINE;

/// A name in its place.
#[derive(Debug, Clone)]
pub(crate) struct PlacedName {
    /// The name as it was given.
    name: String,
    lines: Vec<String>,
    role: TextRole,
    target: Target,
    /// The middle of its first line.
    y: f64,
}

fn lines(name: &Name, is_bold: bool) -> Vec<String> {
    name.text.lines().flat_map(|line| letters::wrap(line, style::COLUMN, is_bold)).collect()
}

/// How wide the column has to be for these names, if need be with all of them in bold letters.
pub(crate) fn width(names: &[Name], are_bold: bool) -> f64 {
    let widths = names.iter().flat_map(|name| {
        let is_bold = are_bold || style::is_bold(name.role);
        lines(name, is_bold).into_iter().map(move |line| letters::width(&line, is_bold))
    });
    widths.fold(0.0, f64::max)
}

impl PlacedName {
    fn height(&self) -> f64 {
        2.0 * style::HALF_LINE + self.lines.len().saturating_sub(1) as f64 * style::LEADING
    }

    fn text(&self, x: f64) -> Text {
        Text::level(self.role, self.lines.clone(), Point::new(x, self.y), Anchor::Start)
    }

    /// The line to what it names, and whether a dot ends it.
    fn leader(&self, x: f64) -> Option<(Point, Point, bool)> {
        let to = Point::new(x - style::CLEAR, self.y);
        match self.target {
            Target::Nothing => None,
            Target::End(end) => Some((Point::new(end.x + style::EXTENSION_GAP, end.y), to, false)),
            Target::Inside { at, has_dot } => Some((at, to, has_dot)),
            Target::Upright { x, top, bottom, has_dot } => {
                Some((Point::new(x, self.y.max(top).min(bottom)), to, has_dot))
            }
        }
    }
}

/// Places names beside `area`, the drawing. As many as fit; bold ones first. With `grows`, there is room
/// for all, below the drawing if need be. Leaders keep clear of `texts` where they may choose their height.
pub(crate) fn place(names: &[Name], area: Area, grows: bool, texts: &[Area]) -> Vec<PlacedName> {
    let mut placed: Vec<(PlacedName, f64)> = Vec::new();
    let is_fixed = |name: &&Name| !matches!(name.target, Target::Upright { .. });
    let (bold, others): (Vec<&Name>, Vec<&Name>) =
        names.iter().filter(|name| !name.is_to_come).partition(|name| style::is_bold(name.role));
    let mut free = area.bottom - area.top + 2.0 * style::HALF_LINE;
    let mut chosen: Vec<&Name> = Vec::new();
    for name in bold.into_iter().chain(others) {
        let one = PlacedName {
            name: name.text.clone(),
            lines: lines(name, style::is_bold(name.role)),
            role: name.role,
            target: name.target,
            y: 0.0,
        };
        free -= one.height();
        if free >= 0.0 || grows || style::is_bold(name.role) {
            placed.push((one, 0.0));
            chosen.push(name);
        }
    }
    let order: Vec<usize> = (0..placed.len())
        .filter(|index| is_fixed(&chosen[*index]))
        .chain((0..placed.len()).filter(|index| !is_fixed(&chosen[*index])))
        .collect();
    let mut taken: Vec<f64> = Vec::new();
    for index in order {
        let wanted = wanted(placed[index].0.target, area, &taken, texts);
        taken.push(wanted);
        placed[index].1 = wanted;
    }
    // A heading first, then from top to bottom. Of two lines at one height the one that ends farther left is pointed at
    // from above, past the other.
    let is_heading = |name: &PlacedName| name.target == Target::Nothing;
    let end = |name: &PlacedName| if let Target::End(end) = name.target { end.x } else { 0.0 };
    placed.sort_by(|(a, one), (b, other)| {
        let by_height = is_heading(b).cmp(&is_heading(a)).then(one.total_cmp(other));
        by_height.then(end(a).total_cmp(&end(b)))
    });
    push_apart(&mut placed, area);
    uncross(&mut placed, area.right + style::COLUMN_GAP);
    placed.into_iter().map(|(name, _)| name).collect()
}

/// The height at which a name would best stand.
fn wanted(target: Target, area: Area, taken: &[f64], texts: &[Area]) -> f64 {
    let middle = (area.top + area.bottom) / 2.0;
    match target {
        Target::Nothing => area.top - style::HALF_LINE,
        Target::End(point) => point.y,
        // Aslant, so that the line is not taken for a part of the drawing.
        Target::Inside { at, .. } => {
            // Into the drawing, unless it is too flat to hold names; and there hardly, for the layers of a section lie close.
            let is_flat = area.bottom - area.top < style::FLAT;
            let aslant = ASLANT.min((area.bottom - area.top) / if is_flat { 12.0 } else { 4.0 });
            if (at.y < middle) == is_flat { at.y - aslant } else { at.y + aslant }
        }
        Target::Upright { top, bottom, .. } => {
            let nearest = |y: f64| {
                let names = taken.iter().map(|other| (other - y).abs());
                let texts = texts.iter().map(|text| (text.top - y).max(y - text.bottom) + style::HALF_LINE);
                names.chain(texts).fold(f64::INFINITY, f64::min)
            };
            // From the middle outwards, where it stands freest.
            let tries =
                [8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14].map(|part| top + (bottom - top) * f64::from(part) / 16.0);
            let mut best = (tries[0], nearest(tries[0]).min(2.5 * style::HALF_LINE));
            for y in tries {
                let freedom = nearest(y).min(2.5 * style::HALF_LINE);
                if freedom > best.1 + 0.01 {
                    best = (y, freedom);
                }
            }
            best.0
        }
    }
}

/// Pushes names apart as little as possible: overlapping ones become a block around their mean height.
fn push_apart(placed: &mut [(PlacedName, f64)], area: Area) {
    // (first of the block, height so far, sum of where each would have the block begin, how many)
    let mut blocks: Vec<(usize, f64, f64, f64)> = Vec::new();
    let top_of = |block: &(usize, f64, f64, f64)| block.2 / block.3;
    for (index, (name, wanted)) in placed.iter().enumerate() {
        blocks.push((index, name.height(), wanted - style::HALF_LINE, 1.0));
        while let [.., before, last] = blocks.as_slice() {
            if top_of(before) + before.1 <= top_of(last) {
                break;
            }
            let merged = (before.0, before.1 + last.1, before.2 + last.2 - before.1 * last.3, before.3 + last.3);
            blocks.truncate(blocks.len() - 2);
            blocks.push(merged);
        }
    }
    let mut ends: Vec<usize> = blocks.iter().skip(1).map(|block| block.0).collect();
    ends.push(placed.len());
    for (block, end) in blocks.iter().zip(ends) {
        let mut top = top_of(block);
        for (name, _) in &mut placed[block.0..end] {
            name.y = top + style::HALF_LINE;
            top += name.height();
        }
    }
    // Within the drawing's height as far as there is room; above and below it alike otherwise.
    let heights: f64 = placed.iter().map(|(name, _)| name.height()).sum();
    let beyond = ((heights - (area.bottom - area.top + 2.0 * style::HALF_LINE)) / 2.0).max(0.0);
    let mut limit = area.bottom + style::HALF_LINE + beyond;
    for (name, _) in placed.iter_mut().rev() {
        let height = name.height();
        name.y = name.y.min(limit - height + style::HALF_LINE);
        limit = name.y - style::HALF_LINE;
    }
    // A line along the top of a flat drawing is pointed at from above it.
    let above = if area.bottom - area.top < style::FLAT { ASLANT } else { 0.0 }.max(beyond);
    let mut limit = area.top - style::HALF_LINE - above;
    for (name, _) in placed.iter_mut() {
        name.y = name.y.max(limit + style::HALF_LINE);
        limit = name.y - style::HALF_LINE + name.height();
    }
}

/// Exchanges neighbours whose leaders cross.
fn uncross(placed: &mut [(PlacedName, f64)], x: f64) {
    for _ in 0..placed.len().min(8) {
        let mut is_done = true;
        for index in 1..placed.len() {
            let (upper, lower) = (&placed[index - 1].0, &placed[index].0);
            let (Some(a), Some(b)) = (upper.leader(x), lower.leader(x)) else { continue };
            if !cross((a.0, a.1), (b.0, b.1)) {
                continue;
            }
            let top = upper.y - style::HALF_LINE;
            placed.swap(index - 1, index);
            placed[index - 1].0.y = top + style::HALF_LINE;
            placed[index].0.y = top + placed[index - 1].0.height() + style::HALF_LINE;
            is_done = false;
        }
        if is_done {
            return;
        }
    }
}

fn cross(one: (Point, Point), other: (Point, Point)) -> bool {
    let side = |(a, b): (Point, Point), p: Point| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
    side(one, other.0) * side(one, other.1) < 0.0 && side(other, one.0) * side(other, one.1) < 0.0
}

/// Leaves out the plain names whose leaders would run through a text.
pub(crate) fn clear(placed: &mut Vec<PlacedName>, x: f64, texts: &[Area]) {
    placed.retain(|name| {
        let is_crossed = |(from, to, _)| texts.iter().any(|area| area.part_inside(from, to).is_some());
        style::is_bold(name.role) || !name.leader(x).is_some_and(is_crossed)
    });
}

/// The first name whose leader is barred, or crosses another of these.
pub(crate) fn barred(placed: &[PlacedName], x: f64, obstacles: &Obstacles, but: &[String]) -> Option<String> {
    let leader = |name: &PlacedName| name.leader(x).map(|(from, to, _)| (from, to));
    let is_barred = |one: &&PlacedName| {
        !but.contains(&one.name)
            && leader(one).is_some_and(|line| {
                obstacles.bar(line) || placed.iter().filter_map(leader).any(|other| beside::cross(line, other))
            })
    };
    placed.iter().find(is_barred).map(|one| one.name.clone())
}

/// The leaders of names in a column that begins at `x`.
pub(crate) fn leaders(placed: &[PlacedName], x: f64) -> Vec<(Point, Point)> {
    placed.iter().filter_map(|name| name.leader(x)).map(|(from, to, _)| (from, to)).collect()
}

/// The space of the names.
pub(crate) fn areas(placed: &[PlacedName], x: f64) -> impl Iterator<Item = Area> {
    placed.iter().map(move |name| letters::space(&name.text(x)))
}

/// Draws the names; their leaders stop at every text in `texts`.
pub(crate) fn draw(drawing: &mut Drawing, placed: &[PlacedName], x: f64, texts: &[Area]) {
    let leaders = || placed.iter().filter_map(|name| name.leader(x));
    for (from, to, _) in leaders() {
        drawing.add(Path::past(Role::Leader, from, to, texts));
    }
    for (at, ..) in leaders().filter(|(.., has_dot)| *has_dot) {
        drawing.add(Path::dot(Role::LeaderDot, at, style::DOT));
    }
    for name in placed {
        drawing.write(name.text(x));
    }
}
