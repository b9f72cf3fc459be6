//! Names: one name of a person is one however it was typed, and some can be no file's.

use super::harmless::is_invisible;
use unicode_normalization::UnicodeNormalization;

/// A name as it is compared with others, and never shown: an accent may be a part of its letter or stand after it, letters
/// may be large or small, wide or narrow, and spaces many (NFKC of Unicode's annex 15); what is invisible does not count.
///
/// ```
/// use foldmark::text::plain_name;
/// assert_eq!(plain_name("Ren\u{e9}  Salvia"), plain_name("rene\u{301} SALVIA"));
/// assert_ne!(plain_name("Rene Salvia"), plain_name("Ren\u{e9} Salvia"));
/// ```
pub fn plain_name(name: &str) -> String {
    // Nearly every name needs no more.
    let folded = match name.is_ascii() {
        true => name.to_lowercase(),
        false => {
            let visible = name.chars().filter(|letter| letter.is_whitespace() || !is_invisible(*letter));
            visible.nfkc().collect::<String>().to_lowercase().nfkc().collect()
        }
    };
    folded.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether some system keeps a name for a device, or does not keep it as it is written (Microsoft, "Naming Files, Paths, and
/// Namespaces").
///
/// ```
/// use foldmark::text::is_reserved;
/// assert!(["CON", "aux.txt", "lpt1", "com\u{b9}", "keys.", "ke?ys"].into_iter().all(is_reserved));
/// assert!(!["keys", "console", "com", "lpt10", "a.b"].into_iter().any(is_reserved));
/// ```
pub fn is_reserved(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or_default().trim_end().to_lowercase();
    let numbered = ["com", "lpt"].into_iter().find_map(|device| stem.strip_prefix(device));
    let is_number = |rest: &str| rest.chars().count() == 1 && rest.starts_with(|c: char| c.is_numeric());
    matches!(stem.as_str(), "con" | "prn" | "aux" | "nul" | "conin$" | "conout$")
        || numbered.is_some_and(is_number)
        || name != "." && name != ".." && name.ends_with(['.', ' '])
        || name.contains(|c: char| c.is_control() || "<>\"|?*".contains(c))
}

/// A name in the one form that Unicode has for it, with nothing else changed: where letters large and small may be two
/// people (NFC of annex 15).
///
/// ```
/// use foldmark::text::composed;
/// assert_eq!(composed("Rene\u{301} "), "Ren\u{e9}");
/// assert_ne!(composed("ren\u{e9}"), "Ren\u{e9}");
/// ```
pub fn composed(name: &str) -> String {
    name.trim().nfc().collect()
}
