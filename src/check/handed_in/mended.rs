//! Answers as people type them: without quotation marks or with curly ones, with an inch mark too many, in a letter with other
//! words around them.

use super::answer_file::{AnswerSheet, read_answers};
use super::commas::{Commas, settle};
use super::letter::answers_of_letter;
use crate::text::{Document, Fault, quoted};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// Reads answers as they were handed in: an answer file or a letter; where it is written as no such file is, line by line,
/// with a remark on the first line that was read otherwise than it stands there. What can't be read in one line costs that
/// line alone.
///
/// ```
/// let sheet = foldmark::check::read_handed_in(
///     "Hello, here is my homework.\nexercise = flap-roll\nstudent = Tansy\nunit = \"in\"\n\
///      [answer]\nslot = [1 3/4, 2]\nflap = “4 1/2\"”\nYours, Tansy\n",
/// ).unwrap();
/// assert_eq!(sheet.answers[0].values[1].text, "2");
/// assert_eq!(sheet.answers[1].values[0].text, "4 1/2\"");
/// assert!(sheet.remarks[0].starts_with("line 2 has no straight quotation marks"));
/// ```
///
/// # Errors
/// Every fault of the file's form, with its place.
pub fn read_handed_in(text: &str) -> Result<AnswerSheet, Vec<Fault>> {
    let letter = answers_of_letter(text);
    let as_it_stands = match read_answers(&letter) {
        Err(faults) => faults,
        Ok(mut sheet) => {
            settle(&mut sheet, Commas::default());
            return Ok(sheet);
        }
    };
    let Some(mended) = mended(&letter) else {
        // Of prose not every line is told.
        let is_prose = as_it_stands.len() > 1 || as_it_stands.first().is_some_and(|fault| fault.key.is_empty());
        let says = "there are no answers in this text; they are written line by line as a name, an equals sign and a value, \
                    such as flap = \"4 in\"";
        return Err(if is_prose && !text.trim().is_empty() { vec![Fault::whole(says)] } else { as_it_stands });
    };
    let mut sheet = read_answers(&mended.text)?;
    sheet.remarks.extend(mended.first.map(|(line, value)| {
        format!("line {line} has no straight quotation marks round its value; it was read as {}", quoted(&value))
    }));
    settle(&mut sheet, Commas::default());
    Ok(sheet)
}

struct Mended {
    text: String,
    /// The first line whose value was put right, and that value.
    first: Option<(usize, String)>,
}

/// The text with every line that is none of an answer file put right or left out; nothing, if it has no line of a name and a
/// value.
fn mended(text: &str) -> Option<Mended> {
    // Lines are counted as they stand in the file.
    let mut out: Vec<String> = Vec::new();
    let mut first = None;
    let mut header = String::new();
    // Where each name stands, with its value.
    let mut seen: BTreeMap<(String, String), (usize, String)> = BTreeMap::new();
    let mut lines = text.lines().enumerate().peekable();
    while let Some((at, line)) = lines.next() {
        let is_last = lines.peek().is_none() && !text.ends_with('\n');
        let line = line.trim_start_matches(['>', ' ', '\t', '\u{a0}', '\u{200b}', '\u{feff}']).trim_end();
        let mut whole = Cow::Borrowed(line);
        // A list may go over several lines.
        while entry(&whole).is_some_and(|(_, value)| value.starts_with('[') && !value.contains(']'))
            && let Some((_, more)) = lines.next()
        {
            whole = Cow::Owned(format!("{whole} {}", more.trim_start_matches('>').trim()));
        }
        let mut kept = String::new();
        if is_header(&whole) {
            // Every part of a table begins anew.
            header = if whole.starts_with("[[") { format!("{whole}{at}") } else { whole.to_string() };
            kept = whole.into_owned();
        } else if let Some((key, value)) = entry(&whole) {
            let place = (header.clone(), key.to_owned());
            match seen.get(&place) {
                // Of two answers to the same nobody knows which is meant, and neither is read.
                Some((earlier, other)) if header.starts_with("[answer]") => {
                    out[*earlier] =
                        format!("{key} = {}", as_toml(&format!("{other} or {}", put_right(value, false).1)));
                }
                _ => {
                    let (written, shown) = put_right(value, is_last);
                    seen.insert(place, (out.len(), shown.clone()));
                    kept = if is_sound(&whole) {
                        whole.into_owned()
                    } else {
                        first.get_or_insert((at + 1, shown));
                        format!("{key} = {written}")
                    };
                }
            }
        }
        out.push(kept);
        let passed = lines.peek().map_or(out.len(), |(next, _)| *next);
        out.resize(passed.max(out.len()), String::new());
    }
    (!seen.is_empty()).then(|| Mended { text: out.join("\n") + "\n", first })
}

/// Whether a line is `[answer]` or the like.
fn is_header(line: &str) -> bool {
    let inner = line.split('#').next().unwrap_or_default().trim();
    let inner = inner.strip_prefix('[').and_then(|inner| inner.strip_suffix(']'));
    inner.is_some_and(|inner| !inner.is_empty() && is_key(inner.trim_matches(['[', ']', ' '])))
}

/// The name and the value of a line `name = value`.
fn entry(line: &str) -> Option<(&str, &str)> {
    let (key, value) = line.split_once('=')?;
    let (key, value) = (key.trim(), value.trim());
    (is_key(key) && !value.is_empty()).then_some((key, value))
}

fn is_key(text: &str) -> bool {
    let is_part = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'-' | b'.');
    !text.is_empty() && text.len() <= 60 && text.bytes().all(is_part)
}

fn is_sound(line: &str) -> bool {
    let document = Document::new(line);
    document.parse();
    !document.is_broken()
}

/// A value as the file should have it, and as it is shown. The last line of a file that breaks off in it keeps its quotation
/// mark, so that nobody takes a half of it for the whole.
fn put_right(value: &str, breaks_off: bool) -> (String, String) {
    let value = value.split(" #").next().unwrap_or_default().trim();
    let bare = |part: &str| -> String {
        let part = part.trim();
        match part.strip_prefix(is_mark) {
            Some(_) if breaks_off && !part[1..].ends_with(is_mark) => part.to_owned(),
            Some(rest) => rest.strip_suffix(is_mark).unwrap_or(rest).trim().to_owned(),
            None => part.to_owned(),
        }
    };
    let Some(list) = value.strip_prefix('[') else {
        let bare = bare(value);
        return (as_toml(&bare), bare);
    };
    let list = list.trim_end().trim_end_matches(']');
    // A comma with a blank after it parts; without one it may be a decimal one.
    let gap = if list.contains(", ") { ", " } else { "," };
    let parts: Vec<String> = list.split(gap).map(bare).filter(|part| !part.is_empty()).collect();
    let written: Vec<String> = parts.iter().map(|part| as_toml(part)).collect();
    (format!("[{}]", written.join(", ")), parts.join(", "))
}

fn is_mark(c: char) -> bool {
    matches!(c, '"' | '“' | '”' | '„' | '‟' | '«' | '»' | '\'' | '‘' | '’' | '‚')
}

fn as_toml(text: &str) -> String {
    let mut written = String::from('"');
    for c in text.chars() {
        match c {
            '"' | '\\' => written.extend(['\\', c]),
            c if c.is_control() => {}
            c => written.push(c),
        }
    }
    written.push('"');
    written
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answer(line: &str) -> String {
        let head = "exercise = \"flap-roll\"\nstudent = \"Tansy\"\n[answer]\n";
        let sheet = read_handed_in(&format!("{head}{line}\nlast = \"1\"\n")).unwrap();
        assert_eq!(sheet.answers.len(), 2, "{line}");
        sheet.answers[0].values.iter().map(|value| value.text.as_str()).collect::<Vec<_>>().join("|")
    }

    #[test]
    fn one_line_costs_only_itself() {
        for (line, read) in [
            ("flap = 12 1/2", "12 1/2"),
            ("flap = 12 1/2 in  # my flap", "12 1/2 in"),
            ("flap = “12 1/2”", "12 1/2"),
            ("flap = „31,8 cm“", "31,8 cm"),
            ("flap = \"12 1/2\"\"", "12 1/2\""),
            ("flap = 12 1/2\"", "12 1/2\""),
            ("flap = \"12 1/2", "12 1/2"),
            ("> flap = 4 in", "4 in"),
            ("flap = 2026-08-05", "2026-08-05"),
            ("flap = true", "true"),
            ("flap = 4 in\nflap = 5 in", "4 in or 5 in"),
            ("slot = [1 3/4, 2\"]", "1 3/4|2\""),
            ("slot = [“1 3/4”,\n  “2”]", "1 3/4|2"),
        ] {
            assert_eq!(answer(line), read, "{line}");
        }
    }

    #[test]
    fn lines_are_counted_as_they_stand() {
        let text = "exercise = \"flap-roll\"\nstudent = \"Tansy\"\n\n[answer]\nslot = [1 3/4,\n2]\nflap = 4\n";
        let sheet = read_handed_in(text).unwrap();
        assert_eq!((sheet.answers[0].place.line, sheet.answers[1].place.line), (5, 7));
        assert_eq!(
            sheet.remarks,
            ["line 5 has no straight quotation marks round its value; it was read as \"1 3/4, 2\""]
        );
    }

    #[test]
    fn a_file_that_breaks_off_is_not_read_as_whole() {
        let sheet = read_handed_in("exercise = \"flap-roll\"\nstudent = \"Tansy\"\n[answer]\nflap = \"1").unwrap();
        assert_eq!(sheet.answers[0].values[0].text, "\"1");
    }

    #[test]
    fn what_has_no_answers_says_so() {
        let told = |text: &str| read_handed_in(text).unwrap_err()[0].to_string();
        assert!(told("Dear teacher,\nI was ill.\n").starts_with("there are no answers in this text"));
        assert!(told("exercise = flap-roll\n").contains("`student` is missing"), "{}", told("exercise = flap-roll\n"));
    }
}
