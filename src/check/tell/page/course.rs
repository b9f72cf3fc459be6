//! The page of a course: students against sets, and every file that was handed in.

use crate::check::tell::course::{Course, CourseCell};
use crate::html::paper;
use crate::html::{escape, foreign, text};
use crate::text::harmless;
use std::fmt::Write;

/// A file that was handed in, and what came of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HandedInFile {
    /// What it is called.
    pub file: String,
    /// How many sheets of it were marked.
    pub sheets: usize,
    /// What could not be read in it, or why it was not.
    pub unread: Vec<String>,
}

/// The page of a course, as a file of its own. Each set's page is `NAME/index.html` beside it.
///
/// ```
/// use foldmark::check::{Course, CourseSet, HandedInFile, course_page};
/// use foldmark::class::Student;
/// let tansy = Student { name: "Tansy <b>".into(), id: String::new() };
/// let set = CourseSet { name: "week-1".into(), ..CourseSet::default() };
/// let file = HandedInFile { file: "tansy.docx".into(), sheets: 0, unread: vec!["it is not read".into()] };
/// let page = course_page(&Course::new("Thursday", &[tansy], vec![set]), &[file]);
/// assert!(page.contains("Tansy &lt;b&gt;") && page.contains("missing") && page.contains("tansy.docx"));
/// ```
pub fn course_page(course: &Course, files: &[HandedInFile]) -> String {
    let title = harmless(if course.title.trim().is_empty() { "The class" } else { course.title.trim() }, 120);
    let mut body = format!("<h1>{}</h1>\n", text(&title));
    let heads: String = course
        .columns
        .iter()
        .map(|column| {
            let set = &course.sets[column.set];
            let link = format!("{}/index.html", escape(&set.name));
            let about: Vec<&str> = [set.title.as_str()].into_iter().filter(|about| !about.is_empty()).collect();
            let due =
                if set.due.is_empty() { String::new() } else { format!("<br><small>due {}</small>", text(&set.due)) };
            let about = about.iter().map(|about| format!("<br><small>{}</small>", text(about))).collect::<String>();
            format!("<th scope=\"col\"><a href=\"{link}\">{}</a>{about}{due}</th>", text(&column.name))
        })
        .collect();
    let mut rows = String::new();
    for row in &course.rows {
        let student = &row.student;
        let id = if student.id.is_empty() {
            String::new()
        } else {
            format!(" <small>{}</small>", foreign(&harmless(&student.id, 40)))
        };
        let note = if row.is_on_roster { "" } else { " <small class=\"outside\">not on the roster</small>" };
        let name = foreign(&harmless(&student.name, 60));
        let name = match &row.page {
            Some(page) => format!("<a href=\"{}\">{name}</a>", escape(page)),
            None => name,
        };
        let _ = write!(rows, "<tr><th scope=\"row\">{name}{id}{note}</th>");
        rows.extend(row.cells.iter().map(cell));
        rows.push_str("</tr>\n");
    }
    let _ = writeln!(
        body,
        "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"Students and sets\">\n<table class=\"course\">\n\
         <thead><tr><td></td>{heads}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table>\n</div>"
    );
    body += &accounts(files);
    paper(&title, STYLE, &body)
}

fn cell(cell: &CourseCell) -> String {
    match cell {
        CourseCell::NotSet => {
            "<td class=\"muted\"><span aria-hidden=\"true\">–</span><span class=\"hidden\">not set</span></td>"
                .to_owned()
        }
        CourseCell::Missing => "<td class=\"open\">missing</td>".to_owned(),
        CourseCell::Refused => "<td class=\"wrong\">refused</td>".to_owned(),
        CourseCell::Marked { points, out_of, is_late } => {
            let late = if *is_late { " <small class=\"outside\">late</small>" } else { "" };
            format!("<td>{points} of {out_of}{late}</td>")
        }
    }
}

/// Every file that was handed in: first what was not read.
fn accounts(files: &[HandedInFile]) -> String {
    let mut html = String::new();
    let unread: Vec<_> = files.iter().filter(|file| !file.unread.is_empty()).collect();
    if !unread.is_empty() {
        html += "<h2>What could not be read</h2>\n<ul>\n";
        for file in unread {
            for says in &file.unread {
                let _ = writeln!(html, "<li><strong>{}</strong>: {}.</li>", foreign(&file.file), text(says));
            }
        }
        html += "</ul>\n";
    }
    let read: Vec<_> = files.iter().filter(|file| file.sheets > 0).collect();
    if !read.is_empty() {
        html += "<h2>What was marked</h2>\n<ul class=\"files\">\n";
        for file in read {
            let sheets = if file.sheets == 1 { "1 sheet".to_owned() } else { format!("{} sheets", file.sheets) };
            let _ = writeln!(html, "<li>{}: {sheets}</li>", foreign(&file.file));
        }
        html += "</ul>\n";
    }
    html
}

const STYLE: &str = "\
.scroll{overflow-x:auto;max-width:100%;margin:1rem 0}.scroll:focus-visible{outline:2px solid var(--accent)}
.course{border-collapse:collapse}.course th,.course td{border:1px solid var(--line);padding:.2rem .6rem;text-align:left;font-weight:normal;vertical-align:baseline}
.course thead th{font-weight:bold}.course small{font-weight:normal}.course tbody tr:hover>*{background:var(--panel)}
.files{columns:18rem;column-gap:2.5rem;padding-left:1.2rem}
@media print{html{font-size:9pt}main{max-width:none;padding:0}.scroll{overflow:visible}tr{break-inside:avoid}}
";
