//! Answers that come in a letter: what a lesson's page gives to copy stands between two lines, and whatever a program for
//! messages puts around it or before its lines is passed over.

use std::borrow::Cow;

/// The line before the answers, and the line after them: for an answer file, comments.
pub(super) const BEGIN: &str = "# ---- answers begin ----";
pub(super) const END: &str = "# ---- answers end ----";

/// The answer file that a letter holds; of a letter without the two lines, all of it. Every line loses what stands before the
/// first of the two, such as `> `.
///
/// ```
/// use foldmark::check::{answers_of_letter, read_answers};
/// let letter = "Here they are!\n> # ---- answers begin ----\n> exercise = \"zip-pouch\"\n> student = “Tansy”\n\
///               > [answer]\n> # ---- answers end ----\n> Yours, Tansy\n";
/// assert_eq!(read_answers(&answers_of_letter(letter)).unwrap().student, "Tansy");
/// ```
pub fn answers_of_letter(text: &str) -> Cow<'_, str> {
    let Some(first) = text.lines().find(|line| line.trim_end().ends_with(BEGIN)) else { return Cow::Borrowed(text) };
    let before = first.trim_end().strip_suffix(BEGIN).unwrap_or_default();
    let plain =
        |line: &str| line.strip_prefix(before).or(line.strip_prefix(before.trim_end())).unwrap_or(line).to_owned();
    let mut has_begun = false;
    let mut lines = Vec::new();
    for line in text.lines().map(plain).take_while(|line| line.trim() != END) {
        has_begun |= line.trim() == BEGIN;
        // Empty lines for what is passed over, so that faults are told with the letter's own lines. Programs for messages
        // curl quotation marks, and keep words together by blanks of their own.
        lines.push(if has_begun { straight(&line.replace('\u{a0}', " ")) } else { String::new() });
    }
    Cow::Owned(lines.join("\n"))
}

/// A line with straight quotation marks; where some are straight already, others belong to what was written.
fn straight(line: &str) -> String {
    if line.contains('"') { line.to_owned() } else { line.replace(['“', '”', '„', '‟'], "\"") }
}
