//! The part of an exercise file that draws: marks and pieces.

use super::drawing::{Across, Corner, Drawn, Edge, Finish, Pen, Piece, Seam, Shape, Side};
use super::fault::quoted;
use super::model::Step;
use super::read::{Reader, text_of};
use super::toml_text::{Section, Text};
use crate::formula::{Base, Formula, Kind};

/// Text with the white space of a multi-line TOML string folded to single spaces.
pub(super) fn label_of(text: &Text) -> String {
    text.value.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Reads a list of marks; `edges` are the names of a piece's edges, for notches.
pub(super) fn read_marks(
    reader: &Reader,
    section: &Section,
    key: &'static str,
    steps: &[Step],
    edges: Option<&[String]>,
) -> Vec<Drawn> {
    section
        .tables(key)
        .into_iter()
        .filter_map(|mark| {
            let read = MarkReader { reader, section: &mark, steps, edges }.mark();
            mark.finish();
            read
        })
        .collect()
}

struct MarkReader<'m, 'd, 't> {
    reader: &'m Reader<'d, 't>,
    section: &'m Section<'d, 't>,
    steps: &'m [Step],
    edges: Option<&'m [String]>,
}

impl MarkReader<'_, '_, '_> {
    fn mark(&self) -> Option<Drawn> {
        let section = self.section;
        // The key that says what it is; the others belong to it.
        if section.has("line") || section.has("box") {
            let is_line = section.has("line");
            let ends = self.lengths(if is_line { "line" } else { "box" }, 4);
            let (pen, label) = (self.pen(), self.label());
            let [x1, y1, x2, y2] = <[Formula; 4]>::try_from(ends?).ok()?;
            let (from, to, pen) = (Corner { x: x1, y: y1 }, Corner { x: x2, y: y2 }, pen?);
            return Some(if is_line {
                Drawn::Line { from, to, pen, label }
            } else {
                Drawn::Box { from, to, pen, label }
            });
        }
        if section.has("dividers") {
            let (across, pen, label) = (self.across("dividers"), self.pen(), self.label());
            let (from, to) = (self.length("from"), self.length("to"));
            return Some(Drawn::Dividers { across: across?, from: from?, to: to?, pen: pen?, label });
        }
        if section.has("objects") {
            let (across, label, base) = (self.across("objects"), self.label(), self.length("base"));
            let kind = across.as_ref().map(|across| across.widths.kind());
            let (widths, heights) = (self.of_kind("widths", kind), self.of_kind("heights", kind));
            return Some(Drawn::Objects { across: across?, base: base?, widths: widths?, heights: heights?, label });
        }
        if section.has("measure") {
            let step = section
                .required_text("measure")
                .and_then(|text| self.reader.find_step(section, "measure", text, self.steps));
            let (from, to, side) = (self.corner("from"), self.corner("to"), self.word("side", &Side::ALL));
            return Some(Drawn::Measure { step: step?, from: from?, to: to?, side: side? });
        }
        if section.has("spot") {
            let (at, label) = (self.corner("spot"), self.label());
            return Some(Drawn::Spot { at: at?, label });
        }
        if section.has("notch") && self.edges.is_some() {
            let edge = section.required_text("notch").and_then(|text| {
                let edges = self.edges.unwrap_or_default();
                let found = edges.iter().position(|edge| *edge == text.value);
                if found.is_none() {
                    let message = format!("there is no edge {}; there are: {}", quoted(&text.value), edges.join(", "));
                    section.document().note(text.span, &section.key("notch"), message);
                }
                found
            });
            let at = self.length("at");
            return Some(Drawn::Notch { edge: edge?, at: at? });
        }
        let notch = if self.edges.is_some() { ", notch" } else { "" };
        section.note(
            "",
            format!(
                "nothing says what is drawn here; start with one of line, box, dividers, objects, measure, spot{notch}"
            ),
        );
        None
    }

    fn pen(&self) -> Option<Pen> {
        self.word("pen", &Pen::ALL)
    }

    fn label(&self) -> Option<String> {
        self.section.text("label").map(|text| label_of(&text))
    }

    fn word<T: Copy>(&self, key: &'static str, known: &[(&'static str, T)]) -> Option<T> {
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

    fn length(&self, key: &'static str) -> Option<Formula> {
        self.of_kind(key, Some(Kind::LENGTH))
    }

    /// So many lengths under one key; a fault if there are more or fewer.
    fn lengths(&self, key: &'static str, count: usize) -> Option<Vec<Formula>> {
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

    fn corner(&self, key: &'static str) -> Option<Corner> {
        let [x, y] = <[Formula; 2]>::try_from(self.lengths(key, 2)?).ok()?;
        Some(Corner { x, y })
    }

    fn across(&self, key: &'static str) -> Option<Across> {
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
        let times = self.section.has("times").then(|| self.of_kind("times", wanted));
        Some(Across { widths: widths?, times: times.flatten(), start: start? })
    }
}

/// The name of a piece or a slip, which may become part of a file's name: letters, digits, `-` and `_`.
pub(super) fn plain_name(section: &Section) -> Option<Text> {
    let name = section.required_text("name")?;
    let is_plain =
        name.value.len() <= 60 && name.value.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
    if is_plain {
        return Some(name);
    }
    let message = format!("{} can't be a name here; use letters, digits, - and _", quoted(&name.value));
    section.document().note(name.span, &section.key("name"), message);
    None
}

/// Reads a piece.
pub(super) fn read_piece(reader: &Reader, section: Section, steps: &[Step]) -> Option<Piece> {
    let name = plain_name(&section);
    let title = text_of(section.required_text("title"));
    let cloth = text_of(section.required_text("cloth"));
    let count = section.whole("count", 1..=1_000).unwrap_or(1) as u32;
    let note = text_of(section.text("note"));
    let when = section.text("when").and_then(|text| reader.formula(&section, "when", &text, Some(Kind::TRUTH)));
    let grain = MarkReader { reader, section: &section, steps, edges: None };
    let grain_up = grain.word("grain", &[("up", true), ("across", false)]);
    let start = grain.corner("start");
    let mut edges = Vec::new();
    let sections = section.tables("edges");
    let last = sections.len().saturating_sub(1);
    if last < 1 {
        section.note("edges", "an outline needs at least three edges, or two if one of them is curved");
    }
    for (index, edge) in sections.into_iter().enumerate() {
        edges.extend(read_edge(reader, &edge, steps, index == last));
        edge.finish();
    }
    let names: Vec<String> = edges.iter().map(|edge| edge.name.clone()).collect();
    if let Some(twice) = (1..names.len()).find(|at| names[..*at].contains(&names[*at])) {
        section.note(
            "edges",
            format!("two edges are called {}; every edge needs a name of its own", quoted(&names[twice])),
        );
    }
    let marks = read_marks(reader, &section, "marks", steps, Some(&names));
    section.finish();
    Some(Piece { name: name?.value, title, cloth, count, note, when, grain_up: grain_up?, start: start?, edges, marks })
}

fn read_edge(reader: &Reader, section: &Section, steps: &[Step], is_last: bool) -> Option<Edge> {
    let read = MarkReader { reader, section, steps, edges: None };
    let name = section.required_text("name");
    let to = if is_last {
        if section.has("to") {
            section.note("to", "the last edge returns to the start by itself; leave out where it goes");
        }
        let _ = section.texts("to");
        None
    } else {
        Some(read.corner("to"))
    };
    let shape = read_shape(section, &read);
    let corner = section.has("corner").then(|| read.word("corner", &[("mitred", false), ("trimmed", true)]));
    let is_fold = section.truth("fold").unwrap_or(false);
    let (has_allowance, has_hem) = (section.has("allowance"), section.has("hem"));
    if [is_fold, has_allowance, has_hem].iter().filter(|there| **there).count() != 1 {
        section.note("", "an edge has one of `allowance`, `hem` and `fold = true`");
    }
    let finish = if has_hem {
        read.length("hem").map(Finish::Hem)
    } else if has_allowance {
        read.length("allowance").map(Finish::Allowance)
    } else {
        // Asked for, so that a key that is nearly right is told as one.
        let _ = (section.text("hem"), section.text("allowance"));
        is_fold.then_some(Finish::Fold)
    };
    let to = match to {
        None => None,
        Some(corner) => Some(corner?),
    };
    let is_trimmed = match corner {
        None => false,
        Some(corner) => corner?,
    };
    Some(Edge { name: name?.value, to, shape: shape?, is_trimmed, finish: finish? })
}

fn read_shape(section: &Section, read: &MarkReader) -> Option<Shape> {
    let turn = section.has("turn").then(|| read.word("turn", &[("left", true), ("right", false)]));
    match (section.has("centre"), section.has("handles")) {
        (true, true) => {
            section.note("handles", "an edge has either a `centre`, for an arc, or `handles`, for a curve");
            None
        }
        (true, false) => {
            let centre = read.corner("centre");
            let left = turn.map_or(Some(true), |turn| turn);
            Some(Shape::Arc { centre: Box::new(centre?), left: left? })
        }
        (false, true) => {
            let [x1, y1, x2, y2] = <[Formula; 4]>::try_from(read.lengths("handles", 4)?).ok()?;
            Some(Shape::Cubic {
                leaving: Box::new(Corner { x: x1, y: y1 }),
                reaching: Box::new(Corner { x: x2, y: y2 }),
            })
        }
        (false, false) => {
            if turn.is_some() {
                section.note("turn", "only an arc turns; give its `centre` too");
            }
            let _ = (section.texts("centre"), section.texts("handles"), section.text("turn"));
            Some(Shape::Straight)
        }
    }
}

/// Reads a seam: its sides name edges as `piece: edge`.
pub(super) fn read_seam(reader: &Reader, section: Section, pieces: &[Piece]) -> Option<Seam> {
    let name = section.required_text("name");
    let (one, other) = (read_side(&section, "one", pieces), read_side(&section, "other", pieces));
    let formula = |key, kind| section.text(key).and_then(|text| reader.formula(&section, key, &text, Some(kind)));
    let (ease, when) = (formula("ease", Kind::LENGTH), formula("when", Kind::TRUTH));
    section.finish();
    Some(Seam { name: name?.value, one: one?, other: other?, ease, when })
}

fn read_side(section: &Section, key: &'static str, pieces: &[Piece]) -> Option<Vec<(usize, usize)>> {
    let texts = section.texts(key);
    if texts.is_empty() {
        section.note(key, "name the edges on this side, such as \"pocket: base\"");
        return None;
    }
    let find = |text: &Text| {
        let (piece_name, edge_name) = text.value.split_once(':').map(|(piece, edge)| (piece.trim(), edge.trim()))?;
        let piece = pieces.iter().position(|piece| piece.name == piece_name)?;
        let edge = pieces[piece].edges.iter().position(|edge| edge.name == edge_name)?;
        Some((piece, edge))
    };
    let found: Vec<_> = texts
        .iter()
        .filter_map(|text| {
            let found = find(text);
            if found.is_none() {
                let message = format!(
                    "{} is no edge of a piece; write the piece's name, a colon and the edge's name",
                    quoted(&text.value)
                );
                section.document().note(text.span.clone(), &section.key(key), message);
            }
            found
        })
        .collect();
    (found.len() == texts.len()).then_some(found)
}
