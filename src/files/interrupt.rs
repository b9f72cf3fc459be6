//! Ctrl-C while a result is written: what was begun is taken away again, and what stood in its place stays.
//!
//! Nothing has to look out for it: a thread of its own waits for the signal, then until no file is being written or put
//! into its place, and ends the program.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::exit;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, OnceLock, PoisonError, RwLock, RwLockReadGuard};
use std::thread::{self, sleep};
use std::time::Duration;

/// What was begun and is not yet put into its place.
static BEGUN: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

/// Held for reading while something is written or moved.
static WRITING: RwLock<()> = RwLock::new(());

/// Whether something was put into its place.
static HAS_PUT: AtomicBool = AtomicBool::new(false);

/// Tells whoever interrupted whether something was written.
static TELL: OnceLock<fn(bool)> = OnceLock::new();

/// The exit status of a program that was interrupted, as shells have it.
const INTERRUPTED: i32 = 130;

/// Says what is told when the program was interrupted and what was begun is gone: it is asked with whether something was put
/// into its place before.
pub(crate) fn when_interrupted(tell: fn(bool)) {
    TELL.get_or_init(|| tell);
}

/// A folder or file that is to be taken away if the program is interrupted; until this is dropped.
pub(crate) struct Begun(PathBuf);

/// From now on an interruption is waited for; whoever makes a file or a folder calls this before.
pub(crate) fn prepared() {
    static HANDLER: OnceLock<()> = OnceLock::new();
    // Where no handler can be set, an interruption leaves a hidden folder behind, and nothing worse. Where the system gives no
    // thread, nobody would wait for it, and it would do nothing at all.
    HANDLER.get_or_init(|| {
        if thread::Builder::new().spawn(|| ()).is_ok() {
            let _ = ctrlc::set_handler(stop);
        }
    });
}

/// Something was put into its place.
pub(crate) fn has_put() {
    HAS_PUT.store(true, Ordering::Relaxed);
}

impl Begun {
    pub(crate) fn new(path: &Path) -> Begun {
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
        tell(HAS_PUT.load(Ordering::Relaxed));
    }
    exit(INTERRUPTED);
}
