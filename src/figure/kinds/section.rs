//! A cross-section: layers from the lowest up, each folded over where it folds.

use crate::draft::{Draft, DrawFault, LaidLayer, Stretch};
use crate::exercise::{CrossSection, LayerSign, Pen, Side};
use crate::figure::drawing::{Figure, Role, plain};
use crate::figure::layout::bar::scaled;
use crate::figure::layout::crowding::leave_right_to_names;
use crate::figure::layout::sheet::Sheet;
use crate::figure::subject::dimension::{Dimension, merged};
use crate::figure::subject::scene::Scene;
use crate::figure::telling::Telling;
use crate::geometry::Point;
use std::f64::consts::PI;

/// From level to level, as a part of the section's length.
const LEVEL: f64 = 0.05;
/// How far a fold over several levels bulges out at the most, in levels.
const BULGE: f64 = 1.5;
/// From a layer to the dots along its right side, in levels.
const RIGHT_SIDE: f64 = 0.24;
/// How far a line through the layers runs past them, in levels.
const PAST: f64 = 0.9;

/// A section through the layers, with the folds, seams and measures.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let figure = figure::section(&draft, &roll.sections[0]).unwrap();
/// assert!(figure.description().contains("thickness exaggerated"));
/// ```
///
/// # Errors
/// A place that can't be worked out, or a layer that doesn't turn back where it folds.
pub fn section(draft: &Draft, section: &CrossSection) -> Result<Figure, DrawFault> {
    let (layers, marks) = draft.section(section)?;
    let ends = || layers.iter().flat_map(|laid| &laid.stretches).flat_map(|one| [one.from, one.to]);
    let (least, most) = (ends().fold(f64::INFINITY, f64::min), ends().fold(f64::NEG_INFINITY, f64::max));
    if most - least < 1e-6 || !(most - least).is_finite() {
        return Err(DrawFault { message: "it has no length: all its places are the same".to_owned() });
    }
    let level = (most - least) * LEVEL;
    let mut scene = Scene::default();
    for laid in &layers {
        draw_layer(&mut scene, laid, level);
    }
    let top = layers.iter().flat_map(|laid| &laid.stretches).map(|one| one.level).max().unwrap_or(0);
    let mut dimensions = Vec::new();
    for mark in marks {
        let at = mark.at.0;
        match mark.sign {
            LayerSign::Through { pen, levels, label, .. } => {
                let (low, high) = levels.unwrap_or((0, top));
                let from = Point::new(at, (f64::from(low) - PAST) * level);
                let to = Point::new(at, (f64::from(high) + PAST) * level);
                scene.stroke(Role::Line(*pen), vec![from, to]);
                scene.name(label.as_deref(), to);
            }
            LayerSign::Spot { level: on, label, .. } => {
                let middle = Point::new(at, (f64::from(*on) + 0.5) * level);
                scene.stroke(Role::Line(Pen::Edge), round(middle, level * 0.34));
                scene.name(label.as_deref(), middle);
            }
            LayerSign::Measure { title, side, .. } => {
                let (title, value) = (plain(title), mark.value.clone());
                let up = if *side == Side::Top { f64::from(top) * level } else { 0.0 };
                let (from, to) = (Point::new(at, up), Point::new(mark.at.1, up));
                dimensions.push(Dimension { from, to, side: *side, title, value, is_wrong: false });
            }
        }
    }
    if let Some(side) = section.broken {
        let at = if side == Side::Left { least } else { most };
        scene.stroke(Role::Break, zigzag(at, -level, (f64::from(top) + 1.0) * level, level));
    }
    let is_measurable = section.to_scale;
    let mut sheet = Sheet { grows: true, is_measurable, scene, dimensions: merged(dimensions), ..Sheet::default() };
    leave_right_to_names(&mut sheet);
    let title = format!("{}: {}", plain(&draft.exercise.title), plain(&section.title));
    let has_right_side = layers.iter().any(|laid| laid.layer.right_side_up.is_some());
    let description = told(section, &layers, &sheet.dimensions, &sheet.scene, has_right_side);
    Ok(scaled(Figure::new(&title, &description, [sheet.draw()]), draft.givens.ruler))
}

fn draw_layer(scene: &mut Scene, laid: &LaidLayer, level: f64) {
    let run = folded(&laid.stretches, level);
    if let (Some(is_up), Some(first)) = (laid.layer.right_side_up, laid.stretches.first()) {
        // Left of the way it runs, or right of it, all along.
        let is_left = is_up == (first.to > first.from);
        let by = level * RIGHT_SIDE * if is_left { 1.0 } else { -1.0 };
        scene.stroke(Role::RightSide, beside(&run, by));
    }
    // Its name points at the end that is farther right.
    let end = run.iter().copied().max_by(|a, b| a.x.total_cmp(&b.x));
    scene.stroke(Role::Layer, run);
    let rightmost = laid.stretches.iter().max_by(|a, b| a.from.max(a.to).total_cmp(&b.from.max(b.to)));
    let at = rightmost.map(|one| {
        let (low, high) = (one.from.min(one.to), one.from.max(one.to));
        Point::new(high - (high - low).min(level) * 0.5, f64::from(one.level) * level)
    });
    if let Some(at) = at.or(end) {
        scene.name(Some(&laid.layer.label), at);
    }
}

/// The stretches joined by folds: half an ellipse each, that reaches as far as the cloth does.
fn folded(stretches: &[Stretch], level: f64) -> Vec<Point> {
    let bulge = |at: usize| {
        let Some([one, next]) = stretches.get(at..at + 2) else { return 0.0 };
        let rise = f64::from(one.level.abs_diff(next.level));
        let room = (one.to - one.from).abs().min((next.to - next.from).abs()) / 2.0;
        ((rise / 2.0).min(BULGE) * level).min(room)
    };
    let mut run = Vec::new();
    for (at, stretch) in stretches.iter().enumerate() {
        let ahead = (stretch.to - stretch.from).signum();
        let before = if at == 0 { 0.0 } else { bulge(at - 1) };
        let after = bulge(at);
        let y = f64::from(stretch.level) * level;
        run.push(Point::new(stretch.from + ahead * before, y));
        run.push(Point::new(stretch.to - ahead * after, y));
        if let Some(next) = stretches.get(at + 1) {
            let top = f64::from(next.level) * level;
            let (middle, half) = ((y + top) / 2.0, (top - y) / 2.0);
            run.extend((1..12).map(|part| {
                let (sine, cosine) = libm::sincos(PI * f64::from(part) / 12.0);
                Point::new(stretch.to - ahead * after * (1.0 - sine), middle - half * cosine)
            }));
        }
    }
    run
}

/// A run of lines moved to its left.
fn beside(run: &[Point], by: f64) -> Vec<Point> {
    let direction = |a: Point, b: Point| {
        let length = a.distance(b).max(1e-9);
        Point::new((b.x - a.x) / length, (b.y - a.y) / length)
    };
    let mut moved = Vec::with_capacity(run.len());
    for (at, point) in run.iter().enumerate() {
        let before = run[at.saturating_sub(1)];
        let after = run[(at + 1).min(run.len() - 1)];
        let along = direction(before, after);
        moved.push(Point::new(point.x - along.y * by, point.y + along.x * by));
    }
    moved
}

fn round(middle: Point, radius: f64) -> Vec<Point> {
    let at = |part: u32| {
        let (sine, cosine) = libm::sincos(2.0 * PI * f64::from(part) / 24.0);
        Point::new(middle.x + radius * cosine, middle.y + radius * sine)
    };
    (0..24).chain([0]).map(at).collect()
}

/// A line broken to and fro: the work goes on beyond it.
fn zigzag(at: f64, low: f64, high: f64, level: f64) -> Vec<Point> {
    let (middle, reach) = ((low + high) / 2.0, level * 0.5);
    let place = |x: f64, y: f64| Point::new(at + x * reach, middle + y * reach);
    vec![
        Point::new(at, low),
        place(0.0, -1.0),
        place(-1.0, -0.4),
        place(1.0, 0.4),
        place(0.0, 1.0),
        Point::new(at, high),
    ]
}

/// A cross-section of layers.
fn told(
    section: &CrossSection,
    layers: &[LaidLayer],
    dimensions: &[Dimension],
    scene: &Scene,
    has_right_side: bool,
) -> String {
    let mut telling = Telling::new(&plain(&section.says));
    telling.say(if section.to_scale {
        "Lengths to scale, thickness exaggerated."
    } else {
        "Not to scale, thickness exaggerated."
    });
    let folds = |laid: &LaidLayer| match laid.stretches.len() {
        0 | 1 => plain(&laid.layer.label),
        2 => format!("{}, folded", plain(&laid.layer.label)),
        more => format!("{}, folded {} times", plain(&laid.layer.label), more - 1),
    };
    telling.list("Layers:", &layers.iter().map(folds).collect::<Vec<_>>());
    telling.dimensions("Dimensions:", dimensions);
    let is_layer = |name: &str| layers.iter().any(|laid| plain(&laid.layer.label) == name);
    telling.list("Named:", &scene.named().filter(|name| !is_layer(name)).map(str::to_owned).collect::<Vec<_>>());
    if has_right_side {
        telling.say("Dots run along the right side of the cloth.");
    }
    telling.told()
}
