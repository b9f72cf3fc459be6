//! What may be found about an answer.

use serde::Serialize;

/// What was found about one answer.
#[cfg_attr(feature = "cli", derive(schemars::JsonSchema))]
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// It agrees with the true value, or lies within the limits.
    Right,
    /// It follows from the student's own earlier answers: an earlier slip costs once.
    RightFromOwn,
    /// A choice beyond a limit.
    OutsideRule,
    /// It agrees with neither.
    NotRight,
    /// There is no answer, or it rests on a choice that is missing.
    Missing,
    /// It can't be read as a measurement.
    Unreadable,
}

impl Verdict {
    /// Every verdict, from the best.
    pub const ALL: [Verdict; 6] = [
        Verdict::Right,
        Verdict::RightFromOwn,
        Verdict::OutsideRule,
        Verdict::NotRight,
        Verdict::Missing,
        Verdict::Unreadable,
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Verdict::Right => "right",
            Verdict::RightFromOwn => "right from your own figure",
            Verdict::OutsideRule => "outside the rule",
            Verdict::NotRight => "not right",
            Verdict::Missing => "missing",
            Verdict::Unreadable => "unreadable",
        }
    }

    /// Whether it earns points.
    pub fn earns(self) -> bool {
        matches!(self, Verdict::Right | Verdict::RightFromOwn)
    }

    /// Whether an answer was read and found wrong: what an explanation is looked for.
    pub fn is_wrong(self) -> bool {
        matches!(self, Verdict::OutsideRule | Verdict::NotRight)
    }
}
