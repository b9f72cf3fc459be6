//! Cross-sections with their numbers put in: how the layers lie.

use super::fault::DrawFault;
use super::work::Draft;
use crate::exercise::{CrossSection, Layer, LayerSign};
use crate::formula::{Base, Formula};

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

impl Draft<'_> {
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
