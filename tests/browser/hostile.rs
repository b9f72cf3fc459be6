//! Requests that no page of ours would make: whatever the engine is asked, it answers, in a page as here.

use std::panic::{AssertUnwindSafe, catch_unwind};

use foldmark::exercise::Shelf;
use foldmark::live::Live;
use serde_json::{Map, Value, json};

use crate::built_book;
use crate::engine::Both;
use crate::requests::{self, as_written, chapters, own, sheet};
use crate::seeded::Seeded;
use crate::shared::odd::ODD;

/// Numbers where others are expected, as they stand in JSON.
const NUMBERS: [&str; 14] = [
    "0",
    "1",
    "-1",
    "255",
    "256",
    "4294967295",
    "4294967296",
    "9007199254740993",
    "18446744073709551615",
    "18446744073709551616",
    "1e308",
    "1e999",
    "0.5",
    "-9223372036854775809",
];

/// A request of every kind, which is answered.
fn sound(shelf: &Shelf, taught: &[(String, String)]) -> Vec<Value> {
    let mut sound = Vec::new();
    for name in ["flap-roll", "zip-pouch", "shaped-flap", "round-bucket"] {
        let exercise = shelf.get(name).expect("a shipped exercise");
        let ruler = exercise.rulers[0];
        let filled = requests::example(exercise, ruler).expect("its example");
        let own = own(&filled.given, &ruler.to_string());
        sound.push(json!({ "ask": "form", "exercise": name, "own": own }));
        sound.push(sheet("mark", &filled, "full", &as_written));
        sound.push(sheet("mark", &filled, "coach", &|at, text| {
            if at % 3 == 0 { format!("2{text}") } else { text.into() }
        }));
        sound.push(sheet("file", &filled, "full", &as_written));
        sound.push(json!({ "ask": "problem", "exercise": name, "level": 1, "ruler": ruler.to_string(), "seed": 7,
            "slips": 0, "weak": ["no-ease"] }));
        sound.push(json!({ "ask": "coded", "exercise": name, "code": "2C42P-Z0KKV-T1QWC" }));
    }
    let mut live = Live::new();
    for (chapter, request) in taught {
        let drafts: Value = serde_json::from_str(&live.answer(request)).expect("an answer is JSON");
        let draft = &drafts["drafts"][0];
        let exercise = shelf.get(draft["exercise"].as_str().expect("an exercise")).expect("a shipped exercise");
        let ruler = exercise.usual_ruler(false);
        let mut own = own(&requests::example(exercise, ruler).expect("its example").given, &ruler.to_string());
        let choice = exercise.steps.iter().find(|step| step.is_choice()).map_or("", |step| &step.name);
        own["choice"] = json!({ choice: "5 in" });
        sound.push(json!({ "ask": "lesson", "chapter": chapter, "draft": 0, "own": own }));
        for (own, first) in [(&own, "inch"), (&Value::Null, "metric")] {
            sound.push(json!({ "ask": "try", "chapter": chapter, "draft": 0, "own": own, "first": first,
                "step": draft["steps"][0][0], "answers": ["9 in", "10"] }));
        }
    }
    sound
}

/// What is no request at all, or one beyond all measure.
fn beyond(shelf: &Shelf) -> Vec<String> {
    let roll = requests::example(shelf.get("flap-roll").expect("it is shipped"), foldmark::length::Ruler::EIGHTH);
    let roll = sheet("mark", &roll.expect("its example"), "full", &as_written);
    let with = |path: &str, value: Value| {
        let mut request = roll.clone();
        *request.pointer_mut(path).unwrap_or_else(|| panic!("{path}")) = value;
        request.to_string()
    };
    let many_rows: Vec<Value> = (0..20_000)
        .map(|at| json!({ "name": format!("thing {at}"), "length": "9 in", "girth": "3 in", "count": "1" }))
        .collect();
    let many_answers: Map<String, Value> = (0..20_000).map(|at| (format!("step{at}"), json!(["9 in"]))).collect();
    let mut beyond: Vec<String> = [
        "",
        " ",
        "null",
        "0",
        "\"ask\"",
        "[]",
        "{}",
        "{",
        "}",
        "\u{0}",
        "\u{feff}{}",
        "{\"ask\":\"form\"}",
        "{\"ask\":\"nothing\"}",
        "{\"ask\":\"form\",\"ask\":\"mark\"}",
        "[\"form\"]",
        "{\"ask\":{\"form\":{}}}",
        "NaN",
        "{\"ask\":\"exercise\",\"name\":\"\",\"text\":\"\"}",
        "\"\\ud800\"",
        "{\"ask\":\"coded\",\"exercise\":\"\\ud800\",\"code\":\"\"}",
    ]
    .map(str::to_owned)
    .to_vec();
    for deep in [100, 127, 128, 129, 5_000, 100_000] {
        beyond.push("[".repeat(deep));
        beyond.push("{\"ask\":".repeat(deep));
        beyond.push(format!("{{\"ask\":\"form\",\"exercise\":{}1{}}}", "[".repeat(deep), "]".repeat(deep)));
    }
    // Five million bytes of nothing, of text, and of what would be a request.
    beyond.push(" ".repeat(5 << 20));
    beyond.push("x".repeat(5 << 20));
    beyond.push(with("/student", json!("x".repeat(5 << 20))));
    // Just within what is read.
    beyond.push(with("/student", json!("<&\u{7}".repeat(1 << 18))));
    beyond.push(with("/answers/cut_width/0", json!("9".repeat(1 << 20))));
    beyond.push(with("/answers/cut_width", json!(vec!["9 in"; 100_000])));
    beyond.push(with("/answers", Value::Object(many_answers.clone())));
    beyond.push(with("/own/single", many_answers.keys().map(|key| (key.clone(), json!("9 in"))).collect()));
    beyond.push(with("/own/table/objects", json!(many_rows)));
    beyond.push(with("/code", json!("0".repeat(1 << 20))));
    // Exercises that nobody should have written.
    let text = foldmark::exercise::shipped().find(|(name, _)| *name == "zip-pouch").expect("it is shipped").1;
    let exercise = |text: String| json!({ "ask": "exercise", "name": "odd", "text": text }).to_string();
    for deep in [50, 500, 5_000, 100_000] {
        let rule = format!("{}zip{}", "(".repeat(deep), ")".repeat(deep));
        let at = text.find("value = \"").expect("it has a rule") + 9;
        let end = at + text[at..].find('"').expect("the rule ends");
        beyond.push(exercise(format!("{}{rule}{}", &text[..at], &text[end..])));
        beyond.push(exercise(format!("{}{}{}", &text[..at], "-".repeat(deep) + "zip", &text[end..])));
        beyond.push(exercise(format!(
            "{}{}{}",
            &text[..at],
            "half(".repeat(deep) + "zip" + &")".repeat(deep),
            &text[end..]
        )));
        beyond.push(exercise(format!("{}{}{}", &text[..at], "zip".to_owned() + &" + zip".repeat(deep), &text[end..])));
        beyond.push(exercise(format!("x = {}1{}", "[".repeat(deep), "]".repeat(deep))));
        beyond.push(exercise(format!("x{} = 1", ".x".repeat(deep))));
        beyond.push(exercise(format!("[{}x]", "x.".repeat(deep))));
        beyond.push(exercise(format!("x = {}1{}", "{x=".repeat(deep), "}".repeat(deep))));
    }
    beyond.push(exercise("\u{0}\u{1b}".repeat(1_000)));
    beyond.push(exercise("x = 1\n".repeat(100_000)));
    beyond
}

/// A request with one to three things in it changed.
fn mutated(request: &Value, seeded: &mut Seeded) -> String {
    let mut request = request.clone();
    for _ in 0..=seeded.below(3) {
        let mut paths = Vec::new();
        leaves(&request, &mut String::new(), &mut paths);
        // Mostly a text or a number: a change further up is refused before anything is worked.
        if seeded.below(8) > 0 {
            paths.retain(|path| request.pointer(path).is_some_and(|value| value.is_string() || value.is_number()));
        }
        if paths.is_empty() {
            break;
        }
        let path = seeded.one_of(&paths).clone();
        let Some(value) = request.pointer_mut(&path) else { continue };
        *value = other(value.take(), seeded);
    }
    let mut text = request.to_string();
    // Numbers that serde_json would not write.
    if text.contains("\"@number\"") {
        let number: &&str = seeded.one_of(&NUMBERS);
        text = text.replace("\"@number\"", number);
    }
    if seeded.below(40) == 0 {
        let mut bytes = text.into_bytes();
        let at = seeded.below(bytes.len());
        match seeded.below(3) {
            0 => bytes.truncate(at),
            1 => bytes[at] = seeded.next() as u8,
            _ => drop(bytes.remove(at)),
        }
        text = String::from_utf8_lossy(&bytes).into_owned();
    }
    text
}

/// Where everything in a value stands.
fn leaves(value: &Value, path: &mut String, paths: &mut Vec<String>) {
    paths.push(path.clone());
    let below: Vec<(String, &Value)> = match value {
        Value::Array(list) => list.iter().enumerate().map(|(at, value)| (at.to_string(), value)).collect(),
        Value::Object(map) => {
            map.iter().map(|(key, value)| (key.replace('~', "~0").replace('/', "~1"), value)).collect()
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => Vec::new(),
    };
    for (key, value) in below {
        let length = path.len();
        *path += "/";
        *path += &key;
        leaves(value, path, paths);
        path.truncate(length);
    }
}

/// Something else in its place: mostly of its kind.
fn other(value: Value, seeded: &mut Seeded) -> Value {
    if seeded.below(24) == 0 {
        let odd = [Value::Null, json!(true), json!("@number"), json!([]), json!({}), json!([["x"]]), json!(7)];
        return seeded.one_of(&odd).clone();
    }
    match value {
        Value::String(text) if seeded.below(3) == 0 => {
            let mut letters: Vec<char> = text.chars().collect();
            for _ in 0..=seeded.below(3) {
                let at = seeded.below(letters.len() + 1);
                letters.insert(at, *seeded.one_of(&['0', '9', '/', ' ', '-', '"', '<', '.', ',', '½', '\u{0}', 'x']));
            }
            json!(letters.into_iter().collect::<String>())
        }
        Value::String(_) => json!(seeded.one_of(&ODD)),
        Value::Number(_) => json!("@number"),
        Value::Array(mut list) => {
            match seeded.below(3) {
                0 => list.clear(),
                1 => list.push(json!(seeded.one_of(&ODD))),
                _ => list.extend(list.first().cloned().map(|first| vec![first; seeded.below(60)]).unwrap_or_default()),
            }
            Value::Array(list)
        }
        Value::Object(mut map) => {
            let keys: Vec<String> = map.keys().cloned().collect();
            let key = if keys.is_empty() { String::new() } else { seeded.one_of(&keys).clone() };
            match seeded.below(3) {
                0 => drop(map.remove(&key)),
                1 => drop(map.insert((*seeded.one_of(&ODD)).to_owned(), json!(seeded.one_of(&ODD)))),
                _ => {
                    let value = map.remove(&key).unwrap_or_default();
                    map.insert(format!("{key}{}", seeded.one_of(&ODD)), value);
                }
            }
            Value::Object(map)
        }
        Value::Null | Value::Bool(_) => json!({}),
    }
}

/// An answer has to be JSON, and without what markup is made of outside of the parts that are HTML.
fn is_sound(answer: &str) -> bool {
    serde_json::from_str::<Value>(answer).is_ok_and(|answer| answer.is_object() || answer.is_array())
}

/// Not JSON, wrong types, unknown names, five megabytes, deep nesting, rulers without ticks: an answer, and the same one in a
/// page as here.
#[test]
fn whatever_it_is_asked_the_engine_answers() {
    let shelf = Shelf::shipped();
    let book = built_book();
    let chapters = chapters(book.path());
    let known: Vec<String> =
        requests::exercises().into_iter().chain(chapters.iter().map(|(_, request)| request.clone())).collect();
    let mut both = Both::knowing(&known);
    let sound = sound(&shelf, &chapters);
    let mut asked: Vec<String> = sound.iter().map(Value::to_string).collect();
    // Every word in every place of a form and of a short sheet.
    for word in ODD {
        for request in &sound[..2] {
            for key in ["exercise", "student", "show", "code", "chapter"] {
                let mut request = request.clone();
                request[key] = json!(word);
                asked.push(request.to_string());
            }
            let mut request = request.clone();
            request["own"]["ruler"] = json!(word);
            asked.push(request.to_string());
        }
        for (exercise, level, slips) in [("flap-roll", 1, 0), ("zip-pouch", 2, 1), ("sleeve", 0, 255), (word, 255, 2)] {
            asked.push(
                json!({ "ask": "problem", "exercise": exercise, "level": level, "ruler": word, "seed": u64::MAX,
                "slips": slips, "weak": [word] })
                .to_string(),
            );
        }
        asked.push(json!({ "ask": "coded", "exercise": "flap-roll", "code": word }).to_string());
    }
    let mut seeded = Seeded(1);
    asked.extend((0..1_500).map(|_| {
        let request = seeded.below(sound.len());
        mutated(&sound[request], &mut seeded)
    }));
    asked.extend(beyond(&shelf));
    for (request, answer) in asked.iter().zip(both.ask(&asked)) {
        if !is_sound(&answer) {
            both.complain("no sound answer", request);
        }
    }
    both.ask_bytes(&[
        &[0xff, 0xfe, 0x00],
        b"{\"ask\":\"coded\",\"exercise\":\"\xff\",\"code\":\"\xc3\"}",
        &[0xc0; 4_000],
    ]);
    // It goes on as before.
    both.ask(&sound.iter().map(Value::to_string).collect::<Vec<_>>());
    both.finish("hostile requests");
}

/// Twenty thousand requests with something in them changed: none makes the program panic.
#[test]
fn no_request_makes_the_program_panic() {
    let shelf = Shelf::shipped();
    let book = built_book();
    let chapters = chapters(book.path());
    let mut live = Live::new();
    for request in requests::exercises().iter().chain(chapters.iter().map(|(_, request)| request)) {
        live.answer(request);
    }
    let sound = sound(&shelf, &chapters);
    let mut seeded = Seeded(20_000);
    let mut panics = Vec::new();
    let (mut faults, mut bytes) = (0, 0);
    for _ in 0..20_000 {
        let request = seeded.below(sound.len());
        let request = mutated(&sound[request], &mut seeded);
        match catch_unwind(AssertUnwindSafe(|| live.answer(&request))) {
            Ok(answer) if is_sound(&answer) => {
                faults += usize::from(answer.starts_with("{\"fault\""));
                bytes += answer.len();
            }
            Ok(answer) => panics.push(format!("{request}\n    is answered {answer}")),
            Err(_) => panics.push(request),
        }
    }
    assert!(panics.is_empty(), "{}: {}", panics.len(), panics[..panics.len().min(5)].join("\n"));
    assert!(faults < 15_000, "{faults} of the requests were refused at once");
    println!("20000 mutated requests: {faults} refused, {bytes} bytes, none panics");
}
