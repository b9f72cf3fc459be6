//! What the policy of a class means for an exercise.

use super::tolerance::usual_width;
use crate::check::result::{StepGrade, Verdict, charged, does_count};
use crate::class::{Points, Policy};
use crate::exercise::{Exercise, GivenId, OnSheet, Step, StepId};
use crate::formula::Base;
use crate::length::{Length, Ruler, Unit};
use typed_index_collections::{TiSlice, TiVec};

/// A sheet may be drafted on a ruler so many times coarser than the class's; beyond that it is judged as if it were.
const COARSEST: i64 = 5;

/// By which rules the sheets of an exercise are judged.
#[derive(Debug, Clone)]
pub(in crate::check) struct Rules<'e> {
    pub exercise: &'e Exercise,
    pub policy: Policy,
    /// What the class lays down for a given that a sheet leaves out, as written.
    pub given: TiVec<GivenId, Option<String>>,
    /// What each step is worth; nothing, where it is not asked for.
    pub worth: TiVec<StepId, Points>,
    /// What each would be worth in a finished draft with slips in it, which is asked for as a whole.
    pub worth_whole: TiVec<StepId, Points>,
    /// Whether each counts.
    counts: TiVec<StepId, bool>,
    out_of: Points,
}

impl<'e> Rules<'e> {
    pub fn new(exercise: &'e Exercise, policy: &Policy) -> Rules<'e> {
        let asked = |points: TiVec<StepId, Points>| -> TiVec<StepId, Points> {
            let points = exercise.steps.iter().zip(points);
            points.map(|(step, points)| if step.on_sheet == OnSheet::Asked { points } else { Points::NONE }).collect()
        };
        let (worth, worth_whole) = (asked(policy.points(exercise)), asked(policy.worth(exercise)));
        let stated = |name: &str| policy.given.iter().find(|(given, _)| given == name).map(|(_, text)| text.clone());
        let given = exercise.givens.iter().map(|given| stated(&given.name).filter(|text| !text.trim().is_empty()));
        let out_of = worth.iter().copied().sum();
        let counts = exercise.steps.keys().map(|step| does_count(exercise, &worth, step)).collect();
        Rules { exercise, policy: policy.clone(), given: given.collect(), worth, worth_whole, counts, out_of }
    }

    /// What a bare number is measured in, and the ruler, of a sheet that states these.
    pub fn measuring(&self, unit: Option<Unit>, ruler: Option<Ruler>) -> (Option<Unit>, Ruler) {
        let policy = &self.policy;
        let metric = match (unit.or(ruler.map(Ruler::unit)), policy.ruler, policy.unit) {
            (Some(unit), ..) => unit.is_metric(),
            (None, Some(ruler), _) => ruler.is_metric(),
            (None, None, Some(unit)) => unit.is_metric(),
            (None, None, None) => self.exercise.rulers.first().is_some_and(|ruler| ruler.is_metric()),
        };
        let of_class = policy.ruler.filter(|ruler| ruler.is_metric() == metric);
        let ruler = ruler.or(of_class).unwrap_or_else(|| self.exercise.usual_ruler(metric));
        (unit.or(policy.unit), ruler)
    }

    /// How far each step's answer may be off on a sheet with this ruler.
    pub fn widths(&self, ruler: Ruler) -> TiVec<StepId, f64> {
        let (ruler, of_class) = self.judged_by(ruler);
        self.widths_on(ruler, of_class)
    }

    /// The same for a sheet that turned out to be drafted on a coarser ruler than it says.
    pub fn widths_if_coarser(&self, coarser: Ruler) -> TiVec<StepId, f64> {
        self.widths_on(coarser, self.policy.tolerance)
    }

    /// What is to be said of a sheet with a ruler that is coarser than usual, without a full stop.
    pub fn ruler_remark(&self, ruler: Ruler) -> Option<String> {
        let usual = self.usual_ruler(ruler);
        match self.judged_by(ruler) {
            (judged_by, Some(width)) if judged_by != ruler => Some(format!(
                "the sheet says that its ruler has {ruler} ticks, which is too coarse for this exercise; an answer may be off by {}",
                usual.write_exactly(width)
            )),
            (_, None) if ruler.tick() > usual.tick() => {
                Some(format!("drafted on a ruler of {ruler} ticks, where {usual} is usual, and judged by it"))
            }
            (_, Some(_) | None) => None,
        }
    }

    /// The ruler that a sheet with this one is judged by, and how far an answer may be off where that is not one tick.
    fn judged_by(&self, ruler: Ruler) -> (Ruler, Option<Length>) {
        let usual = self.usual_ruler(ruler);
        let most = usual.tick() * COARSEST;
        let of_class = self.policy.tolerance;
        // A ruler that the exercise lists itself is none too coarse.
        if ruler.tick() > most && !self.exercise.rulers.contains(&ruler) {
            (usual, of_class.or(Some(most)))
        } else {
            (ruler, of_class)
        }
    }

    /// The usual ruler of the system of units of a sheet's ruler.
    fn usual_ruler(&self, ruler: Ruler) -> Ruler {
        let of_class = self.policy.ruler.filter(|of_class| of_class.is_metric() == ruler.is_metric());
        of_class.unwrap_or_else(|| self.exercise.usual_ruler(ruler.is_metric()))
    }

    fn widths_on(&self, ruler: Ruler, of_class: Option<Length>) -> TiVec<StepId, f64> {
        let width = |step: &Step| match of_class {
            Some(width) if step.kind.base == Base::Length && step.tolerance.is_none() && !step.is_exact => {
                width.as_nm_f64()
            }
            Some(_) | None => usual_width(step, ruler),
        };
        self.exercise.steps.iter().map(width).collect()
    }

    /// A step that nothing is known of yet.
    pub fn blank_grade(&self, step: StepId) -> StepGrade {
        StepGrade { verdict: Verdict::Right, counts: self.counts[step] }
    }

    /// Points earned and to be had. A list earns its points only as a whole; what follows from the student's own
    /// figure may earn a part.
    pub fn points(&self, grades: &TiSlice<StepId, StepGrade>) -> (Points, Points) {
        let is_wrong = |step: StepId| !grades[step].verdict.earns();
        let charged: Vec<StepId> = charged(self.exercise, grades).map(|(step, _)| step).collect();
        let earned = self.worth.iter_enumerated().map(|(step, &worth)| {
            let verdict = grades[step].verdict;
            // What differs only by the rounding of figures that are right is no mistake.
            let is_in_part = || self.policy.follow_through < 100 && self.exercise.rests_on(step, &is_wrong);
            if !verdict.earns() || charged.contains(&step) {
                Points::NONE
            } else if verdict == Verdict::RightFromOwn && is_in_part() {
                worth.part(self.policy.follow_through)
            } else {
                worth
            }
        });
        (earned.sum(), self.out_of)
    }
}
