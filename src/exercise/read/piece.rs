//! What is cut: pieces and their edges.

use super::mark::{OUTLINE, read_marks, turns_left};
use super::reader::{Reader, line_of, plain_name};
use crate::exercise::model::{
    CORNER_CUTS, Coordinates, Drafted, Edge, Enlarged, Finish, GRAINS, Piece, PieceId, Shape, Side, Split, Step,
    StepId, Surface,
};
use crate::formula::Formula;
use crate::text::{Section, Shown, Text, or_did_you_mean, quoted};
use typed_index_collections::TiSlice;

/// A part of a part of a part: no draft needs more.
const DEEPEST_SPLIT: usize = 8;

/// A piece as written, before the pieces that it is split from are known.
struct WrittenPiece<'d, 't> {
    section: Section<'d, 't>,
    name: Option<Text>,
    title: String,
    cloth: String,
    shows: Surface,
    count: u32,
    note: String,
    when: Option<Formula>,
    grain_up: Option<bool>,
    outline: Option<WrittenOutline>,
}

/// An outline as written.
enum WrittenOutline {
    Edges { start: Option<Box<Coordinates>>, edges: Vec<Edge> },
    Split(Box<WrittenSplit>),
}

/// A part of another piece as written.
struct WrittenSplit {
    piece: Text,
    line: Option<(Coordinates, Coordinates)>,
    keep: Option<Side>,
    edge: Text,
    finish: Option<Finish>,
}

/// Reads every piece.
pub(super) fn read_pieces(reader: &Reader, sections: Vec<Section>, steps: &TiSlice<StepId, Step>) -> Vec<Piece> {
    let written: Vec<WrittenPiece> = sections.into_iter().map(|section| read_written(reader, section)).collect();
    let sources = sources(&written);
    let edges: Vec<Vec<String>> = (0..written.len()).map(|index| edge_names(&written, &sources, index)).collect();
    let grains: Vec<Option<bool>> = (0..written.len()).map(|index| grain(&written, &sources, index)).collect();
    let mut pieces = Vec::new();
    for (index, piece) in written.into_iter().enumerate() {
        let names = &edges[index];
        if let Some(twice) = (1..names.len()).find(|at| names[..*at].contains(&names[*at])) {
            let message = format!("two edges are called {}; every edge needs a name of its own", quoted(&names[twice]));
            piece.section.note(if piece.section.has("split") { "split" } else { "edges" }, message);
        }
        let marks = read_marks(reader, &piece.section, "marks", steps, names);
        let detail = piece.section.table("detail").and_then(|section| read_detail(reader, &section)).map(Box::new);
        let outline = piece.outline.and_then(|outline| drafted(outline, sources[index].map(PieceId)));
        let (Some(name), Some(outline), Some(grain_up)) = (piece.name, outline, grains[index]) else { continue };
        let WrittenPiece { title, cloth, shows, count, note, when, .. } = piece;
        pieces.push(Piece {
            name: name.value,
            title,
            cloth,
            shows,
            count,
            note,
            when,
            grain_up,
            outline,
            marks,
            detail,
        });
    }
    pieces
}

fn read_detail(reader: &Reader, section: &Section) -> Option<Enlarged> {
    let (at, reach) = (reader.point(section, "at"), reader.length(section, "reach"));
    Some(Enlarged { at: at?, reach: reach?, says: line_of(section, "says") })
}

fn read_written<'d, 't>(reader: &Reader, section: Section<'d, 't>) -> WrittenPiece<'d, 't> {
    let name = plain_name(&section);
    let (title, cloth) = (line_of(&section, "title"), line_of(&section, "cloth"));
    let shows = section.word("shows", &Surface::ALL).unwrap_or(Surface::Right);
    let count = section.whole("count").unwrap_or(1) as u32;
    let note = line_of(&section, "note");
    let when = reader.condition(&section, "when").flatten();
    let is_split = section.has("split");
    let grain_up = section.word("grain", &GRAINS);
    // A part has the grain of its piece, if it says nothing else.
    if !is_split && !section.has("grain") {
        section.note_missing("grain");
    }
    let outline = if is_split {
        if section.has("start") || section.has("edges") {
            section.note("split", "a piece is either split from another one, or has a `start` and `edges` of its own");
        }
        section.table("split").and_then(|split| read_split(reader, &split))
    } else {
        Some(read_edges(reader, &section))
    };
    WrittenPiece { name, title, cloth, shows, count, note, when, grain_up, outline, section }
}

fn read_edges(reader: &Reader, section: &Section) -> WrittenOutline {
    let start = reader.point(section, "start").map(Box::new);
    let sections = section.tables("edges");
    let last = sections.len().saturating_sub(1);
    if last < 1 {
        section.note("edges", "an outline needs at least three edges, or two if one of them is curved");
    }
    let read = |(index, edge)| read_edge(reader, edge, index == last);
    let edges: Vec<Edge> = sections.iter().enumerate().filter_map(read).collect();
    let folds: Vec<&Edge> = edges.iter().filter(|edge| matches!(edge.finish, Finish::Fold)).collect();
    if let [one, other, ..] = folds[..] {
        let (one, other) = (quoted(&one.name), quoted(&other.name));
        let message = format!("{one} and {other} both lie on the fold; a piece is cut on one fold of the cloth");
        section.note("edges", message);
    }
    WrittenOutline::Edges { start, edges }
}

fn read_split(reader: &Reader, section: &Section) -> Option<WrittenOutline> {
    let (piece, edge) = (section.text("piece"), section.text("edge"));
    let line = reader.ends(section, "line");
    let keep = section.word("keep", &Side::ALL);
    let finish = read_finish(reader, section);
    Some(WrittenOutline::Split(Box::new(WrittenSplit { piece: piece?, line, keep, edge: edge?, finish })))
}

fn drafted(outline: WrittenOutline, source: Option<PieceId>) -> Option<Drafted> {
    Some(match outline {
        WrittenOutline::Edges { start, edges } => Drafted::Edges { start: start?, edges },
        WrittenOutline::Split(part) => {
            let WrittenSplit { line, keep, edge, finish, .. } = *part;
            let (from, to) = line?;
            let split = Split { piece: source?, from, to, keep: keep?, edge: edge.value, finish: finish? };
            Drafted::Split(Box::new(split))
        }
    })
}

/// For each piece the index of the piece that it is split from. Pieces that are split from each other in a circle, or
/// from a piece that there is not, are split from none, and that is noted.
fn sources(pieces: &[WrittenPiece]) -> Vec<Option<usize>> {
    let name = |piece: &WrittenPiece| piece.name.as_ref().map(|name| name.value.clone());
    let names: Vec<Option<String>> = pieces.iter().map(name).collect();
    let named = |piece: &WrittenPiece| match &piece.outline {
        Some(WrittenOutline::Split(part)) => Some(part.piece.clone()),
        Some(WrittenOutline::Edges { .. }) | None => None,
    };
    let mut sources: Vec<Option<usize>> = Vec::new();
    for piece in pieces {
        let Some(text) = named(piece) else {
            sources.push(None);
            continue;
        };
        let found = names.iter().position(|known| known.as_ref() == Some(&text.value));
        if found.is_none() {
            let hint = or_did_you_mean(&text.value, names.iter().flatten().map(String::as_str), Shown::Name);
            let message = format!("there is no piece {}{hint}", quoted(&text.value));
            piece.section.note_text("split.piece", &text, message);
        }
        sources.push(found);
    }
    for start in 0..sources.len() {
        let mut path = vec![start];
        while let Some(next) = sources[path[path.len() - 1]] {
            let circle = path.iter().position(|seen| *seen == next).map(|at| &path[at..]);
            if circle.is_none() && path.len() <= DEEPEST_SPLIT {
                path.push(next);
                continue;
            }
            let message = match circle {
                Some(circle) => {
                    let members = circle.iter().chain(circle.first());
                    let members: Vec<String> = members.map(|at| quoted(names[*at].as_deref().unwrap_or("?"))).collect();
                    format!("these pieces are split from each other in a circle: {}", members.join(" from "))
                }
                None => format!("this is split from a part of a part, more than {DEEPEST_SPLIT} times over"),
            };
            let at = *circle.and_then(<[usize]>::first).unwrap_or(&start);
            pieces[at].section.note("split", message);
            sources[at] = None;
            break;
        }
    }
    sources
}

/// The names of a piece's edges; of a part, those of its piece and the new one.
fn edge_names(pieces: &[WrittenPiece], sources: &[Option<usize>], index: usize) -> Vec<String> {
    match (&pieces[index].outline, sources[index]) {
        (Some(WrittenOutline::Edges { edges, .. }), _) => edges.iter().map(|edge| edge.name.clone()).collect(),
        (Some(WrittenOutline::Split(part)), Some(source)) => {
            let mut names = edge_names(pieces, sources, source);
            names.push(part.edge.value.clone());
            names
        }
        (Some(WrittenOutline::Split(_)), None) | (None, _) => Vec::new(),
    }
}

fn grain(pieces: &[WrittenPiece], sources: &[Option<usize>], index: usize) -> Option<bool> {
    pieces[index].grain_up.or_else(|| grain(pieces, sources, sources[index]?))
}

fn read_edge(reader: &Reader, section: &Section, is_last: bool) -> Option<Edge> {
    let name = section.text("name");
    let to = if is_last {
        if section.has("to") {
            section.note("to", "the last edge returns to the start by itself; leave out where it goes");
        }
        Some(None)
    } else {
        reader.point(section, "to").map(Some)
    };
    let shape = read_shape(reader, section);
    let is_trimmed = section.if_there("corner", |key| section.word(key, &CORNER_CUTS));
    let finish = read_finish(reader, section);
    if matches!((&shape, &finish), (Some(Shape::Arc { .. } | Shape::Cubic { .. }), Some(Finish::Fold))) {
        section.note("fold", "a curved edge can't lie on the fold; cloth folds along a straight line");
    }
    if name.as_ref().is_some_and(|name| name.value == OUTLINE) {
        section.note("name", format!("{OUTLINE} is the word for all edges together; choose another name"));
    }
    let is_trimmed = is_trimmed?.unwrap_or(false);
    Some(Edge { name: name?.value, to: to?, shape: shape?, is_trimmed, finish: finish? })
}

/// What lies beyond an edge.
fn read_finish(reader: &Reader, section: &Section) -> Option<Finish> {
    let is_fold = section.truth("fold").unwrap_or(false);
    let (has_allowance, has_hem) = (section.has("allowance"), section.has("hem"));
    if [is_fold, has_allowance, has_hem].iter().filter(|there| **there).count() != 1 {
        section.note("", "an edge has one of `allowance`, `hem` and `fold = true`");
    }
    if has_hem {
        reader.length(section, "hem").map(Finish::Hem)
    } else if has_allowance {
        reader.length(section, "allowance").map(Finish::Allowance)
    } else {
        is_fold.then_some(Finish::Fold)
    }
}

fn read_shape(reader: &Reader, section: &Section) -> Option<Shape> {
    let (is_arc, is_curve) = (section.has("centre"), section.has("handles"));
    if section.has("turn") && !is_arc {
        section.note("turn", "only an arc turns; give its `centre` too");
    }
    match (is_arc, is_curve) {
        (true, true) => {
            section.note("handles", "an edge has either a `centre`, for an arc, or `handles`, for a curve");
            None
        }
        (true, false) => {
            let (centre, left) = (reader.point(section, "centre"), turns_left(section));
            Some(Shape::Arc { centre: Box::new(centre?), left: left? })
        }
        (false, true) => {
            let (leaving, reaching) = reader.ends(section, "handles")?;
            Some(Shape::Cubic { leaving: Box::new(leaving), reaching: Box::new(reaching) })
        }
        (false, false) => Some(Shape::Straight),
    }
}
