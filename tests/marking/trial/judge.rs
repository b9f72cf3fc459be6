//! What the marking made of a sheet, held against what was done on it.

use super::bench::{Bench, Case};
use super::is_true::{Done, Elsewhere, is_true, is_unspecific};
use foldmark::check::{MarkedCell, MarkedSheet, Verdict, meant};
use foldmark::exercise::StepId;
use foldmark::formula::Values;

/// What was said of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Said {
    /// The true cause, alone.
    Named,
    /// The true cause among others, or beside another.
    Among,
    /// No cause, or one that is right and says little; the answer was found wrong.
    Vague,
    /// A cause, or several, and none of them true.
    False,
    /// Nothing at all: everything earns its points.
    Passed,
}

pub struct Judged {
    pub said: Said,
    /// Answers that nothing is wrong with, and that earned nothing: the steps.
    pub innocents: Vec<StepId>,
    /// Whether no more than one answer went without points; after a shift, one more is lost in any case.
    pub once: bool,
    /// The share of the points that was earned.
    pub points: f64,
    /// What was said where.
    pub words: String,
    /// Whether the number is that of one of the author's slips as well, so that nobody could tell.
    pub is_twin: bool,
}

pub fn judge(bench: &Bench, case: &Case, marked: &MarkedSheet) -> Judged {
    let drafts = bench.elsewhere(case.problem);
    let (mut named, mut others, mut alone) = (0_usize, 0_usize, true);
    for cell in &marked.cells {
        let elsewhere = Elsewhere {
            exercise: bench.exercise,
            drafts: drafts.clone(),
            here: &case.worked.hand,
            tick: bench.tick(),
            said_of: (cell.step, cell.row),
        };
        // What can't be read is asked about: "did you mean ...?".
        if let Some(asked) = meant(marked, cell).filter(|_| cell.verdict == Verdict::Unreadable) {
            let is_it = matches!(case.done, Done::Written { step, row, meant, .. }
                if (step, row) == (cell.step, cell.row) && (asked.as_nm_f64() - meant).abs() <= bench.tick() / 2.0);
            *if is_it { &mut named } else { &mut others } += 1;
        }
        for explained in &cell.explained {
            let is_it = |cause: &&foldmark::check::Cause| is_true(cause, &case.done, &elsewhere);
            if explained.causes().any(|cause| is_it(&cause)) {
                named += 1;
                alone &= explained.and.is_none() && cell.explained.len() == 1;
            } else if !explained.causes().all(|cause| is_unspecific(cause, &case.done, &elsewhere)) {
                others += 1;
            }
        }
    }
    let charged: Vec<&MarkedCell> = marked.cells.iter().filter(|cell| !cell.verdict.earns()).collect();
    // An empty line is no wrong answer; only those count that were filled.
    let innocents = charged.iter().filter(|cell| !case.guilty.contains(&(cell.step, cell.row)));
    let said = match (named, others) {
        (1.., 0) if alone => Said::Named,
        (1.., _) => Said::Among,
        (0, 1..) => Said::False,
        (0, 0) if charged.is_empty() => Said::Passed,
        (0, 0) => Said::Vague,
    };
    Judged {
        said,
        innocents: innocents.map(|cell| cell.step).collect(),
        once: charged.len() <= 1 + usize::from(matches!(case.done, Done::Shift { .. })),
        points: f64::from(marked.points.hundredths()) / f64::from(marked.out_of.hundredths().max(1)),
        words: words(marked),
        is_twin: is_twin(bench, case),
    }
}

/// Whether a slip in a rule gave, on this sheet, the very figures of one that the author foresaw.
fn is_twin(bench: &Bench, case: &Case) -> bool {
    let Done::Formula { slip, .. } = &case.done else { return false };
    let slot = bench.exercise.steps[slip.step].slot;
    let own = bench.exercise.slips.iter().filter(|own| own.step == slip.step);
    own.filter(|own| own.when.as_ref().is_none_or(|when| when.holds(&case.worked.hand))).any(|own| {
        case.guilty.iter().all(|(_, row)| {
            let own = own.used.evaluate(&case.worked.hand, Some(*row));
            let written = case.worked.paper.value(slot, *row);
            own.zip(written).is_some_and(|(own, written)| (own - written).abs() <= bench.tick() / 2.0 + 1.0)
        })
    })
}

/// What was said of a sheet: of each answer with a cause, and of each that was found wrong without.
pub fn words(marked: &MarkedSheet) -> String {
    let exercise = marked.truth.exercise;
    let cells = marked.cells.iter().filter(|cell| !cell.explained.is_empty() || cell.verdict.is_wrong());
    let said = cells.map(|cell| {
        let offers: Vec<String> = cell.cause_names(exercise).iter().map(|offer| offer.join(" + ")).collect();
        let offers = if offers.is_empty() { cell.verdict.words().to_owned() } else { offers.join(" | ") };
        format!("{} {offers}", exercise.steps[cell.step].name)
    });
    let said: Vec<String> = said.take(4).collect();
    if said.is_empty() { "nothing".to_owned() } else { said.join("; ") }
}
