//! The class page, for the instructor: what to go over again, every answer, and what was chosen within which limits.

use super::{grid, mistakes};
use crate::check::result::{Standing, Verdict};
use crate::check::tell::class::{ClassTally, ExerciseTally, StepTally};
use crate::class::Points;
use crate::draft::value_text;
use crate::exercise::StepId;
use crate::figure::{self, Chosen, Figure};
use crate::formula::Base;
use crate::html::paper;
use crate::html::text;
use crate::length::Ruler;
use crate::text::harmless;

/// The page of a class, as a file of its own. `links` gives the student's own page for a line of the class, as the path
/// of a file beside this one or below it, with what a path has to escape escaped; anything else is not linked to.
///
/// ```
/// use foldmark::check::{ClassTally, class_page};
/// let page = class_page(&ClassTally::default(), "Thursday <evening>", &|_| None);
/// assert!(page.contains("<h1>Thursday &lt;evening&gt;</h1>") && page.contains("There are no sheets."));
/// ```
pub fn class_page(class: &ClassTally, title: &str, links: &dyn Fn(usize) -> Option<String>) -> String {
    page_of(class, title, "", links)
}

/// The page of one set of a course, as [`class_page`], with what is to be said before everything else, and beside it
/// `print.html` with all students' pages and `../index.html` with the course.
pub fn set_page(class: &ClassTally, title: &str, notes: &[String], links: &dyn Fn(usize) -> Option<String>) -> String {
    let mut before =
        "<p class=\"ways\"><a href=\"../index.html\">The course</a> · <a href=\"print.html\">All students' pages, to be \
         printed</a></p>\n"
            .to_owned();
    before.extend(notes.iter().map(|note| format!("<p>{}</p>\n", text(note))));
    page_of(class, title, &before, links)
}

fn page_of(class: &ClassTally, title: &str, before: &str, links: &dyn Fn(usize) -> Option<String>) -> String {
    let title = harmless(if title.trim().is_empty() { "The class" } else { title.trim() }, 120);
    let mut body = format!("<h1>{}</h1>\n{before}", text(&title));
    if class.exercises.is_empty() {
        body += "<p>There are no sheets.</p>\n";
    }
    for (index, (name, tally)) in class.exercises.iter().enumerate() {
        body += &format!(
            "<section>\n<h2>{}</h2>\n<p>{}</p>\n<h3>What to go over again</h3>\n{}<h3>Every answer</h3>\n{}",
            text(&tally.title),
            text(&points(class, name, tally)),
            mistakes::html(class, tally, links),
            grid::html(class, name, tally, links)
        );
        body += &choices(class, tally, index);
        body += "</section>\n";
    }
    paper(&title, &format!("{}{}{STYLE}", mistakes::STYLE, grid::STYLE), &body)
}

/// How many sheets there are, and what they earned.
fn points(class: &ClassTally, name: &str, tally: &ExerciseTally) -> String {
    let lines = || class.lines.iter().filter(|line| line.exercise == name);
    let mut points: Vec<Points> = lines().map(|line| line.points).collect();
    points.sort_unstable();
    let full = lines().filter(|line| line.points == line.out_of).count();
    let sheets = if tally.sheets == 1 { "1 sheet".to_owned() } else { format!("{} sheets", tally.sheets) };
    let mut says = format!("{sheets}, of which {full} {} full marks.", if full == 1 { "has" } else { "have" });
    if let (Some(least), Some(most), true) = (points.first(), points.last(), points.len() > 2) {
        // Half of the sheets, or one more, have at least what the one in the middle has.
        let middle = points[points.len() / 2];
        says += &format!(" Points go from {least} to {most}; half of the sheets have {middle} or more.");
    }
    says
}

/// A strip for each measure that students chose.
fn choices(class: &ClassTally, tally: &ExerciseTally, exercise: usize) -> String {
    let strips: Vec<String> = tally
        .steps
        .iter_enumerated()
        .filter_map(|(step, tally)| {
            let figure = strip(class, step, tally)?;
            let drawing = figure.inline(&format!("choice-{exercise}-{}", step.0));
            Some(format!(
                "<figure class=\"foldmark\">\n<figcaption>{}</figcaption>\n{drawing}\n</figure>\n",
                text(&tally.title)
            ))
        })
        .collect();
    if strips.is_empty() {
        return String::new();
    }
    format!(
        "<h3>What was chosen</h3>\n<p class=\"muted\">Each bar is what the student's own draft allows; a dot is a choice within it, a cross one beyond.</p>\n<div class=\"strips\">\n{}</div>\n",
        strips.concat()
    )
}

fn strip(class: &ClassTally, step: StepId, tally: &StepTally) -> Option<Figure> {
    // Where a limit rests on something missing there is none to draw.
    let is_judged = |line: usize| match class.lines[line].verdicts[step].standing() {
        Standing::Right | Standing::Wrong => true,
        Standing::Unjudged | Standing::Absent => false,
    };
    let judged = tally.choices.iter().filter(|chosen| is_judged(chosen.line));
    let mut rows: Vec<(Chosen, Ruler)> = judged
        .map(|chosen| {
            let line = &class.lines[chosen.line];
            let row = Chosen {
                name: line.name(),
                text: value_text(Base::Length, chosen.value, chosen.ruler),
                value: chosen.value,
                low: chosen.low,
                high: chosen.high,
                is_beyond: line.verdicts[step] == Verdict::OutsideRule,
            };
            (row, chosen.ruler)
        })
        .collect();
    rows.sort_by_key(|(row, _)| row.name.to_lowercase());
    let metric = rows.iter().filter(|(_, ruler)| ruler.is_metric()).count();
    let is_metric = 2 * metric > rows.len();
    let ruler = rows.iter().map(|(_, ruler)| *ruler).find(|ruler| ruler.is_metric() == is_metric)?;
    let rows: Vec<Chosen> = rows.into_iter().map(|(row, _)| row).collect();
    Some(figure::choices(&tally.title, ruler, &rows))
}

const STYLE: &str = "\
section{margin-bottom:2.5rem}h3{font-size:1.05rem;margin:1.4rem 0 .4rem}
.strips{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,22rem),1fr));gap:1.2rem 2rem;align-items:start}
figcaption{font-weight:bold;margin-bottom:.2rem}
@media print{.ways{display:none}html{font-size:8.6pt}main{max-width:none;padding:0}.strips{grid-template-columns:1fr 1fr}h2,h3{break-after:avoid}}
";
