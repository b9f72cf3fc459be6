//! Words inside a piece: what it is and how it is cut, where nothing else is drawn.

use crate::figure::drawing::{Anchor, Area, Drawing, Path, Shape, Text, TextRole};
use crate::figure::subject::mark::Line;
use crate::figure::{letters, style};
use crate::geometry::Point;
use kurbo::{Arc, BezPath, ParamCurve, PathEl};

/// So many places are tried across and up.
const TRIES: u32 = 12;
/// Words keep so far from lines.
const AWAY: f64 = 2.0 * style::CLEAR;

/// Writes a heading, and notes below it, within these corners, near their middle and clear of all lines and texts; whether
/// there was room.
pub(crate) fn write(drawing: &mut Drawing, corners: &[Point], heading: &[String], notes: &[String]) -> bool {
    let around = corners.iter().fold(Area::EMPTY, |area, corner| area.with(Area::around(*corner, 0.0)));
    let sides: Vec<Line> = corners.iter().copied().zip(corners.iter().copied().cycle().skip(1)).collect();
    let obstacles: Vec<Line> = lines(drawing).into_iter().chain(sides.iter().copied()).collect();
    let texts: Vec<Area> = drawing.texts().iter().map(letters::space).collect();
    let is_free = |area: Area| {
        let area = area.grown(AWAY);
        let crossed = |(from, to): &Line| area.part_inside(*from, *to).is_some();
        is_inside(Point::new(area.left, area.top), &sides)
            && !obstacles.iter().any(crossed)
            && !texts.iter().any(|text| area.meets(*text))
    };
    let middle = Point::new((around.left + around.right) / 2.0, (around.top + around.bottom) / 2.0);
    let part = |least: f64, most: f64, at: u32| least + (most - least) * f64::from(at) / f64::from(TRIES);
    let mut places: Vec<Point> = (1..TRIES)
        .flat_map(|x| (1..TRIES).map(move |y| (x, y)))
        .map(|(x, y)| Point::new(part(around.left, around.right, x), part(around.top, around.bottom, y)))
        .collect();
    places.sort_by(|a, b| a.distance(middle).total_cmp(&b.distance(middle)));
    let found = places
        .into_iter()
        .map(|at| block(at, heading, notes))
        .find(|block| is_free(block.iter().map(letters::space).fold(Area::EMPTY, Area::with)));
    let has_room = found.is_some();
    found.into_iter().flatten().for_each(|text| drawing.write(text));
    has_room
}

/// The words with their middle there.
fn block(at: Point, heading: &[String], notes: &[String]) -> Vec<Text> {
    let first = at.y - (heading.len() + notes.len()).saturating_sub(1) as f64 * style::LEADING / 2.0;
    let text =
        |role: TextRole, lines: Vec<String>, y: f64| Text::level(role, lines, Point::new(at.x, y), Anchor::Middle);
    let mut block = vec![text(TextRole::Heading, heading.to_vec(), first)];
    if !notes.is_empty() {
        // From the heading to the first note it is a little farther than from line to line.
        block.push(text(
            TextRole::Note,
            notes.to_vec(),
            first + heading.len().saturating_sub(1) as f64 * style::LEADING + 2.0 * style::HALF_LINE,
        ));
    }
    block
}

/// Whether a point lies within the sides of an outline.
fn is_inside(point: Point, sides: &[Line]) -> bool {
    let is_right_of = |(a, b): &&Line| {
        (a.y > point.y) != (b.y > point.y) && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x)
    };
    sides.iter().filter(is_right_of).count() % 2 == 1
}

/// The lines of a drawing, as pairs of points. Arrowheads and filled shapes are left out; a curve stands for the straight
/// lines between its points, and an arc of a third of a circle for sixteen of them.
pub(crate) fn lines(drawing: &Drawing) -> Vec<Line> {
    let is_stroked = |path: &&Path| style::ink(path, drawing.frame()).width > 0.0;
    drawing.paths().iter().filter(is_stroked).flat_map(lines_of).collect()
}

/// The lines of one path.
pub(crate) fn lines_of(path: &Path) -> Vec<Line> {
    let at = |point: kurbo::Point| Point::new(point.x, point.y);
    let mut lines = Vec::new();
    let mut run = |points: &[kurbo::Point]| lines.extend(points.windows(2).map(|pair| (at(pair[0]), at(pair[1]))));
    match &path.shape {
        Shape::Runs(path) => corners(path).iter().for_each(|points| run(points)),
        // An arc between equal points is left out.
        Shape::Arc { arcs, .. } => arcs.iter().filter_map(Arc::from_svg_arc).for_each(|arc| {
            run(&(0..=16).map(|part| arc.eval(f64::from(part) / 16.0)).collect::<Vec<_>>());
        }),
        Shape::Rounded(all) => all.iter().for_each(|one| {
            let corner = kurbo::Point::new;
            let (left, top, right, bottom) = (one.rect().x0, one.rect().y0, one.rect().x1, one.rect().y1);
            let start = corner(left, top);
            run(&[start, corner(right, top), corner(right, bottom), corner(left, bottom), start]);
        }),
    }
    lines
}

/// The points of every run of a path, those that its curves only bend towards among them.
pub(crate) fn corners(path: &BezPath) -> Vec<Vec<kurbo::Point>> {
    let mut runs: Vec<Vec<kurbo::Point>> = Vec::new();
    for element in path.elements() {
        match (*element, runs.last_mut()) {
            (PathEl::LineTo(to), Some(run)) => run.push(to),
            (PathEl::QuadTo(by, to), Some(run)) => run.extend([by, to]),
            (PathEl::CurveTo(by, and, to), Some(run)) => run.extend([by, and, to]),
            (PathEl::ClosePath, Some(run)) => run.push(run[0]),
            (PathEl::MoveTo(to), _) | (PathEl::LineTo(to), None) => runs.push(vec![to]),
            (PathEl::QuadTo(_, to) | PathEl::CurveTo(_, _, to), None) => runs.push(vec![to]),
            (PathEl::ClosePath, None) => {}
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    /// In a square of 200 the words stand in the middle; where a line runs there, beside it; in one of 20 nowhere.
    #[test]
    fn words_stand_where_nothing_is_drawn() {
        use crate::figure::drawing::Role;
        let square = |side: f64| [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)].map(|(x, y)| Point::new(x, y));
        let (heading, notes) = (["Panel".to_owned()], ["cut 2".to_owned()]);
        let mut drawing = Drawing::default();
        assert!(write(&mut drawing, &square(200.0), &heading, &notes));
        assert_eq!(drawing.texts()[0].at.x, 100.0);
        let mut drawing = Drawing::default();
        drawing.add(Path::run(Role::Grain, &[Point::new(100.0, 0.0), Point::new(100.0, 200.0)]));
        assert!(write(&mut drawing, &square(200.0), &heading, &notes));
        let area = letters::space(&drawing.texts()[0]);
        assert!(area.right < 100.0 || area.left > 100.0, "{area:?}");
        assert!(!write(&mut Drawing::default(), &square(20.0), &heading, &notes));
    }
}
