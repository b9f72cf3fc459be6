//! A finished draft with slips in it, of which a student has to say where they are.

use super::answers::AnswerSheet;
use super::cells::Cells;
use super::mark::{MarkedCell, MarkedSheet, Marker};
use super::points::Points;
use super::verdict::Verdict;
use crate::draft::{Draft, Givens, Measures, whole};
use crate::exercise::{Exercise, SlipId, StepId, StepRule};
use crate::formula::Values;
use crate::text::{Fault, harmless};
use typed_index_collections::TiVec;

/// A worked draft as someone shows it who made slips: what follows from a slip is
/// worked from the wrong figure, and choices are those of the draft. Nothing, if it can't be worked out.
///
/// ```
/// use foldmark::{check::with_slips, draft::{Draft, Givens, Raw}, exercise::Shelf, formula::Values, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let slip = roll.slips.position(|slip| slip.name == "side-ease-missing").unwrap();
/// let shown = with_slips(roll, &draft.measures, &[slip]).unwrap();
/// let width = |measures: &foldmark::draft::Measures| measures.value(roll.step("cut_width").unwrap().slot, 0);
/// assert!(width(&shown) < width(&draft.measures));
/// ```
pub fn with_slips(exercise: &Exercise, worked: &Measures, slips: &[SlipId]) -> Option<Measures> {
    let mut shown = worked.clone();
    for &index in &exercise.order {
        let step = &exercise.steps[index];
        let StepRule::Value(rule) = &step.rule else { continue };
        let slip = slips.iter().map(|slip| &exercise.slips[*slip]).find(|slip| slip.step == index);
        let used = slip.map_or(rule, |slip| &slip.used);
        for row in 0..shown.count(exercise, step.slot) {
            let value = whole(step, used.evaluate(&shown, Some(row))?)?;
            shown.set(step.slot, row, value);
        }
    }
    Some(shown)
}

impl<'e> Marker<'e> {
    /// Marks what a student found in a finished draft: each measure with a slip in it has to be named with its right value.
    /// A right measure that is named counts as a wrong answer; one that only follows from a slip may be named as well.
    pub(super) fn spotted(
        &self,
        sheet: &AnswerSheet,
        slips: &[SlipId],
        read: Cells,
        givens: Givens,
        mut remarks: Vec<String>,
    ) -> Result<MarkedSheet<'e>, Vec<Fault>> {
        let exercise = self.exercise;
        let whole = |message: String| vec![Fault::whole(message)];
        let widths = self.widths(givens.ruler, &mut remarks);
        let truth = Draft::new(exercise, givens).map_err(|fault| whole(fault.to_string()))?;
        let shown = with_slips(exercise, &truth.measures, slips);
        let shown = shown.ok_or_else(|| whole("this code's draft can't be worked out".to_owned()))?;
        let is_made_in = |step: StepId| slips.iter().any(|slip| exercise.slips[*slip].step == step);
        let judge = |mut cell: MarkedCell| {
            let step = &exercise.steps[cell.step];
            let right = truth.measures.value(step.slot, cell.row).unwrap_or(f64::NAN);
            let is_right = |value: f64| (value - right).abs() <= widths[cell.step];
            let is_wrong_as_shown = !shown.value(step.slot, cell.row).is_some_and(is_right);
            (cell.expected, cell.own) = (right, right);
            let remark = match (cell.answer, is_made_in(cell.step) && is_wrong_as_shown) {
                _ if cell.verdict == Verdict::Unreadable => return Some(cell),
                (None, false) => return None,
                (None, true) => {
                    cell.verdict = Verdict::Missing;
                    return Some(cell);
                }
                (Some(value), is_faulty) if is_right(value) && (is_faulty || is_wrong_as_shown) => {
                    cell.verdict = Verdict::Right;
                    return is_faulty.then_some(cell);
                }
                (Some(_), true) => "",
                (Some(_), false) if is_wrong_as_shown => "no slip was made here: it only follows from another measure",
                (Some(_), false) => "this measure was right as it stood",
            };
            (cell.verdict, cell.remark) = (Verdict::NotRight, remark.to_owned());
            Some(cell)
        };
        let cells: Vec<MarkedCell> = read.cells.into_iter().filter_map(judge).collect();
        let is_marked = |step: StepId| cells.iter().any(|cell| cell.step == step);
        let worth = |(step, worth): (StepId, &Points)| if is_marked(step) { *worth } else { Points::NONE };
        let worth: TiVec<StepId, Points> = self.worth.iter_enumerated().map(worth).collect();
        remarks.push(
            "a finished draft was to be looked through: a slip counts where it is named with the right measure, and a \
             measure that is named without a slip in it counts against that"
                .to_owned(),
        );
        let own = Draft { measures: shown, ..truth.clone() };
        let mut marked = MarkedSheet {
            student: sheet.shown_name(),
            id: harmless(sheet.id.trim(), 40).into_owned(),
            own,
            cells,
            widths,
            worth,
            points: Points::NONE,
            out_of: Points::NONE,
            faults: read.faults,
            remarks,
            truth,
        };
        let grades = marked.grades();
        let counted = marked.worth.iter().zip(&grades).filter(|(_, grade)| grade.verdict == Verdict::Right);
        marked.points = counted.map(|(worth, _)| *worth).sum();
        marked.out_of = marked.worth.iter().copied().sum();
        Ok(marked)
    }
}
