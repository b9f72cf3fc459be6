//! How wide a text is, estimated so that no usual sans-serif font comes out wider.

use super::drawing::{Anchor, Area, Text};
use super::style::{self, LETTER};

/// A bold letter against a plain one.
const BOLD: f64 = 1.15;

/// The width of a letter in ems: that of the widest usual fonts, DejaVu Sans and Verdana.
fn ems(letter: char) -> f64 {
    match letter {
        'i' | 'l' | '\'' => 0.29,
        'j' | 'I' | 'J' => 0.45,
        ' ' | '\u{a0}' | '.' | ',' | '·' | '!' | '|' | ':' | ';' => 0.37,
        '/' | 'f' | 't' | '-' | '(' | ')' | '[' | ']' => 0.46,
        'r' | 's' | 'z' | 'c' | '"' | '“' | '”' | '‘' | '’' => 0.56,
        'w' | '≈' | '×' | '÷' | '+' | '=' | '<' | '>' | '~' => 0.84,
        'm' | 'W' | '½' | '¼' | '¾' | '⅛' | '…' | '—' | '%' | '@' => 1.0,
        'a'..='z' | '0'..='9' | '–' => 0.64,
        'L' | 'T' | 'F' | 'E' | 'P' | 'S' => 0.69,
        'M' => 0.87,
        'A'..='Z' => 0.79,
        'ß'..='ÿ' => 0.64,
        '\u{c0}'..='\u{24f}' => 0.8,
        _ => 1.05,
    }
}

/// The width of a text in units.
pub(crate) fn width(text: &str, is_bold: bool) -> f64 {
    let ems: f64 = text.chars().map(ems).sum();
    ems * LETTER * if is_bold { BOLD } else { 1.0 }
}

/// The space that a text takes, at most.
pub(crate) fn space(text: &Text) -> Area {
    let is_bold = style::is_bold(text.role);
    let width = text.lines.iter().map(|line| width(line, is_bold)).fold(0.0, f64::max);
    let more = text.lines.len().saturating_sub(1) as f64 * style::LEADING;
    let left = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => width / 2.0,
        Anchor::End => width,
    };
    let (x, y, half) = (text.at.x, text.at.y, style::HALF_LINE);
    if text.is_upright {
        return Area { left: x - half, right: x + half + more, top: y - width + left, bottom: y + left };
    }
    Area { left: x - left, right: x - left + width, top: y - half, bottom: y + half + more }
}

/// A line taken apart at its fractions: what stands before each, its numerator, and its denominator; then the rest.
///
/// A fraction is two whole numbers with a stroke between them, and nothing of a word or of another number beside it.
pub(crate) fn fractions(line: &str) -> (Vec<[&str; 3]>, &str) {
    let (mut found, mut rest, mut from) = (Vec::new(), line, 0);
    while let Some(stroke) = rest[from..].find('/').map(|at| from + at) {
        let digits_before = rest[..stroke].bytes().rev().take_while(u8::is_ascii_digit).count();
        let digits_after = rest[stroke + 1..].bytes().take_while(u8::is_ascii_digit).count();
        let (start, end) = (stroke - digits_before, stroke + 1 + digits_after);
        let is_free =
            |letter: Option<char>| letter.is_none_or(|letter| !letter.is_alphanumeric() && !"/.,".contains(letter));
        if digits_before == 0 || digits_after == 0 || !is_free(rest[..start].chars().next_back()) {
            from = stroke + 1;
        } else if rest[end..].starts_with(|letter: char| letter.is_alphanumeric() || letter == '/') {
            from = end;
        } else {
            found.push([&rest[..start], &rest[start..stroke], &rest[stroke + 1..end]]);
            (rest, from) = (&rest[end..], 0);
        }
    }
    (found, rest)
}

/// A text broken into lines no wider than `most`, as far as its words allow.
pub(crate) fn wrap(text: &str, most: f64, is_bold: bool) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        match lines.last_mut() {
            Some(line) if width(line, is_bold) + width(word, is_bold) + width(" ", is_bold) <= most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => broken(word, most, is_bold, &mut lines),
        }
    }
    lines
}

/// A word on a line of its own, or on several if it is very long.
fn broken(word: &str, most: f64, is_bold: bool, lines: &mut Vec<String>) {
    let mut line = String::new();
    for letter in word.chars() {
        line.push(letter);
        if width(&line, is_bold) > most && line.chars().count() > 1 {
            line.pop();
            lines.push(std::mem::take(&mut line));
            line.push(letter);
        }
    }
    lines.push(line);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_name_is_broken_at_its_words() {
        let lines = wrap("pocket, fold at its top", 84.0, false);
        assert_eq!(lines, ["pocket, fold", "at its top"]);
        assert!(lines.iter().all(|line| width(line, false) <= 84.0));
        let long = wrap("Donaudampfschifffahrtsgesellschaft", 84.0, true);
        assert!(long.len() > 2 && long.iter().all(|line| width(line, true) <= 84.0), "{long:?}");
        assert_eq!(wrap("  ", 84.0, false), Vec::<String>::new());
    }

    #[test]
    fn fractions_are_told_from_other_strokes() {
        assert_eq!(fractions("flap 5 3/4 in"), (vec![["flap 5 ", "3", "4"]], " in"));
        assert_eq!(fractions("(1/2 to 15/16)"), (vec![["(", "1", "2"], [" to ", "15", "16"]], ")"));
        for whole in ["a/b", "front/back 3", "1/2/3", "x1/2", "1/2x", "0.1/2", "/", "3/", ""] {
            assert_eq!(fractions(whole), (vec![], whole));
        }
    }
}
