//! Text into HTML, so that nothing in it can become markup.

/// The text with the characters that mean something in HTML replaced, fit for content and for
/// attributes in double or single quotation marks. Control characters other than white space are
/// dropped: HTML has no way to write them.
///
/// ```
/// assert_eq!(foldmark::html::escape("<b> \"&\" 'x'"), "&lt;b&gt; &quot;&amp;&quot; &#39;x&#39;");
/// ```
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            letter if letter.is_control() && !letter.is_whitespace() => {}
            letter => out.push(letter),
        }
    }
    out
}

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
