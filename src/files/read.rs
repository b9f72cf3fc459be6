//! Reading a text file that someone else wrote.

use super::fault::{FileFault, why};
use crate::desk::{LONGEST, decoded, too_long};
use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::Path;

/// Reads a text file, in whatever encoding it is.
///
/// # Errors
/// If there is no such file, it is none, too long, or no text.
pub fn read_text(path: &Path) -> Result<String, FileFault> {
    let decoded = decoded(read_bytes(path)?);
    let decoded = decoded.ok_or_else(|| FileFault::of(path, "this is no text; save it as plain text (UTF-8)"))?;
    Ok(decoded.text)
}

/// Reads a file that should be text, where whoever asks tells by themselves what is none.
///
/// # Errors
/// If there is no such file, it is none, or too long.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, FileFault> {
    read_limited(path, LONGEST)
}

/// Reads a file of so many bytes at most.
pub(crate) fn read_limited(path: &Path, longest: u64) -> Result<Vec<u8>, FileFault> {
    let (file, length) = open(path)?;
    let mut bytes = Vec::new();
    // One byte more than is allowed tells that there is more, whatever the file's size claims.
    file.take(longest + 1).read_to_end(&mut bytes).map_err(|error| unread(path, &error))?;
    if bytes.len() as u64 > longest {
        return Err(FileFault::of(path, too_long(length, longest)));
    }
    Ok(bytes)
}

/// Opens an ordinary file; with it comes how long it is, in bytes.
pub(super) fn open(path: &Path) -> Result<(File, u64), FileFault> {
    let about = fs::metadata(path).map_err(|error| unread(path, &error))?;
    if !about.is_file() {
        return Err(FileFault::of(path, "this is no ordinary file"));
    }
    Ok((File::open(path).map_err(|error| unread(path, &error))?, about.len()))
}

pub(super) fn unread(path: &Path, error: &std::io::Error) -> FileFault {
    #[cfg_attr(
        not(test),
        expect(clippy::wildcard_enum_match_arm, reason = "the system's kinds of error are many, and grow")
    )]
    let message = match error.kind() {
        ErrorKind::NotFound => "there is no such file".to_owned(),
        ErrorKind::PermissionDenied => "this file may not be read by you".to_owned(),
        _ => format!("the file can't be read: {}", why(error)),
    };
    FileFault::of(path, message)
}
