//! Which edges are sewn together.

use super::reader::Reader;
use crate::exercise::model::{Piece, PieceId, Seam, Sewn, edges_of};
use crate::text::{Section, Shown, Text, did_you_mean, or_did_you_mean, quoted};
use typed_index_collections::{TiSlice, TiVec};

/// Reads every seam: its sides name edges as `piece: edge`.
pub(super) fn read_seams(reader: &Reader, root: &Section, pieces: &TiSlice<PieceId, Piece>) -> Vec<Seam> {
    let edges: TiVec<PieceId, Vec<&str>> = pieces.keys().map(|index| edges_of(pieces, index)).collect();
    root.tables("seam").iter().filter_map(|section| read_seam(reader, section, pieces, &edges)).collect()
}

fn read_seam(
    reader: &Reader,
    section: &Section,
    pieces: &TiSlice<PieceId, Piece>,
    edges: &TiSlice<PieceId, Vec<&str>>,
) -> Option<Seam> {
    let name = section.text("name");
    let [one, other] = ["one", "other"].map(|key| read_side(section, key, pieces, edges));
    let ease = section.if_there("ease", |key| reader.length(section, key));
    let when = reader.condition(section, "when");
    Some(Seam { name: name?.value, one: one?, other: other?, ease: ease?, when: when? })
}

fn read_side(
    section: &Section,
    key: &str,
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
            let hint = or_did_you_mean(piece, pieces.iter().map(|piece| piece.name.as_str()), Shown::Name);
            return Err(format!("there is no piece {}{hint}", quoted(piece)));
        };
        if edges[index].contains(&edge) {
            return Ok(Sewn { piece: index, edge: edge.to_owned() });
        }
        let hint = did_you_mean(edge, edges[index].iter().copied(), Shown::Name);
        let hint = hint.unwrap_or_else(|| format!("it has: {}", edges[index].join(", ")));
        Err(format!("the piece {} has no edge {}; {hint}", quoted(piece), quoted(edge)))
    };
    let mut found = Vec::new();
    for text in &texts {
        match find(text) {
            Ok(sewn) => found.push(sewn),
            Err(message) => {
                section.note_text(key, text, format!("{} is no edge of a piece: {message}", quoted(&text.value)));
            }
        }
    }
    (found.len() == texts.len()).then_some(found)
}
