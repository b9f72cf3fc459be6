//! A problem on paper: the sheet for the student. Nothing in it gives an answer away.

use super::paper::{givens, measure, told};
use super::problem::Problem;
use crate::check::{answer_file_of, with_slips};
use crate::class::Student;
use crate::draft::Draft;
use crate::exercise::{Given, GivenKind, OnSheet, StepId};
use crate::figure::{self, Blank};
use crate::html::{escape, foreign};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Sheets of paper with problems on them. Drawings are made once for all sheets that need the same.
///
/// ```
/// use foldmark::{exercise::Shelf, length::Ruler, practice::{Maker, Sheets, Task}};
/// let shelf = Shelf::shipped();
/// let maker = Maker::new(shelf.get("flap-roll").unwrap(), 1, Task::Draft, Ruler::EIGHTH).unwrap();
/// let problems = maker.set(2, 7).unwrap();
/// let page = Sheets::default().page(&problems[0], None);
/// assert!(page.contains(&problems[0].code.to_string()));
/// ```
#[derive(Default)]
pub struct Sheets {
    /// What stands over the name: which week, and until when.
    heading: String,
    blanks: BTreeMap<(String, u8, Vec<usize>), Option<Blank>>,
}

impl Sheets {
    /// Sheets with something over the name on each: which week they are for, and until when.
    pub fn headed(heading: String) -> Sheets {
        Sheets { heading, ..Sheets::default() }
    }

    /// A problem's page; with the student's name in its head, where it is for one, else a line to write it on.
    pub fn page(&mut self, problem: &Problem, student: Option<&Student>) -> String {
        let draft = &problem.draft;
        let exercise = draft.exercise;
        let words = shape(draft);
        let key = (exercise.name.clone(), problem.code.level, words);
        let blank = self.blanks.entry(key).or_insert_with(|| lettered(draft));
        let mut page = format!(
            "<section class=\"page\" aria-label=\"{}\">\n<header><h1>{}</h1><code>{}</code>\n{}</header>\n",
            escape(&format!("{}, sheet {}", exercise.title, problem.number)),
            escape(&exercise.title),
            problem.code,
            who(&self.heading, student),
        );
        let _ = writeln!(page, "<p>{}</p>", task(problem));
        page.push_str("<div class=\"given\">\n<div>\n<h2>Given</h2>\n");
        page.push_str(&givens(problem, false));
        page.push_str(&told(problem, "h2"));
        page.push_str("</div>\n");
        if let Some(blank) = blank {
            let drawing = blank.figure.inline(&format!("sheet-{}-{}", exercise.name, problem.number));
            let _ = writeln!(
                page,
                "<figure>\n{drawing}\n<figcaption>The outline of another kit, not to scale: write your measures at the letters.</figcaption>\n</figure>"
            );
        }
        page.push_str("</div>\n");
        page.push_str(&grid(problem, blank.as_ref()));
        let cautions: Vec<String> = exercise
            .cautions
            .iter()
            .map(|caution| format!("<strong>{}.</strong> {}", escape(&caution.about), escape(&caution.says)))
            .collect();
        if !cautions.is_empty() {
            let _ = writeln!(page, "<p class=\"small\">{}</p>", cautions.join(" "));
        }
        page + "</section>\n"
    }
}

/// The outline with a letter at each measure that a draft's sheet asks for.
pub(super) fn lettered(draft: &Draft) -> Option<Blank> {
    let exercise = draft.exercise;
    let steps: Vec<_> = exercise.steps.keys().filter(|step| exercise.steps[*step].on_sheet == OnSheet::Asked).collect();
    figure::blank(exercise, Some(&draft.givens), &steps).filter(|it| !it.letters.is_empty())
}

/// The words chosen, on which a drawing depends.
fn shape(draft: &Draft) -> Vec<usize> {
    let word = |given: &Given| {
        let GivenKind::Choice { slot, .. } = given.kind else { return None };
        draft.measures.word(slot)
    };
    draft.exercise.givens.iter().filter_map(word).collect()
}

fn who(heading: &str, student: Option<&Student>) -> String {
    let name = match student {
        Some(student) if student.id.is_empty() => format!("<strong>{}</strong>", foreign(&student.name)),
        Some(student) => format!("<strong>{}</strong> ({})", foreign(&student.name), foreign(&student.id)),
        None => "<span class=\"line\"></span>".to_owned(),
    };
    // Of a set with a week and a date it is known when it was given out.
    let (heading, date) = match heading {
        "" => (String::new(), " <span>Date: <span class=\"line\"></span></span>"),
        heading => (format!("<span>{}</span> ", escape(heading)), ""),
    };
    format!("<p class=\"who\">{heading}<span>Name: {name}</span>{date}</p>\n")
}

/// What is to be done, in words.
pub(super) fn task(problem: &Problem) -> String {
    let draft = &problem.draft;
    let exercise = draft.exercise;
    let mut says = escape(&exercise.practice.tells);
    let ruler = measure(&draft.givens.ruler.to_string());
    says += &match problem.slips.len() {
        0 => format!(" Draft it, and write down each measure on a ruler with {ruler} ticks."),
        1 => {
            " Someone drafted it already, and made one slip. What follows from it was worked on from the wrong figure. \
              Find the one measure where the slip was made, and write down what it should be."
                .to_owned()
        }
        slips => format!(
            " Someone drafted it already, and made {slips} slips. What follows from a slip was worked on from the wrong \
             figure. Find the {slips} measures where a slip was made, and write down what each should be."
        ),
    };
    let Some(level) = problem.level else { return says };
    if level.converts {
        says += &format!(" What is given comes from a ruler with {} ticks.", measure(&problem.stated_on.to_string()));
    }
    if !level.hides.is_empty() {
        says += " Some of what you need is not given: work backwards to it from what was measured already.";
    }
    let rounded: Vec<String> = level.rounds_up.iter().map(|step| escape(&exercise.steps[*step].short)).collect();
    if !rounded.is_empty() {
        says += &format!(" Where it falls between two ticks, round up: {}.", rounded.join(", "));
    }
    if level.exact {
        says += " Work exactly: one tick too many or too few is wrong.";
        if !level.on_tick {
            says += " Of what falls between two ticks both are right.";
        }
    }
    says
}

/// A line for each answer, in the order of the answer file.
fn grid(problem: &Problem, blank: Option<&Blank>) -> String {
    let draft = &problem.draft;
    let exercise = draft.exercise;
    let shown = with_slips(exercise, &draft.measures, &problem.slips).filter(|_| !problem.slips.is_empty());
    let shown = shown.map(|measures| Draft { measures, ..draft.clone() });
    let mut items = String::new();
    for (index, step) in exercise.steps.iter_enumerated().filter(|(_, step)| step.on_sheet == OnSheet::Asked) {
        let letters = blank.map(|blank| &blank.letters[..]).unwrap_or_default();
        let letter = letters.iter().find(|(_, step)| *step == index).map_or("", |(letter, _)| letter);
        for row in 0..draft.rows(step) {
            let written = match &shown {
                Some(shown) => format!("<span class=\"shown\">{}</span>", measure(&shown.text_at(step.slot, row))),
                None => String::new(),
            };
            let _ = writeln!(
                items,
                "<li><span class=\"letter\">{letter}</span><span class=\"name\">{}{}</span>{written}<span class=\"box\"></span></li>",
                escape(&draft.label(step, row)),
                if step.is_choice() && shown.is_none() { " (your choice)" } else { "" }
            );
        }
    }
    let heading = if shown.is_some() { "The finished draft, and room for what is right" } else { "Your measures" };
    format!("<h2>{heading}</h2>\n<ol class=\"grid\">\n{items}</ol>\n")
}

/// The answer file of a problem: with its code in place of what is given, and the answers filled in if `filled` says so. Of
/// a finished draft only what the slips made wrong.
pub fn coded_file(problem: &Problem, student: &str, filled: bool) -> String {
    coded_file_of(problem, &Student { name: student.to_owned(), id: String::new() }, filled)
}

/// As [`coded_file`], for a student who may have an id.
pub fn coded_file_of(problem: &Problem, student: &Student, filled: bool) -> String {
    let exercise = problem.draft.exercise;
    let is_made_in = |step: StepId| problem.slips.iter().any(|slip| exercise.slips[*slip].step == step);
    let fills = |step: StepId| filled && (problem.slips.is_empty() || is_made_in(step));
    answer_file_of(&problem.draft, student, &problem.code.to_string(), &fills)
}
