//! A spreadsheet's worksheets as CSV, for whatever reads tables.

use super::files::Files;
use super::told::Told;
use calamine::{Data, Ods, Reader, Xlsx};
use std::collections::BTreeMap;
use std::fmt::{Display, Write};
use std::io::Cursor;
use std::path::Path;

/// A worksheet with something in it.
pub(super) struct Worksheet {
    pub name: String,
    pub csv: String,
}

/// No table of a class is larger; a cell far away would ask for a row each up to there.
const MOST_ROWS: u32 = 20_000;
const MOST_COLUMNS: u32 = 2_000;

/// Cells by row and column.
type Cells = BTreeMap<(u32, u32), String>;

/// The worksheets of a spreadsheet (.xlsx or .ods) that have something in them, in its own order.
///
/// # Errors
/// If the file can't be read, or is no spreadsheet.
pub(super) fn worksheets(files: &dyn Files, path: &Path) -> Result<Vec<Worksheet>, Told> {
    let bytes = Cursor::new(files.bytes(path)?);
    let is_ods = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("ods"));
    let sheets = if is_ods { of_ods(bytes) } else { of_xlsx(bytes) };
    let sheets = sheets.ok_or_else(|| {
        let message = "this can't be read as a spreadsheet; open it in yours and save it again, as .xlsx or as .csv";
        Told::of(path, message)
    })?;
    let far = |cells: &Cells| cells.keys().any(|(row, column)| *row >= MOST_ROWS || *column >= MOST_COLUMNS);
    if let Some((name, _)) = sheets.iter().find(|(_, cells)| far(cells)) {
        let name = crate::text::quoted(name);
        let message = format!("the sheet {name} has more than {MOST_ROWS} rows or {MOST_COLUMNS} columns");
        return Err(Told::of(path, message));
    }
    let filled = sheets.into_iter().filter(|(_, cells)| !cells.is_empty());
    Ok(filled.map(|(name, cells)| Worksheet { name, csv: csv(&cells) }).collect())
}

fn of_xlsx(bytes: Cursor<Vec<u8>>) -> Option<Vec<(String, Cells)>> {
    let mut book = Xlsx::new(bytes).ok()?;
    let mut sheets = Vec::new();
    for name in book.sheet_names() {
        let mut cells = Cells::new();
        // Drawings and the like are sheets without cells.
        if let Ok(mut reader) = book.worksheet_cells_reader(&name) {
            while let Some(cell) = reader.next_cell().ok()? {
                put(&mut cells, cell.get_position(), &Data::from(cell.get_value().clone()));
            }
        }
        sheets.push((name, cells));
    }
    Some(sheets)
}

fn of_ods(bytes: Cursor<Vec<u8>>) -> Option<Vec<(String, Cells)>> {
    let mut book = Ods::new(bytes).ok()?;
    let mut sheets = Vec::new();
    for name in book.sheet_names() {
        let range = book.worksheet_range(&name).ok()?;
        let (top, left) = range.start().unwrap_or_default();
        let mut cells = Cells::new();
        for (row, column, cell) in range.used_cells() {
            put(&mut cells, (top + row as u32, left + column as u32), cell);
        }
        sheets.push((name, cells));
    }
    Some(sheets)
}

/// A cell as text. A date is written as ISO 8601 has it: whatever it was meant to be, it is told of as a date.
fn put(cells: &mut Cells, place: (u32, u32), cell: &Data) {
    let text = match cell {
        Data::Empty => return,
        Data::DateTime(date) => {
            let (year, month, day, ..) = date.to_ymd_hms_milli();
            format!("{year:04}-{month:02}-{day:02}")
        }
        Data::DateTimeIso(date) => date.split('T').next().unwrap_or_default().to_owned(),
        Data::Int(number) => number.to_string(),
        Data::Float(number) => number.to_string(),
        Data::String(text) | Data::DurationIso(text) => text.clone(),
        Data::Bool(truth) => truth.to_string(),
        Data::Error(error) => error.to_string(),
    };
    if !text.is_empty() {
        cells.insert(place, text);
    }
}

/// The cells from the first row and column on, so that rows are counted as the spreadsheet counts them.
fn csv(cells: &Cells) -> String {
    let rows = cells.keys().map(|(row, _)| row + 1).max().unwrap_or(0);
    let columns = cells.keys().map(|(_, column)| column + 1).max().unwrap_or(0);
    let mut text = String::new();
    for row in 0..rows {
        for column in 0..columns {
            let cell: &dyn Display = match cells.get(&(row, column)) {
                Some(cell) => &cell.replace('"', "\"\""),
                None => &"",
            };
            let gap = if column == 0 { "" } else { "," };
            // Writing to a String can't fail.
            let _ = write!(text, "{gap}\"{cell}\"");
        }
        text.push('\n');
    }
    text
}
