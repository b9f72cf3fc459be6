//! A drawer as one file: a ZIP archive, the same bytes for the same files.

use super::drawer::Drawer;
use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

/// Most that is unpacked: files, and bytes in all of them. An archive of a few bytes may claim to hold any number.
pub(super) const MOST_FILES: usize = 20_000;
pub(super) const MOST_BYTES: u64 = 64 << 20;

/// How much the files are compressed, from 1 to 9: someone waits for it.
const LEVEL: i64 = 3;

/// Packs all files. They are all of the first day that the format knows, for when they were made is nobody's business.
pub(super) fn packed(drawer: &Drawer) -> Result<Vec<u8>, String> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .compression_level(Some(LEVEL))
        .last_modified_time(DateTime::default())
        .unix_permissions(0o644);
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let mut write = |name: &String, bytes: &Vec<u8>| -> Result<(), Box<dyn std::error::Error>> {
        writer.start_file(name.as_str(), options)?;
        Ok(writer.write_all(bytes)?)
    };
    let failed = |error: &dyn std::fmt::Display| format!("the archive can't be made: {error}");
    drawer.files.iter().try_for_each(|(name, bytes)| write(name, bytes)).map_err(|error| failed(&error))?;
    writer.finish().map(Cursor::into_inner).map_err(|error| failed(&error))
}

/// Unpacks an archive: the names of its files, and their bytes.
///
/// # Errors
/// If it is none, or holds more than is read.
pub(super) fn unpacked(bytes: Vec<u8>) -> Result<BTreeMap<String, Vec<u8>>, String> {
    let unread = || "this can't be read as an archive; unpack it, and give the folder".to_owned();
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|_| unread())?;
    if archive.len() > MOST_FILES {
        return Err(format!("there are {} files in this archive; at most {MOST_FILES} are read", archive.len()));
    }
    let mut files = BTreeMap::new();
    let mut left = MOST_BYTES;
    for at in 0..archive.len() {
        let file = archive.by_index(at).map_err(|_| unread())?;
        // What would lie outside of the folder that is unpacked is left out.
        let name = file.enclosed_name().and_then(|path| path.to_str().map(|name| name.replace('\\', "/")));
        let Some(name) = name.filter(|_| file.is_file()) else { continue };
        let mut bytes = Vec::new();
        file.take(left + 1).read_to_end(&mut bytes).map_err(|_| unread())?;
        left = left.checked_sub(bytes.len() as u64).ok_or_else(|| {
            format!("there are more than {} MB in this archive; unpack it, and give the folder", MOST_BYTES >> 20)
        })?;
        files.insert(name, bytes);
    }
    Ok(files)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_packed_comes_out_again() {
        let files = [("a/ä.toml", "x"), ("class.toml", "")].map(|(name, text)| (name.to_owned(), text.into()));
        let drawer = Drawer { files: BTreeMap::from(files) };
        let archive = packed(&drawer).unwrap();
        assert_eq!(archive, packed(&drawer).unwrap());
        assert_eq!(unpacked(archive).unwrap(), drawer.files);
        assert!(unpacked(b"PK\x03\x04 no archive".to_vec()).is_err());
    }

    #[test]
    fn an_archive_that_swells_is_refused() {
        let zeros = vec![0; usize::try_from(MOST_BYTES).unwrap() / 2 + 1];
        let two = ["one", "two"].map(|name| (name.to_owned(), zeros.clone()));
        let archive = packed(&Drawer { files: BTreeMap::from(two) }).unwrap();
        assert!(archive.len() < 2 << 20, "{}", archive.len());
        assert!(unpacked(archive).unwrap_err().starts_with("there are more than 64 MB"));
    }
}
