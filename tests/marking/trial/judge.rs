//! How well a marked sheet tells what went wrong on it.

use super::injections::{Injection, TWO_STEPS};
use super::student::{Sheet, Student};
use super::twins::{Twin, Twins};
use foldmark::check::{MarkedCell, MarkedSheet, Verdict, sentences};
use foldmark::class::Show;
use foldmark::exercise::StepId;

/// What became of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outcome {
    /// What went wrong was named, and nothing else.
    Named,
    /// Of two slips, one was named, and nothing else.
    One,
    /// It was one of two in a question.
    Offered,
    /// Another known mistake with the same number was named.
    Twin,
    /// Nothing was said.
    Silent,
    /// Something else was said, there or elsewhere on the sheet.
    Wrong,
    /// The answer was taken for right.
    Accepted,
    /// The answer was refused as unreadable.
    Refused,
}

/// What was found about one sheet.
pub struct Judged {
    pub outcome: Outcome,
    pub twin: Twin,
    /// What was said where, if it was not what it should have been.
    pub said: String,
    /// In how many steps it shows.
    pub shows: usize,
    /// Wrong answers, by the checker, where nothing had gone wrong: the step, and what was said.
    pub knock_on: Vec<String>,
}

/// What is said of one cell.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Said {
    Named,
    Part,
    Offered,
    Twin,
    Silent,
    Refused,
    Accepted,
    Wrong,
}

/// `None` if there is nothing to tell: the answers are right within the tolerance, or what went wrong does not show.
pub fn judge<'m>(
    student: &Student,
    sheet: &Sheet,
    injection: &Injection,
    mark: impl FnOnce() -> MarkedSheet<'m>,
) -> Option<Judged> {
    let exercise = student.exercise;
    let wrong = student.wrong_cells(&sheet.paper)?;
    let everywhere = !injection.everywhere.is_empty();
    let made_in = |(step, row): (StepId, usize)| -> Vec<usize> {
        let here = |at: &usize| {
            let mistake = &injection.mistakes[*at];
            mistake.step == step && mistake.row.is_none_or(|only| only == row)
        };
        (0..injection.mistakes.len()).filter(here).collect()
    };
    let targets: Vec<(StepId, usize)> =
        wrong.iter().copied().filter(|cell| everywhere || !made_in(*cell).is_empty()).collect();
    let all_show = (0..injection.mistakes.len()).all(|at| targets.iter().any(|cell| made_in(*cell).contains(&at)));
    if targets.is_empty() || !everywhere && !all_show {
        return None;
    }
    let marked = mark();
    let known = Twins::new(student, sheet, injection)?;
    let mut steps: Vec<(StepId, Said, Twin)> = Vec::new();
    let (mut said, mut worst) = (String::new(), Said::Named);
    let is_own = |wanted: &[&[&str]]| {
        exercise.slips.iter().any(|slip| wanted.iter().any(|names| names.contains(&&slip.name[..])))
    };
    for cell in &targets {
        let cell_of_it = marked.cells.iter().find(|marked| (marked.step, marked.row) == *cell)?;
        let at = made_in(*cell);
        let wanted: Vec<&[&str]> = if everywhere {
            vec![&injection.everywhere]
        } else {
            at.iter().map(|at| &injection.names[*at][..]).collect()
        };
        let (twins, twin) = known.of(*cell, &wanted);
        // Where both are made in different steps, an own slip comes before a general mistake, as it does alone.
        let twin = if twin == Twin::General && injection.label == TWO_STEPS && at.len() == 1 && is_own(&wanted) {
            Twin::None
        } else {
            twin
        };
        let mut found = said_of(cell_of_it, exercise, &wanted, &twins);
        // The right word for the wrong given is no right word.
        if let (Said::Named, Some((slot, ..))) = (found, injection.misread) {
            let told = sentences(&marked, cell_of_it, Show::Full).join(" ").to_lowercase();
            if !told.contains(&exercise.scope.title(slot).to_lowercase()) {
                found = Said::Wrong;
            }
        }
        if found > worst {
            worst = found;
            said = format!("{}: {}", exercise.steps[cell.0].name, words(cell_of_it, exercise));
        }
        match steps.iter_mut().find(|(step, ..)| *step == cell.0) {
            // Of the rows of a list the worst word counts, but silence in one is no harm if another was named.
            Some((_, known, known_twin)) => {
                *known = match (*known, found) {
                    (Said::Wrong, _) | (_, Said::Wrong) => Said::Wrong,
                    (a, b) => a.min(b),
                };
                *known_twin = (*known_twin).max(twin);
            }
            None => steps.push((cell.0, found, twin)),
        }
    }
    let elsewhere: Vec<&MarkedCell> = marked
        .cells
        .iter()
        .filter(|cell| cell.verdict.is_wrong() && !targets.contains(&(cell.step, cell.row)))
        .collect();
    let fine = |cell: &&MarkedCell| {
        let may_say: Vec<&str> = injection.names.iter().flatten().chain(&injection.everywhere).copied().collect();
        // What is wrong where nothing had gone wrong, is so because every answer before it was rounded to the ruler.
        cell.cause_names(exercise).iter().flatten().all(|name| may_say.contains(name) || *name == "rounded-parts")
    };
    let false_elsewhere = elsewhere.iter().find(|cell| !fine(cell));
    if let Some(cell) = false_elsewhere {
        said = format!("{} (where nothing was): {}", exercise.steps[cell.step].name, words(cell, exercise));
    }
    let twin = if steps.len() > injection.mistakes.len().max(1) {
        // On a sheet where it shows all over, one number that could also be something else does not matter.
        steps.iter().map(|(.., twin)| *twin).min()
    } else {
        steps.iter().map(|(.., twin)| *twin).max()
    };
    let is = |wanted: Said| steps.iter().filter(|(_, said, _)| *said == wanted).count();
    let outcome = if is(Said::Wrong) > 0 || false_elsewhere.is_some() {
        Outcome::Wrong
    } else if is(Said::Named) == steps.len()
        || everywhere && (steps[0].1 == Said::Named || 2 * is(Said::Named) >= steps.len())
    {
        Outcome::Named
    } else if is(Said::Named) + is(Said::Part) > 0 {
        Outcome::One
    } else {
        match steps.iter().map(|(_, said, _)| *said).min()? {
            Said::Offered => Outcome::Offered,
            Said::Twin => Outcome::Twin,
            Said::Accepted => Outcome::Accepted,
            Said::Refused => Outcome::Refused,
            _ => Outcome::Silent,
        }
    };
    let knock_on =
        elsewhere.iter().map(|cell| format!("{}: {}", exercise.steps[cell.step].name, words(cell, exercise)));
    Some(Judged { outcome, twin: twin.unwrap_or(Twin::None), said, shows: steps.len(), knock_on: knock_on.collect() })
}

fn said_of(marked: &MarkedCell, exercise: &foldmark::exercise::Exercise, wanted: &[&[&str]], twins: &[&str]) -> Said {
    if marked.verdict == Verdict::Unreadable {
        return Said::Refused;
    }
    if !marked.verdict.is_wrong() {
        return Said::Accepted;
    }
    let offers = marked.cause_names(exercise);
    // Each of the mistakes that were made here, and nothing more.
    let names_all = |offer: &Vec<&str>| {
        offer.len() == wanted.len() && wanted.iter().all(|names| offer.iter().any(|name| names.contains(name)))
    };
    let names_one = |offer: &Vec<&str>| offer.len() == 1 && wanted.iter().any(|names| names.contains(&offer[0]));
    let names_twin = |offer: &Vec<&str>| offer.len() == 1 && twins.contains(&offer[0]);
    match &offers[..] {
        [] => Said::Silent,
        [only] if names_all(only) => Said::Named,
        [only] if names_one(only) => Said::Part,
        [only] if names_twin(only) => Said::Twin,
        [_] => Said::Wrong,
        several if several.iter().any(names_all) => Said::Offered,
        several if several.iter().any(|offer| names_one(offer) || names_twin(offer)) => Said::Twin,
        _ => Said::Wrong,
    }
}

/// What the checker said of a cell.
pub fn words(marked: &MarkedCell, exercise: &foldmark::exercise::Exercise) -> String {
    let offers: Vec<String> = marked.cause_names(exercise).iter().map(|offer| offer.join(" + ")).collect();
    match (marked.verdict, &offers[..]) {
        (verdict, []) if verdict.is_wrong() => "nothing".to_owned(),
        (verdict, []) => verdict.words().to_owned(),
        (_, offers) => offers.join(" | "),
    }
}
