//! The instructor's key to a problem: the worked arithmetic, the limits of each choice, the slips, the labelled figure.

use super::paper::{givens, measure, table};
use super::problem::Problem;
use crate::check::with_slips;
use crate::class::Student;
use crate::draft::Draft;
use crate::exercise::OnSheet;
use crate::figure;
use crate::html::{escape, foreign, isolated, text};
use std::fmt::Write;

/// A problem's page in the key.
pub fn key_page(problem: &Problem, student: Option<&Student>) -> String {
    let draft = &problem.draft;
    let exercise = draft.exercise;
    let whose = student.map_or_else(
        || format!("sheet {}", problem.number),
        |student| {
            if student.id.is_empty() { student.name.clone() } else { format!("{} ({})", student.name, student.id) }
        },
    );
    let title = escape(&exercise.title);
    let mut page = format!(
        "<section class=\"page\" aria-label=\"Key: {title}, {}\">\n<header><h1>Key: {title}, {}</h1><code>{}</code></header>\n",
        escape(&isolated(&whose)),
        foreign(&whose),
        problem.code
    );
    if let Some(level) = problem.level {
        let _ = writeln!(page, "<p>Level {}: {}</p>", level.level, escape(&level.says));
    }
    page.push_str(&givens(problem, true));
    page.push_str(&slips(problem));
    let mut rows = Vec::new();
    for step in &exercise.steps {
        for row in 0..draft.rows(step) {
            let part = match step.on_sheet {
                OnSheet::Asked => "",
                OnSheet::Told => " (told)",
                OnSheet::Silent => " (not asked for)",
            };
            rows.push(vec![
                escape(&format!("{}{part}", draft.label(step, row))),
                measure(&draft.text_at(step.slot, row)),
                text(&draft.arithmetic(step, row)),
            ]);
        }
    }
    page.push_str(&table(" class=\"wide\"", &["Measure", "Value", "Arithmetic, or limits of the choice"], &rows));
    let figure = figure::whole(draft);
    let _ = writeln!(
        page,
        "<figure class=\"foldmark\">\n{}\n<figcaption>{}</figcaption>\n</figure>",
        figure.inline(&format!("key-{}-{}", exercise.name, problem.number)),
        escape(figure.title())
    );
    page + "</section>\n"
}

/// The slips in a finished draft: where each was made, what it gave, and what is right.
fn slips(problem: &Problem) -> String {
    let (draft, exercise) = (&problem.draft, problem.draft.exercise);
    let Some(measures) = with_slips(exercise, &draft.measures, &problem.slips).filter(|_| !problem.slips.is_empty())
    else {
        return String::new();
    };
    let shown = Draft { measures, ..draft.clone() };
    let mut rows = Vec::new();
    for slip in problem.slips.iter().map(|slip| &exercise.slips[*slip]) {
        let step = &exercise.steps[slip.step];
        for row in 0..draft.rows(step) {
            let value = |draft: &Draft| measure(&draft.text_at(step.slot, row));
            rows.push(vec![escape(&draft.label(step, row)), value(&shown), value(draft), escape(&slip.says)]);
        }
    }
    let head = ["Slip made in", "As shown", "Right", "What was done"];
    format!("<h2>What to find</h2>\n{}", table(" class=\"wide\"", &head, &rows))
}
