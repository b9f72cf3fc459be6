//! Results written beside their place first, and put there when they are whole.

use super::fault::{FileFault, why};
use super::interrupt::{Begun, has_put, prepared, undisturbed};
use crate::desk::shown;
use std::fs;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::thread::JoinHandle;
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

/// What a staging folder is called by the process that writes to it, and by where that process is known by its number.
pub(super) fn staging_prefix() -> String {
    format!("{STAGING}{}-{}-", std::process::id(), realm())
}

/// Among which processes a number is one's own: on another machine, after a new start of this one or in another container it
/// may be someone else's. FNV-1a (Fowler, Noll, Vo), 32 bit, of what Linux calls both.
fn realm() -> String {
    let start = fs::read_to_string("/proc/sys/kernel/random/boot_id").unwrap_or_default();
    let space = fs::read_link("/proc/self/ns/pid").unwrap_or_default();
    let bytes = start.bytes().chain(space.to_string_lossy().into_owned().into_bytes());
    let hash = bytes.fold(0x811c_9dc5_u32, |hash, byte| (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193));
    format!("{hash:08x}")
}

/// Takes away what programs that were killed left behind in a folder; what one of them was about to put into its place there
/// is put.
pub(crate) fn settle(folder: &Path) {
    let is_left = |entry: &fs::DirEntry| {
        let name = entry.file_name();
        let mut parts = name.to_str().and_then(|name| name.strip_prefix(STAGING)).unwrap_or_default().split('-');
        let process = parts.next().and_then(|process| process.parse::<u32>().ok());
        process.is_some_and(|process| !is_alive(process, parts.next().unwrap_or_default(), entry))
    };
    for left in fs::read_dir(folder).into_iter().flatten().flatten().filter(is_left) {
        let left = left.path();
        let journal = fs::read_to_string(left.join(JOURNAL)).unwrap_or_default();
        // What can't be put stays where it is, with all the rest.
        let put = journal.split_once('\n').map(|(within, lines)| put_all(&left, &folder.join(within), lines));
        if put.is_none_or(|put| put.is_ok()) {
            // What can't be taken away is in nobody's way.
            let _ = fs::remove_file(left.join(JOURNAL));
            let _ = if left.is_dir() { fs::remove_dir_all(&left) } else { fs::remove_file(&left) };
        }
    }
}

/// The same for a folder that there may not be yet: for what lies in it, and beside it.
pub(crate) fn settle_for(place: &Path) {
    let beside = place.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    settle(beside);
    settle(place);
}

/// Whether the process that a leftover is called by may still be at work: where the system does not tell, or the process is
/// one of another system, for an hour.
fn is_alive(process: u32, of: &str, left: &fs::DirEntry) -> bool {
    if of == realm() && Path::new("/proc/self").exists() {
        return process == std::process::id() || Path::new(&format!("/proc/{process}")).exists();
    }
    let written = left.metadata().and_then(|about| about.modified()).ok();
    written.and_then(|written| written.elapsed().ok()).is_none_or(|age| age < Duration::from_secs(3_600))
}

/// Puts what the lines of a journal list into its place, as far as it is not there yet: a line is an entry with `+` before it, which is
/// in the staging folder, or with `-`, which is to be gone.
fn put_all(staging: &Path, place: &Path, lines: &str) -> Result<(), (PathBuf, std::io::Error)> {
    for line in lines.lines() {
        let (sign, entry) = line.split_at_checked(1).unwrap_or_default();
        let (new, old, aside) = (staging.join(entry), place.join(entry), staging.join(REPLACED).join(entry));
        let is_there = |path: &Path| path.symlink_metadata().is_ok();
        let step = || {
            let is_to_go = if sign == "+" { is_there(&new) } else { !is_there(&aside) };
            if is_to_go && is_there(&old) {
                aside.parent().map_or(Ok(()), fs::create_dir_all)?;
                fs::rename(&old, &aside)?;
            }
            if sign == "+" && is_there(&new) {
                old.parent().map_or(Ok(()), fs::create_dir_all)?;
                fs::rename(&new, &old)?;
            }
            Ok(())
        };
        step().map_err(|error| (old.clone(), error))?;
    }
    Ok(())
}

/// Takes back what [`put_all`] has done, as far as that is possible: whether all is as it was.
fn take_back(staging: &Path, place: &Path, lines: &str) -> bool {
    let mut is_back = true;
    for line in lines.lines() {
        let (sign, entry) = line.split_at_checked(1).unwrap_or_default();
        let (new, old, aside) = (staging.join(entry), place.join(entry), staging.join(REPLACED).join(entry));
        let is_there = |path: &Path| path.symlink_metadata().is_ok();
        if sign == "+" && !is_there(&new) && is_there(&old) {
            is_back &= fs::rename(&old, &new).is_ok();
        }
        if is_there(&aside) {
            is_back &= !is_there(&old) && fs::rename(&aside, &old).is_ok();
        }
    }
    is_back
}

/// Folders written beside their place first, and put there together when all are whole.
pub(crate) struct Staged {
    place: PathBuf,
    /// What the place is called beside the staging folder; nothing, where that is in it.
    within: String,
    staging: TempDir,
    begun: Begun,
}

/// How the folders and files are called that are written for now.
const STAGING: &str = ".foldmark-";

/// In such a folder, what was replaced, and the list of what is put into its place, below a line that says what that is called
/// beside this folder: while the list is there, all of it was written, and whoever comes next puts it.
const REPLACED: &str = "replaced";
const JOURNAL: &str = "journal.txt";

impl Staged {
    /// Begins on folders that will stand in `place`: inside it where it exists, so that nothing has to be moved
    /// from one disk to another; beside it otherwise.
    pub(crate) fn new(place: &Path) -> Result<Staged, FileFault> {
        let name = place.file_name().filter(|_| !place.is_dir());
        let within = name.map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let beside = if within.is_empty() { place.to_owned() } else { parent_of(place)? };
        if place.symlink_metadata().is_ok() && !place.is_dir() {
            return Err(FileFault::of(place, "can't be written: this is a file, not a folder"));
        }
        prepared();
        let _writing = undisturbed();
        settle(&beside);
        let made = tempfile::Builder::new().prefix(&staging_prefix()).tempdir_in(&beside);
        let staging = made.map_err(|error| unwritten(place, &error))?;
        let begun = Begun::new(staging.path());
        Ok(Staged { place: place.to_owned(), within, staging, begun })
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

    /// Adds to the end of a file in the staging folder.
    pub(crate) fn append(&self, relative: &str, text: &str) -> Result<(), FileFault> {
        let _writing = undisturbed();
        let path = self.path(relative);
        parent_of(&path)?;
        let file = fs::OpenOptions::new().create(true).append(true).open(&path);
        let added = file.and_then(|mut file| file.write_all(text.as_bytes()));
        added.map_err(|error| unwritten(&self.place.join(relative), &error))
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
        for folder in folders {
            fs::create_dir_all(self.path(folder)).map_err(|error| unwritten(&self.place.join(folder), &error))?;
        }
        self.put(&[files, folders].concat(), false)
    }

    /// Puts the named entries into their place. Without `force` nothing that is there is touched, and
    /// nothing is put if any of them exists. What is replaced is removed only when all is in place; where nothing was
    /// written for an entry, it is merely taken away.
    pub(crate) fn put(self, entries: &[&str], force: bool) -> Result<(), FileFault> {
        let _writing = undisturbed();
        fs::create_dir_all(&self.place).map_err(|error| unwritten(&self.place, &error))?;
        let is_there = |path: PathBuf| path.symlink_metadata().is_ok();
        let there = entries.iter().find(|entry| is_there(self.place.join(entry)));
        if let (Some(first), false) = (there, force) {
            return Err(exists(&self.place.join(first)));
        }
        let sign = |entry: &&&str| match is_there(self.path(entry)) {
            true => Some("+"),
            false => is_there(self.place.join(entry)).then_some("-"),
        };
        let lines = entries.iter().filter_map(|entry| Some(format!("{}{entry}\n", sign(&entry)?)));
        let lines: String = lines.collect();
        // From here on all of it is put, by this program or, if that is killed, by the next; the list is there as a whole.
        let (list, begun) = (self.path(JOURNAL), self.path("journal-begun.txt"));
        fs::write(&begun, format!("{}\n{lines}", self.within))
            .and_then(|()| fs::rename(&begun, &list))
            .map_err(|error| unwritten(&self.place, &error))?;
        if let Err((place, error)) = put_all(self.staging.path(), &self.place, &lines) {
            if !take_back(self.staging.path(), &self.place, &lines) {
                // What could not be put back is kept, rather than removed with the staging folder.
                let kept = self.staging.keep();
                drop(self.begun);
                let message = format!("can't be written: {}; what stood there is in {}", why(&error), shown(&kept));
                return Err(FileFault::of(&place, message));
            }
            return Err(unwritten(&place, &error));
        }
        has_put();
        let _ = fs::remove_file(list);
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
    /// How much was added since the disk was last asked to take it in.
    since: usize,
    /// Who waits for the disk.
    waits: Option<JoinHandle<std::io::Result<()>>>,
}

/// So much is added to a file before the disk is asked to take it in.
const AHEAD: usize = 1 << 20;

impl StagedFile {
    /// Begins on a file. Without `force` one that exists is left as it is.
    pub(crate) fn new(place: &Path, force: bool) -> Result<StagedFile, FileFault> {
        if place.is_dir() {
            return Err(FileFault::of(place, "can't be written: this is a folder, not a file"));
        }
        if !force && place.symlink_metadata().is_ok() {
            return Err(exists(place));
        }
        prepared();
        let _writing = undisturbed();
        let beside = parent_of(place)?;
        settle(&beside);
        let mut builder = tempfile::Builder::new();
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let file = builder.prefix(&staging_prefix()).tempfile_in(&beside).map_err(|error| unwritten(place, &error))?;
        let begun = Begun::new(file.path());
        let growing = Growing { place: place.to_owned(), file: BufWriter::new(file) };
        Ok(StagedFile { growing, begun, since: 0, waits: None })
    }

    pub(crate) fn add(&mut self, text: &str) -> Result<(), FileFault> {
        self.add_bytes(text.as_bytes())
    }

    pub(crate) fn add_bytes(&mut self, bytes: &[u8]) -> Result<(), FileFault> {
        self.growing.add_bytes(bytes)?;
        self.since += bytes.len();
        if self.since > AHEAD && self.waits.as_ref().is_none_or(JoinHandle::is_finished) {
            self.since = 0;
            self.wait()?;
            self.write_through();
        }
        Ok(())
    }

    /// Has the disk take in what was written so far while more is worked out, so that at the end there is little to wait for.
    /// Where that can't be, the end waits for all of it.
    fn write_through(&mut self) {
        let Ok(file) = self.growing.file.get_ref().as_file().try_clone() else { return };
        self.waits = std::thread::Builder::new().spawn(move || file.sync_data()).ok();
    }

    /// Waits for the disk, which tells of what it could not take in only once.
    fn wait(&mut self) -> Result<(), FileFault> {
        let done = self.waits.take().map_or(Ok(()), |waits| waits.join().unwrap_or(Ok(())));
        done.map_err(|error| unwritten(&self.growing.place, &error))
    }

    /// Puts it into its place.
    pub(crate) fn put(mut self) -> Result<(), FileFault> {
        self.wait()?;
        let place = self.growing.place.clone();
        let file = self.growing.end()?;
        let _writing = undisturbed();
        file.as_file().sync_all().map_err(|error| unwritten(&place, &error))?;
        file.persist(&place).map_err(|error| unwritten(&place, &error.error))?;
        has_put();
        drop(self.begun);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// No system gives a process this number: it is the highest there is.
    fn of_nobody() -> String {
        format!("{STAGING}{}-{}-x", u32::MAX, realm())
    }

    #[test]
    fn what_a_killed_program_began_is_put_or_goes() {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path();
        let write = |name: &str, text: &str| {
            let path = place.join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        };
        let (left, unfinished) = (of_nobody(), of_nobody() + "y");
        // One entry was put, another moved aside only, a third is still there, a fourth is to go, a fifth is gone.
        write(&format!("{left}/{JOURNAL}"), "\n+a/week-1\n+b\n+c\n-d\n-e\n");
        for (name, text) in [
            ("replaced/a/week-1/page", "old"),
            ("replaced/b", "old"),
            ("b", "new"),
            ("c", "new"),
            ("replaced/e", "old"),
        ] {
            write(&format!("{left}/{name}"), text);
        }
        for (name, text) in [("a/week-1/page", "new"), ("c", "old"), ("d", "old"), ("e", "someone's since")] {
            write(name, text);
        }
        write(&format!("{unfinished}/c"), "never finished");
        write(&format!("{STAGING}mine"), "not ours");
        write(&format!("{STAGING}1-00000000-x/c"), "of another machine");
        if Path::new("/proc/self").exists() {
            let staged = Staged::new(place).unwrap();
            let text = |name: &str| fs::read_to_string(place.join(name)).unwrap();
            assert_eq!(["a/week-1/page", "b", "c", "e"].map(text), ["new", "new", "new", "someone's since"]);
            assert!(!["d", &left, &unfinished].iter().any(|name| place.join(name).exists()));
            assert!(place.join(format!("{STAGING}mine")).exists());
            assert!(place.join(format!("{STAGING}1-00000000-x")).exists());
            // What is being written now is nobody's leftover.
            let other = Staged::new(place).unwrap();
            assert!(staged.staging.path().exists() && other.staging.path().exists());
        }
    }

    /// A folder in which nothing can be put gets back all that was moved.
    #[test]
    fn what_can_not_be_put_is_taken_back() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("a"), "old").unwrap();
        // A file stands where a folder is needed.
        fs::write(folder.path().join("b"), "old").unwrap();
        let staged = Staged::new(folder.path()).unwrap();
        staged.write("a", "new").unwrap();
        staged.write("b/c", "new").unwrap();
        staged.put(&["a", "b/c"], true).unwrap_err();
        let left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        assert_eq!(left.len(), 2, "{left:?}");
        assert_eq!(fs::read_to_string(folder.path().join("a")).unwrap(), "old");
    }
}
