//! The gradebook: CSV as RFC 4180 has it, UTF-8 with a byte order mark, so that a spreadsheet opens it as it is.
//!
//! A name is a stranger's text, and a spreadsheet takes a cell that begins with `=` or the like for a formula: such a cell
//! gets an apostrophe in front, which spreadsheets show as the mark of plain text.

use crate::check::result::{Explanation, MarkedSheet, StepGrade, Verdict};
use crate::class::Points;
use crate::exercise::{Exercise, StepId};
use crate::text::{is_hidden, is_invisible};
use std::fmt::Write;
use typed_index_collections::TiSlice;

/// What every gradebook begins with: the byte order mark, and the part of its head that was always the same.
pub const GRADEBOOK_BEGINS: &str = "\u{feff}student,id,exercise,version,points,out of";

/// The head of a gradebook, with the byte order mark.
pub fn gradebook_head() -> String {
    let verdicts: String = Verdict::ALL.iter().map(|verdict| format!(",{}", verdict.words())).collect();
    format!("{GRADEBOOK_BEGINS}{verdicts},look at again\r\n")
}

/// A sheet's line in the gradebook: who, which exercise, the points, how many steps that count got each verdict, and
/// which of them to look at again, each with the name of its mistake where one is known.
///
/// ```
/// use foldmark::check::{gradebook_line, mark, read_answers};
/// use foldmark::exercise::Shelf;
/// let shelf = Shelf::shipped();
/// let sheet = read_answers("exercise = \"zip-pouch\"\nstudent = \"=Sorrel\"\nunit = \"in\"\n[given]\nzip = \"8\"\n[answer]\n").unwrap();
/// let line = gradebook_line(&mark(shelf.get("zip-pouch").unwrap(), &sheet).unwrap());
/// assert!(line.starts_with("'=Sorrel,,zip-pouch,"));
/// ```
pub fn gradebook_line(sheet: &MarkedSheet) -> String {
    let mut line = String::new();
    let grades = sheet.grades();
    let entry = GradebookLine {
        student: &sheet.student,
        id: &sheet.id,
        exercise: sheet.truth.exercise,
        points: sheet.points,
        out_of: sheet.out_of,
        grades: &grades,
    };
    entry.write(&mut line, |step| sheet.explained(step));
    line
}

/// What a line is written from.
pub(in crate::check) struct GradebookLine<'l> {
    /// Made harmless.
    pub student: &'l str,
    /// Made harmless.
    pub id: &'l str,
    pub exercise: &'l Exercise,
    pub points: Points,
    pub out_of: Points,
    pub grades: &'l TiSlice<StepId, StepGrade>,
}

impl GradebookLine<'_> {
    /// Adds the line to a text.
    pub fn write<'x>(&self, out: &mut String, explained: impl Fn(StepId) -> &'x [Explanation]) {
        let mut counts = [0_u32; Verdict::ALL.len()];
        for grade in self.grades.iter().filter(|grade| grade.counts) {
            counts[grade.verdict.place()] += 1;
        }
        for cell in [self.student, self.id, &self.exercise.name] {
            push_cell(out, cell);
            out.push(',');
        }
        push_number(out, self.exercise.version);
        for points in [self.points, self.out_of] {
            out.push(',');
            match points.whole() {
                Some(whole) => push_number(out, whole),
                // Writing to a String can't fail.
                None => _ = write!(out, "{points}"),
            }
        }
        for count in counts {
            out.push(',');
            push_number(out, count);
        }
        out.push(',');
        let start = out.len();
        let steps = self.exercise.steps.iter_enumerated().zip(self.grades);
        for ((index, step), grade) in steps.filter(|(_, grade)| grade.counts && !grade.verdict.earns()) {
            if out.len() > start {
                out.push_str(" / ");
            }
            out.push_str(&step.title);
            self.reason(out, grade, explained(index));
        }
        // Most titles can stand in a cell as they are.
        if !is_plain(&out[start..]) {
            let again = out.split_off(start);
            push_cell(out, &again);
        }
        out.push_str("\r\n");
    }

    /// Why a step is to be looked at again, in brackets; nothing where it is wrong and nobody knows why.
    fn reason(&self, again: &mut String, grade: &StepGrade, explained: &[Explanation]) {
        if explained.is_empty() && grade.verdict == Verdict::NotRight {
            return;
        }
        again.push_str(" (");
        if explained.is_empty() {
            again.push_str(grade.verdict.words());
        }
        for (at, explanation) in explained.iter().enumerate() {
            again.push_str(if at == 0 { "" } else { " or " });
            for (at, cause) in explanation.causes().enumerate() {
                again.push_str(if at == 0 { "" } else { " and " });
                again.push_str(cause.name(self.exercise));
            }
        }
        again.push(')');
    }
}

/// Whether a text can stand in a cell as it is; nearly every one is a word or two.
fn is_plain(text: &str) -> bool {
    let is_harmless = |byte: u8| matches!(byte, b' ' | b'(' | b')' | b'.' | b'0'..=b'9' | b'A'..=b'Z' | b'a'..=b'z');
    let mut letters = text.bytes();
    letters.next().is_none_or(is_harmless)
        && letters.all(|byte| is_harmless(byte) || matches!(byte, b'-' | b'/' | b':'))
}

/// A cell of a table that spreadsheets open: in quotation marks where it has to be, and never a formula.
///
/// ```
/// assert_eq!(foldmark::check::csv_cell("Vetch, the elder"), "\"Vetch, the elder\"");
/// ```
pub fn csv_cell(text: &str) -> String {
    let mut cell = String::new();
    push_cell(&mut cell, text);
    cell
}

/// Adds a cell: in quotation marks where it has to be, without hidden characters, and never a formula.
pub(super) fn push_cell(out: &mut String, text: &str) {
    if is_plain(text) {
        return out.push_str(text);
    }
    let needs_marks = text.contains([',', ';', '"', '\t', '\n', '\r']);
    if needs_marks {
        out.push('"');
    }
    // A spreadsheet set to another delimiter would begin a new cell at a semicolon or a comma.
    let mut begins = true;
    for letter in text.chars() {
        if begins && matches!(letter, '=' | '+' | '-' | '@' | '＝' | '＋' | '－' | '＠') {
            out.push('\'');
        }
        begins = matches!(letter, ',' | ';' | '"') || begins && (letter.is_whitespace() || is_invisible(letter));
        match letter {
            '"' => out.push_str("\"\""),
            letter if is_hidden(letter) => {}
            letter => out.push(letter),
        }
    }
    if needs_marks {
        out.push('"');
    }
}

/// Adds a whole number.
fn push_number(out: &mut String, number: u32) {
    if number >= 10 {
        push_number(out, number / 10);
    }
    out.push(char::from(b'0' + (number % 10) as u8));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cell(text: &str) -> String {
        let mut out = String::new();
        push_cell(&mut out, text);
        out
    }

    /// What spreadsheets take for the beginning of a formula: common practice, no source.
    #[test]
    fn no_cell_is_a_formula() {
        for (text, wanted) in [
            ("Sorrel", "Sorrel"),
            ("Rosa-Marie", "Rosa-Marie"),
            ("=1+1", "'=1+1"),
            ("+49", "'+49"),
            ("-Sedge", "'-Sedge"),
            ("@SUM(1)", "'@SUM(1)"),
            ("\t=1", "\"'=1\""),
            ("\r\n=1", "\"'=1\""),
            ("\u{200b}=1", "'=1"),
            (" =1", " '=1"),
            ("＝1", "'＝1"),
            ("a;=1", "\"a;'=1\""),
            ("a, -b", "\"a, '-b\""),
            ("a\"=1", "\"a\"\"'=1\""),
            ("\u{1b}[31mred", "[31mred"),
            ("Müller", "Müller"),
            ("", ""),
        ] {
            assert_eq!(cell(text), wanted, "{text:?}");
        }
    }

    #[test]
    fn numbers() {
        let numbers = [0, 7, 10, 4_294_967_295].map(|number| {
            let mut out = String::new();
            push_number(&mut out, number);
            out
        });
        assert_eq!(numbers, ["0", "7", "10", "4294967295"]);
    }

    /// What was written is read back by the `csv` crate.
    #[test]
    fn cells_are_read_back() {
        for text in ["a,b", "a\"b", "a;b", "12 1/2\"", "\"", "Sorrel, \"the\" younger"] {
            let line = format!("{},x\r\n", cell(text));
            let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(line.as_bytes());
            assert_eq!(&reader.records().next().unwrap().unwrap()[0], text);
        }
    }
}
