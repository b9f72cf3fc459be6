//! The desk without its page: what it makes of a class's folder is what the commands make of it, byte for byte.

use super::shared::sent::{class_with_answers, spreadsheet, stored};
use super::shared::{files, folder, run, write};
use foldmark::desk::Desk;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Asks the desk; with the answer come the bytes behind it.
fn ask(desk: &mut Desk, request: Value, bytes: &[u8]) -> (Value, Vec<u8>) {
    let answer = desk.answer(&[request.to_string().as_bytes(), b"\n", bytes].concat());
    let end = answer.iter().position(|byte| *byte == b'\n').unwrap_or(answer.len());
    (serde_json::from_slice(&answer[..end]).unwrap(), answer.get(end + 1..).unwrap_or_default().to_vec())
}

/// Gives a folder as a page does: the class's own file first, for it says where the rest goes. Returns what was not taken.
fn give(desk: &mut Desk, given: &BTreeMap<String, Vec<u8>>) -> Vec<String> {
    let names: Vec<&String> = given.keys().collect();
    let lengths: Vec<usize> = given.values().map(Vec::len).collect();
    let request = json!({ "ask": "place", "names": names, "lengths": lengths });
    if let Some(at) = ask(desk, request.clone(), b"").0["class"].as_u64() {
        ask(desk, json!({ "ask": "put", "place": "class.toml" }), &given[names[at as usize]]);
    }
    let placed = ask(desk, request, b"").0;
    let mut left = Vec::new();
    for (name, place) in names.iter().zip(placed["places"].as_array().unwrap()) {
        match place.as_str().unwrap() {
            "" => left.push((*name).clone()),
            place => {
                let put = ask(desk, json!({ "ask": "put", "place": place }), &given[*name]).0;
                assert_eq!(put["place"], place, "{put}");
            }
        }
    }
    left
}

/// Everything below a folder that the desk keeps.
fn kept(desk: &mut Desk, folder: &str) -> BTreeMap<String, Vec<u8>> {
    let (said, archive) = ask(desk, json!({ "ask": "save" }), b"");
    assert_eq!(said, json!({}));
    let mut other = Desk::new();
    let unpacked = ask(&mut other, json!({ "ask": "unpack" }), &archive).0;
    assert!(unpacked["count"].as_u64().unwrap() > 0, "{unpacked}");
    assert_eq!(
        ask(&mut other, json!({ "ask": "save" }), b"").1,
        archive,
        "an archive that is opened is the same class"
    );
    // The reader of archives that the file's format names: the tool `unzip`, if it is there, agrees in the browser's test.
    let mut found = BTreeMap::new();
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(archive)).unwrap();
    for at in 0..archive.len() {
        let mut file = archive.by_index(at).unwrap();
        let mut bytes = Vec::new();
        std::io::Read::read_to_end(&mut file, &mut bytes).unwrap();
        if let Some(name) = file.name().strip_prefix(&format!("{folder}/")) {
            found.insert(name.to_owned(), bytes);
        }
    }
    found
}

fn differing(one: &BTreeMap<String, Vec<u8>>, other: &BTreeMap<String, Vec<u8>>) -> Vec<String> {
    let names = one.keys().chain(other.keys()).filter(|name| one.get(*name) != other.get(*name));
    names.cloned().collect()
}

#[test]
fn a_class_is_marked_as_by_the_command() {
    let dir = folder();
    let root = dir.path().join("class");
    let given = class_with_answers(&root);
    let (status, text, errors) = run(&root, &["check"]);
    assert_eq!(status, 2, "{errors}");

    let mut desk = Desk::new();
    // As a browser names what lies in a folder that was dropped.
    let named = given.iter().map(|(name, bytes)| (format!("class/{name}"), bytes.clone())).collect();
    let left = give(&mut desk, &named);
    assert!(
        left.contains(&"class/README.md".to_owned())
            && left.iter().filter(|name| name.contains("handed-in")).eq(["class/handed-in/.hidden"]),
        "{left:?}"
    );
    let marked = ask(&mut desk, json!({ "ask": "check" }), b"").0;
    assert_eq!(marked["text"], text, "{marked}");
    for says in marked["faults"].as_array().unwrap() {
        assert!(errors.contains(&format!("error: {}", says.as_str().unwrap())), "{says}: {errors}");
    }
    let (by_desk, by_command) = (kept(&mut desk, "marked"), files(&root.join("marked")));
    assert!(by_command.len() > 12 && by_command.contains_key("week-1/students/mullerkraut.html"));
    assert_eq!(differing(&by_desk, &by_command), [] as [&str; 0]);
    // Text of a stranger stays text.
    assert!(!by_desk.values().any(|page| String::from_utf8_lossy(page).contains("<script")));

    // The next set, chosen from what went wrong, is the command's as well.
    let (status, text, errors) = run(&root, &["practice", "--from", "week-1"]);
    assert_eq!(status, 0, "{errors}");
    let set = ask(&mut desk, json!({ "ask": "set", "from": "week-1" }), b"").0;
    let why: Vec<&str> = set["why"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
    assert!(!why.is_empty() && why.iter().all(|line| text.contains(line)), "{set}: {text}");
    for folder in ["sheets/week-2", "keys/week-2"] {
        assert_eq!(differing(&kept(&mut desk, folder), &files(&root.join(folder))), [] as [&str; 0], "{folder}");
    }

    // A file of the same name that comes later counts.
    let better = &given["keys/week-1/key-01-rosemary.toml"];
    let put = ask(&mut desk, json!({ "ask": "put", "place": "handed-in/Rosemary.toml" }), better).0;
    assert_eq!(put["place"], "handed-in/Rosemary_2.toml");
    let marked = ask(&mut desk, json!({ "ask": "check" }), b"").0;
    let notices = marked["notices"].to_string();
    assert!(notices.contains("handed-in/Rosemary_2.toml counts"), "{notices}");
    assert!(notices.contains("week-1: other points than before: Rosemary: 4, now 5"), "{notices}");
    let by_desk = kept(&mut desk, "marked");

    // Marked again with a sheet less, nothing that was marked is lost.
    ask(&mut desk, json!({ "ask": "out", "name": "handed-in/Sorrel 3.toml" }), b"");
    let marked = ask(&mut desk, json!({ "ask": "check" }), b"").0;
    assert!(
        marked["faults"].to_string().contains("what was marked before is not all there any more (Sorrel (3))"),
        "{marked}"
    );
    assert_eq!(by_desk["week-1/gradebook.csv"], kept(&mut desk, "marked")["week-1/gradebook.csv"]);
}

#[test]
fn sets_are_those_of_the_command() {
    let dir = folder();
    run(dir.path(), &["start", "class"]);
    let root = dir.path().join("class");
    let mut desk = Desk::new();
    give(&mut desk, &files(&root));
    let sets: [(&[&str], Value); 3] = [
        (&["practice"], json!({ "ask": "set" })),
        (
            &["practice", "--level", "2", "--slips", "1", "flap-roll", "napkin-roll"],
            json!({ "ask": "set", "exercises": ["flap-roll", "napkin-roll"], "level": 2, "slips": 1 }),
        ),
        (
            &["practice", "--ruler", "1 mm", "--week", "7", "zip-pouch"],
            json!({ "ask": "set", "exercises": ["zip-pouch"], "ruler": "1 mm", "week": 7 }),
        ),
    ];
    for (arguments, request) in sets {
        let (status, _, errors) = run(&root, arguments);
        assert_eq!((status, errors.as_str()), (0, ""), "{arguments:?}");
        let made = ask(&mut desk, request, b"").0;
        assert!(made["says"].as_str().is_some_and(|says| says.starts_with("3 sheets of ")), "{made}");
    }
    for place in ["sheets", "keys"] {
        let (by_desk, by_command) = (kept(&mut desk, place), files(&root.join(place)));
        assert!(by_command.len() > 20);
        assert_eq!(differing(&by_desk, &by_command), [] as [&str; 0]);
    }
    let again = ask(&mut desk, json!({ "ask": "set", "week": 7 }), b"").0;
    assert_eq!(again["fault"], "there is a set for week 7 already; choose another week, or replace it");
}

/// A row of a roster that can't be taken costs that student's sheet alone, and both tell it; what else stands in the row is
/// not looked at.
#[test]
fn a_row_that_can_not_be_taken_is_told_by_both() {
    let dir = folder();
    run(dir.path(), &["start", "class"]);
    let root = dir.path().join("class");
    write(&root, "roster.csv", "student,id,level\nTansy,1,\nTa\u{34f}nsy,2,hard\nRen\u{e9},3,2\n");
    let mut desk = Desk::new();
    give(&mut desk, &files(&root));
    let told = "roster.csv: row 3: there is an invisible character in it (\\u{34f}); take it out";
    let (status, _, errors) = run(&root, &["practice"]);
    assert!(status == 2 && errors.contains(told) && !errors.contains("hard"), "{errors}");
    let made = ask(&mut desk, json!({ "ask": "set" }), b"").0;
    let says = made["says"].as_str().unwrap();
    assert!(says.starts_with("2 sheets of ") && says.ends_with(told), "{made}");
    for folder in ["sheets", "keys"] {
        assert_eq!(differing(&kept(&mut desk, folder), &files(&root.join(folder))), [] as [&str; 0], "{folder}");
    }
    assert_eq!(ask(&mut desk, json!({ "ask": "class" }), b"").0["faults"], json!([told]));
    // Whoever writes an accent after its letter is the same student.
    let key = files(&root).remove("keys/week-1/key-02-rene.toml").unwrap();
    let answers = String::from_utf8(key).unwrap().replace('\u{e9}', "e\u{301}");
    write(&root, "handed-in/rene.toml", &answers);
    std::fs::remove_file(root.join("handed-in/rosemary.toml")).unwrap();
    ask(&mut desk, json!({ "ask": "out", "name": "handed-in/rosemary.toml" }), b"");
    ask(&mut desk, json!({ "ask": "put", "place": "handed-in/rene.toml" }), answers.as_bytes());
    let (status, _, errors) = run(&root, &["check"]);
    assert!(status == 2 && errors.contains(told) && !errors.contains("not on the roster"), "{errors}");
    let marked = ask(&mut desk, json!({ "ask": "check" }), b"").0;
    assert_eq!(marked["faults"], json!([told]));
    assert!(!marked["notices"].to_string().contains("not on the roster"), "{marked}");
    let (by_desk, by_command) = (kept(&mut desk, "marked"), files(&root.join("marked")));
    assert!(by_command.contains_key("by_student/rene.html"), "{:?}", by_command.keys());
    assert_eq!(differing(&by_desk, &by_command), [] as [&str; 0]);
}

/// A roster from a spreadsheet becomes the table that the class's own file names, whatever it was called.
#[test]
fn a_roster_comes_from_a_spreadsheet() {
    let mut desk = Desk::new();
    let rows = [["Student", "id"], ["Sedge", "1"], ["Yarrow", "2"]].map(|row| row.map(str::to_owned).to_vec());
    let request = json!({ "ask": "place", "names": ["my people.xlsx"], "lengths": [1], "given": "roster" });
    let placed = ask(&mut desk, request, b"").0;
    assert_eq!(placed["places"], json!(["roster.csv"]));
    ask(&mut desk, json!({ "ask": "put", "place": "roster.csv" }), &spreadsheet(&rows));
    let state = ask(&mut desk, json!({ "ask": "class" }), b"").0;
    assert_eq!(state["students"], json!([{ "name": "Sedge", "id": "1" }, { "name": "Yarrow", "id": "2" }]), "{state}");
    // What is called a roster is one, and two files of one name are two.
    let places = |desk: &mut Desk, name: &str| {
        ask(desk, json!({ "ask": "place", "names": [name], "lengths": [1] }), b"").0["places"][0].clone()
    };
    assert_eq!(places(&mut desk, "Roster.ods"), "roster.csv");
    assert_eq!(places(&mut desk, "week-1/roster.csv"), "handed-in/week-1/roster.csv");
    let put = |desk: &mut Desk, text: &str| {
        ask(desk, json!({ "ask": "put", "place": "handed-in/answers.toml" }), text.as_bytes()).0["place"].clone()
    };
    assert_eq!(
        (put(&mut desk, "one"), put(&mut desk, "one")),
        (json!("handed-in/answers.toml"), json!("handed-in/answers.toml"))
    );
    assert_eq!(
        (put(&mut desk, "two"), put(&mut desk, "two")),
        (json!("handed-in/answers_2.toml"), json!("handed-in/answers_2.toml"))
    );
}

/// A sheet of paper is typed in, and marked as the file would be that its student had sent.
#[test]
fn paper_is_typed_in() {
    let mut desk = Desk::new();
    ask(&mut desk, json!({ "ask": "put", "place": "roster.csv" }), "student,id\nSorrel,3\nSorrel,9\n".as_bytes());
    let made = ask(&mut desk, json!({ "ask": "set", "exercises": ["sleeve"], "level": 1 }), b"").0;
    assert!(made["fault"].is_null(), "{made}");
    let state = ask(&mut desk, json!({ "ask": "class" }), b"").0;
    let sheet = state["sets"][0]["sheets"][1].clone();
    assert_eq!((sheet["student"].as_str(), sheet["id"].as_str()), (Some("Sorrel"), Some("9")));
    let problem = ask(&mut desk, json!({ "ask": "coded", "exercise": "sleeve", "code": sheet["code"] }), b"").0;
    assert!(problem["html"].as_str().is_some_and(|html| html.contains("Draft it")), "{problem}");
    let key = kept(&mut desk, "keys").remove("week-1/key-02-sorrel.toml").unwrap();
    let key: toml::Table = String::from_utf8(key).unwrap().parse().unwrap();
    let answers: BTreeMap<&String, Vec<String>> = key["answer"]
        .as_table()
        .unwrap()
        .iter()
        .map(|(step, text)| (step, vec![text.as_str().unwrap().to_owned()]))
        .collect();
    let sheet = json!({ "exercise": "sleeve", "student": "Sorrel", "id": "9", "show": "none", "code": sheet["code"],
        "own": { "ruler": problem["ruler"] }, "answers": answers });
    let typed = ask(&mut desk, json!({ "ask": "typed", "set": "week-1", "sheet": sheet }), b"").0;
    assert_eq!(typed["name"], "handed-in/typed-in/week-1/sorrel-9-sleeve.toml", "{typed}");
    let marked = ask(&mut desk, json!({ "ask": "check" }), b"").0;
    assert_eq!(marked["faults"], json!([]), "{marked}");
    let book = kept(&mut desk, "marked").remove("gradebook.csv").unwrap();
    let book = String::from_utf8(book).unwrap();
    assert!(
        book.lines().any(|line| line.starts_with("Sorrel,9,") && line.ends_with(&format!(",{}", answers.len()))),
        "{book}"
    );
    assert!(ask(&mut desk, json!({ "ask": "class" }), b"").0["sets"][0]["sheets"][1]["is_typed"].as_bool().unwrap());
}

#[test]
fn what_is_hostile_is_refused_with_a_sentence() {
    let mut desk = Desk::new();
    let place = |desk: &mut Desk, names: &[&str], lengths: &[u64]| {
        ask(desk, json!({ "ask": "place", "names": names, "lengths": lengths }), b"").0
    };
    let long = place(&mut desk, &["a.csv"], &[1 << 30]);
    assert!(long["fault"].as_str().unwrap().starts_with("these are more than 64 MB"), "{long}");
    let long = place(&mut desk, &["a\u{202e}.csv"], &[20 << 20]);
    assert_eq!(long["fault"], "a\\u{202e}.csv: the file has 21.0 MB; at most 16 MB are read");
    // A name that would lead out of the folder is only a name.
    let away = place(&mut desk, &["../../x.toml", "/etc/x.toml"], &[1, 1]);
    assert_eq!(away["places"], json!(["handed-in/x.toml", "handed-in/etc/x.toml"]));
    let archive = stored(&[("class.toml", "title = \"x\"".to_owned()), ("../out.toml", "x".to_owned())]);
    let unpacked = ask(&mut desk, json!({ "ask": "unpack" }), &archive).0;
    assert_eq!(unpacked["count"], 1, "{unpacked}");
    let archive = stored(&[("a.toml", "x".to_owned())]);
    ask(&mut desk, json!({ "ask": "unpack" }), &archive);
    let state = ask(&mut desk, json!({ "ask": "class" }), b"").0;
    assert_eq!(state["handed_in"], json!(["a.toml"]), "{state}");
    let refused = ask(&mut desk, json!({ "ask": "unpack" }), b"no archive").0;
    assert_eq!(refused["fault"], "this can't be read as an archive; unpack it, and give the folder");
    let nested = format!("a = {}{}", "[".repeat(100_000), "]".repeat(100_000));
    ask(&mut desk, json!({ "ask": "put", "place": "handed-in/nested.toml" }), nested.as_bytes());
    ask(&mut desk, json!({ "ask": "put", "place": "handed-in/picture.toml" }), b"\xff\xd8\xff\xe0\0\x10JFIF");
    let marked = ask(&mut desk, json!({ "ask": "check" }), b"").0;
    let faults = marked["faults"].to_string();
    assert!(faults.contains("handed-in/nested.toml: ") && faults.contains("this is no text"), "{marked}");
    ask(&mut desk, json!({ "ask": "put", "place": "class.toml" }), b"titel = 1");
    let state = ask(&mut desk, json!({ "ask": "class" }), b"").0;
    assert!(state["fault"].as_str().unwrap().starts_with("class.toml: "), "{state}");
    for nonsense in [&b""[..], b"{", b"{\"ask\":\"nothing\"}", b"\xff\n\xff"] {
        assert!(String::from_utf8(desk.answer(nonsense)).unwrap().starts_with("{\"fault\":"));
    }
}
