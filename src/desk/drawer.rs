//! Files that lie nowhere: names and bytes.

use super::files::{Files, LONGEST, More, too_long};
use super::told::Told;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// A folder of files by their names, with a slash between a folder and what lies in it.
///
/// ```
/// use foldmark::desk::{Drawer, Files};
/// use std::path::Path;
/// let files = [("class.toml".to_owned(), vec![]), ("handed-in/tansy.toml".to_owned(), b"code".to_vec())].into();
/// let drawer = Drawer { files };
/// assert!(drawer.is_folder(Path::new("handed-in")) && drawer.is_file(Path::new("./class.toml")));
/// assert_eq!(drawer.bytes(Path::new("handed-in/tansy.toml")).unwrap(), b"code");
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Drawer {
    /// The files.
    pub files: BTreeMap<String, Vec<u8>>,
}

impl Drawer {
    fn find(&self, path: &Path) -> Result<&Vec<u8>, Told> {
        let found = name(path).and_then(|name| self.files.get(&name));
        found.ok_or_else(|| Told::of(path, "there is no such file"))
    }

    /// The files below a folder: what is left of their names, and their bytes.
    pub fn within<'d>(&'d self, folder: &str) -> impl Iterator<Item = (&'d str, &'d Vec<u8>)> + use<'d> {
        let start = if folder.is_empty() { String::new() } else { format!("{folder}/") };
        let length = start.len();
        let from = self.files.range(start.clone()..).take_while(move |(name, _)| name.starts_with(&start));
        from.map(move |(name, bytes)| (&name[length..], bytes))
    }
}

/// A path as the drawer's names are written.
fn name(path: &Path) -> Option<String> {
    let parts = path.components().filter(|part| !matches!(part, std::path::Component::CurDir));
    let parts: Option<Vec<&str>> = parts.map(|part| part.as_os_str().to_str()).collect();
    Some(parts?.join("/"))
}

impl Files for Drawer {
    fn is_file(&self, path: &Path) -> bool {
        self.find(path).is_ok()
    }

    fn is_folder(&self, path: &Path) -> bool {
        name(path).is_some_and(|name| self.within(&name).next().is_some())
    }

    fn entries(&self, folder: &Path) -> Result<Vec<(PathBuf, bool)>, Told> {
        let below = name(folder).unwrap_or_default();
        let first = |(name, _): (&str, _)| match name.split_once('/') {
            Some((first, _)) => (folder.join(first), true),
            None => (folder.join(name), false),
        };
        let entries: BTreeSet<(PathBuf, bool)> = self.within(&below).map(first).collect();
        match entries.is_empty() {
            true => Err(Told::of(folder, "it is not there")),
            false => Ok(entries.into_iter().collect()),
        }
    }

    fn open(&self, path: &Path) -> Result<(More, u64), Told> {
        let bytes = self.find(path)?.clone();
        let (length, mut at) = (bytes.len() as u64, 0);
        let more = move |most: usize, to: &mut Vec<u8>| {
            let part = &bytes[at..(at + most).min(bytes.len())];
            to.extend_from_slice(part);
            at += part.len();
            Ok(part.len())
        };
        Ok((Box::new(more), length))
    }

    fn bytes(&self, path: &Path) -> Result<Vec<u8>, Told> {
        let bytes = self.find(path)?;
        match bytes.len() as u64 {
            length if length > LONGEST => Err(Told::of(path, too_long(length, LONGEST))),
            _ => Ok(bytes.clone()),
        }
    }
}
