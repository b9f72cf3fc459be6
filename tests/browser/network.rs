//! Nothing leaves a page: what it loads are files of the book, whatever is opened, typed and saved, and it works where a server
//! forbids all else. And who only reads loads little more than without our files.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::time::Duration;

use foldmark::book::build_book;
use foldmark::exercise::Shelf;
use foldmark::practice::{Maker, Task};
use serde_json::json;

use crate::devtools::{Result, Tab};
use crate::server::Server;
use crate::{built_book, open_tab, shared};

/// The strictest content security policy under which the pages work. Nothing may be connected to at all: `connect-src` is not
/// in it. `'wasm-unsafe-eval'` is for the engine, and `style-src-attr` for figures and for mdBook; the rest is for mdBook alone:
/// the scripts within its pages, its signs (`data:`), its fonts, and the contents in a frame for those without scripts.
const POLICY: [(&str, &str); 9] = [
    ("default-src", "'none'"),
    ("script-src", "'self' 'unsafe-inline' 'wasm-unsafe-eval'"),
    ("script-src-attr", "'none'"),
    ("style-src", "'self'"),
    ("style-src-attr", "'unsafe-inline'"),
    ("img-src", "'self' data:"),
    ("font-src", "'self'"),
    ("frame-src", "'self'"),
    // Not covered by `default-src`.
    ("base-uri", "'none'; form-action 'none'; frame-ancestors 'self'"),
];

/// The policy with one part of it replaced.
fn policy(name: &str, value: &str) -> String {
    let part = |(known, usual): &(&str, &str)| format!("{known} {}", if *known == name { value } else { usual });
    POLICY.iter().map(part).collect::<Vec<_>>().join("; ")
}

/// Codes to be opened: one of the roll, one of another lesson, and none at all.
fn codes() -> Vec<String> {
    let shelf = Shelf::shipped();
    let code = |name: &str| {
        let exercise = shelf.get(name).expect("a shipped exercise");
        let maker = Maker::new(exercise, 1, Task::Draft, exercise.usual_ruler(false)).expect("a maker");
        (0..1_000).find_map(|seed| maker.problem(seed)).expect("a problem").code.to_string()
    };
    vec![code("flap-roll"), code("zip-pouch"), "00000-00000-00000".to_owned()]
}

/// Notes in the page what a policy forbids there.
const NOTE: &str = "globalThis.forbidden = [];
    addEventListener('securitypolicyviolation', (it) => forbidden.push(
        `${it.effectiveDirective} ${it.blockedURI} ${it.sourceFile?.split('/').pop()}:${it.lineNumber} ${it.sample}`));";

/// Opens, types and saves all that there is, and gives what was forbidden.
fn use_all(tab: &mut Tab, url: &str, pages: &[&str]) -> Result<Vec<String>> {
    let mut forbidden = Vec::new();
    for page in pages {
        tab.load(&url.replace("PAGE", page), 768, NOTE)?;
        tab.evaluate(include_str!("network.js"))?;
        let doors = tab.evaluate(&format!("trial.use({})", json!(codes())))?;
        assert!(doors.as_u64().is_some_and(|doors| doors >= 4), "{doors}");
        tab.evaluate("trial.book()")?;
        let found = tab.evaluate("forbidden")?;
        forbidden.extend(found.as_array().into_iter().flatten().map(|it| format!("{page}: {it}")));
    }
    Ok(forbidden)
}

/// From a folder: the browser's own record of what was loaded has only files of the book, and what is saved lies on the disk.
#[test]
fn from_a_folder_nothing_but_the_books_files_is_loaded() {
    let book = built_book();
    let saved = shared::folder();
    let mut tab = open_tab();
    let mut used = || -> Result<()> {
        tab.watch_network()?;
        tab.save_into(saved.path())?;
        let folder = format!("file://{}/", book.path().display());
        use_all(&mut tab, &format!("{folder}PAGE"), &["roll.html"])?;
        let (mut own, mut other) = (BTreeSet::new(), Vec::new());
        for request in &tab.requests {
            match request.strip_prefix(&folder) {
                Some(file) => drop(own.insert(file.split('?').next().unwrap_or_default().to_owned())),
                None if request.starts_with("data:") => {}
                // What the page itself made, to be saved.
                None if request.starts_with("blob:") => {}
                None => other.push(request),
            }
        }
        assert!(other.is_empty(), "{other:?}");
        let missing: Vec<&String> = own.iter().filter(|file| !book.path().join(file).is_file()).collect();
        assert!(missing.is_empty(), "not in the book: {missing:?}");
        assert!(own.contains("foldmark/engine.js") && own.contains("foldmark/panels.js"), "{own:?}");
        println!("from a folder: {} requests, {} files, all of the book", tab.requests.len(), own.len());
        assert_eq!(tab.errors, Vec::<String>::new());
        Ok(())
    };
    used().unwrap_or_else(|error| panic!("{error}"));
    let file = (0..100).find_map(|_| {
        std::thread::sleep(Duration::from_millis(50));
        shared::names(saved.path()).into_iter().find(|name| name.ends_with(".toml"))
    });
    let file = file.expect("what was saved lies on the disk");
    let text = fs::read_to_string(saved.path().join(&file)).expect("an answer file is text");
    assert!(foldmark::check::read_answers(&text).is_ok(), "{file}: {text}");
    println!("saved: {file}");
}

/// From a server that forbids all but its own files: nothing else is asked for, and nothing that is forbidden is tried.
#[test]
fn under_a_strict_policy_everything_works() {
    let book = built_book();
    let server = Server::new(book.path());
    let mut tab = open_tab();
    server.set_policy(&policy("", ""));
    let mut used = || -> Result<()> {
        tab.watch_network()?;
        let forbidden = use_all(&mut tab, &server.url("PAGE"), &["roll.html", "shaped-flap.html"])?;
        assert!(forbidden.is_empty(), "{forbidden:#?}");
        let asked = server.asked();
        let other: Vec<&String> = asked
            .iter()
            .filter(|asked| {
                let path = asked.strip_prefix("GET /").and_then(|path| path.split('?').next());
                !path.is_some_and(|path| book.path().join(path).is_file())
            })
            .collect();
        assert!(other.is_empty(), "not of the book: {other:?}");
        let own = server.url("");
        let abroad: Vec<&String> = tab
            .requests
            .iter()
            .filter(|url| !(url.starts_with(&own) || url.starts_with("data:") || url.starts_with("blob:")))
            .collect();
        assert!(abroad.is_empty(), "{abroad:?}");
        println!("from a server: {} requests, all GET and of the book", asked.len());
        assert_eq!(tab.errors, Vec::<String>::new());
        Ok(())
    };
    used().unwrap_or_else(|error| panic!("{error}"));
}

/// Waits until something is so in the page, or ten seconds.
fn comes(tab: &mut Tab, condition: &str) -> Result<bool> {
    let wait = format!(
        "(async () => {{
            for (let left = 400; left > 0; left--) {{
                if ({condition}) return true;
                await new Promise((done) => setTimeout(done, 25));
            }}
            return false;
        }})()"
    );
    Ok(tab.evaluate(&wait)? == true)
}

/// No word of that policy can be left out: without it something of a page is forbidden.
#[test]
fn every_word_of_the_policy_is_needed() {
    let book = built_book();
    let server = Server::new(book.path());
    let mut tab = open_tab();
    let mut tried = || -> Result<()> {
        for (name, value, forbids) in [
            ("script-src", "'self' 'wasm-unsafe-eval'", "script-src-elem inline"),
            ("script-src", "'self' 'unsafe-inline'", "script-src wasm-eval"),
            ("script-src", "'unsafe-inline' 'wasm-unsafe-eval'", "script-src-elem http"),
            ("style-src", "'none'", "style-src-elem http"),
            ("style-src-attr", "'none'", "style-src-attr inline"),
            ("img-src", "'self'", "img-src data"),
            ("img-src", "data:", "img-src http"),
            ("font-src", "'none'", "font-src http"),
        ] {
            server.set_policy(&policy(name, value));
            tab.load(&server.url("roll.html"), 768, NOTE)?;
            tab.evaluate("document.querySelector('button.foldmark-door')?.click()")?;
            let is_told = if forbids.contains("wasm") { "!!document.querySelector('[role=alert]')" } else { "true" };
            // What comes late on a busy machine is waited for.
            let is_forbidden =
                comes(&mut tab, &format!("{is_told} && forbidden.some((it) => it.includes('{forbids}'))"))?;
            let found = tab.evaluate("forbidden")?.to_string();
            assert!(is_forbidden, "{name} {value}: {found}");
        }
        // Without scripts mdBook shows the contents in a frame.
        tab.run_scripts(false)?;
        for (value, is_there) in [("'self'", true), ("'none'", false)] {
            server.set_policy(&policy("frame-src", value));
            server.asked();
            tab.load(&server.url("roll.html"), 768, "")?;
            let asked = server.asked();
            assert_eq!(asked.iter().any(|asked| asked.starts_with("GET /toc.html")), is_there, "{value}: {asked:?}");
        }
        Ok(())
    };
    tried().unwrap_or_else(|error| panic!("{error}"));
}

/// What a page loads before anyone touches it: each file of the book with its bytes.
fn loaded(tab: &mut Tab, book: &Path, page: &str) -> Result<BTreeMap<String, u64>> {
    let folder = format!("file://{}/", book.display());
    tab.load(&format!("{folder}{page}"), 360, "localStorage.clear();")?;
    tab.evaluate("new Promise((done) => setTimeout(done, 700))")?;
    let files = tab.requests.iter().filter_map(|url| url.strip_prefix(&folder)?.split('?').next());
    files.map(|file| Ok((file.to_owned(), fs::metadata(book.join(file))?.len()))).collect()
}

/// How long a file of text is, packed with gzip.
fn packed(tab: &mut Tab, file: &Path) -> Result<i64> {
    let text = json!(fs::read_to_string(file)?);
    let pack = format!(
        "new Response(new Blob([{text}]).stream().pipeThrough(new CompressionStream('gzip'))).arrayBuffer().then((it) => it.byteLength)"
    );
    Ok(tab.evaluate(&pack)?.as_i64().ok_or("no length")?)
}

/// The same book without what makes its pages answer.
fn silent_book(folder: &Path) -> Result<std::path::PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for (name, bytes) in
        shared::files(&root.join("book")).into_iter().filter(|(name, _)| !name.starts_with("foldmark/"))
    {
        shared::write(folder, &format!("book/{name}"), bytes);
    }
    for (name, bytes) in shared::files(&root.join("exercises")) {
        shared::write(folder, &format!("exercises/{name}"), bytes);
    }
    let config = fs::read_to_string(root.join("book.toml"))?;
    let config: Vec<&str> = config.lines().filter(|line| !line.starts_with("additional-")).collect();
    shared::write(folder, "book.toml", config.join("\n"));
    build_book(folder, Some(&folder.join("pages")))?;
    Ok(folder.join("pages"))
}

/// Who only reads a lesson loads at most 10 kB more than without our files, packed as a server sends it, and neither the panels
/// nor the engine.
#[test]
fn who_only_reads_loads_little_more() {
    let book = built_book();
    let folder = shared::folder();
    let mut tab = open_tab();
    let mut weighed = || -> Result<()> {
        let silent = silent_book(folder.path())?;
        tab.watch_network()?;
        let with = loaded(&mut tab, book.path(), "roll.html")?;
        let without = loaded(&mut tab, &silent, "roll.html")?;
        let ours: Vec<(&String, &u64)> = with.iter().filter(|(file, _)| !without.contains_key(*file)).collect();
        let mut names: Vec<&str> = ours.iter().map(|(file, _)| file.rsplit('/').next().unwrap_or_default()).collect();
        names.sort_by_key(|name| name.rsplit('.').next());
        println!("before the first touch roll.html loads of ours: {ours:?}");
        let page = with["roll.html"] as i64 - without["roll.html"] as i64;
        let total = |files: &BTreeMap<String, u64>| files.values().sum::<u64>() as i64;
        let more = total(&with) - total(&without);
        let mut packed =
            packed(&mut tab, &book.path().join("roll.html"))? - packed(&mut tab, &silent.join("roll.html"))?;
        let packed_page = packed;
        for (file, _) in &ours {
            packed += self::packed(&mut tab, &book.path().join(file))?;
        }
        println!(
            "roll.html itself is {page} bytes longer, {packed_page} packed; in all {more} more of {}, {packed} packed",
            total(&with)
        );
        assert!(packed <= 10_000 && more <= 15_000, "{more} bytes more, {packed} packed");
        assert!(
            !with.keys().any(|file| file.contains("panels") || file.contains("engine") || file.contains("lessons/"))
        );
        assert_eq!(ours.len(), 2, "{ours:?}");
        // Once someone opens a door, they are.
        tab.load(&format!("file://{}", book.path().join("roll.html").display()), 360, "")?;
        tab.evaluate("document.querySelector('button.foldmark-door').click()")?;
        assert!(comes(&mut tab, "!!document.querySelector('section.foldmark-panel')")?, "no panel");
        for file in ["panels", "engine", "lessons/roll", "exercises/flap-roll"] {
            assert!(tab.requests.iter().any(|url| url.contains(file)), "{file}: {:?}", tab.requests);
        }
        Ok(())
    };
    weighed().unwrap_or_else(|error| panic!("{error}"));
}
