//! `foldmark proof`: an exercise read as its author would want, with every fault at once.

use super::args::ProofArgs;
use super::shelf::example;
use super::terminal::{Done, Failure, Status, error, notice, print};
use crate::exercise::{Exercise, read};
use crate::figure;
use crate::files::{read_text, shown};
use crate::practice;
use std::path::Path;

pub(super) fn run(args: &ProofArgs) -> Done {
    let mut status = Status::Well;
    for file in &args.files {
        match proof(file) {
            Ok(sentence) => print(&sentence)?,
            Err(Failure(sentences)) => {
                status = Status::NotDone;
                for sentence in sentences {
                    error(&sentence);
                }
            }
        }
    }
    Ok(status)
}

fn proof(file: &Path) -> Result<String, Failure> {
    let text = read_text(file)?;
    let name = file.file_stem().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let path = shown(file);
    let exercise = read(&name, &text)
        .map_err(|faults| Failure(faults.iter().map(|fault| format!("{path}: {fault}")).collect()))?;
    let faults = try_out(&exercise);
    if !faults.is_empty() {
        return Err(Failure(faults.iter().map(|fault| format!("{path}: {fault}")).collect()));
    }
    let Exercise { steps, slips, pieces, .. } = &exercise;
    for note in &practice::try_out(&exercise).notes {
        notice(&format!("{path}: {note}"));
    }
    let [steps, slips, pieces] = [(steps.len(), "step"), (slips.len(), "slip"), (pieces.len(), "piece")].map(counted);
    Ok(format!("{path}: no faults in {steps}, {slips} and {pieces}\n"))
}

/// "1 step", "2 steps".
fn counted((count, what): (usize, &str)) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

/// Works the exercise for its own example, and draws what it draws.
fn try_out(exercise: &Exercise) -> Vec<String> {
    // A given without a usual value or an example is told here, with what to do about it.
    let draft = match example(exercise, exercise.usual_ruler(false)) {
        Ok(draft) => draft,
        Err(Failure(faults)) => return faults,
    };
    let drawn = draft.pieces().filter_map(|piece| {
        figure::piece(&draft, piece)
            .err()
            .map(|fault| format!("piece.{}: with the example's values {fault}", piece.name))
    });
    let steps = draft.drawing_faults();
    let steps = steps.iter().map(|(step, fault)| format!("step.{step}.draw: with the example's values {fault}"));
    let mut faults: Vec<String> = steps.chain(drawn).collect();
    if faults.is_empty() {
        match draft.seams() {
            Ok(seams) => faults.extend(seams.iter().filter(|seam| !seam.is_true()).map(|seam| {
                let off = seam.off();
                let way = if off.is_negative() { "shorter" } else { "longer" };
                format!(
                    "seam.{}: with the example's values the other side is {} {way} than it should be ({} against {})",
                    seam.seam.name,
                    draft.write(off.abs()),
                    draft.write(seam.other),
                    draft.write(seam.one)
                )
            })),
            Err(fault) => faults.push(fault.to_string()),
        }
    }
    faults
}
