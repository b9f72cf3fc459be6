//! The part of an exercise file that draws: the marks of steps and pieces.

use super::drawing::{Across, Corner, Drawn, Pen, Side, Sign};
use super::index::StepId;
use super::model::Step;
use super::read::Reader;
use crate::formula::{Base, Formula, Kind, NoValues};
use crate::text::{Section, Text, nearest, quoted};
use std::ops::RangeInclusive;
use typed_index_collections::TiSlice;

/// An edge or an outline is divided into so many parts.
pub(crate) const PARTS: RangeInclusive<f64> = 2.0..=200.0;

/// The word for the whole outline where an edge is named.
pub(super) const OUTLINE: &str = "outline";

/// The keys that say what a mark is; those after the first few are for pieces only.
const SIGNS: [&str; 10] = ["line", "arc", "circle", "box", "dividers", "objects", "measure", "spot", "notch", "divide"];
const ON_STEPS: usize = 8;

/// Text with the white space of a multi-line TOML string folded to single spaces.
pub(super) fn label_of(text: &Text) -> String {
    text.value.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Reads a list of marks; `edges` are the names of a piece's edges, for notches.
pub(super) fn read_marks(
    reader: &Reader,
    section: &Section,
    key: &'static str,
    steps: &TiSlice<StepId, Step>,
    edges: Option<&[String]>,
) -> Vec<Drawn> {
    section
        .few(key, 400)
        .into_iter()
        .filter_map(|mark| {
            let read = MarkReader { reader, section: &mark, steps, edges };
            let sign = read.sign();
            // What could not be told for what it is has a fault of its own already.
            let is_told = SIGNS.iter().any(|sign| mark.has(sign));
            let when = if is_told { mark.text("when") } else { None };
            let when = when.map(|text| reader.formula(&mark, "when", &text, Some(Kind::TRUTH)));
            mark.finish();
            let when = match when {
                None => None,
                Some(condition) => Some(condition?),
            };
            Some(Drawn { when, sign: sign? })
        })
        .collect()
}

/// Reads the keys of a mark, or of a piece or an edge that has the same kinds of keys.
pub(super) struct MarkReader<'m, 'd, 't> {
    pub reader: &'m Reader<'d, 't>,
    pub section: &'m Section<'d, 't>,
    pub steps: &'m TiSlice<StepId, Step>,
    pub edges: Option<&'m [String]>,
}

impl MarkReader<'_, '_, '_> {
    fn sign(&self) -> Option<Sign> {
        let section = self.section;
        // The key that says what it is; the others belong to it.
        if section.has("line") || section.has("box") {
            let is_line = section.has("line");
            let ends = self.ends(if is_line { "line" } else { "box" });
            let (pen, label) = (self.pen(), self.label());
            let ((from, to), pen) = (ends?, pen?);
            return Some(if is_line {
                Sign::Line { from, to, pen, label }
            } else {
                Sign::Box { from, to, pen, label }
            });
        }
        if section.has("arc") {
            let (ends, centre, left) = (self.ends("arc"), self.corner("centre"), self.turn());
            let (pen, label) = (self.round_pen(), self.label());
            let (from, to) = ends?;
            return Some(Sign::Arc { from, to, centre: centre?, left: left?, pen: pen?, label });
        }
        if section.has("circle") {
            let (centre, radius) = (self.corner("circle"), self.length("radius"));
            let (pen, label) = (self.round_pen(), self.label());
            return Some(Sign::Circle { centre: centre?, radius: radius?, pen: pen?, label });
        }
        if section.has("dividers") {
            let (across, pen, label) = (self.across("dividers"), self.pen(), self.label());
            let (from, to) = (self.length("from"), self.length("to"));
            return Some(Sign::Dividers { across: across?, from: from?, to: to?, pen: pen?, label });
        }
        if section.has("objects") {
            let (across, label, base) = (self.across("objects"), self.label(), self.length("base"));
            let kind = across.as_ref().map(|across| across.widths.kind());
            let (widths, heights) = (self.of_kind("widths", kind), self.of_kind("heights", kind));
            return Some(Sign::Objects { across: across?, base: base?, widths: widths?, heights: heights?, label });
        }
        if section.has("measure") {
            let step = section
                .required_text("measure")
                .and_then(|text| self.reader.find_step(section, "measure", text, self.steps));
            let (from, to, side) = (self.corner("from"), self.corner("to"), self.word("side", &Side::ALL));
            return Some(Sign::Measure { step: step?, from: from?, to: to?, side: side? });
        }
        if section.has("spot") {
            let (at, label) = (self.corner("spot"), self.label());
            return Some(Sign::Spot { at: at?, label });
        }
        if section.has("notch") && self.edges.is_some() {
            let (edge, at) = (self.edge("notch"), self.length("at"));
            return Some(Sign::Notch { edge: edge?, at: at? });
        }
        if section.has("divide") && self.edges.is_some() {
            return self.divide();
        }
        let known = if self.edges.is_some() { &SIGNS[..] } else { &SIGNS[..ON_STEPS] };
        section.note("", format!("nothing says what is drawn here; start with one of {}", known.join(", ")));
        None
    }

    /// Equal parts of an edge, or of the whole outline.
    fn divide(&self) -> Option<Sign> {
        let section = self.section;
        let is_outline = section.text("divide").is_some_and(|text| text.value == OUTLINE);
        let edge = if is_outline { Some(None) } else { self.edge("divide").map(Some) };
        let into = self.of_kind("into", Some(Kind::NUMBER)).filter(|into| {
            // Where no measure decides it, it can be judged now.
            let count =
                Some(into).filter(|into| into.uses().is_empty()).and_then(|into| into.evaluate(&NoValues, None));
            let is_fit = count.is_none_or(|count| PARTS.contains(&count) && libm::floor(count) == count);
            if !is_fit {
                section.note("into", no_parts(count.unwrap_or_default()));
            }
            is_fit
        });
        let _ = section.text("from");
        let from = section.has("from").then(|| {
            if !is_outline {
                section.note(
                    "from",
                    "only a whole outline is divided from a place on it; an edge is from its first corner",
                );
            }
            self.length("from")
        });
        let from = match from {
            None => None,
            Some(from) => Some(from?),
        };
        Some(Sign::Divide { edge: edge?, into: into?, from })
    }

    /// The name of one of the piece's edges.
    fn edge(&self, key: &'static str) -> Option<String> {
        let text = self.section.required_text(key)?;
        let edges = self.edges.unwrap_or_default();
        if edges.contains(&text.value) {
            return Some(text.value);
        }
        // An edge with a fault of its own is not missed once more.
        if !edges.is_empty() {
            let hint = match nearest(&text.value, edges.iter().map(String::as_str)) {
                Some(near) => format!("did you mean {}?", quoted(near)),
                None => format!("there are: {}", edges.join(", ")),
            };
            let message = format!("there is no edge {}; {hint}", quoted(&text.value));
            self.section.document().note(text.span, &self.section.key(key), message);
        }
        None
    }

    fn pen(&self) -> Option<Pen> {
        self.word("pen", &Pen::ALL)
    }

    /// The pen of an arc or a circle: an opening is drawn straight.
    fn round_pen(&self) -> Option<Pen> {
        let pen = self.pen()?;
        if pen == Pen::Gap {
            self.section.note("pen", "an opening is drawn along a straight line");
            return None;
        }
        Some(pen)
    }

    fn label(&self) -> Option<String> {
        self.section.text("label").map(|text| label_of(&text))
    }

    /// Whether an arc turns left, as it does where nothing is said.
    pub(super) fn turn(&self) -> Option<bool> {
        if !self.section.has("turn") {
            let _ = self.section.text("turn");
            return Some(true);
        }
        self.word("turn", &[("left", true), ("right", false)])
    }

    pub(super) fn word<T: Copy>(&self, key: &'static str, known: &[(&'static str, T)]) -> Option<T> {
        let text = self.section.required_text(key)?;
        let found = known.iter().find(|(name, _)| *name == text.value).map(|(_, value)| *value);
        if found.is_none() {
            let known: Vec<_> = known.iter().map(|(name, _)| *name).collect();
            let message = format!("{} is not one of: {}", quoted(&text.value), known.join(", "));
            self.section.document().note(text.span, &self.section.key(key), message);
        }
        found
    }

    fn of_kind(&self, key: &'static str, kind: Option<Kind>) -> Option<Formula> {
        let text = self.section.required_text(key)?;
        self.reader.formula(self.section, key, &text, kind)
    }

    pub(super) fn length(&self, key: &'static str) -> Option<Formula> {
        self.of_kind(key, Some(Kind::LENGTH))
    }

    /// So many lengths under one key; a fault if there are more or fewer.
    pub(super) fn lengths(&self, key: &'static str, count: usize) -> Option<Vec<Formula>> {
        let texts = self.section.texts(key);
        if texts.len() != count {
            let what = if count == 2 {
                "a point has two lengths: across and up"
            } else {
                "four lengths are expected: across and up, twice"
            };
            self.section.note(key, what);
            return None;
        }
        let read: Vec<_> =
            texts.iter().filter_map(|text| self.reader.formula(self.section, key, text, Some(Kind::LENGTH))).collect();
        (read.len() == count).then_some(read)
    }

    pub(super) fn corner(&self, key: &'static str) -> Option<Corner> {
        let [x, y] = <[Formula; 2]>::try_from(self.lengths(key, 2)?).ok()?;
        Some(Corner { x, y })
    }

    /// Two points under one key.
    pub(super) fn ends(&self, key: &'static str) -> Option<(Corner, Corner)> {
        let [x1, y1, x2, y2] = <[Formula; 4]>::try_from(self.lengths(key, 4)?).ok()?;
        Some((Corner { x: x1, y: y1 }, Corner { x: x2, y: y2 }))
    }

    /// Widths laid side by side, with the keys that belong to them.
    pub(super) fn across(&self, key: &'static str) -> Option<Across> {
        let widths = self.of_kind(key, None).filter(|widths| {
            let fits = widths.kind().base == Base::Length && widths.kind().list.is_some();
            if !fits {
                self.section
                    .note(key, format!("a list of lengths is expected here, but this is {}", widths.kind().describe()));
            }
            fits
        });
        let start = self.length("start");
        let wanted = widths.as_ref().map(|widths| Kind { base: Base::Number, list: widths.kind().list });
        let _ = self.section.text("times");
        let times = self.section.has("times").then(|| self.of_kind("times", wanted));
        Some(Across { widths: widths?, times: times.flatten(), start: start? })
    }
}

/// Why an edge or an outline can't be divided like this.
pub(crate) fn no_parts(count: f64) -> String {
    format!("parts are counted in whole numbers from {} to {}, and this is {count}", PARTS.start(), PARTS.end())
}
