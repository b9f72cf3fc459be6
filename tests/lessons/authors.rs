//! The chapter for authors, `book/authors.md`, does what it says: the file that it writes grows without a fault and is
//! the shipped needle book, every mistake is answered as shown, and every table lists what the program knows.
//!
//! What the program prints and declares is put into the chapter, and the file on the shelf, by
//! `FOLDMARK_UPDATE=1 cargo test --test lessons authors`.

use super::declared::with_tables;
use super::shared::{is_update, run, write};
use foldmark::book::{build_book, render_chapter};
use foldmark::exercise::{Pen, Shelf, Side, read};
use foldmark::formula::{Base, FUNCTIONS, Formula, NoNames, may_name};
use foldmark::lesson::{Chapter, Output};
use foldmark::text::Fault;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

const CHAPTER: &str = include_str!("../../book/authors.md");
const FILE: &str = "needle-book.toml";

fn at(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// A stretch of the chapter: a fence with its information string, or what stands between fences.
struct Part {
    info: Option<String>,
    text: String,
    ticks: usize,
}

/// The chapter in parts. Fences stand at the left margin; one with more backticks may hold others.
fn parts(chapter: &str) -> Vec<Part> {
    let mut parts = vec![Part { info: None, text: String::new(), ticks: 0 }];
    for line in chapter.lines() {
        let open = &parts[parts.len() - 1];
        let ticks = line.len() - line.trim_start_matches('`').len();
        if open.info.is_none() && ticks >= 3 {
            parts.push(Part { info: Some(line[ticks..].to_owned()), text: String::new(), ticks });
        } else if open.info.is_some() && ticks == open.ticks && line.len() == ticks {
            parts.push(Part { info: None, text: String::new(), ticks: 0 });
        } else {
            let last = parts.len() - 1;
            parts[last].text += &format!("{line}\n");
        }
    }
    parts
}

fn joined(parts: &[Part]) -> String {
    let part = |part: &Part| match &part.info {
        Some(info) => format!("{0}{info}\n{1}{0}\n", "`".repeat(part.ticks), part.text),
        None => part.text.clone(),
    };
    parts.iter().map(part).collect()
}

fn fences(kind: &str) -> Vec<String> {
    parts(CHAPTER).into_iter().filter(|part| part.info.as_deref() == Some(kind)).map(|part| part.text).collect()
}

/// The file with one more fence. Lines that begin no part of their own go on with the part above them; what is asked for
/// goes into the head.
fn grown(file: &str, fence: &str) -> String {
    if let Some(head) = file.find("\nrulers = ").filter(|_| fence.starts_with("core = ")) {
        let (above, below) = file.split_at(head + 1 + file[head + 1..].find('\n').unwrap() + 1);
        return format!("{above}{fence}{below}");
    }
    let gap = if !file.is_empty() && fence.starts_with(['[', '#']) { "\n" } else { "" };
    format!("{file}{gap}{fence}")
}

/// What a command line answers in a folder that holds the file, as a terminal shows it: notes and errors come first.
fn answer(line: &str, file: &str) -> (bool, String) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join(FILE), file).unwrap();
    // Quotation marks keep an argument together.
    let quoted = line.split('"').enumerate();
    let mut words: Vec<String> = Vec::new();
    for (index, text) in quoted {
        if index % 2 == 1 {
            words.push(text.to_owned());
        } else {
            words.extend(text.split_whitespace().map(str::to_owned));
        }
    }
    assert_eq!(words.remove(0), "foldmark", "{line}");
    let (status, text, errors) = run(folder.path(), &words);
    (status == 0, errors + &text)
}

const PROOF: &str = "foldmark proof needle-book.toml";

#[test]
fn the_file_grows_as_the_chapter_says() {
    let mut parts = parts(CHAPTER);
    assert_eq!(joined(&parts), CHAPTER);
    let mut file = String::new();
    let (mut stages, mut mistakes) = (0, 0);
    // What the fence of output that comes next has to hold.
    let mut said: Option<String> = None;
    for part in &mut parts {
        let Some(info) = part.info.clone() else { continue };
        assert!(said.is_none() || info == "text", "a fence of mistakes is answered by the next fence, not {info}");
        match info.as_str() {
            "toml" => {
                file = grown(&file, &part.text);
                let faults = read("needle-book", &file).err().unwrap_or_default();
                let expected = if file.contains("[[step]]") { 0 } else { 1 };
                assert_eq!(faults.len(), expected, "after\n{}\n{faults:?}", part.text);
                assert!(faults.iter().all(|fault| fault.message.starts_with("there are no steps")), "{faults:?}");
            }
            "toml,wrong" => {
                let (_, before) = answer(PROOF, &file);
                let (_, after) = answer(PROOF, &grown(&file, &part.text));
                assert_ne!(before, after, "nothing is said about\n{}", part.text);
                said = Some(after);
                mistakes += 1;
            }
            "text" => {
                let said = said.take().expect("a fence of text is the answer to a mistake");
                check_output(&mut part.text, "", &said);
            }
            "toml,try" => {
                let (is_well, said) = answer(PROOF, &grown(&file, &part.text));
                assert!(is_well, "{said}");
            }
            "console" => {
                let line = part.text.lines().next().unwrap().strip_prefix("$ ").unwrap().to_owned();
                let (_, said) = answer(&line, &file);
                check_output(&mut part.text, &format!("$ {line}\n"), &said);
                stages += 1;
            }
            "markdown" | "toml,book" => {}
            block => assert!(block.starts_with("foldmark "), "what is a fence of {block}?"),
        }
    }
    assert!(stages >= 4 && mistakes >= 6, "{stages} stages, {mistakes} mistakes");
    let shelf = at("exercises").join(FILE);
    if is_update() {
        fs::write(at("book/authors.md"), with_tables(&joined(&parts))).unwrap();
        fs::write(&shelf, &file).unwrap();
    }
    let there = fs::read_to_string(&shelf).unwrap_or_default();
    assert!(there == file, "the file of the chapter is not exercises/{FILE}; run with FOLDMARK_UPDATE=1");
}

fn check_output(text: &mut String, before: &str, said: &str) {
    let expected = format!("{before}{said}");
    if is_update() {
        // The shelf is built into the program, which does not have the new file yet.
        *text = expected.replace("note: ./needle-book.toml replaces the shipped exercise needle-book\n", "");
    } else {
        assert_eq!(*text, expected, "run with FOLDMARK_UPDATE=1, and read the difference");
    }
}

/// The pages and the settings of the chapter make a book, with the exercise in a folder of the author's.
#[test]
fn the_lesson_of_the_chapter_can_be_built() {
    let root = tempfile::tempdir().unwrap();
    let settings = fences("toml,book");
    let [settings] = &settings[..] else { panic!("one book.toml") };
    let write = |path: &str, text: &str| write(root.path(), path, text);
    write("book.toml", settings);
    let exercise = fs::read_to_string(at("exercises").join(FILE)).unwrap();
    write(&format!("exercises/{FILE}"), &exercise.replace("title = \"Needle book\"", "title = \"My needle book\""));
    let pages = fences("markdown");
    assert_eq!(pages.len(), 3);
    let mut summary = String::new();
    for (index, page) in pages.iter().enumerate() {
        summary += &format!("- [Page {index}](page-{index}.md)\n");
        write(&format!("book/page-{index}.md"), page);
    }
    write("book/SUMMARY.md", &summary);
    let (built, notices) = build_book(root.path(), Some(&root.path().join("out"))).unwrap();
    assert!(notices.len() == 1 && notices[0].contains("replaces the shipped exercise needle-book"), "{notices:?}");
    let page = fs::read_to_string(built.join("page-0.html")).unwrap();
    assert!(page.contains("<svg") && !page.contains("language-foldmark"));
}

// ---------------------------------------------------------------- the tables

#[test]
fn the_tables_are_what_the_program_declares() {
    if !is_update() {
        assert!(with_tables(CHAPTER) == CHAPTER, "run with FOLDMARK_UPDATE=1, and read the difference");
    }
}

/// The rows of the tables under a heading, each as its cells.
fn tables(heading: &str) -> Vec<Vec<Vec<String>>> {
    let mut lines = CHAPTER.lines().skip_while(|line| line.trim_start_matches('#').trim() != heading);
    lines.next().unwrap_or_else(|| panic!("there is no heading {heading}"));
    let mut tables = Vec::new();
    let mut is_table = false;
    for line in lines.take_while(|line| !line.starts_with('#')) {
        if line.starts_with('|') && !is_table {
            tables.push(Vec::new());
        }
        is_table = line.starts_with('|');
        if is_table {
            let cells = line.trim_matches('|').split('|').map(|cell| cell.trim().to_owned());
            tables.last_mut().unwrap().push(cells.collect());
        }
    }
    // Without the head and the line below it.
    tables.into_iter().map(|table: Vec<Vec<String>>| table[2..].to_vec()).collect()
}

fn table(heading: &str, index: usize) -> Vec<Vec<String>> {
    tables(heading).remove(index)
}

/// What stands between backticks in a cell.
fn code(cell: &str) -> Vec<String> {
    cell.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

fn set<'w>(words: impl IntoIterator<Item = &'w str>) -> BTreeSet<String> {
    words.into_iter().map(str::to_owned).collect()
}

/// The keys of a table, one in the first cell of each row; of those whose `column` names `word`, if that is asked.
fn keys(table: &[Vec<String>], only: Option<&str>) -> BTreeSet<String> {
    let belongs = |row: &&Vec<String>| only.is_none_or(|word| row[1] == "all" || row[1].split(", ").any(|w| w == word));
    table.iter().filter(belongs).flat_map(|row| code(&row[0])).collect()
}

/// A file that has every section, each with a key that nobody knows. The program answers with the keys it knows there.
const PROBE: &str = r#"
title = "T"
teaches = "T"
zzzzzz = 1
[[given]]
name = "length"
title = "T"
kind = "length"
range = ["1 in", "9 in"]
varies = { from = "1 in", to = "2 in", zzzzzz = 1 }
zzzzzz = 1
[[given]]
name = "number"
title = "T"
kind = "number"
range = [1, 9]
varies = { from = 1, to = 2, zzzzzz = 1 }
zzzzzz = 1
[[given]]
name = "choice"
title = "T"
short = "S"
words = { a = "A" }
varies = { words = ["a"], zzzzzz = 1 }
zzzzzz = 1
[[given]]
name = "table"
title = "T"
rows = [1, 2]
columns = [
  { name = "c", title = "T", kind = "length", range = ["1 in", "9 in"], zzzzzz = 1 },
  { name = "d", title = "T", kind = "number", range = [1, 9], zzzzzz = 1 },
]
varies = { rows = [1, 1], names = ["a"], zzzzzz = 1 }
zzzzzz = 1
[[step]]
name = "s"
title = "T"
at_least = { value = "length", zzzzzz = 1 }
suggest = "length"
why = "W"
zzzzzz = 1
draw = [
  { line = ["0 in", "0 in", "0 in", "0 in"], pen = "cut", zzzzzz = 1 },
  { box = ["0 in", "0 in", "0 in", "0 in"], pen = "cut", zzzzzz = 1 },
  { arc = ["0 in", "0 in", "0 in", "0 in"], centre = ["0 in", "0 in"], turn = "left", pen = "cut", zzzzzz = 1 },
  { circle = ["0 in", "0 in"], radius = "0 in", pen = "cut", zzzzzz = 1 },
  { dividers = "table.c", times = "table.c / 1 in", start = "0 in", from = "0 in", to = "0 in", pen = "cut", zzzzzz = 1 },
  { objects = "table.c", times = "table.c / 1 in", start = "0 in", base = "0 in", widths = "table.c", heights = "table.c", zzzzzz = 1 },
  { measure = "s", from = ["0 in", "0 in"], to = ["0 in", "0 in"], side = "left", zzzzzz = 1 },
  { spot = ["0 in", "0 in"], zzzzzz = 1 },
]
[[slip]]
name = "l"
step = "s"
used = "length"
says = "S"
zzzzzz = 1
[[piece]]
name = "p"
title = "T"
cloth = "C"
grain = "up"
start = ["0 in", "0 in"]
edges = [
  { name = "straight", to = ["0 in", "0 in"], allowance = "0 in", corner = "trimmed", zzzzzz = 1 },
  { name = "arc", to = ["0 in", "0 in"], centre = ["0 in", "0 in"], turn = "left", hem = "0 in", zzzzzz = 1 },
  { name = "last", fold = true, zzzzzz = 1 },
]
marks = [
  { notch = "straight", at = "0 in", zzzzzz = 1 },
  { divide = "outline", into = "2", from = "0 in", zzzzzz = 1 },
  { zzzzzz = 1 },
]
zzzzzz = 1
[[piece]]
name = "part"
title = "T"
cloth = "C"
grain = "up"
split = { piece = "p", line = ["0 in", "0 in", "0 in", "1 in"], keep = "left", edge = "new", fold = true, zzzzzz = 1 }
zzzzzz = 1
[[seam]]
name = "m"
one = ["p: straight"]
other = ["p: straight"]
zzzzzz = 1
[[section]]
name = "c"
title = "T"
says = "S"
layers = [{ label = "L", run = ["0 in", "1 in"], zzzzzz = 1 }]
marks = [
  { stitch = "0 in", zzzzzz = 1 },
  { fold = "0 in", zzzzzz = 1 },
  { spot = "0 in", level = 0, zzzzzz = 1 },
  { measure = "s", from = "0 in", to = "0 in", side = "top", zzzzzz = 1 },
]
zzzzzz = 1
[[view]]
name = "v"
title = "T"
says = "S"
draw = [
  { face = [["0 in", "0 in", "0 in"], ["1 in", "0 in", "0 in"], ["1 in", "1 in", "0 in"]], zzzzzz = 1 },
  { box = [["0 in", "0 in", "0 in"], ["1 in", "1 in", "1 in"]], zzzzzz = 1 },
  { ring = ["0 in", "0 in", "0 in"], radius = "1 in", zzzzzz = 1 },
  { line = [["0 in", "0 in", "0 in"], ["1 in", "0 in", "0 in"]], zzzzzz = 1 },
  { dividers = "table.c", times = "table.c / 1 in", start = "0 in", from = "0 in", to = "1 in", zzzzzz = 1 },
  { curve = [["0 in", "0 in", "0 in"], ["1 in", "0 in", "0 in"], ["1 in", "0 in", "0 in"], ["1 in", "0 in", "0 in"]], zzzzzz = 1 },
  { measure = "s", from = ["0 in", "0 in", "0 in"], to = ["1 in", "0 in", "0 in"], side = "top", zzzzzz = 1 },
]
zzzzzz = 1
[[caution]]
about = "A"
says = "S"
zzzzzz = 1
[practice]
zzzzzz = 1
require = [{ rule = "1 < 2", says = "S", zzzzzz = 1 }]
[[practice.level]]
level = 1
says = "S"
zzzzzz = 1
"#;

/// The keys that the program knows in each section of the probe, by the section's path.
fn known() -> BTreeMap<String, BTreeSet<String>> {
    let faults = read("probe", PROBE).unwrap_err();
    let mut known = BTreeMap::new();
    for Fault { key, message, .. } in &faults {
        if let Some(list) = message.strip_prefix("this key is not known; known here: ") {
            known.insert(key.trim_end_matches("zzzzzz").trim_end_matches('.').to_owned(), set(list.split(", ")));
        }
    }
    // Two faults are none of those: the mark that says nothing, and its key.
    assert_eq!(known.len(), PROBE.matches("zzzzzz").count() - 1, "{faults:#?}");
    known
}

#[test]
fn every_key_is_in_the_tables() {
    let known = known();
    let of = |path: &str| known.get(path).unwrap_or_else(|| panic!("{path} of {:?}", known.keys())).clone();
    assert_eq!(keys(&table("The parts of a file", 0), None), of(""));
    for kind in ["length", "number", "choice", "table"] {
        assert_eq!(keys(&table("Givens", 0), Some(kind)), of(&format!("given.{kind}")), "{kind}");
        assert_eq!(keys(&table("Givens", 2), Some(kind)), of(&format!("given.{kind}.varies")), "{kind}");
    }
    assert_eq!(keys(&table("Givens", 1), None), &of("given.table.columns.c") | &of("given.table.columns.d"));
    assert_eq!(keys(&table("Steps", 0), None), of("step.s"));
    assert_eq!(keys(&table("Steps", 1), None), of("step.s.at_least"));
    assert_eq!(keys(&table("Slips", 0), None), of("slip.l"));
    assert_eq!(keys(&table("Pieces", 0), None), &of("piece.p") | &of("piece.part"));
    let edges = ["straight", "arc", "last"].map(|edge| of(&format!("piece.p.edges.{edge}")));
    assert_eq!(keys(&table("Pieces", 1), None), edges.into_iter().flatten().collect());
    assert_eq!(keys(&table("Pieces", 2), None), of("piece.part.split"));
    assert_eq!(keys(&table("Seams", 0), None), of("seam.m"));
    assert_eq!(keys(&table("Sections", 0), None), of("section.c"));
    assert_eq!(keys(&table("Sections", 1), None), of("section.c.layers.1"));
    assert_eq!(keys(&table("Views", 0), None), of("view.v"));
    // Every form of a mark or of a thing seen, with all its keys, in the order of the probe.
    for (heading, index, path) in [("Sections", 2, "section.c.marks"), ("Views", 1, "view.v.draw")] {
        let rows = table(heading, index);
        for (at, row) in rows.iter().enumerate() {
            let told = code(&row[0]).into_iter().chain(code(&row[1])).collect::<BTreeSet<_>>();
            assert_eq!(told, of(&format!("{path}.{}", at + 1)));
        }
    }
    for (section, path) in [("caution", "caution.1"), ("practice", "practice"), ("require", "practice.require.1")] {
        assert_eq!(keys(&table("Cautions and practice", 0), Some(section)), of(path));
    }
    assert_eq!(keys(&table("Levels of practice", 0), None), of("practice.level.1"));
}

#[test]
fn every_mark_pen_and_side_is_in_the_tables() {
    let known = known();
    let marks: BTreeMap<String, BTreeSet<String>> =
        table("Marks", 0).iter().map(|row| (code(&row[0]).remove(0), code(&row[1]).into_iter().collect())).collect();
    let faults = read("probe", PROBE).unwrap_err();
    let unsaid = faults.iter().find_map(|fault| fault.message.split_once("start with one of ")).unwrap().1;
    assert_eq!(marks.keys().cloned().collect::<BTreeSet<_>>(), set(unsaid.split(", ")));
    for (path, keys) in known.iter().filter(|(path, _)| {
        (path.contains(".draw.") || path.contains(".marks."))
            && !path.starts_with("section")
            && !path.starts_with("view")
    }) {
        let mark = marks.iter().find(|(mark, _)| keys.contains(*mark));
        assert_eq!(mark.unwrap().1, keys, "{path}");
    }
    let sentence = |start: &str| {
        let text = CHAPTER.split("\n\n").find(|text| text.starts_with(start)).unwrap();
        code(text).into_iter().collect::<BTreeSet<_>>()
    };
    assert_eq!(sentence("Pens: "), set(Pen::ALL.map(|(name, _)| name)));
    assert_eq!(sentence("Sides: "), set(Side::ALL.map(|(name, _)| name)));
}

/// As little as can be read, one key on each line: what the tables call required, and one of each choice of keys.
const LEAST: &str = r#"title = "T"
teaches = "T"
[[given]]
name = "length"
title = "T"
kind = "length"
range = ["1 in", "9 in"]
[[given]]
name = "number"
title = "T"
kind = "number"
range = [1, 9]
[[given]]
name = "choice"
title = "T"
words = { a = "A" }
[[given]]
name = "table"
title = "T"
rows = [1, 2]
[[given.columns]]
name = "c"
title = "T"
kind = "length"
range = ["1 in", "9 in"]
[[step]]
name = "s"
title = "T"
value = "length"
why = "W"
[[slip]]
name = "l"
step = "s"
used = "length"
says = "S"
[[piece]]
name = "p"
title = "T"
cloth = "C"
grain = "up"
start = ["0 in", "0 in"]
[[piece.edges]]
name = "base"
to = ["1 in", "0 in"]
allowance = "0 in"
[[piece.edges]]
name = "side"
to = ["1 in", "1 in"]
allowance = "0 in"
[[piece.edges]]
name = "slant"
allowance = "0 in"
[[piece]]
name = "part"
title = "T"
cloth = "C"
[piece.split]
piece = "p"
line = ["1/2 in", "0 in", "1/2 in", "1 in"]
keep = "right"
edge = "new"
allowance = "0 in"
[[seam]]
name = "m"
one = ["p: base"]
other = ["p: base"]
[[section]]
name = "c"
title = "T"
says = "S"
[[section.layers]]
label = "L"
run = ["0 in", "1 in"]
[[view]]
name = "v"
title = "T"
says = "S"
[[view.draw]]
line = [["0 in", "0 in", "0 in"], ["1 in", "0 in", "0 in"]]
[[caution]]
about = "A"
says = "S"
[[practice.require]]
rule = "1 < 2"
says = "S"
"#;

#[test]
fn what_is_required_is_what_the_tables_say() {
    let required = |heading, index, only: Option<&str>| {
        let rows = table(heading, index);
        let rows: Vec<_> = rows.into_iter().filter(|row| row.last().unwrap().ends_with("required")).collect();
        keys(&rows, only)
    };
    read("least", LEAST).unwrap_or_else(|faults| panic!("{faults:?}"));
    let mut sections: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut section = String::new();
    let lines: Vec<&str> = LEAST.lines().collect();
    for (at, line) in lines.iter().enumerate() {
        let Some((key, value)) = line.split_once(" = ") else {
            section = line.trim_matches(['[', ']']).to_owned();
            continue;
        };
        if key == "name" && section == "given" {
            section += &format!(" {}", value.trim_matches('"'));
        }
        sections.entry(section.clone()).or_default().insert(key.to_owned());
        let without = [&lines[..at], &lines[at + 1..]].concat().join("\n");
        assert!(read("less", &without).is_err(), "{section}: nothing is said where {key} is missing");
    }
    // Of these there is a choice.
    let edges = [("piece", "start"), ("piece.edges", "to"), ("piece.edges", "allowance"), ("piece.split", "allowance")];
    let either = edges.into_iter().chain([("step", "value")]);
    for (section, key) in either {
        assert!(sections.get_mut(section).unwrap().remove(key));
    }
    let of = |section: &str| sections[section].clone();
    assert_eq!(required("The parts of a file", 0, None), &of("") | &set(["step"]));
    for kind in ["length", "number", "choice"] {
        assert_eq!(required("Givens", 0, Some(kind)), of(&format!("given {kind}")));
    }
    let mut table = of("given table");
    table.insert("columns".to_owned());
    assert_eq!(required("Givens", 0, Some("table")), table);
    assert_eq!(required("Givens", 1, None), of("given.columns"));
    assert_eq!(required("Steps", 0, None), of("step"));
    assert_eq!(required("Slips", 0, None), of("slip"));
    assert_eq!(required("Pieces", 0, None), of("piece"));
    assert_eq!(required("Pieces", 1, None), of("piece.edges"));
    assert_eq!(required("Pieces", 2, None), of("piece.split"));
    assert_eq!(required("Seams", 0, None), of("seam"));
    let with = |section: &str, key: &str| &of(section) | &set([key]);
    assert_eq!(required("Sections", 0, None), with("section", "layers"));
    assert_eq!(required("Sections", 1, None), of("section.layers"));
    assert_eq!(required("Views", 0, None), with("view", "draw"));
    assert_eq!(required("Cautions and practice", 0, Some("caution")), of("caution"));
    assert_eq!(required("Cautions and practice", 0, Some("require")), of("practice.require"));
}

/// Every function, operator and word of the language is there, and its example is the formula that is worked out.
#[test]
fn every_function_and_operator_is_in_the_tables() {
    for row in tables("Functions").concat().iter().chain(tables("Operators").concat().iter()) {
        let (example, worked) = (code(&row[2]).remove(0), code(&row[3]).remove(0));
        assert_eq!(format!("= {example}"), worked);
        let name = code(&row[0]).remove(0);
        assert!(example.contains(name.split('(').next().unwrap()), "{name}: {example}");
    }
    let named =
        table("Functions", 0).into_iter().map(|row| code(&row[0]).remove(0).split('(').next().unwrap().to_owned());
    assert_eq!(named.collect::<BTreeSet<_>>(), set(FUNCTIONS.map(|(name, ..)| name)));

    let listed = keys(&table("Operators", 0), None);
    let (words, signs): (BTreeSet<String>, BTreeSet<String>) =
        listed.into_iter().partition(|operator| operator.starts_with(|c: char| c.is_ascii_lowercase()));
    let mut taken = words.clone();
    taken.insert("pi".to_owned());
    assert!(taken.iter().all(|word| !may_name(word)));
    assert_eq!(taken, set(["and", "or", "not", "pi"]));
    // Every sign of one or two characters that stands between two values; a second `-` belongs to the value.
    let marks: Vec<char> = (' '..='~').filter(char::is_ascii_punctuation).collect();
    let pairs = marks.iter().flat_map(|one| marks.iter().map(move |other| format!("{one}{other}")));
    let all = marks.iter().map(char::to_string).chain(pairs.filter(|pair| !pair.ends_with('-')));
    // A full stop and a comma may belong to the number, a quotation mark and a bracket to the value.
    let understood = all.filter(|sign| Formula::compile(&format!("(2 {sign} 2)"), &NoNames).is_ok());
    assert_eq!(understood.collect::<BTreeSet<_>>(), signs);
}

#[test]
fn kinds_go_together_as_the_table_says() {
    let values = [("length", "1 in"), ("number", "2"), ("area", "(1 in * 1 in)")];
    for row in table("Kinds", 0) {
        for written in code(&row[0]) {
            let formula = values.iter().fold(written.clone(), |text, (kind, value)| text.replace(kind, value));
            let found = match Formula::compile(&formula, &NoNames).map(|formula| formula.kind().base) {
                Ok(Base::Truth) => "a condition".to_owned(),
                Ok(base) => base.with_article().to_owned(),
                Err(_) => "a fault".to_owned(),
            };
            assert_eq!(row[1].split(':').next().unwrap(), found, "{written}");
        }
    }
}

/// Every block of a lesson is there, and every key of each.
#[test]
fn every_block_is_in_the_table() {
    let shelf = Shelf::shipped();
    let faults = |block: &str, keys: &str| {
        let text = format!("```foldmark {block}\n{keys}\nzzzzzz = 1\n```\n");
        let faults = render_chapter(
            &shelf,
            Chapter { path: "probe.md", text: &text, first: None, is_live: false },
            Output::Html,
        )
        .unwrap_err();
        faults.into_iter().map(|fault| fault.message).collect::<Vec<_>>().join("\n")
    };
    let after = |message: &str, words: &str| {
        let list =
            message.split_once(words).unwrap_or_else(|| panic!("{message}")).1.lines().next().unwrap().to_owned();
        set(list.split(", "))
    };
    let rows = table("Blocks in a lesson", 0);
    assert_eq!(keys(&rows, None), after(&faults("zzzzzz", ""), "there are: "));
    for row in &rows {
        let block = code(&row[0]).remove(0);
        let required = match block.as_str() {
            "draft" => "exercise = \"needle-book\"",
            "step" => "step = \"spine\"",
            "section" => "section = \"folded\"",
            "wrong" => "slip = \"no-gaps\"",
            "ruler" => "ruler = \"1 mm\"\nlength = \"1 cm\"\nreading = \"1 mm\"",
            _ => "",
        };
        let known = after(&faults(&block, required), "known here: ");
        assert_eq!(code(&row[1]).into_iter().collect::<BTreeSet<_>>(), known, "{block}");
    }
}
