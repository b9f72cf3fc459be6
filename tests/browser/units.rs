//! The switch between inches and centimetres, as a reader meets it: from the keyboard, on the next page, on paper, to a
//! screen reader, and where no script runs.

use std::fs;

use foldmark::book::build_book;
use tempfile::TempDir;

use crate::devtools::{Result, Tab};
use crate::open_tab;

/// By hand: 8 + 1/4 + 1/2 = 8 3/4 in to the fold, and 20 + 0.5 + 1.5 = 22 cm.
const LESSON: &str = r#"# Roll

```foldmark draft
exercise = "flap-roll"
ruler = "1/8 in"
quiet = true
[given]
base_gap = "1/4 in"
top_gap = "1/2 in"
[[given.objects]]
name = "bodkin"
length = "8 in"
girth = "3 in"
count = 3
[metric]
ruler = "1 mm"
[metric.given]
base_gap = "5 mm"
top_gap = "1.5 cm"
[[metric.given.objects]]
length = "20 cm"
girth = "8 cm"
```

It folds at `= fold_height`.

```foldmark step
step = "fold_height"
```
"#;

fn book() -> TempDir {
    let folder = tempfile::tempdir().expect("a temporary directory");
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).expect("a file is written");
    fs::create_dir(folder.path().join("src")).expect("a folder");
    write("book.toml", "[book]\ntitle = \"Book\"\n");
    foldmark::book::install(folder.path()).expect("the lines are added");
    write("src/SUMMARY.md", "# Summary\n\n- [One](one.md)\n- [Two](two.md)\n");
    write("src/one.md", LESSON);
    write("src/two.md", LESSON);
    build_book(folder.path(), Some(&folder.path().join("out"))).unwrap_or_else(|e| panic!("the book isn't built: {e}"));
    folder
}

/// What can be seen of the page's text, with plain spaces.
fn seen(tab: &mut Tab) -> Result<String> {
    let text = tab.evaluate("document.querySelector('main').innerText.replaceAll('\\u00a0', ' ')")?;
    Ok(text.as_str().unwrap_or_default().to_owned())
}

fn spoken(tab: &mut Tab) -> Result<String> {
    Ok(tab.heard()?.script().replace('\u{a0}', " "))
}

fn switch() -> Result<()> {
    let book = book();
    let page = |name: &str| format!("file://{}/out/{name}.html", book.path().display());
    let mut tab = open_tab();

    tab.load(&page("one"), 360, "")?;
    let text = seen(&mut tab)?;
    assert!(text.contains("It folds at 8 3/4 in.") && !text.contains("22 cm"), "{text}");
    let heard = spoken(&mut tab)?;
    assert!(heard.contains("image Height to the fold: step"), "{heard}");
    assert!(heard.contains("group Measures in\n") && heard.contains("button centimetres\n"), "{heard}");
    assert!(heard.contains("8 3/4 in") && !heard.contains("22 cm"), "{heard}");

    // From the keyboard alone.
    let mut is_reached = false;
    for _ in 0..60 {
        tab.press("Tab")?;
        is_reached = tab.evaluate("document.activeElement.value === 'metric'")? == true;
        if is_reached {
            break;
        }
    }
    assert!(is_reached, "no number of Tabs leads to the switch");
    tab.press("Enter")?;
    for (name, width) in [("one", 360), ("two", 1280), ("print", 768)] {
        if name != "one" {
            tab.load(&page(name), width, "window.print = () => {};")?;
        }
        let text = seen(&mut tab)?;
        assert!(text.contains("It folds at 22 cm.") && !text.contains("8 3/4 in"), "{name}: {text}");
        let heard = spoken(&mut tab)?;
        assert!(heard.contains("22 cm") && !heard.contains("8 3/4 in"), "{name}: {heard}");
        let pressed = tab.evaluate("[...document.querySelectorAll('button[aria-pressed=true]')].map(b => b.value)")?;
        let pages = if name == "print" { 2 } else { 1 };
        assert_eq!(pressed, serde_json::json!(vec!["metric"; pages]), "{name}");
        assert_eq!(tab.errors, Vec::<String>::new());
    }

    tab.print(true)?;
    let text = seen(&mut tab)?;
    assert!(text.contains("22 cm") && !text.contains("8 3/4 in") && !text.contains("centimetres"), "{text}");
    tab.print(false)?;

    tab.run_scripts(false)?;
    tab.load(&page("two"), 768, "")?;
    let text = seen(&mut tab)?;
    assert!(text.contains("8 3/4 in") && !text.contains("22 cm") && !text.contains("centimetres"), "{text}");
    Ok(())
}

#[test]
fn the_reader_chooses_inches_or_centimetres() {
    switch().unwrap_or_else(|error| panic!("{error}"));
}
