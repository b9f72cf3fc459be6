//! What a block says of a draft.

use super::block::About;
use super::compose;
use super::content::{Content, Span, plain};
use super::drafted::{BlockFault, step_index, step_indices};
use crate::draft::Draft;
use crate::exercise::{Piece, View};
use crate::figure;
use crate::text::{Place, Shown, Text, or_did_you_mean, quoted};

/// What is said of one draft.
pub(super) type Said = Result<Vec<Content>, Vec<BlockFault>>;

/// What a block says of a draft.
pub(super) fn say(about: &About, draft: &Draft, body: &str) -> Said {
    let one = |wrong: BlockFault| vec![wrong];
    let exercise = draft.exercise;
    match about {
        About::Step { step } => Ok(compose::step(draft, step_index(exercise, step, body).map_err(one)?)),
        About::Figure { step, piece, is_opened, caption } => {
            let figure = match (step, piece) {
                (Some(step), _) => figure::step(draft, step_index(exercise, step, body).map_err(one)?),
                (None, Some(name)) => {
                    let piece = piece_of(draft, name, body).map_err(one)?;
                    let fault = |message: String| one((at(body, name), format!("{}: {message}", piece.title)));
                    if *is_opened {
                        let figure = figure::opened(draft, piece).map_err(|error| fault(error.to_string()))?;
                        figure.ok_or_else(|| {
                            fault("none of its edges is on the fold, so there is nothing to open out".to_owned())
                        })?
                    } else {
                        figure::piece(draft, piece).map_err(|error| fault(error.to_string()))?
                    }
                }
                (None, None) => figure::whole(draft),
            };
            Ok(vec![Content::Figure { figure, caption: caption_of(caption) }])
        }
        About::Section { section: name, caption } => {
            let found = exercise.sections.iter().find(|section| section.name == name.value);
            let found = found.ok_or_else(|| {
                let names = exercise.sections.iter().map(|section| section.name.as_str());
                one((at(body, name), format!("there is no section {}{}", quoted(&name.value), there_are(names))))
            })?;
            let figure = figure::section(draft, found);
            let figure = figure.map_err(|fault| one((at(body, name), format!("{}: {fault}", found.title))))?;
            Ok(vec![Content::Figure { figure, caption: caption_of(caption) }])
        }
        About::View { view: name, caption } => {
            let place = name.as_ref().and_then(|name| at(body, name));
            let is_meant = |view: &&View| name.as_ref().is_none_or(|name| view.name == name.value);
            let found = exercise.views.iter().find(is_meant).ok_or_else(|| {
                let called = name.as_ref().map_or_else(String::new, |name| format!(" {}", quoted(&name.value)));
                let names = exercise.views.iter().map(|view| view.name.as_str());
                one((place, format!("there is no view{called}{}", there_are(names))))
            })?;
            let figure = figure::view(draft, found);
            let figure = figure.map_err(|fault| one((place, format!("{}: {fault}", found.title))))?;
            Ok(vec![Content::Figure { figure, caption: caption_of(caption) }])
        }
        About::Wrong { slip: name, piece, caption } => {
            let slip = exercise.slips.iter().find(|slip| slip.name == name.value).ok_or_else(|| {
                let known = exercise.slips.iter().map(|slip| slip.name.as_str());
                let hint = or_did_you_mean(&name.value, known, Shown::Key);
                one((at(body, name), format!("there is no slip {}{hint}", quoted(&name.value))))
            })?;
            let piece = piece.as_ref().map(|piece| piece_of(draft, piece, body)).transpose().map_err(one)?;
            let figure = figure::slip(draft, slip, piece).map_err(|fault| one((at(body, name), fault.to_string())))?;
            // What the exercise says of the mistake does for a caption.
            let caption = if caption.is_empty() { &slip.says } else { caption };
            Ok(vec![Content::Figure { figure, caption: caption_of(caption) }])
        }
        About::Steps { only } => Ok(compose::steps(draft, &step_indices(exercise, only, body)?)),
        About::Slips { steps } => Ok(compose::slips(draft, &step_indices(exercise, steps, body)?)),
        About::Cutting => compose::cutting(draft).map_err(|fault| one((None, fault.to_string()))),
        About::Cautions => Ok(compose::cautions(exercise)),
        About::Homework => Ok(compose::homework(exercise, draft.givens.ruler)),
    }
}

/// A piece that the draft has.
fn piece_of<'e>(draft: &Draft<'e>, name: &Text, body: &str) -> Result<&'e Piece, BlockFault> {
    let there = || draft.pieces().map(|piece| piece.name.as_str()).collect::<Vec<_>>().join(", ");
    let message = match draft.exercise.piece(&name.value) {
        Some(piece) if draft.pieces().any(|known| known.name == piece.name) => return Ok(piece),
        Some(_) => format!("with these givens there is no piece {}; there are: {}", quoted(&name.value), there()),
        None => format!("there is no piece {}; there are: {}", quoted(&name.value), there()),
    };
    Err((at(body, name), message))
}

pub(super) fn at(body: &str, text: &Text) -> Option<Place> {
    Some(Place::of(body, text.span.start))
}

/// The rest of a sentence on something that is not there.
fn there_are<'n>(names: impl Iterator<Item = &'n str>) -> String {
    match names.collect::<Vec<_>>()[..] {
        [] => "; this exercise has none".to_owned(),
        ref names => format!("; there are: {}", names.join(", ")),
    }
}

pub(super) fn caption_of(caption: &str) -> Vec<Span> {
    if caption.is_empty() { Vec::new() } else { plain(caption) }
}
