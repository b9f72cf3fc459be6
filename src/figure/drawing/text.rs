//! Texts in a drawing.

use super::role::TextRole;
use crate::geometry::Point;

/// Where a text stands against its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// It has its middle there.
    Middle,
    /// It ends there.
    End,
}

/// A text of one or more lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// What it is.
    pub role: TextRole,
    /// Its lines, from the first.
    pub lines: Vec<String>,
    /// The middle of the first line's height, in units.
    pub at: Point,
    /// Where it stands against this point.
    pub anchor: Anchor,
    /// Whether it reads from bottom to top.
    pub is_upright: bool,
}

impl Text {
    /// A level text.
    pub(crate) fn level(role: TextRole, lines: Vec<String>, at: Point, anchor: Anchor) -> Text {
        Text { role, lines, at, anchor, is_upright: false }
    }
}

/// A text as one line that any XML reader takes: no line breaks, no control characters.
pub(crate) fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\u{fffe}' | '\u{ffff}' => {}
            letter if letter.is_whitespace() || letter.is_control() => {
                if !plain.ends_with(' ') && !plain.is_empty() {
                    plain.push(' ');
                }
            }
            letter => plain.push(letter),
        }
    }
    plain.truncate(plain.trim_end().len());
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_xml_refuses_is_left_out() {
        assert_eq!(plain(" a\n\n\u{0}b\u{ffff} "), "a b");
    }
}
