//! What a class got wrong, most common first, with a bar for how many.

use crate::check::tell::class::{ClassTally, ExerciseTally, Mistake};
use crate::html::{linked, shortened, text};

/// So many are shown at least before the rest is folded away, and all that two students or more have made.
const SHOWN: usize = 8;
/// Longest name in a list, in letters.
const NAME: usize = 30;

pub(super) fn html(class: &ClassTally, tally: &ExerciseTally, links: &dyn Fn(usize) -> Option<String>) -> String {
    let common = tally.most_common();
    if common.is_empty() {
        return "<p>Nothing went wrong.</p>\n".to_owned();
    }
    let often = common.iter().filter(|mistake| mistake.lines.len() > 1 && !mistake.says.is_empty()).count();
    let (shown, rest) = common.split_at(often.max(SHOWN).min(common.len()));
    let list = |mistakes: &[&Mistake]| {
        let items: String = mistakes.iter().map(|mistake| item(class, tally, mistake, links)).collect();
        format!("<ol class=\"mistakes\">\n{items}</ol>\n")
    };
    let rest = match rest.len() {
        0 => String::new(),
        count => format!("<details>\n<summary>{count} more</summary>\n{}</details>\n", list(rest)),
    };
    list(shown) + &rest
}

fn item(
    class: &ClassTally,
    tally: &ExerciseTally,
    mistake: &Mistake,
    links: &dyn Fn(usize) -> Option<String>,
) -> String {
    let (count, sheets) = (mistake.lines.len(), tally.sheets);
    let titles: Vec<String> = mistake.steps.iter().map(|step| text(&tally.steps[*step].title)).collect();
    let says = match (mistake.says.as_str(), mistake.is_beyond) {
        ("", true) => "It is beyond its limits.".to_owned(),
        ("", false) => "What went wrong is not known.".to_owned(),
        (says, _) => text(says),
    };
    let who: Vec<String> = mistake
        .lines
        .iter()
        .map(|&line| linked(shortened(&class.lines[line].name(), NAME), links(line).as_deref()))
        .collect();
    let part = count as f64 / sheets.max(1) as f64 * 100.0;
    format!(
        "<li><span class=\"bar\" aria-hidden=\"true\"><span style=\"width:{part:.0}%\"></span></span>\
         <div><p><strong>{count} of {sheets}:</strong> {says}</p>\n<p class=\"muted\">{} · {}</p></div></li>\n",
        titles.join(", "),
        who.join(", ")
    )
}

pub(super) const STYLE: &str = "\
.mistakes{list-style:none;margin:0;padding:0}.mistakes li{display:grid;grid-template-columns:7rem minmax(0,1fr);gap:0 1rem;padding:.35rem 0;break-inside:avoid}
.mistakes p{margin:0}.mistakes .muted{font-size:.9rem}
.bar{display:block;height:1.1rem;margin-top:.15rem;border:1px solid var(--line)}.bar span{display:block;height:100%;background:var(--accent)}
summary{padding:.3rem 0;color:var(--accent);cursor:pointer}
@media (max-width:34rem){.mistakes li{grid-template-columns:minmax(0,1fr)}.bar{height:.5rem;max-width:12rem}}
@media print{.bar span{print-color-adjust:exact;-webkit-print-color-adjust:exact}summary{display:none}details::details-content{content-visibility:visible;block-size:auto}}
";
