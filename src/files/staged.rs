//! Results written beside their place first, and put there when they are whole.

use super::fault::{FileFault, shown, why};
use super::interrupt::{Begun, undisturbed};
use std::fs;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;
use tempfile::{NamedTempFile, TempDir};

fn unwritten(path: &Path, error: &std::io::Error) -> FileFault {
    FileFault::of(path, format!("can't be written: {}", why(error)))
}

/// The folder a path lies in, made if it is not there.
fn parent_of(path: &Path) -> Result<PathBuf, FileFault> {
    let parent = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    };
    fs::create_dir_all(&parent).map_err(|error| unwritten(&parent, &error))?;
    Ok(parent)
}

fn exists(path: &Path) -> FileFault {
    FileFault::of(path, "this exists already; choose another place, or add --force to replace it")
}

/// What a staging folder is called by the process that writes to it.
fn staging_prefix() -> String {
    format!("{STAGING}{}-", std::process::id())
}

/// Takes away what programs that were killed left behind; what one of them had moved aside and not yet replaced goes back
/// to its place.
fn clear_leftovers(beside: &Path, place: &Path) {
    for entry in fs::read_dir(beside).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let process = name.to_str().and_then(|name| name.strip_prefix(STAGING)?.split('-').next()?.parse::<u32>().ok());
        if process.is_none_or(|process| process == std::process::id() || is_alive(process, &entry)) {
            continue;
        }
        let left = entry.path();
        let entries = fs::read_to_string(left.join(TO_REPLACE)).unwrap_or_default();
        for entry in entries.lines() {
            let (aside, place) = (left.join(REPLACED).join(entry), place.join(entry));
            if place.symlink_metadata().is_err() && aside.symlink_metadata().is_ok() {
                // What does not go back stays where it is, with all the rest.
                if fs::rename(&aside, &place).is_err() {
                    return;
                }
            }
        }
        // What can't be taken away is in nobody's way.
        let _ = if left.is_dir() { fs::remove_dir_all(&left) } else { fs::remove_file(&left) };
    }
}

/// Whether the process that a leftover is called by may still be at work: where the system does not tell, for an hour.
fn is_alive(process: u32, left: &fs::DirEntry) -> bool {
    if Path::new("/proc/self").exists() {
        return Path::new(&format!("/proc/{process}")).exists();
    }
    let written = left.metadata().and_then(|about| about.modified()).ok();
    written.and_then(|written| written.elapsed().ok()).is_none_or(|age| age < Duration::from_secs(3_600))
}

/// Folders written beside their place first, and put there together when all are whole.
pub(crate) struct Staged {
    place: PathBuf,
    staging: TempDir,
    begun: Begun,
}

/// How the folders and files are called that are written for now.
const STAGING: &str = ".foldmark-";

/// In such a folder, what is being replaced, and a list of it.
const REPLACED: &str = "replaced";
const TO_REPLACE: &str = "to-replace.txt";

impl Staged {
    /// Begins on folders that will stand in `place`: inside it where it exists, so that nothing has to be moved
    /// from one disk to another; beside it otherwise.
    pub(crate) fn new(place: &Path) -> Result<Staged, FileFault> {
        let beside = if place.is_dir() { place.to_owned() } else { parent_of(place)? };
        if place.symlink_metadata().is_ok() && !place.is_dir() {
            return Err(FileFault::of(place, "can't be written: this is a file, not a folder"));
        }
        let _writing = undisturbed();
        clear_leftovers(&beside, place);
        let made = tempfile::Builder::new().prefix(&staging_prefix()).tempdir_in(&beside);
        let staging = made.map_err(|error| unwritten(place, &error))?;
        let begun = Begun::new(staging.path());
        Ok(Staged { place: place.to_owned(), staging, begun })
    }

    /// Where a folder or file is written for now.
    pub(crate) fn path(&self, relative: &str) -> PathBuf {
        self.staging.path().join(relative)
    }

    /// Writes a file in the staging folder.
    pub(crate) fn write(&self, relative: &str, text: &str) -> Result<(), FileFault> {
        let _writing = undisturbed();
        let path = self.path(relative);
        parent_of(&path)?;
        // A fault names the place the user asked for, not the staging folder.
        fs::write(&path, text).map_err(|error| unwritten(&self.place.join(relative), &error))
    }

    /// Begins a file in the staging folder that is written bit by bit.
    pub(crate) fn begin(&self, relative: &str) -> Result<Growing, FileFault> {
        let _writing = undisturbed();
        let path = self.path(relative);
        parent_of(&path)?;
        let place = self.place.join(relative);
        let file = fs::File::create(&path).map_err(|error| unwritten(&place, &error))?;
        Ok(Growing { place, file: BufWriter::new(file) })
    }

    /// Adds files and empty folders to what is at the place, whatever else is there; none of them may be there yet.
    pub(crate) fn add(self, files: &[&str], folders: &[&str]) -> Result<(), FileFault> {
        let _writing = undisturbed();
        for folder in folders {
            fs::create_dir_all(self.place.join(folder)).map_err(|error| unwritten(&self.place.join(folder), &error))?;
        }
        for file in files {
            let place = self.place.join(file);
            parent_of(&place)?;
            fs::rename(self.path(file), &place).map_err(|error| unwritten(&place, &error))?;
        }
        Ok(())
    }

    /// Puts the named entries into their place. Without `force` nothing that is there is touched, and
    /// nothing is put if any of them exists. What is replaced is removed only when all is in place; where nothing was
    /// written for an entry, it is merely taken away.
    pub(crate) fn put(self, entries: &[&str], force: bool) -> Result<(), FileFault> {
        let _writing = undisturbed();
        fs::create_dir_all(&self.place).map_err(|error| unwritten(&self.place, &error))?;
        let there: Vec<&&str> =
            entries.iter().filter(|entry| self.place.join(entry).symlink_metadata().is_ok()).collect();
        if let (Some(first), false) = (there.first(), force) {
            return Err(exists(&self.place.join(first)));
        }
        let old = self.path(REPLACED);
        fs::create_dir_all(&old)
            .and_then(|()| fs::write(self.path(TO_REPLACE), entries.join("\n")))
            .map_err(|error| unwritten(&self.place, &error))?;
        let mut moved: Vec<(PathBuf, PathBuf)> = Vec::new();
        for entry in entries {
            let (place, aside) = (self.place.join(entry), old.join(entry));
            let step = (|| {
                if place.symlink_metadata().is_ok() {
                    aside.parent().map_or(Ok(()), fs::create_dir_all)?;
                    fs::rename(&place, &aside)?;
                    moved.push((aside.clone(), place.clone()));
                }
                if self.path(entry).symlink_metadata().is_ok() {
                    fs::rename(self.path(entry), &place)?;
                    moved.push((place.clone(), self.path(entry)));
                }
                Ok(())
            })();
            if let Err(error) = step {
                // Back to how it was, newest move first.
                let is_back =
                    moved.iter().rev().fold(true, |so_far, (from, to)| fs::rename(from, to).is_ok() && so_far);
                if !is_back {
                    // What could not be put back is kept, rather than removed with the staging folder.
                    let kept = self.staging.keep();
                    drop(self.begun);
                    let message = format!("can't be written: {}; what stood there is in {}", why(&error), shown(&kept));
                    return Err(FileFault::of(&place, message));
                }
                return Err(unwritten(&place, &error));
            }
        }
        Ok(())
    }
}

/// A file that is written bit by bit.
pub(crate) struct Growing<F: Write = fs::File> {
    place: PathBuf,
    file: BufWriter<F>,
}

impl<F: Write> Growing<F> {
    pub(crate) fn add(&mut self, text: &str) -> Result<(), FileFault> {
        self.add_bytes(text.as_bytes())
    }

    fn add_bytes(&mut self, bytes: &[u8]) -> Result<(), FileFault> {
        let _writing = undisturbed();
        self.file.write_all(bytes).map_err(|error| unwritten(&self.place, &error))
    }

    /// Writes out what is still held back; a full disk may show only here.
    pub(crate) fn end(self) -> Result<F, FileFault> {
        let _writing = undisturbed();
        self.file.into_inner().map_err(|error| unwritten(&self.place, error.error()))
    }
}

/// A single file written beside its place first, and put there when it is whole.
pub(crate) struct StagedFile {
    growing: Growing<NamedTempFile>,
    begun: Begun,
}

impl StagedFile {
    /// Begins on a file. Without `force` one that exists is left as it is.
    pub(crate) fn new(place: &Path, force: bool) -> Result<StagedFile, FileFault> {
        if place.is_dir() {
            return Err(FileFault::of(place, "can't be written: this is a folder, not a file"));
        }
        if !force && place.symlink_metadata().is_ok() {
            return Err(exists(place));
        }
        let _writing = undisturbed();
        let beside = parent_of(place)?;
        let mut builder = tempfile::Builder::new();
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let file = builder.prefix(&staging_prefix()).tempfile_in(&beside).map_err(|error| unwritten(place, &error))?;
        let begun = Begun::new(file.path());
        Ok(StagedFile { growing: Growing { place: place.to_owned(), file: BufWriter::new(file) }, begun })
    }

    pub(crate) fn add(&mut self, text: &str) -> Result<(), FileFault> {
        self.growing.add(text)
    }

    pub(crate) fn add_bytes(&mut self, bytes: &[u8]) -> Result<(), FileFault> {
        self.growing.add_bytes(bytes)
    }

    /// Puts it into its place.
    pub(crate) fn put(self) -> Result<(), FileFault> {
        let place = self.growing.place.clone();
        let file = self.growing.end()?;
        let _writing = undisturbed();
        file.persist(&place).map_err(|error| unwritten(&place, &error.error))?;
        drop(self.begun);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// No system gives a process this number: it is the highest there is.
    const NOBODY: &str = ".foldmark-4294967295-x";

    #[test]
    fn what_a_killed_program_left_goes_back_or_away() {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path();
        let write = |name: &str, text: &str| {
            let path = place.join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        };
        write(&format!("{NOBODY}/{TO_REPLACE}"), "a/week-1\nb");
        write(&format!("{NOBODY}/{REPLACED}/a/week-1/page"), "old");
        write(&format!("{NOBODY}/{REPLACED}/b"), "old");
        write("b", "new");
        fs::create_dir_all(place.join("a")).unwrap();
        write(".foldmark-mine", "not ours");
        if Path::new("/proc/self").exists() {
            let staged = Staged::new(place).unwrap();
            assert_eq!(fs::read_to_string(place.join("a/week-1/page")).unwrap(), "old");
            assert_eq!(fs::read_to_string(place.join("b")).unwrap(), "new");
            assert!(!place.join(NOBODY).exists() && place.join(".foldmark-mine").exists());
            // What is being written now is nobody's leftover.
            let other = Staged::new(place).unwrap();
            assert!(staged.staging.path().exists() && other.staging.path().exists());
        }
    }
}
