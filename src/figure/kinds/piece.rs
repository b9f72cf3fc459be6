//! One piece, as it is cut.

use crate::draft::{CutPiece, Draft, DrawFault, Mark};
use crate::exercise::Piece;
use crate::figure::drawing::{Drawing, Figure, plain};
use crate::figure::layout::bar::scaled;
use crate::figure::layout::crowding::leave_right_to_names;
use crate::figure::layout::sheet::Sheet;
use crate::figure::layout::{detail, inside};
use crate::figure::subject::cloth::Cloth;
use crate::figure::subject::dimension::{Dimension, measured};
use crate::figure::subject::looks::looks;
use crate::figure::subject::mark::is_drawable;
use crate::figure::telling::Telling;
use crate::figure::{letters, style};
use crate::geometry::{Finish, Point};

/// A piece with its cutting and stitching line, fold, grain, notches, marks and dimensions.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let figure = figure::piece(&draft, roll.piece("pocket").unwrap()).unwrap();
/// assert_eq!(figure.title(), "Pocket: cut 1 of lining cloth");
/// assert!(figure.description().contains("on the fold"));
/// ```
///
/// # Errors
/// An outline or a mark that can't be drawn, with the edge concerned.
pub fn piece(draft: &Draft, piece: &Piece) -> Result<Figure, DrawFault> {
    let cut = draft.piece(piece)?;
    let marks: Vec<Mark> = cut.marks.iter().filter(|mark| is_drawable(mark)).cloned().collect();
    let dimensions = measured(draft, &marks);
    let mut sheet = Sheet { grows: true, cloth: Some(Cloth::of(&cut)), ..Sheet::of(marks, dimensions) };
    leave_right_to_names(&mut sheet);
    sheet.ring = cut.detail.map(|(at, reach, _)| (at, reach)).filter(|(_, reach)| enlarged(&sheet, *reach).is_some());
    let mut drawing = named_inside(&sheet, draft, piece, &cut).unwrap_or_else(|| {
        sheet.heading = format!("{}\ncut {}", plain(&piece.title), piece.count);
        leave_right_to_names(&mut sheet);
        sheet.draw()
    });
    let title = format!("{}: cut {} of {}", piece.title, piece.count, piece.cloth);
    let mut description = told(draft, piece, &cut, &sheet.dimensions);
    let frame = drawing.frame().copied();
    if let (Some((at, reach, says)), Some(frame), Some(_)) = (cut.detail, frame, sheet.ring) {
        let reach = frame.length(reach);
        if let Some(times) = detail::times(reach) {
            detail::enlarge(&mut drawing, frame.at(at), reach, times, &plain(says));
            description = format!("{description} In a circle, {times} times as large: {}.", plain(says));
        }
    }
    Ok(scaled(Figure::new(&title, &description, [drawing]), draft.givens.ruler))
}

/// How many times as large a place that reaches so far can be shown.
fn enlarged(sheet: &Sheet, reach: f64) -> Option<f64> {
    detail::times(sheet.fit(sheet.bounds()?).0.length(reach))
}

/// The piece with its name, and how it is cut, inside it, if there is room.
fn named_inside(sheet: &Sheet, draft: &Draft, piece: &Piece, cut: &CutPiece) -> Option<Drawing> {
    let mut drawing = sheet.draw();
    let frame = *drawing.frame()?;
    let corners: Vec<Point> = cut.outline.stitching().into_iter().map(|corner| frame.at(corner)).collect();
    let how = format!("cut {}", piece.count);
    let of = format!("{how} of {}", plain(&piece.cloth));
    let allowance = allowance(draft, cut).map(|width| format!("allowance {}", width.replace(' ', "\u{a0}")));
    let all: Vec<String> = std::iter::once(of).chain(allowance).collect();
    let title = plain(&piece.title);
    // In as few lines as there is room for.
    let wrapped = |most: f64, notes: &[String]| -> (Vec<String>, Vec<String>) {
        let notes = notes.iter().flat_map(|note| letters::wrap(note, most, false));
        (letters::wrap(&title, most, true), notes.collect())
    };
    // No word is broken for it.
    let words =
        |text: &str, is_bold: bool| text.split(' ').map(|word| letters::width(word, is_bold)).fold(0.0, f64::max);
    let widest = |notes: &[String]| notes.iter().map(|note| words(note, false)).fold(words(&title, true), f64::max);
    let mut tries = [&all[..], &all[..1], std::slice::from_ref(&how)]
        .into_iter()
        .flat_map(|notes| [style::WIDTH, style::COLUMN, 0.7 * style::COLUMN].map(|most| (most, notes)))
        .filter(|(most, notes)| widest(notes) <= *most)
        .map(|(most, notes)| wrapped(most, notes));
    let is_written = tries.any(|(heading, notes)| inside::write(&mut drawing, &corners, &heading, &notes));
    is_written.then_some(drawing)
}

/// The seam allowance, if it is the same all round.
fn allowance(draft: &Draft, cut: &CutPiece) -> Option<String> {
    let mut widths = cut.outline.edges().iter().filter_map(|edge| match edge.finish {
        Finish::Allowance(width) => Some(width),
        Finish::Hem(_) | Finish::Fold => None,
    });
    let first = widths.next().filter(|width| *width > 0.0)?;
    widths.all(|width| (width - first).abs() < 1e-6).then(|| draft.written(first))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// A piece.
fn told(draft: &Draft, piece: &Piece, cut: &CutPiece, dimensions: &[Dimension]) -> String {
    let bounds = cut.outline.cutting_bounds();
    let mut telling = Telling::new("");
    let title = plain(&piece.title);
    let (width, height) = (draft.written(bounds.width()), draft.written(bounds.height()));
    telling
        .say(&format!("{title} · cut {}: {width} wide and {height} high along the heavy cutting line.", piece.count));
    if let Some(fold) = cut.outline.fold() {
        telling.say(&format!("A bracket with arrows marks the edge on the fold ({}).", plain(&fold.name)));
    }
    let note = plain(&piece.note);
    if !note.is_empty() {
        telling.say(&format!("{}.", capital(&note)));
    }
    if let Some(width) = allowance(draft, cut) {
        telling.say(&format!("The allowance of its seams is {width}."));
    }
    let grain = if piece.grain_up { "up" } else { "across" };
    let notches = cut.marks.iter().filter(|mark| matches!(mark, Mark::Notch { .. })).count();
    telling.say(&match notches {
        0 => format!("The grain arrow runs {grain} the piece."),
        1 => format!("The grain arrow runs {grain} the piece; there is 1 notch."),
        more => format!("The grain arrow runs {grain} the piece; there are {more} notches."),
    });
    telling.list("Inside:", &looks(cut.marks.iter()));
    telling.dimensions("Dimensions:", dimensions);
    capital(&telling.told())
}
