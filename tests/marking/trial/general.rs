//! Mistakes that can be made in any exercise, as the design lists them, written here from the words alone and apart
//! from the explanations that they are to test.

use super::student::{Moment, on_ruler};
use foldmark::draft::Measures;
use foldmark::exercise::{Exercise, GivenKind, Step, StepId, StepRule};
use foldmark::formula::{Base, Slot, Values};
use foldmark::length::Ruler;

/// A kind of general mistake.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum General {
    AllowanceOnceTooSeldom,
    AllowanceNotAtAll,
    AllowanceOnceTooOften,
    AllowanceTwiceTooOften,
    FromPaperEdge,
    Half,
    Double,
    OtherUnit,
    LineAbove,
    LineBelow,
    Fraction,
    /// The width in the place of the height, or the other way round.
    Partner,
    NextRow,
}

impl General {
    pub const ALL: [General; 13] = [
        General::AllowanceOnceTooSeldom,
        General::AllowanceNotAtAll,
        General::AllowanceOnceTooOften,
        General::AllowanceTwiceTooOften,
        General::FromPaperEdge,
        General::Half,
        General::Double,
        General::OtherUnit,
        General::LineAbove,
        General::LineBelow,
        General::Fraction,
        General::Partner,
        General::NextRow,
    ];

    pub fn label(self) -> &'static str {
        match self {
            General::AllowanceOnceTooSeldom => "allowance once too seldom",
            General::AllowanceNotAtAll => "allowance not at all",
            General::AllowanceOnceTooOften => "allowance once too often",
            General::AllowanceTwiceTooOften => "allowance twice too often",
            General::FromPaperEdge => "from the paper's edge",
            General::Half => "half",
            General::Double => "double",
            General::OtherUnit => "other unit",
            General::LineAbove => "line above",
            General::LineBelow => "line below",
            General::Fraction => "fraction misread",
            General::Partner => "width and height exchanged",
            General::NextRow => "neighbour's row",
        }
    }

    /// For what befalls a number that a slip has made wrong already.
    pub fn then_label(self) -> &'static str {
        match self {
            General::AllowanceOnceTooSeldom => "slip, then allowance once too seldom",
            General::AllowanceNotAtAll => "slip, then allowance not at all",
            General::AllowanceOnceTooOften => "slip, then allowance once too often",
            General::AllowanceTwiceTooOften => "slip, then allowance twice",
            General::FromPaperEdge => "slip, then from the paper's edge",
            General::Half => "slip, then half",
            General::Double => "slip, then double",
            General::OtherUnit => "slip, then other unit",
            General::Fraction => "slip, then fraction misread",
            _ => "slip, then another",
        }
    }

    /// What the checker may call it.
    pub fn names(self) -> &'static [&'static str] {
        match self {
            General::AllowanceOnceTooSeldom | General::AllowanceNotAtAll => &["allowance-too-seldom"],
            General::AllowanceOnceTooOften | General::AllowanceTwiceTooOften | General::FromPaperEdge => {
                &["allowance-too-often"]
            }
            General::Half => &["halved"],
            General::Double => &["doubled"],
            General::OtherUnit => &["wrong-unit"],
            General::LineAbove | General::LineBelow => &["neighbouring-step"],
            General::Fraction => &["next-fraction"],
            General::Partner => &["exchanged"],
            General::NextRow => &["neighbouring-row"],
        }
    }
}

/// Everything on the list that can go wrong in this moment, with what comes of it; a kind may come more than once.
pub fn general(moment: &Moment) -> Vec<(General, f64)> {
    let Moment { exercise, ruler, step: index, row, hand, so_far } = *moment;
    let step = &exercise.steps[index];
    if step.kind.base != Base::Length {
        return Vec::new();
    }
    let mut all = vec![
        (General::Half, so_far / 2.0),
        (General::Double, so_far * 2.0),
        (General::OtherUnit, in_other_unit(ruler, so_far)),
    ];
    for (nth, allowance) in allowances(exercise).into_iter().enumerate() {
        let given = hand.value(allowance, 0).unwrap_or(f64::NAN);
        let times = times(step, allowance, hand, row);
        let sign = if times < 0 { -1.0 } else { 1.0 };
        match times.abs() {
            0 if nth == 0 && is_finished(exercise, index) => all.push((General::FromPaperEdge, so_far + given)),
            0 => {}
            1 => all.push((General::AllowanceNotAtAll, so_far - sign * given)),
            many => {
                all.push((General::AllowanceOnceTooSeldom, so_far - sign * given));
                all.push((General::AllowanceNotAtAll, so_far - sign * f64::from(many) * given));
            }
        }
        if times != 0 {
            all.push((General::AllowanceOnceTooOften, so_far + sign * given));
            all.push((General::AllowanceTwiceTooOften, so_far + sign * 2.0 * given));
        }
    }
    let line = |beside: Option<StepId>| {
        let beside = &exercise.steps[beside?];
        (beside.kind == step.kind).then(|| hand.value(beside.slot, row).unwrap_or(f64::NAN))
    };
    all.extend(line(index.0.checked_sub(1).map(StepId)).map(|value| (General::LineAbove, value)));
    all.extend(
        line(Some(StepId(index.0 + 1)).filter(|next| next.0 < exercise.steps.len()))
            .map(|value| (General::LineBelow, value)),
    );
    if let Some(written) = on_ruler(step, ruler, so_far) {
        all.extend(misread(ruler, written).into_iter().map(|value| (General::Fraction, value)));
    }
    all.extend(
        partner(exercise, index)
            .map(|other| (General::Partner, hand.value(exercise.steps[other].slot, 0).unwrap_or(f64::NAN))),
    );
    if step.kind.list.is_some() {
        let rows = hand.count(exercise, step.slot);
        let beside = [row.checked_sub(1), Some(row + 1).filter(|next| *next < rows)];
        all.extend(
            beside
                .into_iter()
                .flatten()
                .map(|other| (General::NextRow, hand.value(step.slot, other).unwrap_or(f64::NAN))),
        );
    }
    all
}

/// The givens that are an allowance: first those that an edge of some piece is cut with, then those that are called
/// so.
pub fn allowances(exercise: &Exercise) -> Vec<Slot> {
    let finishes = exercise.pieces.iter().flat_map(|piece| piece.allowances());
    let finishes: Vec<Slot> = finishes.flat_map(|formula| formula.uses()).copied().collect();
    let (mut cut_with, mut called_so) = (Vec::new(), Vec::new());
    for given in &exercise.givens {
        let GivenKind::Length { slot, .. } = given.kind else { continue };
        if finishes.contains(&slot) {
            cut_with.push(slot);
        } else if given.title.to_lowercase().contains("allowance") {
            called_so.push(slot);
        }
    }
    cut_with.extend(called_so);
    cut_with
}

/// Whether no allowance has gone into a step, on whatever way.
fn is_finished(exercise: &Exercise, index: StepId) -> bool {
    let allowances = allowances(exercise);
    let (mut seen, mut open) = (Vec::new(), vec![index]);
    while let Some(step) = open.pop() {
        if exercise.steps[step].formulas().any(|formula| formula.uses().iter().any(|slot| allowances.contains(slot))) {
            return false;
        }
        if !seen.contains(&step) {
            seen.push(step);
            open.extend(&exercise.steps[step].uses);
        }
    }
    true
}

/// How often a step's rule adds a given: how much longer it gets when the given does.
fn times(step: &Step, given: Slot, hand: &Measures, row: usize) -> i32 {
    let StepRule::Value(formula) = &step.rule else { return 0 };
    if !formula.uses().contains(&given) {
        return 0;
    }
    let (more, mut longer) = (1_000_000.0, hand.clone());
    longer.set(given, 0, hand.value(given, 0).unwrap_or(f64::NAN) + more);
    let slope = (formula.evaluate(&longer, Some(row)).unwrap_or(f64::NAN)
        - formula.evaluate(hand, Some(row)).unwrap_or(f64::NAN))
        / more;
    if (slope - slope.round()).abs() < 0.01 { slope.round() as i32 } else { 0 }
}

/// Measured in the other unit, and the bare number written down as if it were in the sheet's.
pub fn in_other_unit(ruler: Ruler, value: f64) -> f64 {
    if ruler.is_metric() { value / 2.54 } else { value * 2.54 }
}

/// What a reading may be taken for, one fraction off: 3/8 for 5/8 or 1/8, 1/4 for 3/4; on a metric ruler the half
/// centimetre for the whole one. Nothing for readings that are hard to mistake.
pub fn misread(ruler: Ruler, written: f64) -> Vec<f64> {
    let tick = ruler.tick().as_nm_f64();
    let ticks = (written / tick).round();
    if (ticks * tick - written).abs() > 1.0 {
        return Vec::new();
    }
    let ticks = ticks as i64;
    if ruler.is_metric() {
        return match ticks.rem_euclid(10) {
            0 | 5 => Vec::new(),
            rest if rest < 5 => vec![written + 5.0 * tick],
            _ => vec![written - 5.0 * tick],
        };
    }
    let whole = (25_400_000.0 / tick).round() as i64;
    let part = ticks.rem_euclid(whole);
    // The fraction in its lowest terms is an odd number of `one`s.
    let mut one = 1;
    while part != 0 && (part / one) % 2 == 0 {
        one *= 2;
    }
    if part == 0 || whole / one < 4 {
        return Vec::new();
    }
    let beside = [part - 2 * one, part + 2 * one].into_iter().filter(|other| (0..whole).contains(other));
    beside.map(|other| written + (other - part) as f64 * tick).collect()
}

/// The step whose name is this one's with height for width, or the other way round.
pub fn partner(exercise: &Exercise, index: StepId) -> Option<StepId> {
    let name = &exercise.steps[index].name;
    let swaps = [("width", "height"), ("wide", "high"), ("height", "width"), ("high", "wide")];
    let names = swaps.into_iter().filter(|(from, _)| name.contains(from)).map(|(from, to)| name.replace(from, to));
    let found = names.filter_map(|other| exercise.steps.position(|step| step.name == other));
    found.into_iter().find(|other| exercise.steps[*other].kind == exercise.steps[index].kind)
}
