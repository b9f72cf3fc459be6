//! The language of exercise files as it is declared, and as it is read: what is declared is read, and what has to be there
//! is missed.

use foldmark::exercise::{language::EXERCISE, read, shipped};
use foldmark::text::schema::{Holds, Schema, Variant};
use std::collections::{BTreeMap, BTreeSet};
use toml::Value;

/// What tells a variant from all others: its name, and what it is.
type Kind = (&'static str, &'static str);

/// For every variant the first table that has it: the file, and the keys and indices to the table.
type Found = BTreeMap<Kind, (&'static str, Vec<String>, &'static Variant)>;

fn kind(variant: &Variant) -> Kind {
    (variant.name, variant.says)
}

fn walk(file: &'static str, value: &Value, schema: &'static Schema, path: &[String], found: &mut Found) {
    let table = value.as_table().unwrap();
    // The files have no faults, so the variant is one that has all the keys; the most telling of them.
    let fits = |variant: &&Variant| {
        let words_fit = |key: &str| match (variant.key(key).map(|key| &key.holds), table[key].as_str()) {
            (Some(Holds::Word(words)), Some(word)) => words.contains(&word),
            _ => true,
        };
        table.keys().all(|key| variant.key(key).is_some() && words_fit(key))
    };
    let variant = schema.variants().iter().find(fits).unwrap_or_else(|| panic!("{file}: {path:?} is no {schema:?}"));
    found.entry(kind(variant)).or_insert_with(|| (file, path.to_vec(), variant));
    for (key, value) in table {
        let below = |more: &[&str]| [path, &more.iter().map(|key| (*key).to_owned()).collect::<Vec<_>>()].concat();
        below_key(file, value, &variant.key(key).unwrap().holds, &below(&[key]), found);
    }
}

fn below_key(file: &'static str, value: &Value, holds: &'static Holds, path: &[String], found: &mut Found) {
    match (holds, value) {
        (Holds::Table(schema) | Holds::Tables(schema, _), Value::Table(_)) => walk(file, value, schema, path, found),
        (Holds::OneOrMore(holds), Value::Table(_)) => below_key(file, value, holds, path, found),
        (Holds::Either(several), Value::Table(_)) => {
            several.iter().for_each(|holds| below_key(file, value, holds, path, found));
        }
        (holds, Value::Array(items)) => {
            for (index, item) in items.iter().enumerate() {
                below_key(file, item, holds, &[path, &[index.to_string()]].concat(), found);
            }
        }
        _ => {}
    }
}

fn at<'v>(value: &'v mut Value, path: &[String]) -> &'v mut toml::Table {
    let found = path.iter().fold(value, |value, key| match value {
        Value::Array(items) => &mut items[key.parse::<usize>().unwrap()],
        table => &mut table[key.as_str()],
    });
    found.as_table_mut().unwrap()
}

/// Every variant that a schema leads to.
fn declared(schema: &'static Schema, into: &mut BTreeSet<Kind>) {
    fn below(holds: &'static Holds, into: &mut BTreeSet<Kind>) {
        match holds {
            Holds::Table(schema) | Holds::Tables(schema, _) => declared(schema, into),
            Holds::List(holds, _) | Holds::OneOrMore(holds) | Holds::Free(holds) => below(holds, into),
            Holds::Either(several) => several.iter().for_each(|holds| below(holds, into)),
            Holds::Text | Holds::Value | Holds::Truth | Holds::Whole(_) | Holds::Word(_) => {}
        }
    }
    for variant in schema.variants() {
        into.insert(kind(variant));
        variant.keys.iter().for_each(|key| below(&key.holds, into));
    }
}

/// In every kind of table there is, in turn: a date under each key that is declared, which no key takes, is a fault; and so
/// is the lack of each key that has to be there.
#[test]
fn every_declared_key_is_read() {
    let mut texts: Vec<(&str, &str)> = shipped().collect();
    // A short file is read sooner.
    texts.sort_by_key(|(_, text)| text.len());
    let mut files = BTreeMap::new();
    let mut found = Found::new();
    for (name, text) in texts {
        let file = Value::Table(toml::from_str(text).unwrap());
        walk(name, &file, &EXERCISE, &[], &mut found);
        files.insert(name, file);
    }
    let mut all = BTreeSet::new();
    declared(&EXERCISE, &mut all);
    assert_eq!(found.keys().copied().collect::<BTreeSet<_>>(), all, "a kind of table that no shipped exercise has");
    let date: Value = Value::Datetime("2001-02-03".parse().unwrap());
    let mut tried = 0;
    for (kind, (file, path, variant)) in &found {
        for key in variant.keys {
            let is_refused = |change: &dyn Fn(&mut toml::Table)| {
                let mut changed = files[file].clone();
                change(at(&mut changed, path));
                read(file, &toml::to_string(&changed).unwrap()).is_err()
            };
            let with_date = |table: &mut toml::Table| drop(table.insert(key.name.to_owned(), date.clone()));
            assert!(is_refused(&with_date), "{kind:?}: `{}` is declared, and not read", key.name);
            let without = |table: &mut toml::Table| drop(table.remove(key.name));
            assert!(
                !key.is_needed || is_refused(&without),
                "{kind:?}: nothing is said where `{}` is missing",
                key.name
            );
            tried += 1;
        }
    }
    assert!(tried > 250, "{tried}");
}
