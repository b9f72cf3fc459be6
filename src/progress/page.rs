//! A student's page over the sets of a course: what is mastered with the evidence, which slips came back, what to practise next.

use super::history::{History, Progress, StepProgress, Try};
use super::tracing::{Estimate, MASTERED, Tracing};
use crate::check::{Sign, Verdict};
use crate::html::{foreign, paper, text};
use crate::text::harmless;
use std::fmt::Write;

/// So many steps are named to be practised next: more would be no choice.
const MOST_NEXT: usize = 5;

/// A student's page, without its head.
pub fn progress_part(progress: &Progress, history: &History) -> String {
    let mut html = head(progress);
    if progress.steps.is_empty() {
        html += "<p>Nothing that this student handed in has been marked.</p>\n";
        return html;
    }
    html += &next(progress, history);
    html += &came_back(progress, history);
    let sets: Vec<String> =
        history.sets.iter().enumerate().map(|(at, (set, _))| format!("{} {}", at + 1, text(set))).collect();
    let _ = writeln!(
        html,
        "<h2>Step by step</h2>\n<p class=\"muted\">Tries, by set: {}.<br>{}.</p>",
        sets.join(", "),
        key()
    );
    for exercise in progress.steps.chunk_by(|one, next| one.exercise == next.exercise) {
        html += &table(exercise);
    }
    html + &method()
}

/// Several students' pages in one file; each begins on paper of its own.
///
/// ```
/// use foldmark::{class::Student, progress::{History, progress_pages, progress_part}};
/// let mut history = History::default();
/// history.add("week-1", r#"{"sheets": [{"student": "<Moss>", "exercise": "sleeve", "answers": [
///     {"step": "width", "title": "Width", "verdict": "right"}]}]}"#);
/// let moss = Student { name: "<Moss>".into(), id: String::new() };
/// let part = progress_part(&history.among(&[moss]).of(0), &history);
/// let page = progress_pages("Thursday", &[part]);
/// assert!(page.contains("&lt;Moss&gt;") && page.contains("93 %") && page.contains("not yet sure"));
/// ```
pub fn progress_pages(title: &str, parts: &[String]) -> String {
    let body: String = parts.iter().map(|part| format!("<article>\n{part}</article>\n")).collect();
    paper(title, STYLE, &body)
}

fn head(progress: &Progress) -> String {
    let student = &progress.student;
    let id = match student.id.as_str() {
        "" => String::new(),
        id => format!(" <small>{}</small>", foreign(&harmless(id, 40))),
    };
    let (mastered, tried) = progress.mastered();
    let name = foreign(&harmless(&student.name, 60));
    format!("<header><h1>{name}{id}</h1><p><strong>{mastered}</strong> of {tried} steps mastered</p></header>\n")
}

fn percent(known: f64) -> String {
    format!("{} %", (known * 100.0).floor())
}

/// A mistake's name as people read it.
fn called(slip: &str) -> String {
    text(&slip.replace('-', " "))
}

fn next(progress: &Progress, history: &History) -> String {
    let next = progress.next();
    let mut html = "<h2>To practise next</h2>\n".to_owned();
    if next.is_empty() {
        html += "<p>Everything that was tried is mastered: something new, or a level further.</p>\n";
        return html;
    }
    html += "<ol>\n";
    for step in next.iter().take(MOST_NEXT) {
        let _ = writeln!(
            html,
            "<li><strong>{}</strong> ({}): {}</li>",
            text(&step.title),
            text(&step.exercise_title),
            evidence(step, history)
        );
    }
    html += "</ol>\n";
    if next.len() > MOST_NEXT {
        let _ = writeln!(html, "<p>And {} more, below.</p>", next.len() - MOST_NEXT);
    }
    html
}

/// What a step's estimate rests on, in a sentence.
fn evidence(step: &StepProgress, history: &History) -> String {
    let wrong: Vec<&Try> = step.tries.iter().filter(|it| it.is_right() == Some(false)).collect();
    let Some(last) = wrong.last() else {
        return format!("right so far, but {}", step.estimate.surety().words());
    };
    let slip = match &last.slips[..] {
        [] => String::new(),
        slips => format!(" ({})", slips.iter().map(|slip| called(slip)).collect::<Vec<_>>().join(" and ")),
    };
    let set = text(&history.sets[last.set].0);
    format!("not right in {} of {} tries, last in {set}{slip}", wrong.len(), step.estimate.tries)
}

fn came_back(progress: &Progress, history: &History) -> String {
    let found = progress.came_back();
    if found.is_empty() {
        return String::new();
    }
    let mut html = "<h2>Slips that came back</h2>\n<ul>\n".to_owned();
    for slip in found {
        let sets: Vec<String> = slip.sets.iter().map(|set| text(&history.sets[*set].0)).collect();
        let (what, step, exercise) = (called(&slip.slip), text(&slip.step), text(&slip.exercise));
        let _ = writeln!(html, "<li><strong>{what}</strong> in {step} ({exercise}): {}</li>", sets.join(", "));
    }
    html + "</ul>\n"
}

/// What the signs say.
fn key() -> String {
    let signs = Verdict::ALL.map(|verdict| {
        let sign = Sign::of(verdict);
        format!("<span class=\"try\"><span class=\"{}\">{}</span> {}</span>", sign.class, sign.symbol, sign.words)
    });
    signs.join(", ")
}

fn table(steps: &[StepProgress]) -> String {
    let title = steps.first().map(|step| text(&step.exercise_title)).unwrap_or_default();
    let mut html = format!(
        "<table>\n<caption>{title}</caption>\n<thead><tr><th scope=\"col\">Step</th><th scope=\"col\">Tries</th>\
         <th scope=\"col\">Mastered</th><th scope=\"col\">How sure</th></tr></thead>\n<tbody>\n"
    );
    for step in steps {
        let tries: String = step
            .tries
            .iter()
            .map(|it| {
                format!("<span class=\"try\"><small>{}</small> {}</span> ", it.set + 1, Sign::of(it.verdict).short())
            })
            .collect();
        let estimate = &step.estimate;
        let (known, sure) = match estimate.tries {
            0 => ("<td class=\"muted\">no evidence</td>".to_owned(), ""),
            _ => (known(estimate), estimate.surety().words()),
        };
        let _ = writeln!(
            html,
            "<tr><th scope=\"row\">{}</th><td>{}</td>{known}<td>{sure}</td></tr>",
            text(&step.title),
            tries.trim_end()
        );
    }
    html + "</tbody>\n</table>\n"
}

fn known(estimate: &Estimate) -> String {
    let (class, sign) = if estimate.is_mastered() { ("right", "✓ ") } else { ("", "") };
    format!(
        "<td class=\"{class}\"><span class=\"bar\" aria-hidden=\"true\"><span style=\"width:{0:.0}%\"></span></span>{sign}{1}</td>",
        estimate.known * 100.0,
        percent(estimate.known)
    )
}

/// How it was come by, with every figure that it takes.
fn method() -> String {
    let Tracing { start, learns, guesses, slips } = Tracing::MEASURE;
    let [start, learns, guesses, slips, choice, from] =
        [start, learns, guesses, slips, Tracing::CHOICE.guesses, MASTERED].map(|part| format!("{:.0} %", part * 100.0));
    format!(
        "<p class=\"foot muted\">How likely a step is mastered is traced by the method of Corbett and Anderson (1995): it begins at \
         {start}; every try teaches it with {learns}; who has it slips with {slips}; who has it not guesses a measure with {guesses}, \
         a choice with {choice}. From {from} on it counts as mastered, unless that is not yet sure. What follows rightly from an own earlier figure is right; what \
         is missing, unreadable or can’t be judged says nothing. “Sure” is what would be almost the same for someone who began with \
         less or more and learns more slowly or faster.</p>\n"
    )
}

const STYLE: &str = "\
main{max-width:52rem}
article{break-after:page;padding-bottom:2.5rem}article:last-child{break-after:auto}
header{display:flex;flex-wrap:wrap;gap:.2rem 2rem;justify-content:space-between;align-items:end;border-bottom:2px solid var(--ink);padding-bottom:.4rem}
header p{margin:0}header strong{font-size:1.5rem}h1 small{font-size:.6em;font-weight:normal}
ol,ul{margin:.3rem 0;padding-left:1.4rem}li{margin:.2rem 0}
table{border-collapse:collapse;width:100%;margin:.6rem 0 1.2rem}caption{text-align:left;font-weight:bold;padding:.2rem 0}
th,td{text-align:left;vertical-align:baseline;padding:.25rem .6rem .25rem 0;font-weight:normal;border-bottom:1px solid var(--line)}
thead th{color:var(--muted);font-size:.85rem}thead th:nth-child(1){width:32%}thead th:nth-child(3){width:24%}thead th:nth-child(4){width:20%}
tr{break-inside:avoid}td .try{margin-right:.4rem}.try{display:inline-block;white-space:nowrap}.try small{color:var(--muted)}
.bar{display:inline-block;width:4.5rem;border:1px solid var(--line);margin-right:.5rem;vertical-align:middle;height:.6rem}.bar span{display:block;border-top:calc(.6rem - 2px) solid var(--accent)}
.right .bar span{border-color:var(--right)}.foot{font-size:.85rem}
@media (max-width:34rem){.bar{display:block;width:100%;margin:.2rem 0}}
@media print{html{font-size:8.6pt}body{line-height:1.3}h2{margin-top:.9rem}main{max-width:none;padding:0}article{padding:0}th,td{padding:.1rem .6rem .1rem 0}table{margin:.3rem 0 .7rem}}
";
