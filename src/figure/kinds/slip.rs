//! Right and wrong side by side: a draft, and the same with one mistake in it and all that follows from that.

use crate::draft::{CutPiece, Draft, DrawFault, Mark};
use crate::exercise::{Pen, Piece, Slip, StepId};
use crate::figure::drawing::{Figure, Role, plain};
use crate::figure::layout::bar::scaled;
use crate::figure::layout::pair::{Panel, pair};
use crate::figure::layout::sheet::Sheet;
use crate::figure::subject::cloth::{Cloth, as_marks, near};
use crate::figure::subject::dimension::{Dimension, is_upright, merged};
use crate::figure::subject::mark;
use crate::figure::telling::Telling;
use crate::formula::Values;
use crate::geometry::{Bounds, Curve, Point};
use crate::html::keep_lengths;
use crate::length::NM_PER_MM;

/// A draft beside what a slip makes of it, at one scale: the whole of it, or a piece. The wrong measure stands on both; where
/// no drawing measures it, above them, and on them what follows from it.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, figure, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let slip = roll.slips.iter().find(|slip| slip.name == "no-gaps").unwrap();
/// let figure = figure::slip(&draft, slip, None).unwrap();
/// assert_eq!(figure.title(), "Height to the fold: right and wrong");
/// assert!(figure.description().contains("Right: height to the fold 10 1/4 in. Wrong: height to the fold 9 1/2 in."));
/// ```
///
/// # Errors
/// Where the mistake can't be made with these givens or drawn, or does not show here; then it says where.
pub fn slip(draft: &Draft, slip: &Slip, piece: Option<&Piece>) -> Result<Figure, DrawFault> {
    let exercise = draft.exercise;
    if slip.when.as_ref().is_some_and(|when| !when.holds(&draft.measures)) {
        let message = format!("the slip \"{}\" can't be made with these givens", slip.name);
        return Err(DrawFault { message });
    }
    let step = &exercise.steps[slip.step];
    let used: Vec<Option<f64>> =
        (0..draft.rows(step)).map(|row| slip.used.evaluate(&draft.measures, Some(row))).collect();
    // A choice stays what it was chosen to be.
    let choose = |index: StepId, row: usize| {
        let is_choice = exercise.steps[index].is_choice();
        let chosen = || draft.measures.value(exercise.steps[index].slot, row);
        if index == slip.step { used.get(row).copied().flatten() } else { is_choice.then(chosen).flatten() }
    };
    let own = Draft::choosing(exercise, draft.givens.clone(), &choose).map_err(|fault| DrawFault {
        message: format!("with the slip \"{}\" nothing can be drawn: {fault}", slip.name),
    })?;
    let mistake = Mistake { draft, own: &own, slip };
    let drawn = match piece {
        Some(piece) => mistake.on_piece(exercise.piece(&piece.name).unwrap_or(piece))?,
        None => mistake.on_whole(),
    };
    let Some([right, wrong]) = drawn else { return Err(DrawFault { message: mistake.shows_elsewhere(piece) }) };
    let (told_right, told_wrong) = (mistake.told(draft, &right), mistake.told(&own, &wrong));
    let title = plain(&step.title);
    let subject = piece.map_or(title.clone(), |piece| format!("{}, {title}", plain(&piece.title)));
    let description = describe(&told_right, &told_wrong, !wrong.dimensions.is_empty(), wrong.more, &slip.says);
    let panel = |heading: &str, shown: Shown, draft: &Draft| Panel {
        heading: heading.to_owned(),
        note: keep_lengths(&mistake.note(draft)),
        sheet: {
            let mut sheet = Sheet::of(shown.marks, shown.dimensions);
            shown.faces.into_iter().for_each(|(role, corners)| sheet.scene.fill(role, corners));
            sheet
        },
    };
    let drawings = pair([panel("right", right, draft), panel("wrong", wrong, &own)]);
    let figure = Figure::new(&format!("{subject}: right and wrong"), &description, drawings);
    Ok(scaled(figure, draft.givens.ruler))
}

/// Half of the figure.
struct Shown {
    marks: Vec<Mark>,
    dimensions: Vec<Dimension>,
    /// The cloth, where it is a piece.
    faces: Vec<(Role, Vec<Point>)>,
    /// What else there is to see, in a sentence; or empty.
    more: &'static str,
}

impl Shown {
    fn new(marks: Vec<Mark>, dimensions: Vec<Dimension>) -> Shown {
        let marks = marks.into_iter().filter(mark::is_drawable).collect();
        Shown { marks, dimensions: merged(dimensions).into_iter().take(MOST).collect(), faces: Vec::new(), more: "" }
    }

    /// With its cloth.
    fn of_cloth(mut self, cut: &CutPiece) -> Shown {
        self.faces = Cloth::of(cut).faces().collect();
        self
    }

    /// With the right cutting line as a thin one under it.
    fn over(mut self, right: &[Mark]) -> Shown {
        let cutting = right.iter().filter_map(mark::lines).find(|(_, pen)| *pen == Pen::Cut);
        let thin = cutting.map(|(lines, _)| Mark::Lines { lines: lines.to_vec(), pen: Pen::Guide, label: None });
        self.marks.extend(thin.filter(mark::is_drawable));
        self.more = "A thin line is the right cutting line.";
        self
    }

    /// With a cross where its measure ends.
    fn crossed(mut self) -> Shown {
        let at = self.dimensions.first().map(|one| one.to);
        self.marks.extend(at.map(|at| Mark::Spot { at, label: None }));
        self.more = "A cross shows where the wrong measure ends.";
        self
    }
}

/// So many dimensions stand on a drawing.
const MOST: usize = 2;
/// Points nearer to each other than this, in millimetres, are the same.
const SAME: f64 = 1e-3;

struct Mistake<'m, 'e> {
    draft: &'m Draft<'e>,
    own: &'m Draft<'e>,
    slip: &'m Slip,
}

impl<'e> Mistake<'_, 'e> {
    /// The whole draft both ways, if they differ.
    fn on_whole(&self) -> Option<[Shown; 2]> {
        let marks = |draft: &Draft| -> Vec<Mark> {
            draft.exercise.steps.iter().flat_map(|step| draft.marks(&step.draw, None)).collect()
        };
        let (right, wrong) = (marks(self.draft), marks(self.own));
        let extent = right.iter().filter_map(mark::bounds).reduce(Bounds::with)?;
        let near = extent.width().max(extent.height()) * 5e-4;
        let plain = |marks: &[Mark]| marks.iter().filter_map(|mark| mark::straightened(mark, near)).collect::<Vec<_>>();
        let (plain_right, plain_wrong) = (plain(&right), plain(&wrong));
        (plain_right != plain_wrong).then(|| {
            let [right, wrong] = self.dimensions([&right, &wrong]);
            [Shown::new(plain_right, right), Shown::new(plain_wrong, wrong)]
        })
    }

    /// A piece both ways. Where its outline does not follow from the measure, but the measure is its size as it is cut, it is
    /// made as much larger or smaller; where the measure is taken within it, a cross stands where it would end.
    fn on_piece(&self, piece: &'e Piece) -> Result<Option<[Shown; 2]>, DrawFault> {
        let cut = |draft: &Draft<'e>| {
            draft.piece(piece).map_err(|fault| DrawFault { message: format!("{}: {fault}", piece.title) })
        };
        let right = cut(self.draft)?;
        let wrong = cut(self.own).map_err(|fault| DrawFault {
            message: format!("with the slip \"{}\" the piece can't be drawn: {fault}", self.slip.name),
        })?;
        let (plain_right, plain_wrong) = (as_marks(&right), as_marks(&wrong));
        if plain_right != plain_wrong {
            let [one, other] = self.dimensions([&right.marks, &wrong.marks]);
            let shown = Shown::new(plain_wrong, other).of_cloth(&wrong);
            let shown = if right.outline == wrong.outline { shown } else { shown.over(&plain_right) };
            return Ok(Some([Shown::new(plain_right, one).of_cloth(&right), shown]));
        }
        let is_measured = |mark: &&Mark| matches!(mark, Mark::Measure { step, .. } if *step == self.slip.step);
        let Some(measure) = right.marks.iter().find(is_measured) else { return Ok(None) };
        let (Some(mut one), Some(mut other)) = (Dimension::of(self.draft, measure), Dimension::of(self.own, measure))
        else {
            return Ok(None);
        };
        one.title.clear();
        other.title.clear();
        other.is_wrong = true;
        let value = self.own.measures.value(self.draft.exercise.steps[self.slip.step].slot, 0);
        let value = value.unwrap_or_default() / NM_PER_MM;
        let span = one.from.distance(one.to);
        if span < SAME || value < SAME || (value - span).abs() < SAME {
            return Ok(None);
        }
        let shown = match resizing(&right, &one, value - span) {
            Some(resized) => {
                (other.from, other.to) = (resized(one.from), resized(one.to));
                let moved = plain_right.iter().map(|one| mark::moved(one, near(&right), &*resized)).collect();
                let mut shown = Shown::new(moved, vec![other]).of_cloth(&right);
                for (_, corners) in &mut shown.faces {
                    corners.iter_mut().for_each(|corner| *corner = resized(*corner));
                }
                shown.over(&plain_right)
            }
            None => {
                other.to = one.from.towards(one.to, value / span);
                Shown::new(plain_right.clone(), vec![other]).of_cloth(&right).crossed()
            }
        };
        Ok(Some([Shown::new(plain_right, vec![one]).of_cloth(&right), shown]))
    }

    /// The wrong measure on both, where they are measured; else what follows from it, the longest first.
    fn dimensions(&self, marks: [&[Mark]; 2]) -> [Vec<Dimension>; 2] {
        let of = |draft: &Draft, marks: &[Mark], wanted: &dyn Fn(StepId) -> bool| -> Vec<Dimension> {
            let wanted = marks
                .iter()
                .filter(|mark| mark::is_drawable(mark) && matches!(mark, Mark::Measure { step, .. } if wanted(*step)));
            wanted.filter_map(|mark| Dimension::of(draft, mark)).collect()
        };
        let both = |wanted: &dyn Fn(StepId) -> bool| [of(self.draft, marks[0], wanted), of(self.own, marks[1], wanted)];
        // Its name stands above.
        let mut own = both(&|step| step == self.slip.step).map(|mut dimensions| {
            dimensions.iter_mut().for_each(|one| one.title.clear());
            dimensions
        });
        own[1].iter_mut().for_each(|one| one.is_wrong = true);
        if own.iter().any(|dimensions| !dimensions.is_empty()) {
            return own;
        }
        let slot = |step: StepId| self.draft.exercise.steps[step].slot;
        let follows = |step: StepId| self.draft.text_at(slot(step), 0) != self.own.text_at(slot(step), 0);
        let mut both = both(&follows);
        both[1].iter_mut().for_each(|one| one.is_wrong = true);
        both.map(|mut dimensions| {
            dimensions.sort_by(|a, b| b.span().total_cmp(&a.span()));
            // One across and one up.
            let first = dimensions.first().map(|one| is_upright(one.side));
            let second = dimensions.iter().position(|one| Some(is_upright(one.side)) != first);
            let second = second.map(|at| dimensions.remove(at));
            dimensions.truncate(1);
            dimensions.extend(second);
            dimensions
        })
    }

    /// The wrong measure in words.
    fn note(&self, draft: &Draft) -> String {
        let step = &self.draft.exercise.steps[self.slip.step];
        let title = plain(&step.short);
        let differs = |row: &usize| self.draft.text_at(step.slot, *row) != self.own.text_at(step.slot, *row);
        let row = (0..draft.rows(step)).find(differs).unwrap_or(0);
        let name = plain(draft.row_name(step, row));
        let name = if name.is_empty() { title } else { format!("{title}, {name}") };
        format!("{name} {}", draft.text_at(step.slot, row))
    }

    /// All that is measured on one half.
    fn told(&self, draft: &Draft, shown: &Shown) -> String {
        let follows = shown.dimensions.iter().filter(|one| !one.title.is_empty());
        let follows = follows.map(Dimension::told);
        std::iter::once(self.note(draft)).chain(follows).collect::<Vec<_>>().join(", ")
    }

    /// Why there is nothing to see, and what shows it.
    fn shows_elsewhere(&self, piece: Option<&Piece>) -> String {
        let mut places: Vec<String> = Vec::new();
        if piece.is_some() && self.on_whole().is_some() {
            places.push("the whole draft, if no `piece` is named".to_owned());
        }
        let shows = |other: &&'e Piece| matches!(self.on_piece(other), Ok(Some(_)));
        places.extend(self.draft.pieces().filter(shows).map(|piece| format!("the piece \"{}\"", piece.name)));
        let place = piece.map_or("the whole draft".to_owned(), |piece| format!("the piece \"{}\"", piece.name));
        let hint = match places.as_slice() {
            [] => "it shows on no drawing of this exercise".to_owned(),
            places => format!("it shows on {}", places.join(", ")),
        };
        format!("the slip \"{}\" changes nothing on {place}; {hint}", self.slip.name)
    }
}

/// How a piece is made larger by so much, if the dimension is its size as it is cut: its far half is moved; a curve across
/// its middle grows with it as a whole.
fn resizing(cut: &CutPiece, size: &Dimension, by: f64) -> Option<Box<dyn Fn(Point) -> Point>> {
    let bounds = cut.outline.cutting_bounds();
    let upright = is_upright(size.side);
    let along = move |point: Point| if upright { point.y } else { point.x };
    let (low, high) = (along(bounds.least), along(bounds.most));
    if (size.span() - (high - low)).abs() > SAME {
        return None;
    }
    let middle = (low + high) / 2.0;
    let crosses = |curve: &Curve| {
        let around = curve.bounds();
        !curve.is_straight() && along(around.least) < middle - SAME && along(around.most) > middle + SAME
    };
    if cut.outline.edges().iter().any(|edge| crosses(&edge.curve)) {
        let part = (high - low + by) / (high - low);
        let least = bounds.least;
        return Some(Box::new(move |point| least.towards(point, part)));
    }
    Some(Box::new(move |point| match along(point) > middle {
        true if upright => Point::new(point.x, point.y + by),
        true => Point::new(point.x + by, point.y),
        false => point,
    }))
}

/// A draft beside what a mistake makes of it.
fn describe(right: &str, wrong: &str, is_measured: bool, more: &str, says: &str) -> String {
    let mut telling = Telling::new("Two drawings at one scale.");
    telling.say(&format!("Right: {right}."));
    telling.say(&format!("Wrong: {wrong}."));
    if is_measured {
        telling.say("What is wrong is measured in bold letters, between heavier arrows.");
    }
    if !more.is_empty() {
        telling.say(more);
    }
    telling.say(&plain(says));
    telling.told()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draft::{Givens, Raw};
    use crate::exercise::Shelf;

    /// Where a piece is cut to the wrong measure, it is drawn exactly so large, and the right one as it is cut.
    #[test]
    fn a_wrong_cut_is_drawn_to_size() {
        let shelf = Shelf::shipped();
        let mut resized = 0;
        for exercise in shelf.iter() {
            let givens = Givens::read(exercise, &Raw::example(exercise), None, exercise.usual_ruler(false)).unwrap();
            let draft = Draft::new(exercise, givens).unwrap();
            let can_be = |slip: &&Slip| slip.when.as_ref().is_none_or(|when| when.holds(&draft.measures));
            for slip in exercise.slips.iter().filter(can_be) {
                let used = slip.used.evaluate(&draft.measures, Some(0)).unwrap();
                let choose = |step: StepId, _: usize| (step == slip.step).then_some(used);
                let Ok(own) = Draft::choosing(exercise, draft.givens.clone(), &choose) else { continue };
                let mistake = Mistake { draft: &draft, own: &own, slip };
                for piece in draft.pieces() {
                    let Ok(Some([right, wrong])) = mistake.on_piece(piece) else { continue };
                    let is_same = draft.piece(piece).unwrap().outline == own.piece(piece).unwrap().outline;
                    if !is_same || wrong.more != "A thin line is the right cutting line." {
                        continue;
                    }
                    let size = |shown: &Shown, upright: bool| {
                        let cut = shown
                            .marks
                            .iter()
                            .filter(|mark| matches!(mark, Mark::Lines { pen: Pen::Cut | Pen::Fold, .. }));
                        let bounds = cut.filter_map(mark::bounds).reduce(Bounds::with).unwrap();
                        if upright { bounds.height() } else { bounds.width() }
                    };
                    let upright = is_upright(wrong.dimensions[0].side);
                    let expected = draft.measures.value(exercise.steps[slip.step].slot, 0).unwrap() / 1e6;
                    let sizes = (size(&right, upright), size(&wrong, upright));
                    let name = format!("{}, {}, {}", exercise.name, slip.name, piece.name);
                    assert!((sizes.0 - expected).abs() < 0.01, "{name}: {} is not {expected}", sizes.0);
                    assert!((sizes.1 - used / 1e6).abs() < 0.01, "{name}: {} is not {}", sizes.1, used / 1e6);
                    assert!((wrong.dimensions[0].span() - used / 1e6).abs() < 0.01, "{name}");
                    resized += 1;
                }
            }
        }
        assert!(resized > 40, "{resized}");
    }
}
