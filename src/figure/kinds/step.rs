//! The draft as it grows: up to one step, and finished.

use crate::draft::{Draft, Mark};
use crate::exercise::{Side, Step, StepId};
use crate::figure::drawing::{Anchor, Drawing, Figure, Standing, Text, TextRole, plain};
use crate::figure::layout::bar::scaled;
use crate::figure::layout::crowding::{leave_out_smallest, leave_right_to_names};
use crate::figure::layout::sheet::{Sheet, column_for};
use crate::figure::style;
use crate::figure::subject::dimension::{Dimension, measured, merged, side_index};
use crate::figure::subject::looks::looks;
use crate::figure::subject::mark;
use crate::figure::telling::{Telling, names};
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
    let mut sheet = Sheet { is_to_scale: true, ..Sheet::default() };
    let drawn: TiVec<StepId, Vec<Mark>> = steps.iter().map(|step| drawable(draft, step)).collect();
    let names: Vec<&str> = drawn.iter().flatten().filter_map(mark::label).collect();
    sheet.column = column_for(names.into_iter());
    for (index, marks) in drawn.iter_enumerated() {
        let mut lanes = [0; 4];
        for mark in marks {
            // Room for every step, so that the drawing stays where it is from figure to figure.
            sheet.least = sheet.least.into_iter().chain(mark::bounds(mark)).reduce(Bounds::with);
            if let Mark::Measure { side, .. } = mark {
                let side = if sheet.column > 0.0 && *side == Side::Right { Side::Left } else { *side };
                lanes[side_index(side)] += 1;
            }
            if index <= upto {
                let standing = if index == upto { Standing::Now } else { Standing::Before };
                if standing == Standing::Now {
                    sheet.dimensions.extend(Dimension::of(draft, mark));
                }
                sheet.marks.push((mark.clone(), standing));
            }
        }
        for (most, here) in sheet.lanes.iter_mut().zip(lanes) {
            *most = here.max(*most);
        }
    }
    leave_right_to_names(&mut sheet);
    sheet.dimensions = merged(sheet.dimensions);
    let title = match steps.get(upto) {
        Some(step) => format!("{}: step {} of {}", step.title, upto.0 + 1, steps.len()),
        None => draft.exercise.title.clone(),
    };
    let told = told(draft, upto, &sheet.marks, &sheet.dimensions);
    finished(Figure::new(&title, &told, [drawing(&sheet)]), &sheet, draft)
}

/// What a step adds, as far as it can be drawn.
fn drawable(draft: &Draft, step: &Step) -> Vec<Mark> {
    draft.marks(&step.draw, None).into_iter().filter(mark::is_drawable).collect()
}

/// With its scale, if anything is drawn.
fn finished(figure: Figure, sheet: &Sheet, draft: &Draft) -> Figure {
    if sheet.marks.is_empty() { figure } else { scaled(figure, draft.givens.ruler) }
}

/// The sheet, or what is shown where nothing is drawn yet.
fn drawing(sheet: &Sheet) -> Drawing {
    if !sheet.marks.is_empty() {
        return sheet.draw();
    }
    let mut drawing = Drawing::default();
    let (lines, at) = (vec!["Nothing is drawn yet.".to_owned()], Point::new(style::WIDTH / 2.0, 0.0));
    drawing.write(Text::level(TextRole::Remark, lines, at, Anchor::Middle));
    drawing
}

/// A step of the draft.
fn told(draft: &Draft, upto: StepId, marks: &[(Mark, Standing)], dimensions: &[Dimension]) -> String {
    let mut telling = Telling::new("");
    let Some(step) = draft.exercise.steps.get(upto) else { return "Nothing is drawn.".to_owned() };
    if marks.is_empty() {
        telling.say("Nothing is drawn yet.");
    }
    let now = || marks.iter().filter(|(_, standing)| *standing == Standing::Now).map(|(mark, _)| mark);
    let measured = |one: &Dimension| format!("{}, {}, at the {}", one.title, one.value, side(one.side));
    let measured: Vec<String> = dimensions.iter().map(measured).collect();
    telling.list("Measured:", &measured);
    telling.list("New, heavier than the rest:", &looks(now()));
    if now().next().is_none() {
        let title = plain(&step.title);
        telling.say(&match step.kind.list {
            Some(_) => format!("{title}: nothing is added to the drawing."),
            None => format!("{title} is {}; nothing is added to the drawing.", draft.text_at(step.slot, 0)),
        });
    }
    let before = names(marks, Standing::Before);
    if !before.is_empty() {
        telling.list("Fainter, from earlier steps:", &before);
    }
    telling.told()
}

fn side(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
        Side::Top => "top",
        Side::Bottom => "bottom",
    }
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
    let marks: Vec<Mark> = draft.exercise.steps.iter().flat_map(|step| drawable(draft, step)).collect();
    let dimensions = measured(draft, &marks);
    let mut sheet = Sheet { grows: true, ..Sheet::of(marks, dimensions) };
    leave_right_to_names(&mut sheet);
    let left_out = leave_out_smallest(&mut sheet);
    let title = format!("{}: the finished draft", plain(&draft.exercise.title));
    let told = told_whole("The finished draft with all its lines.", &sheet, left_out);
    finished(Figure::new(&title, &told, [drawing(&sheet)]), &sheet, draft)
}

/// A draft as far as it is known: what rests on a measure that is not known yet is left out. `None` if nothing can be drawn.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let mut draft = Draft { exercise: roll, measures: givens.measures.clone(), givens };
/// assert!(figure::growing(&draft).is_none());
/// draft.measures.set(roll.step("finished_width").unwrap().slot, 0, 254e6);
/// assert!(figure::growing(&draft).unwrap().description().contains("10 in"));
/// ```
pub fn growing(draft: &Draft) -> Option<Figure> {
    let marks: Vec<Mark> = draft.exercise.steps.iter().flat_map(|step| drawable(draft, step)).collect();
    if marks.is_empty() {
        return None;
    }
    let dimensions = measured(draft, &marks);
    let mut sheet = Sheet { grows: true, ..Sheet::of(marks, dimensions) };
    leave_right_to_names(&mut sheet);
    let left_out = leave_out_smallest(&mut sheet);
    let title = format!("{}: your draft so far", plain(&draft.exercise.title));
    let told = told_whole("Your draft as far as you have measured it.", &sheet, left_out);
    Some(finished(Figure::new(&title, &told, [drawing(&sheet)]), &sheet, draft))
}

/// The finished draft, or what there is of it.
fn told_whole(what: &str, sheet: &Sheet, left_out: usize) -> String {
    let mut telling = Telling::new(what);
    match left_out {
        0 => true,
        1 => telling.say("One measure too many for it stands in the figure of its own step."),
        more => telling.say(&format!("{more} measures too many for it stand in the figures of their own steps.")),
    };
    telling.dimensions("Dimensions:", &sheet.dimensions);
    telling.list("Named:", &names(&sheet.marks, Standing::Even));
    telling.told()
}
