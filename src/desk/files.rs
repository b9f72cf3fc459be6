//! Files by their names, wherever they lie.

use super::encoding::{Decoded, decoded};
use super::told::Told;
use std::path::{Path, PathBuf};

/// Longest file that is read as a whole, in bytes. A table may be longer.
pub(crate) const LONGEST: u64 = 1 << 20;

/// Appends at most so many bytes, and returns how many there were: fewer only at the end.
pub type More = Box<dyn FnMut(usize, &mut Vec<u8>) -> Result<usize, Told> + Send>;

/// Adds to the end of a file by its name.
pub(crate) type Write<'w> = dyn FnMut(&str, &str) -> Result<(), String> + 'w;

/// Where files are read from: a disk, or what was put into a [`Drawer`](super::Drawer).
pub trait Files: Sync {
    /// Whether there is a file of this name.
    fn is_file(&self, path: &Path) -> bool;

    /// Whether there is a folder of this name.
    fn is_folder(&self, path: &Path) -> bool;

    /// What lies in a folder, in the order of the names; with each whether it is a folder.
    ///
    /// # Errors
    /// That it can't be read.
    fn entries(&self, folder: &Path) -> Result<Vec<(PathBuf, bool)>, Told>;

    /// Opens a file that may be longer than what is read as a whole. With it comes how long it is, in bytes.
    ///
    /// # Errors
    /// If there is no such file, or it is none.
    fn open(&self, path: &Path) -> Result<(More, u64), Told>;

    /// Reads a file as a whole.
    ///
    /// # Errors
    /// If there is no such file, it is none, or too long.
    fn bytes(&self, path: &Path) -> Result<Vec<u8>, Told>;
}

/// What is said of a file that is too long to be read as a whole.
pub(crate) fn too_long(length: u64, longest: u64) -> String {
    let megabytes = |bytes: u64| bytes as f64 / 1e6;
    let (long, most) = (megabytes(length.max(longest + 1)), megabytes(longest));
    format!("the file has {long:.1} MB; at most {most:.1} MB are read")
}

/// Reads a text, and tells what encoding it was read in.
pub(crate) fn read_decoded(files: &dyn Files, path: &Path) -> Result<Decoded, Told> {
    decoded(files.bytes(path)?).ok_or_else(|| Told::of(path, "this is no text; save it as plain text (UTF-8)"))
}

/// Reads a text, in whatever encoding it is.
pub(crate) fn read_text(files: &dyn Files, path: &Path) -> Result<String, Told> {
    read_decoded(files, path).map(|decoded| decoded.text)
}

/// A text that was written here, however long it is.
pub(crate) fn whole(files: &dyn Files, path: &Path) -> Option<String> {
    let (mut more, length) = files.open(path).ok()?;
    let mut bytes = Vec::new();
    more(usize::try_from(length).ok()?, &mut bytes).ok()?;
    String::from_utf8(bytes).ok()
}
