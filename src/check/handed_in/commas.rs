//! Numbers like `2,125 in` that can be read in two ways, where the other numbers beside them settle which.

use super::answer_file::AnswerSheet;
use crate::length::with_decimal_comma;
use memchr::memchr2;

/// What the numbers of a sheet or a table say of their commas.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Commas {
    /// One has a comma that can only stand before decimals: `31,8`.
    is_decimal: bool,
    /// One has a point before decimals.
    has_point: bool,
}

impl Commas {
    /// Whether a record may have something in it that [`look_at`](Commas::look_at) would see.
    pub fn may_stand_in(record: &[u8], delimiter: u8) -> bool {
        // Between quotation marks a comma is no delimiter.
        let comma = if delimiter == b',' { b'"' } else { b',' };
        memchr2(b'.', comma, record).is_some()
    }

    /// Takes in one more number.
    pub fn look_at(&mut self, text: &str) {
        let bytes = text.as_bytes();
        for (at, byte) in bytes.iter().enumerate().filter(|(_, byte)| matches!(byte, b',' | b'.')) {
            let digits = bytes[at + 1..].iter().take_while(|byte| byte.is_ascii_digit()).count();
            let is_after_digit = at > 0 && bytes[at - 1].is_ascii_digit();
            self.has_point |= *byte == b'.' && digits > 0;
            self.is_decimal |= *byte == b',' && is_after_digit && digits > 0 && digits != 3;
        }
    }

    /// Whether a comma stands before decimals here, whatever follows it.
    pub fn are_settled(self) -> bool {
        self.is_decimal && !self.has_point
    }
}

/// Reads the doubtful numbers of a sheet as the others settle it, and says so once. `of_table` is what those of the whole
/// table say, where it is one of its rows.
pub(super) fn settle(sheet: &mut AnswerSheet, of_table: Commas) {
    let mut commas = of_table;
    let answers = sheet.answers.iter_mut().flat_map(|answer| &mut answer.values).map(|value| &mut value.text);
    let singles = sheet.given.singles.iter_mut().map(|entry| &mut entry.text);
    let rows = sheet.given.tables.iter_mut().flat_map(|(_, rows)| rows).flat_map(|row| &mut row.cells);
    let mut texts: Vec<&mut String> = answers.chain(singles).chain(rows.map(|cell| &mut cell.text)).collect();
    texts.iter().for_each(|text| commas.look_at(text));
    let mut first = None;
    for text in texts.iter_mut().filter(|_| commas.are_settled()) {
        if let Some(settled) = with_decimal_comma(text) {
            first.get_or_insert_with(|| (crate::text::quoted(text), settled.clone()));
            **text = settled;
        }
    }
    sheet.remarks.extend(first.map(|(written, settled)| {
        format!("{written} was read as {settled}: the other numbers beside it have a comma before their decimals")
    }));
}
