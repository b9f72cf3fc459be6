//! Reading a text file that someone else wrote.

use crate::text::harmless;
use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::Path;

/// Longest text file that is read, in bytes.
const LONGEST: u64 = 1 << 20;

/// Reads a text file.
///
/// # Errors
/// A sentence if there is no such file, it is none, too long, or not UTF-8.
pub fn read_text(path: &Path) -> Result<String, String> {
    String::from_utf8(read_bytes(path)?).map_err(|error| {
        let name = harmless(&path.display().to_string(), 200).into_owned();
        let valid = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = valid.iter().filter(|byte| **byte == b'\n').count() + 1;
        format!("{name}: line {line}: the file is not UTF-8 text; save it as UTF-8 in your editor")
    })
}

/// Reads a file that should be text, where whoever asks tells by themselves what is none.
///
/// # Errors
/// A sentence if there is no such file, it is none, or too long.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, String> {
    let name = harmless(&path.display().to_string(), 200).into_owned();
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
    Ok(bytes)
}
