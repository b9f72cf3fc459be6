//! Text from a stranger on one line: shortened, and with nothing in it that could move a terminal's cursor,
//! reorder what stands around it, or hide.

use std::borrow::Cow;

/// Whether a character is invisible, or changes how those around it are shown.
pub(crate) fn is_hidden(letter: char) -> bool {
    letter.is_control()
        || matches!(letter,
            '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
            | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

/// The text with every hidden character spelled out, and shortened to `most` characters.
pub fn harmless(text: &str, most: usize) -> Cow<'_, str> {
    // Nearly every text is short and plain.
    if text.len() <= most && text.bytes().all(|byte| (b' '..=b'~').contains(&byte)) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::new();
    for (count, letter) in text.chars().enumerate() {
        if count == most {
            shown.push('…');
            break;
        }
        if is_hidden(letter) {
            shown.extend(letter.escape_unicode());
        } else {
            shown.push(letter);
        }
    }
    Cow::Owned(shown)
}

/// The same in quotation marks and short, for an error sentence.
///
/// ```
/// assert_eq!(foldmark::text::quoted("a\u{1b}[2J"), "\"a\\u{1b}[2J\"");
/// ```
pub fn quoted(text: &str) -> String {
    format!("\"{}\"", harmless(text, 40))
}
