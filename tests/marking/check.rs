//! What goes in and out of `foldmark check`: whose answers count, what a class lays down, tables, gradebooks, folders of
//! pages, and that nothing handed in can do harm. Sheets and students are invented.

use super::shared::{folder, json_lines, names, run, told, write};
use foldmark::check::table_columns;
use foldmark::exercise::Shelf;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

/// A sheet with the three first answers, all right.
fn sheet(student: &str) -> String {
    format!(
        "exercise = \"flap-roll\"\nstudent = \"{student}\"\nunit = \"in\"\nruler = \"1/8 in\"\n[given]\nsizing = \"layout\"\n\
         [[given.objects]]\nname = \"chisel\"\nlength = \"9 1/2\"\nspread = \"1 3/4\"\ncount = 6\n\
         [answer]\nslot = \"1 3/4\"\nslots_width = \"10 1/2\"\nfinished_width = \"11\"\n"
    )
}

/// The records of a gradebook, as the `csv` crate reads them.
fn records(path: &Path) -> Vec<Vec<String>> {
    let text = fs::read(path).unwrap();
    let text = text.strip_prefix(b"\xef\xbb\xbf").expect("a byte order mark");
    assert_eq!(
        text.iter().filter(|byte| **byte == b'\n').count(),
        text.windows(2).filter(|pair| pair == b"\r\n").count()
    );
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text);
    reader.records().map(|record| record.unwrap().iter().map(str::to_owned).collect()).collect()
}

// ---------------------------------------------------------------- what a class lays down

#[test]
fn the_policy_of_a_class_is_found_beside_its_answers() {
    let dir = folder();
    let at = dir.path();
    write(at, "thursday/handed-in/sorrel.toml", sheet("Sorrel").replace("\"11\"", "\"12\""));
    write(at, "class.toml", "show = \"marks\"\n");
    let shown = |args: &[&str]| {
        let (status, text, errors) = run(at, args);
        assert_eq!(status, 1, "{errors}");
        // Only the full report tells the arithmetic; only marks alone say nothing.
        let level = match (text.contains("10 1/2 in + 1/2 in = 11 in"), text.contains("The slots together, and then")) {
            (true, _) => "full",
            (_, true) => "coach",
            _ => "marks",
        };
        (level, errors)
    };
    let noted = |file: &str| format!("note: marked by what {file} lays down\n");
    // In the current folder, where there is none nearer.
    assert_eq!(shown(&["check", "thursday/handed-in"]), ("marks", noted("class.toml")));
    // In the folder that the answers lie in.
    write(at, "thursday/class.toml", "show = \"coach\"\n");
    assert_eq!(shown(&["check", "thursday/handed-in"]), ("coach", noted("thursday/class.toml")));
    // Among the answers: nearest.
    write(at, "thursday/handed-in/class.toml", "show = \"full\"\n");
    assert_eq!(shown(&["check", "thursday/handed-in"]), ("full", noted("thursday/handed-in/class.toml")));
    assert_eq!(shown(&["check", "thursday/handed-in/sorrel.toml"]).1, noted("thursday/handed-in/class.toml"));
    // Named, and said on the command line.
    let named = ["check", "thursday/handed-in", "--class", "class.toml"];
    assert_eq!(shown(&named), ("marks", String::new()));
    assert_eq!(shown(&[&named[..], &["--show", "coach"]].concat()).0, "coach");
    // From within.
    let (_, _, errors) = run(&at.join("thursday/handed-in"), &["check", "."]);
    assert_eq!(errors, noted("./class.toml"));
    fs::remove_file(at.join("thursday/handed-in/class.toml")).unwrap();
    let (_, _, errors) = run(&at.join("thursday/handed-in"), &["check", "."]);
    assert_eq!(errors, noted("./../class.toml"));
}

#[test]
fn a_policy_is_no_answer_and_holds_for_one_class() {
    let dir = folder();
    let at = dir.path();
    write(at, "one/class.toml", "[[exercise]]\nname = \"flap-roll\"\nsteps = [\"slot\"]\n");
    write(at, "one/sorrel.toml", sheet("Sorrel"));
    write(at, "two/class.toml", "");
    write(at, "two/sedge.toml", sheet("Sedge"));
    let (status, text, _) = run(at, &["check", "one"]);
    assert_eq!((status, text.lines().next().unwrap()), (0, "Sorrel: Roll with a folding flap, 1 of 1 points"));
    let (status, _, errors) = run(at, &["check", "one/class.toml"]);
    assert_eq!(status, 2);
    assert!(
        errors.ends_with(
            "error: one/class.toml: this is no answer file, but what a class lays down; name it with --class\n"
        ),
        "{errors}"
    );
    let (status, _, errors) = run(at, &["check", "one", "two"]);
    assert_eq!(
        (status, errors.as_str()),
        (
            2,
            "error: these are of different classes, by one/class.toml and two/class.toml; mark them one after the other, or name one of the two with --class\n"
        )
    );
    assert_eq!(run(at, &["check", "one", "two", "--class", "two/class.toml"]).0, 1);
    write(at, "one/class.toml", "follow_thruogh = 50\n");
    let (status, text, errors) = run(at, &["check", "one"]);
    assert_eq!((status, text.as_str()), (2, ""));
    assert!(
        errors.starts_with("error: one/class.toml: line 1, column 1: ") && errors.contains("follow_through"),
        "{errors}"
    );
    let (status, _, errors) = run(at, &["check", "one", "--class", "none.toml"]);
    assert_eq!((status, errors.as_str()), (2, "error: none.toml: there is no such file\n"));
}

// ---------------------------------------------------------------- whose answers count

#[test]
fn of_two_files_of_one_student_the_later_counts() {
    let dir = folder();
    let at = dir.path();
    write(at, "a.toml", sheet("Sorrel"));
    write(at, "b.toml", sheet("Sorrel").replace("\"11\"", "\"12\""));
    write(at, "c.toml", sheet("Sorrel").replace("unit", "id = \"2\"\nunit"));
    let (_, text, errors) = run(at, &["check", "."]);
    assert!(
        text.starts_with(
            "The class: 2 sheets, of which 0 have full marks.\n  Sorrel         1 of 10\n  Sorrel (2)     2 of 10\n"
        ),
        "{text}"
    );
    assert_eq!(
        errors,
        "note: ./a.toml and ./b.toml are both of Sorrel, for \"flap-roll\"; ./b.toml counts. If these are two people, an `id` in their files tells them apart\n"
    );
    // The order is that of the command line; a file that is named twice is still one.
    let (_, text, errors) = run(at, &["check", "b.toml", "a.toml", "b.toml"]);
    assert!(text.starts_with("Sorrel: Roll with a folding flap, 2 of 10 points"), "{text}");
    assert_eq!(errors.lines().count(), 1);
}

/// Capital and small letters, a full-width letter: whoever writes their name differently may be someone else, and nobody's
/// page is written over. A precomposed ü and a u with a combining mark are the same name, of which the later sheet counts.
#[test]
fn names_that_look_alike_are_different_students() {
    let dir = folder();
    let at = dir.path();
    let students = [
        "M\u{fc}llein",
        "Mu\u{308}llein",
        "m\u{fc}llein",
        "M\u{fc}llein.",
        "\u{ff2d}\u{fc}llein",
        "../../M",
        "/etc/M",
        "CON",
        "a/b",
    ];
    for (at_number, student) in students.iter().enumerate() {
        write(at, &format!("in/{at_number}.toml"), sheet(student));
    }
    let (_, _, errors) = run(at, &["check", "in", "--out", "result"]);
    let (said, pages) = errors.split_once('\n').unwrap();
    assert!(said.starts_with("note: in/0.toml and in/1.toml are both of Mu\u{308}llein"), "{said}");
    assert_eq!(pages, "note: the pages are in result; open index.html\n");
    let students = &students[1..];
    assert_eq!(names(&at.join("result")), ["gradebook.csv", "index.html", "result.json", "students"]);
    let pages: Vec<String> = (1..=students.len()).map(|number| format!("{number:03}.html")).collect();
    assert_eq!(names(&at.join("result/students")), pages);
    let names: Vec<String> =
        records(&at.join("result/gradebook.csv")).into_iter().skip(1).map(|mut record| record.remove(0)).collect();
    assert_eq!(names, students);
}

#[test]
fn answers_for_another_exercise_are_told() {
    let dir = folder();
    let at = dir.path();
    let pouch = "student = \"Sedge\"\nunit = \"in\"\n[given]\nzip = \"8\"\n[answer]\nfinished_width = \"7 1/2\"\ntab_length = \"1\"\nmouth = \"7\"\ntrim = \"1\"\n";
    write(at, "meant.toml", format!("exercise = \"flap-roll\"\n{pouch}"));
    let (status, _, errors) = run(at, &["check", "meant.toml"]);
    assert_eq!(status, 2);
    assert!(
        errors.starts_with(
            "error: meant.toml: these answers look like those of zip-pouch: of 4 steps that are named it has "
        ),
        "{errors}"
    );
    write(at, "meant.toml", format!("exercise = \"zip-porch\"\n{pouch}"));
    let (_, _, errors) = run(at, &["check", "meant.toml"]);
    assert_eq!(errors, "error: meant.toml: exercise: there is no exercise \"zip-porch\"; did you mean zip-pouch?\n");
    write(at, "meant.toml", format!("exercise = \"homework 3\"\n{pouch}"));
    let (_, _, errors) = run(at, &["check", "meant.toml"]);
    assert!(errors.ends_with("error: meant.toml: these answers look like those of zip-pouch\n"), "{errors}");
    write(at, "sorrel.toml", sheet("Sorrel"));
    let (status, text, errors) = run(at, &["check", "sorrel.toml", "--exercise", "zip-pouch"]);
    assert_eq!(
        (status, text.as_str(), errors.as_str()),
        (2, "", "error: sorrel.toml: exercise: this is for \"flap-roll\", and zip-pouch is asked for\n")
    );
    let (status, _, errors) = run(at, &["check", "sorrel.toml", "--exercise", "zip-porch"]);
    assert_eq!((status, errors.as_str()), (2, "error: there is no exercise \"zip-porch\"; did you mean zip-pouch?\n"));
}

// ---------------------------------------------------------------- tables

/// Three rows for the zip pouch, with everything else as usual.
const POUCHES: &str = "student,id,exercise,unit,given.zip,answer.finished_width,answer.mouth\n\
                       Sorrel,,zip-pouch,in,8,7 1/2,\n\
                       Sorrel,2,zip-pouch,cm,20,\"19,5\",\n\
                       Sedge,7,zip-pouch,in,8 in,\"7 1/2\"\"\",\n";

#[test]
fn a_table_is_read_as_spreadsheets_and_editors_write_it() {
    let dir = folder();
    let at = dir.path();
    let semicolons = POUCHES.replace(',', ";").replace("\"19;5\"", "19,5").replace("\"7 1/2\"\"\"", "7 1/2\"");
    for (name, text) in [
        ("plain.csv", POUCHES.to_owned()),
        ("windows.csv", format!("\u{feff}{}", POUCHES.replace('\n', "\r\n"))),
        ("mac.csv", POUCHES.replace('\n', "\r")),
        ("semicolons.csv", semicolons.clone()),
        ("tabs.tsv", semicolons.replace(';', "\t")),
        (
            "quoted.csv",
            semicolons
                .replace('"', "\"\"")
                .lines()
                .map(|line| format!("\"{}\"\n", line.replace(';', "\";\"")))
                .collect(),
        ),
        ("blank-lines.csv", POUCHES.replace('\n', "\n\n,,,,,,\n")),
        ("no-end.csv", POUCHES.trim_end().to_owned()),
        ("spaces.csv", POUCHES.replace("Sedge", " Sedge ").replace("zip-pouch", "zip-pouch ")),
        ("capitals.csv", POUCHES.replace("student,id,exercise,unit", "Student,ID,Exercise,Unit")),
    ] {
        write(at, name, text);
        let (status, text, errors) = run(at, &["check", name]);
        assert_eq!((status, errors.as_str()), (1, ""), "{name}");
        // Two students of one name are told apart by an id.
        assert!(text.starts_with("The class: 3 sheets"), "{name}: {text}");
        let (_, marked, _) = run(at, &["check", name, "--json"]);
        let marked = json_lines(&marked);
        let widths: Vec<&str> = (0..3)
            .map(|sheet| {
                let answers = marked[sheet]["answers"].as_array().unwrap();
                answers.iter().find(|answer| answer["step"] == "finished_width").unwrap()["written"].as_str().unwrap()
            })
            .collect();
        assert_eq!(widths, ["7 1/2", "19,5", "7 1/2\""], "{name}");
    }
}

/// Each fault of a table names file, row and column, and the rows after it are marked.
#[test]
fn faults_of_a_table() {
    let dir = folder();
    let at = dir.path();
    let rows: [&[u8]; 19] = [
        b"student;exercise;version;unit;ruler;given.zip;answer.finished_width;answer.finished_widht;answer.flap;e-mail",
        b"Good;zip-pouch;1;in;1/8 in;8;7 1/2;;;",
        b"Short;zip-pouch;1;in;1/8 in;8;7 1/2",
        b"Long;zip-pouch;1;in;1/8 in;8;7 1/2;;;;and more",
        b"Latin;zip-pouch;1;in;1/8 in;8 \xbd;7 1/2;;;",
        b"\"Open;zip-pouch;1;in;1/8 in;8;7 1/2;;;",
        b";zip-pouch;1;in;1/8 in;8;7 1/2;;;",
        b"Version;zip-pouch;one;in;1/8 in;8;7 1/2;;;",
        b"Unit;zip-pouch;1;hands;1/8 in;8;7 1/2;;;",
        b"Ruler;zip-pouch;1;in;fine;8;7 1/2;;;",
        b"Given;zip-pouch;1;in;1/8 in;800;7 1/2;;;",
        b"Unread;zip-pouch;1;in;1/8 in;8;7 1/2 bananas;;;",
        b"Foreign;zip-pouch;1;in;1/8 in;8;7 1/2;;3;",
        b"Escape;zip-pouch;1;in;1/8 in;8 \x1b[2J;7 1/2;;;",
        b"Hidden\x1b[2J;zip-pouch;1;in;1/8 in;8;7 1/2;;;",
        b"Unknown;zip-porch;1;in;1/8 in;8;7 1/2;;;",
        b"Missing;zip-pouch;1;in;1/8 in;;7 1/2;;;",
        b"Nothing;;1;in;1/8 in;8;7 1/2;;;",
        b"Last;zip-pouch;1;in;1/8 in;8;7 1/2;;;",
    ];
    write(at, "class.csv", rows.join(&b"\n"[..]));
    let (status, text, errors) = run(at, &["check", "class.csv"]);
    assert_eq!(status, 2);
    assert!(text.contains("  Good ") && text.contains("  Last "), "{text}");
    insta::assert_snapshot!("faults_of_a_table", errors);
    assert!(!text.contains('\u{1b}') && !errors.contains('\u{1b}'));
    // Graded for the gradebook alone, the same is told, but as it goes.
    let (status, _, graded) = run(at, &["check", "class.csv", "--gradebook", "grades.csv"]);
    assert_eq!(status, 2);
    let sorted = |text: &str| {
        let mut lines: Vec<String> =
            text.lines().filter(|line| !line.contains("the gradebook is")).map(str::to_owned).collect();
        lines.sort();
        lines
    };
    assert_eq!(sorted(&graded), sorted(&errors));
    assert_eq!(records(&at.join("grades.csv")).len(), 1 + text.lines().filter(|line| line.contains(" of 9")).count());
}

#[test]
fn heads_that_are_none() {
    let dir = folder();
    let at = dir.path();
    for (text, says) in [
        (&b""[..], "the table is empty; `foldmark blank EXERCISE --csv` prints a head"),
        (b"\xef\xbb\xbf", "the table is empty; `foldmark blank EXERCISE --csv` prints a head"),
        (
            b"name,answer.flap\n",
            "its head has no column \"student\"; `foldmark blank EXERCISE --csv` prints a head with all columns",
        ),
        (
            b"student,answer.flap\n",
            "its head has no column \"exercise\"; add one, or name the exercise with --exercise",
        ),
        (
            b"student,exercise\n",
            "its head has no answers, such as \"answer.flap\"; `foldmark blank EXERCISE --csv` prints a head with all columns",
        ),
        (
            b"student,exercise,answer.flap,Student\n",
            "its head has two columns for the same: \"student\" and \"Student\"",
        ),
        (
            b"student,exercise,answer.slot,answer.slot.1\n",
            "its head has two columns for the same: \"answer.slot\" and \"answer.slot.1\"",
        ),
        (b"\xff\xd8\xff\xe0\0\x10JFIF", "its head is not UTF-8 text; save it as UTF-8"),
        (b"student,exercise,answer.flap\n\n", "the table has a head, and no rows"),
    ] {
        write(at, "class.csv", text);
        let (status, _, errors) = run(at, &["check", "class.csv"]);
        assert_eq!((status, errors), (2, format!("error: class.csv: {says}\n")));
    }
    let (_, _, errors) = run(at, &["check", "nowhere.csv"]);
    assert_eq!(errors, "error: nowhere.csv: there is no such file\n");
    write(at, "class.csv", "student,answer.slot.1,given.objects.25.length,given.allowence,answer.zip_length\n");
    let (_, _, errors) = run(at, &["check", "class.csv", "--exercise", "flap-roll"]);
    assert_eq!(errors.lines().count(), 4, "{errors}");
    assert!(errors.contains("\"given.allowence\", and it is not read; did you mean given.allowance?"), "{errors}");
}

/// The head that `blank` prints has every column, and no other: whatever the exercise.
#[test]
fn the_head_of_a_table_fits_its_exercise() {
    let dir = folder();
    for exercise in Shelf::shipped().iter() {
        let (status, head, _) = run(dir.path(), &["blank", &exercise.name, "--csv", "--rows", "3"]);
        assert_eq!((status, head.ends_with("\r\n")), (0, true));
        assert_eq!(head.trim_end().split(',').collect::<Vec<_>>(), table_columns(exercise, 3));
        let empty = head.trim_end().replace(|c: char| c != ',', "");
        write(dir.path(), "class.csv", format!("{head}Sorrel,,{},1,in{}\r\n", exercise.name, &empty[4..]));
        let (_, _, errors) = run(dir.path(), &["check", "class.csv"]);
        // Only what has no usual value is missed.
        assert!(errors.lines().all(|line| line.starts_with("error: class.csv: row 2, given.")), "{errors}");
    }
}

/// An answer in row 2 of a list goes with the object in row 2, though row 1 be empty.
#[test]
fn rows_of_a_list_go_with_their_objects() {
    let dir = folder();
    let head = "student,exercise,unit,given.sizing,given.objects.1.length,given.objects.1.spread,given.objects.1.count,given.objects.2.length,given.objects.2.spread,given.objects.2.count,answer.slot.1,answer.slot.2\n";
    write(
        dir.path(),
        "class.csv",
        format!("{head}Sorrel,flap-roll,in,layout,,,,9,2,3,,2\nSedge,flap-roll,in,layout,,,,9,2,3,2,\n"),
    );
    let (status, text, errors) = run(dir.path(), &["check", "class.csv"]);
    assert_eq!(
        (status, errors.as_str()),
        (2, "error: class.csv: row 3, answer.slot.1: there is an answer here, but given.objects.1 is empty\n")
    );
    // The answer that goes with nothing costs nothing else.
    assert!(text.contains("  Sorrel     1 of 10\n  Sedge      0 of 10\n"), "{text}");
}

#[test]
fn blank_files_are_filled_in_and_marked() {
    let dir = folder();
    let at = dir.path();
    assert_eq!(
        run(at, &["blank", "zip-pouch", "--ruler", "1 mm", "--out", "sorrel.toml"]),
        (0, String::new(), String::new())
    );
    let (status, _, errors) = run(at, &["blank", "zip-pouch", "--out", "sorrel.toml"]);
    assert_eq!(
        (status, errors.as_str()),
        (2, "error: sorrel.toml: this exists already; choose another place, or add --force to replace it\n")
    );
    let blank = fs::read_to_string(at.join("sorrel.toml")).unwrap();
    assert!(blank.contains("unit = \"cm\"") && blank.contains("ruler = \"1 mm\""));
    write(
        at,
        "sorrel.toml",
        blank.replace("student = \"\"", "student = \"Sorrel\"").replace("zip = \"\"", "zip = \"20\""),
    );
    let (status, text, errors) = run(at, &["check", "sorrel.toml"]);
    assert_eq!((status, errors.as_str()), (1, ""));
    assert!(text.starts_with("Sorrel: ") && text.contains("0 of 9 points"), "{text}");
    let (_, roll, _) = run(at, &["blank", "flap-roll", "--rows", "3"]);
    assert_eq!((roll.matches("[[given.objects]]").count(), roll.matches("slot = [\"\", \"\", \"\"]").count()), (3, 1));
    let (status, _, errors) = run(at, &["blank", "flap-roll", "--csv", "--unit", "cm"]);
    assert_eq!(
        (status, errors.as_str()),
        (2, "error: a table has columns for unit and ruler; leave out --unit and --ruler\n")
    );
}

// ---------------------------------------------------------------- what comes out

#[test]
fn one_sheet_is_told_in_full_and_several_in_short() {
    let dir = folder();
    let at = dir.path();
    write(at, "in/sorrel.toml", sheet("Sorrel"));
    let (_, one, _) = run(at, &["check", "in"]);
    assert!(
        one.starts_with("Sorrel: Roll with a folding flap, 2 of 10 points\n")
            && one.contains("Pocket height: It is your choice"),
        "{one}"
    );
    write(at, "in/sedge.toml", sheet("Sedge").replace("\"11\"", "\"10\""));
    let (_, short, _) = run(at, &["check", "in"]);
    assert!(short.starts_with("The class: 2 sheets, of which 0 have full marks.\n  Sedge      1 of 10\n  Sorrel     2 of 10\nWhat went wrong"), "{short}");
    let (_, details, _) = run(at, &["check", "in", "--details"]);
    assert!(details.starts_with("Sedge: ") && details.contains(&one) && details.ends_with(&short), "{details}");
}

#[test]
fn a_gradebook_opens_in_a_spreadsheet_and_harms_nobody() {
    let dir = folder();
    let at = dir.path();
    // A name that a spreadsheet would take for a formula or would break the table: common practice, no source.
    let hostile =
        ["=1+1", "+1", "-1", "@SUM(A1)", "\\t=1", "\\r\\n=1", "a\\\",=1", "a;=1", "=HYPERLINK(\\\"http://x\\\")"];
    // White space around a name is none of it, so that some of these would be one and the same.
    let named = |number: usize| format!("{} {number}", hostile[number]);
    for number in 0..hostile.len() {
        let name = named(number);
        write(at, &format!("in/{number:02}.toml"), sheet(&name).replace("unit", &format!("id = \"{name}\"\nunit")));
    }
    write(at, "in/99.toml", sheet("Sedge").replace("\"11\"", "\"11 1/2\"").replace("\"1 3/4\"\nslots", "\"3\"\nslots"));
    let (status, text, errors) = run(at, &["check", "in", "--gradebook", "grades.csv", "--out", "result", "--json"]);
    assert_eq!(status, 1, "{errors}");
    for text in [&text, &errors] {
        assert!(text.chars().all(|letter| letter == '\n' || !letter.is_control() && letter != '\u{202e}'));
    }
    let grades = records(&at.join("grades.csv"));
    assert_eq!(grades, records(&at.join("result/gradebook.csv")));
    assert_eq!(
        grades[0],
        [
            "student",
            "id",
            "exercise",
            "version",
            "points",
            "out of",
            "right",
            "right from your own figure",
            "outside the rule",
            "not right",
            "missing",
            "unreadable",
            "can't be judged",
            "look at again"
        ]
    );
    for cell in grades.iter().flatten() {
        assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
        assert!(!cell.chars().any(char::is_control), "{cell:?}");
    }
    let sedge = grades.last().unwrap();
    assert_eq!(sedge[..6], ["Sedge", "", "flap-roll", "2", "0", "10"]);
    let counts: usize = sedge[6..13].iter().map(|count| count.parse::<usize>().unwrap()).sum();
    assert_eq!(counts, 10, "every step that counts has one verdict");
    assert!(
        sedge[13].starts_with("Slot (miswritten) / ") && sedge[13].contains("Finished width (side-ease-twice)"),
        "{}",
        sedge[13]
    );
    // The same data in the folder as on the terminal, and pages that stand on their own.
    let result = fs::read_to_string(at.join("result/result.json")).unwrap();
    let result: serde_json::Value = serde_json::from_str(&result).unwrap();
    assert_eq!(*result["sheets"].as_array().unwrap(), json_lines(&text));
    assert_eq!(result["sheets"].as_array().unwrap().len(), hostile.len() + 1);
    let class = fs::read_to_string(at.join("result/index.html")).unwrap();
    assert!(class.contains("students/010.html") && !class.contains("students/011.html"));
}

#[test]
fn results_replace_only_their_own() {
    let dir = folder();
    let at = dir.path();
    write(at, "sorrel.toml", sheet("Sorrel"));
    let check = |extra: &[&str]| run(at, &[&["check", "sorrel.toml"][..], extra].concat());
    assert_eq!(check(&["--out", "result", "--gradebook", "grades.csv"]).0, 1);
    let before = fs::read_to_string(at.join("result/result.json")).unwrap();
    write(at, "sorrel.toml", sheet("Sedge"));
    let (status, text, errors) = check(&["--out", "result"]);
    assert_eq!((status, text.as_str()), (2, ""));
    assert_eq!(
        errors,
        "error: result/index.html: this exists already; choose another place, or add --force to replace it\n"
    );
    assert_eq!(
        check(&["--gradebook", "grades.csv"]).2,
        "error: grades.csv: this exists already; choose another place, or add --force to replace it\n"
    );
    assert_eq!(fs::read_to_string(at.join("result/result.json")).unwrap(), before);
    assert_eq!(check(&["--out", "result", "--gradebook", "grades.csv", "--force"]).0, 1);
    assert!(fs::read_to_string(at.join("result/result.json")).unwrap().contains("Sedge"));
    // What is not of an earlier marking is never taken away.
    write(at, "result/students/notes.txt", "mine");
    assert_eq!(
        check(&["--out", "result", "--force"]).2,
        "error: result/students/notes.txt: this is not of an earlier marking; move it, or choose another place\n"
    );
    write(at, "site/index.html", "mine");
    assert_eq!(
        check(&["--out", "site", "--force"]).2,
        "error: site/index.html: this is not of an earlier marking; move it, or choose another place\n"
    );
    assert_eq!(
        check(&["--gradebook", "sorrel.toml", "--force"]).2,
        "error: sorrel.toml: this is no gradebook, and is not replaced; choose another place\n"
    );
    assert_eq!(
        check(&["--gradebook", "site", "--force"]).2,
        "error: site: can't be written: this is a folder, not a file\n"
    );
    assert_eq!(
        check(&["--out", "sorrel.toml"]).2,
        "error: sorrel.toml: can't be written: this is a file, not a folder\n"
    );
    assert_eq!(fs::read_to_string(at.join("site/index.html")).unwrap(), "mine");
    assert_eq!(names(at), ["grades.csv", "result", "site", "sorrel.toml"]);
    // A gradebook among the answers is none of them.
    write(at, "in/sorrel.toml", sheet("Sorrel"));
    assert_eq!(check(&["--gradebook", "in/grades.csv"]).0, 1);
    assert_eq!(run(at, &["check", "in"]).2, "");
}

// ---------------------------------------------------------------- trust

/// Three hundred sheets and every tenth of them damaged: the others are marked, and each damaged one has its reason.
#[test]
fn damaged_sheets_stop_no_other() {
    let dir = folder();
    let at = dir.path();
    let damages: [fn(&str) -> Vec<u8>; 10] = [
        |good| good.as_bytes()[..good.len() - 5].to_vec(),
        |_| (0..=255).cycle().take(4_000).collect(),
        |good| good.replace('=', ":").into_bytes(),
        |good| [good.as_bytes(), &vec![b'#'; 2_000_000]].concat(),
        |_| Vec::new(),
        |good| good.replace("exercise", "exercize").into_bytes(),
        |good| good.replace("9 1/2", "9 feet").into_bytes(),
        |good| good.replace("student", "student = 1\nstudent").into_bytes(),
        |good| good.replace("chisel", "ch\u{1b}[2Jisel\0").into_bytes(),
        |good| good.encode_utf16().flat_map(u16::to_le_bytes).collect(),
    ];
    for number in 0..300 {
        let good = sheet(&format!("Student {number}"));
        let text = if number % 10 == 3 { damages[number / 10 % 10](&good) } else { good.into_bytes() };
        write(at, &format!("in/{number:03}.toml"), text);
    }
    let (status, text, errors) = run(at, &["check", "in"]);
    assert_eq!(status, 2);
    // In UTF-16, and broken off before the last answer, a sheet is read; the last answer of that one is missing.
    assert!(text.starts_with("The class: 276 sheets"), "{text}");
    for number in (3..300).step_by(10).filter(|number| !matches!(number % 100, 3 | 93)) {
        assert!(errors.contains(&format!("error: in/{number:03}.toml: ")), "{number}: {errors}");
    }
    let files: std::collections::BTreeSet<&str> = errors.lines().map(|line| line.split(": ").nth(1).unwrap()).collect();
    assert_eq!(files.len(), 24, "{errors}");
    assert!(errors.chars().all(|letter| letter == '\n' || !letter.is_control()));
}

/// What is named like an answer file and is none. Whoever waited for a pipe that nobody writes to would wait for ever.
#[cfg(unix)]
#[test]
fn what_is_no_file() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let dir = folder();
    let at = dir.path();
    write(at, "in/good.toml", sheet("Sorrel"));
    fs::create_dir_all(at.join("in/folder.toml")).unwrap();
    symlink("nowhere", at.join("in/link.toml")).unwrap();
    symlink("loop.toml", at.join("in/loop.toml")).unwrap();
    symlink("good.toml", at.join("in/also-good.toml")).unwrap();
    for pipe in ["in/pipe.toml", "in/pipe.csv"] {
        assert!(Command::new("mkfifo").arg(at.join(pipe)).status().unwrap().success());
    }
    write(at, "in/secret.toml", sheet("Sedge"));
    fs::set_permissions(at.join("in/secret.toml"), fs::Permissions::from_mode(0o0)).unwrap();
    let is_root = fs::read(at.join("in/secret.toml")).is_ok();
    let (status, text, errors) = run(at, &["check", "in"]);
    assert_eq!(status, 2);
    assert!(text.contains("Sorrel"), "{text}");
    for says in [
        "error: in/link.toml: there is no such file",
        "error: in/loop.toml: the file can't be read: ",
        "error: in/pipe.toml: this is no ordinary file",
        "error: in/pipe.csv: this is no ordinary file",
        "note: in/also-good.toml and in/good.toml are both of Sorrel",
    ] {
        assert!(errors.contains(says), "{says}: {errors}");
    }
    assert!(is_root || errors.contains("error: in/secret.toml: this file may not be read by you"), "{errors}");
}

/// A table with so many rows, right and wrong.
fn table(rows: usize) -> String {
    let mut text = "student,exercise,unit,given.zip,answer.finished_width,answer.mouth\n".to_owned();
    for row in 0..rows {
        text += &format!("Student {row},zip-pouch,in,{},{} 1/2,7\n", 8 + row % 4, 7 + row % 5);
    }
    text
}

/// Cut off at a limit on the size of files, by the system (a crash) or with an error (a full disk), an earlier result stays
/// whole, and nothing hidden is left behind but by a crash.
#[cfg(unix)]
#[test]
fn an_earlier_result_survives_a_full_disk_and_a_crash() {
    let dir = folder();
    let at = dir.path();
    write(at, "few.csv", table(3));
    write(at, "many.csv", table(2_000));
    for (what, place) in [("--gradebook", "grades.csv"), ("--out", "result")] {
        assert_eq!(run(at, &["check", "few.csv", what, place]).0, 1);
    }
    let state = || {
        (
            fs::read(at.join("grades.csv")).unwrap(),
            fs::read(at.join("result/result.json")).unwrap(),
            names(&at.join("result")),
        )
    };
    let before = state();
    for (what, place) in [("--gradebook", "grades.csv"), ("--out", "result")] {
        // Blocks of 512 bytes: as much as a page, but not as much as the whole.
        let limited = |trap: &str| {
            let script = format!("{trap} ulimit -f 64; exec \"$0\" check many.csv {what} {place} --force");
            told(
                Command::new("sh")
                    .args(["-c", &script, env!("CARGO_BIN_EXE_foldmark")])
                    .current_dir(at)
                    .output()
                    .unwrap(),
            )
        };
        let (status, _, errors) = limited("trap '' XFSZ;");
        assert_eq!(status, 2, "{errors}");
        assert!(errors.contains(&format!("error: {place}")) && errors.contains("can't be written: "), "{errors}");
        assert_eq!(state(), before);
        assert_eq!(names(at), ["few.csv", "grades.csv", "many.csv", "result"], "nothing hidden is left");
        let (status, ..) = limited("");
        assert_eq!(status, -1, "killed by the system");
        assert!((state().0, state().1) == (before.0.clone(), before.1.clone()));
        for hidden in names(at).iter().filter(|name| name.starts_with(".foldmark-")) {
            let path = at.join(hidden);
            if path.is_dir() { fs::remove_dir_all(path).unwrap() } else { fs::remove_file(path).unwrap() }
        }
        for hidden in names(&at.join("result")).iter().filter(|name| name.starts_with(".foldmark-")) {
            fs::remove_dir_all(at.join("result").join(hidden)).unwrap();
        }
    }
}

/// Interrupted while it writes, the program takes away what it began.
#[cfg(unix)]
#[test]
fn an_interruption_leaves_nothing_behind() {
    let dir = folder();
    let at = dir.path();
    write(at, "few.csv", table(3));
    write(at, "many.csv", table(60_000));
    assert_eq!(run(at, &["check", "few.csv", "--out", "result"]).0, 1);
    let before = names(&at.join("result"));
    for signal in ["INT", "TERM"] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_foldmark"))
            .args(["check", "many.csv", "--out", "result", "--force"])
            .current_dir(at)
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let is_writing = || {
            let hidden = names(&at.join("result")).into_iter().find(|name| name.starts_with(".foldmark-"));
            hidden.is_some_and(|hidden| at.join("result").join(hidden).join("students/001.html").is_file())
        };
        while !is_writing() {
            assert!(child.try_wait().unwrap().is_none(), "it was done before it could be interrupted");
            std::thread::sleep(Duration::from_millis(2));
        }
        assert!(
            Command::new("kill").args([&format!("-{signal}"), &child.id().to_string()]).status().unwrap().success()
        );
        let status = child.wait().unwrap();
        assert_eq!(status.code(), Some(130), "{signal}");
        assert_eq!(names(&at.join("result")), before, "{signal}");
        assert_eq!(names(&at.join("result/students")).len(), 3);
    }
}

/// Graded for the gradebook alone, a table takes no more memory however long it is.
#[cfg(target_os = "linux")]
#[test]
fn a_long_table_takes_no_more_memory() {
    let dir = folder();
    let at = dir.path();
    let peak = |rows: usize| {
        write(at, "class.csv", table(rows));
        let mut child = Command::new(env!("CARGO_BIN_EXE_foldmark"))
            .args(["check", "class.csv", "--gradebook", &format!("{rows}.csv")])
            .current_dir(at)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut peak = 0;
        while child.try_wait().unwrap().is_none() {
            let status = fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
            let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap_or("0 kB");
            peak = peak.max(line.trim().trim_end_matches(" kB").parse::<u32>().unwrap_or(0));
            std::thread::sleep(Duration::from_millis(1));
        }
        assert_eq!(records(&at.join(format!("{rows}.csv"))).len(), rows + 1);
        peak
    };
    let (short, long) = (peak(50_000), peak(150_000));
    // A hundred bytes kept of every row would be ten megabytes more.
    assert!(long < short + 6_000, "{short} kB and {long} kB");
}
