//! Every page as axe-core judges it, with all of its rules but the experimental ones: what it can find of what keeps people
//! from reading a page. `.ci/tools` installs it.

use std::fs;

use serde_json::{Value, json};

use crate::devtools::{Result, Tab};
use crate::every_page::{Allowed, EveryPage, Kind, tool};
use crate::{THEMES, open_tab};

/// What mdBook makes itself, on pages of the book: the rule, what it is found in, and what it is.
const MDBOOK: [Allowed; 8] = [
    Allowed {
        rule: "aria-allowed-attr",
        about: "#mdbook-sidebar-toggle",
        reason: "the button for the contents is a label that says whether they are shown",
    },
    Allowed {
        rule: "aria-prohibited-attr",
        about: "#mdbook-sidebar-toggle",
        reason: "the same label has a name of its own",
    },
    Allowed { rule: "region", about: "#mdbook-menu-bar *", reason: "the bar above a page is no landmark" },
    Allowed { rule: "color-contrast", about: ".menu-title", reason: "the book's title there is faint in one theme" },
    Allowed { rule: "color-contrast", about: ".sidebar *", reason: "the contents show where one is, in two themes" },
    Allowed { rule: "color-contrast", about: "code.hljs *", reason: "three themes colour words in code" },
    Allowed { rule: "link-in-text-block", about: "main a", reason: "links are not underlined, in three themes" },
    Allowed {
        rule: "scrollable-region-focusable",
        about: "pre > code",
        reason: "a long line of code scrolls; a browser of today gets there by keyboard",
    },
];

/// Runs in the page, after axe's own script: what is wrong, each with the place of what it is allowed by. A place is `null` for
/// what is not allowed.
const LOOK: &str = "(async (allowed) => {
    const found = await axe.run(document, { resultTypes: ['violations'] });
    return found.violations.flatMap((rule) => rule.nodes.map((node) => {
        const element = document.querySelector(node.target[0]);
        const by = allowed.findIndex(([id, about]) => id === rule.id && element?.matches(about));
        const why = node.failureSummary.replace(/\\s+/g, ' ').slice(0, 200);
        return [by < 0 ? null : by, `${rule.id}: ${node.target.join(' ')}: ${why}`];
    }));
})";

pub struct Axe {
    script: String,
    pub tab: Tab,
    /// How often each was met that is allowed.
    met: [usize; MDBOOK.len()],
}

impl Axe {
    pub fn new() -> Axe {
        let script = fs::read_to_string(tool("FOLDMARK_AXE", "axe-core", "axe.min.js")).expect("a script");
        Axe { script, tab: open_tab(), met: [0; MDBOOK.len()] }
    }

    /// What is wrong with a page in one of its looks.
    fn check(&mut self, url: &str, kind: Kind, look: &str) -> Result<Vec<String>> {
        self.tab.prefer(if look == "dark" { "dark" } else { "light" })?;
        let before = format!("window.print = () => {{}}; localStorage.setItem('mdbook-theme', '{look}');");
        self.tab.load(url, 1280, &before)?;
        // Brings the page to rest, with everything open.
        self.tab.evaluate(
            "(async () => {
                for (const details of document.querySelectorAll('details')) details.open = true;
                await document.fonts.ready;
                for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame);
                for (const moving of document.getAnimations()) {
                    try { moving.finish(); } catch { /* It has no end. */ }
                }
            })()",
        )?;
        self.look(kind)
    }

    /// What is wrong with the page as it stands.
    pub fn look(&mut self, kind: Kind) -> Result<Vec<String>> {
        self.tab.evaluate(&self.script)?;
        let allowed: Vec<Value> = match kind {
            Kind::Book => MDBOOK.iter().map(|allowed| json!([allowed.rule, allowed.about])).collect(),
            Kind::Marking | Kind::Practice => Vec::new(),
        };
        let found = self.tab.evaluate(&format!("{LOOK}({})", Value::from(allowed)))?;
        let mut complaints = Vec::new();
        for entry in found.as_array().ok_or("no list of what was found")? {
            match entry[0].as_u64() {
                Some(by) => self.met[by as usize] += 1,
                None => complaints.push(entry[1].as_str().unwrap_or_default().to_owned()),
            }
        }
        Ok(complaints)
    }
}

/// Every page once, and one of each kind in all of its looks: mdBook's themes, and day and night.
#[test]
fn axe_finds_nothing_of_ours() {
    let every = EveryPage::write();
    let mut axe = Axe::new();
    let mut complaints = Vec::new();
    // toc.html is the table of contents for a frame, and 404.html is found from the root of a site only.
    let is_left_out = |page: &str| ["book/toc.html", "book/404.html"].contains(&page);
    for (kind, page) in every.pages.iter().filter(|(_, page)| !is_left_out(page)) {
        let looks = match page.as_str() {
            "book/roll.html" => &THEMES[..],
            // The last of marking's pages are those of classes.
            "marking/00.html" | "marking/39.html" => &["light", "dark"],
            _ => &["light"],
        };
        for look in looks {
            let found = axe.check(&format!("file://{}/{page}", every.folder().display()), *kind, look);
            let found = found.unwrap_or_else(|error| vec![format!("can't be checked: {error}")]);
            complaints.extend(found.iter().map(|text| format!("{page} ({look}): {text}")));
        }
    }
    assert!(complaints.is_empty(), "{} complaints:\n{}", complaints.len(), complaints.join("\n"));
    for (allowed, met) in MDBOOK.iter().zip(axe.met) {
        let Allowed { rule, about, reason } = allowed;
        assert!(met > 0, "{rule} is allowed in `{about}` ({reason}), and found nowhere: take it off the list");
        println!("mdBook's own: {rule} in `{about}`, {met} times: {reason}");
    }
}

/// The checker itself: it finds each fault of a faulty page, and allows nothing outside of the book.
#[test]
fn axe_finds_faults() {
    let folder = tempfile::tempdir().expect("a temporary directory");
    let page = folder.path().join("faults.html");
    fs::write(&page, FAULTS).expect("the page is written");
    let mut axe = Axe::new();
    let mut look = |kind| axe.check(&format!("file://{}", page.display()), kind, "light");
    let [book, practice] =
        [Kind::Book, Kind::Practice].map(|kind| look(kind).unwrap_or_else(|error| panic!("{error}")));
    let rules = |found: &[String]| -> Vec<String> {
        found.iter().map(|text| text.split_once(':').map_or("", |(rule, _)| rule).to_owned()).collect()
    };
    for found in [book, practice] {
        assert_eq!(rules(&found), ["color-contrast", "color-contrast", "html-has-lang", "image-alt"]);
    }
}

const FAULTS: &str = r##"<!DOCTYPE html><html><head><meta charset="utf-8"><title>Faults</title></head><body><main>
<h1>Faults</h1><p style="color: #aaa; background: #fff">faint</p><p><img src="data:,"></p>
<a href="#" style="color: #aaa; background: #fff">a link</a>
</main></body></html>"##;
