//! How a verdict is shown: a symbol and words, and never colour alone.

use super::super::mark::MarkedCell;
use super::super::verdict::Verdict;

/// A verdict as a page shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Sign {
    pub symbol: &'static str,
    pub words: &'static str,
    /// The class that gives its colour.
    pub class: &'static str,
}

/// An answer that is there, but rests on a choice that is missing or can't be read.
pub(super) const UNJUDGED: Sign = Sign { symbol: "○", words: "can't be judged", class: "open" };

impl Sign {
    pub(super) fn of(verdict: Verdict) -> Sign {
        let (symbol, class) = match verdict {
            Verdict::Right => ("✓", "right"),
            Verdict::RightFromOwn => ("(✓)", "own"),
            Verdict::OutsideRule => ("!", "outside"),
            Verdict::NotRight => ("✗", "wrong"),
            Verdict::Missing => ("–", "open"),
            Verdict::Unreadable => ("?", "open"),
        };
        Sign { symbol, words: verdict.words(), class }
    }

    pub(super) fn of_cell(cell: &MarkedCell) -> Sign {
        // "Missing" beside an answer would read as a mistake of the marker's.
        if cell.verdict == Verdict::Missing && cell.answer.is_some() { UNJUDGED } else { Sign::of(cell.verdict) }
    }

    /// Every sign there is, from the best.
    pub(super) fn all() -> impl Iterator<Item = Sign> {
        Verdict::ALL.into_iter().map(Sign::of).chain([UNJUDGED])
    }

    /// Symbol and words.
    pub(super) fn html(self) -> String {
        let Sign { symbol, words, class } = self;
        format!(
            "<span class=\"sign {class}\"><span class=\"symbol\" aria-hidden=\"true\">{symbol}</span> {words}</span>"
        )
    }

    /// The symbol, with the words for those who can't see it.
    pub(super) fn short(self) -> String {
        let Sign { symbol, words, class } = self;
        format!("<span class=\"{class}\" aria-hidden=\"true\">{symbol}</span><span class=\"hidden\">{words}</span>")
    }
}
