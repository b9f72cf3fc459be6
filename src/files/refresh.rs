//! Files that are written only where they say something else.

use super::fault::{FileFault, why};
use super::interrupt::{prepared, undisturbed};
use super::staged::{settle, staging_prefix};
use std::fs;
use std::io::Write;
use std::path::Path;

/// Writes a file whole, with the folders that lead to it, unless it says just that already. Whoever reads it meanwhile reads
/// the earlier file or the new one, and never a part.
///
/// # Errors
/// Why it can't be written.
pub(crate) fn refresh(path: &Path, text: &[u8]) -> Result<(), FileFault> {
    if fs::read(path).is_ok_and(|known| known == text) {
        return Ok(());
    }
    let unwritten = |error: std::io::Error| FileFault::of(path, format!("can't be written: {}", why(&error)));
    let folder = path.parent().unwrap_or(Path::new("."));
    prepared();
    let _writing = undisturbed();
    fs::create_dir_all(folder).map_err(unwritten)?;
    settle(folder);
    let named = tempfile::Builder::new().prefix(&staging_prefix()).tempfile_in(folder);
    let mut file = named.map_err(unwritten)?;
    file.write_all(text).map_err(unwritten)?;
    // What is made for a moment is its owner's alone; this is a page's.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        file.as_file().set_permissions(fs::Permissions::from_mode(0o644)).map_err(unwritten)?;
    }
    file.as_file().sync_all().map_err(unwritten)?;
    file.persist(path).map_err(|fault| unwritten(fault.error))?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_says_the_same_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a/b.js");
        refresh(&path, b"one").unwrap();
        let before = fs::metadata(&path).unwrap().modified().unwrap();
        refresh(&path, b"one").unwrap();
        assert_eq!(fs::metadata(&path).unwrap().modified().unwrap(), before);
        refresh(&path, b"two").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert!(refresh(&path.join("c"), b"one").is_err());
    }
}
