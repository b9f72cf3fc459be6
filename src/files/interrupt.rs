//! Ctrl-C while a result is written: what was begun is taken away again, and what stood in its place stays.
//!
//! Nothing has to look out for it: a thread of its own waits for the signal, then until no file is being written or put
//! into its place, and ends the program.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::exit;
use std::sync::{Mutex, OnceLock, PoisonError, RwLock, RwLockReadGuard};
use std::thread::sleep;
use std::time::Duration;

/// What was begun and is not yet put into its place.
static BEGUN: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

/// Held for reading while something is written or moved.
static WRITING: RwLock<()> = RwLock::new(());

/// Tells whoever interrupted that nothing was written.
static TELL: OnceLock<fn()> = OnceLock::new();

/// The exit status of a program that was interrupted, as shells have it.
const INTERRUPTED: i32 = 130;

/// Says what is told when the program was interrupted and what was begun is gone.
pub(crate) fn when_interrupted(tell: fn()) {
    TELL.get_or_init(|| tell);
}

/// A folder or file that is to be taken away if the program is interrupted; until this is dropped.
pub(crate) struct Begun(PathBuf);

impl Begun {
    pub(crate) fn new(path: &Path) -> Begun {
        static HANDLER: OnceLock<()> = OnceLock::new();
        // Where no handler can be set, an interruption leaves a hidden folder behind, and nothing worse.
        HANDLER.get_or_init(|| _ = ctrlc::set_handler(stop));
        BEGUN.lock().unwrap_or_else(PoisonError::into_inner).push(path.to_owned());
        Begun(path.to_owned())
    }
}

impl Drop for Begun {
    fn drop(&mut self) {
        BEGUN.lock().unwrap_or_else(PoisonError::into_inner).retain(|path| *path != self.0);
    }
}

/// As long as this is held, an interruption waits.
pub(crate) fn undisturbed() -> RwLockReadGuard<'static, ()> {
    WRITING.read().unwrap_or_else(PoisonError::into_inner)
}

fn stop() {
    let _writing = WRITING.write().unwrap_or_else(PoisonError::into_inner);
    for path in BEGUN.lock().unwrap_or_else(PoisonError::into_inner).iter() {
        // A book is built by mdBook, which does not wait: it may write a last file while its folder is taken away.
        for _ in 0..20 {
            let gone = if path.is_dir() { fs::remove_dir_all(path) } else { fs::remove_file(path) };
            if gone.is_ok() || path.symlink_metadata().is_err() {
                break;
            }
            sleep(Duration::from_millis(10));
        }
    }
    if let Some(tell) = TELL.get() {
        tell();
    }
    exit(INTERRUPTED);
}
