//! A problem on paper: the sheet for the student, and the key for the instructor.

use super::set::Problem;
use crate::exercise::{GivenKind, StepRule};
use crate::figure;
use crate::formula::Values;
use crate::html::{escape, keep_lengths, keep_together};

/// Prints on A4 and on Letter alike: nothing is wider than the narrower of the two (ISO 216: A4 is 210 mm
/// wide; Letter, 215.9 mm wide, is only 279.4 mm high).
const STYLE: &str = "body{font:16px/1.4 sans-serif;max-width:44em;margin:1.5em auto;padding:0 1em;color:#000;background:#fff}\
table{border-collapse:collapse;margin:.7em 0;width:100%}th,td{border:1px solid #555;padding:.25em .5em;text-align:left}\
td.answer{min-width:9em}.head{display:flex;gap:2em;justify-content:space-between}figure{margin:1em 0;break-inside:avoid;max-width:30em}\
tr,.caution{break-inside:avoid}h1{font-size:1.5em}h2{font-size:1.15em}.scroll{overflow-x:auto}\
@page{margin:15mm}@media print{body{margin:0;padding:0;max-width:none;font-size:10.5pt}}";

fn page(title: &str, body: &str) -> String {
    let title = escape(title);
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width\">\n\
         <title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n{body}</body>\n</html>\n"
    )
}

fn table(head: &[&str], rows: &[Vec<String>]) -> String {
    let cells = |tag: &str, cells: &mut dyn Iterator<Item = String>| {
        let cells: String = cells.map(|cell| format!("<{tag}>{cell}</{tag}>")).collect();
        format!("<tr>{cells}</tr>\n")
    };
    let head = cells("th", &mut head.iter().map(|cell| escape(cell)));
    let rows: String = rows.iter().map(|row| cells("td", &mut row.iter().cloned())).collect();
    format!("<div class=\"scroll\"><table>\n{head}{rows}</table></div>\n")
}

fn length(text: &str) -> String {
    escape(&keep_together(text))
}

/// The givens in words and tables.
fn givens_html(problem: &Problem) -> String {
    let draft = &problem.draft;
    let exercise = draft.exercise;
    let mut html = String::new();
    let mut singles = Vec::new();
    for given in exercise.givens.iter().filter(|given| given.is_needed(&draft.measures)) {
        match &given.kind {
            GivenKind::Table { table: id, columns, each, .. } => {
                let used = || columns.iter().filter(|column| column.is_needed(&draft.measures));
                let mut head = vec![each.as_str()];
                head.extend(used().map(|column| column.title.as_str()));
                let rows: Vec<Vec<String>> = (0..draft.measures.rows(*id))
                    .map(|row| {
                        let name = escape(&draft.givens.row_names[id.0][row]);
                        let cells = used().map(|column| length(&draft.text_at(column.slot, row)));
                        std::iter::once(name).chain(cells).collect()
                    })
                    .collect();
                html.push_str(&table(&head, &rows));
            }
            GivenKind::Choice { slot, words, .. } => {
                let index = draft.measures.value(*slot, 0) as usize;
                singles.push(vec![escape(&given.title), escape(&words[index].says), String::new()]);
            }
            GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } => {
                singles.push(vec![escape(&given.title), length(&draft.text_at(*slot, 0)), escape(&given.says)]);
            }
        }
    }
    html + &table(&["Given", "Value", ""], &singles)
}

/// The student's sheet: the problem and an answer grid in the order of the answer file, and no answers.
pub fn sheet_html(problem: &Problem) -> String {
    let draft = &problem.draft;
    let exercise = draft.exercise;
    let title = format!("{}, sheet {}", exercise.title, problem.number);
    let mut body = format!(
        "<h1>{}</h1>\n<p class=\"head\"><span>Name: ____________________</span><span>Date: ____________</span></p>\n",
        escape(&title)
    );
    let ruler = draft.givens.ruler;
    body.push_str(&format!(
        "<p>{} Draft it, and write down each measure to the nearest {} of your ruler.</p>\n",
        escape(&exercise.practice.tells),
        length(&ruler.to_string())
    ));
    body.push_str(&givens_html(problem));
    let mut rows = Vec::new();
    for step in &exercise.steps {
        for row in 0..draft.rows(step) {
            let label = draft.label(step, row);
            let choice = if matches!(step.rule, StepRule::Within { .. }) { " (your choice)" } else { "" };
            rows.push(vec![(rows.len() + 1).to_string(), escape(&label) + choice, String::new()]);
        }
    }
    body.push_str("<h2>Your measures</h2>\n");
    body.push_str(&table(&["", "Measure", "Your answer"], &rows));
    for caution in &exercise.cautions {
        body.push_str(&format!(
            "<p class=\"caution\"><strong>{}.</strong> {}</p>\n",
            escape(&caution.about),
            escape(&caution.says)
        ));
    }
    page(&title, &body)
}

/// The instructor's key: the worked arithmetic, the limits of each choice, the cutting list and the figure.
pub fn key_html(problem: &Problem) -> String {
    let draft = &problem.draft;
    let exercise = draft.exercise;
    let title = format!("Key to {}, sheet {}", exercise.title, problem.number);
    let mut body = format!("<h1>{}</h1>\n", escape(&title));
    body.push_str(&givens_html(problem));
    let mut rows = Vec::new();
    for step in &exercise.steps {
        for row in 0..draft.rows(step) {
            let label = draft.label(step, row);
            let value = length(&draft.text_at(step.slot, row));
            rows.push(vec![escape(&label), value, escape(&keep_lengths(&draft.arithmetic(step, row)))]);
        }
    }
    body.push_str(&table(&["Measure", "Value", "Arithmetic, or limits of the choice"], &rows));
    let figure = figure::whole(draft);
    body.push_str(&format!(
        "<figure class=\"foldmark\">\n{}\n<figcaption>{}</figcaption>\n</figure>\n",
        figure.inline(&format!("key-{}", problem.number)),
        escape(figure.title())
    ));
    page(&title, &body)
}
