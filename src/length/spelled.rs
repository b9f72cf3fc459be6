//! Spellings of a length that leave no doubt, though hardly a program writes them: `12 and 1/2`, `12 and a half`, `12¹⁄₂`,
//! full-width digits, `㎝`, an inch mark too many, marks that nobody sees.

/// The text in a plain spelling; nothing, where it is in one.
pub(super) fn plainly(text: &str) -> Option<String> {
    let mut plain = String::with_capacity(text.len());
    let mut before = ' ';
    for c in text.chars() {
        match c {
            '０'..='９' => plain.push(digit(c, '０')),
            '₀'..='₉' => plain.push(digit(c, '₀')),
            '⁰' | '¹' | '²' | '³' | '⁴'..='⁹' => {
                // The numerator, apart from the whole number before it.
                if before.is_ascii_digit() {
                    plain.push(' ');
                }
                plain.push(raised(c));
            }
            '㎝' => plain.push_str("cm"),
            '㎜' => plain.push_str("mm"),
            '\u{200b}'..='\u{200d}' | '\u{2060}' | '\u{feff}' | '\u{ad}' => {}
            other => plain.push(other),
        }
        before = c;
    }
    // A raised number that is over no line is a power, and no length.
    if text.chars().any(|c| raised(c) != c) && !plain.contains(['/', '⁄', '∕']) {
        return None;
    }
    for (words, fraction) in
        [(" and a half", " 1/2"), (" and a quarter", " 1/4"), (" and three quarters", " 3/4"), ("\"\"", "\"")]
    {
        plain = plain.replace(words, fraction);
    }
    let plain = match plain.split_once(" and ") {
        Some((whole, fraction)) if fraction.starts_with(|c: char| c.is_ascii_digit()) && fraction.contains('/') => {
            format!("{whole} {fraction}")
        }
        Some(_) | None => plain,
    };
    (plain != text).then_some(plain)
}

fn digit(c: char, zero: char) -> char {
    char::from_u32(u32::from('0') + u32::from(c) - u32::from(zero)).unwrap_or(c)
}

fn raised(c: char) -> char {
    match c {
        '¹' => '1',
        '²' => '2',
        '³' => '3',
        '⁰' | '⁴'..='⁹' => digit(c, '⁰'),
        other => other,
    }
}
