//! A telephone in someone's hand: they touch what they see, and type.

use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::devtools::{Result, Tab};
use crate::open_tab;

/// Has a page forget what was kept, one thing after another: what clears all at once may come late, and take what was kept since.
pub const FORGET: &str = "try { for (const key of Object.keys(localStorage)) localStorage.removeItem(key); } catch {}";

/// The least that a finger finds, in pixels.
const FINGER: f64 = 24.0;

/// What was done with it so far.
#[derive(Debug, Default, Clone)]
pub struct Done {
    pub taps: usize,
    /// Fields that text was typed into.
    pub fields: usize,
    /// Times that something had to be looked for out of sight.
    pub scrolls: usize,
    /// Taps after which nothing happened, so that they were made again.
    pub lost: Vec<String>,
    /// What was touched and is smaller than a finger finds.
    pub small: Vec<String>,
}

pub struct Phone {
    pub tab: Tab,
    pub done: Done,
}

impl Phone {
    pub fn new() -> Result<Phone> {
        let mut tab = open_tab();
        tab.be_phone()?;
        Ok(Phone { tab, done: Done::default() })
    }

    /// Opens a page as one who was never there.
    pub fn open(&mut self, url: &str) -> Result<()> {
        self.done = Done::default();
        self.tab.load(url, 360, FORGET)
    }

    /// Touches the element that an expression finds; it has to be there, and nothing may lie on it.
    pub fn tap(&mut self, find: &str) -> Result<()> {
        self.tab.more_time();
        let place = format!(
            "(async () => {{
                const frame = () => new Promise(requestAnimationFrame);
                const look = () => {{
                    const node = {find};
                    if (!node) return {{ missing: true }};
                    const box = node.getBoundingClientRect();
                    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
                    const hit = document.elementFromPoint(x, y);
                    const isHit = node === hit || node.contains(hit);
                    return {{ node, x, y, isHit, size: Math.min(box.width, box.height), by: hit?.outerHTML?.slice(0, 120) }};
                }};
                let found = look(), scrolls = 0;
                if (found.node && !found.isHit) {{
                    found.node.scrollIntoView({{ block: 'center' }});
                    await frame();
                    await frame();
                    found = look();
                    scrolls = 1;
                }}
                return {{ ...found, node: undefined, scrolls }};
            }})()"
        );
        let found = self.tab.evaluate(&place)?;
        if found["isHit"] != true {
            return Err(format!("{find} can't be touched: {found}").into());
        }
        self.done.taps += 1;
        self.done.scrolls += usize::from(found["scrolls"] == 1);
        let number = |key: &str| found[key].as_f64().unwrap_or(0.0);
        if number("size") < FINGER {
            self.done.small.push(format!("{find}: {} px", number("size")));
        }
        self.tab.tap((number("x"), number("y")))?;
        self.tab
            .evaluate("(async () => { for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame); })()")?;
        Ok(())
    }

    /// Touches it until a condition holds, and notes where once was not enough.
    pub fn tap_for(&mut self, find: &str, condition: &str) -> Result<()> {
        for _ in 0..3 {
            self.tap(find)?;
            if self.comes(condition, Duration::from_millis(700))? {
                return Ok(());
            }
            self.done.lost.push(find.to_owned());
        }
        Err(format!("three touches of {find} did not lead to {condition}").into())
    }

    /// Whether a condition comes to hold in the page.
    pub fn comes(&mut self, condition: &str, patience: Duration) -> Result<bool> {
        let end = Instant::now() + patience;
        loop {
            self.tab.more_time();
            if self.tab.evaluate(&format!("Boolean({condition})"))? == true {
                return Ok(true);
            }
            if Instant::now() > end {
                return Ok(false);
            }
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    /// Touches a field, and types into it.
    pub fn type_into(&mut self, find: &str, text: &str) -> Result<()> {
        self.tap_for(find, &format!("document.activeElement === {find}"))?;
        self.done.fields += 1;
        self.tab.insert(text)
    }

    /// The same for a measurement: a telephone's digits have no line between two numbers, so a fraction is touched in the
    /// row of them that comes with the field.
    pub fn measure_into(&mut self, find: &str, text: &str) -> Result<()> {
        let (whole, fraction) = match text.rsplit_once(' ') {
            Some((whole, fraction)) if fraction.contains('/') => (whole, fraction),
            None if text.contains('/') => ("", text),
            _ => return self.type_into(find, text),
        };
        self.type_into(find, whole)?;
        let of_pad = format!(
            "[...document.querySelectorAll('.foldmark-pad button')].find((one) => one.textContent === '{fraction}')"
        );
        self.tap_for(&of_pad, &format!("{find}.value === '{text}'"))
    }

    /// Picks one of a list. The list itself is the telephone's own and out of reach here: two touches.
    pub fn pick(&mut self, find: &str, value: &str) -> Result<()> {
        self.done.taps += 2;
        let pick = format!(
            "(() => {{ const select = {find}; select.value = {}; select.dispatchEvent(new Event('change')); return select.value; }})()",
            json!(value)
        );
        if self.tab.evaluate(&pick)? == *value { Ok(()) } else { Err(format!("{value} is not offered").into()) }
    }

    pub fn evaluate(&mut self, expression: &str) -> Result<Value> {
        self.tab.evaluate(expression)
    }
}

/// Finds the button, or what else is opened by a touch, that begins with these words, within what `within` selects.
pub fn button(within: &str, words: &str) -> String {
    format!(
        "[...document.querySelectorAll({})].findLast((one) => one.checkVisibility() && one.textContent.startsWith({}))",
        json!(format!("{within} :is(button, summary)")),
        json!(words)
    )
}

/// Finds the field of a key.
pub fn field(within: &str, key: &str) -> String {
    format!("document.querySelector({})", json!(format!("{within} [data-key=\"{key}\"]")))
}
