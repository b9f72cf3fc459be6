//! A figure of a lesson, on paper: its paths and texts as strokes.

use super::drawing::{Drawing, Ink};
use super::font::Letters;
use crate::exercise::Pen;
use crate::figure::{Anchor, Figure, Path, Role, Shape};
use crate::geometry::Point;
use kurbo::{Arc, BezPath, PathEl, Shape as _};

/// The height of a figure's letters in its own units, a little less: this typeface is wider than those of pages.
const LETTER: f64 = 10.5;
const LEADING: f64 = 14.7;
/// From a line's middle down to the letters' feet, in ems.
const FOOT: f64 = 0.355;
/// How closely curves are followed, in units.
const NEAR: f64 = 0.05;

/// A figure as large as it fits into a box, its upper left corner at zero.
pub(super) fn small(figure: &Figure, letters: &Letters, most: (f64, f64)) -> Drawing {
    let scale = |drawing: &Drawing| {
        drawing.bounds().map_or(1.0, |bounds| (most.0 / bounds.width()).min(most.1 / bounds.height()))
    };
    let drawing = sized(figure, letters, scale(&sized(figure, letters, 1.0)).min(LARGEST));
    let corner = drawing.bounds().map_or(Point::default(), |area| Point::new(-area.least.x, -area.most.y));
    drawing.moved(false, corner)
}

/// Millimetres to the unit at the most, so that letters are no larger than those of a text.
const LARGEST: f64 = 0.3;

fn sized(figure: &Figure, letters: &Letters, scale: f64) -> Drawing {
    let place = |x: f64, y: f64| Point::new(x * scale, -y * scale);
    let mut drawing = Drawing::default();
    for path in figure.drawings().iter().flat_map(|drawing| drawing.paths()) {
        let Some(ink) = ink(path.role) else { continue };
        for (run, is_closed) in runs(path) {
            let points: Vec<Point> = run.into_iter().map(|at| place(at.x, at.y)).collect();
            if is_closed || ink == Ink::Filled { drawing.ring(ink, points) } else { drawing.line(ink, points) }
        }
    }
    for text in figure.drawings().iter().flat_map(|drawing| drawing.texts()) {
        let size = LETTER * scale;
        for (index, line) in text.lines.iter().enumerate() {
            let Ok(line) = letters.set(line) else { continue };
            let width = letters.width(&line, size);
            let along = match text.anchor {
                Anchor::Start => 0.0,
                Anchor::Middle => width / 2.0,
                Anchor::End => width,
            };
            let down = (index as f64 * LEADING + FOOT * LETTER) * scale;
            let middle = place(text.at.x, text.at.y);
            let (at, quarters) = if text.is_upright {
                (Point::new(middle.x + down, middle.y - along), 1)
            } else {
                (Point::new(middle.x - along, middle.y - down), 0)
            };
            drawing.write(letters, &line, at, size, quarters);
        }
    }
    drawing
}

/// How a role is drawn in black on paper; not at all, where it is only a tint.
fn ink(role: Role) -> Option<Ink> {
    match role {
        Role::Line(Pen::Cut) | Role::Layer | Role::Beyond => Some(Ink::Cut),
        Role::Line(Pen::Stitch) => Some(Ink::Stitch),
        Role::Line(Pen::Baste) => Some(Ink::Baste),
        Role::Line(Pen::Fold) => Some(Ink::Fold),
        Role::Line(Pen::Edge | Pen::Gap) | Role::Spot | Role::Grain | Role::FoldBracket | Role::UnitTick => {
            Some(Ink::Drawn)
        }
        Role::Line(Pen::Guide)
        | Role::Objects
        | Role::Break
        | Role::Dimension
        | Role::WrongDimension
        | Role::Extension
        | Role::Leader
        | Role::Ring
        | Role::Bar
        | Role::Ruler
        | Role::Tick
        | Role::Pointer
        | Role::ScaleLine => Some(Ink::Guide),
        Role::Notch
        | Role::GrainHead
        | Role::FoldHead
        | Role::DimensionHead
        | Role::WrongHead
        | Role::LeaderDot
        | Role::BarHalf
        | Role::PointerHead
        | Role::Within
        | Role::OffScale => Some(Ink::Filled),
        Role::Cloth(_) | Role::Allowance | Role::RightSide | Role::Allowed => None,
    }
}

/// The runs of a path as points, and whether each is closed.
fn runs(path: &Path) -> Vec<(Vec<kurbo::Point>, bool)> {
    let whole: BezPath = match &path.shape {
        Shape::Runs(runs) => runs.clone(),
        Shape::Arc { arcs, .. } => arcs
            .iter()
            .filter_map(Arc::from_svg_arc)
            .flat_map(|arc| arc.to_path(NEAR).into_iter().collect::<Vec<PathEl>>())
            .collect(),
        Shape::Rounded(all) => all.iter().flat_map(|one| one.to_path(NEAR)).collect(),
    };
    let mut runs: Vec<(Vec<kurbo::Point>, bool)> = Vec::new();
    kurbo::flatten(whole, NEAR, |element| match element {
        PathEl::MoveTo(at) => runs.push((vec![at], false)),
        PathEl::LineTo(at) | PathEl::QuadTo(_, at) | PathEl::CurveTo(_, _, at) => {
            if let Some((run, _)) = runs.last_mut() {
                run.push(at);
            }
        }
        PathEl::ClosePath => {
            if let Some((_, is_closed)) = runs.last_mut() {
                *is_closed = true;
            }
        }
    });
    runs.retain(|(run, _)| run.len() > 1);
    runs
}
