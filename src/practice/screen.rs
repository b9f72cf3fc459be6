//! A problem as a part of a page that someone works in, and its key.

use super::paper::{givens, measure, table, told};
use super::problem::Problem;
use super::sheet::{lettered, task};
use crate::check::with_slips;
use crate::draft::Draft;
use crate::exercise::StepId;
use crate::figure;
use crate::html::{escape, text};

/// A problem on a screen.
#[derive(Debug, Clone)]
pub struct Screen {
    /// What is to be done and what is given, as HTML without headings.
    pub html: String,
    /// The outline with letters, as HTML; empty, where there is none.
    pub outline: String,
    /// Which letter stands at which step.
    pub letters: Vec<(String, StepId)>,
}

/// What a sheet of paper says of a problem, as a part of a page. `id` has to be the only one of its kind there.
///
/// ```
/// use foldmark::{exercise::Shelf, length::Ruler, practice::{Maker, Task, on_screen}};
/// let shelf = Shelf::shipped();
/// let maker = Maker::new(shelf.get("flap-roll").unwrap(), 1, Task::Draft, Ruler::EIGHTH).unwrap();
/// let screen = on_screen(&maker.set(1, 7).unwrap()[0], "problem");
/// assert!(screen.html.contains("Draft it") && screen.letters.len() > 4);
/// ```
pub fn on_screen(problem: &Problem, id: &str) -> Screen {
    let html = format!("<p>{}</p>\n{}{}", task(problem), givens(problem, false), told(problem, "p"));
    let Some(blank) = lettered(problem) else {
        return Screen { html, outline: String::new(), letters: Vec::new() };
    };
    Screen { html, outline: blank.figure.inline(id), letters: blank.letters }
}

/// The key of a problem as a part of a page: the slips in a finished draft, every measure with its arithmetic, the figure.
pub fn key_on_screen(problem: &Problem, id: &str) -> String {
    let draft = &problem.draft;
    let exercise = draft.exercise;
    let mut html = String::new();
    let shown = with_slips(exercise, &draft.measures, &problem.slips).filter(|_| !problem.slips.is_empty());
    if let Some(measures) = shown {
        let shown = Draft { measures, ..draft.clone() };
        let slip = |slip: &crate::exercise::Slip| {
            let step = &exercise.steps[slip.step];
            let value = |draft: &Draft| measure(&draft.text_at(step.slot, 0));
            format!(
                "<li><strong>{}</strong>: {} instead of {}. {}</li>\n",
                escape(&step.title),
                value(&shown),
                value(draft),
                text(&slip.says)
            )
        };
        let slips: String = problem.slips.iter().map(|id| slip(&exercise.slips[*id])).collect();
        html += &format!("<ul>\n{slips}</ul>\n");
    }
    let rows = exercise.steps.iter().flat_map(|step| {
        (0..draft.rows(step)).map(move |row| {
            let value = measure(&draft.text_at(step.slot, row));
            vec![escape(&draft.label(step, row)), value, text(&draft.arithmetic(step, row))]
        })
    });
    let rows: Vec<Vec<String>> = rows.collect();
    html += &table(" class=\"wide\"", &["Measure", "Value", "Arithmetic, or limits of the choice"], &rows);
    html + &format!("<figure class=\"foldmark\">\n{}\n</figure>\n", figure::whole(draft).inline(id))
}
