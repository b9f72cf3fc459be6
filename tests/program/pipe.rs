//! What a command line is used to: standard input by `-`, a line of JSON for each sheet as it is marked, colour and quiet where
//! they are asked for, man pages.

use super::command::SHEET;
use super::shared::sent::spreadsheet;
use super::shared::{folder, json_lines, names, run, told, write};
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};

fn start(dir: &Path, args: &[&str]) -> Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_foldmark"));
    let command = command.args(args).current_dir(dir).env("NO_COLOR", "1");
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
}

/// Runs `foldmark` with something on standard input.
fn fed(dir: &Path, args: &[&str], input: &[u8]) -> (i32, String, String) {
    let mut child = start(dir, args);
    child.stdin.take().unwrap().write_all(input).unwrap();
    told(child.wait_with_output().unwrap())
}

/// Writes a table of so many students, each with the same answers.
fn table(rows: usize) -> String {
    let mut text = "student,id,exercise,unit,ruler,given.zip,answer.finished_width,answer.mouth\n".to_owned();
    text.extend((0..rows).map(|row| format!("Sedge {row},{row},zip-pouch,in,1/8 in,8,7 1/2,7\n")));
    text
}

/// Whatever a file may be, standard input may be: the answers are the same as in a file of that kind.
#[test]
fn standard_input_is_told_by_its_content() {
    let dir = folder();
    let at = dir.path();
    let utf_16: Vec<u8> = std::iter::once(0xfeff).chain(table(2).encode_utf16()).flat_map(u16::to_le_bytes).collect();
    let rows: Vec<Vec<String>> = table(3).lines().map(|line| line.split(',').map(str::to_owned).collect()).collect();
    let letter = format!("Good evening,\nhere it is.\n\n{SHEET}\nSorrel\n");
    let kinds: [(&str, Vec<u8>); 7] = [
        ("answers.toml", SHEET.into()),
        ("letter.txt", letter.into()),
        ("table.csv", table(3).into()),
        ("table.tsv", table(3).replace(',', "\t").into()),
        ("sep.csv", format!("sep=;\r\n{}", table(3).replace(',', ";")).into()),
        ("wide.csv", utf_16),
        ("sheet.xlsx", spreadsheet(&rows)),
    ];
    for (name, bytes) in kinds {
        write(at, name, &bytes);
        let of_file = run(at, &["check", name]);
        let piped = fed(at, &["check", "-"], &bytes);
        assert!(of_file.0 < 2 && !of_file.1.is_empty(), "{name}: {of_file:?}");
        let named = |text: &str| text.replace(name, "standard input");
        assert_eq!(piped, (of_file.0, of_file.1.clone(), named(&of_file.2)), "{name}");
    }
    // What is wrong is told by a name that says where it came from.
    let (status, _, errors) = fed(at, &["check", "-"], b"student = ");
    assert!(status == 2 && errors.starts_with("error: standard input: "), "{errors}");
    let (status, _, errors) = fed(at, &["check", "-"], b"");
    assert!(status == 2 && errors.starts_with("error: standard input: "), "{errors}");
    // Beside files it is one of them, and a file of that name is one as well.
    write(at, "-", SHEET.replace("Sorrel", "Sage"));
    let (_, text, _) = fed(at, &["check", "./-", "-", "table.csv"], SHEET.as_bytes());
    assert!(text.starts_with("The class: 5 sheets"), "{text}");
}

/// In a class's folder what stands there holds for standard input, too.
#[test]
fn standard_input_is_marked_by_the_class_around() {
    let dir = folder();
    write(dir.path(), "class.toml", "[[exercise]]\nname = \"zip-pouch\"\nsteps = [\"mouth\"]\n");
    let (_, lines, notes) = fed(dir.path(), &["check", "-", "--json"], table(1).as_bytes());
    assert_eq!((json_lines(&lines)[0]["out_of"].as_f64(), lines.lines().count()), (Some(1.0), 1));
    assert!(notes.contains("marked by what class.toml lays down"), "{notes}");
}

/// A line comes as soon as its sheets are marked, and whoever has read enough may go.
#[test]
fn a_reader_may_stop_early() {
    let dir = folder();
    write(dir.path(), "table.csv", table(20_000));
    let mut child = start(dir.path(), &["check", "table.csv", "--json"]);
    let mut reader = BufReader::new(child.stdout.take().unwrap());
    let mut line = String::new();
    reader.read_line(&mut line).unwrap();
    assert_eq!(json_lines(&line)[0]["student"], "Sedge 0");
    assert!(child.try_wait().unwrap().is_none(), "20,000 sheets are not marked so soon");
    drop(reader);
    let mut errors = String::new();
    child.stderr.take().unwrap().read_to_string(&mut errors).unwrap();
    assert_eq!(errors, "");
    assert_ne!(child.wait().unwrap().code(), Some(2));
}

/// What a system says of the most memory that a program took, in kilobytes: proc(5).
#[cfg(target_os = "linux")]
#[test]
fn a_long_table_takes_no_more_memory_than_a_short_one() {
    let dir = folder();
    for switch in ["--json", "--details"] {
        let [short, long] = [3_000, 9_000].map(|rows| {
            write(dir.path(), "table.csv", table(rows));
            let mut child = start(dir.path(), &["check", "table.csv", switch]);
            let status = format!("/proc/{}/status", child.id());
            let mut reader = BufReader::new(child.stdout.take().unwrap());
            let (mut line, mut peak, mut bytes) = (String::new(), 0_usize, 0);
            while reader.read_line(&mut line).unwrap() > 0 {
                bytes += line.len();
                line.clear();
                if bytes % 7 == 0 {
                    let text = fs::read_to_string(&status).unwrap_or_default();
                    let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
                    peak = line.map_or(peak, |line| line.trim().trim_end_matches(" kB").parse().unwrap());
                }
            }
            child.wait().unwrap();
            (peak, bytes)
        });
        let (more, grown) = (long.1 - short.1, long.0.saturating_sub(short.0) * 1024);
        assert!(short.0 > 0 && grown < more / 4, "{switch}: {grown} bytes more memory for {more} bytes more to print");
    }
}

#[test]
fn colour_where_it_is_asked_for() {
    let dir = folder();
    write(dir.path(), "sheet.toml", SHEET);
    let coloured = |args: &[&str]| {
        let (_, text, errors) = run(dir.path(), args);
        (text + &errors).contains('\u{1b}')
    };
    // `run` sets NO_COLOR, and what it reads is no terminal.
    let wrong = ["check", "sheet.toml", "none.toml"];
    for (asked, is_coloured) in
        [(&[][..], false), (&["--color", "auto"], false), (&["--color=never"], false), (&["--color=always"], true)]
    {
        assert_eq!(coloured(&[&wrong, asked].concat()), is_coloured, "{asked:?}");
        assert_eq!(coloured(&[asked, &wrong].concat()), is_coloured, "{asked:?} before");
        // The help and what is said of a wrong command line, too.
        for words in [&["--help"][..], &["check", "--help"], &["chek"]] {
            assert_eq!(coloured(&[asked, words].concat()), is_coloured, "{asked:?} {words:?}");
        }
    }
    assert!(!coloured(&["check", "sheet.toml", "--", "--color=always"]), "after -- it is a file");
    assert_eq!(run(dir.path(), &["list", "--color", "sometimes"]).0, 2);
}

#[test]
fn quiet_leaves_out_notes_and_nothing_else() {
    let dir = folder();
    write(dir.path(), "class.toml", "title = \"Thursday\"\n");
    write(dir.path(), "sheet.toml", SHEET);
    let (status, text, said) = run(dir.path(), &["check", "sheet.toml", "none.toml"]);
    let (notes, errors): (Vec<&str>, Vec<&str>) = said.lines().partition(|line| line.starts_with("note: "));
    assert!(!notes.is_empty() && !errors.is_empty(), "{said}");
    for quiet in ["--quiet", "-q"] {
        let told = run(dir.path(), &["check", "sheet.toml", "none.toml", quiet]);
        assert_eq!(told, (status, text.clone(), errors.join("\n") + "\n"));
    }
}

/// Each command has a page, and the page tells what its help tells.
#[test]
fn man_pages() {
    let dir = folder();
    let (status, text, notes) = run(dir.path(), &["man", "--out", "pages"]);
    assert_eq!((status, text.as_str(), notes.as_str()), (0, "", "note: the man pages are in pages\n"));
    let pages = names(&dir.path().join("pages"));
    let (_, help, _) = run(dir.path(), &["--help"]);
    let commands = help.lines().skip_while(|line| *line != "Commands:").skip(1).take_while(|line| !line.is_empty());
    let commands =
        commands.filter_map(|line| line.strip_prefix("  ").filter(|line| !line.starts_with(' '))?.split(' ').next());
    let commands = commands.filter(|name| *name != "help");
    let mut expected: Vec<String> = commands.map(|name| format!("foldmark-{name}.1")).collect();
    expected.push("foldmark.1".to_owned());
    expected.sort();
    assert_eq!(pages, expected);
    // Marks of man(7): a title, a name and what it is, and the switches.
    for page in &pages {
        let text = fs::read_to_string(dir.path().join("pages").join(page)).unwrap();
        for part in [".TH foldmark", ".SH NAME", ".SH SYNOPSIS", "\\-\\-color", "\\-\\-quiet"] {
            assert!(text.contains(part), "{page}: {part} in {text}");
        }
    }
    let check = fs::read_to_string(dir.path().join("pages/foldmark-check.1")).unwrap();
    assert_eq!(run(dir.path(), &["man", "check"]), (0, check, String::new()));
    let (status, _, errors) = run(dir.path(), &["man", "chek"]);
    assert!(status == 2 && errors.contains("there is no command \"chek\""), "{errors}");
}

/// A book that can't be built opens nothing; one that can is not opened by a test.
#[test]
fn what_is_not_built_is_not_opened() {
    let dir = folder();
    let (status, text, errors) = run(dir.path(), &["book", "--open"]);
    assert!(status == 2 && text.is_empty() && errors.starts_with("error: ./book.toml"), "{errors}");
    assert!(errors.contains("foldmark start") && errors.contains("foldmark demo"), "where there may be one: {errors}");
}
