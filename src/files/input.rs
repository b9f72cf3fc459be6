//! Standard input as one more file.

use super::disk::Disk;
use super::fault::why;
use crate::desk::{Files, LONGEST, More, Told, too_long};
use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// The files of this machine, and beside them what comes on standard input.
pub(crate) struct WithInput {
    /// What came, laid by without a name: it is read more than once, and may be longer than the memory.
    laid_by: Arc<Mutex<File>>,
    length: u64,
}

impl WithInput {
    /// How standard input is called.
    pub const NAME: &str = "standard input";

    /// Reads standard input to its end.
    ///
    /// # Errors
    /// Why that could not be done, as a sentence.
    pub fn read() -> Result<WithInput, String> {
        let read = || {
            let mut file = tempfile::tempfile()?;
            let length = io::copy(&mut io::stdin().lock(), &mut file)?;
            Ok((file, length))
        };
        let (file, length) =
            read().map_err(|error: io::Error| format!("{} can't be read: {}", Self::NAME, why(&error)))?;
        Ok(WithInput { laid_by: Arc::new(Mutex::new(file)), length })
    }

    fn is_input(path: &Path) -> bool {
        path == Path::new(Self::NAME)
    }
}

impl Files for WithInput {
    fn is_file(&self, path: &Path) -> bool {
        Self::is_input(path) || Disk.is_file(path)
    }

    fn is_folder(&self, path: &Path) -> bool {
        !Self::is_input(path) && Disk.is_folder(path)
    }

    fn entries(&self, folder: &Path) -> Result<Vec<(PathBuf, bool)>, Told> {
        Disk.entries(folder)
    }

    fn open(&self, path: &Path) -> Result<(More, u64), Told> {
        if !Self::is_input(path) {
            return Disk.open(path);
        }
        let (file, path, mut at) = (Arc::clone(&self.laid_by), path.to_owned(), 0);
        let more = move |most: usize, to: &mut Vec<u8>| {
            let mut file = file.lock().unwrap_or_else(PoisonError::into_inner);
            let read = file.seek(SeekFrom::Start(at)).and_then(|_| file.by_ref().take(most as u64).read_to_end(to));
            let read = read.map_err(|error| Told::of(&path, format!("it can't be read: {}", why(&error))))?;
            at += read as u64;
            Ok(read)
        };
        Ok((Box::new(more), self.length))
    }

    fn bytes(&self, path: &Path) -> Result<Vec<u8>, Told> {
        if !Self::is_input(path) {
            return Disk.bytes(path);
        }
        if self.length > LONGEST {
            return Err(Told::of(path, too_long(self.length, LONGEST)));
        }
        let (mut more, _) = self.open(path)?;
        let mut bytes = Vec::new();
        more(LONGEST as usize, &mut bytes)?;
        Ok(bytes)
    }
}
