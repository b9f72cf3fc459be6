//! A disk that is full, and a program that is killed, at every call that changes something on a disk, one after another: what
//! stands there is then as it was before, or as it should be, and whole; a program that says that all is well has done all.
//! For one that was killed the next run has to see to that.

use super::shared::{self, folder, run, write};
use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::process::Stdio;
use std::sync::LazyLock;
use std::time::{Duration, Instant};

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

/// Runs a command with a fault at each call that may go wrong, one after another, each time in a folder that `lay` makes. `next` is
/// the run after it, which sees to what was left.
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
    // Whether the program was killed by it.
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

/// As small a book as there is: without what is searched, what is printed and mdBook's own letters.
const BOOK: &str = "[book]\ntitle = \"Lessons\"\nsrc = \"src\"\n[build]\nbuild-dir = \"pages\"\n[preprocessor.foldmark]\n\
                    [output.html.search]\nenable = false\n[output.html.print]\nenable = false\n";

fn lay_book(dir: &Path) {
    write(dir, "book.toml", BOOK);
    write(dir, "theme/fonts/fonts.css", "");
    write(dir, "src/SUMMARY.md", "- [A roll](roll.md)\n");
    write(dir, "src/roll.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"/>");
    write(dir, "src/roll.md", "# A roll\n\n```foldmark draft\nexercise = \"zip-pouch\"\n```\n");
}

/// The pages of a book, with all that mdBook puts beside them. What was left is seen to by whatever command comes next.
#[test]
fn a_book_that_is_built_again() {
    let dir = folder();
    lay_book(dir.path());
    write(dir.path(), "class.toml", "title = \"Thursday\"\n");
    assert_eq!(run(dir.path(), &["book"]).0, 0);
    let built = shared::files(dir.path());
    let lay = |dir: &Path| {
        built.iter().for_each(|(name, bytes)| write(dir, name, bytes));
        write(dir, "src/roll.md", "# Another roll\n\nHalf an inch is `= 1/2 in as 1 mm`.\n");
    };
    at_every_call(&lay, &["book"], &["check"]);
}

/// Moments that nobody chose, up to a little after a command would have ended.
struct Moments(Pcg64);

impl Moments {
    /// Runs a command and kills it; whether it was killed before its end.
    fn kill(&mut self, dir: &Path, args: &[&str], takes: Duration) -> bool {
        let mut command = Command::new(env!("CARGO_BIN_EXE_foldmark"));
        command.args(args).current_dir(dir).stdout(Stdio::null()).stderr(Stdio::null());
        let mut child = command.spawn().unwrap();
        // Mostly towards the end, where things are put.
        let part = f64::from(self.0.next_u32()) / f64::from(u32::MAX);
        std::thread::sleep(takes.mul_f64(part.sqrt() * 1.1));
        child.kill().unwrap();
        child.wait().unwrap().code().is_none()
    }

    /// A command takes a folder from one state to another, and back. Wherever it is killed, the folder is in one of the two
    /// once the next run has looked at it.
    fn between(&mut self, dir: &Path, times: usize, args: [&[&str]; 2], next: Option<&[&str]>) -> usize {
        let state = |args: &[&str]| {
            let start = Instant::now();
            assert!(run(dir, args).0 < 2);
            (files(dir), start.elapsed())
        };
        let ((one, _), (other, takes)) = (state(args[0]), state(args[1]));
        assert!(one != other);
        let kill = |at: &usize| {
            let args = args[at % 2];
            let is_killed = self.kill(dir, args, takes);
            run(dir, next.unwrap_or(args));
            let found = files(dir);
            assert!(found == one || found == other, "{args:?} {:?}", found.keys());
            is_killed
        };
        (0..times).filter(kill).count()
    }
}

#[test]
fn kills_at_two_hundred_random_moments() {
    let mut moments = Moments(Pcg64::new(7, 11));
    let mut killed = 0;
    let dir = folder();
    write(dir.path(), "class.toml", CLASS);
    write(dir.path(), "roster.csv", "student\nTansy\nSorrel\n");
    let seeded = |seed| ["practice", "--week", "1", "--force", "--seed", seed];
    let next: &[&str] = &["practice", "--week", "1"];
    killed += moments.between(dir.path(), 80, [&seeded("3"), &seeded("4")], Some(next));

    let dir = folder();
    write(dir.path(), "one/sorrel.toml", super::command::SHEET);
    write(dir.path(), "other/tansy.toml", super::command::SHEET.replace("Sorrel", "Tansy"));
    let marked = |of| ["check", of, "--out", "marked", "--force"];
    let next: &[&str] = &["check", "one", "--out", "marked"];
    killed += moments.between(dir.path(), 60, [&marked("one"), &marked("other")], Some(next));

    let dir = folder();
    lay_book(&dir.path().join("one"));
    lay_book(&dir.path().join("other"));
    write(dir.path(), "other/src/roll.md", "# Another roll\n");
    let built = |of| ["book", of, "--out", "pages"];
    killed += moments.between(dir.path(), 20, [&built("one"), &built("other")], None);

    let start = Instant::now();
    let dir = folder();
    run(dir.path(), &["start", "class"]);
    let (whole, takes) = (files(dir.path()), start.elapsed());
    for _ in 0..40 {
        let dir = folder();
        killed += usize::from(moments.kill(dir.path(), &["start", "class"], takes));
        run(dir.path(), &["start", "class"]);
        assert_eq!(files(dir.path()).keys().collect::<Vec<_>>(), whole.keys().collect::<Vec<_>>());
        assert!(files(dir.path()) == whole);
    }
    println!("{killed} of 200 runs were killed before their end");
    assert!(killed > 60, "{killed}");
}
