//! Lengths in running text, which no line end may part.

/// A sentence in which every length keeps together: no line ends between a whole number, its fraction and
/// its unit, nor after "≈".
///
/// ```
/// let kept = foldmark::html::keep_lengths("at most 2 1/2 in wide");
/// assert_eq!(kept, "at most 2\u{a0}1/2\u{a0}in wide");
/// ```
pub fn keep_lengths(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before: Option<&str> = None;
    for word in text.split(' ') {
        if let Some(before) = before {
            let bare = word.trim_end_matches([',', '.', ';', ':', ')']);
            let is_number = |word: &str| word.starts_with(|c: char| c.is_ascii_digit());
            let goes_on = bare.contains('/') && is_number(bare) || crate::length::Unit::read(bare).is_some();
            let number = before.trim_start_matches(['(', '−', '-']);
            let is_kept = is_number(number) && goes_on && !before.ends_with([',', '.', ';']) || number == "≈";
            out.push(if is_kept { '\u{a0}' } else { ' ' });
        }
        out.push_str(word);
        before = Some(word);
    }
    out
}

/// A length as it is typeset: number and unit never part at the end of a line.
pub fn keep_together(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}
