//! What may be found about an answer.

use serde::{Deserialize, Serialize};

/// What was found about one answer, from the best to the worst.
#[cfg_attr(feature = "cli", derive(schemars::JsonSchema))]
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
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
    /// There is an answer, but it rests on a choice that is missing or can't be read.
    CantBeJudged,
    /// There is no answer.
    Missing,
    /// It can't be read as a measurement.
    Unreadable,
}

/// What a verdict comes to, where only that matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::check) enum Standing {
    /// It earns points.
    Right,
    /// It was read and found wrong.
    Wrong,
    /// It can't be judged.
    Unjudged,
    /// There is nothing to judge.
    Absent,
}

impl Verdict {
    /// Every verdict, in the order in which they are told.
    pub const ALL: [Verdict; 7] = [
        Verdict::Right,
        Verdict::RightFromOwn,
        Verdict::OutsideRule,
        Verdict::NotRight,
        Verdict::Missing,
        Verdict::Unreadable,
        Verdict::CantBeJudged,
    ];

    /// Its place in [`Verdict::ALL`].
    pub(in crate::check) const fn place(self) -> usize {
        match self {
            Verdict::Right => 0,
            Verdict::RightFromOwn => 1,
            Verdict::OutsideRule => 2,
            Verdict::NotRight => 3,
            Verdict::Missing => 4,
            Verdict::Unreadable => 5,
            Verdict::CantBeJudged => 6,
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Verdict::Right => "right",
            Verdict::RightFromOwn => "right from your own figure",
            Verdict::OutsideRule => "outside the rule",
            Verdict::NotRight => "not right",
            Verdict::CantBeJudged => "can't be judged",
            Verdict::Missing => "missing",
            Verdict::Unreadable => "unreadable",
        }
    }

    pub(in crate::check) const fn standing(self) -> Standing {
        match self {
            Verdict::Right | Verdict::RightFromOwn => Standing::Right,
            Verdict::OutsideRule | Verdict::NotRight => Standing::Wrong,
            Verdict::CantBeJudged => Standing::Unjudged,
            Verdict::Missing | Verdict::Unreadable => Standing::Absent,
        }
    }

    /// Whether it earns points.
    pub fn earns(self) -> bool {
        self.standing() == Standing::Right
    }

    /// Whether an answer was read and found wrong: what an explanation is looked for.
    pub fn is_wrong(self) -> bool {
        self.standing() == Standing::Wrong
    }
}

// Each verdict stands in its place.
const _: () = {
    let mut at = 0;
    while at < Verdict::ALL.len() {
        assert!(Verdict::ALL[at].place() == at);
        at += 1;
    }
};
