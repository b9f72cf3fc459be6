//! A set as tables: one to type in what came back on paper, with names, ids and codes filled in; and the key of all sheets
//! on one page.

use super::paper::{STYLE, measure, table};
use super::problem::Problem;
use crate::check::csv_cell;
use crate::class::Student;
use crate::draft::Draft;
use crate::exercise::{OnSheet, Step};
use crate::html::{PAGE_END, escape, isolated, page_head, shortened};
use std::fmt::Write;

/// A sheet of a set, and whose it is.
pub type Sheet<'p, 'e> = (&'p Problem<'e>, Option<&'p Student>);

/// So many sheets stand side by side in the key's table.
const ABREAST: usize = 14;

fn asked<'p>(draft: &'p Draft) -> impl Iterator<Item = &'p Step> {
    draft.exercise.steps.iter().filter(|step| step.on_sheet == OnSheet::Asked)
}

/// The table of a set, as CSV: a row for each sheet, with an empty cell for each answer.
///
/// ```
/// use foldmark::{exercise::Shelf, length::Ruler, practice::{Maker, Task, answer_table}};
/// let shelf = Shelf::shipped();
/// let maker = Maker::new(shelf.get("zip-pouch").unwrap(), 1, Task::Draft, Ruler::EIGHTH).unwrap();
/// let problems = maker.set(1, 7).unwrap();
/// let table = answer_table(&[(&problems[0], None)]);
/// assert!(table.lines().nth(1).unwrap().contains(&format!(",{},,", problems[0].code)));
/// ```
pub fn answer_table(sheets: &[Sheet]) -> String {
    let mut columns: Vec<(String, usize)> = Vec::new();
    for (problem, _) in sheets {
        for step in asked(&problem.draft) {
            let rows = problem.draft.rows(step);
            match columns.iter_mut().find(|(name, _)| *name == step.name) {
                Some((_, most)) => *most = rows.max(*most),
                None => columns.push((step.name.clone(), rows)),
            }
        }
    }
    let is_list = |name: &str| {
        let steps = sheets.iter().filter_map(|(problem, _)| problem.draft.exercise.step(name));
        steps.into_iter().any(|step| step.kind.list.is_some())
    };
    let cells: Vec<String> = columns
        .iter()
        .flat_map(|(name, most)| {
            let is_list = is_list(name);
            (1..=*most).map(move |row| if is_list { format!("answer.{name}.{row}") } else { format!("answer.{name}") })
        })
        .collect();
    let mut text = "\u{feff}student,id,exercise,version,unit,ruler,code".to_owned();
    cells.iter().for_each(|cell| text += &format!(",{cell}"));
    text += "\r\n";
    for (problem, student) in sheets {
        let (exercise, ruler) = (problem.draft.exercise, problem.draft.givens.ruler);
        let (name, id) = student.map_or(("", ""), |student| (student.name.as_str(), student.id.as_str()));
        let (version, code) = (exercise.version.to_string(), problem.code.to_string());
        let (unit, ruler) = (ruler.unit().symbol(), ruler.to_string());
        let row = [name, id, &exercise.name, &version, unit, &ruler, &code].map(csv_cell);
        text += &row.join(",");
        text += &",".repeat(cells.len());
        text += "\r\n";
    }
    text
}

/// Sheets side by side want the paper across.
const KEYS: &str = "\
.keys{font-size:.82em;table-layout:fixed}.keys th,.keys td{padding:.05em .25em;white-space:normal;overflow-wrap:anywhere}
.keys th:first-child,.keys td:first-child{width:14em}body{max-width:none}@page{size:landscape;margin:10mm}
";

/// The key of a set in short, as a page: for each exercise its measures against the sheets. What a student chooses is shown
/// as it is suggested, with a mark.
pub fn key_table(title: &str, sheets: &[Sheet]) -> String {
    let mut html = page_head(title, &["name=\"viewport\" content=\"width=device-width\""], &format!("{STYLE}{KEYS}"));
    let _ = writeln!(html, "<header><h1>{}</h1></header>", escape(title));
    let mut names: Vec<&str> = Vec::new();
    for (problem, _) in sheets {
        let name = problem.draft.exercise.name.as_str();
        if !names.contains(&name) {
            names.push(name);
        }
    }
    for name in names {
        let of_name: Vec<&Sheet> = sheets.iter().filter(|(problem, _)| problem.draft.exercise.name == name).collect();
        for some in of_name.chunks(ABREAST) {
            html += &part(some);
        }
    }
    html + "<p class=\"small\">* is chosen by the student: here as it is suggested; its limits are in the key.</p>\n"
        + PAGE_END
}

fn part(sheets: &[&Sheet]) -> String {
    let first = &sheets[0].0.draft;
    let whose = |(problem, student): &Sheet| {
        student.map_or_else(
            || format!("sheet {}", problem.number),
            |student| match student.id.as_str() {
                "" => student.name.clone(),
                id => format!("{} ({id})", student.name),
            },
        )
    };
    let names: Vec<String> = sheets.iter().map(|sheet| isolated(&whose(sheet))).collect();
    let head: Vec<&str> = std::iter::once("Measure").chain(names.iter().map(String::as_str)).collect();
    let mut rows = Vec::new();
    for step in asked(first) {
        let most = sheets.iter().map(|(problem, _)| problem.draft.rows(step)).max().unwrap_or(1);
        for row in 0..most {
            let mark = if step.is_choice() { " *" } else { "" };
            let number = if most > 1 { format!(" {}", row + 1) } else { String::new() };
            let value = |(problem, _): &&Sheet| {
                let draft = &problem.draft;
                let is_there = row < draft.rows(step);
                if is_there { measure(&draft.text_at(step.slot, row)) } else { String::new() }
            };
            let mut cells = vec![escape(&format!("{}{number}{mark}", step.title))];
            cells.extend(sheets.iter().map(value));
            rows.push(cells);
        }
    }
    let mut html = String::new();
    let _ = writeln!(html, "<h2>{}</h2>", shortened(&first.exercise.title, 80));
    html + &table(" class=\"keys\"", &head, &rows)
}
