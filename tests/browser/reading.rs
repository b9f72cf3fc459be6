//! What a screen reader is told of every page of the book: the whole text in its order and nothing else, under headings that
//! skip no level, and each figure as one image.

use std::fs;
use std::path::Path;

use crate::devtools::{Result, Tab};
use crate::heard::Heard;
use crate::{book_pages, built_book, open_tab};

/// What there is on the pages.
#[derive(Debug, Default, PartialEq)]
struct Counts {
    figures: usize,
    headings: usize,
    tables: usize,
    links: usize,
    answers: usize,
}

/// Loads a page and returns what is wrong with what is told of it. One page that joins all chapters has the title of each.
fn check(tab: &mut Tab, page: &Path, is_joined: bool, counts: &mut Counts) -> Result<Vec<String>> {
    tab.load(&format!("file://{}", page.display()), 1280, "window.print = () => {};")?;
    let seen = tab.evaluate(include_str!("reading.js"))?;
    let list = seen["complaints"].as_array().ok_or("no list of complaints")?;
    let mut complaints: Vec<String> = list.iter().filter_map(|text| text.as_str()).map(str::to_owned).collect();
    let root = tab.heard()?;
    if root.name.trim().is_empty() {
        complaints.push("the page has no title".to_owned());
    }
    let main: Vec<&Heard> = root.all("main");
    let [main] = main[..] else { return Err(format!("{} main parts", main.len()).into()) };

    let told = main.words();
    let shown = seen["words"].as_str().ok_or("no words")?;
    let bare = |text: &str| text.split_whitespace().collect::<String>();
    let (told, shown) = (bare(&told), bare(shown));
    if told != shown {
        let same = told.chars().zip(shown.chars()).take_while(|(one, other)| one == other).count();
        let [told, shown] = [told, shown].map(|text| text.chars().skip(same).take(14).collect::<String>());
        complaints.push(format!("“{told}” is told where “{shown}” stands"));
    }

    let mut level = 0;
    for heading in main.all("heading") {
        counts.headings += 1;
        if heading.level > level + 1 || heading.name.trim().is_empty() {
            complaints.push(format!("a heading “{}” of level {} below one of {level}", heading.name, heading.level));
        }
        level = heading.level;
    }
    let titles = main.all("heading").iter().filter(|heading| heading.level == 1).count();
    if titles != 1 && !is_joined {
        complaints.push(format!("{titles} titles"));
    }

    let figures = main.all("figure");
    if seen["figures"] != figures.len() {
        complaints.push(format!("{} figures are seen and {} told", seen["figures"], figures.len()));
    }
    counts.figures += figures.len();
    let in_figures: usize = figures.iter().map(|figure| figure.all("image").len()).sum();
    if in_figures != main.all("image").len() {
        complaints.push("there is an image outside of the figures".to_owned());
    }
    for figure in figures {
        let images = figure.all("image");
        let [image] = images[..] else {
            complaints.push(format!("{} images in one figure: “{}”", images.len(), figure.words()));
            continue;
        };
        let (name, description) = (image.name.trim(), image.description.trim());
        if name.is_empty() || description.is_empty() || description.contains(name) || name.contains(description) {
            complaints.push(format!("a figure has the name “{name}” and the description “{description}”"));
        }
        if !image.parts.is_empty() {
            complaints.push(format!("“{}” is told piece by piece: “{}”", image.name, image.words()));
        }
    }

    // Without heads Chromium takes a table for a mere layout.
    for table in main.all("table").into_iter().chain(main.all("LayoutTable")) {
        counts.tables += 1;
        if table.all("columnheader").is_empty() {
            complaints.push(format!("a table's columns have no heads: “{}”", table.words()));
        }
    }
    for link in main.all("link") {
        counts.links += 1;
        if link.name.trim().is_empty() || !link.is_focusable {
            complaints.push(format!("a link says “{}”, reached by keyboard: {}", link.name, link.is_focusable));
        }
    }
    for answer in main.all("DisclosureTriangle") {
        counts.answers += 1;
        if answer.name.trim().is_empty() || !answer.is_focusable {
            complaints.push(format!("an answer says “{}”, reached by keyboard: {}", answer.name, answer.is_focusable));
        }
    }
    Ok(complaints)
}

#[test]
fn the_book_is_sound_to_a_screen_reader() {
    let book = built_book();
    let mut tab = open_tab();
    let mut complaints = Vec::new();
    let (mut pages, mut joined) = (Counts::default(), Counts::default());
    for page in book_pages(book.path()) {
        let is_joined = page == "print.html";
        // The desk is a form, which `desk.rs` tries.
        if page == "foldmark/desk.html" {
            continue;
        }
        // The first page is the first chapter again.
        let mut again = Counts::default();
        let counts = match page.as_str() {
            "print.html" => &mut joined,
            "index.html" => &mut again,
            _ => &mut pages,
        };
        let found = check(&mut tab, &book.path().join(&page), is_joined, counts)
            .unwrap_or_else(|error| vec![format!("can't be checked: {error}")]);
        complaints.extend(found.iter().map(|text| format!("{page}: {text}")));
    }
    assert!(complaints.is_empty(), "{} complaints:\n{}", complaints.len(), complaints.join("\n"));
    assert_eq!(pages, joined);
    assert!(pages.figures > 200 && pages.headings > 300 && pages.tables > 50 && pages.answers > 30, "{pages:?}");
}

/// An answer opens from the keyboard, and is then told.
#[test]
fn an_answer_opens_from_the_keyboard() {
    let book = built_book();
    let mut tab = open_tab();
    let mut open = || -> Result<(String, String)> {
        tab.load(&format!("file://{}/reading.html", book.path().display()), 1280, "")?;
        let before = tab.heard()?.words();
        for _ in 0..100 {
            tab.press("Tab")?;
            if tab.evaluate("document.activeElement.localName === 'summary'")? == true {
                break;
            }
        }
        tab.press("Enter")?;
        Ok((before, tab.heard()?.words()))
    };
    let (before, after) = open().unwrap_or_else(|error| panic!("{error}"));
    let answer = "The base and both sides are sewn.";
    assert!(!before.contains(answer) && after.contains(answer), "{after}");
}

/// The checker itself: it finds each fault of a faulty page, and nothing else there.
#[test]
fn faults_to_a_screen_reader_are_found() {
    let folder = tempfile::tempdir().expect("a temporary directory");
    let page = folder.path().join("faults.html");
    fs::write(&page, FAULTS).expect("the page is written");
    let mut counts = Counts::default();
    let complaints = check(&mut open_tab(), &page, false, &mut counts).unwrap_or_else(|error| panic!("{error}"));
    let expected = [
        "the page's language is “”",
        "two have the id “a”",
        "<svg> “” has no “lost” of its own",
        "the head of nothing: <th> “row”",
        "“here and there” is only seen in “pieces”",
        "“hereandthereno” is told where “nonesaidAnswer” stands",
        "a heading “Three” of level 3 below one of 1",
        "2 titles",
        "there is an image outside of the figures",
        "a figure has the name “name only” and the description “name only”",
        "“pieces” is told piece by piece: “here and there”",
        "0 images in one figure: “none”",
        "a table's columns have no heads: “cell”",
        "a link says “”, reached by keyboard: true",
    ];
    assert_eq!(complaints, expected);
    assert_eq!(counts, Counts { figures: 4, headings: 3, tables: 2, links: 2, answers: 1 });
}

const FAULTS: &str = r##"<!DOCTYPE html><html><head><title>Faults</title></head><body><main>
<h1>One</h1><h3>Three</h3><h1>One more</h1><p id="a">Text</p><p id="a">Text</p>
<a href="#a"></a><a href="#a">sound</a>
<table><tr><td>cell</td></tr></table><table><thead><tr><th>head</th></tr></thead><tbody><tr><th>row</th></tr></tbody></table>
<img src="data:," alt="alone">
<figure class="foldmark"><svg role="img" aria-label="name only" aria-description="name only" aria-describedby="lost"></svg></figure>
<figure class="foldmark"><svg role="img" aria-label="pieces" aria-description="told"><text y="9">here and there</text></svg></figure>
<figure class="foldmark"><figcaption>none</figcaption></figure>
<figure class="foldmark"><svg role="img" aria-label="sound" aria-description="told">
  <g aria-hidden="true"><text y="9">told</text></g></svg><figcaption>said</figcaption></figure>
<details><summary>Answer</summary><p>closed</p></details>
</main></body></html>"##;
