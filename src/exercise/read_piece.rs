//! The part of an exercise file that says what is cut: pieces, their edges, and the seams between them.

use super::drawing::{Corner, Side};
use super::index::{PieceId, StepId};
use super::model::Step;
use super::piece::{Drafted, Edge, Finish, Piece, Seam, Sewn, Shape, Split};
use super::read::{Reader, text_of};
use super::read_drawing::{MarkReader, OUTLINE, read_marks};
use crate::formula::{Formula, Kind};
use crate::text::{Section, Text, nearest, quoted};
use typed_index_collections::{TiSlice, TiVec};

/// A part of a part of a part: no draft needs more.
const DEEPEST_SPLIT: usize = 8;

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

/// A piece as written, before the pieces that it is split from are known.
struct Draft<'d, 't> {
    section: Section<'d, 't>,
    name: Option<Text>,
    title: String,
    cloth: String,
    count: u32,
    note: String,
    when: Option<Formula>,
    grain_up: Option<bool>,
    outline: Option<Outline>,
}

/// An outline as written.
enum Outline {
    Edges { start: Option<Box<Corner>>, edges: Vec<Edge> },
    Split(Box<Part>),
}

/// A part of another piece as written.
struct Part {
    piece: Text,
    line: Option<(Corner, Corner)>,
    keep: Option<Side>,
    edge: Text,
    finish: Option<Finish>,
}

/// Reads every piece.
pub(super) fn read_pieces<'d, 't>(
    reader: &Reader<'d, 't>,
    sections: Vec<Section<'d, 't>>,
    steps: &TiSlice<StepId, Step>,
) -> Vec<Piece> {
    let drafts: Vec<Draft> = sections.into_iter().map(|section| read_draft(reader, section, steps)).collect();
    let sources = sources(reader, &drafts);
    let edges: Vec<Vec<String>> = (0..drafts.len()).map(|index| edge_names(&drafts, &sources, index)).collect();
    let grains: Vec<Option<bool>> = (0..drafts.len()).map(|index| grain(&drafts, &sources, index)).collect();
    let mut pieces = Vec::new();
    for (index, draft) in drafts.into_iter().enumerate() {
        let names = &edges[index];
        if let Some(twice) = (1..names.len()).find(|at| names[..*at].contains(&names[*at])) {
            let message = format!("two edges are called {}; every edge needs a name of its own", quoted(&names[twice]));
            draft.section.note(if draft.section.has("split") { "split" } else { "edges" }, message);
        }
        let marks = read_marks(reader, &draft.section, "marks", steps, Some(names));
        draft.section.finish();
        let outline = draft.outline.and_then(|outline| drafted(outline, sources[index].map(PieceId)));
        let (Some(name), Some(outline), Some(grain_up)) = (draft.name, outline, grains[index]) else { continue };
        let Draft { title, cloth, count, note, when, .. } = draft;
        pieces.push(Piece { name: name.value, title, cloth, count, note, when, grain_up, outline, marks });
    }
    pieces
}

fn read_draft<'d, 't>(
    reader: &Reader<'d, 't>,
    section: Section<'d, 't>,
    steps: &TiSlice<StepId, Step>,
) -> Draft<'d, 't> {
    let name = plain_name(&section);
    let title = text_of(section.required_text("title"));
    let cloth = text_of(section.required_text("cloth"));
    let count = section.whole("count", 1..=1_000).unwrap_or(1) as u32;
    let note = text_of(section.text("note"));
    let when = section.text("when").and_then(|text| reader.formula(&section, "when", &text, Some(Kind::TRUTH)));
    let read = MarkReader { reader, section: &section, steps, edges: None };
    let is_split = section.has("split");
    // A part has the grain of its piece, if it says nothing else.
    let grain_up =
        if is_split && !section.has("grain") { None } else { read.word("grain", &[("up", true), ("across", false)]) };
    let outline = if is_split {
        if section.has("start") || section.has("edges") {
            section.note("split", "a piece is either split from another one, or has a `start` and `edges` of its own");
        }
        let _ = (section.texts("start"), section.tables("edges"));
        section.table("split").and_then(|split| read_split(reader, split, steps))
    } else {
        Some(read_edges(reader, &section, &read, steps))
    };
    Draft { name, title, cloth, count, note, when, grain_up, outline, section }
}

fn read_edges(reader: &Reader, section: &Section, read: &MarkReader, steps: &TiSlice<StepId, Step>) -> Outline {
    let start = read.corner("start").map(Box::new);
    let mut edges = Vec::new();
    let sections = section.few("edges", 100);
    let last = sections.len().saturating_sub(1);
    if last < 1 {
        section.note("edges", "an outline needs at least three edges, or two if one of them is curved");
    }
    for (index, edge) in sections.into_iter().enumerate() {
        edges.extend(read_edge(reader, &edge, steps, index == last));
        edge.finish();
    }
    let folds: Vec<&Edge> = edges.iter().filter(|edge| matches!(edge.finish, Finish::Fold)).collect();
    if let [one, other, ..] = folds[..] {
        let (one, other) = (quoted(&one.name), quoted(&other.name));
        let message = format!("{one} and {other} both lie on the fold; a piece is cut on one fold of the cloth");
        section.note("edges", message);
    }
    Outline::Edges { start, edges }
}

fn read_split(reader: &Reader, section: Section, steps: &TiSlice<StepId, Step>) -> Option<Outline> {
    let read = MarkReader { reader, section: &section, steps, edges: None };
    let (piece, edge) = (section.required_text("piece"), section.required_text("edge"));
    let line = read.ends("line");
    let keep = read.word("keep", &Side::ALL);
    let finish = read_finish(&section, &read);
    section.finish();
    Some(Outline::Split(Box::new(Part { piece: piece?, line, keep, edge: edge?, finish })))
}

fn drafted(outline: Outline, source: Option<PieceId>) -> Option<Drafted> {
    Some(match outline {
        Outline::Edges { start, edges } => Drafted::Edges { start: start?, edges },
        Outline::Split(part) => {
            let Part { line, keep, edge, finish, .. } = *part;
            let (from, to) = line?;
            let split = Split { piece: source?, from, to, keep: keep?, edge: edge.value, finish: finish? };
            Drafted::Split(Box::new(split))
        }
    })
}

/// For each piece the index of the piece that it is split from. Pieces that are split from each other in a circle, or
/// from a piece that there is not, are split from none, and that is noted.
fn sources(reader: &Reader, drafts: &[Draft]) -> Vec<Option<usize>> {
    let name = |draft: &Draft| draft.name.as_ref().map(|name| name.value.clone());
    let names: Vec<Option<String>> = drafts.iter().map(name).collect();
    let named = |draft: &Draft| match &draft.outline {
        Some(Outline::Split(part)) => Some(part.piece.clone()),
        _ => None,
    };
    let mut sources: Vec<Option<usize>> = Vec::new();
    for draft in drafts {
        let Some(text) = named(draft) else {
            sources.push(None);
            continue;
        };
        let found = names.iter().position(|known| known.as_ref() == Some(&text.value));
        if found.is_none() {
            let hint = match nearest(&text.value, names.iter().flatten().map(String::as_str)) {
                Some(near) => format!("; did you mean {}?", quoted(near)),
                None => String::new(),
            };
            let message = format!("there is no piece {}{hint}", quoted(&text.value));
            reader.document.note(text.span, &format!("{}.split.piece", draft.section.path), message);
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
            drafts[at].section.note("split", message);
            sources[at] = None;
            break;
        }
    }
    sources
}

/// The names of a piece's edges; of a part, those of its piece and the new one.
fn edge_names(drafts: &[Draft], sources: &[Option<usize>], index: usize) -> Vec<String> {
    match (&drafts[index].outline, sources[index]) {
        (Some(Outline::Edges { edges, .. }), _) => edges.iter().map(|edge| edge.name.clone()).collect(),
        (Some(Outline::Split(part)), Some(source)) => {
            let mut names = edge_names(drafts, sources, source);
            names.push(part.edge.value.clone());
            names
        }
        _ => Vec::new(),
    }
}

fn grain(drafts: &[Draft], sources: &[Option<usize>], index: usize) -> Option<bool> {
    drafts[index].grain_up.or_else(|| grain(drafts, sources, sources[index]?))
}

fn read_edge(reader: &Reader, section: &Section, steps: &TiSlice<StepId, Step>, is_last: bool) -> Option<Edge> {
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
    // Asked for even where it is not there, so that a key that is nearly right is told as one.
    let _ = section.text("corner");
    let corner = section.has("corner").then(|| read.word("corner", &[("mitred", false), ("trimmed", true)]));
    let finish = read_finish(section, &read);
    if matches!((&shape, &finish), (Some(Shape::Arc { .. } | Shape::Cubic { .. }), Some(Finish::Fold))) {
        section.note("fold", "a curved edge can't lie on the fold; cloth folds along a straight line");
    }
    if name.as_ref().is_some_and(|name| name.value == OUTLINE) {
        section.note("name", format!("{OUTLINE} is the word for all edges together; choose another name"));
    }
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

/// What lies beyond an edge.
fn read_finish(section: &Section, read: &MarkReader) -> Option<Finish> {
    let is_fold = section.truth("fold").unwrap_or(false);
    // Asked for even where it is not there, so that a key that is nearly right is told as one.
    let _ = (section.text("hem"), section.text("allowance"));
    let (has_allowance, has_hem) = (section.has("allowance"), section.has("hem"));
    if [is_fold, has_allowance, has_hem].iter().filter(|there| **there).count() != 1 {
        section.note("", "an edge has one of `allowance`, `hem` and `fold = true`");
    }
    if has_hem {
        read.length("hem").map(Finish::Hem)
    } else if has_allowance {
        read.length("allowance").map(Finish::Allowance)
    } else {
        is_fold.then_some(Finish::Fold)
    }
}

fn read_shape(section: &Section, read: &MarkReader) -> Option<Shape> {
    match (section.has("centre"), section.has("handles")) {
        (true, true) => {
            section.note("handles", "an edge has either a `centre`, for an arc, or `handles`, for a curve");
            None
        }
        (true, false) => {
            let (centre, left) = (read.corner("centre"), read.turn());
            Some(Shape::Arc { centre: Box::new(centre?), left: left? })
        }
        (false, true) => {
            let (leaving, reaching) = read.ends("handles")?;
            Some(Shape::Cubic { leaving: Box::new(leaving), reaching: Box::new(reaching) })
        }
        (false, false) => {
            if section.has("turn") {
                section.note("turn", "only an arc turns; give its `centre` too");
            }
            let _ = (section.texts("centre"), section.texts("handles"), section.text("turn"));
            Some(Shape::Straight)
        }
    }
}

/// Reads every seam: its sides name edges as `piece: edge`.
pub(super) fn read_seams<'d, 't>(
    reader: &Reader<'d, 't>,
    root: &Section<'d, 't>,
    pieces: &TiSlice<PieceId, Piece>,
) -> Vec<Seam> {
    let edges: TiVec<PieceId, Vec<&str>> = pieces.keys().map(|index| edges_of(pieces, index)).collect();
    root.few("seam", 400).into_iter().filter_map(|section| read_seam(reader, section, pieces, &edges)).collect()
}

/// The names of the edges of a piece, in the order of the file; of a part, those of its piece and the new one.
pub(super) fn edges_of(pieces: &TiSlice<PieceId, Piece>, index: PieceId) -> Vec<&str> {
    match pieces.get(index).map(|piece| &piece.outline) {
        Some(Drafted::Edges { edges, .. }) => edges.iter().map(|edge| edge.name.as_str()).collect(),
        Some(Drafted::Split(split)) if split.piece != index => {
            let mut names = edges_of(pieces, split.piece);
            names.push(&split.edge);
            names
        }
        _ => Vec::new(),
    }
}

fn read_seam(
    reader: &Reader,
    section: Section,
    pieces: &TiSlice<PieceId, Piece>,
    edges: &TiSlice<PieceId, Vec<&str>>,
) -> Option<Seam> {
    let name = section.required_text("name");
    let (one, other) = (read_side(&section, "one", pieces, edges), read_side(&section, "other", pieces, edges));
    let formula = |key, kind| section.text(key).and_then(|text| reader.formula(&section, key, &text, Some(kind)));
    let (ease, when) = (formula("ease", Kind::LENGTH), formula("when", Kind::TRUTH));
    section.finish();
    Some(Seam { name: name?.value, one: one?, other: other?, ease, when })
}

fn read_side(
    section: &Section,
    key: &'static str,
    pieces: &TiSlice<PieceId, Piece>,
    edges: &TiSlice<PieceId, Vec<&str>>,
) -> Option<Vec<Sewn>> {
    let texts = section.texts(key);
    if texts.is_empty() {
        section.note(key, "name the edges on this side, such as \"pocket: base\"");
        return None;
    }
    let find = |text: &Text| -> Result<Sewn, String> {
        let Some((piece, edge)) = text.value.split_once(':').map(|(piece, edge)| (piece.trim(), edge.trim())) else {
            return Err("write the piece's name, a colon and the edge's name".to_owned());
        };
        let Some(index) = pieces.position(|known| known.name == piece) else {
            let near = nearest(piece, pieces.iter().map(|piece| piece.name.as_str()));
            let near = near.map_or_else(String::new, |near| format!("; did you mean {}?", quoted(near)));
            return Err(format!("there is no piece {}{near}", quoted(piece)));
        };
        if edges[index].contains(&edge) {
            return Ok(Sewn { piece: index, edge: edge.to_owned() });
        }
        let hint = match nearest(edge, edges[index].iter().copied()) {
            Some(near) => format!("did you mean {}?", quoted(near)),
            None => format!("it has: {}", edges[index].join(", ")),
        };
        Err(format!("the piece {} has no edge {}; {hint}", quoted(piece), quoted(edge)))
    };
    let mut found = Vec::new();
    for text in &texts {
        match find(text) {
            Ok(sewn) => found.push(sewn),
            Err(message) => {
                let message = format!("{} is no edge of a piece: {message}", quoted(&text.value));
                section.document().note(text.span.clone(), &section.key(key), message);
            }
        }
    }
    (found.len() == texts.len()).then_some(found)
}
