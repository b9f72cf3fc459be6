//! The printed schemas against the files and results they describe, by a reference library for JSON Schema (`jsonschema`),
//! and against the keys that the readers themselves know.

use super::shared::run;
use foldmark::exercise::shipped;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::path::Path;

fn foldmark(arguments: &[&str]) -> String {
    run(Path::new("."), arguments).1
}

fn schema(of: &str) -> Value {
    serde_json::from_str(&foldmark(&["schema", of])).unwrap()
}

/// A TOML file as data.
fn data(text: &str) -> Value {
    serde_json::to_value(toml::from_str::<toml::Table>(text).unwrap()).unwrap()
}

fn faults(schema: &Value, data: &Value) -> Vec<String> {
    let validator = jsonschema::validator_for(schema).unwrap();
    validator.iter_errors(data).map(|error| format!("{}: {error}", error.instance_path())).collect()
}

#[test]
fn shipped_exercises_fit() {
    let schema = schema("exercise");
    for (name, text) in shipped() {
        let faults = faults(&schema, &data(text));
        assert!(faults.is_empty(), "{name}: {faults:?}");
    }
}

#[test]
fn answer_files_fit() {
    let schema = schema("answers");
    for entry in std::fs::read_dir("exercises/class").unwrap() {
        let path = entry.unwrap().path();
        let faults = faults(&schema, &data(&std::fs::read_to_string(&path).unwrap()));
        assert!(faults.is_empty(), "{}: {faults:?}", path.display());
    }
    assert!(!faults(&schema, &json!({ "exercise": "flap-roll", "answer": {} })).is_empty(), "no student");
    assert!(
        !faults(&schema, &json!({ "exercise": "flap-roll", "student": "Sage", "answer": {}, "shoe": 1 })).is_empty()
    );
}

#[test]
fn what_check_prints_fits() {
    let schema = schema("result");
    for show in ["marks", "coach", "full"] {
        let printed = foldmark(&["check", "exercises/class", "--json", "--show", show]);
        let printed: Value = serde_json::from_str(&printed).unwrap();
        assert!(printed["sheets"].as_array().unwrap().len() >= 18);
        let faults = faults(&schema, &printed);
        assert!(faults.is_empty(), "{show}: {faults:?}");
    }
}

#[test]
fn a_class_fits() {
    let schema = schema("class");
    let class = "title = \"Thursday\"\nunit = \"in\"\nruler = \"1/8 in\"\ntolerance = \"1/8 in\"\nfollow_through = 50\n\
                 show = \"coach\"\nroster = \"roster.csv\"\n[folders]\nexercises = \"own\"\nsheets = \"sheets\"\n\
                 keys = \"keys\"\nhanded_in = \"in\"\nmarked = \"marked\"\n[practice]\nexercises = [\"sleeve\"]\nlevel = 2\n[given]\nallowance = \"3/8 in\"\n[[exercise]]\nname = \"flap-roll\"\nsteps = [\"flap\"]\n\
                 points = { flap = 2 }\n";
    assert_eq!(faults(&schema, &data(class)), Vec::<String>::new());
    let shelf = foldmark::exercise::Shelf::shipped();
    assert!(foldmark::class::Policy::read(class, &shelf).is_ok());
    // Every key above is all there is: the reader tells what it knows when it meets one that it does not.
    let known = known_keys(&foldmark::class::Policy::read("zzqq = 1", &shelf).unwrap_err()[0].message);
    assert_eq!(known, keys(&schema["properties"]));
    let known = &foldmark::class::Policy::read("[[exercise]]\nname = \"flap-roll\"\nzzqq = 1", &shelf).unwrap_err()[0];
    assert_eq!(known_keys(&known.message), keys(&schema["$defs"]["exercise"]["properties"]));
}

fn keys(properties: &Value) -> BTreeSet<String> {
    properties.as_object().unwrap().keys().cloned().collect()
}

/// The keys that a reader says it knows.
fn known_keys(message: &str) -> BTreeSet<String> {
    let (_, known) = message.split_once("known here: ").unwrap_or_else(|| panic!("{message}"));
    known.split(", ").map(str::to_owned).collect()
}

/// Puts an unknown key into every table of every shipped exercise in turn: the reader refuses it, and so does the
/// schema; and the keys that the reader knows there are those of the schema.
#[test]
fn readers_and_schema_know_the_same_keys() {
    let schema = schema("exercise");
    let validator = jsonschema::validator_for(&schema).unwrap();
    let defined = schema["$defs"].as_object().unwrap();
    let mut told: BTreeSet<BTreeSet<String>> = BTreeSet::new();
    let mut seen = BTreeSet::new();
    for (name, text) in shipped() {
        let whole: toml::Table = toml::from_str(text).unwrap();
        for path in tables(&toml::Value::Table(whole.clone()), Vec::new()) {
            let mut changed = toml::Value::Table(whole.clone());
            let table = at(&mut changed, &path).as_table_mut().unwrap();
            // One of each kind is enough.
            let shape: Vec<&String> = path.iter().filter(|key| key.parse::<usize>().is_err()).collect();
            if !seen.insert(format!("{shape:?} {:?}", table.keys().collect::<Vec<_>>())) {
                continue;
            }
            table.insert("zzqq".to_owned(), toml::Value::Integer(1));
            let text = toml::to_string(&changed).unwrap();
            let refused = foldmark::exercise::read(name, &text).unwrap_err();
            assert!(!validator.is_valid(&data(&text)), "{name}: the schema lets zzqq pass in {path:?}");
            for fault in refused.iter().filter(|fault| fault.message.contains("known here: ")) {
                told.insert(known_keys(&fault.message));
            }
        }
    }
    assert!(told.len() > 15, "{told:?}");
    let mut forms: Vec<BTreeSet<String>> =
        std::iter::once(&schema).chain(defined.values()).filter_map(|form| form.get("properties")).map(keys).collect();
    // Where a table has one of several forms, a reader may know the keys of all of them.
    for several in defined.values().filter_map(|form| form["anyOf"].as_array()) {
        let names = several.iter().filter_map(|form| form["$ref"].as_str()?.strip_prefix("#/$defs/"));
        forms.push(names.filter_map(|name| defined[name].get("properties")).flat_map(keys).collect());
    }
    let whole_keys = keys(&schema["properties"]);
    for known in &told {
        assert!(forms.iter().any(|form| known.is_subset(form)), "no form has all that the reader knows: {known:?}");
    }
    // A key may be known only beside some others, an arc's middle for one; but each is known somewhere.
    for form in
        forms.iter().filter(|form| told.iter().any(|known| known.is_subset(form) && known.len() * 2 > form.len()))
    {
        let known: BTreeSet<&String> = told.iter().filter(|known| known.is_subset(form)).flatten().collect();
        let unknown: Vec<&String> = form.iter().filter(|key| !known.contains(key)).collect();
        assert!(unknown.is_empty(), "the reader does not know {unknown:?} of {form:?}");
    }
    assert!(told.contains(&whole_keys));
}

/// The paths of every table whose keys the language sets, by key and by index.
fn tables(value: &toml::Value, path: Vec<String>) -> Vec<Vec<String>> {
    let mut found = Vec::new();
    match value {
        toml::Value::Table(table) => {
            let is_free = path.last().is_some_and(|last| last == "words") && table.values().all(toml::Value::is_str);
            let is_row = path.len() > 1 && path[path.len() - 2] == "example";
            if !is_free && !is_row {
                found.push(path.clone());
            }
            for (key, value) in table {
                found.extend(tables(value, [&path[..], std::slice::from_ref(key)].concat()));
            }
        }
        toml::Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                found.extend(tables(item, [&path[..], &[index.to_string()]].concat()));
            }
        }
        _ => {}
    }
    found
}

fn at<'v>(value: &'v mut toml::Value, path: &[String]) -> &'v mut toml::Value {
    path.iter().fold(value, |value, key| match value {
        toml::Value::Array(items) => &mut items[key.parse::<usize>().unwrap()],
        table => &mut table[key.as_str()],
    })
}
