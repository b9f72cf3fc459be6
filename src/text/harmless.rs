//! Text from a stranger on one line: shortened, and with nothing in it that could move a terminal's cursor,
//! reorder what stands around it, or hide.

use std::borrow::Cow;

/// Whether a character is invisible, or changes how those around it are shown, wherever it stands: what Unicode calls
/// default ignorable (`DerivedCoreProperties.txt` of version 16) but for what [`may_belong`], what orders lines, and the
/// blank among the letters of Braille.
pub(crate) fn is_hidden(letter: char) -> bool {
    letter.is_control()
        || !may_belong(letter)
            && matches!(letter,
                '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}' | '\u{180e}'
                | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{2800}' | '\u{3164}'
                | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}'
                | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}')
}

const NON_JOINER: char = '\u{200c}';
const JOINER: char = '\u{200d}';

/// Whether a character is invisible, but may be a part of how a word or a picture is written: a joiner, or what chooses
/// one of several shapes of the letter before it.
fn may_belong(letter: char) -> bool {
    matches!(letter, NON_JOINER | JOINER) || is_shape(letter)
}

/// Whether a character shows nothing by itself, whether it belongs where it stands or not.
pub(crate) fn is_invisible(letter: char) -> bool {
    may_belong(letter) || is_hidden(letter)
}

fn is_shape(letter: char) -> bool {
    matches!(letter, '\u{180b}'..='\u{180d}' | '\u{180f}' | '\u{fe00}'..='\u{fe0f}' | '\u{e0100}'..='\u{e01ef}')
}

/// Letters and marks of scripts that join their letters: Arabic, Syriac, N'Ko, Mandaic, those of India and their
/// neighbours, Mongolian.
fn joins(letter: char) -> bool {
    matches!(letter,
        '\u{620}'..='\u{65f}' | '\u{66e}'..='\u{6d3}' | '\u{6d5}'..='\u{7bf}' | '\u{7ca}'..='\u{7f5}'
        | '\u{840}'..='\u{85b}' | '\u{860}'..='\u{963}' | '\u{971}'..='\u{de5}' | '\u{1000}'..='\u{109f}'
        | '\u{1780}'..='\u{17d3}' | '\u{1820}'..='\u{18aa}' | '\u{1b00}'..='\u{1b4c}' | '\u{a840}'..='\u{a871}'
        | '\u{a8e0}'..='\u{a8ff}' | '\u{a980}'..='\u{a9c0}' | '\u{fb50}'..='\u{fdfb}' | '\u{fe70}'..='\u{fefc}'
        | '\u{11000}'..='\u{1145f}')
}

/// The sign that takes a letter's vowel away (canonical combining class 9), of the scripts in which names are written that
/// need a joiner after it.
fn is_virama(letter: char) -> bool {
    matches!(
        letter,
        '\u{94d}'
            | '\u{9cd}'
            | '\u{a4d}'
            | '\u{acd}'
            | '\u{b4d}'
            | '\u{bcd}'
            | '\u{c4d}'
            | '\u{ccd}'
            | '\u{d3b}'
            | '\u{d3c}'
            | '\u{d4d}'
            | '\u{dca}'
            | '\u{1039}'
            | '\u{103a}'
            | '\u{17d2}'
            | '\u{1b44}'
            | '\u{a9c0}'
    )
}

/// Pictures that are joined to one.
fn is_picture(letter: char) -> bool {
    matches!(letter, '\u{2190}'..='\u{2bff}' | '\u{1f000}'..='\u{1faff}')
}

/// Whether a text has nothing in it but what every keyboard has: nearly every one.
fn is_plain(text: &str) -> bool {
    text.bytes().all(|byte| (b' '..=b'~').contains(&byte))
}

/// The first character that hides something, and where it stands.
///
/// A joiner belongs after a virama or between two letters of a script that joins its letters (after RFC 5892, appendices A.1
/// and A.2), or between two pictures (UTS #51); a choice of shape after something visible that is no plain letter.
fn first_hidden(text: &str) -> Option<(usize, char)> {
    if is_plain(text) {
        return None;
    }
    let (mut before, mut before_shape) = (' ', ' ');
    for (at, letter) in text.char_indices() {
        let belongs = match letter {
            NON_JOINER | JOINER => {
                let next = text[at + letter.len_utf8()..].chars().next().unwrap_or(' ');
                is_virama(before)
                    || joins(before) && joins(next)
                    || letter == JOINER && is_picture(before_shape) && is_picture(next)
            }
            _ if is_shape(letter) => !before.is_ascii_alphabetic() && !before.is_whitespace() && !may_belong(before),
            _ => !is_hidden(letter),
        };
        if !belongs {
            return Some((at, letter));
        }
        before = letter;
        if !is_shape(letter) {
            before_shape = letter;
        }
    }
    None
}

/// Every character of a text that is invisible without being a part of how a word is written, or changes how those around
/// it are shown.
pub(crate) fn hidden_in(text: &str) -> impl Iterator<Item = char> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let (at, letter) = first_hidden(rest)?;
        rest = &rest[at + letter.len_utf8()..];
        Some(letter)
    })
}

/// The text with every hidden character spelled out, and shortened to `most` characters.
pub fn harmless(text: &str, most: usize) -> Cow<'_, str> {
    if text.len() <= most && is_plain(text) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::new();
    let end = text.char_indices().nth(most).map_or(text.len(), |(at, _)| at);
    let mut rest = &text[..end];
    while let Some((at, letter)) = first_hidden(rest) {
        shown.push_str(&rest[..at]);
        shown.extend(letter.escape_unicode());
        rest = &rest[at + letter.len_utf8()..];
    }
    shown.push_str(rest);
    if end < text.len() {
        shown.push('…');
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

#[cfg(test)]
mod tests {
    use super::*;
    use unicode_normalization::char::canonical_combining_class;

    /// Persian "Mi-rood" and Sinhala "Shri" as RFC 5892 and the Unicode standard (chapters 9.2 and 13.2) write them; a
    /// Bengali ya after ra; Malayalam with an old final consonant; pictures as in emoji-zwj-sequences.txt; a keycap; a
    /// kanji with its shape.
    #[test]
    fn joiners_stay_where_they_belong() {
        for name in [
            "می\u{200c}رود",
            "ශ\u{dca}\u{200d}රී",
            "র\u{200d}\u{9cd}যাম",
            "അവന\u{d4d}\u{200d}",
            "👩\u{200d}🌾",
            "🏳\u{fe0f}\u{200d}🌈",
            "👩🏽\u{200d}🌾",
            "1\u{fe0f}\u{20e3}",
            "葛\u{e0100}城",
        ] {
            assert_eq!(hidden_in(name).next(), None, "{name}");
            assert_eq!(harmless(name, 60), name);
        }
        for (name, hidden) in [
            ("Tan\u{200d}sy", '\u{200d}'),
            ("\u{200c}می", '\u{200c}'),
            ("می\u{200c}", '\u{200c}'),
            ("می\u{200c}\u{200c}رود", '\u{200c}'),
            ("👩\u{200d}", '\u{200d}'),
            ("👩\u{200c}🌾", '\u{200c}'),
            ("Tansy\u{fe0f}", '\u{fe0f}'),
            ("\u{3164}", '\u{3164}'),
            ("Tansy\u{115f}", '\u{115f}'),
            ("\u{180e}Tansy", '\u{180e}'),
            ("Ta\u{34f}nsy", '\u{34f}'),
            ("\u{2800}", '\u{2800}'),
            ("Sor\u{202e}rel", '\u{202e}'),
        ] {
            assert_eq!(hidden_in(name).next(), Some(hidden), "{name:?}");
            assert!(harmless(name, 60).contains(&hidden.escape_unicode().to_string()), "{name:?}");
        }
        assert_eq!(harmless("two\tcells", 60), "two\\u{9}cells");
        assert_eq!(harmless("abcdef", 3), "abc…");
    }

    #[test]
    fn a_virama_is_one() {
        for letter in ('\u{80}'..='\u{10ffff}').filter(|letter| is_virama(*letter)) {
            assert_eq!(canonical_combining_class(letter), 9, "{letter:?}");
        }
        // All of those scripts of India that have one.
        let of_india = ('\u{900}'..='\u{dff}').filter(|letter| canonical_combining_class(*letter) == 9);
        assert!(of_india.clone().all(is_virama) && of_india.count() == 12);
    }
}
