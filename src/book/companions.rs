//! What stands beside the pages of a book so that they answer: style and scripts, the core as a module, and what the pages
//! were made from. All of it lies in one folder below the book's source, from where mdBook copies it, and every run brings it
//! up to date.

use super::desk::{DESK, desk_page};
use crate::desk::Library;
use crate::files::{FileFault, refresh};
use crate::lesson::{Found, OpenChapter, Shown, identifier};
use mdbook_preprocessor::PreprocessorContext;
use mdbook_preprocessor::config::Config;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The folder's name.
pub(super) const FOLDER: &str = "foldmark";

/// What `book.toml` names, so that every page has it.
pub(super) const STYLE: &str = "lesson.css";
pub(super) const SCRIPT: &str = "lesson.js";

/// What is the same in every book, by name.
const COMMON: [(&str, &str); 4] = [
    (STYLE, include_str!("pages/lesson.css")),
    (SCRIPT, include_str!("pages/lesson.js")),
    ("panels.css", include_str!("pages/panels.css")),
    ("engine.js", include_str!("../live/engine.js")),
];

/// The script behind the doors of a page, in parts that share one scope: a page opened from a folder can load no modules.
const PANELS: (&str, [&str; 9]) = (
    "panels.js",
    [
        include_str!("pages/core.js"),
        include_str!("pages/page.js"),
        include_str!("pages/device.js"),
        include_str!("pages/own.js"),
        include_str!("pages/show-own.js"),
        include_str!("pages/answers.js"),
        include_str!("pages/practice.js"),
        include_str!("pages/steps.js"),
        include_str!("pages/door.js"),
    ],
);

/// What tells one build from another.
const STAMPS: crc::Crc<u32> = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC);

/// What every file begins with that was made for one book; only such files are taken away again.
const MADE: &str = "// Made by foldmark";

/// The folder, if the book's pages load what is in it: its `book.toml` names the script.
pub(super) fn folder(context: &PreprocessorContext) -> Option<PathBuf> {
    let source = &context.config.book.src;
    let script = source.join(FOLDER).join(SCRIPT);
    let named = named_scripts(&context.config).iter().any(|named| Path::new(named) == script);
    named.then(|| context.root.join(source).join(FOLDER))
}

fn named_scripts(config: &Config) -> Vec<String> {
    config.get::<Vec<String>>("output.html.additional-js").ok().flatten().unwrap_or_default()
}

/// A chapter whose draft a reader may work.
pub(super) struct OpenPage<'c> {
    pub path: &'c str,
    pub found: &'c [Found],
}

/// What a page loads about its chapter.
#[derive(Serialize)]
struct Lesson<'c> {
    path: &'c str,
    found: &'c [Found],
    /// How much is shown of what was found in answers.
    show: &'static str,
    /// The exercises of its drafts.
    exercises: Vec<String>,
    /// The page on which each exercise of the book is taught.
    taught: &'c BTreeMap<String, String>,
}

/// Writes what belongs beside the pages.
///
/// # Errors
/// What can't be written, and why.
pub(super) fn put(folder: &Path, pages: &[OpenPage], library: &Library, show: Shown) -> Result<(), FileFault> {
    let mut taught = BTreeMap::new();
    let used = |page: &OpenPage| -> Vec<String> {
        OpenChapter::new(page.path, page.found).1.into_iter().map(|draft| draft.exercise).collect()
    };
    let used: Vec<Vec<String>> = pages.iter().map(used).collect();
    for (page, used) in pages.iter().zip(&used) {
        for exercise in used {
            taught.entry(exercise.clone()).or_insert_with(|| html_path(page.path));
        }
    }
    let mut made: BTreeMap<String, String> = BTreeMap::new();
    for (page, used) in pages.iter().zip(used) {
        let exercises: BTreeSet<String> = used.into_iter().collect();
        for exercise in &exercises {
            let text = library.text(exercise).unwrap_or_default();
            made.insert(format!("exercises/{exercise}.js"), taken(&("exercise", exercise, text)));
        }
        let exercises = exercises.into_iter().collect();
        let lesson = Lesson { path: page.path, found: page.found, show: show.name(), exercises, taught: &taught };
        made.insert(format!("lessons/{}.js", identifier(page.path)), taken(&("lesson", identifier(page.path), lesson)));
    }
    let (name, parts) = PANELS;
    made.insert(DESK.to_owned(), desk_page());
    made.insert(name.to_owned(), format!("{MADE}.\n(() => {{\n\"use strict\";\n{}}})();\n", parts.join("\n")));
    // Under another address whatever is new is loaded anew; mdBook does the same for the script that has it.
    let mut digest = STAMPS.digest();
    let common = COMMON.iter().map(|(_, text)| *text);
    common.chain(made.values().map(String::as_str)).for_each(|text| digest.update(text.as_bytes()));
    let stamp = format!("{:08x}", digest.finalize());
    made.extend(COMMON.map(|(name, text)| (name.to_owned(), slim(name, &text.replace("{{stamp}}", &stamp)))));
    for (name, text) in &made {
        refresh(&folder.join(name), text.as_bytes())?;
    }
    for kind in ["exercises", "lessons"] {
        clear(&folder.join(kind), &|name| made.contains_key(&format!("{kind}/{name}")));
    }
    Ok(())
}

/// A script or a style without what is there for who reads it: no text of them goes over several lines, and no text in a
/// style has a colon or a brace.
fn slim(name: &str, text: &str) -> String {
    let is_style = name.ends_with(".css");
    // In a style a line may begin with the sign for everything.
    let signs: &[&str] = if is_style { &["/*"] } else { &["//", "/*", "*"] };
    let is_said = |line: &&str| !line.is_empty() && !signs.iter().any(|sign| line.starts_with(sign));
    // The first line says where the file is from.
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    let kept: Vec<&str> = std::iter::once(first).chain(rest.lines().map(str::trim).filter(is_said)).collect();
    if is_style {
        return format!("{first}\n{}\n", kept[1..].concat().replace(": ", ":").replace(" {", "{").replace(";}", "}"));
    }
    kept.join("\n") + "\n"
}

/// A script that hands something to the page: kind, name, and what it is.
fn taken<T: Serialize>(what: &(&str, impl Serialize, T)) -> String {
    let json = serde_json::to_string(what).unwrap_or_default();
    format!("{MADE} at every build of the book.\nglobalThis.foldmark.take(...{json});\n")
}

/// Takes away what was made for chapters and exercises that are no more. What can't be taken away is in nobody's way.
fn clear(folder: &Path, is_current: &dyn Fn(&str) -> bool) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let is_ours = || fs::read_to_string(entry.path()).is_ok_and(|text| text.starts_with(MADE));
        if !is_current(&name) && is_ours() {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Where mdBook puts the page of a chapter.
fn html_path(path: &str) -> String {
    let path = path.replace('\\', "/");
    let stem = path.strip_suffix(".md").unwrap_or(&path);
    match stem.rsplit_once('/').map_or(("", stem), |(folder, name)| (folder, name)) {
        (folder, name) if name.eq_ignore_ascii_case("readme") => {
            if folder.is_empty() {
                "index.html".to_owned()
            } else {
                format!("{folder}/index.html")
            }
        }
        _ => format!("{stem}.html"),
    }
}
