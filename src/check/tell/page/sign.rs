//! How a verdict is shown: a symbol and words, and never colour alone.

use crate::check::result::Verdict;
use serde::Serialize;

/// A verdict as a page shows it.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Sign {
    /// What stands before the words, and says the same.
    pub symbol: &'static str,
    /// The verdict in words.
    pub words: &'static str,
    /// The class that gives its colour.
    pub class: &'static str,
}

impl Sign {
    /// That of a verdict.
    pub fn of(verdict: Verdict) -> Sign {
        let (symbol, class) = match verdict {
            Verdict::Right => ("✓", "right"),
            Verdict::RightFromOwn => ("(✓)", "own"),
            Verdict::OutsideRule => ("!", "outside"),
            Verdict::NotRight => ("✗", "wrong"),
            Verdict::CantBeJudged => ("○", "open"),
            Verdict::Missing => ("–", "open"),
            Verdict::Unreadable => ("?", "open"),
        };
        Sign { symbol, words: verdict.words(), class }
    }

    /// Symbol and words.
    pub(super) fn html(self) -> String {
        let Sign { symbol, words, class } = self;
        format!(
            "<span class=\"sign {class}\"><span class=\"symbol\" aria-hidden=\"true\">{symbol}</span> {words}</span>"
        )
    }

    /// The symbol, with the words for those who can't see it.
    pub(crate) fn short(self) -> String {
        let Sign { symbol, words, class } = self;
        format!("<span class=\"{class}\" aria-hidden=\"true\">{symbol}</span><span class=\"hidden\">{words}</span>")
    }
}
