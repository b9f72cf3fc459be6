//! Reading and writing files: every fault a sentence with the path, nothing half-written, nothing lost.

use super::terminal::{Failure, shown};
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

fn unwritten(path: &Path, error: &std::io::Error) -> Failure {
    let why = match error.kind() {
        ErrorKind::PermissionDenied => "you may not write there".to_owned(),
        ErrorKind::StorageFull => "the disk is full".to_owned(),
        ErrorKind::NotADirectory => "a part of this path is a file, not a folder".to_owned(),
        ErrorKind::AlreadyExists => "this is a file, not a folder".to_owned(),
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
    /// Begins on folders that will stand in `place`: inside it where it exists, so that nothing has to be moved
    /// from one disk to another; beside it otherwise.
    pub(super) fn new(place: &Path) -> Result<Staged, Failure> {
        let beside = if place.is_dir() { place.to_owned() } else { parent_of(place)? };
        if place.symlink_metadata().is_ok() && !place.is_dir() {
            return Err(format!("{}: can't be written: this is a file, not a folder", shown(place)).into());
        }
        let made = tempfile::Builder::new().prefix(".foldmark-").tempdir_in(&beside);
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
                let is_back =
                    moved.iter().rev().fold(true, |so_far, (from, to)| fs::rename(from, to).is_ok() && so_far);
                if !is_back {
                    // What could not be put back is kept, rather than removed with the staging folder.
                    let kept = self.staging.keep();
                    return Err(format!(
                        "{}: can't be written: {error}; what stood there is in {}",
                        shown(&place),
                        shown(&kept)
                    )
                    .into());
                }
                return Err(unwritten(&place, &error));
            }
        }
        Ok(())
    }
}
