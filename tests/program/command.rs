//! The command as its users meet it: help, exit status, and one clear sentence for every bad input.

use super::shared::{folder, names, run};
use std::fs;
use std::process::Command;

pub const SHEET: &str = "\
exercise = \"flap-roll\"
student = \"Sorrel\"
unit = \"in\"
ruler = \"1/8 in\"

[given]
sizing = \"layout\"
[[given.objects]]
name = \"chisel\"
length = \"9 1/2\"
spread = \"1 3/4\"
count = 6

[answer]
slot = \"1 3/4\"
slots_width = \"10 1/2\"
finished_width = \"11\"
";

#[test]
fn help_reads_well() {
    let dir = folder();
    for args in [
        &["--help"][..],
        &["check", "--help"],
        &["draft", "--help"],
        &["practice", "--help"],
        &["book", "--help"],
        &["demo", "--help"],
    ] {
        let (status, text, _) = run(dir.path(), args);
        assert_eq!(status, 0);
        insta::assert_snapshot!(format!("help_{}", args[0].trim_start_matches('-')), text);
    }
    let (status, _, errors) = run(dir.path(), &["chek"]);
    assert_eq!(status, 2);
    assert!(errors.contains("check"), "{errors}");
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let (status, script, _) = run(dir.path(), &["completions", shell]);
        assert!(status == 0 && script.contains("practice"));
    }
}

#[test]
fn list_and_explain() {
    let dir = folder();
    let (status, text, _) = run(dir.path(), &["list"]);
    assert_eq!(status, 0);
    let line = text.lines().find(|line| line.starts_with("flap-roll ")).unwrap();
    assert!(line.ends_with("  level 1  Roll with a folding flap"), "{text}");
    let (_, json, _) = run(dir.path(), &["list", "--json"]);
    let listed: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert!(listed.as_array().unwrap().iter().any(|exercise| exercise["name"] == "flap-roll"));
    let (status, text, _) = run(dir.path(), &["explain", "flap-roll"]);
    assert_eq!(status, 0);
    insta::assert_snapshot!("explain", text);
    let (status, _, errors) = run(dir.path(), &["explain", "flaproll"]);
    assert_eq!((status, errors.as_str()), (2, "error: there is no exercise \"flaproll\"; did you mean flap-roll?\n"));
}

#[test]
fn a_draft_for_ones_own_objects() {
    let dir = folder();
    let args = [
        "draft",
        "flap-roll",
        "--unit",
        "cm",
        "--ruler",
        "1 mm",
        "--given",
        "objects=name: tyre lever, length: 12,5, girth: 6, count: 3",
        "--given",
        "allowance=1 cm",
        "--choose",
        "pocket_height=7.2",
        "--figures",
        "figures",
    ];
    let (status, text, errors) = run(dir.path(), &args);
    assert_eq!(status, 0, "{errors}");
    insta::assert_snapshot!("draft", text);
    assert!(dir.path().join("figures/piece-pocket.svg").is_file());
    assert!(errors.ends_with("figures are in figures\n"), "{errors}");
    // A second run replaces nothing, and leaves nothing behind.
    let (status, _, errors) = run(dir.path(), &args);
    assert_eq!(status, 2);
    assert!(errors.contains("figures/step-02-slots_width.svg: this exists already"), "{errors}");
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);

    let faulty = [
        "draft",
        "flap-roll",
        "--given",
        "objects=length: 12 in, girth: 0, count: 3",
        "--given",
        "allowence=1 cm",
        "--given",
        "grip",
    ];
    assert_eq!(
        run(dir.path(), &faulty).2,
        "error: \"grip\" is not a given; write name=value, such as \"allowance=1/2 in\", or a row such as \"objects=name: chisel, length: 9 in, count: 4\"\n"
    );
    assert_eq!(
        run(dir.path(), &faulty[..6]).2,
        "error: given.allowence: Roll with a folding flap has no such given; did you mean `allowance`?\n"
    );
    assert_eq!(
        run(dir.path(), &faulty[..4]).2,
        "error: given.objects.1.girth: \"0\": read 0, but it has no unit; add in, ft, yd, mm, cm or m\n"
    );
    let zero = ["draft", "flap-roll", "--unit", "in", faulty[2], faulty[3]];
    assert_eq!(
        run(dir.path(), &zero).2,
        "error: given.objects.1.girth: 0 in is out of range; girth (object 1) goes from 1/4 in to 20 in\n"
    );
    let (status, _, errors) =
        run(dir.path(), &["draft", "flap-roll", "--choose", "flap=30 in", "--choose", "cut_width=3 in"]);
    assert_eq!(status, 2);
    assert!(errors.ends_with("error: \"cut_width\" is not chosen in this exercise; the choices are pocket_height, flap, tie_length, basting, turning_gap\n"), "{errors}");
    let (status, _, errors) = run(dir.path(), &["draft", "flap-roll", "--choose", "flap=30 in"]);
    assert_eq!(status, 2);
    assert!(errors.contains("Flap of 30 in (your choice) is outside the rule: at most 7 1/8 in"), "{errors}");
}

#[test]
fn exit_status_tells_how_marking_went() {
    let dir = folder();
    let (status, ..) = run(dir.path(), &["practice", "flap-roll", "--count", "2", "--seed", "4", "--out", "set"]);
    assert_eq!(status, 0);
    assert_eq!(run(dir.path(), &["check", "set/key"]).0, 0, "a key is all right");
    assert_eq!(run(dir.path(), &["check", "set/answers"]).0, 2, "an empty answer file names no student");
    fs::write(dir.path().join("sorrel.toml"), SHEET).unwrap();
    let (status, text, errors) = run(dir.path(), &["check", "sorrel.toml"]);
    assert_eq!((status, errors.as_str()), (1, ""), "answers are missing");
    assert!(text.starts_with("Sorrel: Roll with a folding flap, 3 of 18 points\n"), "{text}");
    let (status, json, _) = run(dir.path(), &["check", "--json", "sorrel.toml"]);
    let data: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!((status, &data["sheets"][0]["points"]), (1, &serde_json::json!(3)));
    assert_eq!(data["sheets"][0]["answers"][0]["verdict"], "right");
}

/// Each bad answer file gets one sentence with file, line and key; the good one beside it is marked all the same.
#[test]
fn bad_answer_files() {
    let dir = folder();
    let write = |name: &str, text: &[u8]| {
        // A student each: of two sheets of one student only the later counts.
        let student = format!("student = \"{}\"", name.trim_end_matches(".toml"));
        let at = text.windows(student.len()).position(|part| part.starts_with(b"student = \"Sorrel\""));
        let text = at.map(|at| [&text[..at], student.as_bytes(), &text[at + 18..]].concat());
        fs::write(dir.path().join(name), text.unwrap_or_default()).unwrap();
    };
    let plain = |name: &str, text: &[u8]| fs::write(dir.path().join(name), text).unwrap();
    let good = SHEET.replace("11\"", "11 in\"");
    write("00-good.toml", good.as_bytes());
    write("01-unreadable.toml", SHEET.replace("10 1/2", "10 1/2 bananas").as_bytes());
    write("02-repeated.toml", SHEET.replace("[answer]", "[answer]\nslot = \"2\"").as_bytes());
    write("03-unknown.toml", SHEET.replace("finished_width", "finished_widht").as_bytes());
    write("04-negative.toml", SHEET.replace("\"11\"", "\"-11\"").as_bytes());
    write("05-absurd.toml", SHEET.replace("\"11\"", "\"120 m\"").as_bytes());
    plain("06-empty.toml", b"");
    write("07-latin.toml", &SHEET.replace("chisel", "ciseau \u{e9}").chars().map(|c| c as u8).collect::<Vec<_>>());
    plain("08-huge.toml", &vec![b'#'; 50_000_000]);
    plain("09-no-student.toml", SHEET.replace("student", "# student").as_bytes());
    write("10-given.toml", SHEET.replace("\"9 1/2\"", "\"1,250 mm\"").as_bytes());
    write("11-no-unit.toml", SHEET.replace("unit =", "# unit =").as_bytes());
    write("12-exercise.toml", SHEET.replace("flap-roll", "flap-rol").as_bytes());
    plain("13-not-toml.toml", b"student = Sorrel");
    write("14-tall.toml", SHEET.replace("\"9 1/2\"", "\"99 in\"").as_bytes());
    write("15-escape.toml", SHEET.replace("\"11\"", "\"\\u001b[2J11\"").as_bytes());
    let (status, text, errors) = run(dir.path(), &["check", "."]);
    assert_eq!(status, 2);
    assert!(text.starts_with("The class: 8 sheets"), "{text}");
    assert!(text.is_ascii() || !text.contains('\u{1b}'));
    assert!(!errors.contains('\u{1b}'));
    insta::assert_snapshot!("bad_answer_files", errors);
}

#[test]
fn paths_that_are_not_there_or_hold_nothing() {
    let dir = folder();
    fs::create_dir(dir.path().join("empty")).unwrap();
    let (status, _, errors) = run(dir.path(), &["check", "nowhere.toml", "empty"]);
    assert_eq!(status, 2);
    assert_eq!(
        errors,
        "error: empty: there are no answer files (.toml) and no tables (.csv) in this folder\nerror: nowhere.toml: there is no such file\n"
    );
    let (status, _, errors) = run(dir.path(), &["book", "empty"]);
    assert_eq!(status, 2);
    assert!(errors.starts_with("error: empty/book.toml"), "{errors}");
    let (status, _, errors) = run(dir.path(), &["list", "--exercises", "nowhere"]);
    assert_eq!(status, 2);
    assert!(errors.starts_with("error: nowhere: the folder of exercises can't be read"), "{errors}");
}

#[test]
fn a_set_replaces_nothing_unless_told_to() {
    let dir = folder();
    let set = |extra: &[&str]| {
        let mut args = vec!["practice", "flap-roll", "--count", "2", "--out", "set"];
        args.extend(extra);
        run(dir.path(), &args)
    };
    let (status, text, _) = set(&[]);
    assert_eq!(status, 0);
    assert_eq!(
        text,
        "2 sheets of Roll with a folding flap at level 1 for seed 1.\nTo print: set/sheets/sheets.html, one page a student. Empty answer files: set/answers, and table.csv there to type in what comes back on paper. The key: set/key, in short key-table.html.\n"
    );
    let made = |folder: &str| names(&dir.path().join("set").join(folder));
    assert_eq!(made("sheets"), ["sheet-01.html", "sheet-02.html", "sheets.html"]);
    assert_eq!(made("answers"), ["answers-01.toml", "answers-02.toml", "table.csv"]);
    assert_eq!(made("key"), ["key-01.toml", "key-02.toml", "key-table.html", "key.html", "made-from", "set.toml"]);
    let before = fs::read_to_string(dir.path().join("set/key/key-01.toml")).unwrap();
    let (status, _, errors) = set(&["--seed", "9"]);
    assert_eq!(
        (status, errors.as_str()),
        (2, "error: set/sheets: this exists already; choose another place, or add --force to replace it\n")
    );
    assert_eq!(fs::read_to_string(dir.path().join("set/key/key-01.toml")).unwrap(), before);
    assert_eq!(set(&["--seed", "9", "--force"]).0, 0);
    assert_ne!(fs::read_to_string(dir.path().join("set/key/key-01.toml")).unwrap(), before);
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "no temporary folder stays");
    // Homework that was handed in under another name is never taken away, with --force neither.
    fs::write(dir.path().join("set/answers/rosemary.toml"), "answers").unwrap();
    let (status, _, errors) = set(&["--force"]);
    assert_eq!(status, 2);
    assert_eq!(
        errors,
        "error: set/answers/rosemary.toml: this is not of an earlier set; move it, or choose another place with --out\n"
    );
    assert!(dir.path().join("set/answers/rosemary.toml").is_file());
    let (status, _, errors) = run(dir.path(), &["practice", "flap-roll", "--count", "0", "--out", "none"]);
    assert_eq!((status, errors.as_str()), (2, "error: a set needs at least one sheet\n"));
    assert!(!dir.path().join("none").exists());
}

/// A folder that can't be written: below a file. (Permissions would not do: tests may run as root.)
#[test]
fn a_folder_that_cannot_be_written() {
    let dir = folder();
    fs::write(dir.path().join("file"), "text").unwrap();
    for args in [
        &["practice", "flap-roll", "--out", "file/set"][..],
        &["draft", "flap-roll", "--figures", "file/figures"],
        &["demo", "--out", "file/demo"],
    ] {
        let (status, _, errors) = run(dir.path(), args);
        assert_eq!(status, 2);
        assert!(errors.contains("error: file: can't be written: "), "{errors}");
    }
    let (status, _, errors) = run(dir.path(), &["practice", "flap-roll", "--out", "file"]);
    assert_eq!(status, 2);
    assert!(errors.contains("file: can't be written"), "{errors}");
    assert_eq!(fs::read_to_string(dir.path().join("file")).unwrap(), "text");
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
}

#[test]
fn the_demo_replaces_only_itself() {
    let dir = folder();
    let (status, text, errors) = run(dir.path(), &["demo"]);
    assert_eq!((status, errors.as_str()), (0, ""));
    assert!(text.contains("foldmark-demo/lessons/index.html"), "{text}");
    for made in [
        "lessons/index.html",
        "marking/class.txt",
        "marking/index.html",
        "marking/students/018.html",
        "practice/sheets/sheet-12.html",
        "practice/key/key-12.toml",
    ] {
        assert!(dir.path().join("foldmark-demo").join(made).is_file(), "{made}");
    }
    let details = fs::read_to_string(dir.path().join("foldmark-demo/marking/class.txt")).unwrap();
    let class = text.split("\nThe lessons:").next().unwrap();
    assert!(class.starts_with("The class: 18 sheets") && details.contains(class), "{class}");
    assert!(details.starts_with("Agrimony: Roll with a folding flap, 17 of 18 points\n"), "{details}");
    assert_eq!(run(dir.path(), &["demo"]).0, 0, "an earlier demo is replaced");
    fs::create_dir(dir.path().join("taken")).unwrap();
    fs::write(dir.path().join("taken/mine.txt"), "notes").unwrap();
    let (status, _, errors) = run(dir.path(), &["demo", "--out", "taken"]);
    assert_eq!(
        (status, errors.as_str()),
        (2, "error: taken: this exists and is not an earlier demo; choose another place with --out\n")
    );
    assert_eq!(fs::read_dir(dir.path().join("taken")).unwrap().count(), 1);
}

#[test]
fn an_instructors_own_exercises() {
    let dir = folder();
    let own = dir.path().join("own");
    fs::create_dir(&own).unwrap();
    let shipped = include_str!("../../exercises/flap-roll.toml");
    fs::write(own.join("flap-roll.toml"), shipped.replace("Roll with a folding flap", "Our roll")).unwrap();
    fs::write(own.join("other.toml"), shipped.replace("Roll with a folding flap", "Another roll")).unwrap();
    let (status, text, errors) = run(dir.path(), &["list", "--exercises", "own"]);
    assert_eq!(status, 0);
    assert!(text.contains("Our roll") && text.contains("Another roll") && !text.contains("Roll with a folding flap"));
    assert_eq!(errors, "note: own/flap-roll.toml replaces the shipped exercise flap-roll\n");
    let (status, text, _) = run(dir.path(), &["proof", "own/other.toml"]);
    assert_eq!((status, text.as_str()), (0, "own/other.toml: no faults in 18 steps, 27 slips and 5 pieces\n"));
    fs::write(
        own.join("other.toml"),
        shipped.replace("finished_width = ", "finished = ").replace("slots_width + side_ease", "slots_width + 3"),
    )
    .unwrap();
    let (status, _, errors) = run(dir.path(), &["proof", "own/other.toml"]);
    assert_eq!(status, 2);
    assert!(errors.starts_with("error: own/other.toml: line "), "{errors}");
    assert!(
        errors.contains(
            "step.finished_width.value: a length and a number can't be added; give 3 a unit, or multiply instead"
        ),
        "{errors}"
    );
}

/// mdBook empties the folder it writes to, so a folder with anything else in it is refused; and a fault in a
/// lesson leaves the earlier pages as they were.
#[test]
fn a_book_replaces_only_an_earlier_book() {
    let dir = folder();
    fs::create_dir_all(dir.path().join("course/src")).unwrap();
    let write = |name: &str, text: &str| fs::write(dir.path().join(name), text).unwrap();
    write("course/book.toml", "[book]\ntitle = \"Course\"\n");
    write("course/src/SUMMARY.md", "# Summary\n\n- [One](one.md)\n");
    write("course/src/one.md", "# One\n\nHalf is `= 1/2 in as 1 mm`.\n");
    write("mine.txt", "notes");
    let (status, _, errors) = run(dir.path(), &["book", "course", "--out", "."]);
    assert_eq!(status, 2);
    assert!(errors.contains("this is not of an earlier build of a book"), "{errors}");
    assert_eq!(fs::read_to_string(dir.path().join("mine.txt")).unwrap(), "notes");
    assert_eq!(run(dir.path(), &["book", "course", "--out", "pages"]).0, 0);
    assert_eq!(run(dir.path(), &["book", "course", "--out", "pages"]).0, 0, "an earlier build is replaced");
    // Pages are put in place as a whole folder, and nobody is left standing in the old one.
    let (status, _, errors) = run(&dir.path().join("pages"), &["book", "../course", "--out", "."]);
    assert_eq!(status, 2);
    assert!(errors.contains("the pages replace this folder, and you are in it"), "{errors}");
    let page = || fs::read_to_string(dir.path().join("pages/one.html")).unwrap();
    let before = page();
    assert!(before.contains("Half is ≈\u{a0}1.3\u{a0}cm."));
    write("course/src/one.md", "# One\n\nHalf is `= half an inch`.\n");
    let (status, _, errors) = run(dir.path(), &["book", "course", "--out", "pages"]);
    assert_eq!(status, 2);
    assert!(errors.contains("one.md, line 3: `= half an inch`: "), "{errors}");
    assert_eq!(page(), before);
}

/// Standard output that nobody reads to its end is no fault.
#[test]
fn a_closed_pipe_is_no_fault() {
    let output = Command::new("sh")
        .args(["-c", &format!("'{}' explain flap-roll | head -n 1", env!("CARGO_BIN_EXE_foldmark"))])
        .output();
    let output = output.unwrap();
    assert!(output.status.success());
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
}

/// A megabyte of nonsense is told in a few lines. How much work that takes is counted in `nonsense.rs`.
#[test]
fn large_nonsense_is_refused() {
    let dir = folder();
    let write = |name: &str, text: String| fs::write(dir.path().join(name), text).unwrap();
    write("0.toml", format!("{}slot = [{}]\n", SHEET.split("slot").next().unwrap(), "\"1\",".repeat(200_000)));
    write("1.toml", "a=1\n".repeat(200_000));
    write("2.toml", "=\n".repeat(400_000));
    let keys: String = (0..80_000).map(|at| format!("k{at}=1\n")).collect();
    write("3.toml", format!("{SHEET}{keys}"));
    write("4.toml", SHEET.replace("[[given.objects]]\n", &format!("[[given.objects]]\n{keys}")));
    write("5.toml", SHEET.replace("[given]\n", &format!("[given]\n{keys}")));
    let (status, _, errors) = run(dir.path(), &["check", "."]);
    assert_eq!(status, 2);
    assert!(errors.lines().count() < 400, "{}", errors.lines().count());
}

/// Names that would become paths, and text that would reach the terminal, are refused when an exercise is read.
#[test]
fn hostile_exercises_are_refused() {
    let dir = folder();
    let shipped = include_str!("../../exercises/flap-roll.toml");
    let proof = |text: String| {
        fs::write(dir.path().join("mine.toml"), text).unwrap();
        let (status, _, errors) = run(dir.path(), &["proof", "mine.toml"]);
        assert_eq!(status, 2, "{errors}");
        assert!(!errors.contains('\u{1b}'));
        errors
    };
    let errors = proof(shipped.replace("name = \"interfacing\"", "name = \"/../../x\""));
    assert!(errors.contains("\"/../../x\" can't be a name here"), "{errors}");
    let errors = proof(shipped.replace("name = \"interfacing\"", "name = \"tie\""));
    assert!(errors.contains("the name \"tie\" stands here twice"), "{errors}");
    let errors = proof(shipped.replace("title = \"Interfacing\"", "title = \"\\u001b[31mInterfacing\""));
    assert!(errors.contains("there is an invisible character in it (\\u{1b})"), "{errors}");
    let errors = proof(shipped.replace("usual = [\"1/4 in\", \"6 mm\", \"5 mm\"]", "usual = \"9 in\""));
    assert!(errors.contains("a usual value lies outside the range"), "{errors}");
    let errors = proof(shipped.replace("one = [\"outer: base\"]", "one = [\"tie: lower edge\"]"));
    assert!(
        errors.contains("seam.base: with the example's values the other side is 8 in shorter than it should be"),
        "{errors}"
    );
}
