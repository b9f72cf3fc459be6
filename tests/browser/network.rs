//! Nothing leaves a page: what it loads are files of the book, whatever is opened, typed and saved, and it works where a server
//! forbids all else. And who only reads loads little more than without our files.

use std::collections::BTreeSet;
use std::time::Duration;

use foldmark::exercise::Shelf;
use foldmark::practice::{Maker, Task};
use serde_json::json;

use crate::devtools::{Result, Tab};
use crate::server::Server;
use crate::{built_book, open_tab, shared};

/// The strictest content security policy under which the pages work. `'wasm-unsafe-eval'` is for the engine; what else is more
/// than `'self'` is for mdBook's own pages.
const POLICY: &str = "default-src 'none'; script-src 'self' 'unsafe-inline' 'wasm-unsafe-eval'; \
    style-src 'self' 'unsafe-inline'; img-src 'self' data:; font-src 'self'; connect-src 'self'; frame-src 'self'; \
    base-uri 'none'; form-action 'none'; object-src 'none'";

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
    println!("saved: {file:?}");
}

/// From a server that forbids all but its own files: nothing else is asked for, and nothing that is forbidden is tried.
#[test]
fn under_a_strict_policy_everything_works() {
    let book = built_book();
    let server = Server::new(book.path());
    let mut tab = open_tab();
    server.set_policy(POLICY);
    let mut used = || -> Result<()> {
        tab.watch_network()?;
        let forbidden = use_all(&mut tab, &server.url("PAGE"), &["roll.html"])?;
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
