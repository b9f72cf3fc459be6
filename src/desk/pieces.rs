//! A table read piece by piece, so that it may be longer than the memory.

use super::encoding::decoded;
use super::files::{Files, More};
use super::told::Told;
use crate::check::Table;
use crate::text::{passed_over, whole_records, with_quotes_mended};
use std::path::{Path, PathBuf};

/// How much is read at a time, in bytes.
const PIECE: usize = 1 << 16;

/// Longest row, in bytes.
const LONGEST: usize = 1 << 20;

/// A table being read.
pub(crate) struct Pieces {
    path: PathBuf,
    /// The rest of it; nothing, where all of it was read already.
    file: Option<More>,
    /// What was read and is not yet handed out.
    ahead: Vec<u8>,
    is_at_end: bool,
    delimiter: u8,
    /// How long the file is, in bytes.
    pub length: u64,
    /// What it was read as, if that is not UTF-8.
    pub read_as: Option<&'static str>,
}

impl Pieces {
    /// Opens a table.
    ///
    /// # Errors
    /// If there is no such file, or it is none.
    pub fn open(files: &dyn Files, path: &Path) -> Result<Pieces, Told> {
        let (file, length) = files.open(path)?;
        let (path, file) = (path.to_owned(), Some(file));
        let mut pieces =
            Pieces { path, file, ahead: Vec::new(), is_at_end: false, delimiter: b',', length, read_as: None };
        pieces.fill(LONGEST)?;
        // The byte order mark that spreadsheets begin with.
        if pieces.ahead.starts_with(b"\xef\xbb\xbf") {
            pieces.ahead.drain(..3);
        }
        // A table that is longer is in UTF-8, or what is not is told of row by row.
        if pieces.is_at_end
            && (pieces.ahead.contains(&0) || std::str::from_utf8(&pieces.ahead).is_err())
            && let Some(read) = decoded(pieces.ahead.clone())
        {
            (pieces.ahead, pieces.read_as) = (read.text.into_bytes(), read.read_as);
        }
        pieces.begun()
    }

    /// A table that was read already.
    ///
    /// # Errors
    /// If there is nothing in it.
    pub fn of(path: &Path, text: String) -> Result<Pieces, Told> {
        let length = text.len() as u64;
        let (path, ahead) = (path.to_owned(), text.into_bytes());
        Pieces { path, file: None, ahead, is_at_end: true, delimiter: b',', length, read_as: None }.begun()
    }

    fn begun(mut self) -> Result<Pieces, Told> {
        let line = passed_over(&self.ahead);
        self.ahead.drain(..line);
        if self.ahead.is_empty() {
            let message = "the table is empty; `foldmark blank EXERCISE --csv` prints a head";
            return Err(Told::of(&self.path, message));
        }
        if self.is_at_end
            && let Some(mended) = with_quotes_mended(&self.ahead)
        {
            self.ahead = mended;
        }
        Ok(self)
    }

    /// What the table begins with: its head, and more.
    pub fn begins(&self) -> &[u8] {
        &self.ahead
    }

    /// Passes over the head.
    pub fn pass_head(&mut self, table: &Table) {
        self.delimiter = table.delimiter();
        self.ahead.drain(..table.head_length());
    }

    /// The next piece, of whole rows; nothing after the last.
    ///
    /// # Errors
    /// If the file can't be read any further.
    pub fn next(&mut self) -> Result<Option<Vec<u8>>, Told> {
        let mut wanted = PIECE;
        loop {
            self.fill(wanted)?;
            let text = &self.ahead[..self.ahead.len().min(wanted)];
            if text.is_empty() {
                return Ok(None);
            }
            let is_last = self.is_at_end && text.len() == self.ahead.len();
            let whole = if is_last { text.len() } else { whole_records(text, self.delimiter) };
            // In a row without end a quotation mark was left open: its first line is taken for the row.
            let is_endless = whole == 0 && wanted == LONGEST;
            let line = text.iter().position(|byte| *byte == b'\n').filter(|_| is_endless);
            let end = line.map_or(whole, |at| at + 1);
            if end > 0 {
                return Ok(Some(self.ahead.drain(..end).collect()));
            }
            if is_endless {
                let message = format!("a row is longer than {LONGEST} bytes; nothing after it is read");
                return Err(Told::of(&self.path, message));
            }
            wanted = LONGEST;
        }
    }

    /// Reads until so much lies ahead, or the file is at its end.
    fn fill(&mut self, wanted: usize) -> Result<(), Told> {
        let missing = wanted.saturating_sub(self.ahead.len());
        if let Some(file) = self.file.as_mut().filter(|_| missing > 0 && !self.is_at_end) {
            self.ahead.reserve(missing);
            self.is_at_end = file(missing, &mut self.ahead)? < missing;
        }
        Ok(())
    }
}
