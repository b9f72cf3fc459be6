//! Views of the finished work with their numbers put in.

use super::fault::DrawFault;
use super::places::is_near;
use super::rounded::rounded;
use super::space::Spatial;
use super::work::Draft;
use crate::exercise::{Form, Pen, Side, SpatialCoordinates, Surface, View};
use crate::formula::{Base, Formula};

/// One thing of a view, in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub enum Seen {
    /// A face, with its corners.
    Face {
        /// The corners; a rounded one is an arc in chords.
        corners: Vec<Spatial>,
        /// What of the cloth is seen.
        shows: Option<Surface>,
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
        /// What of the cloth is seen.
        shows: Option<Surface>,
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

/// A view has so many points at the most, those of its round corners among them: each is looked at for every face.
const MOST_POINTS: usize = 10_000;

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
            let place = |place: &SpatialCoordinates| -> Result<Spatial, DrawFault> {
                let at = [&place.across, &place.up, &place.deep].map(|formula| self.near(formula));
                let [Some(across), Some(up), Some(deep)] = at else {
                    return Err(fault("its place can't be worked out"));
                };
                Ok([across, up, deep])
            };
            let places = |all: &[SpatialCoordinates]| all.iter().map(place).collect::<Result<Vec<_>, _>>();
            let radii = |all: &[Formula]| {
                let radii =
                    all.iter().map(|radius| self.near(radius).filter(|mm| *mm >= 0.0)).collect::<Option<Vec<f64>>>();
                radii.ok_or_else(|| fault("the radius of a corner has to be nothing, or more"))
            };
            let (pen, shows, label) = (solid.pen, solid.shows, solid.label.clone());
            match &solid.form {
                Form::Face { corners, rounds } => {
                    let corners = rounded(&places(corners)?, &radii(rounds)?, true);
                    seen.push(Seen::Face { corners, shows, pen, label });
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
                    // Of a box that one looks into, the far wall and the left one are seen from within.
                    let within = |at: usize| if *open && at < 2 { shows.map(|_| Surface::Wrong) } else { shows };
                    let back = faces.into_iter().enumerate();
                    seen.extend(back.map(|(at, corners)| Seen::Face { corners, shows: within(at), pen, label: None }));
                    seen.extend(front.map(|corners| Seen::Face { corners, shows, pen, label }));
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
                    seen.push(Seen::Ring { centre, radius, height, shows, pen, label });
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
