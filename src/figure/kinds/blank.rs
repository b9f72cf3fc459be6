//! A draft without its numbers: what is measured where, for a student who is to find the numbers.
//!
//! It is drawn from the exercise's own example, and even that not to scale: nothing in it, measured on paper or read in
//! the page's source, tells what anybody's draft has to be.

use crate::draft::{Draft, Givens, Mark, Raw};
use crate::exercise::{Exercise, GivenKind, StepId};
use crate::figure::drawing::{Figure, Standing, plain};
use crate::figure::layout::bar::NOT_TO_SCALE;
use crate::figure::layout::sheet::Sheet;
use crate::figure::subject::dimension::Dimension;
use crate::figure::subject::mark;
use crate::figure::telling::{Telling, names};
use crate::formula::Values;
use crate::geometry::{Bounds, Point};

/// A blank drawing, and which measure each of its letters stands at.
#[derive(Debug, Clone)]
pub struct Blank {
    /// The drawing.
    pub figure: Figure,
    /// Letter and index of the step, in the order of the steps.
    pub letters: Vec<(String, StepId)>,
}

/// The outline of a draft without numbers, with a letter at each of `steps` that is measured in it. `None` if the
/// exercise draws nothing. Of `like`, a student's givens, only the words chosen are used: whether a piece is folded
/// or seamed, and never a length.
///
/// ```
/// use foldmark::{exercise::Shelf, figure};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let steps: Vec<_> = roll.steps.keys().collect();
/// let blank = figure::blank(roll, None, &steps).unwrap();
/// assert_eq!(blank.letters[0], ("A".to_owned(), roll.step_id("slots_width").unwrap()));
/// assert!(blank.figure.title().ends_with("not to scale"));
/// ```
pub fn blank(exercise: &Exercise, like: Option<&Givens>, steps: &[StepId]) -> Option<Blank> {
    let draft = example(exercise, like)?;
    let all = exercise.steps.iter().flat_map(|step| draft.marks(&step.draw, None));
    let all: Vec<Mark> = all.filter(mark::is_drawable).collect();
    let scheme = Scheme::new(&all)?;
    let mut sheet = Sheet { grows: true, heading: NOT_TO_SCALE.to_owned(), ..Sheet::default() };
    let mut lettered: Vec<(String, StepId)> = Vec::new();
    for &index in steps {
        let is_measured = |mark: &&Mark| matches!(mark, Mark::Measure { step, .. } if *step == index);
        if let Some(Mark::Measure { from, to, side, .. }) = all.iter().find(is_measured) {
            let letter = letter(lettered.len());
            let (from, to) = (scheme.at(*from), scheme.at(*to));
            sheet.dimensions.push(Dimension {
                from,
                to,
                side: *side,
                title: String::new(),
                value: letter.clone(),
                is_wrong: false,
            });
            lettered.push((letter, index));
        }
    }
    sheet.marks = all.iter().map(|mark| (scheme.moved(mark), Standing::Even)).collect();
    let title = format!("{}: an outline, {NOT_TO_SCALE}", plain(&exercise.title));
    let named = lettered.iter().map(|(letter, step)| format!("{letter} {}", exercise.steps[*step].short));
    let description = told(&named.collect::<Vec<_>>(), &sheet.marks);
    Some(Blank { figure: Figure::new(&title, &description, [sheet.draw()]), letters: lettered })
}

/// What lies so near, in millimetres, lies in one line.
const NEAR: f64 = 0.05;

/// A curve is drawn by so many straight lines.
const CHORDS: u32 = 48;

/// The letters of a drawing, without I and O, which would read as numbers.
const LETTERS: &[u8] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";

/// A, B, … Z, AA, AB …
fn letter(index: usize) -> String {
    let last = char::from(LETTERS[index % LETTERS.len()]);
    match index / LETTERS.len() {
        0 => last.to_string(),
        more => letter(more - 1) + &last.to_string(),
    }
}

/// The exercise's example, with the words that `like` has chosen where it can be worked with them.
fn example<'e>(exercise: &'e Exercise, like: Option<&Givens>) -> Option<Draft<'e>> {
    let givens = Givens::read(exercise, &Raw::example(exercise), None, exercise.usual_ruler(false)).ok()?;
    let mut chosen = givens.clone();
    for given in &exercise.givens {
        if let (GivenKind::Choice { slot, .. }, Some(like)) = (&given.kind, like) {
            chosen.measures.set(*slot, 0, like.measures.value(*slot, 0));
        }
    }
    let chosen = Draft::new(exercise, chosen).ok();
    chosen.or_else(|| Draft::new(exercise, givens).ok())
}

/// Where each place of a drawing goes in one that is not to scale: the order of places across and up is kept, and
/// of the distances between them only whether they are short, middling or long.
struct Scheme {
    x: Axis,
    y: Axis,
}

impl Scheme {
    fn new(all: &[Mark]) -> Option<Scheme> {
        let mut points = Vec::new();
        all.iter().for_each(|one| mark::places(one, NEAR, &mut points));
        let bounds = Bounds::around(points.iter().copied())?;
        // Of the shape as a whole only whether it is low, square or tall is kept.
        let (wide, high) = match bounds.width() / bounds.height().max(1e-9) {
            ratio if ratio > 1.2 => (400.0, 300.0),
            ratio if ratio < 0.8 => (300.0, 400.0),
            _ => (350.0, 350.0),
        };
        Some(Scheme {
            x: Axis::new(points.iter().map(|point| point.x).collect(), wide),
            y: Axis::new(points.iter().map(|point| point.y).collect(), high),
        })
    }

    fn at(&self, point: Point) -> Point {
        Point::new(self.x.at(point.x), self.y.at(point.y))
    }

    fn moved(&self, mark: &Mark) -> Mark {
        let Mark::Arc { curve, pen, label } = mark else { return mark::moved(mark, NEAR, &|point| self.at(point)) };
        let points: Vec<Point> = (0..=CHORDS).map(|at| curve.at(f64::from(at) / f64::from(CHORDS))).collect();
        let points = self.stretched(curve.bounds(), &points);
        let lines = points.windows(2).map(|pair| (pair[0], pair[1])).collect();
        Mark::Lines { lines, pen: *pen, label: label.clone() }
    }

    /// A curve as it fills the space that it goes to: a circle becomes an oval. Where its ends do not come to lie
    /// where lines go on from them, each of its points goes its own way.
    fn stretched(&self, bounds: Bounds, points: &[Point]) -> Vec<Point> {
        let (least, most) = (self.at(bounds.least), self.at(bounds.most));
        let part = |at: f64, low: f64, high: f64| if high > low { (at - low) / (high - low) } else { 0.0 };
        let filling = |point: &Point| {
            let x = part(point.x, bounds.least.x, bounds.most.x);
            let y = part(point.y, bounds.least.y, bounds.most.y);
            Point::new(least.x + (most.x - least.x) * x, least.y + (most.y - least.y) * y)
        };
        let meets = |end: &Point| filling(end).distance(self.at(*end)) < 1.0;
        let is_whole = matches!(points, [first, .., last] if first.distance(*last) < NEAR);
        let is_joined = points.first().is_none_or(meets) && points.last().is_none_or(meets);
        points.iter().map(|point| if is_whole || is_joined { filling(point) } else { self.at(*point) }).collect()
    }
}

/// Places along one direction, each with where it goes.
struct Axis(Vec<(f64, f64)>);

impl Axis {
    fn new(mut places: Vec<f64>, extent: f64) -> Axis {
        places.sort_by(f64::total_cmp);
        places.dedup_by(|one, other| (*one - *other).abs() < NEAR);
        let span = places.last().copied().unwrap_or(0.0) - places.first().copied().unwrap_or(0.0);
        let mut at = 0.0;
        let mut moved: Vec<(f64, f64)> = Vec::with_capacity(places.len());
        for place in places {
            if let Some((before, _)) = moved.last() {
                at += match (place - before) / span {
                    part if part < 0.04 => 1.0,
                    part if part < 0.15 => 3.0,
                    _ => 8.0,
                };
            }
            moved.push((place, at));
        }
        let scale = if at > 0.0 { extent / at } else { 1.0 };
        moved.iter_mut().for_each(|(_, at)| *at *= scale);
        Axis(moved)
    }

    /// Where a place goes: between two that are known, in proportion.
    fn at(&self, place: f64) -> f64 {
        let next = self.0.partition_point(|(known, _)| *known < place);
        match (next.checked_sub(1).and_then(|before| self.0.get(before)), self.0.get(next)) {
            (Some(before), Some(after)) => before.1 + (after.1 - before.1) * (place - before.0) / (after.0 - before.0),
            (Some((_, at)), None) | (None, Some((_, at))) => *at,
            (None, None) => 0.0,
        }
    }
}

/// An outline without numbers; `lettered` are its letters, each with what it stands at.
fn told(lettered: &[String], marks: &[(Mark, Standing)]) -> String {
    let mut telling = Telling::new("An outline of the draft without numbers, not to scale.");
    telling.list("Letters stand at:", lettered);
    telling.list("Named:", &names(marks, Standing::Even));
    telling.told()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 8, 23, 24, 48, 600].map(letter), ["A", "J", "Z", "AA", "BA", "AAA"]);
    }

    #[test]
    fn only_the_order_and_the_kind_of_distance_are_kept() {
        let axis = |places: &[f64]| Axis::new(places.to_vec(), 60.0).0.iter().map(|(_, at)| *at).collect::<Vec<_>>();
        assert_eq!(axis(&[0.0, 1.0, 11.0, 100.0]), [0.0, 5.0, 20.0, 60.0]);
        assert_eq!(axis(&[0.0, 3.0, 17.0, 100.0]), [0.0, 5.0, 20.0, 60.0]);
        assert_eq!(axis(&[5.0]), [0.0]);
    }
}
