//! Cross-sections and views with their numbers put in.

use super::marks::DrawFault;
use super::rounded::rounded;
use super::work::Draft;
use crate::exercise::{CrossSection, Form, Layer, LayerSign, Pen, Side, SpacePlace, View};
use crate::formula::{Base, Formula};

/// A point in space, in millimetres: across, up, and away from the eye.
pub type Spatial = [f64; 3];

/// One thing of a view, in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub enum Seen {
    /// A face, with its corners.
    Face {
        /// The corners; a rounded one is an arc in chords.
        corners: Vec<Spatial>,
        /// How its outline is drawn.
        pen: Pen,
        /// What it is called.
        label: Option<String>,
    },
    /// A level disc, or a round body that stands on it.
    Ring {
        /// Its middle.
        centre: Spatial,
        /// Its radius.
        radius: f64,
        /// How high the body is; 0 for a disc.
        height: f64,
        /// How its outline is drawn.
        pen: Pen,
        /// What it is called.
        label: Option<String>,
    },
    /// A line from point to point, or a smooth one with two handles.
    Line {
        /// The points, a rounded corner as an arc in chords; of a curve an end, two handles, and the other end.
        points: Vec<Spatial>,
        /// Whether it is a curve.
        is_curve: bool,
        /// How.
        pen: Pen,
        /// What it is called.
        label: Option<String>,
    },
    /// A dimension.
    Measure {
        /// What it tells, as it is written.
        value: String,
        /// What it is called.
        title: String,
        /// One end.
        from: Spatial,
        /// The other.
        to: Spatial,
        /// Where it stands.
        side: Side,
    },
}

/// A stretch of a layer, between two folds or ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Where it begins, in millimetres along the section.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Its level; the lowest is 0.
    pub level: u32,
}

/// A layer as it lies.
#[derive(Debug, Clone)]
pub struct LaidLayer<'e> {
    /// As the exercise states it.
    pub layer: &'e Layer,
    /// Its stretches, each folded over to the next.
    pub stretches: Vec<Stretch>,
}

/// A mark of a section, in millimetres along it.
#[derive(Debug, Clone)]
pub struct LaidMark<'e> {
    /// As the exercise states it.
    pub sign: &'e LayerSign,
    /// Where; for a dimension from where to where.
    pub at: (f64, f64),
    /// What a dimension tells, as it is written; else empty.
    pub value: String,
}

/// The layers and the marks of a section.
type Laid<'s> = (Vec<LaidLayer<'s>>, Vec<LaidMark<'s>>);

/// A view has so many points at the most, those of its round corners among them: each is looked at for every face.
const MOST_POINTS: usize = 10_000;

/// Farther away than any cloth reaches, in millimetres.
const FARTHEST: f64 = 1e6;

impl Draft<'_> {
    /// A view with its numbers put in: what is there, from back to front.
    ///
    /// ```
    /// use foldmark::{draft::{Draft, Givens, Raw, Seen}, exercise::Shelf, length::Ruler};
    /// let shelf = Shelf::shipped();
    /// let tote = shelf.get("boxed-tote").unwrap();
    /// let givens = Givens::read(tote, &Raw::example(tote), None, Ruler::EIGHTH).unwrap();
    /// let draft = Draft::new(tote, givens).unwrap();
    /// let seen = draft.view(&tote.views[0]).unwrap();
    /// assert!(seen.iter().any(|one| matches!(one, Seen::Face { .. })));
    /// ```
    ///
    /// # Errors
    /// A place that can't be worked out, a round body without radius, a corner with one below nothing, or too many points.
    pub fn view(&self, view: &View) -> Result<Vec<Seen>, DrawFault> {
        let mut seen = Vec::with_capacity(view.draw.len());
        for (at, solid) in view.draw.iter().enumerate().filter(|(_, solid)| self.holds(solid.when.as_ref())) {
            let fault = |message: &str| DrawFault { message: format!("entry {} can't be drawn: {message}", at + 1) };
            let place = |place: &SpacePlace| -> Result<Spatial, DrawFault> {
                let at = [&place.across, &place.up, &place.deep].map(|formula| self.near(formula));
                let [Some(across), Some(up), Some(deep)] = at else {
                    return Err(fault("its place can't be worked out"));
                };
                Ok([across, up, deep])
            };
            let places = |all: &[SpacePlace]| all.iter().map(place).collect::<Result<Vec<_>, _>>();
            let radii = |all: &[Formula]| {
                let radii =
                    all.iter().map(|radius| self.near(radius).filter(|mm| *mm >= 0.0)).collect::<Option<Vec<f64>>>();
                radii.ok_or_else(|| fault("the radius of a corner has to be nothing, or more"))
            };
            let (pen, label) = (solid.pen, solid.label.clone());
            match &solid.form {
                Form::Face { corners, rounds } => {
                    let corners = rounded(&places(corners)?, &radii(rounds)?, true);
                    seen.push(Seen::Face { corners, pen, label });
                }
                Form::Line { points, rounds } => {
                    let points = rounded(&places(points)?, &radii(rounds)?, false);
                    seen.push(Seen::Line { points, is_curve: false, pen, label });
                }
                Form::Dividers { across, from, to } => {
                    let unplaced = || fault("its place can't be worked out");
                    let [Some(low), Some(high)] = [from, to].map(|end| self.near(end)) else { return Err(unplaced()) };
                    let spans = self.spans(across).map_err(|_| unplaced())?;
                    for (at, (left, ..)) in spans.iter().enumerate().skip(1) {
                        if !is_near(*left) {
                            return Err(unplaced());
                        }
                        let points = vec![[*left, low, 0.0], [*left, high, 0.0]];
                        // One name for all of them, at the last.
                        let label = label.clone().filter(|_| at + 1 == spans.len());
                        seen.push(Seen::Line { points, is_curve: false, pen, label });
                    }
                }
                Form::Curve(points) => seen.push(Seen::Line { points: places(points)?, is_curve: true, pen, label }),
                Form::Box { from, to, open } => {
                    let mut faces = box_faces(place(from)?, place(to)?, *open);
                    let front = faces.pop();
                    seen.extend(faces.into_iter().map(|corners| Seen::Face { corners, pen, label: None }));
                    seen.extend(front.map(|corners| Seen::Face { corners, pen, label }));
                }
                Form::Ring { centre, radius, height } => {
                    let centre = place(centre)?;
                    let height = height.as_ref().map_or(Some(0.0), |height| self.near(height));
                    let Some((radius, height)) = self.near(radius).zip(height) else {
                        return Err(fault("its size can't be worked out"));
                    };
                    if radius < 1e-3 || height < 0.0 {
                        return Err(fault("a round body needs a radius of more than nothing, and stands up, not down"));
                    }
                    seen.push(Seen::Ring { centre, radius, height, pen, label });
                }
                Form::Measure { value, title, from, to, side } => {
                    let (value, title) =
                        (self.write_value(Base::Length, value.evaluate(&self.measures, None)), title.clone());
                    seen.push(Seen::Measure { value, title, from: place(from)?, to: place(to)?, side: *side });
                }
            }
        }
        let points = seen.iter().map(|one| match one {
            Seen::Face { corners: points, .. } | Seen::Line { points, .. } => points.len(),
            Seen::Ring { .. } | Seen::Measure { .. } => 0,
        });
        match points.sum::<usize>() {
            count if count > MOST_POINTS => Err(DrawFault {
                message: format!(
                    "it has {count} points, with those of its round corners, and at most {MOST_POINTS} are drawn"
                ),
            }),
            _ => Ok(seen),
        }
    }

    /// The layers of a section as they lie, with what is marked on them.
    ///
    /// ```
    /// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler};
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
    /// let draft = Draft::new(roll, givens).unwrap();
    /// let (layers, _) = draft.section(&roll.sections[0]).unwrap();
    /// // The pocket is folded: two stretches, one on the other.
    /// assert!(layers.iter().any(|laid| laid.layer.label.contains("pocket") && laid.stretches.len() == 2));
    /// ```
    ///
    /// # Errors
    /// A place that can't be worked out, or a layer that doesn't turn back where it folds.
    pub fn section<'s>(&self, section: &'s CrossSection) -> Result<Laid<'s>, DrawFault> {
        let along = |formula: &Formula, what: &str| {
            let message = || format!("{what} can't be drawn: its place can't be worked out");
            self.near(formula).ok_or_else(|| DrawFault { message: message() })
        };
        let mut laid: Vec<LaidLayer> = Vec::new();
        let mut free = 0;
        for layer in section.layers.iter().filter(|layer| self.holds(layer.when.as_ref())) {
            let what = format!("the layer \"{}\"", layer.label);
            let run = layer.run.iter().map(|formula| along(formula, &what)).collect::<Result<Vec<f64>, _>>()?;
            let mut stretches: Vec<Stretch> = Vec::new();
            for (at, ends) in run.windows(2).enumerate() {
                let level = layer.levels.get(at).copied().unwrap_or(free + at as u32);
                stretches.push(Stretch { from: ends[0], to: ends[1], level });
            }
            for (at, pair) in stretches.windows(2).enumerate() {
                let (one, next) = (pair[0].to - pair[0].from, pair[1].to - pair[1].from);
                if one * next >= 0.0 {
                    let message = format!("{what} does not turn back at its fold number {}", at + 1);
                    return Err(DrawFault { message });
                }
            }
            free = stretches.iter().map(|stretch| stretch.level + 1).fold(free, u32::max);
            laid.push(LaidLayer { layer, stretches });
        }
        let mut marks = Vec::new();
        for (at, mark) in section.marks.iter().enumerate().filter(|(_, mark)| self.holds(mark.when.as_ref())) {
            let what = format!("mark {}", at + 1);
            let at = match &mark.sign {
                LayerSign::Through { at, .. } | LayerSign::Spot { at, .. } => (along(at, &what)?, along(at, &what)?),
                LayerSign::Measure { from, to, .. } => (along(from, &what)?, along(to, &what)?),
            };
            let value = match &mark.sign {
                LayerSign::Measure { value, .. } => {
                    self.write_value(Base::Length, value.evaluate(&self.measures, None))
                }
                LayerSign::Through { .. } | LayerSign::Spot { .. } => String::new(),
            };
            marks.push(LaidMark { sign: &mark.sign, at, value });
        }
        if !section.to_scale {
            space_evenly(&mut laid, &mut marks);
        }
        Ok((laid, marks))
    }

    /// A length in millimetres, if it can be worked out and is no longer than cloth can be.
    fn near(&self, formula: &Formula) -> Option<f64> {
        self.mm(formula).ok().filter(|mm| is_near(*mm))
    }

    /// Sections and views that can't be drawn: the key, and a sentence.
    ///
    /// ```
    /// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler};
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
    /// assert!(Draft::new(roll, givens).unwrap().scene_faults().is_empty());
    /// ```
    pub fn scene_faults(&self) -> Vec<(String, DrawFault)> {
        let sections = self.exercise.sections.iter();
        let sections = sections.filter_map(|one| Some((format!("section.{}", one.name), self.section(one).err()?)));
        let views = self.exercise.views.iter();
        sections.chain(views.filter_map(|one| Some((format!("view.{}", one.name), self.view(one).err()?)))).collect()
    }
}

fn is_near(mm: f64) -> bool {
    mm.abs() < FARTHEST
}

/// The faces of a box that can be seen from the front, the right and above, from back to front. The front comes last.
fn box_faces(one: Spatial, other: Spatial, is_open: bool) -> Vec<Vec<Spatial>> {
    let low = |at: usize| one[at].min(other[at]);
    let high = |at: usize| one[at].max(other[at]);
    let (left, right, base, top, near, far) = (low(0), high(0), low(1), high(1), low(2), high(2));
    let wall = |deep: f64| vec![[left, base, deep], [right, base, deep], [right, top, deep], [left, top, deep]];
    let side = |across: f64| vec![[across, base, near], [across, base, far], [across, top, far], [across, top, near]];
    let lid = vec![[left, top, near], [right, top, near], [right, top, far], [left, top, far]];
    match is_open {
        true => vec![wall(far), side(left), side(right), wall(near)],
        false => vec![lid, side(right), wall(near)],
    }
}

/// Puts all places at equal distances, in their order.
fn space_evenly(layers: &mut [LaidLayer], marks: &mut [LaidMark]) {
    let ends = layers.iter().flat_map(|laid| laid.stretches.iter().flat_map(|stretch| [stretch.from, stretch.to]));
    let mut places: Vec<f64> = ends.chain(marks.iter().flat_map(|mark| [mark.at.0, mark.at.1])).collect();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| (*a - *b).abs() < 1e-3);
    // Twenty millimetres apart: what is drawn is fitted to the sheet anyway.
    let even = |mm: f64| places.partition_point(|place| *place < mm - 1e-3) as f64 * 20.0;
    for stretch in layers.iter_mut().flat_map(|laid| &mut laid.stretches) {
        (stretch.from, stretch.to) = (even(stretch.from), even(stretch.to));
    }
    for mark in marks {
        mark.at = (even(mark.at.0), even(mark.at.1));
    }
}
