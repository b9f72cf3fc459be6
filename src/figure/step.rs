//! The draft as it grows: up to one step, and finished.

use super::canvas::{Anchor, Canvas, Words};
use super::letters;
use super::sheet::{Sheet, column_for, dimension, side_index};
use super::style::{self, Weight};
use super::{Figure, marks, words};
use crate::draft::{Draft, Mark};
use crate::geometry::{Bounds, Point};

/// The draft built up to a step: what the step adds stands out, what came before it recedes. All steps of
/// a draft are drawn at one scale. A step past the last shows the last.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens, &|_, _| None).unwrap();
/// let figure = figure::step(&draft, 4);
/// assert_eq!(figure.title(), "Pocket height: step 5 of 18");
/// assert!(figure.description().contains("5 1/2 in"));
/// ```
pub fn step(draft: &Draft, upto: usize) -> Figure {
    let steps = &draft.exercise.steps;
    let last = steps.len().saturating_sub(1);
    let upto = upto.min(last);
    let mut sheet = Sheet::default();
    let mut names: Vec<String> = Vec::new();
    for (index, step) in steps.iter().enumerate() {
        let mut lanes = [0; 4];
        for mark in draft.marks(&step.draw, None).into_iter().filter(marks::is_drawable) {
            // Room for every step, so that the drawing stays where it is from figure to figure.
            sheet.least = sheet.least.into_iter().chain(marks::bounds(&mark)).reduce(Bounds::with);
            names.extend(marks::label(&mark).map(str::to_owned));
            if let Mark::Measure { side, .. } = &mark {
                lanes[side_index(*side)] += 1;
            }
            if index <= upto {
                let weight = if index == upto { Weight::Now } else { Weight::Before };
                if weight == Weight::Now {
                    sheet.dimensions.extend(dimension(draft, &mark));
                }
                sheet.marks.push((mark, weight));
            }
        }
        for (most, here) in sheet.lanes.iter_mut().zip(lanes) {
            *most = here.max(*most);
        }
    }
    sheet.column = column_for(names.iter().map(String::as_str), true);
    let title = match steps.get(upto) {
        Some(step) => format!("{}: step {} of {}", step.title, upto + 1, steps.len()),
        None => draft.exercise.title.clone(),
    };
    let is_empty = sheet.marks.is_empty();
    let canvas = if is_empty { blank() } else { sheet.draw() };
    Figure::new(&title, &words::step(draft, upto, &sheet.marks), canvas)
}

/// What is shown where nothing is drawn yet.
fn blank() -> Canvas {
    let mut canvas = Canvas::new();
    let lines = vec!["Nothing is drawn yet.".to_owned()];
    let at = Point::new(style::WIDTH / 2.0, 0.0);
    canvas.text(Words { lines, at, anchor: Anchor::Middle, is_upright: false, is_bold: false });
    canvas
}

/// The finished draft: the marks of every step alike, with every dimension.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens, &|_, _| None).unwrap();
/// assert!(figure::whole(&draft).inline("roll").contains("10 1/4 in"));
/// ```
pub fn whole(draft: &Draft) -> Figure {
    let mut sheet = Sheet { grows: true, ..Sheet::default() };
    for step in &draft.exercise.steps {
        for mark in draft.marks(&step.draw, None).into_iter().filter(marks::is_drawable) {
            sheet.dimensions.extend(dimension(draft, &mark));
            sheet.marks.push((mark, Weight::Even));
        }
    }
    let title = format!("{}: the finished draft", letters::plain(&draft.exercise.title));
    let canvas = if sheet.marks.is_empty() { blank() } else { sheet.draw() };
    Figure::new(&title, &words::whole(&sheet.dimensions, &sheet.marks), canvas)
}
