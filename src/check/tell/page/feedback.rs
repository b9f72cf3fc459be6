//! A student's page: points, every answer with its verdict and the reason, and the draft drawn.

use super::picture::Picture;
use super::sign::Sign;
use crate::check::result::{MarkedCell, MarkedSheet, Verdict};
use crate::check::tell::sentences::{first_of_all, sentences};
use crate::check::tell::words::capital;
use crate::class::{Points, Show};
use crate::exercise::{Step, StepId};
use crate::html::paper;
use crate::html::{foreign, text};

/// A student's page, as a file of its own to be read on a screen or printed on one sheet of paper. Below
/// [`Show::Full`] no expected value is in it, neither in words nor in the drawing nor in the source.
///
/// ```
/// use foldmark::check::{answer_file, feedback_page, mark, read_answers};
/// use foldmark::class::Show;
/// use foldmark::draft::{Draft, Givens, Raw};
/// use foldmark::{exercise::Shelf, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let filled = answer_file(&draft, "<b>Tansy</b>", true).replace("\"10 1/4 in\"", "\"9 1/4 in\"");
/// let sheet = mark(roll, &read_answers(&filled).unwrap()).unwrap();
/// let page = feedback_page(&sheet, Show::Coach);
/// assert!(page.contains("&lt;b&gt;Tansy&lt;/b&gt;") && page.contains("9\u{a0}1/4\u{a0}in"));
/// assert!(!page.contains("10\u{a0}1/4\u{a0}in") && !page.contains("10 1/4 in"));
/// ```
pub fn feedback_page(sheet: &MarkedSheet, show: Show) -> String {
    let title = format!("{}: {}", sheet.student, sheet.truth.exercise.title);
    paper(&title, STYLE, &feedback_part(sheet, show, "draft"))
}

/// Several students' pages in one file, to be printed in one go: each begins on paper of its own. The parts are those of
/// [`feedback_part`].
pub fn feedback_pages(title: &str, parts: &[String]) -> String {
    let body: String = parts.iter().map(|part| format!("<article>\n{part}</article>\n")).collect();
    paper(
        title,
        &format!(
            "{STYLE}article{{break-after:page;padding-bottom:2rem}}article:last-child{{break-after:auto}}\n@media print{{article{{padding:0}}}}\n"
        ),
        &body,
    )
}

/// A student's page without the head of a file, for a file with several. `id` tells its drawing from those of the others.
pub fn feedback_part(sheet: &MarkedSheet, show: Show, id: &str) -> String {
    let exercise = sheet.truth.exercise;
    let picture = Picture::of(sheet, show);
    let mut body = head(sheet, show) + &notes(sheet, show);
    let class = if picture.is_some() { "sheet pictured" } else { "sheet" };
    body += &format!("<div class=\"{class}\">\n<section>\n{}", answers(sheet, show, picture.as_ref()));
    // What can hurt belongs to the work that comes next, and a sheet with nothing to put right has room for it.
    if sheet.all_right() {
        body += "<h2>Before you cut</h2>\n";
        for caution in &exercise.cautions {
            body += &format!("<p><strong>{}.</strong> {}</p>\n", text(&caution.about), text(&caution.says));
        }
    }
    body += "</section>\n";
    body += &picture.map(|picture| picture.html(id)).unwrap_or_default();
    body += &format!(
        "</div>\n<p class=\"muted foot\">Marked by version {} of the exercise, on a ruler of {}.</p>\n",
        exercise.version,
        text(&sheet.truth.givens.ruler.to_string())
    );
    body
}

/// Whose it is, and how much of it is right.
fn head(sheet: &MarkedSheet, show: Show) -> String {
    let id = if sheet.id.is_empty() { String::new() } else { format!(" <small>{}</small>", foreign(&sheet.id)) };
    let next = match show {
        Show::Coach | Show::Marks if !sheet.all_right() => {
            "<p>Put right what is marked below, and hand it in again.</p>\n"
        }
        Show::Full | Show::Coach | Show::Marks => "",
    };
    let signs = Verdict::ALL.into_iter().filter_map(|verdict| {
        let count = sheet.cells.iter().filter(|cell| cell.verdict == verdict).count();
        (count > 0).then(|| format!("<li>{count} {}</li>\n", Sign::of(verdict).html()))
    });
    let signs: String = signs.collect();
    format!(
        "<header>\n<div>\n<p class=\"muted\">{}</p>\n<h1>{}{id}</h1>\n</div>\n\
         <p class=\"points\"><strong>{}</strong> of {} points</p>\n</header>\n<ul class=\"tally\">\n{signs}</ul>\n{next}",
        text(&sheet.truth.exercise.title),
        foreign(&sheet.student),
        sheet.points,
        sheet.out_of
    )
}

/// What is to be said once.
fn notes(sheet: &MarkedSheet, show: Show) -> String {
    let remarks = sheet.remarks.iter().map(|remark| format!("{}.", capital(remark)));
    let faults = sheet.faults.iter().map(|fault| format!("Not marked: {fault}."));
    let items: String = first_of_all(sheet, show)
        .into_iter()
        .chain(remarks)
        .chain(faults)
        .map(|note| format!("<li>{}</li>\n", text(&note)))
        .collect();
    if items.is_empty() { items } else { format!("<ul class=\"notes\">\n{items}</ul>\n") }
}

/// The answers in the order of the work, the rows of a list together.
fn answers(sheet: &MarkedSheet, show: Show, picture: Option<&Picture>) -> String {
    let steps = &sheet.truth.exercise.steps;
    let bodies = steps.iter_enumerated().map(|(index, step)| {
        let cells: Vec<&MarkedCell> = sheet.cells.iter().filter(|cell| cell.step == index).collect();
        let letter = picture.and_then(|picture| picture.letters.iter().find(|(_, step)| *step == index));
        let name = Name { sheet, index, letter: letter.map(|(letter, _)| letter.as_str()) };
        let rows = match cells[..] {
            [] => String::new(),
            [cell] => row(&name.html(&sheet.truth.label(step, cell.row)), cell) + &says(&sentences(sheet, cell, show)),
            _ => list(sheet, step, &name, &cells, show),
        };
        if rows.is_empty() { rows } else { format!("<tbody>\n{rows}</tbody>\n") }
    });
    format!(
        "<table>\n<thead><tr><th scope=\"col\">Measure</th><th scope=\"col\">You wrote</th><th scope=\"col\">Verdict</th></tr></thead>\n{}</table>\n",
        bodies.collect::<String>()
    )
}

/// What a step is called on the page.
struct Name<'n> {
    sheet: &'n MarkedSheet<'n>,
    index: StepId,
    letter: Option<&'n str>,
}

impl Name<'_> {
    fn html(&self, title: &str) -> String {
        let letter = self.letter.map(|letter| format!("<b class=\"letter\">{letter}</b> ")).unwrap_or_default();
        let worth = self.sheet.worth[self.index];
        let counting = || self.sheet.worth.iter().filter(|worth| **worth > Points::NONE);
        let note = if !self.sheet.counts(self.index) {
            " <small>does not count</small>".to_owned()
        } else if counting().any(|other| *other != worth) {
            let points = if worth == Points::of(1) { "point" } else { "points" };
            format!(" <small>{worth} {points}</small>")
        } else {
            String::new()
        };
        format!("{letter}{}{note}", foreign(title))
    }
}

fn row(name: &str, cell: &MarkedCell) -> String {
    let written = match cell.written.as_str() {
        "" => "<span class=\"muted\" aria-hidden=\"true\">—</span><span class=\"hidden\">nothing</span>".to_owned(),
        written => foreign(written),
    };
    let sign = Sign::of(cell.verdict).html();
    format!("<tr><th scope=\"row\">{name}</th><td>{written}</td><td>{sign}</td></tr>\n")
}

fn says(sentences: &[String]) -> String {
    if sentences.is_empty() {
        return String::new();
    }
    format!("<tr class=\"says\"><td colspan=\"3\">{}</td></tr>\n", text(&sentences.join(" ")))
}

/// The rows of a list under the step's name. What is to be said of several rows is said once, before them.
fn list(sheet: &MarkedSheet, step: &Step, name: &Name, cells: &[&MarkedCell], show: Show) -> String {
    let said: Vec<Vec<String>> = cells.iter().map(|cell| sentences(sheet, cell, show)).collect();
    let is_shared = |sentence: &String| said.iter().filter(|said| said.contains(sentence)).count() > 1;
    let mut shared: Vec<&String> = Vec::new();
    for sentence in said.iter().flatten() {
        if is_shared(sentence) && !shared.contains(&sentence) {
            shared.push(sentence);
        }
    }
    let head = format!("<tr><th scope=\"rowgroup\" colspan=\"3\">{}</th></tr>\n", name.html(&step.title));
    let mut rows = head;
    // Sentences about the same rows stand together.
    let mut told: Vec<(Vec<&str>, Vec<String>)> = Vec::new();
    for sentence in shared {
        let about = cells.iter().zip(&said).filter(|(_, said)| said.contains(sentence)).map(|(cell, _)| cell.row);
        let about: Vec<&str> = about.map(|row| sheet.truth.row_name(step, row)).collect();
        match told.last_mut() {
            Some((known, sentences)) if *known == about => sentences.push(sentence.clone()),
            _ => told.push((about, vec![sentence.clone()])),
        }
    }
    for (about, mut sentences) in told {
        if about.len() < cells.len() {
            sentences[0] = format!("{}: {}", about.join(", "), sentences[0]);
        }
        rows += &says(&sentences);
    }
    for (cell, said) in cells.iter().zip(&said) {
        let name = format!("<span class=\"row\">{}</span>", foreign(sheet.truth.row_name(step, cell.row)));
        let own: Vec<String> = said.iter().filter(|sentence| !is_shared(sentence)).cloned().collect();
        rows += &row(&name, cell);
        rows += &says(&own);
    }
    rows
}

const STYLE: &str = "\
header{display:flex;flex-wrap:wrap;gap:.2rem 2rem;justify-content:space-between;align-items:end;border-bottom:2px solid var(--ink);padding-bottom:.4rem}
header p{margin:0}h1 small{font-size:.6em;font-weight:normal}
.points{font-size:1.2rem}.points strong{font-size:1.8rem}
.tally{list-style:none;display:flex;flex-wrap:wrap;gap:.1rem 1.4rem;margin:.5rem 0;padding:0}.tally .symbol{min-width:0}
.notes{background:var(--panel);border-left:.3rem solid var(--line);margin:.6rem 0;padding:.5rem 1rem .5rem 2rem}
.sheet{display:grid;gap:1.2rem 2.4rem;grid-template-columns:minmax(0,1fr);align-items:start;margin-top:.8rem}.sheet:not(.pictured){max-width:46rem}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:baseline;padding:.22rem .5rem .22rem 0;font-weight:normal}
thead th{color:var(--muted);font-size:.85rem;border-bottom:1px solid var(--line)}
thead th:nth-child(2){width:21%}thead th:nth-child(3){width:31%}
tbody{border-bottom:1px solid var(--line);break-inside:avoid}
tbody th small{color:var(--muted);white-space:nowrap}
.row{padding-left:1.2rem;display:block}
.says td{padding-left:1.2rem;color:var(--ink);background:var(--panel)}
.letter{display:inline-block;min-width:1.5em;text-align:center;border:1px solid currentColor;border-radius:.8em;font-weight:bold;line-height:1.35}
figcaption{color:var(--muted)}figcaption ul{list-style:none;margin:.4rem 0;padding:0}figcaption li{margin:.2rem 0}
.key{width:2.5em;height:.5em;vertical-align:middle;fill:none}.yours{stroke:var(--accent)}
.foot{font-size:.85rem}
@media screen and (min-width:60rem){.pictured{grid-template-columns:minmax(0,1.3fr) minmax(0,1fr)}figure{position:sticky;top:1rem}}
@media (max-width:34rem){td .sign{display:grid;grid-template-columns:2.1em minmax(0,1fr);white-space:normal}td .symbol{min-width:0;white-space:nowrap}table{table-layout:fixed}thead th:nth-child(3){width:46%}}
@media screen and (max-width:59.99rem){.pictured figure{order:-1}}
@media print{html{font-size:8.6pt}body{line-height:1.27}main{max-width:none;padding:0}h2{margin-top:1rem}
th,td{padding:.4mm 2mm .4mm 0}.says td{padding-left:3mm}.sheet{gap:3mm 6mm;margin-top:1mm}.pictured{grid-template-columns:minmax(0,1.5fr) minmax(0,1fr)}}
";
