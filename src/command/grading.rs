//! A table graded for the gradebook alone, piece by piece, so that it may be longer than the memory.

use super::results::Kept;
use super::terminal::error;
use crate::check::{Graded, Grader, Table};
use crate::class::Policy;
use crate::desk::{Keeper, Marking, Pieces, Told};
use crate::exercise::Shelf;
use crate::practice::recall;
use rayon::prelude::*;

/// So many pieces of a table are graded by each thread before their lines are written.
const PIECES_EACH: usize = 8;

/// Grades the rows for the gradebook alone, with nothing kept of them. Returns why not all were read, if so.
pub(super) fn grade(
    table: &Table,
    file: &str,
    mut pieces: Pieces,
    (shelf, policy): (&Shelf, &Policy),
    marking: &mut Marking<Kept>,
) -> Result<Option<Told>, String> {
    let count = PIECES_EACH * rayon::current_num_threads();
    let mut graders: Vec<Grader> = (0..count).map(|_| Grader::new(table, shelf, policy, recall)).collect();
    let (mut row, mut end) = (2, None);
    let mut read = || {
        let mut batch = Vec::new();
        while batch.len() < count && end.is_none() {
            match pieces.next() {
                Ok(Some(piece)) => batch.push(piece),
                Ok(None) => break,
                Err(sentence) => end = Some(sentence),
            }
        }
        batch
    };
    let mut batch = read();
    while !batch.is_empty() {
        // The next pieces are read while these are graded.
        let grade = || -> Vec<Graded> {
            let pieces = graders.par_iter_mut().zip(&batch).with_max_len(1);
            pieces.map(|(grader, piece)| grader.grade(piece)).collect()
        };
        let (graded, next) = rayon::join(grade, &mut read);
        for Graded { lines, rows, faults, all_right } in graded {
            if let Some(gradebook) = &mut marking.keeper.gradebook {
                gradebook.add(&lines).map_err(|fault| fault.to_string())?;
            }
            marking.all_right &= all_right;
            marking.keeper.has_told |= !faults.is_empty();
            for mut fault in faults {
                // Its row is counted from the beginning of its piece.
                fault.place.iter_mut().for_each(|place| place.line += row - 1);
                let say = || error(&format!("{file}: {}", table.tell(&fault)));
                match &marking.keeper.progress {
                    Some(progress) => progress.aside(say),
                    None => say(),
                }
            }
            row += rows;
        }
        marking.keeper.advance(batch.iter().map(|piece| piece.len() as u64).sum());
        batch = next;
    }
    for grader in graders {
        marking.tally.add_counts(grader.into_tally());
    }
    Ok(end)
}
