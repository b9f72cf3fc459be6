//! Dimensions held against what they are drawn across: a label has to be the distance that it spans, and a dimension has to
//! stand on the side that it was asked for.

use crate::draft::{Draft, Mark};
use crate::exercise::{Drawn, Form, LayerSign, Side, View};
use crate::formula::{Formula, Values};
use crate::geometry::Outline;

/// A label may differ from its span by so much, in millimetres: by less than can be drawn.
const SLACK: f64 = 0.05;

/// A dimension, as an exercise has it and as it came out, in millimetres.
struct Spanned<'d> {
    title: &'d str,
    told: f64,
    spans: f64,
    side: Side,
    /// Whether names take its place at the right.
    gives_way: bool,
}

impl Spanned<'_> {
    /// What is wrong with it, as a sentence without a full stop.
    fn fault(&self, draft: &Draft) -> Option<String> {
        let Spanned { title, told, spans, .. } = *self;
        if (told.abs() - spans).abs() > SLACK {
            let (told, spans) = (draft.written(told), draft.written(spans));
            return Some(format!("the dimension \"{title}\" tells {told} and spans {spans}"));
        }
        let moves = self.gives_way && self.side == Side::Right;
        moves.then(|| {
            format!(
                "the dimension \"{title}\" is asked for at the right, where the names stand, and comes out at the left"
            )
        })
    }
}

/// What is wrong with the dimensions of steps, views and sections: the key of the list, and a sentence.
pub(super) fn faults(draft: &Draft) -> Vec<(String, String)> {
    let exercise = draft.exercise;
    let mut faults = Vec::new();
    let is_named = exercise.steps.iter().any(|step| is_named(&draft.marks(&step.draw, None)));
    for step in &exercise.steps {
        let fault = of_marks(draft, &draft.marks(&step.draw, None), is_named);
        faults.extend(fault.map(|fault| (format!("step.{}.draw", step.name), fault)));
    }
    for view in &exercise.views {
        faults.extend(of_view(draft, view).map(|fault| (format!("view.{}.draw", view.name), fault)));
    }
    for section in &exercise.sections {
        let here = section.marks.iter().filter(|mark| holds(draft, mark.when.as_ref()));
        let fault = here.filter_map(|mark| {
            let LayerSign::Measure { value, title, from, to, side } = &mark.sign else { return None };
            let (told, spans) = (mm(draft, value)?, (mm(draft, to)? - mm(draft, from)?).abs());
            Spanned { title, told, spans, side: *side, gives_way: false }.fault(draft)
        });
        faults.extend(fault.map(|fault| (format!("section.{}.marks", section.name), fault)));
    }
    faults
}

/// The same of what is marked on a piece.
pub(super) fn on_piece(draft: &Draft, marks: &[Drawn], outline: &Outline) -> Option<String> {
    let marks = draft.marks(marks, Some(outline));
    of_marks(draft, &marks, is_named(&marks))
}

fn of_marks(draft: &Draft, marks: &[Mark], gives_way: bool) -> Option<String> {
    marks.iter().find_map(|mark| {
        let Mark::Measure { step, from, to, side } = mark else { return None };
        let step = &draft.exercise.steps[*step];
        let told = draft.measures.value(step.slot, 0)? / NM_PER_MM;
        let spans = if is_upright(*side) { (to.y - from.y).abs() } else { (to.x - from.x).abs() };
        Spanned { title: &step.short, told, spans, side: *side, gives_way }.fault(draft)
    })
}

/// Whether a name stands at any of some marks.
fn is_named(marks: &[Mark]) -> bool {
    marks.iter().any(|mark| match mark {
        Mark::Lines { label, .. }
        | Mark::Arc { label, .. }
        | Mark::Objects { label, .. }
        | Mark::Spot { label, .. } => label.is_some(),
        Mark::Measure { .. } | Mark::Notch { .. } => false,
    })
}

fn of_view(draft: &Draft, view: &View) -> Option<String> {
    let here = || view.draw.iter().filter(|solid| holds(draft, solid.when.as_ref()));
    let is_named = here().any(|solid| solid.label.is_some());
    here().find_map(|solid| {
        let Form::Measure { value, title, from, to, side } = &solid.form else { return None };
        let apart = |one: &Formula, other: &Formula| Some((mm(draft, one)? - mm(draft, other)?).abs());
        let (across, up, deep) =
            (apart(&from.across, &to.across)?, apart(&from.up, &to.up)?, apart(&from.deep, &to.deep)?);
        // Along an edge that recedes, a dimension lies beside it. On a wall that leans it is measured up the wall.
        let recedes = deep > SLACK && across < SLACK && up < SLACK;
        let told = mm(draft, value)?;
        let level = if is_upright(*side) { up } else { across };
        let leaning = level.hypot(deep);
        let spans = if (told.abs() - leaning).abs() <= SLACK { leaning } else { level };
        Spanned { title, told, spans, side: *side, gives_way: is_named && !recedes }.fault(draft)
    })
}

const NM_PER_MM: f64 = 1e6;

fn mm(draft: &Draft, formula: &Formula) -> Option<f64> {
    Some(formula.evaluate(&draft.measures, None)? / NM_PER_MM)
}

fn holds(draft: &Draft, condition: Option<&Formula>) -> bool {
    condition.is_none_or(|condition| condition.holds(&draft.measures))
}

fn is_upright(side: Side) -> bool {
    matches!(side, Side::Left | Side::Right)
}
