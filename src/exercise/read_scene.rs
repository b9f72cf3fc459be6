//! The part of an exercise file that shows the finished work: cross-sections and views.

use super::drawing::{Pen, Side};
use super::read::{Reader, text_of};
use super::read_drawing::{MarkReader, label_of};
use super::read_piece::plain_name;
use super::scene::{CrossSection, Form, Layer, LayerMark, LayerSign, Place, Recedes, Solid, View};
use crate::formula::{Formula, Kind};
use crate::text::{Section, Text};
use std::ops::RangeInclusive;
use typed_index_collections::TiSlice;

/// More layers on each other than any needle goes through.
const LEVELS: RangeInclusive<i64> = 0..=40;
/// A layer folds so often at the most.
const STRETCHES: usize = 20;
/// A face, or a line, has so many points at the most.
const POINTS: usize = 60;

const LAYER_SIGNS: [&str; 4] = ["stitch", "fold", "spot", "measure"];
const FORMS: [&str; 7] = ["face", "box", "ring", "line", "dividers", "curve", "measure"];

/// Reads a cross-section.
pub(super) fn read_section(reader: &Reader, section: Section) -> Option<CrossSection> {
    let name = plain_name(&section);
    let title = text_of(section.required_text("title"));
    let says = text_of(section.required_text("says"));
    let to_scale = section.truth("to_scale").unwrap_or(true);
    let beside = [("left", Side::Left), ("right", Side::Right)];
    let broken = optional_word(reader, &section, "broken", &beside);
    let layers = section.few("layers", 40);
    if layers.is_empty() {
        section
            .note("layers", "a section needs at least one layer: { label = \"outer\", run = [\"0 in\", \"height\"] }");
    }
    let layers = layers.into_iter().filter_map(|layer| read_layer(reader, layer)).collect();
    let marks = section.few("marks", 100).into_iter().filter_map(|mark| read_layer_mark(reader, mark)).collect();
    section.finish();
    Some(CrossSection { name: name?.value, title, says, to_scale, broken: broken?, layers, marks })
}

fn read_layer(reader: &Reader, section: Section) -> Option<Layer> {
    let when = condition(reader, &section);
    let label = text_of(section.required_text("label"));
    let texts = section.texts("run");
    if !(2..=STRETCHES + 1).contains(&texts.len()) {
        let message = format!(
            "a layer begins at a length, folds back at each one on the way, and ends: 2 to {} lengths",
            STRETCHES + 1
        );
        section.note("run", message);
    }
    let run = lengths(reader, &section, "run", texts);
    let levels: Vec<u32> = section.wholes("levels", LEVELS).into_iter().map(|level| level as u32).collect();
    if section.has("levels") && run.as_ref().is_some_and(|run| levels.len() + 1 != run.len()) {
        section.note("levels", "there is one level for each stretch of the run, and one length more than stretches");
    }
    let up = optional_word(reader, &section, "right_side", &[("up", true), ("down", false)]);
    section.finish();
    Some(Layer { when: when?, label, run: run?, levels, right_side_up: up? })
}

fn read_layer_mark(reader: &Reader, section: Section) -> Option<LayerMark> {
    let read = MarkReader { reader, section: &section, steps: TiSlice::from_ref(&[]), edges: None };
    let label = || section.text("label").map(|text| label_of(&text));
    let sign = (|| {
        for (key, pen) in [("stitch", Pen::Stitch), ("fold", Pen::Fold)] {
            if section.has(key) {
                let (at, label) = (read.length(key), label());
                let levels = section.wholes("levels", LEVELS);
                let levels = match levels[..] {
                    [low, high] if low <= high => Some((low as u32, high as u32)),
                    [] if !section.has("levels") => None,
                    _ => {
                        section
                            .note("levels", "two levels are expected here, the lowest and the highest it goes through");
                        return None;
                    }
                };
                return Some(LayerSign::Through { at: at?, pen, levels, label });
            }
        }
        if section.has("spot") {
            let (at, label) = (read.length("spot"), label());
            let level = section.whole("level", LEVELS);
            if !section.has("level") {
                section.note("", "`level` is missing: the layer that it lies on, the lowest is 0");
            }
            return Some(LayerSign::Spot { at: at?, level: level? as u32, label });
        }
        if section.has("measure") {
            let told = measure(reader, &section);
            let (from, to) = (read.length("from"), read.length("to"));
            let side = read.word("side", &[("top", Side::Top), ("bottom", Side::Bottom)]);
            let (value, title) = told?;
            let [value, from, to] = [value, from?, to?].map(Box::new);
            return Some(LayerSign::Measure { value, title, from, to, side: side? });
        }
        section.note("", format!("nothing says what is marked here; start with one of {}", LAYER_SIGNS.join(", ")));
        None
    })();
    // What could not be told for what it is has a fault of its own already.
    let is_told = LAYER_SIGNS.iter().any(|sign| section.has(sign));
    let when = if is_told { condition(reader, &section) } else { None };
    section.finish();
    Some(LayerMark { when: when?, sign: sign? })
}

/// Reads a view.
pub(super) fn read_view(reader: &Reader, section: Section) -> Option<View> {
    let name = plain_name(&section);
    let title = text_of(section.required_text("title"));
    let says = text_of(section.required_text("says"));
    let recedes = optional_word(reader, &section, "recedes", &Recedes::ALL);
    let draw = section.few("draw", 200);
    if draw.is_empty() {
        section.note("draw", "nothing is drawn; a view needs at least one of: face, box, ring, line, dividers, curve");
    }
    let draw = draw.into_iter().filter_map(|solid| read_solid(reader, solid)).collect();
    section.finish();
    Some(View { name: name?.value, title, says, recedes: recedes?.unwrap_or(Recedes::Right), draw })
}

fn read_solid(reader: &Reader, section: Section) -> Option<Solid> {
    let read = MarkReader { reader, section: &section, steps: TiSlice::from_ref(&[]), edges: None };
    let is_told = FORMS.iter().any(|form| section.has(form));
    let form = read_form(reader, &section, &read);
    let (mut pen, mut label) = (Some(None), None);
    if is_told && !section.has("measure") {
        pen = optional_word(reader, &section, "pen", &Pen::ALL);
        label = section.text("label").map(|text| label_of(&text));
        if pen == Some(Some(Pen::Gap)) {
            section.note("pen", "an opening is drawn on a draft, not in a view");
        }
    }
    let when = if is_told { condition(reader, &section) } else { None };
    section.finish();
    Some(Solid { when: when?, form: form?, pen: pen?.unwrap_or(Pen::Edge), label })
}

fn read_form(reader: &Reader, section: &Section, read: &MarkReader) -> Option<Form> {
    let places = |key, count: RangeInclusive<usize>| {
        let lists = section.text_lists(key);
        if !count.contains(&lists.len()) {
            let most = if count.start() == count.end() { String::new() } else { format!(" to {}", count.end()) };
            section.note(key, format!("{}{most} points are expected here, each with three lengths", count.start()));
            return None;
        }
        let read: Vec<Place> = lists.into_iter().filter_map(|texts| place(reader, section, key, texts)).collect();
        count.contains(&read.len()).then_some(read)
    };
    if section.has("face") {
        let corners = places("face", 3..=POINTS);
        let rounds = rounds(reader, section, corners.as_ref().map(Vec::len));
        return Some(Form::Face { corners: corners?, rounds: rounds? });
    }
    if section.has("box") {
        let (corners, open) = (places("box", 2..=2), section.truth("open").unwrap_or(false));
        let [from, to] = <[Place; 2]>::try_from(corners?).ok()?;
        return Some(Form::Box { from: Box::new(from), to: Box::new(to), open });
    }
    if section.has("ring") {
        let (centre, radius) = (place(reader, section, "ring", section.texts("ring")), read.length("radius"));
        let _ = section.text("height");
        let height = section.has("height").then(|| read.length("height"));
        let height = match height {
            None => None,
            Some(height) => Some(height?),
        };
        return Some(Form::Ring { centre: Box::new(centre?), radius: radius?, height });
    }
    if section.has("line") {
        let points = places("line", 2..=POINTS);
        let rounds = rounds(reader, section, points.as_ref().map(|points| points.len() - 2));
        return Some(Form::Line { points: points?, rounds: rounds? });
    }
    if section.has("dividers") {
        let (across, from, to) = (read.across("dividers"), read.length("from"), read.length("to"));
        return Some(Form::Dividers { across: Box::new(across?), from: from?, to: to? });
    }
    if section.has("curve") {
        return places("curve", 4..=4).map(Form::Curve);
    }
    if section.has("measure") {
        let told = measure(reader, section);
        let from = place(reader, section, "from", section.texts("from"));
        let to = place(reader, section, "to", section.texts("to"));
        let side = read.word("side", &Side::ALL);
        let (value, title) = told?;
        return Some(Form::Measure { value, title, from: Box::new(from?), to: Box::new(to?), side: side? });
    }
    section.note("", format!("nothing says what is drawn here; start with one of {}", FORMS.join(", ")));
    None
}

/// The radius of each of so many corners; none at all, if the key is not there.
fn rounds(reader: &Reader, section: &Section, corners: Option<usize>) -> Option<Vec<Formula>> {
    let texts = section.texts("rounds");
    if let Some(corners) = corners.filter(|corners| section.has("rounds") && *corners != texts.len()) {
        let found = texts.len();
        let message = match corners {
            0 => "a line from point to point has corners only between its ends, and here is none to be rounded"
                .to_owned(),
            _ => format!(
                "there is one radius for each corner, \"0 in\" for a sharp one: {corners} are expected here, and these are {found}"
            ),
        };
        section.note("rounds", message);
        return None;
    }
    lengths(reader, section, "rounds", texts)
}

/// What a dimension tells, and what it is called: a given or a step by its title, or anything with a label.
fn measure(reader: &Reader, section: &Section) -> Option<(Formula, String)> {
    let text = section.required_text("measure");
    let label = section.text("label").map(|text| label_of(&text));
    let text = text?;
    let value = reader.formula(section, "measure", &text, Some(Kind::LENGTH))?;
    let title = label.or_else(|| reader.scope.slot(text.value.trim()).map(|slot| reader.scope.title(slot).to_owned()));
    if title.is_none() {
        section.note("", "`label` is missing: what this is called, since it is neither a given nor a step");
    }
    Some((value, title?))
}

fn place(reader: &Reader, section: &Section, key: &'static str, texts: Vec<Text>) -> Option<Place> {
    if texts.len() != 3 {
        section.note(key, "a point of a view has three lengths: across, up, and deep, away from the eye");
        return None;
    }
    let [across, up, deep] = <[Formula; 3]>::try_from(lengths(reader, section, key, texts)?).ok()?;
    Some(Place { across, up, deep })
}

fn lengths(reader: &Reader, section: &Section, key: &'static str, texts: Vec<Text>) -> Option<Vec<Formula>> {
    let count = texts.len();
    let read: Vec<Formula> =
        texts.iter().filter_map(|text| reader.formula(section, key, text, Some(Kind::LENGTH))).collect();
    (read.len() == count).then_some(read)
}

/// The condition, if there is one; `None` if it has a fault.
fn condition(reader: &Reader, section: &Section) -> Option<Option<Formula>> {
    match section.text("when") {
        None => Some(None),
        Some(text) => reader.formula(section, "when", &text, Some(Kind::TRUTH)).map(Some),
    }
}

/// One of some words, if the key is there; `None` if it is none of them.
fn optional_word<T: Copy>(
    reader: &Reader,
    section: &Section,
    key: &'static str,
    known: &[(&'static str, T)],
) -> Option<Option<T>> {
    if !section.has(key) {
        let _ = section.text(key);
        return Some(None);
    }
    MarkReader { reader, section, steps: TiSlice::from_ref(&[]), edges: None }.word(key, known).map(Some)
}
