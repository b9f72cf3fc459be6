//! What is tried, with what it begins from, and what has to be true of it.

use super::chance::Chance;
use super::mutate::{archive, archived, text};
use super::shared::exercise;
use super::shared::odd::HOSTILE;
use super::shared::sent::{letter, spreadsheet};
use foldmark::book::render_chapter;
use foldmark::check::{Grader, Marker, Table, blank_file, feedback_page, read_answers, read_handed_in, report_text};
use foldmark::class::{Policy, SetRecord, Show, read_roster, roster_columns, roster_wishes};
use foldmark::desk::Desk;
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::{Exercise, Shelf, read, shipped};
use foldmark::formula::{Formula, NoNames, NoValues};
use foldmark::length::{Length, Ruler, Unit};
use foldmark::lesson::{Chapter, Output};
use foldmark::live::Live;
use foldmark::practice::{Code, Maker, coded_file, document, key_page, recall, set};
use serde_json::json;
use std::sync::LazyLock;

pub struct Target {
    pub name: &'static str,
    /// How many inputs are tried in the gate.
    pub count: u64,
    pub seeds: fn() -> Vec<Vec<u8>>,
    pub make: fn(&mut Chance, &[Vec<u8>]) -> Vec<u8>,
    pub run: fn(&[u8]),
}

const fn target(name: &'static str, count: u64, seeds: fn() -> Vec<Vec<u8>>, run: fn(&[u8])) -> Target {
    Target { name, count, seeds, make: text, run }
}

pub const TARGETS: [Target; 13] = [
    target("lengths", 4_000, lengths, run_lengths),
    target("formulas", 4_000, formulas, run_formulas),
    target("codes", 3_000, codes, run_codes),
    target("answers", 200, answers, run_answers),
    target("tables", 400, tables, run_tables),
    target("exercises", 150, exercises, run_exercises),
    target("chapters", 80, chapters, run_chapters),
    target("classes", 1_000, classes, run_classes),
    target("rosters", 1_500, rosters, run_rosters),
    target("records", 1_500, records, run_records),
    target("live", 120, live, run_live),
    Target { make: archived, ..target("archives", 6, archives, run_archives) },
    Target { make: archived, ..target("spreadsheets", 6, spreadsheets, run_spreadsheets) },
];

static SHELF: LazyLock<Shelf> = LazyLock::new(Shelf::shipped);

/// The exercises that sheets and chapters are of: a plain one, one with tables, one with levels of all kinds.
const OF: [&str; 3] = ["zip-pouch", "flap-roll", "mixed-roll"];

fn bytes(texts: &[&str]) -> Vec<Vec<u8>> {
    texts.iter().map(|text| text.as_bytes().to_vec()).collect()
}

fn is_harmless(page: &str) {
    assert!(!page.contains(HOSTILE), "text became markup");
}

fn lengths() -> Vec<Vec<u8>> {
    bytes(&[
        "1 1/2 in",
        "3 cm",
        "12 and a half",
        "1' 3\"",
        "15.5mm",
        "¾\"",
        "1 yd 2 ft 3 in",
        "3/4",
        "1.000,5 mm",
        "≈ 9 5/8 in",
    ])
}

fn run_lengths(input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    for unit in [None, Some(Unit::Inch), Some(Unit::Millimetre), Some(Unit::Centimetre)] {
        match Length::read(&text, unit) {
            Ok(length) => {
                for ruler in [Ruler::EIGHTH, Ruler::MILLIMETRE] {
                    // What a ruler shows reads back as what it shows.
                    let shown = ruler.nearest(length);
                    let written = ruler.write(shown).to_string();
                    assert_eq!(Length::read(&written, None), Ok(shown), "{written:?}");
                }
            }
            Err(fault) => assert!(!fault.to_string().contains(char::is_control), "{fault}"),
        }
        let _ = foldmark::length::likely(&text, unit.unwrap_or(Unit::Inch));
    }
    let _ = Ruler::read(&text);
}

fn formulas() -> Vec<Vec<u8>> {
    let rules = SHELF.iter().flat_map(|exercise| exercise.steps.iter()).flat_map(|step| step.formulas());
    rules.map(|formula| formula.text().as_bytes().to_vec()).filter(|text| !text.is_empty()).collect()
}

fn example(exercise: &Exercise) -> Option<Draft<'_>> {
    let ruler = exercise.usual_ruler(false);
    Draft::new(exercise, Givens::read(exercise, &Raw::example(exercise), None, ruler).ok()?).ok()
}

fn run_formulas(input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    if let Ok(formula) = Formula::compile(&text, &NoNames) {
        assert!(formula.evaluate(&NoValues, None).is_none_or(f64::is_finite), "{text}");
    }
    for name in OF {
        let exercise = exercise(name);
        let Ok(formula) = Formula::compile(&text, &exercise.scope) else { continue };
        let draft = example(exercise).unwrap();
        for row in [None, Some(0), Some(1)] {
            let is_for_row = formula.kind().list.is_some() == row.is_some();
            assert!(!is_for_row || formula.evaluate(&draft.measures, row).is_none_or(f64::is_finite), "{text}");
        }
        assert!(formula.changes(&|_| Vec::new()).len() <= 400);
        // Its own text is read as the same rule.
        assert_eq!(Formula::compile(formula.text(), &exercise.scope).unwrap().uses(), formula.uses());
    }
}

fn codes() -> Vec<Vec<u8>> {
    let problems = OF.iter().flat_map(|name| set(exercise(name), Ruler::EIGHTH, 3, 5).unwrap());
    problems.map(|problem| problem.code.to_string().into_bytes()).collect()
}

fn run_codes(input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    let Ok(code) = Code::read(&text) else { return };
    assert_eq!(Code::read(&code.to_string()), Ok(code));
    for exercise in SHELF.iter().filter(|exercise| code.is_for(&exercise.name, exercise.version)) {
        if let Ok(maker) = Maker::new(exercise, code.level, code.task, code.ruler) {
            let problem = maker.problem(code.seed);
            assert!(problem.is_none_or(|problem| problem.code == code));
        }
    }
}

/// The key of some sheets, and the letters around them.
fn answers() -> Vec<Vec<u8>> {
    let mut seeds = Vec::new();
    for name in OF {
        for problem in set(exercise(name), exercise(name).usual_ruler(false), 2, 3).unwrap() {
            seeds.push(coded_file(&problem, "Tansy", true).into_bytes());
            seeds.push(blank_file(problem.draft.exercise, Ruler::MILLIMETRE, 2).into_bytes());
            seeds.push(letter(&coded_file(&problem, "Tansy", true)).into_bytes());
        }
    }
    seeds
}

fn run_answers(input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    for sheet in [read_answers(&text), read_handed_in(&text)] {
        let Ok(mut sheet) = sheet else { continue };
        if recall(&mut sheet, &SHELF).is_err() {
            continue;
        }
        let Ok(exercise) = SHELF.get(&sheet.exercise) else { continue };
        let Ok(marked) = Marker::new(exercise, &Policy::default()).mark(&sheet) else { continue };
        for show in [Show::Marks, Show::Coach, Show::Full] {
            is_harmless(&feedback_page(&marked, show));
            let report = report_text(&marked, show);
            assert!(!report.contains(|letter: char| letter.is_control() && letter != '\n'), "{report:?}");
        }
        assert!(marked.points <= marked.out_of);
    }
}

fn tables() -> Vec<Vec<u8>> {
    bytes(&[
        "student,unit,given.zip,answer.finished_width\nSorrel,in,8,7 1/2\nSedge,in,8 feet and more,7 1/2\n",
        "student;exercise;unit;given.zip;answer.finished_width;answer.cut_width\n\"Tansy, T.\";zip-pouch;in;8;7,5;9\n;;;;;\n",
        "student,id,code,answer.slot.1,answer.slot.2,answer.slots_width\nTansy,7,2C42P-Z0KKV-T1QWC,1 3/4,2,7\n",
        "student\texercise\tgiven.objects.1.name\tgiven.objects.1.length\tgiven.objects.1.girth\tgiven.objects.1.count\tanswer.slot.1\nVetch\tflap-roll\tchisel\t9 in\t3 in\t4\t2 in\n",
    ])
}

fn run_tables(input: &[u8]) {
    for asked in [None, Some(exercise("zip-pouch"))] {
        let Ok((table, _)) = Table::read(input, asked, &SHELF) else { continue };
        let begins = input.iter().position(|byte| *byte == b'\n').map_or(input.len(), |at| at + 1);
        let policy = Policy::default();
        let graded = |pieces: &[&[u8]]| {
            let mut grader = Grader::new(&table, &SHELF, &policy, recall);
            let graded: Vec<_> = pieces.iter().map(|piece| grader.grade(piece)).collect();
            graded.iter().flat_map(|graded| &graded.faults).for_each(|fault| drop(table.tell(fault)));
            graded.iter().map(|graded| graded.lines.as_str()).collect::<String>()
        };
        // A table comes in pieces of whole records, and is graded alike however it is cut.
        let body = &input[begins..];
        let cut = foldmark::text::whole_records(&body[..body.len() / 2], table.delimiter());
        if cut > 0 {
            assert_eq!(graded(&[body]), graded(&[&body[..cut], &body[cut..]]));
        }
    }
}

fn exercises() -> Vec<Vec<u8>> {
    let own = include_str!("../../src/command/start/exercises/napkin-roll.toml");
    shipped().map(|(_, text)| text).chain([own, own, own, own]).map(|text| text.as_bytes().to_vec()).collect()
}

fn run_exercises(input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    let exercise = match read("tried", &text) {
        Ok(exercise) => exercise,
        Err(faults) => {
            assert!(!faults.is_empty());
            faults.iter().for_each(|fault| assert!(!fault.to_string().contains(|c: char| c.is_control()), "{fault}"));
            return;
        }
    };
    if let Some(draft) = example(&exercise) {
        draft.pieces().for_each(|piece| drop(draft.piece(piece)));
        let _ = draft.seams();
    }
    let mut shelf = Shelf::default();
    shelf.put(exercise);
    for block in ["draft", "steps", "figure", "pieces"] {
        let text = format!("```foldmark {block}\nexercise = \"tried\"\n```\n");
        if let Ok(page) = rendered(&shelf, &text) {
            is_harmless(&page);
        }
    }
    let Ok(exercise) = shelf.get("tried") else { return };
    // What takes long is looked at elsewhere.
    let rows: usize = exercise.steps.len();
    if rows < 60
        && let Ok(problems) = set(exercise, exercise.usual_ruler(true), 1, 9)
    {
        is_harmless(&document("x", &key_page(&problems[0], None)));
    }
}

fn rendered(shelf: &Shelf, text: &str) -> Result<String, Vec<foldmark::lesson::LessonFault>> {
    let chapter = || Chapter { path: "tried.md", text, first: None, is_live: true };
    render_chapter(shelf, chapter(), Output::Markdown)?;
    render_chapter(shelf, chapter(), Output::Html)
}

fn chapters() -> Vec<Vec<u8>> {
    let own = include_str!("../../src/command/start/book/napkin-roll.md").replace("napkin-roll", "zip-pouch");
    let authors = include_str!("../../book/authors.md");
    let blocks: Vec<&str> = authors.split("\n## ").filter(|part| part.contains("```foldmark")).collect();
    let chapters = [include_str!("../../book/zip-pouch.md"), include_str!("../../book/measuring.md"), &own];
    bytes(&chapters).into_iter().chain(bytes(&blocks)).collect()
}

fn run_chapters(input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    match rendered(&SHELF, &text) {
        // What stands outside of blocks is the author's own.
        Ok(page) => assert!(page.matches(HOSTILE).count() <= text.matches(HOSTILE).count()),
        Err(faults) => assert!(faults.iter().all(|fault| fault.line > 0)),
    }
}

fn classes() -> Vec<Vec<u8>> {
    let own = include_str!("../../src/command/start/class.toml");
    bytes(&[
        own,
        &own.replace("# ", "").replace("The course, week by week. Take away the signs at the beginning", "#"),
        "secret = \"AAAAA-AAAAA-AAAAA-AAAAA-AAAAA\"\nunit = \"cm\"\ntolerance = \"1/16 in\"\nfollow_through = 50\n[given]\nallowance = \"3/8 in\"\n\
         [[exercise]]\nname = \"flap-roll\"\nsteps = [\"slot\"]\npoints = { cut_width = 3 }\n[[week]]\ndue = \"2026-03-05\"\n",
    ])
}

fn run_classes(input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    let places = Policy::places(&text);
    let folders = places.folders;
    for place in
        [folders.exercises, folders.sheets, folders.keys, folders.handed_in, folders.marked].into_iter().flatten()
    {
        assert!(!place.starts_with('/') && !place.split('/').any(|part| part == ".."), "{place}");
    }
    if let Ok(policy) = Policy::read(&text, &SHELF) {
        SHELF.iter().for_each(|exercise| drop(policy.points(exercise)));
    }
}

fn rosters() -> Vec<Vec<u8>> {
    bytes(&[
        "student,id,level,unit\nTansy,,1,cm\nSorrel,3,2,in\nSorrel,9,,\n",
        "number;student;e-mail;user\n1;\"Müllerkraut, M.\";m@x.org;m\n2;Ye\u{200c}w;;\n",
        "student\nŽluťoučký\nZ\u{30c}lut\n\u{feff}Sedge\n",
    ])
}

fn run_rosters(input: &[u8]) {
    let _ = roster_columns(input);
    if let Ok((students, _)) = read_roster(input, 1_000) {
        assert!(students.len() <= 1_000);
        let _ = roster_wishes(input, &students);
        for one in &students {
            assert!(!one.name.trim().is_empty() && one.name.chars().count() <= 60);
        }
    }
}

fn records() -> Vec<Vec<u8>> {
    bytes(&[
        "title = \"Rolls\"\nweek = 2\ndate = \"2026-03-05\"\n\n[[sheet]]\nstudent = \"Tansy\"\nid = \"7\"\nexercise = \"sleeve\"\ncode = \"A-B\"\n",
    ])
}

fn run_records(input: &[u8]) {
    if let Ok(record) = SetRecord::read(&String::from_utf8_lossy(input)) {
        assert_eq!(SetRecord::read(&record.write()), Ok(record));
    }
}

fn live() -> Vec<Vec<u8>> {
    let code = set(exercise("zip-pouch"), Ruler::EIGHTH, 1, 5).unwrap()[0].code.to_string();
    let own = json!({ "ruler": "1/8 in", "single": { "zip": "8 in" }, "table": {}, "choice": {} });
    let asks = [
        json!({ "ask": "form", "exercise": "zip-pouch", "own": own }),
        json!({ "ask": "problem", "exercise": "zip-pouch", "level": 1, "slips": 0, "ruler": "1/8 in", "seed": 77, "weak": [] }),
        json!({ "ask": "coded", "exercise": "zip-pouch", "code": code }),
        json!({ "ask": "mark", "exercise": "zip-pouch", "code": code, "show": "full", "answers": { "finished_width": ["7 1/2"] } }),
        json!({ "ask": "file", "exercise": "zip-pouch", "student": "Tansy", "code": code, "answers": { "finished_width": ["7 1/2"] } }),
        json!({ "ask": "mark", "exercise": "zip-pouch", "own": own, "show": "coach", "answers": { "finished_width": ["7 1/2"] } }),
    ];
    asks.into_iter().map(|ask| format!("{ask:#}").into_bytes()).collect()
}

fn run_live(input: &[u8]) {
    let mut live = Live::new();
    let pouch = shipped().find(|(name, _)| *name == "zip-pouch").unwrap();
    live.answer(&json!({ "ask": "exercise", "name": pouch.0, "text": pouch.1 }).to_string());
    let request = String::from_utf8_lossy(input);
    for _ in 0..2 {
        let answer = live.answer(&request);
        serde_json::from_str::<serde_json::Value>(&answer).unwrap();
        // Only what the core made is taken for HTML; text stands in it escaped.
        assert!(!answer.contains(HOSTILE) || !answer.contains("\"html\""), "{answer}");
    }
}

/// Asks the desk one thing after another.
fn at_desk(asks: &[(serde_json::Value, &[u8])]) {
    let mut desk = Desk::new();
    for (ask, bytes) in asks {
        let answer = desk.answer(&[ask.to_string().as_bytes(), b"\n", bytes].concat());
        assert!(answer.starts_with(b"{"), "{}", String::from_utf8_lossy(&answer));
    }
    let saved = desk.answer(b"{\"ask\":\"save\"}");
    let mut other = Desk::new();
    let line = saved.iter().position(|byte| *byte == b'\n').map_or(saved.len(), |at| at + 1);
    let again = other.answer(&[b"{\"ask\":\"unpack\"}\n", &saved[line..]].concat());
    assert!(again.starts_with(b"{\"count\""), "{}", String::from_utf8_lossy(&again));
}

/// A class with a set, and with what was handed in.
fn archives() -> Vec<Vec<u8>> {
    let mut desk = Desk::new();
    let mut ask = |text: &str| String::from_utf8_lossy(&desk.answer(text.as_bytes())).into_owned();
    ask("{\"ask\":\"put\",\"place\":\"roster.csv\"}\nstudent\nTansy\n");
    ask("{\"ask\":\"set\",\"exercises\":[\"zip-pouch\"]}");
    let key = ask("{\"ask\":\"read\",\"name\":\"keys/week-1/key-01-tansy.toml\"}");
    ask(&format!("{{\"ask\":\"put\",\"place\":\"handed-in/tansy.toml\"}}\n{}", key.split_once('\n').unwrap().1));
    let saved = desk.answer(b"{\"ask\":\"save\"}");
    let whole = saved[saved.iter().position(|byte| *byte == b'\n').unwrap() + 1..].to_vec();
    let few = [
        ("class.toml", "title = \"x\"\n"),
        ("handed-in/a.toml", "student = \"A\"\n"),
        ("../out.txt", "x"),
        ("a/b/c.csv", "student\nA\n"),
    ];
    let few: Vec<(String, Vec<u8>)> = few.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).into();
    vec![whole, archive(&few, &mut Chance::new(0, 0))]
}

fn run_archives(input: &[u8]) {
    let asks = ["unpack", "class", "check"].map(|ask| (json!({ "ask": ask }), input));
    at_desk(&asks);
}

fn spreadsheets() -> Vec<Vec<u8>> {
    let rows = |text: &str| {
        text.lines().map(|line| line.split(',').map(str::to_owned).collect()).collect::<Vec<Vec<String>>>()
    };
    vec![
        spreadsheet(&rows(
            "student,exercise,unit,given.zip,answer.finished_width\nSorrel,zip-pouch,in,8,date:45000\nTansy,zip-pouch,in,8,7 1/2",
        )),
        spreadsheet(&rows("student,id,level\nSorrel,3,1\nTansy,date:1,2")),
    ]
}

fn run_spreadsheets(input: &[u8]) {
    let put = |place: &str| json!({ "ask": "put", "place": place });
    at_desk(&[
        (put("roster.csv"), input),
        (put("handed-in/a.xlsx"), input),
        (put("handed-in/b.ods"), input),
        (json!({ "ask": "class" }), b""),
        (json!({ "ask": "check" }), b""),
    ]);
}
