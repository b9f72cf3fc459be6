//! What the doors of a lesson open, all of it open and filled in: whether everybody can read it, reach it and work it, with a
//! finger, a keyboard or a screen reader, on a telephone and at a desk.

use std::path::Path;

use serde_json::{Value, json};
use tempfile::TempDir;

use crate::axe::Axe;
use crate::devtools::{Result, Tab};
use crate::every_page::Kind;
use crate::{THEMES, WIDTHS, built_book, open_tab};

/// A lesson and what somebody fills in, in inches.
struct Lesson {
    page: &'static str,
    /// Of one's own objects.
    rows: usize,
    own: &'static [(&'static str, &'static str)],
    /// Each with how its verdict begins: something right, wrong, unreadable, and something that is asked about.
    answers: &'static [(&'static str, &'static str, &'static str)],
    /// An answer of `answers` that is wrong, and another one.
    wrong: (&'static str, &'static str, &'static str),
    /// Right answers for the first step that is covered.
    first: &'static [&'static str],
}

const LESSONS: [Lesson; 2] = [
    Lesson {
        page: "roll.html",
        rows: 3,
        own: &[
            ("given.objects.1.name", "chisel"),
            ("given.objects.1.length", "9 1/2"),
            ("given.objects.1.girth", "3"),
            ("given.objects.1.count", "1"),
            ("given.objects.2.name", "mallet"),
            ("given.objects.2.length", "10 1/4"),
            ("given.objects.2.girth", "7 1/2"),
            ("given.objects.2.count", "1"),
            ("given.objects.3.name", "knife"),
            ("given.objects.3.length", "7"),
            ("given.objects.3.girth", "2 1/4"),
            ("given.objects.3.count", "1"),
        ],
        answers: &[
            ("slot 0", "1 3/4", "✓"),
            ("slot 1", "4", "✓"),
            ("slot 2", "abc", "?"),
            ("cut_width 0", "3", "✗"),
            ("pocket_height 0", "8", "!"),
            ("finished_width 0", "75/8", "Did you mean 7 5/8 in?"),
        ],
        wrong: ("fold_height 0", "30", "35"),
        first: &["1 3/4", "4", "1 3/8"],
    },
    Lesson {
        page: "zip-pouch.html",
        rows: 0,
        own: &[("given.zip", "8 in"), ("given.height", "5 in")],
        answers: &[
            ("strip_width 0", "2", "✓"),
            ("panel_width 0", "93/4", "Did you mean 9 3/4 in?"),
            ("finished_width 0", "abc", "?"),
            ("zip_seam 0", "3", "!"),
        ],
        wrong: ("mouth 0", "3", "2"),
        first: &["1"],
    },
];

/// Loads a lesson as it comes to a device that has never shown it. Nothing is left to chance, and what a window of the system
/// would ask for is answered.
fn load(tab: &mut Tab, book: &TempDir, lesson: &Lesson, width: u32, theme: &str) -> Result<()> {
    let before = format!(
        "localStorage.clear();
        localStorage.setItem('mdbook-theme', '{theme}');
        window.print = () => {{ window.dispatchEvent(new Event('afterprint')); }};
        crypto.getRandomValues = (numbers) => numbers.fill(2026);
        navigator.share = async () => {{}};
        Object.defineProperty(navigator, 'clipboard', {{ value: {{ writeText: async () => {{ throw 1; }} }} }});"
    );
    tab.load(&file(book.path(), lesson.page), width, &before)?;
    tab.evaluate(include_str!("panels.js"))?;
    Ok(())
}

fn file(book: &Path, page: &str) -> String {
    format!("file://{}", book.join(page).display())
}

/// Opens and fills in everything but what covers the steps.
fn fill(tab: &mut Tab, lesson: &Lesson) -> Result<()> {
    let Lesson { rows, own, answers, .. } = lesson;
    tab.evaluate(&format!("panels.fill({})", json!({"rows": rows, "own": own, "answers": answers})))?;
    Ok(())
}

/// All of it.
fn fill_and_cover(tab: &mut Tab, book: &TempDir, lesson: &Lesson, width: u32, theme: &str) -> Result<()> {
    load(tab, book, lesson, width, theme)?;
    fill(tab, lesson)?;
    tab.evaluate("panels.cover()")?;
    Ok(())
}

fn texts(value: &Value) -> Vec<String> {
    value.as_array().into_iter().flatten().filter_map(|text| text.as_str()).map(str::to_owned).collect()
}

/// What check.js finds, but for figures that are covered and so have no size.
fn unsound(tab: &mut Tab) -> Result<Vec<String>> {
    let found = tab.evaluate(include_str!("check.js"))?;
    let mut complaints: Vec<String> = tab.errors.iter().map(|error| format!("console: {error}")).collect();
    complaints
        .extend(texts(&found["complaints"]).into_iter().filter(|text| !text.ends_with("the drawing is 0 by 0 px")));
    Ok(complaints)
}

/// Both lessons, one after the other; a lesson that can't be checked is a complaint.
fn in_each(mut check: impl FnMut(&TempDir, &Lesson) -> Result<Vec<String>>) {
    let book = built_book();
    let mut complaints = Vec::new();
    for lesson in &LESSONS {
        let found = check(&book, lesson).unwrap_or_else(|fault| vec![format!("can't be checked: {fault}")]);
        complaints.extend(found.into_iter().map(|text| format!("{}: {text}", lesson.page)));
    }
    assert!(complaints.is_empty(), "{} complaints:\n{}", complaints.len(), complaints.join("\n"));
}

/// What check.js and axe find in these looks.
fn looks(axe: &mut Axe, book: &TempDir, lesson: &Lesson, widths: &[u32], themes: &[&str]) -> Result<Vec<String>> {
    let mut complaints = Vec::new();
    for (width, theme) in widths.iter().flat_map(|width| themes.iter().map(|theme| (*width, *theme))) {
        load(&mut axe.tab, book, lesson, width, theme)?;
        fill(&mut axe.tab, lesson)?;
        let mut found = unsound(&mut axe.tab)?;
        // Covers hide what has been looked at now.
        axe.tab.evaluate("panels.cover()")?;
        found.extend(axe.look(Kind::Book)?);
        // axe asks for the styles again, which a page from a folder may not; that is no fault of the next page.
        axe.tab.load("about:blank", width, "")?;
        complaints.extend(found.into_iter().map(|text| format!("{width} px, {theme}: {text}")));
    }
    Ok(complaints)
}

/// A table that is wider than a telephone is what the test after this one is about.
fn is_of_a_wide_table(complaint: &str) -> bool {
    complaint.contains("scrollable-region-focusable") && complaint.contains("> .table-wrapper:")
}

#[test]
fn open_panels_are_sound_in_every_theme() {
    let mut axe = Axe::new();
    in_each(|book, lesson| {
        let mut complaints = looks(&mut axe, book, lesson, &WIDTHS, &THEMES)?;
        complaints.retain(|complaint| !is_of_a_wide_table(complaint));
        Ok(complaints)
    });
}

#[test]
fn wide_tables_are_reached_by_keyboard() {
    let mut axe = Axe::new();
    in_each(|book, lesson| {
        let mut complaints = looks(&mut axe, book, lesson, &WIDTHS[..1], &THEMES[..1])?;
        complaints.retain(|complaint| is_of_a_wide_table(complaint));
        Ok(complaints)
    });
}

/// 320 px is also what is left of a window of 1280 px where a page is shown at 400 %.
#[test]
fn open_panels_fit_a_narrow_screen() {
    let mut tab = open_tab();
    in_each(|book, lesson| {
        let mut complaints = Vec::new();
        for (width, zoom) in [(320, ""), (360, ""), (360, "125%")] {
            load(&mut tab, book, lesson, width, "light")?;
            // All sizes of text in mdBook come from 62.5 % of the root's.
            tab.evaluate(&format!("document.documentElement.style.fontSize = '{zoom}'"))?;
            fill(&mut tab, lesson)?;
            let mut found = unsound(&mut tab)?;
            tab.evaluate("panels.cover()")?;
            found.extend(unsound(&mut tab)?);
            let text = if zoom.is_empty() { "" } else { ", text at 200 %" };
            complaints.extend(found.into_iter().map(|found| format!("{width} px{text}: {found}")));
        }
        Ok(complaints)
    });
}

/// Controls that a finger may miss, within a place.
fn small(tab: &mut Tab, book: &TempDir, lesson: &Lesson, place: &str) -> Result<Vec<String>> {
    fill_and_cover(tab, book, lesson, 360, "light")?;
    Ok(texts(&tab.evaluate(&format!("panels.small({})", json!(place)))?))
}

#[test]
fn controls_are_as_large_as_a_finger() {
    let mut tab = open_tab();
    in_each(|book, lesson| small(&mut tab, book, lesson, ".foldmark-panel, .foldmark-bar, .foldmark-door"));
}

#[test]
fn the_switch_of_units_is_as_large_as_a_finger() {
    let mut tab = open_tab();
    in_each(|book, lesson| small(&mut tab, book, lesson, ".foldmark-units"));
}

/// What is wrong on the way by Tab through all controls: with the order and how the focus shows, and with what hides it.
fn tabbed(tab: &mut Tab, book: &TempDir, lesson: &Lesson, width: u32) -> Result<(Vec<String>, Vec<String>)> {
    fill_and_cover(tab, book, lesson, width, "light")?;
    let all = texts(&tab.evaluate("panels.first()")?);
    assert!(all.len() > 40, "only {all:?}");
    let (mut wrong, mut hidden) = (Vec::new(), Vec::new());
    let mut next = 0;
    let complain = |list: &mut Vec<String>, text: String| list.push(format!("{width} px: {text}"));
    // Between them are links of the lesson.
    for _ in 0..all.len() * 2 + 50 {
        tab.more_time();
        let now = tab.evaluate("panels.focused()")?;
        if let Some(at) = now["at"].as_u64() {
            if at as usize != next {
                complain(&mut wrong, format!("Tab reaches {} instead of {}", now["name"], all[next]));
            }
            next = at as usize + 1;
            texts(&now["complaints"]).into_iter().for_each(|text| complain(&mut wrong, text));
            texts(&now["hidden"]).into_iter().for_each(|text| complain(&mut hidden, text));
        }
        if next >= all.len() {
            return Ok((wrong, hidden));
        }
        tab.press("Tab")?;
    }
    complain(&mut wrong, format!("Tab never reaches {}", all[next]));
    Ok((wrong, hidden))
}

#[test]
fn tab_reaches_every_control_in_order() {
    let mut tab = open_tab();
    in_each(|book, lesson| {
        let mut complaints = Vec::new();
        for width in WIDTHS {
            complaints.extend(tabbed(&mut tab, book, lesson, width)?.0);
        }
        Ok(complaints)
    });
}

#[test]
fn nothing_hides_what_has_the_focus() {
    let mut tab = open_tab();
    in_each(|book, lesson| {
        let mut complaints = Vec::new();
        for width in WIDTHS {
            complaints.extend(tabbed(&mut tab, book, lesson, width)?.1);
        }
        Ok(complaints)
    });
}

/// Where Enter leads from each field, with all that folds open or shut.
fn entered(tab: &mut Tab, book: &TempDir, lesson: &Lesson, is_open: bool) -> Result<Vec<String>> {
    fill_and_cover(tab, book, lesson, 360, "light")?;
    tab.evaluate(&format!("for (const one of document.querySelectorAll('details')) one.open = {is_open}"))?;
    let count = tab.evaluate("panels.fields()")?.as_u64().ok_or("no number of fields")?;
    assert!(count > 20, "only {count} fields");
    let mut complaints = Vec::new();
    for at in 0..count {
        tab.more_time();
        tab.evaluate(&format!("panels.from({at})"))?;
        tab.press("Enter")?;
        complaints.extend(texts(&tab.evaluate(&format!("panels.arrived({at})"))?));
    }
    Ok(complaints)
}

#[test]
fn enter_leads_to_the_next_field() {
    let mut tab = open_tab();
    in_each(|book, lesson| entered(&mut tab, book, lesson, true));
}

#[test]
fn enter_passes_over_what_is_folded() {
    let mut tab = open_tab();
    in_each(|book, lesson| entered(&mut tab, book, lesson, false));
}

/// A button that was pressed by a key: how often that pressed it, and where the focus was then.
struct Press {
    what: String,
    clicks: Option<u64>,
    focus: String,
}

/// Puts the focus on a button and presses it.
fn press(tab: &mut Tab, place: &str, words: &str, key: &str) -> Result<Press> {
    tab.more_time();
    tab.evaluate(&format!("panels.ready({}, {})", json!(place), json!(words)))?;
    tab.press(key)?;
    let then = tab.evaluate("panels.pressed()")?;
    let focus = then["focus"].as_str().unwrap_or_default().to_owned();
    Ok(Press { what: format!("“{words}” in {place}, by {key}"), clicks: then["clicks"].as_u64(), focus })
}

/// “Check”, with the right answer.
const RIGHT: &str = "right";

/// What is pressed one after the other; each is there when its turn comes.
const PRESSED: [(&str, &str); 27] = [
    ("units", "centimetres"),
    ("units", "inches"),
    ("answers", "Yes"),
    ("answers", "Send"),
    ("answers", "Save my answers"),
    ("answers", "Copy as text"),
    ("answers", "Print"),
    ("own", "One more object"),
    ("own", "Take out object 4"),
    ("own", "Take out object 1"),
    ("practice", "Show the worked key"),
    ("practice", "Open the sheet of this code"),
    ("practice", "Clear my answers"),
    ("practice", "Set a problem"),
    ("cover", "Check"),
    ("cover", RIGHT),
    ("cover", "Show me"),
    ("door", "Show all steps"),
    ("door", "Let me try each step before it is shown"),
    ("answers", "Clear my answers"),
    ("answers", "Close"),
    ("door", "Fill in my answers here"),
    ("practice", "Close"),
    ("door", "Set me another problem"),
    ("bar", "Back to the lesson’s kit"),
    ("door", "Work this with my own objects"),
    ("own", "Clear my objects"),
];

/// All buttons of a lesson, pressed by a key.
fn presses(tab: &mut Tab, book: &TempDir, lesson: &Lesson, key: &str) -> Result<Vec<Press>> {
    load(tab, book, lesson, 360, "light")?;
    fill(tab, lesson)?;
    let mut presses = Vec::new();
    for way in ["a tick less", "a tick more"] {
        let end = format!("panels.isAtEnd({})", json!(way));
        // To the end, and once more there.
        for _ in 0..60 {
            let was_at_end = tab.evaluate(&end)? == true;
            presses.push(press(tab, "choice", way, key)?);
            if was_at_end {
                break;
            }
        }
        assert_eq!(tab.evaluate(&end)?, true, "{way} comes to no end");
    }
    tab.evaluate("panels.cover()")?;
    for (place, words) in PRESSED {
        let is_of_a_table = place == "own" && words.contains(" object");
        if is_of_a_table && lesson.rows == 0 {
            continue;
        }
        // What covers a step goes when it is answered rightly. The first object was taken out before that.
        if words == RIGHT {
            let right = if lesson.rows == 0 { lesson.first } else { &lesson.first[1..] };
            tab.evaluate(&format!("panels.attempt({})", json!(right)))?;
        }
        let words = if words == RIGHT { "Check" } else { words };
        presses.push(press(tab, place, words, key)?);
    }
    Ok(presses)
}

#[test]
fn buttons_work_by_keys() {
    let mut tab = open_tab();
    in_each(|book, lesson| {
        let mut complaints = Vec::new();
        for key in ["Enter", "Space"] {
            let presses = presses(&mut tab, book, lesson, key)?;
            assert!(presses.len() > 25, "only {} buttons", presses.len());
            let wrong = presses.iter().filter(|press| press.clicks != Some(1));
            complaints.extend(wrong.map(|press| format!("{} was pressed {:?} times", press.what, press.clicks)));
        }
        Ok(complaints)
    });
}

#[test]
fn no_button_loses_the_focus() {
    let mut tab = open_tab();
    in_each(|book, lesson| {
        let presses = presses(&mut tab, book, lesson, "Enter")?;
        let lost = presses.iter().filter(|press| press.focus == "<body>");
        Ok(lost.map(|press| format!("{} leaves the focus nowhere", press.what)).collect())
    });
}

/// What is said while something is typed letter by letter, as slowly as one reads it off a ruler, and then when it is left.
fn typed(tab: &mut Tab, place: &str, key: &str, text: &str) -> Result<(Vec<String>, Vec<String>)> {
    tab.more_time();
    tab.evaluate(&format!("panels.go({}, {})", json!(place), json!(key)))?;
    tab.evaluate("panels.heard(400)")?;
    let mut typing = Vec::new();
    for letter in text.chars() {
        tab.type_letter(letter)?;
        typing.extend(texts(&tab.evaluate("panels.heard(400)")?));
    }
    tab.press("Tab")?;
    Ok((typing, texts(&tab.evaluate("panels.heard(700)")?)))
}

#[test]
fn a_verdict_is_said_once_when_the_field_is_left() {
    let mut tab = open_tab();
    in_each(|book, lesson| {
        let mut complaints = Vec::new();
        fill_and_cover(&mut tab, book, lesson, 360, "light")?;
        tab.evaluate("panels.listen()")?;
        let (key, wrong, _) = lesson.wrong;
        let (right_key, right, _) = lesson.answers[0];
        for (key, text, sign) in [(key, wrong, "✗"), (right_key, "99", "✗"), (right_key, right, "✓")] {
            let (typing, left) = typed(&mut tab, "answers", key, text)?;
            if !typing.is_empty() {
                complaints.push(format!("while {text} is typed for {key}, it says {typing:?}"));
            }
            if left.len() != 1 || !left[0].contains(sign) {
                complaints.push(format!("when {text} was typed for {key}, it says {left:?}"));
            }
        }
        // One's own objects have no verdict, only faults, and those are told where they are.
        let (key, text) = lesson.own[1];
        let (typing, left) = typed(&mut tab, "own", key, text)?;
        if !typing.is_empty() || !left.is_empty() {
            complaints.push(format!("while {text} is typed for {key}, it says {typing:?}, then {left:?}"));
        }
        tab.evaluate("panels.attempt(['998'])")?;
        press(&mut tab, "cover", "Check", "Enter")?;
        let heard = texts(&tab.evaluate("panels.heard(700)")?);
        if heard.len() > 1 {
            complaints.push(format!("“Check” says {heard:?}"));
        }
        Ok(complaints)
    });
}

/// A second wrong answer may get the same words as the first one.
#[test]
fn a_changed_answer_has_a_verdict_again() {
    let mut tab = open_tab();
    in_each(|book, lesson| {
        let mut complaints = Vec::new();
        load(&mut tab, book, lesson, 360, "light")?;
        fill(&mut tab, lesson)?;
        tab.evaluate("panels.listen()")?;
        let (key, wrong, other) = lesson.wrong;
        for text in [wrong, other, other] {
            let (_, left) = typed(&mut tab, "answers", key, text)?;
            let verdict = tab.evaluate(&format!("panels.verdict({})", json!(key)))?;
            let verdict = verdict.as_str().unwrap_or_default();
            if !verdict.starts_with('✗') {
                complaints.push(format!(
                    "after {text} was typed for {key}, its verdict is “{verdict}”, and it says {left:?}"
                ));
            }
        }
        Ok(complaints)
    });
}
