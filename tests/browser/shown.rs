//! How much a page tells of an answer is the choice of the book's author; and what was measured in one unit stays so when the
//! reader takes another ruler.

use std::fs;
use std::path::Path;

use foldmark::book::build_book;
use serde_json::{Value, json};

use crate::built_book;
use crate::devtools::Result;
use crate::phone::{Phone, button, field};

const PANEL: &str = "section[aria-label=\"My answers\"]";

const CHAPTER: &str =
    "# Pouch\n\n```foldmark draft\nexercise = \"zip-pouch\"\nruler = \"1/8 in\"\n```\n\n```foldmark homework\n```\n";

/// A book of one chapter that tells so much.
fn book(folder: &Path, show: &str) {
    let write = |name: &str, text: &str| fs::write(folder.join(name), text).expect("a file is written");
    fs::create_dir(folder.join("src")).expect("a folder");
    write("book.toml", &format!("[book]\ntitle = \"Book\"\n\n[preprocessor.foldmark]\nshow = \"{show}\"\n"));
    foldmark::book::install(folder).expect("the lines are added");
    write("src/SUMMARY.md", "# Summary\n\n- [Pouch](pouch.md)\n");
    write("src/pouch.md", CHAPTER);
    build_book(folder, Some(&folder.join("out"))).unwrap_or_else(|e| panic!("the book isn't built: {e}"));
}

fn open(phone: &mut Phone, url: &str) -> Result<()> {
    phone.open(url)?;
    phone.tap_for(
        &button("main", "Fill in my answers here"),
        &format!("document.querySelector('{PANEL} .foldmark-sheet input')"),
    )
}

/// What is said of an answer once its field is left.
fn said(phone: &mut Phone, step: &str, text: &str) -> Result<String> {
    let input = field(PANEL, &format!("{step} 0"));
    phone.evaluate(&format!("{input}.value = ''"))?;
    phone.type_into(&input, text)?;
    phone.evaluate(&format!("{input}.blur()"))?;
    let said = phone.evaluate(&format!("document.getElementById(`${{{input}.id}}-said`).textContent"))?;
    Ok(said.as_str().unwrap_or_default().to_owned())
}

/// The tab that is left out of the panel's width: a slip that the exercise knows. At `none` nothing is said, at `marks` the
/// sign alone, at `coach` what to look at but no number, at `full` the rule with its numbers.
#[test]
fn a_page_tells_as_much_as_its_author_chose() {
    for show in ["none", "marks", "coach", "full"] {
        let folder = tempfile::tempdir().expect("a temporary directory");
        book(folder.path(), show);
        let mut phone = Phone::new().expect("a telephone");
        let mut look = || -> Result<[String; 4]> {
            open(&mut phone, &format!("file://{}/out/pouch.html", folder.path().display()))?;
            phone.evaluate(&format!("document.querySelector('{PANEL} .foldmark-sheet details').open = true"))?;
            let right = said(&mut phone, "tab_adds", "7/8")?;
            let wrong = said(&mut phone, "panel_width", "9")?;
            let unread = said(&mut phone, "mouth", "wide")?;
            let all = phone.evaluate(&format!("document.querySelector('{PANEL} .foldmark-sheet').innerText"))?;
            Ok([right, wrong, unread, all.as_str().unwrap_or_default().to_owned()])
        };
        let [right, wrong, unread, all] = look().unwrap_or_else(|error| panic!("{show}: {error}"));
        // What nobody can read is told at once, whatever is shown.
        assert!(unread.contains("it does not start with a number"), "{show}: {unread}");
        let says_how = wrong.len() > "✗ not right.".len();
        let tells_all = wrong.contains("10 3/4 in");
        let expected = match show {
            "none" => (String::new(), false, false),
            "marks" => ("✓ right.".to_owned(), false, false),
            "coach" => ("✓ right.".to_owned(), true, false),
            _ => ("✓ right.".to_owned(), true, true),
        };
        assert_eq!((right, says_how, tells_all), expected, "{show}: {wrong}");
        assert_eq!(wrong.starts_with("✗ not right."), show != "none", "{show}: {wrong}");
        // The tab, with its allowance, does not count.
        let tally = if show == "none" { "2 of 9 filled in." } else { "0 of 9 right." };
        assert!(all.contains(tally), "{show}: {all}");
    }
}

/// Numbers typed for inches stay inches, with their unit behind them, when the ruler becomes one in millimetres: in the objects
/// and in the answers, and the answers stay right.
#[test]
fn another_ruler_changes_no_measurement() {
    let book = built_book();
    let mut phone = Phone::new().expect("a telephone");
    let mut look = || -> Result<Value> {
        open(&mut phone, &format!("file://{}/zip-pouch.html", book.path().display()))?;
        if phone.evaluate(&format!("document.querySelector('{PANEL} > details').open"))? != true {
            phone.tap(&format!("document.querySelector('{PANEL} > details > summary')"))?;
        }
        let zip = field(PANEL, "given.zip");
        phone.evaluate(&format!("{zip}.value = ''"))?;
        phone.type_into(&zip, "8")?;
        let before = said(&mut phone, "panel_width", "10")?;
        phone.pick(&format!("document.querySelector('{PANEL} details select')"), "1 mm")?;
        let answer = field(PANEL, "panel_width 0");
        let after = format!("document.getElementById(`${{{answer}.id}}-said`).textContent");
        phone.evaluate(&format!("[{zip}.value, {answer}.value, {}, {after}]", json!(before)))
    };
    let seen = look().unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(seen, json!(["8 in", "10 in", "✓ right.", "✓ right."]));
}
