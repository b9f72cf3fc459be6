//! The whole book on paper: what belongs together is on one page, nothing is cut off, and nothing is left that only a screen
//! can do.

use std::fs;
use std::path::Path;

use crate::devtools::{Result, Tab};
use crate::marking::PAPERS;
use crate::pdf::Pdf;
use crate::{built_book, open_tab};

/// Chromium's margins are 1 cm all round. What is as wide as on A4 and as high as on Letter is on either within them; CSS has
/// 96 px to the inch.
const ROOM: (u32, u32) = ((19.0 / 2.54 * 96.0) as u32, ((11.0 - 2.0 / 2.54) * 96.0) as u32);

/// What is wrong with a page on paper in "inch" or "metric", and its numbers of figures and headings.
fn check(tab: &mut Tab, page: &Path, paper: (f64, f64), unit: &str) -> Result<(Vec<String>, u64, u64)> {
    // print.html opens the print dialog, which nobody would close.
    let before = format!("window.print = () => {{}}; localStorage.setItem('foldmark-units', '{unit}');");
    tab.load(&format!("file://{}", page.display()), ROOM.0, &before)?;
    tab.print(true)?;
    let found = tab.evaluate(&format!("{}({})", include_str!("print.js").trim_end(), ROOM.1))?;
    tab.print(false)?;
    let list = found["complaints"].as_array().ok_or("no list of complaints")?;
    let mut complaints: Vec<String> = list.iter().filter_map(|text| text.as_str()).map(str::to_owned).collect();
    let pdf = Pdf::read(&tab.pdf(paper)?);
    complaints.extend(pdf.parted());
    let [figures, headings] = ["figures", "headings"].map(|key| found[key].as_u64().unwrap_or_default());
    let printed: usize = (1..=6).map(|level| pdf.count(&format!("H{level}"))).sum();
    if (pdf.drawings() as u64, printed as u64) != (figures, headings) {
        complaints.push(format!(
            "{figures} figures and {headings} headings, but {} and {printed} of them on paper",
            pdf.drawings()
        ));
    }
    Ok((complaints, figures, headings))
}

#[test]
fn the_book_is_sound_on_paper() {
    let book = built_book();
    let mut tab = open_tab();
    // Centimetres on A4, inches on Letter.
    for (paper, unit) in PAPERS.into_iter().zip(["metric", "inch"]) {
        let checked = check(&mut tab, &book.path().join("print.html"), paper, unit);
        let (complaints, figures, headings) = checked.unwrap_or_else(|error| panic!("{error}"));
        assert!(complaints.is_empty(), "{paper:?}, {} complaints:\n{}", complaints.len(), complaints.join("\n"));
        assert!(figures > 200 && headings > 300, "{paper:?}: only {figures} figures and {headings} headings");
    }
}

/// The checker itself: it finds each fault of a faulty page, and nothing else there.
#[test]
fn faults_on_paper_are_found() {
    let folder = tempfile::tempdir().expect("a temporary directory");
    let page = folder.path().join("faults.html");
    fs::write(&page, FAULTS).expect("the page is written");
    let checked = check(&mut open_tab(), &page, PAPERS[0], "inch");
    let (complaints, figures, headings) = checked.unwrap_or_else(|error| panic!("{error}"));
    assert_eq!((figures, headings), (4, 2));
    let expected = [
        "can't be read: <p> “closed”",
        "nobody can press it on paper: <button> “Press”",
        "two systems of units: <span> “1 in” and <span> “2 cm”",
        "1200 px high where 980 px fit: <figure> “tall”",
        "cut off at the right: <div> “wide”",
        "page 2: a heading ends it: H2 ",
        "page 3: a figure ends it: Figure step",
        "page 4: a figure goes on: Figure torn",
        "page 6: a figure goes on: Figure tall",
        "page 6: a figure goes on: Figure tall",
    ];
    assert_eq!(complaints, expected);
}

const FAULTS: &str = r##"<!DOCTYPE html><html lang="en"><head><title>Faults</title><style>
  body { margin: 0 } h1, h2, p, figure { margin: 0; break-after: auto } .new { break-before: page } svg { display: block }
</style></head><body><main>
<h1>One</h1><p>Words.</p>
<details><summary>Answer</summary><p>closed</p></details><details open><summary>Answer</summary><p>open</p></details>
<button>Press</button><button hidden>Hidden</button><input type="checkbox" disabled>
<p><span class="foldmark-inch">1 in</span> <span class="foldmark-metric">2 cm</span></p>
<div style="width: 800px">wide</div>
<div class="new" style="height: 800px"></div><h2>Two</h2><p class="new">Words.</p>
<figure class="foldmark"><svg role="img" aria-label="step" viewBox="0 0 9 9" height="90"><rect width="9" height="9"/></svg></figure>
<p class="new">A sum.</p>
<div style="height: 900px"></div>
<figure class="foldmark"><svg role="img" aria-label="torn" viewBox="0 0 9 9" height="90"><rect width="9" height="9"/></svg>
  <figcaption style="break-before: page">torn</figcaption></figure>
<figure class="foldmark"><svg role="img" aria-label="sound" viewBox="0 0 9 9" height="90"><rect width="9" height="9"/></svg>
  <figcaption>sound</figcaption></figure>
<figure class="foldmark new"><svg role="img" aria-label="tall" viewBox="0 0 9 120" height="1200"><rect width="9" height="120"/></svg>
  <figcaption style="height: 0">tall</figcaption></figure>
</main></body></html>"##;
