//! What is drawn: the marks of steps and pieces.

use super::reader::{Reader, label_of, told};
use crate::exercise::model::{Drawn, Pen, Side, Sign, Step, StepId, TURNS};
use crate::formula::{Kind, NoValues};
use crate::text::{Section, Shown, did_you_mean, quoted};
use std::ops::RangeInclusive;
use typed_index_collections::TiSlice;

/// An edge or an outline is divided into so many parts.
pub(crate) const PARTS: RangeInclusive<f64> = 2.0..=200.0;

/// The word for the whole outline where an edge is named.
pub(super) const OUTLINE: &str = "outline";

/// Reads a list of marks; `edges` are the names of a piece's edges, for notches.
pub(super) fn read_marks(
    reader: &Reader,
    section: &Section,
    key: &str,
    steps: &TiSlice<StepId, Step>,
    edges: &[String],
) -> Vec<Drawn> {
    let read = |mark: Section| {
        let variant = told(&mark, "drawn")?;
        let sign = read_sign(reader, &mark, variant, steps, edges);
        let when = reader.condition(&mark, "when");
        Some(Drawn { when: when?, sign: sign? })
    };
    section.tables(key).into_iter().filter_map(read).collect()
}

fn read_sign(
    reader: &Reader,
    section: &Section,
    variant: &str,
    steps: &TiSlice<StepId, Step>,
    edges: &[String],
) -> Option<Sign> {
    let length = |key| reader.length(section, key);
    let point = |key| reader.point(section, key);
    let pen = || section.word("pen", &Pen::ALL);
    let label = label_of(section, "label");
    match variant {
        "line" => {
            let (ends, pen) = (reader.ends(section, "line"), pen());
            let (from, to) = ends?;
            Some(Sign::Line { from, to, pen: pen?, label })
        }
        "box" => {
            let (ends, pen) = (reader.ends(section, "box"), pen());
            let (from, to) = ends?;
            Some(Sign::Box { from, to, pen: pen?, label })
        }
        "arc" => {
            let (ends, centre, left) = (reader.ends(section, "arc"), point("centre"), turns_left(section));
            let pen = round_pen(section);
            let (from, to) = ends?;
            Some(Sign::Arc { from, to, centre: centre?, left: left?, pen: pen?, label })
        }
        "circle" => {
            let (centre, radius, pen) = (point("circle"), length("radius"), round_pen(section));
            Some(Sign::Circle { centre: centre?, radius: radius?, pen: pen?, label })
        }
        "dividers" => {
            let (across, pen) = (reader.across(section, "dividers"), pen());
            let (from, to) = (length("from"), length("to"));
            Some(Sign::Dividers { across: across?, from: from?, to: to?, pen: pen?, label })
        }
        "objects" => {
            let (across, base) = (reader.across(section, "objects"), length("base"));
            let kind = across.as_ref().map(|across| across.widths.kind());
            let [widths, heights] = ["widths", "heights"].map(|key| reader.value(section, key, kind));
            Some(Sign::Objects { across: across?, base: base?, widths: widths?, heights: heights?, label })
        }
        "measure" => {
            let step = section.text("measure").and_then(|text| reader.find_step(section, "measure", text, steps));
            let (from, to, side) = (point("from"), point("to"), section.word("side", &Side::ALL));
            Some(Sign::Measure { step: step?, from: from?, to: to?, side: side? })
        }
        "spot" => Some(Sign::Spot { at: point("spot")?, label }),
        "notch" => {
            let (edge, at) = (read_edge_name(section, "notch", edges), length("at"));
            Some(Sign::Notch { edge: edge?, at: at? })
        }
        "divide" => read_divide(reader, section, edges),
        undone => unreachable!("the mark {undone} is declared, but not read"),
    }
}

/// Equal parts of an edge, or of the whole outline.
fn read_divide(reader: &Reader, section: &Section, edges: &[String]) -> Option<Sign> {
    let is_outline = section.text("divide").is_some_and(|text| text.value == OUTLINE);
    let edge = if is_outline { Some(None) } else { read_edge_name(section, "divide", edges).map(Some) };
    let into = reader.value(section, "into", Some(Kind::NUMBER)).filter(|into| {
        // Where no measure decides it, it can be judged now.
        let count = if into.uses().is_empty() { into.evaluate(&NoValues, None) } else { None };
        let is_fit = count.is_none_or(|count| PARTS.contains(&count) && libm::floor(count) == count);
        if !is_fit {
            section.note("into", no_parts(count.unwrap_or_default()));
        }
        is_fit
    });
    let from = section.if_there("from", |key| {
        if !is_outline {
            section.note(key, "only a whole outline is divided from a place on it; an edge is from its first corner");
        }
        reader.length(section, key)
    });
    Some(Sign::Divide { edge: edge?, into: into?, from: from? })
}

/// The name of one of the piece's edges.
fn read_edge_name(section: &Section, key: &str, edges: &[String]) -> Option<String> {
    let text = section.text(key)?;
    if edges.contains(&text.value) {
        return Some(text.value);
    }
    // An edge with a fault of its own is not missed once more.
    if !edges.is_empty() {
        let hint = did_you_mean(&text.value, edges.iter().map(String::as_str), Shown::Name);
        let hint = hint.unwrap_or_else(|| format!("there are: {}", edges.join(", ")));
        section.note_text(key, &text, format!("there is no edge {}; {hint}", quoted(&text.value)));
    }
    None
}

/// The pen of an arc or a circle: an opening is drawn straight.
fn round_pen(section: &Section) -> Option<Pen> {
    let pen = section.word("pen", &Pen::ALL)?;
    if pen == Pen::Gap {
        section.note("pen", "an opening is drawn along a straight line");
        return None;
    }
    Some(pen)
}

/// Whether an arc turns left, as it does where nothing is said.
pub(super) fn turns_left(section: &Section) -> Option<bool> {
    Some(section.if_there("turn", |key| section.word(key, &TURNS))?.unwrap_or(true))
}

/// Why an edge or an outline can't be divided like this.
pub(crate) fn no_parts(count: f64) -> String {
    format!("parts are counted in whole numbers from {} to {}, and this is {count}", PARTS.start(), PARTS.end())
}
