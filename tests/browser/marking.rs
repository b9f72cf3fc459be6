//! The pages that come out of marking, in the browser: nothing runs, nothing overlaps, nothing sticks out, every name is
//! text, and a student's page fits one sheet of paper.

use std::fs;
use std::path::Path;

use foldmark::check::{ClassTally, class_page, feedback_page, mark, read_answers};
use foldmark::class::Show;
use foldmark::exercise::Shelf;
use foldmark::files::read_text;

use crate::devtools::{Result, Tab};
use crate::{WIDTHS, open_tab};

/// A4 (ISO 216) and Letter (ANSI/ASME Y14.1), in inches.
pub(crate) const PAPERS: [(f64, f64); 2] = [(210.0 / 25.4, 297.0 / 25.4), (8.5, 11.0)];
const HOSTILE: &str = "<script>alert(1)</script>";

pub struct Page {
    name: String,
    pub html: String,
    /// What its first heading says.
    heading: String,
    is_feedback: bool,
}

/// Every page of the demo class, and of a class whose names are all hostile.
pub fn pages() -> Vec<Page> {
    let shelf = Shelf::shipped();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("exercises/class");
    let mut files: Vec<_> =
        fs::read_dir(folder).expect("the class").map(|entry| entry.expect("a file").path()).collect();
    files.sort();
    let mut pages = Vec::new();
    let mut class = ClassTally::default();
    let mut hostile = ClassTally::default();
    for file in files {
        let mut sheet = read_answers(&read_text(&file).expect("a text")).expect("an answer file");
        let exercise = shelf.get(&sheet.exercise).expect("its exercise");
        let mut add = |student: &str, class: &mut ClassTally| {
            sheet.student = student.to_owned();
            let marked = mark(exercise, &sheet).expect("a sheet");
            class.count(&marked);
            Show::ALL.map(|(word, show)| Page {
                name: format!("{} {word}", file.display()),
                html: feedback_page(&marked, show),
                heading: marked.student.clone(),
                is_feedback: true,
            })
        };
        let own = file.file_stem().and_then(|name| name.to_str()).expect("a name").to_owned();
        pages.extend(add(&own, &mut class));
        let spoilt = add(HOSTILE, &mut hostile);
        if own == "bryony" {
            pages.extend(spoilt);
        }
    }
    for (class, title) in [(class, "Thursday evening"), (hostile, HOSTILE)] {
        let html = class_page(&class, title, &|line| Some(format!("{line}.html")));
        let (name, heading) = (format!("class {title}"), title.to_owned());
        pages.push(Page { name, html, heading, is_feedback: false });
    }
    pages
}

/// What is wrong with a page at one width, in one theme.
fn check(tab: &mut Tab, file: &Path, page: &Page, width: u32) -> Result<Vec<String>> {
    tab.load(&format!("file://{}", file.display()), width, "window.alert = () => console.error('alert')")?;
    tab.evaluate("document.querySelectorAll('details').forEach(details => details.open = true)")?;
    let found = tab.evaluate(include_str!("check.js"))?;
    let mut complaints: Vec<String> = tab.errors.iter().map(|error| format!("console: {error}")).collect();
    let list = found["complaints"].as_array().ok_or("no list of complaints")?;
    complaints.extend(list.iter().filter_map(|text| text.as_str()).map(str::to_owned));
    let seen = tab.evaluate(
        "({ scripts: document.querySelectorAll('script').length, title: document.title,
            heading: document.querySelector('h1 > bdi, h1').textContent })",
    )?;
    if seen["scripts"] != 0 {
        complaints.push(format!("{} scripts", seen["scripts"]));
    }
    if seen["heading"] != page.heading.as_str() {
        complaints.push(format!("the heading is {}", seen["heading"]));
    }
    if !seen["title"].as_str().is_some_and(|title| title.starts_with(&page.heading)) {
        complaints.push(format!("the title is {}", seen["title"]));
    }
    Ok(complaints)
}

#[test]
fn pages_of_marking_are_sound_in_a_browser() {
    let folder = tempfile::tempdir().expect("a temporary directory");
    let file = folder.path().join("page.html");
    let mut tab = open_tab();
    let mut complaints = Vec::new();
    let pages = pages();
    assert_eq!(pages.len(), 59);
    for scheme in ["light", "dark"] {
        tab.prefer(scheme).unwrap_or_else(|error| panic!("{error}"));
        for page in &pages {
            fs::write(&file, &page.html).expect("the page is written");
            for width in WIDTHS {
                let found = check(&mut tab, &file, page, width);
                let found = found.unwrap_or_else(|error| vec![format!("can't be checked: {error}")]);
                complaints.extend(found.iter().map(|text| format!("{} ({width} px, {scheme}): {text}", page.name)));
            }
            if scheme == "light" && page.is_feedback {
                for paper in PAPERS {
                    let sheets = tab.sheets(paper).unwrap_or_else(|error| panic!("{}: {error}", page.name));
                    if sheets != 1 {
                        complaints.push(format!("{}: {sheets} sheets of paper, {paper:?}", page.name));
                    }
                }
            }
        }
        let ground = tab.evaluate("getComputedStyle(document.body).backgroundColor").expect("a colour");
        let expected = if scheme == "light" { "rgb(255, 255, 255)" } else { "rgb(23, 24, 26)" };
        assert_eq!(ground, expected, "{scheme}");
    }
    assert!(complaints.is_empty(), "{} complaints:\n{}", complaints.len(), complaints.join("\n"));
}

/// The grid scrolls in its own box, and its first column stays.
#[test]
fn the_grid_scrolls_in_its_own_box() {
    let folder = tempfile::tempdir().expect("a temporary directory");
    let file = folder.path().join("page.html");
    let page = pages().into_iter().find(|page| !page.is_feedback).expect("the class page");
    fs::write(&file, &page.html).expect("the page is written");
    let mut tab = open_tab();
    tab.load(&format!("file://{}", file.display()), 360, "").unwrap_or_else(|error| panic!("{error}"));
    let seen = tab.evaluate(
        "(() => {
            const box = document.querySelector('.scroll'), head = box.querySelector('tbody th');
            const before = head.getBoundingClientRect().left;
            box.scrollLeft = 10000;
            return { scrolled: box.scrollLeft, moved: head.getBoundingClientRect().left - before,
                     overflow: document.documentElement.scrollWidth - window.innerWidth };
        })()",
    );
    let seen = seen.unwrap_or_else(|error| panic!("{error}"));
    assert!(seen["scrolled"].as_f64().is_some_and(|scrolled| scrolled > 50.0), "{seen}");
    assert_eq!(seen["moved"], 0, "{seen}");
    assert_eq!(seen["overflow"], 0, "{seen}");
}
