//! The draft as it grows: up to one step, and finished.

use crate::draft::{Draft, Mark};
use crate::exercise::{Side, Step, StepId};
use crate::figure::Figure;
use crate::figure::drawing::canvas::{Anchor, Canvas, Words};
use crate::figure::layout::dimensions as lanes;
use crate::figure::layout::sheet::{Sheet, column_for, dimension, side_index};
use crate::figure::letters;
use crate::figure::style::{self, Weight};
use crate::figure::subject::marks;
use crate::figure::telling as words;
use crate::geometry::{Bounds, Point};
use typed_index_collections::TiVec;

/// The draft built up to a step: what the step adds stands out, what came before it recedes. All steps of
/// a draft are drawn at one scale. A step past the last shows the last.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let figure = figure::step(&draft, roll.step_id("pocket_height").unwrap());
/// assert_eq!(figure.title(), "Pocket height: step 5 of 18");
/// assert!(figure.description().contains("5 1/2 in"));
/// ```
pub fn step(draft: &Draft, upto: StepId) -> Figure {
    let steps = &draft.exercise.steps;
    let mut sheet = Sheet::default();
    let drawn: TiVec<StepId, Vec<Mark>> = steps.iter().map(|step| drawable(draft, step)).collect();
    let names: Vec<&str> = drawn.iter().flatten().filter_map(marks::label).collect();
    let is_named = names.iter().any(|name| !letters::plain(name).is_empty());
    sheet.column = column_for(names.into_iter(), true);
    for (index, marks) in drawn.iter_enumerated() {
        let mut lanes = [0; 4];
        for mark in marks {
            // Room for every step, so that the drawing stays where it is from figure to figure.
            sheet.least = sheet.least.into_iter().chain(marks::bounds(mark)).reduce(Bounds::with);
            if let Mark::Measure { side, .. } = mark {
                let side = if is_named && *side == Side::Right { Side::Left } else { *side };
                lanes[side_index(side)] += 1;
            }
            if index <= upto {
                let weight = if index == upto { Weight::Now } else { Weight::Before };
                if weight == Weight::Now {
                    sheet.dimensions.extend(dimension(draft, mark));
                }
                sheet.marks.push((mark.clone(), weight));
            }
        }
        for (most, here) in sheet.lanes.iter_mut().zip(lanes) {
            *most = here.max(*most);
        }
    }
    if is_named {
        sheet.clear_the_right();
    }
    sheet.dimensions = lanes::merged(sheet.dimensions);
    let title = match steps.get(upto) {
        Some(step) => format!("{}: step {} of {}", step.title, upto.0 + 1, steps.len()),
        None => draft.exercise.title.clone(),
    };
    let is_empty = sheet.marks.is_empty();
    let canvas = if is_empty { blank() } else { sheet.draw() };
    Figure::new(&title, &words::step(draft, upto, &sheet.marks, &sheet.dimensions), canvas)
}

/// What a step adds, as far as it can be drawn.
fn drawable(draft: &Draft, step: &Step) -> Vec<Mark> {
    draft.marks(&step.draw, None).into_iter().filter(marks::is_drawable).collect()
}

/// What is shown where nothing is drawn yet.
fn blank() -> Canvas {
    let mut canvas = Canvas::new();
    let lines = vec!["Nothing is drawn yet.".to_owned()];
    let at = Point::new(style::WIDTH / 2.0, 0.0);
    canvas.text(Words { lines, at, anchor: Anchor::Middle, is_upright: false, is_bold: false });
    canvas
}

/// The finished draft: the marks of every step alike, with as many of their dimensions as there is room for, the largest
/// first.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// assert!(figure::whole(&draft).inline("roll").contains("10 1/4 in"));
/// ```
pub fn whole(draft: &Draft) -> Figure {
    let mut sheet = Sheet { grows: true, ..Sheet::default() };
    for step in &draft.exercise.steps {
        for mark in drawable(draft, step) {
            sheet.dimensions.extend(dimension(draft, &mark));
            sheet.marks.push((mark, Weight::Even));
        }
    }
    sheet.dimensions = lanes::merged(sheet.dimensions);
    if sheet.is_named() {
        sheet.clear_the_right();
    }
    sheet.thin();
    let title = format!("{}: the finished draft", letters::plain(&draft.exercise.title));
    let canvas = if sheet.marks.is_empty() { blank() } else { sheet.draw() };
    Figure::new(&title, &words::whole(&sheet.dimensions, &sheet.marks), canvas)
}
