//! Marks with their numbers put in: lines, arcs, spots and notches where these givens have them.

use super::fault::DrawFault;
use super::places::Undrawn;
use super::work::Draft;
use crate::exercise::{Across, Drawn, PARTS, Pen, Side, Sign, StepId, no_parts};
use crate::formula::{Formula, Values};
use crate::geometry::{Curve, Edge, Outline, OutlineFault, Point};
use crate::length::NM_PER_MM;
use std::f64::consts::PI;

/// One thing drawn, in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// Straight lines under one name.
    Lines {
        /// Both ends of each.
        lines: Vec<(Point, Point)>,
        /// How.
        pen: Pen,
        /// What they are called.
        label: Option<String>,
    },
    /// A part of a circle, or a whole one.
    Arc {
        /// The curve.
        curve: Curve,
        /// How.
        pen: Pen,
        /// What it is called.
        label: Option<String>,
    },
    /// Objects in outline: lower left and upper right corner of each.
    Objects {
        /// The corners.
        boxes: Vec<(Point, Point)>,
        /// What they are called.
        label: Option<String>,
    },
    /// A dimension.
    Measure {
        /// Index of the step measured.
        step: StepId,
        /// One end.
        from: Point,
        /// The other.
        to: Point,
        /// Where it stands.
        side: Side,
    },
    /// A spot.
    Spot {
        /// Where.
        at: Point,
        /// What it is called.
        label: Option<String>,
    },
    /// A notch.
    Notch {
        /// Where on the stitching line.
        at: Point,
        /// The unit vector out of the piece.
        outward: Point,
        /// How wide the allowance is there, in millimetres.
        allowance: f64,
    },
}

/// So many widths are laid side by side at the most: more than any cloth has room for.
const MOST_SPANS: usize = 10_000;

/// A circle smaller than this, in millimetres, is a point; a notch may lie so far past an end.
const MICROMETRE: f64 = 1e-3;

impl Draft<'_> {
    /// Marks with their numbers put in, as far as these givens have them; one that can't be drawn is left out, and told
    /// by [`Draft::drawing_faults`]. Notches need the outline they are cut into.
    pub fn marks(&self, drawn: &[Drawn], outline: Option<&Outline>) -> Vec<Mark> {
        drawn.iter().flat_map(|drawn| self.mark(drawn, outline).unwrap_or_default()).collect()
    }

    /// Whether every number that an entry needs is known; one of which some is not is left out.
    pub fn is_placed(&self, drawn: &Drawn, outline: Option<&Outline>) -> bool {
        !matches!(self.mark(drawn, outline), Err(Undrawn::Unplaced))
    }

    /// As [`Draft::marks`], with the first fault.
    pub(super) fn try_marks(&self, drawn: &[Drawn], outline: Option<&Outline>) -> Result<Vec<Mark>, DrawFault> {
        let mut marks = Vec::with_capacity(drawn.len());
        for drawn in drawn {
            marks.extend(self.try_mark(drawn, outline)?);
        }
        Ok(marks)
    }

    /// What an entry draws, or why it can't be drawn.
    pub(super) fn try_mark(&self, drawn: &Drawn, outline: Option<&Outline>) -> Result<Vec<Mark>, DrawFault> {
        match self.mark(drawn, outline) {
            Err(Undrawn::Fault(fault)) => Err(fault),
            Err(Undrawn::Unplaced) => Ok(Vec::new()),
            Ok(marks) => Ok(marks),
        }
    }

    /// One thing drawn: none, if its condition does not hold, and several, if it divides something.
    fn mark(&self, drawn: &Drawn, outline: Option<&Outline>) -> Result<Vec<Mark>, Undrawn> {
        if !self.holds(drawn.when.as_ref()) {
            return Ok(Vec::new());
        }
        Ok(vec![match &drawn.sign {
            Sign::Line { from, to, pen, label } => {
                Mark::Lines { lines: vec![(self.point(from)?, self.point(to)?)], pen: *pen, label: label.clone() }
            }
            Sign::Arc { from, to, centre, left, pen, label } => {
                let curve =
                    self.arc(self.point(from)?, self.point(centre)?, self.point(to)?, *left).and_then(|curve| {
                        let is_point = matches!(curve, Curve::Arc { radius, .. } if radius < MICROMETRE);
                        if is_point { Err("has no radius: it starts in its centre".to_owned()) } else { Ok(curve) }
                    });
                let curve =
                    curve.map_err(|message| DrawFault { message: format!("the arc {}{message}", named(label)) })?;
                Mark::Arc { curve, pen: *pen, label: label.clone() }
            }
            Sign::Circle { centre, radius, pen, label } => {
                let (centre, radius) = (self.point(centre)?, self.mm(radius)?);
                if radius < MICROMETRE {
                    let message = format!(
                        "the circle {}has a radius of {}; it has to be more than nothing",
                        named(label),
                        self.written(radius)
                    );
                    return Err(DrawFault { message }.into());
                }
                let curve = Curve::Arc { centre, radius, start: 0.0, sweep: 2.0 * PI };
                Mark::Arc { curve, pen: *pen, label: label.clone() }
            }
            Sign::Box { from, to, pen, label } => {
                let (a, c) = (self.point(from)?, self.point(to)?);
                let (b, d) = (Point::new(c.x, a.y), Point::new(a.x, c.y));
                Mark::Lines { lines: vec![(a, b), (b, c), (c, d), (d, a)], pen: *pen, label: label.clone() }
            }
            Sign::Dividers { across, from, to, pen, label } => {
                let (low, high) = (self.mm(from)?, self.mm(to)?);
                let spans = self.spans(across)?;
                let inner = spans.iter().skip(1).map(|(left, _, _)| (Point::new(*left, low), Point::new(*left, high)));
                Mark::Lines { lines: inner.collect(), pen: *pen, label: label.clone() }
            }
            Sign::Objects { across, base, widths, heights, label } => {
                let base = self.mm(base)?;
                let mut boxes = Vec::new();
                for (left, width, row) in self.spans(across)? {
                    let middle = left + width / 2.0;
                    let half = self.mm_in_row(widths, Some(row))? / 2.0;
                    let height = self.mm_in_row(heights, Some(row))?;
                    boxes.push((Point::new(middle - half, base), Point::new(middle + half, base + height)));
                }
                Mark::Objects { boxes, label: label.clone() }
            }
            Sign::Measure { step, from, to, side } => {
                Mark::Measure { step: *step, from: self.point(from)?, to: self.point(to)?, side: *side }
            }
            Sign::Spot { at, label } => Mark::Spot { at: self.point(at)?, label: label.clone() },
            Sign::Notch { edge: name, at } => {
                let edges = outline.map(Outline::edges).unwrap_or_default();
                let Some(edge) = edges.iter().find(|edge| edge.name == *name) else {
                    let message = "has a notch, but nothing is left of it".to_owned();
                    return Err(OutlineFault { edge: name.clone(), message }.into());
                };
                let (distance, length) = (self.mm(at)?, edge.stitching_length());
                if distance < -MICROMETRE || distance > length + MICROMETRE {
                    let message = format!(
                        "has a notch {} from its first corner, and is {} long",
                        self.written(distance),
                        self.written(length)
                    );
                    return Err(OutlineFault { edge: name.clone(), message }.into());
                }
                notch(edge, distance)
            }
            Sign::Divide { edge, into, from } => {
                return outline
                    .map_or(Ok(Vec::new()), |outline| self.divide(outline, edge.as_deref(), into, from.as_ref()));
            }
        }])
    }

    /// An arc, or what is wrong with it as the rest of a sentence.
    pub(super) fn arc(&self, from: Point, centre: Point, to: Point, left: bool) -> Result<Curve, String> {
        Curve::arc(from, centre, to, left).map_err(|off| {
            let way = if off > 0.0 { "farther" } else { "nearer" };
            format!("ends {} {way} from its centre than it starts", self.written(off.abs()))
        })
    }

    /// Notches between the equal parts of an edge, or of the whole outline.
    fn divide(
        &self,
        outline: &Outline,
        name: Option<&str>,
        into: &Formula,
        from: Option<&Formula>,
    ) -> Result<Vec<Mark>, Undrawn> {
        let count = self.value(into, None)?;
        let what = name.map_or("the outline".to_owned(), |name| format!("the edge \"{name}\""));
        if !PARTS.contains(&count) || libm::floor(count) != count {
            return Err(DrawFault { message: format!("{what} can't be divided: {}", no_parts(count)) }.into());
        }
        let part = |whole: f64, at: i32| whole * f64::from(at) / count;
        if let Some(name) = name {
            let Some(edge) = outline.edges().iter().find(|edge| edge.name == name) else {
                return Err(DrawFault { message: format!("{what} is to be divided, but nothing is left of it") }.into());
            };
            let length = edge.stitching_length();
            return Ok((1..count as i32).map(|at| notch(edge, part(length, at))).collect());
        }
        let (from, whole) = (from.map_or(Ok(0.0), |from| self.mm(from))?, outline.stitching_length());
        if !(0.0..whole).contains(&from) {
            let (from, whole) = (self.written(from), self.written(whole));
            let message = format!("{what} is to be divided from {from} on, and is {whole} long");
            return Err(DrawFault { message }.into());
        }
        let at = |index: i32| {
            let (edge, distance) = outline.along(from + part(whole, index));
            notch(&outline.edges()[edge], distance)
        };
        Ok((0..count as i32).map(at).collect())
    }

    /// Widths laid side by side: left end, width, and row of each, in millimetres.
    pub(super) fn spans(&self, across: &Across) -> Result<Vec<(f64, f64, usize)>, Undrawn> {
        let Some(table) = across.widths.kind().list else { return Ok(Vec::new()) };
        let mut spans = Vec::new();
        // Added up in nanometres, whose sums are exact.
        let mut left = self.value(&across.start, None)?;
        for row in 0..self.measures.rows(table) {
            let width = self.value(&across.widths, Some(row))?;
            let times = across.times.as_ref().map_or(Ok(1.0), |times| self.value(times, Some(row)))?;
            for _ in 0..times.clamp(0.0, MOST_SPANS as f64) as usize {
                if spans.len() == MOST_SPANS {
                    return Ok(spans);
                }
                spans.push((left / NM_PER_MM, width / NM_PER_MM, row));
                left += width;
            }
        }
        Ok(spans)
    }
}

/// A mark's name before the rest of a sentence.
fn named(label: &Option<String>) -> String {
    label.as_ref().map_or_else(String::new, |label| format!("\"{label}\" "))
}

fn notch(edge: &Edge, distance: f64) -> Mark {
    Mark::Notch { at: edge.along(distance), outward: edge.outward(distance), allowance: edge.finish.width() }
}
