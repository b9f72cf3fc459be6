//! What sheets and keys have in common: a page of paper, and what is given on it.

use super::problem::Problem;
use crate::draft::Givens;
use crate::exercise::{GivenId, GivenKind, OnSheet};
use crate::formula::{Base, Slot, Values};
use crate::html::{PAGE_END, escape, keep_together, page_head};
use crate::length::Ruler;

/// Fits A4 and Letter alike: nothing is wider than the narrower of the two, and a sheet is no higher than the lower one
/// (ISO 216: A4 is 210 mm × 297 mm; ANSI/ASME Y14.1: Letter is 8.5 in × 11 in, 215.9 mm × 279.4 mm).
pub(super) const STYLE: &str = "\
:root{color-scheme:light}*{box-sizing:border-box}
body{font:9.1pt/1.2 system-ui,sans-serif;color:#000;background:#fff;margin:0 auto;padding:1em;max-width:50em}
.page{break-after:page;padding-bottom:2em}.page:last-child{break-after:auto}
header{display:flex;flex-wrap:wrap;gap:.2em 1.5em;align-items:baseline;border-bottom:2px solid #000;padding-bottom:.3em}
h1{font-size:1.45em;margin:0;flex:1 1 12em}h2{font-size:1.1em;margin:.8em 0 .2em}p{margin:.5em 0}
.who{display:flex;gap:1.5em;width:100%;margin:0;justify-content:space-between;flex-wrap:wrap}
.line{border-bottom:1px solid #333;display:inline-block;min-width:11em}code{font:1.05em ui-monospace,monospace}
.given{display:flex;flex-wrap:wrap;gap:0 1.5em;align-items:flex-start}.given>*{flex:1 1 17em;min-width:0}
figure{margin:.4em 0;break-inside:avoid}.given figure{max-width:22em}figure svg{max-height:82mm}figcaption{font-size:.9em}
table{border-collapse:collapse;width:100%;margin:.4em 0}th,td{border:1px solid #666;padding:.08em .45em;text-align:left}
th{font-weight:600}td:last-child{white-space:nowrap}.wide td:last-child{white-space:normal}.scroll{overflow-x:auto}
ol.grid{columns:20em 2;column-gap:1.5em;list-style:none;margin:.4em 0;padding:0}
ol.grid li{display:flex;gap:.5em;align-items:baseline;break-inside:avoid;padding:.13em 0;border-bottom:1px solid #999}
ol.grid .letter{flex:0 0 1.4em;font-weight:700}ol.grid .name{flex:1 1 8em}ol.grid .box{flex:0 0 6.5em;border-bottom:1px dotted #000}
ol.grid .shown{flex:0 0 6em;font-weight:600}.small{font-size:.86em;line-height:1.25}tr,li{break-inside:avoid}
@page{margin:12mm}@media print{body{padding:0;max-width:none}.page{padding:0}}
";

/// A document of pages, of sheets or of keys, that prints on A4 and on Letter.
///
/// ```
/// use foldmark::practice::document;
/// assert!(document("Week 1 & 2", "<p>One</p>\n").contains("<title>Week 1 &amp; 2</title>"));
/// ```
pub fn document(title: &str, pages: &str) -> String {
    format!("{}{pages}{DOCUMENT_END}", document_head(title))
}

/// What such a document begins with, for one that is written page by page.
pub fn document_head(title: &str) -> String {
    page_head(title, &["name=\"viewport\" content=\"width=device-width\""], STYLE)
}

/// What it ends with.
pub const DOCUMENT_END: &str = PAGE_END;

pub(super) fn table(class: &str, head: &[&str], rows: &[Vec<String>]) -> String {
    let cells = |tag: &str, cells: &mut dyn Iterator<Item = String>| {
        let cells: String = cells.map(|cell| format!("<{tag}>{cell}</{}>", &tag[..2])).collect();
        format!("<tr>{cells}</tr>\n")
    };
    let head = match head {
        [] => String::new(),
        head => cells("th scope=\"col\"", &mut head.iter().map(|cell| escape(cell))),
    };
    let rows: String = rows.iter().map(|row| cells("td", &mut row.iter().cloned())).collect();
    format!("<div class=\"scroll\"><table{class}>\n{head}{rows}</table></div>\n")
}

pub(super) fn measure(text: &str) -> String {
    escape(&keep_together(text))
}

/// What is given, as tables; `all` shows what the sheet hides as well.
pub(super) fn givens(problem: &Problem, all: bool) -> String {
    let draft = &problem.draft;
    let exercise = draft.exercise;
    let stated = Givens { ruler: problem.stated_on, ..draft.givens.clone() };
    let shown = |slot: Slot, row: usize| measure(&stated.text(exercise, slot, row).unwrap_or_default());
    let is_hidden = |index: GivenId| problem.level.is_some_and(|level| level.hides.contains(&index)) && !all;
    let mut html = String::new();
    let mut singles = Vec::new();
    let needed = exercise.givens.iter_enumerated().filter(|(_, given)| given.is_needed(&draft.measures));
    for (_, given) in needed.filter(|(index, _)| !is_hidden(*index)) {
        match &given.kind {
            GivenKind::Table { table: id, columns, each, .. } => {
                let used = || columns.iter().filter(|column| column.is_needed(&draft.measures));
                let mut head = vec![each.as_str()];
                head.extend(used().map(|column| column.title.as_str()));
                let row = |row: usize| {
                    let name = escape(&draft.givens.row_names[id.0][row]);
                    std::iter::once(name).chain(used().map(|column| shown(column.slot, row))).collect()
                };
                let rows: Vec<Vec<String>> = (0..draft.measures.rows(*id)).map(row).collect();
                html.push_str(&table("", &head, &rows));
            }
            GivenKind::Choice { slot, words, .. } => {
                let word = draft.measures.word(*slot).and_then(|index| words.get(index));
                let says = word.map_or("", |word| word.says.as_str());
                singles.push(vec![format!("{}: {}", escape(&given.title), escape(says)), String::new()]);
            }
            GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } => {
                let says = match given.says.as_str() {
                    "" => String::new(),
                    says => format!(" <span class=\"small\">{}</span>", escape(says)),
                };
                singles.push(vec![escape(&given.title) + &says, shown(*slot, 0)]);
            }
        }
    }
    for row in &mut singles {
        row.retain(|cell| !cell.is_empty());
    }
    let rows: String = singles
        .iter()
        .map(|row| match &row[..] {
            [title, value] => format!("<tr><td>{title}</td><td>{value}</td></tr>\n"),
            row => format!("<tr><td colspan=\"2\" style=\"white-space:normal\">{}</td></tr>\n", row.concat()),
        })
        .collect();
    html + &format!("<div class=\"scroll\"><table>\n{rows}</table></div>\n")
}

/// What the sheet tells of the draft beside what is given.
pub(super) fn told(problem: &Problem, heading: &str) -> String {
    let draft = &problem.draft;
    let mut rows = Vec::new();
    for step in draft.exercise.steps.iter().filter(|step| step.on_sheet == OnSheet::Told) {
        for row in 0..draft.rows(step) {
            let text = stated(problem, step.slot, row);
            rows.push(vec![escape(&draft.label(step, row)), measure(&text)]);
        }
    }
    if rows.is_empty() {
        String::new()
    } else {
        format!("<{heading}>Measured already, each with its own ruler</{heading}>\n{}", table("", &[], &rows))
    }
}

/// A value that the sheet states: on the ruler of the givens, or that of the answers, whichever has it on a tick; where
/// neither has, on one so fine that the rounding is less than half a tick of either.
fn stated(problem: &Problem, slot: Slot, row: usize) -> String {
    let draft = &problem.draft;
    let rulers = [problem.stated_on, draft.givens.ruler];
    let is_length = draft.exercise.scope.kind(slot).base == Base::Length;
    match draft.measures.length(slot, row).filter(|_| is_length) {
        Some(length) => match rulers.into_iter().find(|ruler| ruler.on_tick(length)) {
            Some(ruler) => ruler.write_exactly(length),
            None if rulers[0].is_metric() => Ruler::MILLIMETRE.write(length).to_string(),
            None => Ruler::THIRTY_SECOND.write(length).to_string(),
        },
        None => draft.text_at(slot, row),
    }
}
