//! The drawing on a student's page: what is shown depends on how much the student may know.

use crate::check::result::{MarkedSheet, Verdict};
use crate::class::Show;
use crate::draft::broken_limit;
use crate::exercise::{Step, StepId, StepRule};
use crate::figure::{self, Differing, Figure};
use crate::formula::Base;
use crate::html::text;
use crate::length::{Length, Tolerance};

/// The drawing, and which letter stands at which step.
pub(super) struct Picture {
    figure: Figure,
    caption: String,
    pub letters: Vec<(String, StepId)>,
}

impl Picture {
    /// In full the student's draft over the expected one, or the finished draft where there is nothing to put right.
    /// Below that an outline from the exercise's own example: neither the expected draft nor the student's, since both
    /// could be measured.
    pub(super) fn of(sheet: &MarkedSheet, show: Show) -> Option<Picture> {
        match show {
            Show::Full if sheet.all_right() => Some(Picture::plain(sheet)),
            Show::Full => Picture::compared(sheet),
            Show::Coach | Show::Marks => Picture::lettered(sheet),
        }
    }

    fn plain(sheet: &MarkedSheet) -> Picture {
        let figure = figure::whole(&sheet.truth);
        let caption = format!("<p>{}.</p>\n", text(figure.title()));
        Picture { figure, caption, letters: Vec::new() }
    }

    fn compared(sheet: &MarkedSheet) -> Option<Picture> {
        let figure = figure::overlay(&sheet.truth, &sheet.own, &sheet.widths, &differing(sheet))?;
        let caption = format!(
            "<p>{} by the rules, {} yours where it differs.</p>\n",
            key("stroke=\"currentColor\" stroke-width=\"1.6\""),
            key("class=\"yours\" stroke-width=\"3.2\" stroke-dasharray=\"1 1.6\"")
        );
        Some(Picture { figure, caption, letters: Vec::new() })
    }

    fn lettered(sheet: &MarkedSheet) -> Option<Picture> {
        let exercise = sheet.truth.exercise;
        let again = |step: &StepId| sheet.counts(*step) && !sheet.verdict(*step).earns();
        let steps: Vec<_> = exercise.steps.keys().filter(again).collect();
        let blank = figure::blank(exercise, Some(&sheet.truth.givens), &steps)?;
        if blank.letters.is_empty() {
            return None;
        }
        let item = |(letter, step): &(String, StepId)| {
            format!("<li><b class=\"letter\">{letter}</b> {}</li>\n", text(&exercise.steps[*step].title))
        };
        let items: String = blank.letters.iter().map(item).collect();
        let caption = format!(
            "<p>What to look at again. The outline is not your draft, and not to scale.</p>\n<ul>\n{items}</ul>\n"
        );
        Some(Picture { figure: blank.figure, caption, letters: blank.letters })
    }

    pub(super) fn html(&self, id: &str) -> String {
        let (drawing, caption) = (self.figure.inline(id), &self.caption);
        format!("<figure class=\"foldmark\">\n{drawing}\n<figcaption>\n{caption}</figcaption>\n</figure>\n")
    }
}

/// A short piece of a line, for a legend.
fn key(stroke: &str) -> String {
    format!(
        "<svg class=\"key\" viewBox=\"0 0 40 8\" aria-hidden=\"true\" focusable=\"false\"><path d=\"M0 4L40 4\" {stroke}/></svg>"
    )
}

/// The measures that the student has otherwise than the rule: first those that are wrong, then what follows from them.
fn differing(sheet: &MarkedSheet) -> Vec<Differing> {
    let exercise = sheet.truth.exercise;
    let mut wrong = Vec::new();
    let mut following = Vec::new();
    for cell in &sheet.cells {
        let step = &exercise.steps[cell.step];
        let is_single = step.kind.base == Base::Length && step.kind.list.is_none();
        let (Some(yours), true) = (cell.answer, is_single) else { continue };
        let width = sheet.widths[cell.step];
        let rule = match &step.rule {
            StepRule::Within { .. } if cell.verdict == Verdict::OutsideRule => limit(sheet, step, yours, width),
            StepRule::Within { .. } => None,
            StepRule::Value(_) => {
                let expected = cell.expected.filter(|expected| (yours - expected).abs() > width);
                expected.map(|expected| (expected, sheet.truth.write_value(step.kind.base, expected)))
            }
        };
        let list = if cell.verdict.is_wrong() { &mut wrong } else { &mut following };
        list.extend(rule.map(|(rule, rule_text)| Differing { step: cell.step, yours, rule, rule_text }));
    }
    wrong.extend(following);
    wrong
}

/// The limit that a choice passes, and how it is written.
fn limit(sheet: &MarkedSheet, step: &Step, value: f64, width: f64) -> Option<(f64, String)> {
    let tolerance = Tolerance::of(Length::from_nm_f64(width)?);
    let bound = broken_limit(step, value, &sheet.own.measures, 0, tolerance)?;
    Some((bound.value, sheet.own.write_limit(&bound)))
}
