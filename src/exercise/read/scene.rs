//! What shows the finished work: cross-sections and views.

use super::reader::{Reader, label_of, line_of, plain_name, told};
use crate::exercise::language::{POINTS, STRETCHES};
use crate::exercise::model::{
    ABOVE_OR_BELOW, CrossSection, Form, LEFT_OR_RIGHT, Layer, LayerMark, LayerSign, Pen, RIGHT_SIDES, Recedes, Side,
    Solid, SpatialCoordinates, Surface, View,
};
use crate::formula::{Formula, Kind};
use crate::text::{Section, Text};
use std::ops::RangeInclusive;

/// Reads a cross-section.
pub(super) fn read_section(reader: &Reader, section: &Section) -> Option<CrossSection> {
    let name = plain_name(section);
    let (title, says) = (line_of(section, "title"), line_of(section, "says"));
    let to_scale = section.truth("to_scale").unwrap_or(true);
    let broken = section.if_there("broken", |key| section.word(key, &LEFT_OR_RIGHT));
    let layers = section.tables("layers");
    if layers.is_empty() {
        section
            .note("layers", "a section needs at least one layer: { label = \"outer\", run = [\"0 in\", \"height\"] }");
    }
    let layers = layers.iter().filter_map(|layer| read_layer(reader, layer)).collect();
    let marks = section.tables("marks").iter().filter_map(|mark| read_layer_mark(reader, mark)).collect();
    Some(CrossSection { name: name?.value, title, says, to_scale, broken: broken?, layers, marks })
}

fn read_layer(reader: &Reader, section: &Section) -> Option<Layer> {
    let when = reader.condition(section, "when");
    let label = line_of(section, "label");
    let texts = section.texts("run");
    if !(2..=STRETCHES + 1).contains(&texts.len()) {
        let message = format!(
            "a layer begins at a length, folds back at each one on the way, and ends: 2 to {} lengths",
            STRETCHES + 1
        );
        section.note("run", message);
    }
    let run = reader.lengths(section, "run", &texts);
    let levels: Vec<u32> = section.wholes("levels").into_iter().map(|level| level as u32).collect();
    if section.has("levels") && run.as_ref().is_some_and(|run| levels.len() + 1 != run.len()) {
        section.note("levels", "there is one level for each stretch of the run, and one length more than stretches");
    }
    let up = section.if_there("right_side", |key| section.word(key, &RIGHT_SIDES));
    Some(Layer { when: when?, label, run: run?, levels, right_side_up: up? })
}

fn read_layer_mark(reader: &Reader, section: &Section) -> Option<LayerMark> {
    let variant = told(section, "marked")?;
    let sign = read_layer_sign(reader, section, variant);
    let when = reader.condition(section, "when");
    Some(LayerMark { when: when?, sign: sign? })
}

fn read_layer_sign(reader: &Reader, section: &Section, variant: &str) -> Option<LayerSign> {
    let length = |key| reader.length(section, key);
    let label = label_of(section, "label");
    match variant {
        "stitch" | "fold" => {
            let pen = if variant == "fold" { Pen::Fold } else { Pen::Stitch };
            let (at, levels) = (length(variant), section.if_there("levels", |key| two_levels(section, key)));
            Some(LayerSign::Through { at: at?, pen, levels: levels?, label })
        }
        "spot" => {
            let (at, level) = (length("spot"), section.whole("level"));
            if !section.has("level") {
                section.note("", "`level` is missing: the layer that it lies on, the lowest is 0");
            }
            Some(LayerSign::Spot { at: at?, level: level? as u32, label })
        }
        "measure" => {
            let told = read_measure(reader, section, label);
            let (from, to) = (length("from"), length("to"));
            let side = section.word("side", &ABOVE_OR_BELOW);
            let (value, title) = told?;
            let [value, from, to] = [value, from?, to?].map(Box::new);
            Some(LayerSign::Measure { value, title, from, to, side: side? })
        }
        undone => unreachable!("the mark {undone} is declared, but not read"),
    }
}

/// The lowest and the highest level that something goes through.
fn two_levels(section: &Section, key: &str) -> Option<(u32, u32)> {
    match section.wholes(key)[..] {
        [low, high] if low <= high => Some((low as u32, high as u32)),
        _ => {
            section.note(key, "two levels are expected here, the lowest and the highest it goes through");
            None
        }
    }
}

/// Reads a view.
pub(super) fn read_view(reader: &Reader, section: &Section) -> Option<View> {
    let name = plain_name(section);
    let (title, says) = (line_of(section, "title"), line_of(section, "says"));
    let recedes = section.if_there("recedes", |key| section.word(key, &Recedes::ALL));
    let draw = section.tables("draw");
    if draw.is_empty() {
        section.note("draw", "nothing is drawn; a view needs at least one of: face, box, ring, line, dividers, curve");
    }
    let draw = draw.iter().filter_map(|solid| read_solid(reader, solid)).collect();
    Some(View { name: name?.value, title, says, recedes: recedes?.unwrap_or(Recedes::Right), draw })
}

fn read_solid(reader: &Reader, section: &Section) -> Option<Solid> {
    let variant = told(section, "drawn")?;
    let label = label_of(section, "label");
    let form = read_form(reader, section, variant, label.clone());
    // A dimension has no pen, and its label is its own.
    let label = label.filter(|_| variant != "measure");
    let pen = section.if_there("pen", |key| section.word(key, &Pen::ALL));
    if pen == Some(Some(Pen::Gap)) {
        section.note("pen", "an opening is drawn on a draft, not in a view");
    }
    let pen = pen?.unwrap_or(Pen::Edge);
    let shows = section.if_there("shows", |key| section.word(key, &Surface::ALL));
    let shows = shows?.or((pen == Pen::Edge && matches!(variant, "face" | "box" | "ring")).then_some(Surface::Right));
    let when = reader.condition(section, "when");
    Some(Solid { when: when?, form: form?, shows, pen, label })
}

fn read_form(reader: &Reader, section: &Section, variant: &str, label: Option<String>) -> Option<Form> {
    let length = |key| reader.length(section, key);
    let place = |key| read_place(reader, section, key, &section.texts(key));
    match variant {
        "face" => {
            let corners = read_places(reader, section, "face", 3..=POINTS);
            let rounds = read_rounds(reader, section, corners.as_ref().map(Vec::len));
            Some(Form::Face { corners: corners?, rounds: rounds? })
        }
        "box" => {
            let corners = read_places(reader, section, "box", 2..=2);
            let open = section.truth("open").unwrap_or(false);
            let [from, to] = <[SpatialCoordinates; 2]>::try_from(corners?).ok()?;
            Some(Form::Box { from: Box::new(from), to: Box::new(to), open })
        }
        "ring" => {
            let (centre, radius) = (place("ring"), length("radius"));
            let height = section.if_there("height", |key| reader.length(section, key));
            Some(Form::Ring { centre: Box::new(centre?), radius: radius?, height: height? })
        }
        "line" => {
            let points = read_places(reader, section, "line", 2..=POINTS);
            let rounds = read_rounds(reader, section, points.as_ref().map(|points| points.len() - 2));
            Some(Form::Line { points: points?, rounds: rounds? })
        }
        "dividers" => {
            let across = reader.across(section, "dividers");
            let (from, to) = (length("from"), length("to"));
            Some(Form::Dividers { across: Box::new(across?), from: from?, to: to? })
        }
        "curve" => read_places(reader, section, "curve", 4..=4).map(Form::Curve),
        "measure" => {
            let told = read_measure(reader, section, label);
            let (from, to) = (place("from"), place("to"));
            let side = section.word("side", &Side::ALL);
            let (value, title) = told?;
            Some(Form::Measure { value, title, from: Box::new(from?), to: Box::new(to?), side: side? })
        }
        undone => unreachable!("the form {undone} is declared, but not read"),
    }
}

/// So many points under a key.
fn read_places(
    reader: &Reader,
    section: &Section,
    key: &str,
    count: RangeInclusive<usize>,
) -> Option<Vec<SpatialCoordinates>> {
    let lists = section.text_lists(key);
    if !count.contains(&lists.len()) {
        let most = if count.start() == count.end() { String::new() } else { format!(" to {}", count.end()) };
        section.note(key, format!("{}{most} points are expected here, each with three lengths", count.start()));
        return None;
    }
    let read: Vec<SpatialCoordinates> =
        lists.iter().filter_map(|texts| read_place(reader, section, key, texts)).collect();
    count.contains(&read.len()).then_some(read)
}

fn read_place(reader: &Reader, section: &Section, key: &str, texts: &[Text]) -> Option<SpatialCoordinates> {
    let wanted = "a point of a view has three lengths: across, up, and deep, away from the eye";
    let [across, up, deep] = reader.just(section, key, texts, wanted)?;
    Some(SpatialCoordinates { across, up, deep })
}

/// The radius of each of so many corners; none at all, if the key is not there.
fn read_rounds(reader: &Reader, section: &Section, corners: Option<usize>) -> Option<Vec<Formula>> {
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
    reader.lengths(section, "rounds", &texts)
}

/// What a dimension tells, and what it is called: a given or a step by its title, or anything with a label.
fn read_measure(reader: &Reader, section: &Section, label: Option<String>) -> Option<(Formula, String)> {
    let text = section.text("measure")?;
    let value = reader.formula(section, "measure", &text, Some(Kind::LENGTH))?;
    let title = label.or_else(|| reader.scope.slot(text.value.trim()).map(|slot| reader.scope.title(slot).to_owned()));
    if title.is_none() {
        section.note("", "`label` is missing: what this is called, since it is neither a given nor a step");
    }
    Some((value, title?))
}
