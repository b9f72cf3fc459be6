//! A class's folder, driven as an instructor would drive it.

use super::shared::{files, folder, run};
use std::fs;

#[test]
fn a_class_works_at_once() {
    let dir = folder();
    let (status, text, errors) = run(dir.path(), &["start", "class"]);
    assert_eq!((status, errors.as_str()), (0, ""), "{text}");
    let class = dir.path().join("class");

    let (status, text, errors) = run(&class, &["proof", "exercises/napkin-roll.toml"]);
    assert_eq!((status, errors.as_str()), (0, ""), "{text}");

    let (status, text, errors) = run(&class, &["practice"]);
    assert_eq!((status, errors.as_str()), (0, ""));
    assert!(text.starts_with("3 sheets of Napkin roll at level 1 for seed 1 and the class's secret.\n"), "{text}");
    let sheet = fs::read_to_string(class.join("sheets/week-1/sheet-01-rosemary.html")).unwrap();
    assert!(sheet.contains("<strong><bdi>Rosemary</bdi></strong>"));
    assert!(!class.join("sheets/week-1/key.html").exists() && class.join("keys/week-1/key.html").exists());
    // The next set is another week's, and another one.
    assert!(
        run(&class, &["practice"])
            .1
            .starts_with("3 sheets of Napkin roll at level 1 for seed 2 and the class's secret.\n")
    );
    let next = fs::read_to_string(class.join("sheets/week-2/sheet-01-rosemary.html")).unwrap();
    assert_ne!(sheet, next);
    let (status, text, _) = run(&class, &["practice", "--level", "2", "--slips", "1", "flap-roll", "napkin-roll"]);
    assert_eq!(status, 0);
    assert!(
        text.starts_with(
            "3 sheets of Roll with a folding flap, Napkin roll at level 2 for seed 3 and the class's secret.\n"
        ),
        "{text}"
    );
    assert!(class.join("sheets/week-3/answers/answers-02-sorrel-flap-roll.toml").exists());

    // The key of the first week, handed in, is right; the example has one slip.
    for name in ["key-01-rosemary", "key-02-sorrel"] {
        fs::copy(class.join(format!("keys/week-1/{name}.toml")), class.join(format!("handed-in/{name}.toml"))).unwrap();
    }
    let (status, text, errors) = run(&class, &["check"]);
    assert_eq!(status, 1, "{text}{errors}");
    assert!(text.starts_with("The class: 3 sheets, of which 2 have full marks."), "{text}");
    assert!(class.join("marked/index.html").is_file());
    assert_eq!(run(&class, &["check"]).0, 1, "marking again replaces the pages");

    let (status, text, errors) = run(&class, &["book"]);
    assert_eq!(status, 0, "{errors}");
    assert_eq!(text, "The lessons are in ./pages; open index.html there.\n");
    assert!(fs::read_to_string(class.join("pages/index.html")).unwrap().contains("Cut width"));
}

#[test]
fn starting_again_changes_nothing_that_is_there() {
    let dir = folder();
    run(dir.path(), &["start", "class"]);
    let class = dir.path().join("class");
    fs::write(class.join("roster.csv"), "student\nSedge\n").unwrap();
    fs::remove_file(class.join("handed-in/rosemary.toml")).unwrap();
    fs::write(class.join("notes.txt"), "my own").unwrap();
    let before = files(&class);
    for (at, place) in [(dir.path(), "class"), (&class, ".")] {
        let (status, text, _) = run(at, &["start", place]);
        let says = format!("{place} is the folder of a class already; nothing was made, and nothing changed.\n");
        assert_eq!((status, text), (0, says));
        assert_eq!(files(&class), before, "what was deleted does not come back");
    }
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "no staging folder stays");
    // A folder that is no class yet keeps what is in it.
    fs::remove_file(class.join("class.toml")).unwrap();
    let (_, text, _) = run(dir.path(), &["start", "class"]);
    assert!(text.contains("  left as it is  roster.csv\n") && text.contains("  made           class.toml\n"), "{text}");
    assert_eq!(fs::read_to_string(class.join("roster.csv")).unwrap(), "student\nSedge\n");
}

#[test]
fn a_file_in_the_way_stays() {
    let dir = folder();
    fs::write(dir.path().join("class"), "a file").unwrap();
    let (status, _, errors) = run(dir.path(), &["start", "class"]);
    assert_eq!(
        (status, errors.as_str()),
        (2, "error: class: this is a file; name a folder, or one that does not exist yet\n")
    );
    assert_eq!(fs::read_to_string(dir.path().join("class")).unwrap(), "a file");
}

#[test]
fn nothing_is_made_where_something_is_in_the_way() {
    let dir = folder();
    fs::create_dir_all(dir.path().join("class/roster.csv")).unwrap();
    for name in ["handed-in", "marked"] {
        fs::write(dir.path().join("class").join(name), "mine").unwrap();
    }
    let (status, text, errors) = run(dir.path(), &["start", "class"]);
    assert_eq!((status, text.as_str()), (2, ""));
    assert_eq!(
        errors,
        "error: class/handed-in: this is a file, and a folder belongs here; move it\n\
         error: class/marked: this is a file, and a folder belongs here; move it\n\
         error: class/roster.csv: this is a folder, and a file belongs here; move it\n"
    );
    assert_eq!(fs::read_dir(dir.path().join("class")).unwrap().count(), 3);
}

/// Whoever marks a class from elsewhere has its own exercises at hand as well.
#[test]
fn a_class_is_marked_from_elsewhere() {
    let dir = folder();
    run(dir.path(), &["start", "class"]);
    let marked = |arguments: &[&str]| {
        let (status, text, errors) = run(dir.path(), arguments);
        assert_eq!(status, 1, "{errors}");
        assert!(text.contains("Rosemary"), "{text}");
        errors
    };
    assert_eq!(marked(&["check", "class/handed-in"]), "note: marked by what class/class.toml lays down\n");
    marked(&["check", "class/handed-in/rosemary.toml"]);
    assert!(!dir.path().join("class/marked/index.html").exists());
    marked(&["check", "--class", "class/class.toml"]);
    assert!(dir.path().join("class/marked/index.html").exists());
    // The class's own folder stands for what was handed in: its roster is no table of answers.
    fs::remove_dir_all(dir.path().join("class/marked")).unwrap();
    let told = marked(&["check", "class"]);
    assert!(told.starts_with("note: marked by") && !told.contains("roster"), "{told}");
    assert!(dir.path().join("class/marked/index.html").exists());

    fs::rename(dir.path().join("class/exercises"), dir.path().join("class/mine")).unwrap();
    let (status, text, errors) = run(dir.path(), &["check", "class"]);
    assert_eq!((status, text.as_str()), (2, ""));
    let sentence = "error: class/class.toml: folders.exercises is \"exercises\", but there is no such folder beside it";
    assert!(errors.starts_with(sentence), "{errors}");
}

#[test]
fn what_is_wrong_with_a_roster_is_told() {
    let dir = folder();
    let set = |roster: &str| {
        fs::write(dir.path().join("roster.csv"), roster).unwrap();
        let (status, _, errors) = run(dir.path(), &["practice", "sleeve", "--class", "roster.csv", "--out", "set"]);
        (status, errors)
    };
    assert_eq!(
        set("student,id\nVetch, the elder,7\n"),
        (2, "error: roster.csv: row 2: there are 3 fields in it, and 2 in the first row; a name with a comma in it has to stand between quotation marks\n".to_owned())
    );
    assert_eq!(
        set(&"x".repeat(2_000_000)),
        (2, "error: roster.csv: the file has 2.0 MB; at most 1.0 MB are read\n".to_owned())
    );
    assert!(!dir.path().join("set").exists());
    // One row that can't be taken stops nobody else.
    let (status, errors) = set("student\nSorrel\nSorrel\n");
    assert_eq!(
        (status, errors.lines().collect::<Vec<_>>()),
        (
            2,
            vec![
                "error: roster.csv: row 3: \"Sorrel\" stands in row 2 already; if these are two people, an `id` tells them apart",
                "error: not everyone on the roster has a sheet; mend the rows that are named above, and set it again with --force",
            ]
        )
    );
    fs::remove_dir_all(dir.path().join("set")).unwrap();
    // A name is only text, wherever it leads.
    assert_eq!(set("student\n../../x\n=cmd()\n\"<script>alert(1)</script>\"\n").0, 0);
    let files = files(&dir.path().join("set"));
    let names: Vec<&str> = files.keys().filter(|name| name.starts_with("sheets/")).map(String::as_str).collect();
    assert_eq!(
        names,
        [
            "sheets/sheet-01-x.html",
            "sheets/sheet-02-cmd.html",
            "sheets/sheet-03-script-alert-1-script.html",
            "sheets/sheets.html"
        ]
    );
    let all = String::from_utf8(files["sheets/sheets.html"].clone()).unwrap();
    assert!(all.contains("&lt;script&gt;") && !all.contains("<script"));
}

#[test]
fn what_cannot_be_set_is_one_sentence() {
    let dir = folder();
    let fault = |arguments: &[&str]| {
        let (status, _, errors) = run(dir.path(), &[&["practice"], arguments].concat());
        assert_eq!(status, 2);
        errors
    };
    assert_eq!(fault(&["sleeve", "--count", "0"]), "error: a set needs at least one sheet\n");
    assert_eq!(
        fault(&["sleeve", "--count", "10000000"]),
        "error: 10000000 sheets are more than one set holds; ask for at most 10000\n"
    );
    assert_eq!(
        fault(&["sleeve", "--level", "7"]),
        "error: sleeve: there is no level 7; this exercise has the levels 1, 2, 3, 4\n"
    );
    assert_eq!(
        fault(&["sleeve", "sleeve"]),
        "error: sleeve is named twice; a paper has one problem of each exercise\n"
    );
    assert_eq!(
        fault(&[]),
        "error: name an exercise to set, such as `foldmark practice flap-roll`; `foldmark list` shows them\n"
    );
    assert!(fault(&["sleeve", "--slips", "3"]).contains("write a whole number from 1 to 2"));
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
}
