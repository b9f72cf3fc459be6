//! What lies on a disk.

use super::fault::{FileFault, why};
use super::read::{open, read_bytes, unread};
use crate::desk::{Files, More, Told};
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

/// The files of this machine.
#[derive(Debug, Clone, Copy)]
pub struct Disk;

impl Files for Disk {
    fn is_file(&self, path: &Path) -> bool {
        path.is_file()
    }

    fn is_folder(&self, path: &Path) -> bool {
        path.is_dir()
    }

    fn entries(&self, folder: &Path) -> Result<Vec<(PathBuf, bool)>, Told> {
        let entries = fs::read_dir(folder).map_err(|error| FileFault::of(folder, why(&error)))?;
        // A link to a folder may lead in a circle, and is told of as no file.
        let entry = |entry: fs::DirEntry| (entry.path(), entry.file_type().is_ok_and(|kind| kind.is_dir()));
        let mut entries: Vec<(PathBuf, bool)> = entries.flatten().map(entry).collect();
        // The order of a folder differs from machine to machine.
        entries.sort();
        Ok(entries)
    }

    fn open(&self, path: &Path) -> Result<(More, u64), Told> {
        let (file, length) = open(path)?;
        // As long as it was when it was opened: who still writes to it does not keep us for ever.
        let (mut file, path) = (file.take(length), path.to_owned());
        let more = move |most: usize, to: &mut Vec<u8>| {
            to.reserve(most.min(usize::try_from(file.limit()).unwrap_or(usize::MAX)));
            let read = file.by_ref().take(most as u64).read_to_end(to);
            read.map_err(|error| unread(&path, &error).into())
        };
        Ok((Box::new(more), length))
    }

    fn bytes(&self, path: &Path) -> Result<Vec<u8>, Told> {
        Ok(read_bytes(path)?)
    }
}
