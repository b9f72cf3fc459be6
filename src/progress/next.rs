//! What to set next, from what went wrong: the level that fits, and problems in which a missed step matters.

use super::history::{ClassHistory, StepProgress, Try};
use crate::check::is_told_apart;
use crate::draft::Draft;
use crate::exercise::{Exercise, OnSheet, SlipId, StepId};
use crate::formula::Values;
use crate::practice::Problem;
use crate::text::quoted;

/// What to set of one exercise, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Next {
    /// The level; 0 for an exercise without levels.
    pub level: u8,
    /// For each step that was missed the slips that a problem should show: those that were made, or all that are known of the
    /// step.
    pub slips: Vec<Vec<SlipId>>,
    /// Why it was chosen, as a sentence without the level and a full stop.
    pub says: String,
}

/// How a set went, for one student or for several.
#[derive(Default)]
struct Went {
    level: u8,
    tries: usize,
    wrong: usize,
    /// Each step that was missed and is not mastered since, how often, and the slips that were made.
    missed: Vec<(StepId, usize, Vec<SlipId>)>,
}

impl ClassHistory<'_> {
    /// What to set of an exercise after a set: for one student, or for several together. `level` is the one that the set had,
    /// where no marked sheet tells it.
    ///
    /// - Where nothing was marked, the same again.
    /// - Where all was right, a level further.
    /// - Where something was missed, a level that asks for most of it: the highest that is not above the last; where more than half
    ///   went wrong, rather one below it.
    pub fn next(&self, set: usize, whom: &[usize], exercise: &Exercise, level: u8) -> Next {
        let mut went = Went::default();
        for student in whom {
            self.take_in(&mut went, set, *student, exercise);
        }
        if went.tries == 0 {
            went.level = level;
        }
        let set = &self.sets[set].0;
        let levels = || exercise.practice.levels.iter().map(|level| level.level);
        if went.tries == 0 {
            let says = format!("nothing of {set} was marked: the same again");
            return Next { level, slips: Vec::new(), says };
        }
        if went.missed.is_empty() {
            let further = levels().find(|level| *level > went.level);
            let then = if further.is_some() { "a level further" } else { "once more" };
            let says = format!("nothing was missed in {set}, or it is mastered since: {then}");
            return Next { level: further.unwrap_or(went.level), slips: Vec::new(), says };
        }
        // Of a class, what about as many missed as what most did.
        let most = went.missed.iter().map(|(_, times, _)| *times).max().unwrap_or(0);
        went.missed.retain(|(_, times, _)| 2 * times >= most);
        went.missed.sort_by_key(|(_, times, _)| std::cmp::Reverse(*times));
        let is_hard = 2 * went.wrong > went.tries;
        let asked = |level: u8| {
            let sets = exercise.at_level(level);
            let asks = |step: StepId| sets.is_some_and(|set| set.steps[step].on_sheet == OnSheet::Asked);
            went.missed.iter().filter(|(step, ..)| asks(*step)).count()
        };
        let fits = |level: &u8| (asked(*level), is_hard && *level < went.level, *level);
        let level = levels().filter(|level| *level <= went.level).max_by_key(fits).unwrap_or(went.level);
        let names: Vec<String> =
            went.missed.iter().take(3).map(|(step, ..)| quoted(&exercise.steps[*step].title)).collect();
        let more = match went.missed.len().saturating_sub(names.len()) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let hard = if level < went.level && is_hard { "; more than half went wrong: a level easier" } else { "" };
        let says = format!("missed in {set}: {}{more}{hard}", names.join(", "));
        let slips = went.missed.into_iter().map(|(step, _, made)| match made.is_empty() {
            true => exercise.slips.keys().filter(|slip| exercise.slips[*slip].step == step).collect(),
            false => made,
        });
        Next { level, slips: slips.collect(), says }
    }

    fn take_in(&self, went: &mut Went, set: usize, student: usize, exercise: &Exercise) {
        let theirs = self.sheets(set, student).filter(|sheet| sheet.exercise == exercise.name);
        went.level = theirs.map(|sheet| sheet.level()).fold(went.level, u8::max);
        let progress = self.of(student);
        for step in progress.steps.iter().filter(|step| step.exercise == exercise.name) {
            let Some(id) = exercise.step_id(&step.step) else { continue };
            for found in step.tries.iter().filter(|found| found.set == set) {
                went.count(exercise, id, step, found);
            }
        }
    }
}

impl Went {
    fn count(&mut self, exercise: &Exercise, id: StepId, step: &StepProgress, found: &Try) {
        let Some(is_right) = found.is_right() else { return };
        self.tries += 1;
        if is_right {
            return;
        }
        self.wrong += 1;
        if step.estimate.is_mastered() {
            return;
        }
        let known = |name: &String| exercise.slips.position(|slip| slip.name == *name && slip.step == id);
        let made = found.slips.iter().filter_map(known);
        match self.missed.iter_mut().find(|(missed, ..)| *missed == id) {
            Some((_, times, slips)) => {
                *times += 1;
                slips.extend(made);
                slips.sort();
                slips.dedup();
            }
            None => self.missed.push((id, 1, made.collect())),
        }
    }
}

/// In how many of the missed steps a slip would show in a problem: where its value is another than the right one, by more than
/// marking lets pass.
pub fn shows(draft: &Draft, slips: &[Vec<SlipId>]) -> usize {
    let exercise = draft.exercise;
    let measures = &draft.measures;
    let shows = |slip: &SlipId| {
        let slip = &exercise.slips[*slip];
        let step = &exercise.steps[slip.step];
        slip.when.as_ref().is_none_or(|when| when.holds(measures))
            && (0..measures.count(exercise, step.slot)).any(|row| {
                let values = slip.used.evaluate(measures, Some(row)).zip(measures.value(step.slot, row));
                values.is_some_and(|(used, right)| is_told_apart(step, used, right, draft.givens.ruler))
            })
    };
    slips.iter().filter(|slips| slips.iter().any(shows)).count()
}

/// Gives everyone a problem of their own: of those that are left the first in which most of what they missed shows.
pub fn give_out<'e>(mut problems: Vec<Problem<'e>>, wanted: &[&[Vec<SlipId>]]) -> Vec<Problem<'e>> {
    let mut given = Vec::new();
    for slips in wanted.iter().take(problems.len()) {
        let best = (0..problems.len()).max_by_key(|at| (shows(&problems[*at].draft, slips), std::cmp::Reverse(*at)));
        given.push(problems.remove(best.unwrap_or(0)));
    }
    given
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::class::Student;
    use crate::exercise::Shelf;
    use crate::length::Ruler;
    use crate::practice::{Code, Maker, Task};
    use crate::progress::History;

    fn student(name: &str) -> Student {
        Student { name: name.to_owned(), id: String::new() }
    }

    /// A set with a sheet at a level of which some steps went wrong, each by a mistake.
    fn went(level: u8, wrong: &[(&str, &str)], right: &[&str]) -> String {
        let shelf = Shelf::shipped();
        let roll = shelf.get("flap-roll").unwrap();
        let code = Code::new("flap-roll", roll.version, level, Task::Draft, Ruler::EIGHTH, 1);
        let answer = |step: &str, verdict: &str, slip: &str| {
            let slip = if slip.is_empty() { String::new() } else { format!("[\"{slip}\"]") };
            format!(r#"{{"step":"{step}","title":"{step}","verdict":"{verdict}","explained":[{slip}]}}"#)
        };
        let wrong = wrong.iter().map(|(step, slip)| answer(step, "not-right", slip));
        let right = right.iter().map(|step| answer(step, "right", ""));
        let answers: Vec<String> = wrong.chain(right).collect();
        format!(
            r#"{{"sheets":[{{"student":"Tansy","code":"{code}","exercise":"flap-roll","answers":[{}]}}]}}"#,
            answers.join(",")
        )
    }

    fn next(result: &str) -> Next {
        let shelf = Shelf::shipped();
        let mut history = History::default();
        history.add("week-1", result);
        history.among(&[student("Tansy")]).next(0, &[0], shelf.get("flap-roll").unwrap(), 1)
    }

    #[test]
    fn the_level_fits_what_happened() {
        let steps = ["cut_width", "finished_width", "fold_height", "flap", "bare_height"];
        assert_eq!(next(&went(2, &[], &steps)).level, 3);
        assert_eq!(next(&went(2, &[("cut_width", "")], &steps[1..])).level, 2);
        assert_eq!(next(&went(3, &steps.map(|step| (step, "")), &[])).level, 2);
        let nothing = next(r#"{"sheets":[]}"#);
        assert_eq!((nothing.level, nothing.says.as_str()), (1, "nothing of week-1 was marked: the same again"));
        assert!(next(&went(2, &[("cut_width", "")], &[])).says.starts_with("missed in week-1: \"Cut width\""));
    }

    /// A problem where a mistake makes no difference teaches nothing about it.
    #[test]
    fn what_was_missed_shows_in_the_problem() {
        let shelf = Shelf::shipped();
        let roll = shelf.get("flap-roll").unwrap();
        let slip = roll.slips.iter().find(|slip| slip.name == "side-ease-missing").unwrap();
        let step = roll.steps[slip.step].name.clone();
        let missed = next(&went(1, &[(step.as_str(), "side-ease-missing")], &["flap"]));
        let id = roll.slips.position(|slip| slip.name == "side-ease-missing").unwrap();
        assert_eq!(missed.slips, [vec![id]]);
        let maker = Maker::new(roll, missed.level, Task::Draft, Ruler::EIGHTH).unwrap();
        let pool = maker.set(12, 7).unwrap();
        let given = give_out(pool, &[&missed.slips, &[], &missed.slips]);
        assert_eq!(given.len(), 3);
        assert_eq!((shows(&given[0].draft, &missed.slips), shows(&given[2].draft, &missed.slips)), (1, 1));
        assert_ne!(given[0].code, given[1].code);
    }

    /// What was missed and has been mastered since is not set again.
    #[test]
    fn what_is_mastered_since_is_past() {
        let shelf = Shelf::shipped();
        let mut history = History::default();
        history.add("week-1", &went(1, &[("cut_width", "")], &[]));
        for week in 2..6 {
            history.add(&format!("week-{week}"), &went(1, &[], &["cut_width"]));
        }
        let next = history.among(&[student("Tansy")]).next(0, &[0], shelf.get("flap-roll").unwrap(), 1);
        assert_eq!((next.level, next.slips.len()), (2, 0), "{}", next.says);
    }
}
