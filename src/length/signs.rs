//! The signs that people write lengths with, in the many forms that keyboards and type have for them.

/// A space, tab, no-break space, thin space or the like; not a line end.
pub(super) fn is_blank(c: char) -> bool {
    c == '\t' || (c.is_whitespace() && !c.is_control() && !matches!(c, '\u{2028}' | '\u{2029}'))
}

/// A hyphen or en dash, as in `12-1/2`. The minus sign is not one.
pub(super) fn is_hyphen(c: char) -> bool {
    matches!(c, '-' | '\u{2010}' | '\u{2011}' | '–')
}

/// A minus sign or a keyboard's stand-in for one.
pub(super) fn is_minus(c: char) -> bool {
    matches!(c, '-' | '−')
}

/// The line of a fraction: `/`, fraction slash or division slash.
pub(super) fn is_slash(c: char) -> bool {
    matches!(c, '/' | '\u{2044}' | '\u{2215}')
}

pub(super) fn is_point(c: char) -> bool {
    matches!(c, '.' | ',')
}

pub(super) fn vulgar(c: char) -> Option<(u128, u128)> {
    Some(match c {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    })
}
