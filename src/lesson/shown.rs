//! How much a lesson's page shows of what was found in answers.

use crate::class::Show;

/// How much a page shows of what was found in answers that someone typed into it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shown {
    /// Only what can't be read.
    Nothing,
    /// As marking shows it.
    As(Show),
}

impl Shown {
    /// From its name in `book.toml`.
    ///
    /// ```
    /// use foldmark::lesson::Shown;
    /// assert_eq!(Shown::named("none"), Some(Shown::Nothing));
    /// assert_eq!(Shown::named("coach").unwrap().name(), "coach");
    /// assert_eq!(Shown::named("all"), None);
    /// ```
    pub fn named(name: &str) -> Option<Shown> {
        if name == NOTHING {
            return Some(Shown::Nothing);
        }
        Show::ALL.into_iter().find(|(known, _)| *known == name).map(|(_, show)| Shown::As(show))
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Shown::Nothing => NOTHING,
            Shown::As(show) => {
                Show::ALL.into_iter().find(|(_, known)| *known == show).map_or(NOTHING, |(name, _)| name)
            }
        }
    }

    /// As marking shows it, if it shows anything.
    pub fn show(self) -> Option<Show> {
        match self {
            Shown::Nothing => None,
            Shown::As(show) => Some(show),
        }
    }
}

const NOTHING: &str = "none";
