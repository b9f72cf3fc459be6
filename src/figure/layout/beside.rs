//! Names that need no leader: each along its line, in its object or at its place, where nothing else is drawn.

use crate::figure::drawing::{Anchor, Area, Text};
use crate::figure::subject::mark::Line;
use crate::figure::subject::name::{Name, Nearby, Target};
use crate::figure::{letters, style};
use crate::geometry::Point;

/// From the end of a line to the name that stands along it.
const INSET: f64 = 5.0;
/// Beyond a name nothing else is so near that it might be its.
const AWAY: f64 = 7.0;
/// A turned name in an object needs so much of its width.
const TURNED: f64 = 15.0;

/// What is drawn: lines, and what no leader runs through.
#[derive(Debug, Clone, Default)]
pub(crate) struct Obstacles {
    pub lines: Vec<Line>,
    /// Folds and layers, which no leader crosses.
    pub barred: Vec<Line>,
    /// Objects, which none runs through.
    pub objects: Vec<Area>,
    pub texts: Vec<Area>,
}

impl Obstacles {
    fn is_free(&self, area: Area, within: Area) -> bool {
        area.left >= within.left
            && area.right <= within.right
            && area.top >= within.top
            && area.bottom <= within.bottom
            && !self.objects.iter().chain(&self.texts).any(|other| area.meets(*other))
            && !self.lines.iter().any(|(from, to)| area.part_inside(*from, *to).is_some())
    }

    /// Whether a leader runs through anything that it should not; it may begin in an object.
    pub(crate) fn bar(&self, (from, to): Line) -> bool {
        let is_within = |area: &&Area| area.grown(0.5).meets(Area::around(from, 0.1));
        let mut objects = self.objects.iter().filter(|area| !is_within(area)).chain(&self.texts);
        objects.any(|area| area.part_inside(from, to).is_some())
            || self.barred.iter().any(|line| cross((from, to), *line))
    }

    /// Whether an object holds a text with nothing else drawn there.
    fn is_free_in(&self, object: Area, area: Area) -> bool {
        let inner = object.grown(-0.5);
        area.left >= inner.left
            && area.right <= inner.right
            && area.top >= inner.top
            && area.bottom <= inner.bottom
            && !self.texts.iter().any(|other| area.meets(*other))
            && !self.lines.iter().any(|(from, to)| area.part_inside(*from, *to).is_some())
    }
}

/// A name's text near what it names, if there is room for it within these borders. `is_bold`, where it has to hold bold
/// letters in some figure of a series.
pub(crate) fn near(name: &Name, is_bold: bool, obstacles: &Obstacles, within: Area) -> Option<Text> {
    if name.text.contains('\n') {
        return None;
    }
    let width = letters::width(&name.text, is_bold);
    let text = |at: Point, anchor: Anchor| Text::level(name.role, vec![name.text.clone()], at, anchor);
    match &name.nearby {
        Nearby::Nowhere => None,
        Nearby::Along(lines) => along(lines, width).into_iter().find_map(|(at, anchor, away)| {
            // Beyond it, away from its line, nothing is near.
            let area = sized(at, anchor, width);
            let top = if away < 0.0 { area.top - AWAY } else { area.top };
            let bottom = if away > 0.0 { area.bottom + AWAY } else { area.bottom };
            let has_room =
                obstacles.is_free(area, within) && obstacles.is_free(Area { top, bottom, ..area }, within.grown(AWAY));
            // Two names on either side of one line would both be its.
            let across = at.y - away * 2.0 * style::HALF_LINE;
            let is_told_apart =
                !obstacles.texts.iter().any(|other| other.meets(sized(Point::new(at.x, across), anchor, width)));
            (has_room && is_told_apart).then(|| text(at, anchor))
        }),
        Nearby::In(objects) => {
            let within_one = objects.iter().find_map(|object| in_object(*object, width, obstacles));
            let within_one = within_one.map(|(at, is_upright)| Text { is_upright, ..text(at, Anchor::Middle) });
            within_one.or_else(|| {
                let tops =
                    objects.iter().map(|one| Point::new((one.left + one.right) / 2.0, one.top - style::HALF_LINE));
                let is_free = |at: &Point| obstacles.is_free(sized(*at, Anchor::Middle, width).grown(1.0), within);
                let above = |at: Point| Point::new(at.x, at.y - 1.5);
                tops.map(above).find(is_free).map(|at| text(at, Anchor::Middle))
            })
        }
        Nearby::At { point, reach } => {
            let (down, across) = (reach + style::HALF_LINE, reach + style::CLEAR);
            let at = |x: f64, y: f64| Point::new(point.x + x, point.y + y);
            let places = [
                (at(0.0, 0.0), Anchor::Middle),
                (at(across, 0.0), Anchor::Start),
                (at(0.0, -down), Anchor::Middle),
                (at(0.0, down), Anchor::Middle),
                (at(-across, 0.0), Anchor::End),
            ];
            let is_free = |(at, anchor): &(Point, Anchor)| {
                let area = sized(*at, *anchor, width);
                obstacles.is_free(area.grown(1.0), within)
            };
            places.into_iter().find(is_free).map(|(at, anchor)| text(at, anchor))
        }
    }
}

/// The space of one level line of text.
fn sized(at: Point, anchor: Anchor, width: f64) -> Area {
    let left = match anchor {
        Anchor::Start => at.x,
        Anchor::Middle => at.x - width / 2.0,
        Anchor::End => at.x - width,
    };
    // Letters keep clear of their line by themselves.
    let half = style::HALF_LINE - 1.0;
    Area { left, right: left + width, top: at.y - half, bottom: at.y + half }
}

/// Places along level lines that are longer than the text: above each and then below it, at its right end, at its left, in
/// the middle, and between; each with whether it is above (−1) or below (1).
fn along(lines: &[Line], width: f64) -> Vec<(Point, Anchor, f64)> {
    let mut places = Vec::new();
    for (from, to) in lines {
        let (left, right) = (from.x.min(to.x) + INSET, from.x.max(to.x) - INSET);
        if (from.y - to.y).abs() > 0.01 || right - left < width {
            continue;
        }
        for away in [-1.0, 1.0] {
            let y = from.y + away * style::HALF_LINE;
            places.push((Point::new(right, y), Anchor::End, away));
            places.push((Point::new(left, y), Anchor::Start, away));
            let part = |part: f64| Point::new(left + width / 2.0 + (right - left - width) * part, y);
            places.extend([0.5, 0.75, 0.25, 0.875, 0.125].map(|at| (part(at), Anchor::Middle, away)));
        }
    }
    places
}

/// A place in an object, and whether the text is turned there.
fn in_object(object: Area, width: f64, obstacles: &Obstacles) -> Option<(Point, bool)> {
    let middle = (object.left + object.right) / 2.0;
    let parts = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8];
    let heights = parts.map(|part| object.top + (object.bottom - object.top) * part);
    let level = |y: &f64| {
        let area = sized(Point::new(middle, *y), Anchor::Middle, width).grown(1.0);
        obstacles.is_free_in(object, area)
    };
    let turned = |y: &f64| {
        let half = TURNED / 2.0;
        let area = Area {
            left: middle - half,
            right: middle + half,
            top: y - width / 2.0 - 2.0,
            bottom: y + width / 2.0 + 2.0,
        };
        obstacles.is_free_in(object.grown(0.5), area)
    };
    let at = |y: f64, is_upright: bool| (Point::new(middle, y), is_upright);
    heights
        .into_iter()
        .find(level)
        .map(|y| at(y, false))
        .or_else(|| heights.into_iter().find(turned).map(|y| at(y, true)))
}

/// A name with a short leader of its own, somewhere in the drawing.
#[derive(Debug, Clone)]
pub(crate) struct Away {
    pub text: Text,
    pub from: Point,
    pub to: Point,
    pub has_dot: bool,
}

/// From place to place, where room is looked for.
const GRID: f64 = 6.0;
/// A leader is no longer than this.
const FAR: f64 = 150.0;
/// A line that a leader crosses counts as so much more of its length.
const CROSSED: f64 = 25.0;

/// The name as near to what it names as there is room, with a leader that crosses no fold, object or other leader.
pub(crate) fn away(name: &Name, obstacles: &Obstacles, within: Area) -> Option<Away> {
    let (points, has_dot) = match name.target {
        Target::Nothing => return None,
        Target::End(end) => (vec![end], false),
        Target::Inside { at, has_dot } => (vec![at], has_dot),
        Target::Upright { x, top, bottom, has_dot } => {
            let part = |part: u32| Point::new(x, top + (bottom - top) * f64::from(part) / 8.0);
            ((0..=8).map(part).collect(), has_dot)
        }
    };
    let points: Vec<(Point, bool)> =
        points.into_iter().map(|at| (at, has_dot)).chain(name.points.iter().map(|at| (*at, true))).collect();
    let width = letters::width(&name.text, style::is_bold(name.role));
    let steps = |least: f64, most: f64| {
        let count = ((most - least) / GRID).max(0.0) as u32;
        (0..=count).map(move |step| least + f64::from(step) * GRID)
    };
    let (first, _) = *points.first()?;
    let mut places: Vec<Point> = steps(within.top, within.bottom)
        .flat_map(|y| steps(within.left, within.right).map(move |x| Point::new(x, y)))
        .collect();
    places.sort_by(|a, b| a.distance(first).total_cmp(&b.distance(first)));
    let mut best: Option<(f64, Away)> = None;
    for at in places {
        let area = sized(at, Anchor::Middle, width).grown(1.5);
        let to = |from: Point| Point::new(from.x.clamp(area.left, area.right), from.y.clamp(area.top, area.bottom));
        let least = best.as_ref().map_or(FAR, |(cost, _)| *cost);
        // Too short, a leader would not be seen.
        let is_near = |length: f64| length >= style::ARROW && length < least;
        let mut near: Vec<(f64, Point, bool)> = points
            .iter()
            .map(|(from, has_dot)| (from.distance(to(*from)), *from, *has_dot))
            .filter(|(length, ..)| is_near(*length))
            .collect();
        if near.is_empty() || !obstacles.is_free(area, within) {
            continue;
        }
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (length, from, has_dot) in near {
            let least = best.as_ref().map_or(FAR, |(cost, _)| *cost);
            if length >= least {
                break;
            }
            let leader = (from, to(from));
            if obstacles.bar(leader) {
                continue;
            }
            let crossed = obstacles.lines.iter().filter(|line| cross(leader, **line)).count();
            let cost = length + crossed as f64 * CROSSED;
            if cost < least {
                let text = Text::level(name.role, vec![name.text.clone()], at, Anchor::Middle);
                best = Some((cost, Away { text, from, to: leader.1, has_dot }));
            }
        }
    }
    best.map(|(_, away)| away)
}

/// Whether two lines cross between their ends.
pub(crate) fn cross(one: Line, other: Line) -> bool {
    let side =
        |(a, b): Line, p: Point| ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / a.distance(b).max(1e-9);
    let differ = |one: f64, other: f64| one.min(other) < -0.05 && one.max(other) > 0.05;
    differ(side(one, other.0), side(one, other.1)) && differ(side(other, one.0), side(other, one.1))
}
