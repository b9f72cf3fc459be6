//! What several groups of tests do: take a shipped exercise, run the program as its users do, and look at what it left in a
//! folder.

// Each group is a program of its own, and none of them uses all of this.
#![allow(dead_code)]

pub mod heavy;
pub mod odd;
pub mod sent;

use foldmark::exercise::{Exercise, Shelf};
use serde_json::Value;
use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use std::sync::LazyLock;
use tempfile::TempDir;

/// Runs `foldmark` in a folder, without a terminal: exit status, standard output and standard error.
pub fn run(dir: &Path, args: &[impl AsRef<OsStr>]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_foldmark")).args(args).current_dir(dir).env("NO_COLOR", "1").output();
    told(output.unwrap())
}

/// The same of a program that has run: -1 is for one that the system ended.
pub fn told(output: Output) -> (i32, String, String) {
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap_or(-1), text(output.stdout), text(output.stderr))
}

/// What a program printed as lines of JSON.
pub fn json_lines(printed: &str) -> Vec<Value> {
    printed.lines().map(|line| serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}"))).collect()
}

pub fn folder() -> TempDir {
    tempfile::tempdir().unwrap()
}

/// Writes a file, and makes the folders it lies in.
pub fn write(dir: &Path, name: &str, text: impl AsRef<[u8]>) {
    let path = dir.join(name);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, text).unwrap();
}

/// The names of what lies in a folder, in order.
pub fn names(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(dir).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// Every file below a folder by its place there, with its bytes.
pub fn files(dir: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for name in names(dir) {
        let path = dir.join(&name);
        if path.is_dir() {
            found.extend(files(&path).into_iter().map(|(below, bytes)| (format!("{name}/{below}"), bytes)));
        } else {
            found.insert(name, fs::read(&path).unwrap());
        }
    }
    found
}

/// A shipped exercise. In a debug build reading one takes longer than most of what is then done with it, so that each is
/// read once for all tests.
pub fn exercise(name: &str) -> &'static Exercise {
    static SHELF: LazyLock<Shelf> = LazyLock::new(Shelf::shipped);
    SHELF.get(name).unwrap()
}

/// Whether files that tests hold against the program are to be written anew: `FOLDMARK_UPDATE=1`.
pub fn is_update() -> bool {
    std::env::var_os("FOLDMARK_UPDATE").is_some()
}

/// The shipped exercises as they are set where everything is asked for, and not only their core.
pub fn whole_shelf() -> Shelf {
    let mut shelf = Shelf::shipped();
    for exercise in Shelf::shipped().iter() {
        let mut whole = exercise.clone();
        whole.core.clear();
        shelf.put(whole);
    }
    shelf
}
