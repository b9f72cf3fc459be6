//! What is known while an exercise is being read, and how its formulas, points and names are read in all its parts.

use crate::exercise::model::{Across, Coordinates, Scope, Stated, Step, StepId, within_a_sentence};
use crate::formula::{Base, Formula, Kind};
use crate::length::{Ruler, read_with_unit};
use crate::text::{Section, Shown, Text, or_did_you_mean, quoted};
use std::cell::Cell;
use typed_index_collections::TiSlice;

/// A formula has so many parts to be worked out at the most, those within a list once for each of its rows.
const MOST_WORK: u64 = 200_000;
/// And all formulas of an exercise so many: they are worked out hundreds of times while a set of problems is made.
const MOST_WORK_OF_ALL: u64 = 3_000_000;

/// What is known while an exercise is being read.
#[derive(Default)]
pub(super) struct Reader {
    /// The measures that are known so far.
    pub scope: Scope,
    /// What all formulas together take to be worked out, as far as they are read.
    work: Cell<u64>,
    /// The names of the steps, those with faults of their own among them.
    pub steps: Vec<String>,
}

impl Reader {
    /// Compiles a formula and checks its kind, noting a fault at its place.
    pub(super) fn formula(&self, section: &Section, key: &str, text: &Text, wanted: Option<Kind>) -> Option<Formula> {
        match Formula::compile(&text.value, &self.scope) {
            Ok(formula) if !self.is_workable(section, key, text, &formula) => None,
            Ok(formula) => match wanted {
                Some(wanted) if formula.kind() != wanted => {
                    let message =
                        format!("{} is expected here, but this is {}", wanted.describe(), formula.kind().describe());
                    section.note_text(key, text, message);
                    None
                }
                _ => Some(formula),
            },
            Err(fault) => {
                section.document().note_within(text, fault.start, &section.key(key), fault.message);
                None
            }
        }
    }

    /// Whether a formula can be worked out in a moment, with as many rows as its tables may have; a fault otherwise.
    fn is_workable(&self, section: &Section, key: &str, text: &Text, formula: &Formula) -> bool {
        let cost = formula.cost(&|table| self.scope.rows(table) as u64);
        let before = self.work.get();
        self.work.set(before.saturating_add(cost));
        let message = if cost > MOST_WORK {
            format!(
                "this has {cost} parts to work out, with as many rows as its table may have; work out a list within a \
                 list in a step of its own, or allow fewer rows"
            )
        } else if before <= MOST_WORK_OF_ALL && self.work.get() > MOST_WORK_OF_ALL {
            format!(
                "up to here the formulas have {} parts to work out, with as many rows as the tables may have; allow fewer rows",
                self.work.get()
            )
        } else {
            return true;
        };
        section.note_text(key, text, message);
        false
    }

    /// The formula under a key.
    pub(super) fn value(&self, section: &Section, key: &str, wanted: Option<Kind>) -> Option<Formula> {
        let text = section.filled(key, section.text(key)?)?;
        self.formula(section, key, &text, wanted)
    }

    /// The formula of a length under a key.
    pub(super) fn length(&self, section: &Section, key: &str) -> Option<Formula> {
        self.value(section, key, Some(Kind::LENGTH))
    }

    /// The condition under a key, if there is one; `None` if it has a fault.
    pub(super) fn condition(&self, section: &Section, key: &str) -> Option<Option<Formula>> {
        section.if_there(key, |key| self.value(section, key, Some(Kind::TRUTH)))
    }

    /// The formula of a length in each of these texts, which stand under a key; `None` if one has a fault.
    pub(super) fn lengths(&self, section: &Section, key: &str, texts: &[Text]) -> Option<Vec<Formula>> {
        let read = |text| self.formula(section, key, text, Some(Kind::LENGTH));
        let read: Vec<Formula> = texts.iter().filter_map(read).collect();
        (read.len() == texts.len()).then_some(read)
    }

    /// So many lengths under a key; a fault, with what is wanted, if there are more or fewer.
    pub(super) fn just<const N: usize>(
        &self,
        section: &Section,
        key: &str,
        texts: &[Text],
        wanted: &str,
    ) -> Option<[Formula; N]> {
        if texts.len() != N {
            section.note(key, wanted);
            return None;
        }
        self.lengths(section, key, texts)?.try_into().ok()
    }

    /// The point under a key.
    pub(super) fn point(&self, section: &Section, key: &str) -> Option<Coordinates> {
        let wanted = "a point has two lengths: across and up";
        let [x, y] = self.just(section, key, &section.texts(key), wanted)?;
        Some(Coordinates { x, y })
    }

    /// The two points under a key.
    pub(super) fn ends(&self, section: &Section, key: &str) -> Option<(Coordinates, Coordinates)> {
        let wanted = "four lengths are expected: across and up, twice";
        let [x1, y1, x2, y2] = self.just(section, key, &section.texts(key), wanted)?;
        Some((Coordinates { x: x1, y: y1 }, Coordinates { x: x2, y: y2 }))
    }

    /// Widths laid side by side, with the keys that belong to them.
    pub(super) fn across(&self, section: &Section, key: &str) -> Option<Across> {
        let widths = self.value(section, key, None).filter(|widths| {
            let fits = widths.kind().base == Base::Length && widths.kind().list.is_some();
            if !fits {
                let message = format!("a list of lengths is expected here, but this is {}", widths.kind().describe());
                section.note(key, message);
            }
            fits
        });
        let start = self.length(section, "start");
        let wanted = widths.as_ref().map(|widths| Kind { base: Base::Number, list: widths.kind().list });
        let times = section.if_there("times", |key| self.value(section, key, wanted));
        Some(Across { widths: widths?, times: times?, start: start? })
    }

    /// The rulers of an exercise or of one of its levels.
    pub(super) fn rulers(&self, section: &Section) -> Vec<Ruler> {
        let read = |text: Text| match Ruler::read(&text.value) {
            Ok(ruler) => Some(ruler),
            Err(error) => {
                section.note_text("rulers", &text, error.to_string());
                None
            }
        };
        section.texts("rulers").into_iter().filter_map(read).collect()
    }

    /// Which step is named, or a fault. A step whose own fault is noted already is not noted again.
    pub(super) fn find_step(
        &self,
        section: &Section,
        key: &str,
        text: Text,
        steps: &TiSlice<StepId, Step>,
    ) -> Option<StepId> {
        let found = steps.position(|step| step.name == text.value);
        // Of a step with a fault of its own that fault is told.
        if found.is_none() && !self.steps.contains(&text.value) {
            let hint = or_did_you_mean(&text.value, steps.iter().map(|step| step.name.as_str()), Shown::Key);
            let message = format!("there is no step {}{hint}", quoted(&text.value));
            section.note_text(key, &text, message);
        }
        found
    }
}

/// A length that is written out, and the system it is written in.
pub(super) fn stated(section: &Section, key: &str, text: &Text) -> Option<Stated> {
    match read_with_unit(&text.value, None) {
        Ok((length, unit)) => Some(Stated { length, is_metric: unit.is_metric() }),
        Err(error) => {
            section.note_text(key, text, error.to_string());
            None
        }
    }
}

/// The variant that a section has; a fault, if none of its keys says which.
pub(super) fn told(section: &Section, done: &str) -> Option<&'static str> {
    let told = section.variant();
    if told.is_none() {
        let known: Vec<&str> = section.variants().collect();
        section.note("", format!("nothing says what is {done} here; start with one of {}", known.join(", ")));
    }
    told
}

/// The name of a piece or a slip, which may become part of a file's name: letters, digits, `-` and `_`.
pub(super) fn plain_name(section: &Section) -> Option<Text> {
    let name = section.text("name")?;
    let is_plain =
        name.value.len() <= 60 && name.value.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
    if is_plain {
        return Some(name);
    }
    let message = format!("{} can't be a name here; use letters, digits, - and _", quoted(&name.value));
    section.note_text("name", &name, message);
    None
}

/// How a title reads within a sentence or a formula.
pub(super) fn short(section: &Section, title: &str) -> String {
    label_of(section, "short").unwrap_or_else(|| within_a_sentence(title))
}

/// The text under a key on one line; empty if it is not there.
pub(super) fn line_of(section: &Section, key: &str) -> String {
    label_of(section, key).unwrap_or_default()
}

/// The text under a key, with the white space of a multi-line TOML string folded to single spaces.
pub(super) fn label_of(section: &Section, key: &str) -> Option<String> {
    section.text(key).map(|text| text.value.split_whitespace().collect::<Vec<_>>().join(" "))
}
