//! Texts changed along their structure: lines, parts and words, put elsewhere, repeated, or exchanged for words that the program
//! knows and for those that nobody expects.

use super::chance::Chance;
use super::shared::odd::ODD;
use super::shared::{folder, run};
use serde_json::Value;
use std::io::{Cursor, Read, Write};
use std::sync::LazyLock;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// Names of keys and words of every kind of file, from the schemas that the program prints.
static KNOWN: LazyLock<Vec<String>> = LazyLock::new(|| {
    fn collect(value: &Value, words: &mut Vec<String>) {
        match value {
            Value::Object(object) => {
                for (key, below) in object {
                    if key == "properties" {
                        words.extend(below.as_object().unwrap().keys().cloned());
                    }
                    if key == "enum" {
                        words.extend(below.as_array().unwrap().iter().filter_map(Value::as_str).map(str::to_owned));
                    }
                    collect(below, words);
                }
            }
            Value::Array(list) => list.iter().for_each(|below| collect(below, words)),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        }
    }
    let dir = folder();
    let mut words = Vec::new();
    for of in ["exercise", "answers", "class"] {
        collect(&serde_json::from_str(&run(dir.path(), &["schema", of]).1).unwrap(), &mut words);
    }
    words.extend(foldmark::formula::FUNCTIONS.iter().map(|(name, ..)| format!("{name}(")));
    words.sort();
    words.dedup();
    assert!(words.len() > 150);
    words
});

fn word(chance: &mut Chance) -> &'static str {
    if chance.is_once_in(2) { chance.pick(&ODD) } else { chance.pick(&KNOWN) }
}

/// Where the words of a text begin and end.
fn words_of(text: &str) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut start = None;
    for (at, letter) in text.char_indices().chain([(text.len(), ' ')]) {
        let is_of_word = letter.is_alphanumeric() || matches!(letter, '_' | '-' | '.' | '/');
        match (start, is_of_word) {
            (None, true) => start = Some(at),
            (Some(from), false) => {
                found.push((from, at));
                start = None;
            }
            (Some(_), true) | (None, false) => {}
        }
    }
    found
}

/// One change of a text.
fn change(text: &str, other: &str, chance: &mut Chance) -> String {
    let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
    let any = |chance: &mut Chance, text: &str| {
        let at = chance.below(text.len() + 1);
        (0..=at).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0)
    };
    match chance.below(10) {
        0..=2 => match &words_of(text)[..] {
            [] => word(chance).to_owned(),
            words => {
                let (from, to) = words[chance.below(words.len())];
                format!("{}{}{}", &text[..from], word(chance), &text[to..])
            }
        },
        3 => match (&words_of(text)[..], &words_of(other)[..]) {
            ([], _) | (_, []) => text.to_owned(),
            (words, others) => {
                let ((from, to), (begin, end)) = (words[chance.below(words.len())], others[chance.below(others.len())]);
                format!("{}{}{}", &text[..from], &other[begin..end], &text[to..])
            }
        },
        4 => {
            let at = any(chance, text);
            format!("{}{}{}", &text[..at], word(chance), &text[at..])
        }
        5 if !lines.is_empty() => {
            lines.remove(chance.below(lines.len()));
            lines.concat()
        }
        6 if !lines.is_empty() => {
            let (from, to) = (chance.below(lines.len()), chance.below(lines.len()));
            let line = lines[from];
            lines.insert(to, line);
            lines.concat()
        }
        7 if !lines.is_empty() => {
            // A run of lines once more, or many times.
            let from = chance.below(lines.len());
            let to = (from + 1 + chance.below(8)).min(lines.len());
            let times = if chance.is_once_in(8) { 40 } else { 1 };
            let part = lines[from..to].concat().repeat(times);
            lines.insert(to, &part);
            lines.concat()
        }
        8 => {
            let others: Vec<&str> = other.split_inclusive('\n').collect();
            if !others.is_empty() {
                let from = chance.below(others.len());
                let to = (from + 1 + chance.below(6)).min(others.len());
                let at = chance.below(lines.len() + 1);
                lines.splice(at..at, others[from..to].iter().copied());
            }
            lines.concat()
        }
        _ => {
            let (one, two) = (any(chance, text), any(chance, text));
            format!("{}{}", &text[..one.min(two)], &text[one.max(two)..])
        }
    }
}

/// A text made from others.
pub fn text(chance: &mut Chance, seeds: &[Vec<u8>]) -> Vec<u8> {
    let seed = |chance: &mut Chance| String::from_utf8_lossy(chance.pick::<[u8]>(seeds)).into_owned();
    let mut text = seed(chance);
    for _ in 0..=chance.below(6) {
        let other = seed(chance);
        text = change(&text, &other, chance);
    }
    let mut bytes = text.into_bytes();
    // Not everything is text.
    if chance.is_once_in(12) && !bytes.is_empty() {
        let at = chance.below(bytes.len());
        bytes[at] = chance.below(256) as u8;
    }
    bytes
}

/// The parts of an archive, as far as it is one.
fn parts(archive: &[u8]) -> Vec<(String, Vec<u8>)> {
    let Ok(mut archive) = ZipArchive::new(Cursor::new(archive)) else { return Vec::new() };
    let mut parts = Vec::new();
    for at in 0..archive.len().min(200) {
        let Ok(mut file) = archive.by_index(at) else { continue };
        let mut bytes = Vec::new();
        if file.by_ref().take(1 << 20).read_to_end(&mut bytes).is_ok() {
            parts.push((file.name().to_owned(), bytes));
        }
    }
    parts
}

/// An archive of such parts.
pub fn archive(parts: &[(String, Vec<u8>)], chance: &mut Chance) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in parts {
        let method = if chance.is_once_in(2) { CompressionMethod::Stored } else { CompressionMethod::Deflated };
        let options = SimpleFileOptions::default().compression_method(method);
        let done = match chance.below(12) {
            0 => writer.add_symlink(name.as_str(), word(chance), options),
            1 => writer.add_directory(name.as_str(), options),
            _ => writer.start_file(name.as_str(), options).and_then(|()| Ok(writer.write_all(bytes)?)),
        };
        // What can't be in an archive twice is in it once.
        let _ = done;
    }
    writer.finish().unwrap().into_inner()
}

/// An archive made from others: parts changed, renamed, put in twice, blown up, within one another, and bytes of the whole.
pub fn archived(chance: &mut Chance, seeds: &[Vec<u8>]) -> Vec<u8> {
    let seed = chance.pick::<[u8]>(seeds);
    let mut all = parts(seed);
    for _ in 0..=chance.below(4) {
        if all.is_empty() {
            break;
        }
        let at = chance.below(all.len());
        match chance.below(9) {
            0..=4 => all[at].1 = text(chance, &[all[at].1.clone()]),
            5 => all[at].0 = String::from_utf8_lossy(&text(chance, &[all[at].0.clone().into_bytes()])).into_owned(),
            6 => {
                let (name, bytes) = all[at].clone();
                all.push((format!("{}/{name}", word(chance)), bytes));
            }
            7 => all[at].1 = vec![b' '; 1 << (10 + chance.below(13))],
            _ => {
                let whole = archive(&all, chance);
                all.push(("within.zip".to_owned(), whole));
            }
        }
    }
    let mut bytes = archive(&all, chance);
    if chance.is_once_in(3) {
        for _ in 0..=chance.below(8) {
            let at = chance.below(bytes.len());
            bytes[at] = chance.below(256) as u8;
        }
    }
    if chance.is_once_in(12) {
        bytes.truncate(chance.below(bytes.len() + 1));
    }
    bytes
}
