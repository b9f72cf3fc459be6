//! A student's draft over the expected one: only where the two differ, and in a line of its own.

use crate::draft::{Draft, Mark};
use crate::exercise::{Pen, StepId};
use crate::figure::drawing::{Figure, Standing, plain};
use crate::figure::layout::bar::scaled;
use crate::figure::layout::sheet::Sheet;
use crate::figure::subject::dimension::{Dimension, side_index};
use crate::figure::subject::mark::{self, Line};
use crate::figure::telling::Telling;
use crate::formula::Base;
use crate::geometry::{Bounds, Point};
use crate::length::{Length, NM_PER_MM};
use typed_index_collections::{TiSlice, TiVec};

/// A measure that a student has otherwise than the rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Differing {
    /// Index of the step.
    pub step: StepId,
    /// The student's value, in nanometres.
    pub yours: f64,
    /// What the rule gives, or the limit that was passed, in nanometres.
    pub rule: f64,
    /// The same as it is written: "13 in", "at most 17 cm".
    pub rule_text: String,
}

/// So many measures are compared on each side of the drawing, which leaves room for the drawing itself.
const MOST_ON_A_SIDE: usize = 2;
/// A line of the student's may lie outside the drawing by so much of its size, and is left out beyond.
const ROOM: f64 = 1.0;
/// Lines nearer to each other than this part of the drawing would run together.
const TOGETHER: f64 = 0.006;

/// The expected draft, `truth`, in the usual hand, and over it the student's `own` where it differs by more than a
/// step's width in `widths`, in nanometres. Of the measures in `differing`, the most telling first, as many as there
/// is room for are drawn both ways. `None` where nothing can be seen.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = || Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let truth = Draft::new(roll, givens()).unwrap();
/// let fold = roll.step_id("fold_height").unwrap();
/// let own = Draft::choosing(roll, givens(), &|step, _| (step == fold).then_some(9.0 * 25_400_000.0)).unwrap();
/// let widths = roll.steps.iter().map(|_| 3_175_000.0).collect::<typed_index_collections::TiVec<_, _>>();
/// let figure = figure::overlay(&truth, &own, &widths, &[]).unwrap();
/// assert!(figure.inline("o").contains("your fold"));
/// assert!(figure::overlay(&truth, &truth, &widths, &[]).is_none());
/// ```
pub fn overlay(truth: &Draft, own: &Draft, widths: &TiSlice<StepId, f64>, differing: &[Differing]) -> Option<Figure> {
    let exercise = truth.exercise;
    let steps: TiVec<StepId, (Vec<Mark>, Vec<Mark>)> =
        exercise.steps.iter().map(|step| (truth.marks(&step.draw, None), own.marks(&step.draw, None))).collect();
    let expected: Vec<Mark> =
        steps.iter().flat_map(|(truth, _)| truth).filter(|mark| mark::is_drawable(mark)).cloned().collect();
    let bounds = expected.iter().filter_map(mark::bounds).reduce(Bounds::with)?;
    let extent = bounds.width().max(bounds.height());
    let tick = truth.givens.ruler.tick().as_nm_f64();
    let apart = |step: StepId| {
        let is_length = exercise.steps[step].kind.base == Base::Length;
        let width = if is_length { widths.get(step).copied().unwrap_or(tick) } else { tick };
        (width / NM_PER_MM).max(extent * TOGETHER)
    };
    let mut compared = Compared { expected: &expected, room: grown(bounds, extent * ROOM), own: Vec::new() };
    for (index, (truth, own)) in steps.iter_enumerated() {
        for (truth, own) in truth.iter().zip(own) {
            compared.mark(truth, own, apart(index));
        }
    }
    let all_own: Vec<Mark> = steps.iter().flat_map(|(_, own)| own).cloned().collect();
    let dimensions = compared.dimensions(own, &all_own, differing);
    if compared.own.is_empty() && dimensions.is_empty() {
        return None;
    }
    let title = format!("{}: yours, where it differs", plain(&exercise.title));
    let description = told(&compared.own, &dimensions);
    let own = named(compared.own).into_iter().map(|mark| (mark, Standing::Own));
    // Only what differs is called by name.
    let mut sheet = Sheet { grows: true, ..Sheet::of(expected.into_iter().map(mark::unnamed), dimensions) };
    sheet.marks.extend(own);
    Some(scaled(Figure::new(&title, &description, [sheet.draw()]), truth.givens.ruler))
}

fn grown(bounds: Bounds, by: f64) -> Bounds {
    let Bounds { least, most } = bounds;
    Bounds { least: Point::new(least.x - by, least.y - by), most: Point::new(most.x + by, most.y + by) }
}

fn is_within(bounds: &Bounds, point: Point) -> bool {
    let Bounds { least, most } = bounds;
    (least.x..=most.x).contains(&point.x) && (least.y..=most.y).contains(&point.y)
}

/// The student's marks are called so; one of them at least, so that the line can be told.
fn named(mut own: Vec<Mark>) -> Vec<Mark> {
    let has_name = own.iter().any(|mark| mark::label(mark).is_some());
    for (index, label) in own.iter_mut().enumerate().filter_map(|(index, mark)| Some((index, mark::label_mut(mark)?))) {
        *label = match label.as_deref() {
            Some(name) => Some(format!("your {name}")),
            None => (index == 0 && !has_name).then(|| "yours".to_owned()),
        };
    }
    own
}

struct Compared<'c> {
    expected: &'c [Mark],
    /// What lies outside is left out.
    room: Bounds,
    /// What the student has otherwise.
    own: Vec<Mark>,
}

impl Compared<'_> {
    /// Takes in what of a student's mark lies elsewhere.
    fn mark(&mut self, truth: &Mark, own: &Mark, apart: f64) {
        if !mark::is_drawable(own) {
            return;
        }
        let has_room =
            mark::bounds(own).is_some_and(|bounds| self.has_room(bounds.least) && self.has_room(bounds.most));
        // Basting and help lines only follow the others.
        let follows = mark::pen(own).is_some_and(|pen| match pen {
            Pen::Baste | Pen::Guide => true,
            Pen::Cut | Pen::Stitch | Pen::Fold | Pen::Edge | Pen::Gap => false,
        });
        if has_room && !follows {
            let drawn = mark::pen(own).map_or_else(Vec::new, |pen| self.drawn(pen));
            self.own.extend(mark::elsewhere(own, truth, apart, drawn));
        }
    }

    fn has_room(&self, point: Point) -> bool {
        is_within(&self.room, point)
    }

    /// The lines that need not be drawn again: those expected with the same pen, and the student's so far.
    fn drawn(&self, pen: Pen) -> Vec<Line> {
        let expected = self.expected.iter().filter_map(mark::lines).filter(|(_, its)| *its == pen);
        expected.chain(self.own.iter().filter_map(mark::lines)).flat_map(|(lines, _)| lines).copied().collect()
    }

    /// Each measure both ways, as many as there is room for.
    fn dimensions(&mut self, own: &Draft, all_own: &[Mark], differing: &[Differing]) -> Vec<Dimension> {
        let mut dimensions = Vec::new();
        let mut taken = [0; 4];
        for one in differing {
            let of = |mark: &&Mark| matches!(mark, Mark::Measure { step, .. } if *step == one.step);
            let (Some(expected), Some(drawn)) = (self.expected.iter().find(of), all_own.iter().find(of)) else {
                continue;
            };
            let (Some(rule), Some(yours)) = (measured(expected, one.rule), measured(drawn, one.yours)) else {
                continue;
            };
            let Mark::Measure { side, .. } = expected else { continue };
            let taken = &mut taken[side_index(*side)];
            let fits = [rule, yours].iter().all(|(from, to)| self.has_room(*from) && self.has_room(*to));
            if !fits || *taken == MOST_ON_A_SIDE {
                continue;
            }
            *taken += 1;
            self.end((expected, drawn), rule, yours);
            let step = &own.exercise.steps[one.step];
            let title = format!("{}:", plain(&step.short));
            // What was written is shown as it was written, though it may lie between two ticks.
            let yours_text = Length::from_nm_f64(one.yours).map(|length| own.givens.ruler.write_exactly(length));
            let texts = [("yours", yours_text.unwrap_or_default()), ("rule", one.rule_text.clone())];
            for ((from, to), (whose, text)) in [yours, rule].into_iter().zip(texts) {
                let value = format!("{whose} {text}");
                dimensions.push(Dimension { from, to, side: *side, title: title.clone(), value, is_wrong: false });
            }
        }
        dimensions
    }
}

impl Compared<'_> {
    /// The line that a measure reaches to, drawn where the student's own ends: `drawn` is the measure as both drafts
    /// draw it. A line that follows from earlier answers may lie where the rule has it, though its own answer is wrong.
    fn end(&mut self, drawn: (&Mark, &Mark), rule: Line, yours: Line) {
        let (Mark::Measure { to: in_truth, .. }, Mark::Measure { to: in_own, .. }) = drawn else { return };
        let along = |line: Line| Point::new(line.1.x - line.0.x, line.1.y - line.0.y);
        let direction = along(rule);
        let is_drawn = in_own.distance(yours.1) < 1e-3;
        let is_choice = in_own.distance(*in_truth) < 1e-3;
        let expected_to = match (is_drawn, is_choice) {
            // A choice is the student's in either draft.
            (true, true) => *in_own,
            (true, false) => return,
            (false, _) => rule.1,
        };
        let is_end = |line: &Line| {
            let (from, to) = *line;
            let (length, across) = (from.distance(to), along(*line));
            let is_square =
                (across.x * direction.x + across.y * direction.y).abs() < 0.1 * length * direction.x.hypot(direction.y);
            let detour = from.distance(expected_to) + expected_to.distance(to) - length;
            length > 0.0 && is_square && detour < 1e-3 * length + 1e-3
        };
        let mut longest: Option<(Line, Pen, Option<String>)> = None;
        for mark in self.expected {
            let Mark::Lines { lines, pen, label } = mark else { continue };
            for line in lines.iter().filter(|line| is_end(line)) {
                if longest.as_ref().is_none_or(|(known, ..)| line.0.distance(line.1) > known.0.distance(known.1)) {
                    longest = Some((*line, *pen, label.clone()));
                }
            }
        }
        let Some((line, pen, label)) = longest else { return };
        let moved = |point: Point| Point::new(point.x + yours.1.x - expected_to.x, point.y + yours.1.y - expected_to.y);
        self.own.push(Mark::Lines { lines: vec![(moved(line.0), moved(line.1))], pen, label });
    }
}

/// The two ends of a measure drawn as long as its value, in nanometres, says.
fn measured(mark: &Mark, value: f64) -> Option<Line> {
    let Mark::Measure { from, to, .. } = mark else { return None };
    let (length, drawn) = (value / NM_PER_MM, from.distance(*to));
    let is_sound = mark::is_drawable(mark) && drawn > 0.0 && length.is_finite();
    is_sound.then(|| {
        let is_right = (length - drawn).abs() < 1e-3;
        (*from, if is_right { *to } else { from.towards(*to, length / drawn) })
    })
}

/// A student's draft over the expected one; `own` is what differs.
fn told(own: &[Mark], dimensions: &[Dimension]) -> String {
    let mut telling = Telling::new("The draft by the rules, in its usual lines.");
    let mut differs: Vec<String> = Vec::new();
    let named = own.iter().filter_map(mark::label).map(plain).filter(|name| !name.is_empty());
    // What has no name is told only where nothing has one.
    let kinds = own.iter().map(|mark| mark::kind(mark).to_owned());
    for name in named.clone().chain(kinds.filter(|_| named.clone().next().is_none())) {
        if !differs.contains(&name) {
            differs.push(name);
        }
    }
    if !differs.is_empty() {
        telling.list("Over it, heavy and finely hatched, yours where it differs:", &differs);
    }
    telling.dimensions("Measured both ways:", dimensions);
    telling.told()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draft::{Givens, Raw};
    use crate::exercise::Shelf;

    /// A base that is drawn with another radius, and nothing else: only its cutting line lies elsewhere.
    #[test]
    fn a_circle_is_compared_as_one() {
        let shelf = Shelf::shipped();
        let bucket = shelf.get("round-bucket").unwrap();
        let givens = Givens::read(bucket, &Raw::example(bucket), None, bucket.usual_ruler(false)).unwrap();
        let truth = Draft::new(bucket, givens.clone()).unwrap();
        let radius = bucket.steps.position(|step| step.name == "radius").unwrap();
        let right = truth.length("radius", 0).as_nm_f64();
        let own = Draft::choosing(bucket, givens, &|step, _| (step == radius).then_some(right * 0.9)).unwrap();
        let widths: TiVec<StepId, f64> = vec![1e6; bucket.steps.len()].into();
        let figure = overlay(&truth, &own, &widths, &[]).unwrap();
        let told = "Over it, heavy and finely hatched, yours where it differs: a circle.";
        assert!(figure.description().contains(told), "{}", figure.description());
    }
}
