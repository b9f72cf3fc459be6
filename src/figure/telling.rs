//! What a sighted reader would see, in a few sentences.

use crate::draft::{CutPiece, Draft, LaidLayer, Mark};
use crate::exercise::{CrossSection, Pen, Piece, Recedes, Side, StepId, View};
use crate::figure::kinds::choices::Spread;
use crate::figure::layout::dimensions::Dimension;
use crate::figure::letters;
use crate::figure::style::{self, Weight};
use crate::figure::subject::marks;
use crate::figure::subject::scene::Scene;
use crate::geometry::Point;
use crate::length::Length;

/// A description is kept shorter than this, in letters. Every measure of a piece with much on it has room.
const LONGEST: usize = 600;

/// Sentences, as many as fit.
struct Telling(String);

impl Telling {
    fn say(&mut self, sentence: &str) -> bool {
        let fits = self.0.chars().count() + sentence.chars().count() < LONGEST;
        if fits {
            if !self.0.is_empty() {
                self.0.push(' ');
            }
            self.0.push_str(sentence);
        }
        fits
    }

    /// A sentence that ends in a list, as long as there is room; "…" stands for what is left out.
    fn list(&mut self, begin: &str, items: &[String]) {
        for count in (1..=items.len()).rev() {
            let rest = if count < items.len() { " …" } else { "." };
            if self.say(&format!("{begin} {}{rest}", items[..count].join(", "))) {
                return;
            }
        }
    }
}

fn side(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
        Side::Top => "top",
        Side::Bottom => "bottom",
    }
}

/// Some marks in words: those with a name first, then the others, counted.
fn looks<'m>(marks: impl Iterator<Item = &'m Mark>) -> Vec<String> {
    let mut named: Vec<String> = Vec::new();
    let mut others = [0; Pen::ALL.len()];
    for mark in marks {
        let name = marks::label(mark).map(letters::plain).filter(|name| !name.is_empty());
        let is_plain = match mark {
            Mark::Lines { lines, pen, .. } => (name.is_none() && !is_rectangle(lines)).then_some((*pen, lines.len())),
            _ => None,
        };
        if let Some((pen, count)) = is_plain {
            let at = Pen::ALL.iter().position(|(_, other)| *other == pen);
            others[at.unwrap_or(0)] += count;
        } else if let Some(what) = what(mark) {
            named.push(name.map_or(what.clone(), |name| format!("{what} ({name})")));
        }
    }
    let others = others.iter().zip(Pen::ALL).filter(|(count, _)| **count > 0);
    named.extend(others.map(|(count, (_, pen))| lines_in_words(*count, pen)));
    named
}

/// What a mark looks like: "a dash-dot line".
fn what(mark: &Mark) -> Option<String> {
    Some(match mark {
        Mark::Lines { lines, pen, .. } if is_rectangle(lines) => format!("a rectangle of {}", style::pen_words(*pen).1),
        Mark::Lines { lines, pen, .. } if !lines.is_empty() => lines_in_words(lines.len(), *pen),
        Mark::Arc { curve, pen, .. } => {
            let is_whole = curve.start().distance(curve.end()) < 1e-6;
            format!("{} in {}", if is_whole { "a circle" } else { "an arc" }, style::pen_words(*pen).0)
        }
        Mark::Objects { boxes, .. } if boxes.len() == 1 => "an outline with round corners".to_owned(),
        Mark::Objects { boxes, .. } if !boxes.is_empty() => format!("{} outlines with round corners", boxes.len()),
        Mark::Spot { .. } => "a cross".to_owned(),
        _ => return None,
    })
}

fn is_rectangle(lines: &[(Point, Point)]) -> bool {
    matches!(lines, [first, _, _, last] if first.0 == last.1)
}

fn lines_in_words(count: usize, pen: Pen) -> String {
    let (one, many) = style::pen_words(pen);
    if count == 1 { one.to_owned() } else { format!("{count} {many}") }
}

fn names(marks: &[(Mark, Weight)], of: Weight) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for (mark, _) in marks.iter().filter(|(_, weight)| *weight == of) {
        let name = marks::label(mark).map(letters::plain).unwrap_or_default();
        if !name.is_empty() && !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// A step of the draft.
pub(crate) fn step(draft: &Draft, upto: StepId, marks: &[(Mark, Weight)], dimensions: &[Dimension]) -> String {
    let mut telling = Telling(String::new());
    let Some(step) = draft.exercise.steps.get(upto) else { return "Nothing is drawn.".to_owned() };
    if marks.is_empty() {
        telling.say("Nothing is drawn yet.");
    }
    let now = || marks.iter().filter(|(_, weight)| *weight == Weight::Now).map(|(mark, _)| mark);
    let measured = |one: &Dimension| format!("{}, {}, at the {}", one.title, one.value, side(one.side));
    let measured: Vec<String> = dimensions.iter().map(measured).collect();
    telling.list("Measured:", &measured);
    telling.list("New, heavier than the rest:", &looks(now()));
    if now().next().is_none() {
        let title = letters::plain(&step.title);
        telling.say(&match step.kind.list {
            Some(_) => format!("{title}: nothing is added to the drawing."),
            None => format!("{title} is {}; nothing is added to the drawing.", draft.text_at(step.slot, 0)),
        });
    }
    let before = names(marks, Weight::Before);
    if !before.is_empty() {
        telling.list("Fainter, from earlier steps:", &before);
    }
    telling.0
}

/// The finished draft.
pub(crate) fn whole(dimensions: &[Dimension], marks: &[(Mark, Weight)]) -> String {
    let mut telling = Telling("The finished draft with all its lines.".to_owned());
    let measured: Vec<String> = dimensions.iter().map(|one| format!("{} {}", one.title, one.value)).collect();
    telling.list("Dimensions:", &measured);
    telling.list("Named:", &names(marks, Weight::Even));
    telling.0
}

/// An outline without numbers; `lettered` are its letters, each with what it stands at.
pub(crate) fn blank(lettered: &[String], marks: &[(Mark, Weight)]) -> String {
    let mut telling = Telling("An outline of the draft without numbers, not to scale.".to_owned());
    telling.list("Letters stand at:", lettered);
    telling.list("Named:", &names(marks, Weight::Even));
    telling.0
}

/// A view of the finished object, or of what lies flat and has no depth to be told.
pub(crate) fn view(view: &View, is_flat: bool, dimensions: &[Dimension], scene: &Scene) -> String {
    let mut telling = Telling(letters::plain(&view.says));
    let measured = dimensions.iter().map(|one| format!("{} {}", one.title, one.value));
    telling.list("Dimensions:", &measured.chain(scene.told.iter().cloned()).collect::<Vec<_>>());
    telling.list("Named:", &scene.named().map(str::to_owned).collect::<Vec<_>>());
    telling.say(match view.recedes {
        _ if is_flat => "Lengths to scale.",
        Recedes::Right => "The depth recedes at 45° to half its length.",
        Recedes::Up => "The depth recedes straight up to half its length.",
    });
    telling.0
}

/// A cross-section of layers.
pub(crate) fn section(
    section: &CrossSection,
    layers: &[LaidLayer],
    dimensions: &[Dimension],
    scene: &Scene,
    has_right_side: bool,
) -> String {
    let mut telling = Telling(letters::plain(&section.says));
    telling.say(if section.to_scale {
        "Lengths to scale, thickness exaggerated."
    } else {
        "Not to scale, thickness exaggerated."
    });
    let folds = |laid: &LaidLayer| match laid.stretches.len() {
        0 | 1 => letters::plain(&laid.layer.label),
        2 => format!("{}, folded", letters::plain(&laid.layer.label)),
        more => format!("{}, folded {} times", letters::plain(&laid.layer.label), more - 1),
    };
    telling.list("Layers:", &layers.iter().map(folds).collect::<Vec<_>>());
    let measured: Vec<String> = dimensions.iter().map(|one| format!("{} {}", one.title, one.value)).collect();
    telling.list("Dimensions:", &measured);
    let mut names: Vec<String> = Vec::new();
    for name in scene.named().filter(|name| !layers.iter().any(|laid| letters::plain(&laid.layer.label) == *name)) {
        if !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    telling.list("Named:", &names);
    if has_right_side {
        telling.say("Dots run along the right side of the cloth.");
    }
    telling.0
}

/// A student's draft over the expected one; `own` is what differs.
pub(crate) fn overlay(own: &[Mark], dimensions: &[Dimension]) -> String {
    let mut telling = Telling("The draft by the rules, in its usual lines.".to_owned());
    let kind = |mark: &Mark| match mark {
        Mark::Arc { curve, .. } if curve.start().distance(curve.end()) < 1e-6 => "a circle",
        Mark::Arc { .. } => "an arc",
        Mark::Spot { .. } => "a cross",
        _ => "a line",
    };
    let mut differs: Vec<String> = Vec::new();
    let named = own.iter().filter_map(marks::label).map(letters::plain).filter(|name| !name.is_empty());
    // What has no name is told only where nothing has one.
    let kinds = own.iter().map(|mark| kind(mark).to_owned());
    for name in named.clone().chain(kinds.filter(|_| named.clone().next().is_none())) {
        if !differs.contains(&name) {
            differs.push(name);
        }
    }
    if !differs.is_empty() {
        telling.list("Over it, heavy and finely hatched, yours where it differs:", &differs);
    }
    let measured: Vec<String> = dimensions.iter().map(|one| format!("{} {}", one.title, one.value)).collect();
    telling.list("Measured both ways:", &measured);
    telling.0
}

/// What a class chose, on a scale from one length to another.
pub(crate) fn spread(rows: &[Spread], least: &str, most: &str) -> String {
    let mut telling =
        Telling(format!("A strip for each of {} students, on one scale from {least} to {most}.", rows.len()));
    telling.say("A bar is what the student's own draft allows, a dot a choice within it, a cross one beyond.");
    let beyond: Vec<String> = rows
        .iter()
        .filter(|row| row.is_beyond)
        .map(|row| format!("{} {}", letters::plain(&row.name), row.text))
        .collect();
    if beyond.is_empty() {
        telling.say("All are within.");
    }
    telling.list("Beyond:", &beyond);
    telling.0
}

/// A draft beside what a mistake makes of it.
pub(crate) fn wrong(right: &str, wrong: &str, more: &str, says: &str) -> String {
    let mut telling = Telling("Two drawings at one scale.".to_owned());
    telling.say(&format!("Right: {right}."));
    telling.say(&format!("Wrong: {wrong}."));
    if !more.is_empty() {
        telling.say(more);
    }
    telling.say(&letters::plain(says));
    telling.0
}

/// A piece.
pub(crate) fn piece(draft: &Draft, piece: &Piece, cut: &CutPiece, dimensions: &[Dimension]) -> String {
    let bounds = cut.outline.cutting_bounds();
    let written = |mm: f64| draft.write(Length::from_mm(mm).unwrap_or_default()).to_string();
    let mut telling = Telling(String::new());
    let title = letters::plain(&piece.title);
    let (width, height) = (written(bounds.width()), written(bounds.height()));
    telling
        .say(&format!("{title} · cut {}: {width} wide and {height} high along the heavy cutting line.", piece.count));
    if let Some(fold) = cut.outline.fold() {
        telling.say(&format!("A bracket with arrows marks the edge on the fold ({}).", letters::plain(&fold.name)));
    }
    let note = letters::plain(&piece.note);
    if !note.is_empty() {
        telling.say(&format!("{}.", capital(&note)));
    }
    let grain = if piece.grain_up { "up" } else { "across" };
    let notches = cut.marks.iter().filter(|mark| matches!(mark, Mark::Notch { .. })).count();
    telling.say(&match notches {
        0 => format!("The grain arrow runs {grain} the piece."),
        1 => format!("The grain arrow runs {grain} the piece; there is 1 notch."),
        more => format!("The grain arrow runs {grain} the piece; there are {more} notches."),
    });
    telling.list("Inside:", &looks(cut.marks.iter()));
    let measured: Vec<String> = dimensions.iter().map(|one| format!("{} {}", one.title, one.value)).collect();
    telling.list("Dimensions:", &measured);
    capital(&telling.0)
}
