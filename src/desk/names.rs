//! How the files of a class are called.

use crate::text::is_reserved;
use any_ascii::any_ascii;

/// The name under which a class's policy lies with its answers.
pub(crate) const CLASS_FILE: &str = "class.toml";

/// The name under which lies with its key what a set was made from.
pub(crate) const RECORD_FILE: &str = "set.toml";

/// The folder beside a key with the exercises that the set was made from.
pub(crate) const MADE_FROM: &str = "made-from";

/// A name as a part of a file's name on any machine: small letters, digits and hyphens.
pub(crate) fn file_name(name: &str) -> String {
    let mut safe = String::new();
    let plain = any_ascii(name);
    for letter in plain.chars().flat_map(char::to_lowercase).take(60) {
        match letter {
            'a'..='z' | '0'..='9' => safe.push(letter),
            _ if safe.ends_with('-') || safe.is_empty() => {}
            _ => safe.push('-'),
        }
    }
    safe.truncate(safe.trim_end_matches('-').len());
    if is_reserved(&safe) { format!("x-{safe}") } else { safe }
}
