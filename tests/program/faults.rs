//! A disk that is full, and a program that is killed, at every call that changes something on a disk, one after another: what
//! stands there is then as it was before, or as it should be, and whole; a program that says that all is well has done all.
//! For one that was killed the next run has to see to that.

use super::shared::{self, folder, run, write};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::LazyLock;

/// The library that fails or kills.
fn library() -> &'static Path {
    static MADE: LazyLock<(tempfile::TempDir, PathBuf)> = LazyLock::new(|| {
        let dir = folder();
        write(dir.path(), "library.rs", include_str!("faulty/library.rs"));
        let made = dir.path().join("library.so");
        let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
        let status = Command::new(rustc)
            .args(["--edition=2021", "--crate-type=cdylib", "-o"])
            .args([made.as_os_str(), dir.path().join("library.rs").as_os_str()])
            .status();
        assert!(status.unwrap().success());
        (dir, made)
    });
    &MADE.1
}

/// Every file below a folder; whole secrets of classes, which chance makes, as if they were one.
fn files(dir: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = shared::files(dir);
    for (_, bytes) in found.iter_mut().filter(|(name, _)| name.ends_with("class.toml")) {
        let text = String::from_utf8_lossy(bytes);
        let masked = text.lines().map(|line| {
            let secret = line.strip_prefix("secret = \"").and_then(|rest| rest.strip_suffix('"'));
            if secret.is_some_and(|secret| secret.len() == 29) { "secret\n".to_owned() } else { format!("{line}\n") }
        });
        *bytes = masked.collect::<String>().into_bytes();
    }
    found
}

/// Runs a command once for each call that may go wrong, each time in a folder that `lay` makes. `next` is the run after it,
/// which sees to what was left.
fn at_every_call(lay: &dyn Fn(&Path), args: &[&str], next: &[&str]) {
    let laid = || {
        let dir = folder();
        lay(dir.path());
        dir
    };
    let is_seen = |name: &String| !name.split('/').any(|part| part.starts_with(".foldmark-"));
    let visible = |dir: &Path| files(dir).into_iter().filter(|(name, _)| is_seen(name)).collect::<BTreeMap<_, _>>();
    let new = laid();
    let before = files(new.path());
    let (status, _, errors) = run(new.path(), args);
    assert!(status < 2, "{errors}");
    let after = files(new.path());
    assert!(before != after && after.keys().all(is_seen));
    let with_fault = |fault: &str, call: usize| {
        let dir = laid();
        let mut command = Command::new(env!("CARGO_BIN_EXE_foldmark"));
        command.args(args).current_dir(dir.path()).env("LD_PRELOAD", library()).env(fault, call.to_string());
        let output = command.output().unwrap();
        let is_done = output.status.code().is_some_and(|code| code < 2);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        let what = format!("{fault}={call} {args:?}: {said}");
        let found = visible(dir.path());
        if output.status.code().is_some() {
            assert!(found == after || !is_done && found == before, "{what}{:?}", found.keys());
        }
        run(dir.path(), next);
        let found = files(dir.path());
        assert!(found == after || found == before, "{what}{:?}", found.keys());
        output.status.code().is_none()
    };
    let calls = (1..).take_while(|call| with_fault("KILLED_AT", *call)).count();
    assert!(calls > 5);
    for call in 1..=calls {
        with_fault("FULL_AT", call);
    }
}

const CLASS: &str = "roster = \"roster.csv\"\n[folders]\nsheets = \"sheets\"\nkeys = \"keys\"\n\
                     [practice]\nexercises = [\"sleeve\"]\n";

/// A week's sheets and its keys are of one set.
#[test]
fn a_set_that_replaces_another() {
    let lay = |dir: &Path| {
        write(dir, "class.toml", CLASS);
        write(dir, "roster.csv", "student\nTansy\n");
        assert_eq!(run(dir, &["practice"]).0, 0);
    };
    at_every_call(&lay, &["practice", "--week", "1", "--force", "--seed", "9"], &["check"]);
}

#[test]
fn a_class_that_is_started() {
    at_every_call(&|_| (), &["start", "class"], &["start", "class"]);
}

#[test]
fn results_that_replace_others() {
    let lay = |dir: &Path| {
        write(dir, "in/sorrel.toml", super::command::SHEET);
        assert!(run(dir, &["check", "in", "--out", "marked"]).0 < 2);
        write(dir, "in/tansy.toml", super::command::SHEET.replace("Sorrel", "Tansy"));
    };
    at_every_call(&lay, &["check", "in", "--out", "marked", "--force"], &["check", "in", "--out", "marked"]);
}

/// The folder of a class's results, with a page over the weeks for each student: what was marked before is read first, and may
/// not be whole when it is.
#[test]
fn a_class_that_is_marked_again() {
    let lay = |dir: &Path| {
        write(dir, "class.toml", CLASS.replace("[practice]", "handed_in = \"in\"\nmarked = \"marked\"\n[practice]"));
        write(dir, "roster.csv", "student\nSorrel\nTansy\n");
        write(dir, "in/sorrel.toml", super::command::SHEET);
        assert!(run(dir, &["check"]).0 < 2);
        write(dir, "in/tansy.toml", super::command::SHEET.replace("Sorrel", "Tansy"));
    };
    at_every_call(&lay, &["check"], &["check"]);
}
