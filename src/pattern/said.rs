//! What has to be said on a piece.

use super::fault::PatternFault;
use super::font::Letters;
use super::named::Named;
use crate::draft::{CutPiece, Draft};
use crate::exercise::Surface;
use crate::geometry::{Edge, Finish};
use crate::length::Length;

/// All of it, in lines.
pub(super) fn said(
    draft: &Draft,
    cut: &CutPiece,
    named: &Named,
    letters: &Letters,
) -> Result<Vec<String>, PatternFault> {
    let piece = cut.piece;
    let mut lines = vec![
        piece.title.to_uppercase(),
        draft.exercise.title.clone(),
        format!("cut {} from {}{}", piece.count, piece.cloth, how(cut)),
        allowances(draft, cut),
    ];
    lines.extend(Some(&piece.note).filter(|note| !note.is_empty()).cloned());
    let objects: Vec<&str> = draft.givens.row_names.iter().flatten().map(String::as_str).collect();
    if !objects.is_empty() {
        lines.push(format!("for {}", objects.join(", ")));
    }
    lines.extend(named.line());
    lines.push("true size: measure the test squares first".to_owned());
    lines.iter().map(|line| letters.set(line)).collect()
}

/// What is said on a piece that work on paper is marked by.
pub(super) fn to_mark_by(
    draft: &Draft,
    cut: &CutPiece,
    off: Length,
    named: &Named,
    letters: &Letters,
) -> Result<Vec<String>, PatternFault> {
    let mut lines = vec![
        cut.piece.title.to_uppercase(),
        draft.exercise.title.clone(),
        format!("to mark by: a line in its grey band is off by at most {}", draft.write(off)),
        "lay it under the drawn piece, corner on corner, against a window".to_owned(),
    ];
    lines.extend(named.line());
    lines.push("true size: measure the test squares first".to_owned());
    lines.iter().map(|line| letters.set(line)).collect()
}

/// How it lies on the cloth: on the fold, which side up, and every second one turned over, as the two of a pair are.
fn how(cut: &CutPiece) -> String {
    let fold = if cut.outline.fold().is_some() { ", on the FOLD" } else { "" };
    let up = match cut.piece.shows {
        Surface::Right | Surface::Lining => ", right side up",
        Surface::Wrong => ", wrong side up",
        Surface::Padding => ", either side up",
    };
    let pair = match (cut.piece.count, cut.outline.fold()) {
        (0 | 1, _) | (_, Some(_)) => "",
        (2, None) => ", the second turned over",
        _ => ", every second one turned over",
    };
    format!("{fold}{up}{pair}")
}

/// Which allowance is on the piece; edge by edge, where they differ.
fn allowances(draft: &Draft, cut: &CutPiece) -> String {
    let told = |edge: &Edge| match edge.finish {
        Finish::Allowance(width) if width > 0.0 => Some(format!("{} allowance", draft.written(width))),
        Finish::Allowance(_) => Some("no allowance".to_owned()),
        Finish::Hem(width) => Some(format!("{} hem", draft.written(width))),
        Finish::Fold => None,
    };
    let mut kinds: Vec<(String, Vec<&str>)> = Vec::new();
    for (edge, told) in cut.outline.edges().iter().filter_map(|edge| Some((edge, told(edge)?))) {
        match kinds.iter_mut().find(|(kind, _)| *kind == told) {
            Some((_, names)) if names.contains(&edge.name.as_str()) => {}
            Some((_, names)) => names.push(&edge.name),
            None => kinds.push((told, vec![&edge.name])),
        }
    }
    match &kinds[..] {
        [(kind, _)] if kind.starts_with("no") => "no allowance, cut on the line".to_owned(),
        [(kind, _)] => format!("{kind} all round, included"),
        _ => {
            let each: Vec<String> = kinds.iter().map(|(kind, names)| format!("{kind}: {}", names.join(", "))).collect();
            format!("included: {}", each.join("; "))
        }
    }
}
