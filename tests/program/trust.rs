//! What strangers and unlucky systems do to the program: names of every script, a book from elsewhere, no threads, no room
//! for what is printed, names that are devices, links that lead astray.

use super::shared::{files, folder, names, run, write};
use std::path::Path;
use std::process::Command;

fn class(dir: &Path, class_file: &str, roster: &str) {
    write(dir, "class.toml", class_file);
    write(dir, "roster.csv", roster);
}

const CLASS: &str = "roster = \"roster.csv\"\n[folders]\nsheets = \"sheets\"\nkeys = \"keys\"\n\
                     [practice]\nexercises = [\"sleeve\"]\n";

/// A name that can't be taken costs its own sheet alone, and is told; a student called like a device gets a file that every
/// system can keep.
#[test]
fn one_bad_name_stops_nobody_else() {
    let dir = folder();
    class(dir.path(), CLASS, "student\nTansy\n\u{3164}\nمی\u{200c}رود\nCon\n");
    let (status, _, errors) = run(dir.path(), &["practice"]);
    assert_eq!(status, 2, "{errors}");
    assert!(
        errors.contains("roster.csv: row 3: there is an invisible character in it (\\u{3164}); take it out"),
        "{errors}"
    );
    assert!(!errors.contains("row 4"), "{errors}");
    let sheets = names(&dir.path().join("sheets/week-1"));
    assert_eq!(sheets.len(), 5, "three sheets, all of them in one, and the answer files: {sheets:?}");
    let set = std::fs::read_to_string(dir.path().join("sheets/week-1/sheets.html")).unwrap();
    assert!(set.contains("<bdi>می\u{200c}رود</bdi>"));
}

/// The same name with an accent in its letter, or after it, is the same student's.
#[test]
fn one_name_in_two_forms_is_one_student() {
    let dir = folder();
    let class_file = CLASS.replace("keys = \"keys\"", "keys = \"keys\"\nhanded_in = \"in\"\nmarked = \"marked\"");
    class(dir.path(), &class_file, "student\nRen\u{e9}\n");
    let sheet = super::command::SHEET.replace("Sorrel", "Rene\u{301}");
    write(dir.path(), "in/rene.toml", sheet);
    let (_, _, errors) = run(dir.path(), &["check"]);
    assert!(!errors.contains("not on the roster"), "{errors}");
    let book = std::fs::read_to_string(dir.path().join("marked/gradebook.csv")).unwrap();
    assert_eq!(book.lines().count(), 2, "{book}");
}

#[test]
fn names_of_devices_are_no_folders() {
    let dir = folder();
    for (keys, says) in [("CON", "no name that a folder can have"), ("Sheets", "keys never lie with the sheets")] {
        class(dir.path(), &CLASS.replace("keys = \"keys\"", &format!("keys = \"{keys}\"")), "student\nTansy\n");
        let (status, _, errors) = run(dir.path(), &["practice"]);
        assert!(status == 2 && errors.contains(says), "{errors}");
    }
}

#[cfg(unix)]
#[test]
fn keys_that_lead_to_the_sheets_are_refused() {
    let dir = folder();
    class(dir.path(), CLASS, "student\nTansy\n");
    std::fs::create_dir(dir.path().join("sheets")).unwrap();
    std::os::unix::fs::symlink("sheets", dir.path().join("keys")).unwrap();
    let (status, _, errors) = run(dir.path(), &["practice"]);
    assert!(status == 2 && errors.contains("keys: this leads to the same place as"), "{errors}");
    assert_eq!(names(&dir.path().join("sheets")), [""; 0]);
}

const BOOK: &str = "[book]\ntitle = \"T\"\nsrc = \"src\"\n";

/// Commands of a book are named and not run, unless that is asked for.
#[cfg(unix)]
#[test]
fn a_book_runs_no_command_of_its_own() {
    let dir = folder();
    let told = "touch ran-preprocessor";
    let book = format!(
        "{BOOK}[preprocessor.x]\ncommand = \"{told}\"\n[output.html]\n[output.paper]\ncommand = \"touch ran-output\"\n"
    );
    write(dir.path(), "book.toml", book);
    write(dir.path(), "src/SUMMARY.md", "- [One](one.md)\n");
    write(dir.path(), "src/one.md", "# One\n");
    let (status, _, errors) = run(dir.path(), &["book"]);
    assert_eq!(status, 0, "{errors}");
    assert!(errors.contains("the program touch ran-preprocessor ([preprocessor.x]), which was not called"), "{errors}");
    assert!(errors.contains("the program touch ran-output ([output.paper]), which was not called"), "{errors}");
    assert!(!files(dir.path()).keys().any(|name| name.contains("ran-")));
    run(dir.path(), &["book", "--allow-commands"]);
    assert!(files(dir.path()).keys().any(|name| name.contains("ran-preprocessor")));
    // A renderer is called in a folder of its own, and is told where the book lies.
    let book = format!("{BOOK}[output.html]\n[output.paper]\ncommand = \"sh -c 'cat > told.json'\"\n");
    write(dir.path(), "book.toml", book);
    let (status, _, errors) = run(dir.path(), &["book", "--allow-commands"]);
    assert_eq!(status, 0, "{errors}");
    let told = std::fs::read_to_string(dir.path().join("book/paper/told.json")).unwrap();
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    let root = Path::new(told["root"].as_str().unwrap());
    assert!(root.is_absolute() && root.join("src/one.md").is_file(), "{}", root.display());
}

/// Chapters and included texts that never end, or lead in a circle, end in a sentence; in seconds, and with no pages.
#[cfg(target_os = "linux")]
#[test]
fn a_book_is_made_of_plain_files() {
    use std::os::unix::fs::symlink;
    let build = |lay: &dyn Fn(&Path), says: &str| {
        let dir = folder();
        write(dir.path(), "book.toml", BOOK);
        write(dir.path(), "src/SUMMARY.md", "- [One](one.md)\n");
        lay(dir.path());
        let (status, _, errors) = run(dir.path(), &["book"]);
        assert!(status == 2 && errors.contains(says), "{says}: {errors}");
        assert!(!dir.path().join("book").exists());
    };
    let fifo = |path: &Path| assert!(Command::new("mkfifo").arg(path).status().unwrap().success());
    build(&|dir| fifo(&dir.join("src/one.md")), "one.md: this is no ordinary file");
    build(&|dir| symlink("/dev/zero", dir.join("src/one.md")).unwrap(), "one.md: this is no ordinary file");
    build(&|dir| write(dir, "src/one.md", "{{#include /dev/zero}}"), "/dev/zero: this is no ordinary file");
    build(&|dir| write(dir, "src/one.md", "{{#include one.md}}\n".repeat(50)), "a file may include itself");
    build(
        &|dir| {
            write(dir, "src/one.md", "# One");
            symlink(".", dir.join("src/again")).unwrap();
        },
        "again: this link leads back to a folder that it lies in",
    );
    build(&|dir| write(dir, "src/SUMMARY.md", "- [One](../../one.md)\n"), "lies outside of the book's folder");
    build(
        &|dir| {
            std::fs::remove_file(dir.join("book.toml")).unwrap();
            fifo(&dir.join("book.toml"));
        },
        "book.toml: this is no ordinary file",
    );
    build(
        &|dir| std::fs::File::create(dir.join("src/one.md")).unwrap().set_len(1 << 40).unwrap(),
        "a book has at most",
    );
}

/// A disk or a pipe without room for the help is told.
#[cfg(target_os = "linux")]
#[test]
fn help_that_can_not_be_printed() {
    for program in [env!("CARGO_BIN_EXE_foldmark"), env!("CARGO_BIN_EXE_mdbook-foldmark")] {
        let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let output = Command::new(program).arg("--help").stdout(full).output().unwrap();
        assert_eq!(output.status.code(), Some(2));
        assert!(String::from_utf8(output.stderr).unwrap().contains("can't be printed"));
    }
}

/// A library that is loaded before all others, and refuses every thread.
#[cfg(target_os = "linux")]
#[test]
fn without_threads_all_is_done_in_one() {
    let dir = folder();
    let source =
        "#[no_mangle] pub extern \"C\" fn pthread_create(_: usize, _: usize, _: usize, _: usize) -> i32 { 11 }";
    write(dir.path(), "refuses.rs", source);
    let library = dir.path().join("refuses.so");
    let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let made = Command::new(rustc)
        .args(["--edition=2021", "--crate-type=cdylib", "-o"])
        .args([library.as_os_str(), dir.path().join("refuses.rs").as_os_str()])
        .status();
    assert!(made.unwrap().success());
    write(dir.path(), "sorrel.toml", super::command::SHEET);
    write(dir.path(), "book.toml", BOOK);
    write(dir.path(), "src/SUMMARY.md", "- [One](one.md)\n- [Two](two.md)\n");
    write(dir.path(), "src/one.md", "# One\nHalf an inch is `= 1/2 in as 1 mm`.\n");
    write(dir.path(), "src/two.md", "# Two\nHalf an inch is `= 1/2 in as 1 mm`.\n");
    for args in [&["check", "sorrel.toml", "--out"][..], &["check", "sorrel.toml", "--gradebook"], &["book", "--out"]] {
        let done = |out: &str, refused: bool| {
            let mut command = Command::new(env!("CARGO_BIN_EXE_foldmark"));
            command.args(args).arg(out).current_dir(dir.path());
            if refused {
                command.env("LD_PRELOAD", &library);
            }
            let output = command.output().unwrap();
            (output.status.code(), String::from_utf8(output.stderr).unwrap().replace(out, "OUT"))
        };
        let (with, without) = (done("with", false), done("without", true));
        assert_eq!(with, without);
        assert!(with.0.is_some_and(|status| status < 2), "{with:?}");
        let (with, without) = (dir.path().join("with"), dir.path().join("without"));
        if with.is_dir() {
            assert_eq!(files(&with), files(&without));
            std::fs::remove_dir_all(with).unwrap();
            std::fs::remove_dir_all(without).unwrap();
        } else {
            assert_eq!(std::fs::read(&with).unwrap(), std::fs::read(&without).unwrap());
            std::fs::remove_file(with).unwrap();
            std::fs::remove_file(without).unwrap();
        }
    }
}
