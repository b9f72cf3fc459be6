//! What someone may have meant who wrote something that can't be read, or that is read as what hardly anyone means.

use super::dated::date;
use super::exact::Length;
use super::unit::Unit;

/// Longer texts are not looked at: no slip of the pen makes a length of them.
const MOST_CHARACTERS: usize = 40;

/// The length that a text was probably meant to be, for asking "did you mean …?": of a text that can't be read, and of a
/// fraction that swallowed the whole number before it, `143/4`. Nothing, where nothing suggests itself.
///
/// ```
/// use foldmark::length::{Length, Unit, likely};
/// let meant = |text| likely(text, Unit::Inch).map(|length| length.to_string());
/// assert_eq!(meant("143/4").as_deref(), Some("14 3/4 in"));
/// assert_eq!(meant("l2 l/2").as_deref(), Some("12 1/2 in"));
/// assert_eq!(meant("7 3/4"), None);
/// assert_eq!(meant("tomorrow"), None);
/// ```
pub fn likely(text: &str, bare: Unit) -> Option<Length> {
    let text = text.trim();
    if text.chars().nth(MOST_CHARACTERS).is_some() {
        return None;
    }
    if let Ok(read) = Length::read(text, Some(bare)) {
        return swallowed(text, bare).filter(|meant| *meant != read);
    }
    if let Some(fraction) = date(text) {
        return Length::read(&fraction?, Some(bare)).ok();
    }
    let mended = mended(text);
    let read = |text: &str| Length::read(text, Some(bare)).ok();
    swallowed(&mended, bare)
        .or_else(|| turned(&mended).and_then(|text| read(&text)))
        .or_else(|| read(&mended))
        .or_else(|| split(&mended).and_then(|text| read(&text)))
        .or_else(|| nearest_unit(&mended).and_then(|text| read(&text)))
}

/// `143/4` with the whole number apart from its fraction: the last digits that make one less than 1.
fn swallowed(text: &str, bare: Unit) -> Option<Length> {
    let (top, bottom) = text.split_once('/')?;
    if !top.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let under: u32 = bottom.chars().take_while(char::is_ascii_digit).collect::<String>().parse().ok()?;
    (1..top.len()).find_map(|at| {
        let (whole, top) = top.split_at(at);
        let is_fraction = !top.starts_with('0') && top.parse::<u32>().is_ok_and(|top| top < under);
        if is_fraction { Length::read(&format!("{whole} {top}/{bottom}"), Some(bare)).ok() } else { None }
    })
}

/// `13 8/7` with its fraction the right way up.
fn turned(text: &str) -> Option<String> {
    let (whole, fraction) = text.split_once(' ')?;
    let (top, rest) = fraction.split_once('/')?;
    let under: String = rest.chars().take_while(char::is_ascii_digit).collect();
    let is_upside_down =
        matches!(top, "2" | "4" | "8" | "16" | "32" | "64") && under.parse::<u32>().ok()? < top.parse().ok()?;
    (is_upside_down && under != "0").then(|| format!("{whole} {under}/{top}{}", &rest[under.len()..]))
}

/// The text with what is often written in place of something else put right.
fn mended(text: &str) -> String {
    let words = [
        (" and ", " "),
        (" & ", " "),
        (" + ", " "),
        ("a half", "1/2"),
        ("half", "1/2"),
        ("a quarter", "1/4"),
        ("quarter", "1/4"),
    ];
    let mut plain: String = text.chars().map(one_letter).collect();
    for (word, meant) in words {
        plain = plain.replace(word, meant);
    }
    let letters: Vec<char> = plain.chars().collect();
    let mut mended = String::with_capacity(plain.len());
    for (at, &letter) in letters.iter().enumerate() {
        let before = mended.chars().next_back();
        let is_by_digit = |known: Option<&char>| known.is_some_and(|known| known.is_ascii_digit() || *known == '/');
        let stands_by_digit = is_by_digit(before.as_ref()) || is_by_digit(letters.get(at + 1));
        match letter {
            'o' | 'O' if stands_by_digit => mended.push('0'),
            'l' | 'I' | '|' if stands_by_digit => mended.push('1'),
            // The same mark twice, and a slash with blanks around it.
            '"' | '.' | '\'' | '/' if before == Some(letter) => {}
            ' ' if before == Some('/') || letters[at + 1..].iter().find(|next| **next != ' ') == Some(&'/') => {}
            // Between a whole number and its fraction.
            '.' | ',' | '-' | ':' if is_before_fraction(&letters[at + 1..]) => mended.push(' '),
            other => mended.push(other),
        }
    }
    let words: Vec<&str> = mended.split_whitespace().collect();
    words.join(" ").trim_end_matches(['.', ',', ';', '-', '/', '!', '?']).to_owned()
}

fn one_letter(letter: char) -> char {
    match letter {
        '０'..='９' => char::from_u32(u32::from('0') + u32::from(letter) - u32::from('０')).unwrap_or(letter),
        '\\' | '⁄' | '∕' | '÷' => '/',
        ';' => ',',
        '“' | '”' | '″' | '„' => '"',
        other => other.to_ascii_lowercase(),
    }
}

fn is_before_fraction(rest: &[char]) -> bool {
    let digits = rest.iter().skip_while(|letter| **letter == ' ').take_while(|letter| letter.is_ascii_digit()).count();
    let blanks = rest.iter().take_while(|letter| **letter == ' ').count();
    digits > 0 && rest.get(blanks + digits) == Some(&'/')
}

/// `7 34` with the fraction's line put in.
fn split(text: &str) -> Option<String> {
    let (whole, rest) = text.split_once(' ')?;
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    let after = &rest[digits.len()..];
    let (top, bottom) = digits.split_at_checked(1)?;
    let is_bottom = matches!(bottom, "2" | "4" | "8" | "16" | "32" | "64");
    (is_bottom && whole.bytes().all(|byte| byte.is_ascii_digit())).then(|| format!("{whole} {top}/{bottom}{after}"))
}

/// The text up to its last word, which is no unit: with the unit that is but one letter off, or with none.
fn nearest_unit(text: &str) -> Option<String> {
    let start = text.rfind(|letter: char| !letter.is_alphabetic()).map_or(0, |at| at + 1);
    let (number, word) = text.split_at_checked(start)?;
    let units = ["in", "inch", "inches", "ft", "yd", "mm", "cm", "m"];
    let is_near = |unit: &&str| strsim::osa_distance(word, unit) == 1;
    // The first letter is rarely the wrong one.
    let near = units.into_iter().filter(is_near).max_by_key(|unit| unit.chars().next() == word.chars().next());
    (!word.is_empty()).then(|| format!("{} {}", number.trim_end(), near.unwrap_or_default()).trim_end().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_meant() {
        let inches = [
            ("73/4", "7 3/4 in"),
            ("1415/16", "14 15/16 in"),
            ("7.3/4", "7 3/4 in"),
            ("7-3-4", ""),
            ("13 8/7", "13 7/8 in"),
            ("7, 3/4", "7 3/4 in"),
            ("7 3\\4", "7 3/4 in"),
            ("7 3 / 4", "7 3/4 in"),
            ("7 34", "7 3/4 in"),
            ("1O", "10 in"),
            ("7 3/4 im", "7 3/4 in"),
            ("7 3/4 roughly", "7 3/4 in"),
            ("5 3/8/", "5 3/8 in"),
            ("31..8 cm", "31.8 cm"),
            ("31;8 cm", "31.8 cm"),
            ("31.8 cn", "31.8 cm"),
            ("3/4", ""),
            ("12 1/2", ""),
            ("1,250 mm", ""),
            ("", ""),
            ("-", ""),
            ("half", "1/2 in"),
            ("5-Aug", "5/8 in"),
            ("7-Oct", ""),
        ];
        for (text, meant) in inches {
            let length = likely(text, Unit::Inch).map(|length| length.to_string()).unwrap_or_default();
            assert_eq!(length, meant, "{text:?}");
        }
    }

    #[test]
    fn nothing_is_too_odd_for_it() {
        let letters = ['0', '7', '/', ' ', '.', ',', 'o', 'l', '"', 'é', '½', '-', '\u{301}', '７', 'm'];
        for seed in 0..20_000_u64 {
            let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15);
            let text: String = (0..seed % 9)
                .map(|_| {
                    state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                    letters[(state >> 33) as usize % letters.len()]
                })
                .collect();
            let _ = likely(&text, Unit::Inch);
        }
    }
}
