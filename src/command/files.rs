//! Reading and writing files: every fault a sentence with the path, nothing half-written, nothing lost.

use super::terminal::{Failure, shown};
use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Longest text file that is read, in bytes.
const LONGEST: u64 = 1 << 20;

/// Reads a text file.
///
/// # Errors
/// A sentence if there is no such file, it is none, too long, or not UTF-8.
pub(super) fn read_text(path: &Path) -> Result<String, String> {
    let name = shown(path);
    let unread = |error: std::io::Error| match error.kind() {
        ErrorKind::NotFound => format!("{name}: there is no such file"),
        ErrorKind::PermissionDenied => format!("{name}: this file may not be read by you"),
        _ => format!("{name}: the file can't be read: {error}"),
    };
    let about = fs::metadata(path).map_err(unread)?;
    if !about.is_file() {
        return Err(format!("{name}: this is no ordinary file"));
    }
    let mut bytes = Vec::new();
    // One byte more than is allowed tells that there is more, whatever the file's size claims.
    File::open(path).map_err(unread)?.take(LONGEST + 1).read_to_end(&mut bytes).map_err(unread)?;
    if bytes.len() as u64 > LONGEST {
        let megabytes = (about.len().max(LONGEST + 1)) as f64 / 1e6;
        return Err(format!("{name}: the file has {megabytes:.1} MB; at most {:.1} MB are read", LONGEST as f64 / 1e6));
    }
    String::from_utf8(bytes).map_err(|error| {
        let valid = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = valid.iter().filter(|byte| **byte == b'\n').count() + 1;
        format!("{name}: line {line}: the file is not UTF-8 text; save it as UTF-8 in your editor")
    })
}

fn unwritten(path: &Path, error: &std::io::Error) -> Failure {
    let why = match error.kind() {
        ErrorKind::PermissionDenied => "you may not write there".to_owned(),
        ErrorKind::StorageFull => "the disk is full".to_owned(),
        ErrorKind::NotADirectory => "a part of this path is a file, not a folder".to_owned(),
        _ => error.to_string(),
    };
    format!("{}: can't be written: {why}", shown(path)).into()
}

/// The folder a path lies in, made if it is not there.
fn parent_of(path: &Path) -> Result<PathBuf, Failure> {
    let parent = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    };
    fs::create_dir_all(&parent).map_err(|error| unwritten(&parent, &error))?;
    Ok(parent)
}

fn exists(path: &Path) -> Failure {
    format!("{}: this exists already; choose another place, or add --force to replace it", shown(path)).into()
}

/// Folders written beside their place first, and put there together when all are whole.
pub(super) struct Staged {
    place: PathBuf,
    staging: TempDir,
}

impl Staged {
    /// Begins on folders that will stand in `place`.
    pub(super) fn new(place: &Path) -> Result<Staged, Failure> {
        let parent = parent_of(place)?;
        let made = tempfile::Builder::new().prefix(".foldmark-").tempdir_in(&parent);
        Ok(Staged { place: place.to_owned(), staging: made.map_err(|error| unwritten(place, &error))? })
    }

    /// Where a folder or file is written for now.
    pub(super) fn path(&self, relative: &str) -> PathBuf {
        self.staging.path().join(relative)
    }

    /// Writes a file in the staging folder.
    pub(super) fn write(&self, relative: &str, text: &str) -> Result<(), Failure> {
        let path = self.path(relative);
        parent_of(&path)?;
        // A fault names the place the user asked for, not the staging folder.
        fs::write(&path, text).map_err(|error| unwritten(&self.place.join(relative), &error))
    }

    /// Puts the named entries into their place. Without `force` nothing that is there is touched, and
    /// nothing is put if any of them exists. What is replaced is removed only when all is in place.
    pub(super) fn put(self, entries: &[&str], force: bool) -> Result<(), Failure> {
        fs::create_dir_all(&self.place).map_err(|error| unwritten(&self.place, &error))?;
        let there: Vec<&&str> =
            entries.iter().filter(|entry| self.place.join(entry).symlink_metadata().is_ok()).collect();
        if let (Some(first), false) = (there.first(), force) {
            return Err(exists(&self.place.join(first)));
        }
        let old = self.path("replaced");
        fs::create_dir_all(&old).map_err(|error| unwritten(&self.place, &error))?;
        let mut moved: Vec<(PathBuf, PathBuf)> = Vec::new();
        for entry in entries {
            let (place, aside) = (self.place.join(entry), old.join(entry));
            let step = (|| {
                if place.symlink_metadata().is_ok() {
                    fs::rename(&place, &aside)?;
                    moved.push((aside.clone(), place.clone()));
                }
                fs::rename(self.path(entry), &place)?;
                moved.push((place.clone(), self.path(entry)));
                Ok(())
            })();
            if let Err(error) = step {
                // Back to how it was, newest move first.
                for (from, to) in moved.iter().rev() {
                    let _ = fs::rename(from, to);
                }
                return Err(unwritten(&place, &error));
            }
        }
        Ok(())
    }
}
