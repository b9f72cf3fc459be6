//! What was typed into a lesson's page is not lost: by a reload, by another page, by another tab, by too much of it, or where
//! nothing may be kept; and it stays text, whatever it is.

use std::thread;
use std::time::Duration;

use serde_json::{Value, json};

use crate::devtools::{Result, Tab};
use crate::phone::{button, field};
use crate::server::Server;
use crate::{built_book, open_tab};

const OWN: &str = "section[aria-label=\"My own objects\"]";
const ANSWERS: &str = "section[aria-label=\"My answers\"]";
const PRACTICE: &str = "section[aria-label=\"Practice\"]";

/// What everyone can do with a page: look for something, press it, type.
struct Reader {
    tab: Tab,
}

impl Reader {
    fn new(tab: Tab) -> Reader {
        Reader { tab }
    }

    fn open(&mut self, url: &str, before: &str) -> Result<()> {
        self.tab.load(url, 768, before)
    }

    fn tell(&mut self, expression: &str) -> Result<Value> {
        self.tab.more_time();
        self.tab.evaluate(expression)
    }

    fn text(&mut self, selector: &str) -> Result<String> {
        let text = self.tell(&format!("document.querySelector({})?.textContent ?? ''", json!(selector)))?;
        Ok(text.as_str().unwrap_or_default().to_owned())
    }

    fn wait(&mut self, condition: &str) -> Result<()> {
        let wait = format!(
            "(async () => {{ for (let i = 0; i < 400; i++) {{ if ({condition}) return true; await new Promise((done) => setTimeout(done, 25)); }}
                return false; }})()"
        );
        if self.tell(&wait)? == true {
            return Ok(());
        }
        Err(format!("it never came to be that {condition}; the page logged {:?}", self.tab.errors).into())
    }

    /// The same while one page gives way to another, in which nothing can be looked for.
    fn arrive(&mut self, condition: &str) -> Result<()> {
        for _ in 0..400 {
            thread::sleep(Duration::from_millis(25));
            if self.tell(condition).is_ok_and(|holds| holds == true) {
                return Ok(());
            }
        }
        Err(format!("it never came to be that {condition}").into())
    }

    fn press(&mut self, within: &str, words: &str) -> Result<()> {
        let find = button(within, words);
        self.tell(&format!("{find}.click()")).map_err(|_| format!("there is no “{words}” in {within}"))?;
        Ok(())
    }

    /// Opens what is behind a door of the page, unless it opens by itself since it was open before.
    fn enter(&mut self, words: &str, panel: &str) -> Result<()> {
        self.tell(&format!("{}?.click()", button("main", words)))?;
        self.wait(&format!("document.querySelector({})", json!(panel)))
    }

    fn enter_all(&mut self) -> Result<()> {
        self.enter("Work this with my own objects", OWN)?;
        self.enter("Fill in my answers here", ANSWERS)?;
        self.enter("Set me another problem", PRACTICE)
    }

    /// Types in place of what stands in the field that an expression finds, and leaves it.
    fn write(&mut self, find: &str, text: &str) -> Result<()> {
        let begin = format!(
            "(() => {{ const input = {find}; input.closest('details')?.setAttribute('open', ''); input.focus(); input.select(); return document.activeElement === input; }})()"
        );
        if self.tell(&begin)? != true {
            return Err(format!("{find} can't be typed into").into());
        }
        self.tab.insert(text)?;
        self.tell("document.activeElement.blur()")?;
        Ok(())
    }

    fn write_key(&mut self, within: &str, key: &str, text: &str) -> Result<()> {
        self.write(&field(within, key), text)
    }

    /// An object of the roll.
    fn write_object(&mut self, within: &str, row: usize, cells: [&str; 4]) -> Result<()> {
        for (column, text) in ["name", "length", "girth", "count"].into_iter().zip(cells) {
            self.write_key(within, &format!("given.objects.{row}.{column}"), text)?;
        }
        Ok(())
    }

    /// Everything that stands in the fields of a panel, by key or label.
    fn fields(&mut self, panel: &str) -> Result<Value> {
        let all = format!(
            "Object.fromEntries([...document.querySelectorAll({})].map((one) =>
                [one.dataset.key ?? one.closest('.foldmark-field').querySelector('label').firstChild.textContent, one.value]))",
            json!(format!("{panel} :is(input, select)"))
        );
        self.tell(&all)
    }

    fn value(&mut self, within: &str, key: &str) -> Result<Value> {
        self.tell(&format!("{}?.value ?? null", field(within, key)))
    }
}

const NAME: &str = "document.querySelector('section[aria-label=\"My answers\"] > .foldmark-field input')";

fn passed(result: Result<()>) {
    result.unwrap_or_else(|error| panic!("{error}"));
}

/// What was typed in all panels, and a choice that was moved, is there again after a reload and after another page.
#[test]
fn what_was_typed_is_there_again() {
    let book = built_book();
    let server = Server::new(book.path());
    let folder = |page: &str| format!("file://{}/{page}.html", book.path().display());
    let site = |page: &str| server.url(&format!("{page}.html"));
    let mut reader = Reader::new(open_tab());
    passed(come_back(&mut reader, &folder));
    passed(come_back(&mut reader, &site));
}

fn come_back(reader: &mut Reader, page: &dyn Fn(&str) -> String) -> Result<()> {
    reader.open(&page("roll"), "")?;
    reader.enter_all()?;
    reader.write_object(OWN, 1, ["awl", "7 1/2", "2", "3"])?;
    reader.press(OWN, "One more object")?;
    reader.write_object(OWN, 2, ["folding rule", "9 in", "3 1/4", "1"])?;
    reader.write_key(OWN, "given.side_ease", "1")?;
    // Not a length; it is kept all the same.
    reader.press(OWN, "One more object")?;
    reader.write_key(OWN, "given.objects.3.length", "as long as my hand")?;
    reader.press(OWN, "Take out object 3")?;
    reader.wait("document.querySelector('.foldmark-choice')")?;
    reader.tell("document.querySelector('.foldmark-choice button[aria-disabled=false]').click()")?;
    reader.write(NAME, "Woodruff")?;
    reader.write_key(ANSWERS, "slot 0", "1 1/4")?;
    reader.write_key(ANSWERS, "slot 1", "about two")?;
    reader.press(PRACTICE, "Set a problem")?;
    let last = format!("[...document.querySelectorAll('{PRACTICE} .foldmark-sheet input:not([readonly])')].at(-1)");
    reader.write(&last, "3 3/8")?;
    // What was typed is worked out in the next frame.
    let told = "new Promise((done) => setTimeout(() => done([...document.querySelectorAll('.foldmark-choice output')].map((one) => one.textContent)), 300))";
    let kept = (reader.fields(OWN)?, reader.fields(ANSWERS)?, reader.fields(PRACTICE)?, reader.tell(told)?);
    assert_eq!(kept.0["given.objects.2.name"], "folding rule");

    for way in ["a reload", "another page", "the way back"] {
        match way {
            "a reload" => reader.tab.reload()?,
            "another page" => {
                reader.open(&page("zip-pouch"), "")?;
                reader.open(&page("roll"), "")?;
            }
            _ => {
                reader.open(&page("sleeve"), "")?;
                reader.tell("setTimeout(() => history.back(), 20)")?;
                reader.arrive("location.pathname.endsWith('roll.html') && document.readyState === 'complete'")?;
            }
        }
        // What was open is open again; practice is opened by hand.
        reader.wait(&format!("document.querySelector('{OWN}') && document.querySelector('{ANSWERS}')"))?;
        if reader.tell(&format!("document.querySelector('{PRACTICE}') === null"))? == true {
            reader.enter("Set me another problem", PRACTICE)?;
        }
        let now = (reader.fields(OWN)?, reader.fields(ANSWERS)?, reader.fields(PRACTICE)?, reader.tell(told)?);
        assert_eq!(now, kept, "after {way}");
    }
    assert_eq!(reader.tab.errors, Vec::<String>::new());
    Ok(())
}

/// Two tabs with the same lesson, typed into in turn: each shows what was typed in the other, and both have everything.
#[test]
fn two_tabs_share_what_is_typed() {
    let book = built_book();
    let server = Server::new(book.path());
    let one = open_tab();
    let other = one.beside().expect("a second tab");
    let mut tabs = [Reader::new(one), Reader::new(other)];
    for url in [format!("file://{}/roll.html", book.path().display()), server.url("roll.html")] {
        passed(type_in_turn(&mut tabs, &url));
    }
}

fn type_in_turn(tabs: &mut [Reader; 2], url: &str) -> Result<()> {
    for reader in tabs.iter_mut() {
        reader.tab.come_forward()?;
        reader.open(url, "")?;
        reader.enter("Work this with my own objects", OWN)?;
        reader.enter("Fill in my answers here", ANSWERS)?;
    }
    let given = |row: usize, column: &str| format!("given.objects.{row}.{column}");
    let turns = [
        (OWN, given(1, "name"), "awl"),
        (OWN, given(1, "length"), "7 1/2"),
        (OWN, given(1, "girth"), "2"),
        (OWN, given(1, "count"), "3"),
        (OWN, "given.side_ease".to_owned(), "1"),
        (OWN, "given.grip".to_owned(), "7/8"),
        (ANSWERS, "slot 0".to_owned(), "1 1/4"),
        (ANSWERS, "slots_width 0".to_owned(), "3 3/4"),
        (ANSWERS, "finished_width 0".to_owned(), "4 3/4"),
        (ANSWERS, "fold_height 0".to_owned(), "8 1/4"),
    ];
    for (at, (panel, key, text)) in turns.iter().enumerate() {
        tabs[at % 2].tab.come_forward()?;
        tabs[at % 2].write_key(panel, key, text)?;
        let other = &mut tabs[(at + 1) % 2];
        other.tab.come_forward()?;
        other.wait(&format!("{}?.value === {}", field(panel, key), json!(text)))?;
    }
    for reader in tabs.iter_mut() {
        reader.tab.come_forward()?;
        for is_new in [false, true] {
            if is_new {
                reader.tab.reload()?;
                reader.wait(&format!("document.querySelector('{OWN}') && document.querySelector('{ANSWERS}')"))?;
            }
            for (panel, key, text) in &turns {
                assert_eq!(reader.value(panel, key)?, *text, "{key}, new: {is_new}");
            }
        }
        assert_eq!(reader.tab.errors, Vec::<String>::new());
    }
    Ok(())
}

/// The name typed in one tab is that of the other tab's sheet.
#[test]
fn two_tabs_share_the_name() {
    let book = built_book();
    let one = open_tab();
    let other = one.beside().expect("a second tab");
    let mut tabs = [Reader::new(one), Reader::new(other)];
    let mut share = || -> Result<()> {
        for reader in &mut tabs {
            reader.tab.come_forward()?;
            reader.open(&format!("file://{}/roll.html", book.path().display()), "")?;
            reader.enter("Fill in my answers here", ANSWERS)?;
        }
        tabs[0].tab.come_forward()?;
        tabs[0].write(NAME, "Woodruff")?;
        tabs[1].tab.come_forward()?;
        tabs[1].wait(&format!("{NAME}.value === 'Woodruff'"))
    };
    passed(share());
}

/// A problem of practice that is worked in two tabs in turn keeps the answers of both.
#[test]
fn two_tabs_share_a_problem() {
    let book = built_book();
    let one = open_tab();
    let other = one.beside().expect("a second tab");
    let mut tabs = [Reader::new(one), Reader::new(other)];
    let input =
        |at: usize| format!("document.querySelectorAll('{PRACTICE} .foldmark-sheet input:not([readonly])')[{at}]");
    let mut share = || -> Result<()> {
        for (at, reader) in tabs.iter_mut().enumerate() {
            reader.tab.come_forward()?;
            reader.open(&format!("file://{}/zip-pouch.html", book.path().display()), "")?;
            reader.enter("Set me another problem", PRACTICE)?;
            if at == 0 {
                reader.press(PRACTICE, "Set a problem")?;
            }
        }
        for (at, text) in ["5 1/8", "6 1/8"].into_iter().enumerate() {
            tabs[at].tab.come_forward()?;
            tabs[at].write(&input(at), text)?;
        }
        tabs[0].tab.come_forward()?;
        tabs[0].tab.reload()?;
        tabs[0].enter("Set me another problem", PRACTICE)?;
        for (at, text) in ["5 1/8", "6 1/8"].into_iter().enumerate() {
            assert_eq!(tabs[0].tell(&format!("{}.value", input(at)))?, text, "answer {at}");
        }
        Ok(())
    };
    passed(share());
}

/// As many objects as there may be are kept, and the page says that there may be no more; of 200 that were kept by
/// something else none is lost, and the page says what is wrong.
#[test]
fn too_many_rows_are_told_and_not_lost() {
    let book = built_book();
    let mut reader = Reader::new(open_tab());
    let mut many = || -> Result<()> {
        let url = format!("file://{}/roll.html", book.path().display());
        reader.open(&url, "")?;
        reader.enter("Work this with my own objects", OWN)?;
        let more = format!(
            "(() => {{ for (let i = 0; i < 200; i++) {{
                const input = document.querySelector(`{OWN} [data-key=\"given.objects.${{i + 1}}.name\"]`);
                if (!input) return i;
                input.value = `tool ${{i + 1}}`;
                input.dispatchEvent(new Event('input'));
                [...document.querySelectorAll('{OWN} button')].find((one) => one.textContent === 'One more object')?.click();
            }} return 200; }})()"
        );
        assert_eq!(reader.tell(&more)?, 24);
        let said = reader.text(OWN)?;
        assert!(said.contains("There may be 24 of them, and no more."), "{said}");
        reader.write_object(OWN, 24, ["last of all", "7", "2", "1"])?;
        let typed = reader.fields(OWN)?;
        reader.tab.reload()?;
        reader.wait(&format!("document.querySelector('{OWN}')"))?;
        assert_eq!(reader.fields(OWN)?, typed);

        let fill = "(() => { const rows = Array.from({ length: 200 }, (_, i) => ({ name: `tool ${i + 1}`, length: '7', girth: '2', count: '1' }));
            localStorage.setItem('foldmark-own-flap-roll', JSON.stringify({ ruler: '1/8 in', single: {}, table: { objects: rows }, choice: {} })); })()";
        reader.tell(fill)?;
        reader.tab.reload()?;
        reader.wait(&format!("document.querySelector('{OWN}')"))?;
        let said = format!("document.querySelector('{OWN} p[data-key=\"given.objects\"]').textContent");
        reader.wait(&format!("{said} !== ''"))?;
        let said = reader.tell(&said)?;
        assert!(said.as_str().is_some_and(|said| said.contains("24") && said.contains("200")), "{said}");
        assert_eq!(reader.value(OWN, "given.objects.200.name")?, "tool 200");
        reader.write_key(OWN, "given.objects.200.name", "the very last")?;
        reader.tab.reload()?;
        reader.wait(&format!("document.querySelector('{OWN}')"))?;
        assert_eq!(reader.value(OWN, "given.objects.200.name")?, "the very last");
        assert_eq!(reader.tab.errors, Vec::<String>::new());
        Ok(())
    };
    passed(many());
}

/// A megabyte pasted into any field leaves the page usable, and a measurement that it makes no sense as is told.
#[test]
fn a_megabyte_leaves_the_page_usable() {
    let book = built_book();
    let mut reader = Reader::new(open_tab());
    let megabyte = "9 ".repeat(1 << 19);
    let mut paste = || -> Result<()> {
        reader.open(&format!("file://{}/roll.html", book.path().display()), "")?;
        reader.enter("Work this with my own objects", OWN)?;
        reader.enter("Fill in my answers here", ANSWERS)?;
        reader.write_object(OWN, 1, ["awl", "7 1/2", "2", "3"])?;
        reader.wait("document.querySelector('main.foldmark-own')")?;
        let begun = std::time::Instant::now();
        reader.write_key(OWN, "given.objects.1.name", &megabyte)?;
        reader.write(NAME, &megabyte)?;
        reader.write_key(OWN, "given.objects.1.length", &megabyte)?;
        let said = format!(
            "{}.closest('.foldmark-field').querySelector('.foldmark-said').textContent",
            field(OWN, "given.objects.1.length")
        );
        reader.wait(&format!("{said} !== ''"))?;
        // The answers wait for a length that can be read, and come back with it.
        reader.write_key(OWN, "given.objects.1.length", "8")?;
        reader.wait(&format!("{said} === ''"))?;
        reader.write_key(ANSWERS, "slot 0", &megabyte)?;
        let said = format!(
            "{}.closest('.foldmark-field').querySelector('.foldmark-said').textContent",
            field(ANSWERS, "slot 0")
        );
        reader.wait(&format!("{said}.startsWith('? unreadable')"))?;
        reader.write_key(ANSWERS, "slot 0", "1 1/4")?;
        reader.wait(&format!("{said}.startsWith('✓ right')"))?;
        let took = begun.elapsed();
        println!("four times a megabyte, and what was typed after it: {took:?}");
        assert!(took < Duration::from_secs(20), "{took:?}");
        assert_eq!(reader.tell("document.documentElement.scrollWidth - innerWidth")?, 0);
        assert_eq!(reader.tab.errors, Vec::<String>::new());
        Ok(())
    };
    passed(paste());
}

/// What is too long for a field is said to be too long, and not cut without a word.
#[test]
fn what_is_too_long_is_told() {
    let book = built_book();
    let mut reader = Reader::new(open_tab());
    let mut paste = || -> Result<()> {
        reader.open(&format!("file://{}/roll.html", book.path().display()), "")?;
        reader.enter("Work this with my own objects", OWN)?;
        let key = "given.objects.1.name";
        reader.write_key(OWN, key, &"n".repeat(1 << 20))?;
        let said =
            format!("{}.closest('.foldmark-field').querySelector('.foldmark-said').textContent", field(OWN, key));
        reader.wait(&format!("{said} !== '' || {}.value.length === 1 << 20", field(OWN, key)))
    };
    passed(paste());
}

/// Storage that refuses everything, and a window that does not even have any.
const REFUSED: [&str; 2] = [
    "for (const name of ['getItem', 'setItem', 'removeItem', 'clear']) Storage.prototype[name] = () => { throw new DOMException('refused', 'SecurityError'); };",
    "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('refused', 'SecurityError'); } });",
];

/// Where nothing may be kept, all of it works as long as the page is open.
#[test]
fn a_page_works_where_nothing_is_kept() {
    let book = built_book();
    let mut reader = Reader::new(open_tab());
    let mut work = |before: &str| -> Result<()> {
        reader.open(&format!("file://{}/roll.html", book.path().display()), before)?;
        reader.tab.errors.clear();
        reader.enter("Work this with my own objects", OWN)?;
        reader.write_object(OWN, 1, ["awl", "7 1/2", "2", "3"])?;
        reader.wait("document.querySelector('[data-block=draft]').textContent.includes('awl')")?;
        reader.enter("Fill in my answers here", ANSWERS)?;
        reader.write(NAME, "Woodruff")?;
        reader.write_key(ANSWERS, "slot 0", "1 1/4")?;
        reader.wait(&format!("document.querySelector('{ANSWERS}').textContent.includes('✓ right.')"))?;
        reader.press(ANSWERS, "Close")?;
        reader.enter("Fill in my answers here", ANSWERS)?;
        assert_eq!(reader.value(ANSWERS, "slot 0")?, "1 1/4");
        assert_eq!(reader.tell(&format!("{NAME}.value"))?, "Woodruff");
        reader.press(ANSWERS, "Save my answers")?;
        let said = reader.text(ANSWERS)?;
        assert!(said.contains("Saved as flap-roll-woodruff.toml"), "{said}");
        reader.enter("Set me another problem", PRACTICE)?;
        reader.press(PRACTICE, "Set a problem")?;
        reader.wait(&format!("document.querySelector('{PRACTICE} .foldmark-sheet input')"))?;
        reader.press("main", "Back to the lesson’s kit")?;
        assert_eq!(reader.tab.errors, Vec::<String>::new());
        Ok(())
    };
    for before in REFUSED {
        passed(work(before));
    }
}

/// Where nothing may be kept the page says so, before someone relies on it.
#[test]
fn a_page_says_where_nothing_is_kept() {
    let book = built_book();
    let mut reader = Reader::new(open_tab());
    let mut look = |words: &str, panel: &str, before: &str| -> Result<String> {
        reader.open(&format!("file://{}/roll.html", book.path().display()), before)?;
        reader.enter(words, panel)?;
        if panel == OWN {
            reader.write_object(OWN, 1, ["awl", "7 1/2", "2", "3"])?;
        } else {
            reader.write(NAME, "Woodruff")?;
        }
        let note = format!("[...document.querySelectorAll('{panel} p > small')].at(-1).textContent");
        Ok(reader.tell(&note)?.to_string())
    };
    for before in REFUSED {
        for (words, panel) in [("Work this with my own objects", OWN), ("Fill in my answers here", ANSWERS)] {
            let said = look(words, panel, before).unwrap_or_else(|error| panic!("{error}"));
            assert!(said.contains("keeps nothing") && !said.contains("Kept on this device"), "{panel}: {said}");
        }
    }
}

/// Where the storage is full, what is typed lasts as long as the page, also if something older is kept.
#[test]
fn full_storage_loses_nothing_of_the_open_page() {
    let book = built_book();
    let mut reader = Reader::new(open_tab());
    let mut work = || -> Result<()> {
        reader.open(&format!("file://{}/zip-pouch.html", book.path().display()), "")?;
        reader.enter("Fill in my answers here", ANSWERS)?;
        let keys =
            format!("[...document.querySelectorAll('{ANSWERS} .foldmark-sheet input')].map((one) => one.dataset.key)");
        let keys: Vec<String> = serde_json::from_value(reader.tell(&keys)?)?;
        reader.write_key(ANSWERS, &keys[0], "1 1/4")?;
        reader.tell("Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); }")?;
        reader.write_key(ANSWERS, &keys[1], "2 1/4")?;
        reader.press(ANSWERS, "Close")?;
        reader.enter("Fill in my answers here", ANSWERS)?;
        assert_eq!(reader.value(ANSWERS, &keys[0])?, "1 1/4");
        assert_eq!(reader.value(ANSWERS, &keys[1])?, "2 1/4");
        Ok(())
    };
    passed(work());
}

/// What looks like markup, typed as a name, an object's name, a measurement, an answer or a code, is text wherever it comes back.
#[test]
fn markup_stays_text() {
    const BAD: &str = "<img src=x onerror=alert(1)>";
    let book = built_book();
    let mut reader = Reader::new(open_tab());
    let before = "globalThis.alerts = 0; window.alert = () => { alerts += 1; }; window.print = () => {};";
    let url = |page: &str| format!("file://{}/{page}.html", book.path().display());
    let mut type_it = || -> Result<()> {
        reader.open(&url("roll"), before)?;
        reader.enter_all()?;
        reader.write_object(OWN, 1, [BAD, "7 1/2", "2", "3"])?;
        reader.write(NAME, BAD)?;
        reader.write_key(ANSWERS, "slot 0", BAD)?;
        reader.write_key(ANSWERS, "slots_width 0", "3 3/4")?;
        reader.write_key(OWN, "given.side_ease", BAD)?;
        let said = format!(
            "{}.closest('.foldmark-field').querySelector('.foldmark-said').textContent",
            field(OWN, "given.side_ease")
        );
        reader.wait(&format!("{said}.includes('<img')"))?;
        reader.write_key(OWN, "given.side_ease", "1")?;
        reader.write(&format!("[...document.querySelectorAll('{PRACTICE} input')][0]"), BAD)?;
        reader.press(PRACTICE, "Open the sheet of this code")?;
        reader.press(PRACTICE, "Set a problem")?;
        reader.write(
            &format!("[...document.querySelectorAll('{PRACTICE} .foldmark-sheet input:not([readonly])')].at(-1)"),
            BAD,
        )?;
        reader.wait(&format!("document.querySelector('[data-block=draft]').textContent.includes({})", json!(BAD)))?;
        // Everything of the lesson is put in, whether it is in sight or not.
        reader.tell("(async () => { for (const part of document.querySelectorAll('[data-part]')) { part.scrollIntoView(); await new Promise(requestAnimationFrame); } await new Promise((done) => setTimeout(done, 500)); })()")?;
        reader.press(ANSWERS, "Print")?;
        let paper = reader.text(".foldmark-paper")?;
        assert_eq!(paper.matches(BAD).count(), 4, "name, object, label of its slot, answer: {paper}");
        assert_eq!(reader.value(ANSWERS, "slot 0")?, BAD);
        let steps = reader.text("[data-block=step]")?;
        assert!(steps.contains(BAD), "{steps}");
        let labels = reader.text(&format!("{ANSWERS} .foldmark-sheet"))?;
        assert!(labels.contains(BAD), "{labels}");
        for again in [false, true] {
            if again {
                reader.open(&url("roll"), before)?;
                reader.wait("document.querySelector('[data-block=draft]').textContent.includes('<img')")?;
            }
            assert_eq!(reader.tell("[alerts, document.querySelectorAll('img[src=x]').length]")?, json!([0, 0]));
        }
        // What is offered to another lesson.
        reader.open(&url("mixed-roll"), before)?;
        reader.enter("Work this with my own objects", OWN)?;
        let said = reader.text(OWN)?;
        assert!(said.contains(&format!("You measured {BAD} for another lesson.")), "{said}");
        reader.press(OWN, "Use them here")?;
        reader.wait(&format!(
            "[...document.querySelectorAll('{OWN} input')].some((one) => one.value === {})",
            json!(BAD)
        ))?;
        assert_eq!(reader.tell("[globalThis.alerts, document.querySelectorAll('img[src=x]').length]")?, json!([0, 0]));
        assert_eq!(reader.tab.errors, Vec::<String>::new());
        Ok(())
    };
    passed(type_it());
}

/// What was cleared in one tab does not come back from another.
#[test]
fn cleared_answers_stay_cleared() {
    let book = built_book();
    let one = open_tab();
    let other = one.beside().expect("a second tab");
    let mut tabs = [Reader::new(one), Reader::new(other)];
    let input = |at: usize| format!("document.querySelectorAll('{ANSWERS} .foldmark-sheet input')[{at}]");
    let mut clear = || -> Result<()> {
        for reader in &mut tabs {
            reader.tab.come_forward()?;
            reader.open(&format!("file://{}/zip-pouch.html", book.path().display()), "")?;
            reader.enter("Fill in my answers here", ANSWERS)?;
        }
        let [one, other] = &mut tabs;
        one.tab.come_forward()?;
        one.write(&input(0), "5")?;
        other.tab.come_forward()?;
        other.wait(&format!("{}.value === '5'", input(0)))?;
        one.tab.come_forward()?;
        one.press(ANSWERS, "Clear my answers")?;
        other.tab.come_forward()?;
        other.write(&input(1), "6")?;
        one.tab.come_forward()?;
        one.tab.reload()?;
        one.enter("Fill in my answers here", ANSWERS)?;
        assert_eq!(one.tell(&format!("[{}.value, {}.value]", input(0), input(1)))?, json!(["", "6"]));
        Ok(())
    };
    passed(clear());
}

/// An answer belongs to its object, and goes with it.
#[test]
fn an_answer_goes_with_its_object() {
    let book = built_book();
    let mut reader = Reader::new(open_tab());
    let mut take_out = || -> Result<()> {
        reader.open(&format!("file://{}/roll.html", book.path().display()), "")?;
        reader.enter("Fill in my answers here", ANSWERS)?;
        reader.write_object(ANSWERS, 1, ["awl", "8", "2", "1"])?;
        reader.press(ANSWERS, "One more object")?;
        reader.write_object(ANSWERS, 2, ["rule", "7", "3", "1"])?;
        reader.write_key(ANSWERS, "slot 0", "1 1/4")?;
        reader.write_key(ANSWERS, "slot 1", "1 3/4")?;
        reader.press(ANSWERS, "Take out object 1")?;
        reader.wait(&format!("{} === null", field(ANSWERS, "slot 1")))?;
        let label = reader.tell(&format!("{}.closest('.foldmark-field').innerText", field(ANSWERS, "slot 0")))?;
        assert!(label.as_str().is_some_and(|label| label.contains("rule") && label.contains("✓ right")), "{label}");
        assert_eq!(reader.value(ANSWERS, "slot 0")?, "1 3/4");
        Ok(())
    };
    passed(take_out());
}
