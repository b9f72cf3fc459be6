//! One cause for the whole sheet: before a line is accused, the sheet is asked what one thing would make it come out. A
//! cause that is found is told once and charged once; what follows from it is right from the student's own figures.

mod given;
mod put_right;
mod search;
mod sheet;
mod written;

pub(in crate::check) use search::Reading;
pub(in crate::check) use sheet::Room;

use super::follow_through::{Judge, Worked};
use crate::check::handed_in::Answers;
use crate::draft::Measures;
use crate::length::Ruler;
use sheet::Search;

/// Looks for the one thing that makes a sheet come out, and judges the sheet by it.
pub(super) fn read_again(
    judge: &Judge,
    ruler: Ruler,
    givens: &Measures,
    answers: &Answers,
    worked: &mut Worked,
    room: &mut Option<Room>,
) -> Option<Reading> {
    if !worked.judged.iter().any(|judged| judged.verdict.is_wrong()) {
        return None;
    }
    let room = room.get_or_insert_with(|| Room::new(givens, answers, worked));
    let mut search = Search::new(judge, ruler, givens, answers, worked, room);
    search.named_units();
    if search.wrong.len() > 1 {
        search.other_unit();
        search.example();
        search.shifted();
        search.other_row();
        search.misread();
        search.exchanged();
    }
    search.miswritten();
    let (reading, judged) = search.judged()?;
    worked.judged = judged;
    worked.own.copy(&room.worked.own);
    if reading.is_of_writing() {
        worked.truth.copy(&room.worked.truth);
        worked.rests.clone_from(&room.worked.rests);
    }
    Some(reading)
}
