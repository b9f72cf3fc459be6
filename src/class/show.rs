//! How much a student is shown of what was found.

use serde::Serialize;

/// How much a report shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Show {
    /// Verdicts only.
    Marks,
    /// Nudges, but no answers.
    Coach,
    /// The arithmetic with the numbers put in.
    #[default]
    Full,
}

impl Show {
    /// Every level with the name it has on the command line and in `class.toml`.
    pub const ALL: [(&'static str, Show); 3] = [("marks", Show::Marks), ("coach", Show::Coach), ("full", Show::Full)];
}
