//! Every step against every student.

use super::sign::Sign;
use crate::check::result::Verdict;
use crate::check::tell::class::{ClassLine, ClassTally, ExerciseTally};
use crate::exercise::StepId;
use crate::html::{linked, shortened, text};

/// Longest name at the head of a column, in letters.
const NAME: usize = 16;

/// The grid of one exercise, in a box of its own that scrolls sideways.
pub(super) fn html(
    class: &ClassTally,
    name: &str,
    tally: &ExerciseTally,
    links: &dyn Fn(usize) -> Option<String>,
) -> String {
    let lines: Vec<(usize, &ClassLine)> =
        class.lines.iter().enumerate().filter(|(_, line)| line.exercise == name).collect();
    let names: String = lines
        .iter()
        .map(|(index, line)| {
            let name = linked(shortened(&line.name(), NAME), links(*index).as_deref());
            format!("<th scope=\"col\"><span>{name}</span></th>")
        })
        .collect();
    let points: String = lines.iter().map(|(_, line)| format!("<td>{}</td>", line.points)).collect();
    let is_empty = |step: StepId| lines.iter().all(|(_, line)| line.leaves_out(step));
    let steps = tally.steps.iter_enumerated().filter(|(step, _)| lines.is_empty() || !is_empty(*step));
    let rows: String = steps.map(|(step, tally)| row(step, &tally.title, &lines)).collect();
    let out_of = lines.first().map(|(_, line)| line.out_of).unwrap_or_default();
    format!(
        "{}<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"Every answer, step by step\">\n<table class=\"grid\">\n\
         <thead><tr><td></td>{names}<th scope=\"col\"><span>right</span></th></tr>\n\
         <tr><th scope=\"row\">Points of {out_of}</th>{points}<td></td></tr></thead>\n<tbody>\n{rows}</tbody>\n</table>\n</div>\n",
        legend(&lines)
    )
}

fn row(step: StepId, title: &str, lines: &[(usize, &ClassLine)]) -> String {
    let counts = lines.first().is_none_or(|(_, line)| line.counts[step]);
    let cell =
        |line: &ClassLine| if line.leaves_out(step) { String::new() } else { Sign::of(line.verdicts[step]).short() };
    let cells: String = lines.iter().map(|(_, line)| format!("<td>{}</td>", cell(line))).collect();
    let right = lines.iter().filter(|(_, line)| line.verdicts[step].earns()).count();
    let (class, note) = if counts { ("", "") } else { (" class=\"aside\"", " <small>does not count</small>") };
    format!("<tr{class}><th scope=\"row\">{}{note}</th>{cells}<td>{right}</td></tr>\n", text(title))
}

/// The signs that the grid shows, in words.
fn legend(lines: &[(usize, &ClassLine)]) -> String {
    let is_shown = |verdict: &Verdict| {
        let shows = |line: &ClassLine| {
            let mut all = line.verdicts.iter_enumerated();
            all.any(|(step, known)| known == verdict && !line.leaves_out(step))
        };
        lines.iter().any(|(_, line)| shows(line))
    };
    let shown = Verdict::ALL.into_iter().filter(is_shown);
    let items: String = shown.map(|verdict| format!("<li>{}</li>\n", Sign::of(verdict).html())).collect();
    let more = if is_shown(&Verdict::RightFromOwn) {
        "<p class=\"muted\">What follows from a student's own earlier figure is no new mistake: an early slip costs once.</p>\n"
    } else {
        ""
    };
    format!("<ul class=\"legend\">\n{items}</ul>\n{more}")
}

pub(super) const STYLE: &str = "\
.legend{list-style:none;display:flex;flex-wrap:wrap;gap:.1rem 1.4rem;margin:.3rem 0;padding:0}.legend .symbol{min-width:0}
.scroll{position:relative;overflow-x:auto;width:fit-content;max-width:100%;border:1px solid var(--line)}.scroll:focus-visible{outline:2px solid var(--accent)}
.grid{border-collapse:separate;border-spacing:0}
.grid th,.grid td{padding:.15rem .3rem;text-align:center;font-weight:normal;border-bottom:1px solid var(--line);min-width:2.1rem;white-space:nowrap}
.grid th[scope=row],.grid thead td:first-child{position:sticky;left:0;z-index:1;background:var(--page);text-align:left;min-width:8.5rem;max-width:min(16rem,42vw);border-right:1px solid var(--line);white-space:normal}
.grid thead th[scope=col]{vertical-align:bottom;height:9.5rem;overflow-wrap:normal}
.grid thead th[scope=col] span{writing-mode:vertical-rl;transform:rotate(180deg);white-space:nowrap;max-height:9.5rem;overflow:hidden}
.grid thead tr:last-child>*{font-weight:bold}
.grid td>span[aria-hidden]{font-weight:bold}.grid td>.right{font-weight:normal}
.grid td:has(>.wrong,>.outside,>.open){background:var(--panel)}
.grid tr:hover td{background:var(--panel)}.grid small{color:var(--muted)}.grid tbody tr:last-child>*{border-bottom:0}
@media print{.scroll{overflow:visible;border:0}.grid tr{break-inside:avoid}.grid thead{display:table-header-group}.grid th,.grid td{min-width:0;padding:.3mm .8mm}.grid thead th[scope=col]{height:auto}.grid th[scope=row]{position:static}}
";
