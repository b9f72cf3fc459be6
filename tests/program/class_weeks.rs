//! A class over three weeks, as an instructor meets it: whatever is handed in is accounted for, and nothing that was marked is
//! lost. The class and its sheets are invented; everyone is named after a plant.

use super::shared::sent::{letter, row_of, spreadsheet};
use super::shared::{files, folder, run, write};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

const CLASS: &str = "title = \"Thursday evening\"\nruler = \"1/8 in\"\nroster = \"roster.csv\"\n\
    [folders]\nexercises = \"exercises\"\nsheets = \"sheets\"\nkeys = \"keys\"\nhanded_in = \"handed-in\"\nmarked = \"marked\"\n\
    [practice]\nexercises = [\"napkin-roll\"]\nlevel = 1\n\
    [[week]]\ntitle = \"Rolls\"\ndate = \"2026-03-05\"\ndue = \"2026-03-12\"\n";

const ROSTER: &str = "student,id\nRosemary,\nSorrel,3\nSorrel,9\nTansy,\nYarrow,\nVetch,\nMullein,\nBetony,\nBryony,\n\
    Teasel,\nComfrey,\nBurdock,\nMüllerkraut,\nSedge,\n";

pub(super) struct Class {
    dir: TempDir,
}

impl Class {
    pub(super) fn new() -> Class {
        let class = Class { dir: folder() };
        run(class.dir.path(), &["start", "class"]);
        fs::remove_file(class.at("handed-in/rosemary.toml")).unwrap();
        write(&class.root(), "class.toml", CLASS);
        write(&class.root(), "roster.csv", ROSTER);
        class
    }

    pub(super) fn root(&self) -> PathBuf {
        self.dir.path().join("class")
    }

    pub(super) fn at(&self, name: &str) -> PathBuf {
        self.root().join(name)
    }

    pub(super) fn read(&self, name: &str) -> String {
        fs::read_to_string(self.at(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    pub(super) fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        write(&self.root(), name, text);
    }

    pub(super) fn run(&self, arguments: &[&str]) -> (i32, String, String) {
        run(&self.root(), arguments)
    }

    /// The key of a student's sheet, as if the student had filled it in.
    pub(super) fn filled(&self, week: u32, key: &str) -> String {
        self.read(&format!("keys/week-{week}/key-{key}.toml"))
    }

    /// Hands in the key of every sheet but some.
    pub(super) fn hand_in_all_but(&self, week: u32, to: &str, but: &[&str]) {
        for name in self.keys(week).into_iter().filter(|name| !but.contains(&name.as_str())) {
            self.write(&format!("{to}/{name}.toml"), self.filled(week, &name));
        }
    }

    pub(super) fn keys(&self, week: u32) -> Vec<String> {
        let mut keys: Vec<String> = super::shared::names(&self.at(&format!("keys/week-{week}")))
            .into_iter()
            .filter_map(|name| Some(name.strip_prefix("key-")?.strip_suffix(".toml")?.to_owned()))
            .collect();
        keys.sort();
        keys
    }

    /// The course's gradebook: head, and each student's line.
    pub(super) fn gradebook(&self) -> (Vec<String>, BTreeMap<String, Vec<String>>) {
        let text = self.read("marked/gradebook.csv");
        let mut rows = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(text.trim_start_matches('\u{feff}').as_bytes())
            .into_records();
        let row = |row: csv::StringRecord| row.iter().map(str::to_owned).collect::<Vec<String>>();
        let head = row(rows.next().unwrap().unwrap());
        let lines = rows.map(|line| {
            let line = row(line.unwrap());
            (format!("{} {}", line[0], line[1]).trim().to_owned(), line[4..].to_vec())
        });
        (head[4..].to_vec(), lines.collect())
    }
}

#[test]
fn three_weeks_of_a_class() {
    let class = Class::new();

    // ------------------------------------------------ the first week
    let (status, text, errors) = class.run(&["practice"]);
    assert_eq!((status, errors.as_str()), (0, ""));
    assert!(text.starts_with("14 sheets of Napkin roll"), "{text}");
    let sheet = class.read("sheets/week-1/sheet-02-sorrel.html");
    assert!(
        sheet.contains("Week 1 · Rolls · set 2026-03-05 · due 2026-03-12") && sheet.contains("(<bdi>3</bdi>)"),
        "{sheet}"
    );
    // Letters of any alphabet leave a name that can be read.
    assert!(class.at("sheets/week-1/sheet-13-mullerkraut.html").is_file());
    assert!(class.filled(1, "03-sorrel").contains("id = \"9\""));
    let key_table = class.read("keys/week-1/key-table.html");
    assert!(key_table.contains("Sorrel (9)") && key_table.contains("Cut width"));
    let set_table = class.read("sheets/week-1/answers/table.csv");
    assert_eq!(set_table.lines().count(), 15);

    class.hand_in_all_but(
        1,
        "handed-in",
        &["01-rosemary", "04-tansy", "05-yarrow", "06-vetch", "07-mullein", "08-betony", "14-sedge"],
    );
    // One in a letter, with other words around it, in an old encoding.
    let text = letter(&class.filled(1, "04-tansy"))
        .replace("Yours", "Gr\u{fc}\u{df}e")
        .chars()
        .map(|c| c as u8)
        .collect::<Vec<u8>>();
    class.write("handed-in/my mail.txt", text);
    // One on paper, typed into the set's own table; every other row of it is still empty.
    let (_, paper) = row_of(&set_table, &class.filled(1, "05-yarrow"));
    let typed: String = set_table
        .lines()
        .map(|line| if line.starts_with("Yarrow,") { paper.join(",") } else { line.to_owned() } + "\n")
        .collect();
    class.write("handed-in/table.csv", &typed);
    // One in a spreadsheet that has made dates of fractions.
    let (head, mut cells) = row_of(&set_table, &class.filled(1, "06-vetch"));
    let at = head.iter().position(|name| name == "answer.cut_width").unwrap();
    // The 5th of August 2026, as a spreadsheet counts days.
    cells[at] = "date:46239".to_owned();
    class.write("handed-in/vetch.xlsx", spreadsheet(&[head, cells]));
    // One in centimetres, one whose code is copied from another sheet, a document that is not read.
    let inches = class.filled(1, "07-mullein");
    let width: f64 = inches
        .lines()
        .find(|line| line.starts_with("height = "))
        .and_then(|line| {
            let text = line.split('"').nth(1)?.trim_end_matches(" in");
            text.split(' ')
                .map(|part| match part.split_once('/') {
                    Some((top, bottom)) => Some(top.parse::<f64>().ok()? / bottom.parse::<f64>().ok()?),
                    None => part.parse().ok(),
                })
                .sum::<Option<f64>>()
        })
        .unwrap();
    let line = inches.lines().find(|line| line.starts_with("height = ")).unwrap();
    class.write("handed-in/mullein.toml", inches.replace(line, &format!("height = \"{:.2} cm\"", width * 2.54)));
    let rosemary = class.filled(1, "01-rosemary");
    class.write("handed-in/betony.toml", rosemary.replace("\"Rosemary\"", "\"Betony\""));
    class.write("handed-in/rosemary.docx", b"PK\x03\x04");
    let (status, _, errors) = class.run(&["check"]);
    assert_eq!(status, 2, "{errors}");
    for says in [
        "error: handed-in/rosemary.docx: this is a document of a word processor, and is not read",
        "error: handed-in/vetch.xlsx: row 2, answer.cut_width: \"2026-08-05\": a spreadsheet has made a date of it; was this 5/8?",
        "Betony: the code on this sheet is that of \"Rosemary\" in week-1",
        "note: week-1: missing: Rosemary, Sedge\n",
    ] {
        assert!(errors.contains(says), "{says}: {errors}");
    }
    let (columns, lines) = class.gradebook();
    assert_eq!(columns, ["week-1 (of 5)"]);
    assert_eq!(lines.len(), 14, "nobody twice");
    for whole in ["Sorrel 3", "Sorrel 9", "Tansy", "Yarrow", "Mullein", "Müllerkraut"] {
        assert_eq!(lines[whole], ["5"], "{whole}");
    }
    // A date is no mistake: that answer alone earns nothing, for it can't be read.
    assert_eq!(lines["Vetch"], ["4"]);
    assert_eq!((&lines["Rosemary"][0], &lines["Sedge"][0]), (&String::new(), &String::new()));
    let page = class.read("marked/week-1/students/vetch.html");
    assert!(page.contains("was this 5/8?") && !page.contains("not right"), "{page}");
    assert!(class.read("marked/week-1/students/tansy.html").contains("The file was read as Windows-1252."));
    for page in ["sorrel-3", "sorrel-9", "mullerkraut"] {
        assert!(class.at(&format!("marked/week-1/students/{page}.html")).is_file(), "{page}");
    }
    let course = class.read("marked/index.html");
    for file in ["my mail.txt", "table.csv", "vetch.xlsx", "rosemary.docx", "mullein.toml", "13-mullerkraut.toml"] {
        assert!(course.contains(file), "{file} is not accounted for");
    }
    assert!(course.contains("missing") && course.contains("due 2026-03-12"));
    let print = class.read("marked/week-1/print.html");
    assert_eq!(print.matches("<article>").count(), 12);

    // ------------------------------------------------ tidied half-way
    let before = files(&class.at("marked/week-1"));
    fs::create_dir_all(class.at("handed-in/week-1/late")).unwrap();
    for name in ["my mail.txt", "table.csv", "mullein.toml", "02-sorrel.toml"] {
        fs::rename(class.at(&format!("handed-in/{name}")), class.at(&format!("handed-in/week-1/{name}"))).unwrap();
    }
    class.run(&["check"]);
    let same = |before: &BTreeMap<String, Vec<u8>>, after: &BTreeMap<String, Vec<u8>>| {
        before
            .iter()
            .filter(|(name, _)| name.starts_with("students/"))
            .all(|(name, page)| after.get(name) == Some(page))
    };
    assert!(same(&before, &files(&class.at("marked/week-1"))), "where a sheet lies changes nothing on its page");

    // ------------------------------------------------ the second week: a newcomer, a late sheet, a sheet again, another version
    class.write("roster.csv", format!("{ROSTER}Moss,\n"));
    let exercise = class.read("exercises/napkin-roll.toml");
    let changed = exercise
        .replace("width + 2 * allowance", "width + 4 * allowance")
        .replace("title = \"Nap", "version = 2\ntitle = \"Nap");
    assert!(changed.contains("4 * allowance") && changed.contains("version = 2"));
    class.write("exercises/napkin-roll.toml", &changed);
    assert!(class.run(&["practice"]).1.starts_with("15 sheets"));
    class.hand_in_all_but(2, "handed-in/week-2", &["04-tansy"]);
    class.write("handed-in/week-1/late/rosemary.toml", &rosemary);
    let again = class
        .filled(1, "09-bryony")
        .replace("[answer]\n", "[answer]\n# again\n")
        .replace("cut_width = ", "cut_width = \"1 in\" # ");
    class.write("handed-in/zz-bryony-again.toml", again);
    let (status, _, errors) = class.run(&["check"]);
    assert_eq!(status, 2, "{errors}");
    for says in [
        "note: week-1: new: Rosemary; other points than before: Bryony: 5, now 4\n",
        "zz-bryony-again.toml counts",
        "note: week-2: missing: Tansy\n",
    ] {
        assert!(errors.contains(says), "{says}: {errors}");
    }
    assert!(!errors.contains("another version"), "{errors}");
    let (columns, lines) = class.gradebook();
    assert_eq!(columns, ["week-1 (of 5)", "week-2 (of 5)"]);
    // Everyone has a page over both weeks: who was late as well, and who came later.
    for name in ["sorrel-3", "sorrel-9", "mullerkraut", "rosemary", "tansy", "moss"] {
        assert!(class.read("marked/index.html").contains(&format!("href=\"by_student/{name}.html\"")), "{name}");
        let page = class.read(&format!("marked/by_student/{name}.html"));
        assert!(page.contains("1 week-1, 2 week-2") && page.contains("<h2>To practise next</h2>"), "{name}");
    }
    assert_eq!(class.read("marked/by_student/print_all.html").matches("<article>").count(), 15);
    // The first week is marked by what it was made from, the second by what holds now.
    assert_eq!(
        (&lines["Rosemary"], &lines["Müllerkraut"]),
        (&vec!["5".to_owned(), "5".to_owned()], &vec!["5".to_owned(), "5".to_owned()])
    );
    assert_eq!(lines["Moss"], ["", "5"]);
    let course = class.read("marked/index.html");
    assert!(course.contains("5 of 5 <small class=\"outside\">late</small>") && course.contains("not set"), "{course}");

    // ------------------------------------------------ the third week: less than before replaces nothing
    let before = files(&class.at("marked"));
    fs::rename(class.at("handed-in"), class.at("old")).unwrap();
    fs::create_dir(class.at("handed-in")).unwrap();
    let (status, _, errors) = class.run(&["check"]);
    assert_eq!(status, 2);
    assert!(
        errors.contains("nothing was found that can be marked; the earlier results in marked stay as they are"),
        "{errors}"
    );
    assert_eq!(files(&class.at("marked")), before);
    // A part of the second week, and all of a third that a folder alone tells.
    class.run(&["practice"]);
    class.write("handed-in/sedge.toml", class.filled(2, "14-sedge"));
    class.write("handed-in/moss.toml", class.filled(3, "15-moss"));
    class.write("handed-in/stranger.toml", class.filled(3, "01-rosemary").replace("\"Rosemary\"", "\"Foxglove\""));
    let (status, _, errors) = class.run(&["check"]);
    assert_eq!(status, 2);
    assert!(errors.contains("marked/week-2: what was marked before is not all there any more (Rosemary, "), "{errors}");
    assert!(
        errors.contains("note: week-1: nothing of it was handed in this time, and its results stay as they are"),
        "{errors}"
    );
    assert!(errors.contains("not on the roster: Foxglove"), "{errors}");
    let after = files(&class.at("marked"));
    for (name, bytes) in before.iter().filter(|(name, _)| name.starts_with("week-")) {
        assert_eq!(after.get(name), Some(bytes), "{name}");
    }
    let (columns, lines) = class.gradebook();
    assert_eq!(columns.len(), 3, "{columns:?}");
    assert_eq!(lines["Moss"], ["", "5", "5"]);
    assert_eq!(lines["Rosemary"][..2], ["5", "5"], "what was marked before is still in the gradebook");
    assert_eq!(class.read("marked/sheets.csv").lines().count(), 1 + 13 + 14 + 2);
    // What was not handed in again is still evidence: three right answers to each step.
    let moss = class.read("marked/by_student/rosemary.html");
    assert!(moss.contains("<strong>5</strong> of 5 steps mastered"), "{moss}");
    assert!(class.read("marked/by_student/foxglove.html").contains("<strong>0</strong> of 5 steps mastered"));
    // Marking again changes nothing, and says nothing of changes, from wherever it is done.
    let (_, _, errors) = run(&class.at("handed-in"), &["check"]);
    assert!(!errors.contains("other points") && !errors.contains(" new: "), "{errors}");
    assert_eq!(files(&class.at("marked")), after);
}

// ---------------------------------------------------------------- single points

/// What is in a class's folder, with the first week handed in and marked.
fn marked() -> Class {
    let class = Class::new();
    class.run(&["practice"]);
    class.hand_in_all_but(1, "handed-in", &[]);
    assert_eq!(class.run(&["check"]).0, 0);
    class
}

#[test]
fn what_is_not_of_a_marking_is_never_taken_away() {
    let class = marked();
    class.write("marked/week-1/students/notes.txt", "mine");
    let (status, _, errors) = class.run(&["check"]);
    assert_eq!(status, 2);
    assert!(errors.contains("marked/week-1/students/notes.txt: this is not of an earlier marking"), "{errors}");
    fs::remove_file(class.at("marked/week-1/students/notes.txt")).unwrap();
    // What lies beside the sets is nobody's business.
    class.write("marked/notes.txt", "mine");
    assert_eq!(class.run(&["check"]).0, 0);
    assert_eq!(class.read("marked/notes.txt"), "mine");
}

#[test]
fn what_is_missing_goes_only_when_it_is_asked_for() {
    let class = marked();
    let before = class.read("marked/week-1/result.json");
    fs::remove_file(class.at("handed-in/04-tansy.toml")).unwrap();
    let (status, _, errors) = class.run(&["check"]);
    assert!(status == 2 && errors.contains("not all there any more (Tansy)"), "{errors}");
    assert_eq!(class.read("marked/week-1/result.json"), before);
    let (status, _, errors) = class.run(&["check", "--force"]);
    assert!(status == 0 && errors.contains("week-1: no longer in it: Tansy"), "{errors}");
    assert!(!class.at("marked/week-1/students/tansy.html").exists());
}

/// Nor is a result that was asked for by name.
#[test]
fn nothing_replaces_nothing() {
    let dir = folder();
    let at = dir.path();
    write(at, "in/sorrel.toml", super::command::SHEET);
    assert_eq!(run(at, &["check", "in", "--out", "result", "--gradebook", "grades.csv"]).0, 1);
    let before = files(at);
    fs::rename(at.join("in/sorrel.toml"), at.join("in/sorrel.docx")).unwrap();
    for place in [["--out", "result"], ["--gradebook", "grades.csv"]] {
        let (status, _, errors) = run(at, &["check", "in", place[0], place[1], "--force"]);
        let says = "error: nothing was found that can be marked; the earlier result stays as it is\n";
        assert!(status == 2 && errors.ends_with(says), "{errors}");
    }
    fs::rename(at.join("in/sorrel.docx"), at.join("in/sorrel.toml")).unwrap();
    assert_eq!(files(at), before);
}

#[test]
fn a_class_is_found_from_any_folder_below_it() {
    let class = Class::new();
    let below = class.at("handed-in/week-1");
    fs::create_dir_all(&below).unwrap();
    assert_eq!(run(&below, &["practice"]).0, 0);
    assert!(class.at("keys/week-1/set.toml").is_file());
    class.write("handed-in/week-1/tansy.toml", class.filled(1, "04-tansy"));
    let (status, text, errors) = run(&below, &["check"]);
    assert_eq!(status, 0, "{errors}");
    assert!(text.starts_with("Tansy: Napkin roll, 5 of 5 points"), "{text}");
    assert!(class.at("marked/week-1/students/tansy.html").is_file());
    assert!(run(&below, &["list"]).1.contains("napkin-roll"));
}

#[test]
fn a_set_is_replaced_when_it_is_asked_for() {
    let class = Class::new();
    class.run(&["practice"]);
    let first = class.filled(1, "04-tansy");
    assert_eq!(class.run(&["practice", "--force", "--seed", "77"]).0, 0);
    assert_ne!(class.filled(1, "04-tansy"), first);
    assert!(!class.at("sheets/week-2").exists());
    class.run(&["practice"]);
    let (status, _, errors) = class.run(&["practice", "--week", "1"]);
    assert!(status == 2 && errors.contains("sheets/week-1: this exists already"), "{errors}");
    assert_eq!(class.run(&["practice", "--week", "1", "--force", "--seed", "1"]).0, 0);
    assert_eq!(class.filled(1, "04-tansy"), first);
    // A table that was filled in where it lies is somebody's work.
    let table = class.read("sheets/week-2/answers/table.csv");
    let filled: String = table
        .lines()
        .map(|line| line.strip_suffix(',').map_or(line.to_owned(), |line| format!("{line},3")) + "\n")
        .collect();
    class.write("sheets/week-2/answers/table.csv", filled);
    let (status, _, errors) = class.run(&["practice", "--force"]);
    assert!(status == 2 && errors.contains("table.csv: answers are filled in here"), "{errors}");
}

#[test]
fn an_exercise_with_faults_stops_no_other() {
    let class = Class::new();
    class.write("exercises/broken.toml", "title = \"Broken\"\n");
    class.write("exercises/sleeve.toml", "title = \"Ours\"\n");
    let (status, _, errors) = class.run(&["practice"]);
    assert_eq!(status, 0, "{errors}");
    assert!(errors.contains("exercises/broken.toml: ") && class.at("keys/week-1/set.toml").is_file(), "{errors}");
    // A shipped one of that name is not taken for it.
    let (status, _, errors) = class.run(&["practice", "sleeve"]);
    assert!(status == 2 && errors.contains("the exercise \"sleeve\" has faults"), "{errors}");
    // Even where class.toml names it.
    class.write("class.toml", CLASS.replace("\"napkin-roll\"", "\"broken\""));
    assert_eq!(class.run(&["practice", "napkin-roll"]).0, 0);
}

#[test]
fn an_exercise_that_changed_without_another_version_changes_no_earlier_mark() {
    let class = Class::new();
    class.run(&["practice"]);
    class.hand_in_all_but(1, "handed-in", &[]);
    let exercise = class.read("exercises/napkin-roll.toml");
    class.write("exercises/napkin-roll.toml", exercise.replace("width + 2 * allowance", "width + 4 * allowance"));
    let (status, text, errors) = class.run(&["check"]);
    assert_eq!(status, 0, "{text}{errors}");
    // Homework without a code says its version, and is marked by it.
    class.run(&["practice"]);
    let homework = "exercise = \"napkin-roll\"\nversion = 1\nstudent = \"Tansy\"\nunit = \"in\"\n[given]\nlength = \"9\"\nplaces = \"4\"\n\
                    place = \"1 1/2\"\nallowance = \"1/2\"\n[answer]\nwidth = \"6\"\ncut_width = \"7\"\n";
    class.write(
        "exercises/napkin-roll.toml",
        exercise
            .replace("width + 2 * allowance", "width + 4 * allowance")
            .replace("title = \"Nap", "version = 2\ntitle = \"Nap"),
    );
    class.write("handed-in/homework.toml", homework);
    let (_, _, errors) = class.run(&["check"]);
    let page = class.read("marked/napkin-roll/students/tansy.html");
    assert!(page.contains("Marked by version 1 of the exercise") && !page.contains("not right"), "{errors}");
}

#[test]
fn the_same_code_on_several_sheets_is_said() {
    let dir = folder();
    let at = dir.path();
    run(at, &["practice", "sleeve", "--count", "2", "--out", "set"]);
    let key = fs::read_to_string(at.join("set/key/key-01.toml")).unwrap();
    for name in ["Tansy", "Moss", "Sedge"] {
        write(at, &format!("in/{name}.toml"), key.replace("Key to sheet 01", name));
    }
    let (_, _, errors) = run(at, &["check", "in"]);
    assert_eq!(errors.matches("the same code is on the sheets of Moss, Sedge, Tansy").count(), 3, "{errors}");
    let table = fs::read_to_string(at.join("set/answers/table.csv")).unwrap();
    write(at, "blank.csv", &table);
    let (_, text, _) = run(at, &["check", "blank.csv"]);
    assert!(!text.contains("points"), "a row that nobody filled in is no sheet: {text}");
}

#[test]
fn doubtful_commas_are_settled_by_the_rest_of_the_table() {
    let dir = folder();
    let head = "student;exercise;unit;ruler;given.zip;answer.finished_width;answer.mouth\n";
    write(
        dir.path(),
        "a.csv",
        format!("sep=;\r{head}Tansy;zip-pouch;in;1/8 in;8;7,500 in;7,5\rMoss;zip-pouch;in;1/8 in;8;7 1/2;7\r")
            .replace('\n', "\r"),
    );
    let (_, json, errors) = run(dir.path(), &["check", "a.csv", "--json"]);
    let data: serde_json::Value = serde_json::from_str(&json).unwrap();
    let sheet = &data["sheets"][0];
    let verdict = |sheet: usize| {
        let answers = data["sheets"][sheet]["answers"].as_array().unwrap();
        answers.iter().find(|it| it["step"] == "finished_width").unwrap()["verdict"].clone()
    };
    assert_eq!((verdict(0), errors.as_str()), (verdict(1), ""), "7,500 in is 7 1/2 in");
    assert!(sheet["remarks"].to_string().contains("7,500 in\\\" was read as 7.500 in"), "{}", sheet["remarks"]);
    // With nothing to settle it, it is asked about.
    write(dir.path(), "b.csv", format!("{head}Tansy;zip-pouch;in;1/8 in;8;7,500 in;7\n"));
    assert!(run(dir.path(), &["check", "b.csv"]).2.contains("7,500 can be read in two ways"));
}

#[test]
fn odd_spellings_and_usual_givens_are_remarked_on_once() {
    let dir = folder();
    let exercise = "exercise = \"sleeve\"\nstudent = \"Tansy\"\nunit = \"in\"\n";
    let text = run(dir.path(), &["blank", "sleeve"]).1;
    assert!(text.contains("[answer]"), "{exercise}");
    write(dir.path(), "roll.toml", super::command::SHEET.replace("\"11\"", "\"１１ ins\""));
    let (_, text, errors) = run(dir.path(), &["check", "roll.toml"]);
    assert!(text.contains("Note: \"１１ ins\" was read as 11 in."), "{text}{errors}");
}

#[test]
fn a_file_is_named_for_what_it_is() {
    let dir: TempDir = folder();
    let at: &Path = dir.path();
    for (name, says) in [
        ("photo.JPG", "pictures are not read"),
        ("answers.odt", "a document of a word processor"),
        ("page.html", "pages are not read"),
        ("old.xls", "save it as .xlsx"),
        ("all.zip", "unpack it here"),
        ("what.xyz", "files of this kind are not read"),
        ("list.xlsx", "can't be read as a spreadsheet"),
        ("prose.txt", "there are no answers in this text"),
        ("picture.toml", "this is no text"),
    ] {
        write(
            at,
            &format!("in/{name}"),
            if name == "prose.txt" {
                b"I was ill last week,\nand am sorry.\n".to_vec()
            } else {
                b"\xff\xd8\xff\xe0\0\x10".to_vec()
            },
        );
        let (status, _, errors) = run(at, &["check", "in"]);
        assert_eq!(status, 2);
        assert!(errors.contains(&format!("error: in/{name}: ")) && errors.contains(says), "{name}: {errors}");
        fs::remove_file(at.join("in").join(name)).unwrap();
    }
    for passed_over in ["in/.DS_Store", "in/~$list.xlsx", "in/Thumbs.db"] {
        write(at, passed_over, "x");
    }
    write(at, "in/good.toml", super::command::SHEET);
    assert_eq!(run(at, &["check", "in"]).2, "");
}

#[test]
fn what_comes_with_the_program_is_traced_off() {
    let class = Class::new();
    let (status, text, errors) = class.run(&["trace", "sleeve"]);
    assert_eq!((status, errors.as_str()), (0, ""));
    assert!(text.starts_with("The exercise is in exercises/sleeve.toml."), "{text}");
    let shipped = include_str!("../../exercises/sleeve.toml");
    assert_eq!(class.read("exercises/sleeve.toml"), shipped);
    class.write("exercises/sleeve.toml", shipped.replacen("title = \"", "title = \"Our ", 1));
    assert!(class.run(&["list"]).1.contains("Our "));
    let (status, _, errors) = class.run(&["trace", "sleeve"]);
    assert!(
        status == 2 && errors.contains("exercises/sleeve.toml: this exists already; give it another name with --as"),
        "{errors}"
    );
    assert_eq!(run(&class.at("handed-in"), &["trace", "sleeve", "--as", "our-sleeve"]).0, 0);
    assert_eq!(class.read("exercises/our-sleeve.toml"), shipped);
    assert_eq!(class.run(&["trace", "sleeve", "--as", "../x"]).0, 2);
    assert!(
        class.run(&["trace", "sleev"]).2.ends_with("error: there is no exercise \"sleev\"; did you mean sleeve?\n")
    );

    let (status, _, errors) = class.run(&["trace", "measuring", "--lesson"]);
    assert_eq!(status, 0, "{errors}");
    assert!(class.read("book/SUMMARY.md").ends_with("(measuring.md)\n"));
    let (status, _, errors) = class.run(&["book"]);
    assert_eq!(status, 0, "{errors}");
    assert!(class.at("pages/measuring.html").is_file());
    assert!(
        class
            .run(&["trace", "nothing", "--lesson"])
            .2
            .contains("there is no lesson \"nothing\"; there are: altered-pouch, ")
    );
}

/// What another program knows students by comes through to the gradebook.
#[test]
fn the_gradebook_has_the_columns_of_the_roster() {
    let class = marked();
    let roster = ROSTER.replace("student,id", "student,id,number").replace("Tansy,", "Tansy,,=A-7");
    class.write("roster.csv", roster);
    assert_eq!(class.run(&["check"]).0, 0);
    let book = class.read("marked/gradebook.csv");
    assert!(book.starts_with("\u{feff}student,id,points,out of,number,week-1 (of 5)\r\n"), "{book}");
    assert!(book.contains("Tansy,,5,5,'=A-7,5\r\n") && book.contains("Sedge,,5,5,,5\r\n"), "{book}");
}
