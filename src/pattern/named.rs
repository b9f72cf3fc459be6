//! What is written on every piece beside what the draft itself says.

use super::fault::PatternFault;
use crate::text::quoted;

/// Whose the pattern is, and when it was made, where that is given.
#[derive(Debug, Clone, Default)]
pub struct Named {
    /// Whose.
    pub maker: Option<String>,
    /// The date, as it is to be written.
    pub date: Option<String>,
}

impl Named {
    /// Both as they were typed: a name that fits on a piece, and a day.
    ///
    /// ```
    /// use foldmark::pattern::Named;
    /// assert!(Named::read(Some("Tansy"), Some("2026-03-05")).is_ok());
    /// assert!(Named::read(None, Some("2026-02-30")).is_err());
    /// ```
    ///
    /// # Errors
    /// A name longer than sixty letters, or what is no day.
    pub fn read(maker: Option<&str>, date: Option<&str>) -> Result<Named, PatternFault> {
        let maker = maker.map(str::trim).filter(|maker| !maker.is_empty());
        if let Some(long) = maker.filter(|maker| maker.chars().count() > LONGEST) {
            return Err(PatternFault(format!(
                "a name of {} letters doesn't fit on a piece; write at most {LONGEST}",
                long.chars().count()
            )));
        }
        let date = date.map(str::trim);
        if let Some(date) = date.filter(|date| !is_day(date)) {
            return Err(PatternFault(format!(
                "{} is no day; write year, month and day with hyphens, such as 2026-03-05",
                quoted(date)
            )));
        }
        Ok(Named { maker: maker.map(str::to_owned), date: date.map(str::to_owned) })
    }

    /// Both in a line; `None`, if neither is given.
    pub(super) fn line(&self) -> Option<String> {
        let both: Vec<&str> = [&self.maker, &self.date].into_iter().flatten().map(String::as_str).collect();
        (!both.is_empty()).then(|| both.join(" · "))
    }
}

/// So many letters of a name at the most.
const LONGEST: usize = 60;

/// Whether a text is a day of the Gregorian calendar as ISO 8601 writes it.
fn is_day(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts[..] else { return false };
    if [year.len(), month.len(), day.len()] != [4, 2, 2] || !text.bytes().all(|b| b.is_ascii_digit() || b == b'-') {
        return false;
    }
    let number = |part: &str| part.parse::<u32>().unwrap_or(0);
    let (year, month, day) = (number(year), number(month), number(day));
    let days = match month {
        4 | 6 | 9 | 11 => 30,
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        1..=12 => 31,
        _ => 0,
    };
    (1..=days).contains(&day)
}
