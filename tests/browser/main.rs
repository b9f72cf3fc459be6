//! Looks at the built book in a real browser: every page, from the width of a phone to that of a desk, in inches and in
//! centimetres, in all five themes. `cargo test --features browser --test browser` needs Chromium, and what `.ci/tools` installs.

mod axe;
mod conform;
mod desk;
mod devtools;
mod engine;
mod every_page;
mod heard;
mod homework;
mod hostile;
mod kept;
mod kit;
mod marking;
mod network;
mod oracle;
mod own;
mod panels;
mod pdf;
mod phone;
mod practice;
mod practice_page;
mod print;
mod reading;
mod requests;
mod seeded;
mod server;
#[path = "../shared/mod.rs"]
mod shared;
mod shown;
mod speed;
mod units;

use std::path::Path;
use std::{env, fs};

use devtools::{Result, Tab};
use foldmark::book::build_book;
use tempfile::TempDir;

/// A telephone and a desk, for pages that have one look.
const WIDTHS: [u32; 2] = [360, 1280];

/// A telephone, a tablet and a desk.
const SCREENS: [u32; 3] = [360, 768, 1280];
/// All themes of mdBook.
const THEMES: [&str; 5] = ["light", "rust", "coal", "navy", "ayu"];

fn open_tab() -> Tab {
    let program = env::var("CHROMIUM").unwrap_or_else(|_| "chromium".to_owned());
    Tab::open(&program).unwrap_or_else(|e| panic!("{e}"))
}

/// Builds the lessons.
fn built_book() -> TempDir {
    let built = tempfile::tempdir().expect("a temporary directory");
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    build_book(root, Some(built.path())).unwrap_or_else(|e| panic!("the book isn't built: {e}"));
    built
}

/// Loads a page and returns the number of its figures and what is wrong with it.
fn check(tab: &mut Tab, page: &Path, width: u32, theme: &str) -> Result<(u64, Vec<String>)> {
    // print.html opens the print dialog, which nobody would close.
    let before = format!("window.print = () => {{}}; localStorage.setItem('mdbook-theme', '{theme}');");
    // Brings the page to rest. The class is set anew for the case that the page didn't look into
    // its storage. What is in a closed <details> has no size, so all are opened.
    let settle = format!(
        "(async () => {{
            document.documentElement.classList.remove('light', 'rust', 'coal', 'navy', 'ayu');
            document.documentElement.classList.add('{theme}');
            for (const details of document.querySelectorAll('details')) details.open = true;
            await document.fonts.ready;
            for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame);
            for (const moving of document.getAnimations()) {{
                try {{ moving.finish(); }} catch {{ /* It has no end. */ }}
            }}
        }})()"
    );
    tab.load(&format!("file://{}", page.display()), width, &before)?;
    tab.evaluate(&settle)?;
    let found = tab.evaluate(include_str!("check.js"))?;
    let mut complaints: Vec<String> = tab.errors.iter().map(|e| format!("console: {e}")).collect();
    let list = found["complaints"].as_array().ok_or("no list of complaints")?;
    complaints.extend(list.iter().filter_map(|text| text.as_str()).map(str::to_owned));
    Ok((found["figures"].as_u64().ok_or("no number of figures")?, complaints))
}

/// Adds the pages below a directory, as paths relative to `root`.
fn find_pages(root: &Path, directory: &Path, pages: &mut Vec<String>) {
    for entry in fs::read_dir(directory).expect("the book's directory can be read") {
        let path = entry.expect("the book's directory can be read").path();
        if path.is_dir() {
            find_pages(root, &path, pages);
        } else if path.extension().is_some_and(|extension| extension == "html") {
            let page = path.strip_prefix(root).expect("the page is below the root");
            pages.push(page.to_str().expect("the page's name is UTF-8").to_owned());
        }
    }
}

/// The pages of the book, as paths relative to its folder.
fn book_pages(book: &Path) -> Vec<String> {
    let mut pages = Vec::new();
    find_pages(book, book, &mut pages);
    // toc.html is the table of contents for a frame, not a page. 404.html refers to its styles and
    // scripts from the root of the site, because a server shows it for any path; a file: URL has
    // no such root.
    pages.retain(|page| page != "toc.html" && page != "404.html");
    pages.sort();
    pages
}

#[test]
fn book_is_sound_in_a_browser() {
    let built = built_book();
    let pages = book_pages(built.path());
    let mut tab = open_tab();
    let mut complaints = Vec::new();
    let mut figures = 0;
    for page in &pages {
        for (width, theme) in SCREENS.iter().flat_map(|width| THEMES.map(|theme| (*width, theme))) {
            // A page that can't be checked doesn't end the test, so that the others are seen too.
            let (count, found) = check(&mut tab, &built.path().join(page), width, theme)
                .unwrap_or_else(|e| (0, vec![format!("can't be checked: {e}")]));
            let place = format!("{page} ({width} px, {theme})");
            complaints.extend(found.iter().map(|text| format!("{place}: {text}")));
            // print.html repeats the figures of all pages, and each page is seen in several looks.
            if page != "print.html" && (width, theme) == (SCREENS[0], THEMES[0]) {
                figures += count;
            }
        }
    }
    assert!(complaints.is_empty(), "{} complaints:\n{}", complaints.len(), complaints.join("\n"));
    assert!(figures > 300, "{} pages have only {figures} figures", pages.len());
}

/// The checker itself: it finds each fault of a faulty page, and nothing else there.
#[test]
fn faults_are_found() {
    let directory = tempfile::tempdir().expect("a temporary directory");
    let page = directory.path().join("faults.html");
    fs::write(&page, FAULTS).expect("the page is written");
    let checked = check(&mut open_tab(), &page, 360, "coal");
    let (figures, complaints) = checked.unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(figures, 11);
    let mut expected = vec![
        "console: logged 7",
        "console: uncaught: Error: thrown",
        "console: Failed to load resource: net::ERR_FILE_NOT_FOUND file://",
        "figure “overlap”: “one” overlaps “two”",
        "figure “no name”: has no name of its own for a screen reader",
        "figure “named in its text”: has a name that a search finds",
        "figure “no size”: the drawing is 0 by 0 px",
        "figure “outside”: “far” reaches",
        "figure “faint text”: “faint” has a contrast of",
        "figure “faint line”: a <line.edge> has a contrast of",
        "figure “on a board”: “pale” has a contrast of",
        "figure “7”: has no drawing",
        "figure “closed”: “far” reaches",
        "<html.coal> is 600 px wide where 360 px fit: <div.wide> “wide”",
        "<main> is 500 px wide where 300 px fit: <p.wider> “wider”",
    ];
    for complaint in &complaints {
        let known = expected.iter().position(|start| complaint.starts_with(start));
        expected.remove(known.unwrap_or_else(|| panic!("not a fault: {complaint}")));
    }
    assert!(expected.is_empty(), "not found: {expected:#?}\nin: {complaints:#?}");
}

/// Each figure but the last has the fault that its caption names.
const FAULTS: &str = r##"<!DOCTYPE html><html><head><meta charset="utf-8"><style>
  body { margin: 0 } .coal { background: #111; color: #ddd } figure { margin: 0 }
  svg { stroke: currentColor; fill: currentColor; width: 300px; height: 60px }
  text { stroke: none }
</style></head><body>
<figure class="foldmark"><figcaption>overlap</figcaption>
  <svg role="img" aria-label="drawing"><text x="9" y="30">one</text><text x="20" y="32">two</text></svg></figure>
<figure class="foldmark"><svg style="width: 0; height: 0" role="img" aria-label="no size"></svg></figure>
<figure class="foldmark"><figcaption>outside</figcaption>
  <svg role="img" aria-label="drawing"><text x="290" y="30">far</text></svg></figure>
<figure class="foldmark"><figcaption>faint text</figcaption>
  <svg role="img" aria-label="drawing"><text x="9" y="30" opacity="0.4">faint</text></svg></figure>
<figure class="foldmark"><figcaption>faint line</figcaption>
  <svg role="img" aria-label="drawing"><line class="edge" x2="90" y2="30" stroke-opacity="0.3"/></svg></figure>
<figure class="foldmark"><figcaption>on a board</figcaption>
  <svg role="img" aria-label="drawing"><rect width="99" height="50" fill="#eee"/><text x="9" y="30">pale</text></svg></figure>
<figure class="foldmark"></figure>
<figure class="foldmark"><figcaption>no name</figcaption><svg><text x="9" y="30">what</text></svg></figure>
<figure class="foldmark"><figcaption>named in its text</figcaption><svg role="img" aria-label="drawing"><desc>what</desc></svg></figure>
<details><figure class="foldmark"><figcaption>closed</figcaption>
  <svg role="img" aria-label="drawing"><text x="-20" y="30">far</text></svg></figure></details>
<figure class="foldmark"><figcaption>sound</figcaption>
  <svg role="img" aria-label="drawing"><defs><line x2="9" stroke="#111"/></defs><rect width="99" height="50" fill="#eee"/>
  <text x="9" y="30" fill="#111">one</text><text x="110" y="30">two</text>
  <text transform="rotate(-90 160 50)" x="160" y="50">up</text></svg></figure>
<div class="wide" style="width: 600px">wide</div>
<main style="width: 300px; overflow: auto"><p class="wider" style="width: 500px">wider</p></main>
<script>console.error("logged", 7)</script><script>throw new Error("thrown")</script>
<img src="missing.png" alt=""></body></html>"##;

#[test]
fn missing_chromium_says_how_to_install_it() {
    let error = Tab::open("/no/such/chromium").err().expect("there is no such program");
    assert!(error.to_string().contains("apt-get install chromium"), "{error}");
}
