//! Every figure, of many drafts and of made-up sheets, is proofed: no text on a text, no text on a line.

use super::drawing::{Anchor, Area, Drawing, Path, Role, Standing, Text, TextRole};
use super::layout::inside::lines;
use super::layout::{page, sheet::Sheet};
use super::subject::dimension::Dimension;
use super::{Chosen, Differing, Figure, letters};
use crate::draft::{self, Draft, Givens, Mark, Raw};
use crate::exercise::{GivenKind, Pen, Shelf, Side, StepId};
use crate::formula::{Base, Values};
use crate::geometry::{Curve, Point};
use crate::length::Ruler;
use typed_index_collections::TiVec;

/// What is wrong with a figure, in words.
fn faults(figure: &Figure) -> Vec<String> {
    let mut faults = Vec::new();
    let texts: Vec<&Text> = figure.drawings().iter().flat_map(Drawing::texts).collect();
    let page = page::page(figure.drawings());
    let lines: Vec<(Point, Point)> = figure.drawings().iter().flat_map(lines).collect();
    for (index, text) in texts.iter().enumerate() {
        let area = letters::space(text);
        for other in &texts[..index] {
            if area.grown(-0.05).meets(letters::space(other)) {
                faults.push(format!("{:?} on {:?}", text.lines, other.lines));
            }
        }
        if area.left < page.left || area.right > page.right || area.top < page.top || area.bottom > page.bottom {
            faults.push(format!("{:?} off the page", text.lines));
        }
        // The letters themselves, without the space above and below them.
        let tight = if text.is_upright {
            Area { left: area.left + 3.5, right: area.right - 3.5, ..area }
        } else {
            Area { top: area.top + 3.5, bottom: area.bottom - 3.5, ..area }
        };
        for (from, to) in &lines {
            if tight.part_inside(*from, *to).is_some() {
                faults.push(format!("a line from {from:?} to {to:?} through {:?}", text.lines));
            }
        }
    }
    faults
}

fn figures(draft: &Draft) -> Vec<Figure> {
    let steps = draft.exercise.steps.keys();
    let pieces = draft.exercise.pieces.iter().filter_map(|piece| super::piece(draft, piece).ok());
    let opened = draft.exercise.pieces.iter().filter_map(|piece| super::opened(draft, piece).ok().flatten());
    let steps = steps.map(|index| super::step(draft, index)).chain([super::whole(draft)]);
    steps.chain(pieces).chain(opened).collect()
}

#[test]
fn no_text_of_a_draft_stands_on_another_or_on_a_line() {
    let shelf = Shelf::shipped();
    let drafts: [(&str, &[&str], Ruler); 8] = [
        ("flap-roll", &["objects=name: a, length: 9 1/2 in, girth: 4 in, count: 2"], Ruler::EIGHTH),
        ("flap-roll", &["objects=name: a, length: 9 in, girth: 3 in, count: 1"], Ruler::SIXTEENTH),
        (
            "flap-roll",
            &[
                "objects=name: a, length: 9 in, girth: 3 in, count: 4",
                "objects=name: b, length: 6 in, girth: 1 in, count: 5",
                "objects=name: c, length: 11 1/2 in, girth: 2 in, count: 5",
            ],
            Ruler::SIXTEENTH,
        ),
        ("flap-roll", &["objects=name: a, length: 9 in, girth: 1 in, count: 60"], Ruler::EIGHTH),
        (
            "flap-roll",
            &["objects=name: a, length: 213 mm, girth: 47 mm, count: 7", "allowance=12 mm"],
            Ruler::MILLIMETRE,
        ),
        ("flap-roll", &["objects=name: a, length: 30 in, girth: 1/4 in, count: 1", "side_ease=0 in"], Ruler::EIGHTH),
        ("flap-roll", &["objects=name: a, length: 2 in, girth: 2 in, count: 20", "grip=1/4 in"], Ruler::EIGHTH),
        ("flap-roll", &["objects=name: a, length: 30 in, girth: 20 in, count: 60"], Ruler::FIVE_MILLIMETRES),
    ];
    for (name, written, ruler) in drafts {
        let exercise = shelf.get(name).unwrap();
        let mut raw = Raw::default();
        for entry in written {
            raw.add(entry).unwrap();
        }
        let draft = Draft::new(exercise, Givens::read(exercise, &raw, None, ruler).unwrap()).unwrap();
        for figure in figures(&draft) {
            let faults = faults(&figure);
            assert!(faults.is_empty(), "{written:?}, {}: {faults:#?}", figure.title());
        }
    }
}

/// Every mistake of every exercise, wherever it shows; and each shows in words and numbers what it is.
#[test]
fn no_text_of_right_and_wrong_stands_on_another_or_on_a_line() {
    let shelf = Shelf::shipped();
    let mut drawn = 0;
    for exercise in shelf.iter() {
        for is_metric in [false, true] {
            let ruler = exercise.usual_ruler(is_metric);
            let givens = Givens::read(exercise, &Raw::example(exercise), None, ruler).unwrap();
            let draft = Draft::new(exercise, givens).unwrap();
            for slip in &exercise.slips {
                let places = std::iter::once(None).chain(draft.pieces().map(Some));
                for figure in places.filter_map(|piece| super::slip(&draft, slip, piece).ok()) {
                    let faults = faults(&figure);
                    assert!(faults.is_empty(), "{}, {}, {}: {faults:#?}", exercise.name, slip.name, figure.title());
                    let words: Vec<&str> = figure
                        .drawings()
                        .iter()
                        .flat_map(Drawing::texts)
                        .flat_map(|text| &text.lines)
                        .map(String::as_str)
                        .collect();
                    assert!(words.contains(&"right") && words.contains(&"wrong"), "{words:?}");
                    let (right, wrong) = figure.description().split_once(" Wrong: ").unwrap();
                    assert!(right.contains(" Right: ") && !right.contains(wrong), "{}", figure.description());
                    assert!(figure.description().chars().count() < 620, "{}", figure.description());
                    drawn += 1;
                }
            }
        }
    }
    assert!(drawn > 600, "{drawn}");
}

/// The example of every exercise on the shelf, on every ruler, and with every word of every choice.
#[test]
fn no_text_of_the_shelf_stands_on_another_or_on_a_line() {
    let shelf = Shelf::shipped();
    let mut looked_at = 0;
    for exercise in shelf.iter() {
        let choices = exercise.givens.iter().flat_map(|given| {
            let GivenKind::Choice { words, .. } = &given.kind else { return Vec::new() };
            words.iter().map(|choice| (given.name.as_str(), &choice.word)).collect()
        });
        for choice in std::iter::once(None).chain(choices.map(Some)) {
            let mut raw = Raw::example(exercise);
            if let Some((given, word)) = choice {
                raw.singles.retain(|entry| entry.key != given);
                raw.add(&format!("{given}={word}")).unwrap();
            }
            for ruler in [Ruler::EIGHTH, Ruler::SIXTEENTH, Ruler::MILLIMETRE] {
                let Ok(givens) = Givens::read(exercise, &raw, None, ruler) else { continue };
                let draft = Draft::new(exercise, givens).unwrap();
                for figure in figures(&draft) {
                    let faults = faults(&figure);
                    assert!(
                        faults.is_empty(),
                        "{} {choice:?} on {ruler}, {}: {faults:#?}",
                        exercise.name,
                        figure.title()
                    );
                    looked_at += 1;
                }
            }
        }
    }
    assert!(looked_at > 1_000, "only {looked_at}");
}

/// Numbers that look random and are the same every time.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % sides
    }

    fn point(&mut self, width: f64, height: f64) -> Point {
        Point::new(width * self.roll(17) as f64 / 16.0, height * self.roll(17) as f64 / 16.0)
    }
}

/// A sheet with lines, names and dimensions anywhere.
fn made_up(dice: &mut Dice) -> Sheet<'static> {
    let sizes = [(300.0, 300.0), (40.0, 900.0), (900.0, 40.0), (1.0, 1.0), (0.0, 200.0), (200.0, 0.0), (5e6, 3e6)];
    let (width, height) = sizes[dice.roll(7) as usize];
    let mut sheet = Sheet { grows: dice.roll(2) == 0, is_to_scale: true, ..Sheet::default() };
    let words = ["base", "fold line", "pocket, fold at its top", "Wattestäbchenschachtelhalter", "tie, at its middle"];
    for index in 0..dice.roll(9) {
        let pen = Pen::ALL[dice.roll(7) as usize].1;
        let label = (dice.roll(3) > 0).then(|| format!("{} {index}", words[dice.roll(5) as usize]));
        let (a, b) = (dice.point(width, height), dice.point(width, height));
        let mark = match dice.roll(5) {
            4 => {
                let (start, sweep) = (dice.roll(7) as f64, dice.roll(13) as f64 - 6.2);
                Mark::Arc { curve: Curve::Arc { centre: a, radius: a.distance(b), start, sweep }, pen, label }
            }
            0 => Mark::Spot { at: a, label },
            1 => Mark::Objects { boxes: vec![(a, b)], label },
            2 => Mark::Lines { lines: vec![(a, Point::new(b.x, a.y))], pen, label },
            _ => Mark::Lines { lines: vec![(a, Point::new(a.x, b.y))], pen, label },
        };
        let standing = if dice.roll(3) == 0 { Standing::Now } else { Standing::Before };
        sheet.marks.push((mark, standing));
    }
    for _ in 0..dice.roll(11) {
        let (from, to) = (dice.point(width, height), dice.point(width, height));
        let side = Side::ALL[dice.roll(4) as usize].1;
        let value = ["5 in", "12 1/2 in", "≈ 317.5 cm"][dice.roll(3) as usize].to_owned();
        sheet.dimensions.push(Dimension {
            from,
            to,
            side,
            title: "finished width".to_owned(),
            value,
            is_wrong: dice.roll(5) == 0,
        });
    }
    sheet
}

#[test]
fn no_letter_of_a_blank_stands_on_another_or_on_a_line() {
    let shelf = Shelf::shipped();
    for exercise in shelf.iter() {
        for every in 1..6 {
            let steps: Vec<_> = exercise.steps.keys().step_by(every).collect();
            let blank = super::blank(exercise, None, &steps).unwrap();
            let faults = faults(&blank.figure);
            assert!(faults.is_empty(), "{}, every {every}: {faults:#?}", blank.figure.title());
        }
    }
}

/// Some answers of an exercise's example changed by up to half, and drawn over it.
#[test]
fn no_text_of_an_overlay_stands_on_another_or_on_a_line() {
    let shelf = Shelf::shipped();
    let mut dice = Dice(11);
    let mut drawn = 0;
    for exercise in shelf.iter() {
        let givens = Givens::read(exercise, &Raw::example(exercise), None, exercise.usual_ruler(false)).unwrap();
        let truth = Draft::new(exercise, givens.clone()).unwrap();
        let widths: TiVec<StepId, f64> = vec![givens.ruler.tick().as_nm_f64(); exercise.steps.len()].into();
        for round in 0..40 {
            let changed: Vec<(StepId, f64)> = (0..1 + dice.roll(5))
                .map(|_| (StepId(dice.roll(exercise.steps.len() as u64) as usize), 0.5 + dice.roll(11) as f64 / 10.0))
                .collect();
            let value = |step: StepId, row: usize| truth.measures.value(exercise.steps[step].slot, row).unwrap();
            let choose = |step: StepId, row: usize| {
                changed.iter().find(|(known, _)| *known == step).map(|(_, times)| value(step, row) * times)
            };
            let Ok(own) = Draft::choosing(exercise, givens.clone(), &choose) else { continue };
            let differing: Vec<Differing> = changed
                .iter()
                .map(|(step, times)| Differing {
                    step: *step,
                    yours: value(*step, 0) * times,
                    rule: value(*step, 0),
                    rule_text: truth.text_at(exercise.steps[*step].slot, 0),
                })
                .collect();
            if let Some(figure) = super::overlay(&truth, &own, &widths, &differing) {
                drawn += 1;
                let faults = faults(&figure);
                assert!(faults.is_empty(), "{} {round}: {faults:#?}", exercise.name);
            }
        }
    }
    assert!(drawn > 300, "only {drawn} were drawn");
}

/// A strip is as wide as its longest name and value leave it; names come in all lengths.
#[test]
fn no_text_of_choices_stands_on_another_or_on_a_line() {
    let mut dice = Dice(3);
    let inch = 25_400_000.0;
    for round in 0..300 {
        let ruler = [Ruler::EIGHTH, Ruler::SIXTEENTH, Ruler::MILLIMETRE][dice.roll(3) as usize];
        let most = [0.5, 3.0, 12.0, 90.0][dice.roll(4) as usize];
        let rows: Vec<Chosen> = (0..1 + dice.roll(30))
            .map(|_| {
                let names = ["Yew", "Viper's bugloss", "Wandering-Wandering-Willow of the lower meadow", "W"];
                let mut any = || (dice.roll(2) > 0).then(|| most * inch * dice.roll(64) as f64 / 64.0);
                let (low, high) = (any(), any().map(|high| high * 2.0));
                let value = most * inch * dice.roll(256) as f64 / 64.0;
                let text = draft::value_text(Base::Length, value, ruler);
                let name = names[dice.roll(4) as usize].to_owned();
                Chosen { name, text, value, low, high, is_beyond: dice.roll(4) == 0 }
            })
            .collect();
        let faults = faults(&super::choices("Pocket height", ruler, &rows));
        assert!(faults.is_empty(), "{round}: {faults:#?}\n{rows:#?}");
    }
}

#[test]
fn no_text_of_a_made_up_sheet_stands_on_another_or_on_a_line() {
    let mut dice = Dice(7);
    let mut shown = 0;
    for round in 0..3000 {
        let sheet = made_up(&mut dice);
        let drawing = sheet.draw();
        shown += drawing.texts().len();
        let faults = faults(&Figure::new("", "", [drawing]));
        assert!(faults.is_empty(), "sheet {round}: {faults:#?}\n{:#?}\n{:#?}", sheet.dimensions, sheet.marks);
    }
    assert!(shown > 15_000, "only {shown} texts were looked at");
}

#[test]
fn proofing_finds_what_is_wrong() {
    let mut drawing = Drawing::default();
    for _ in 0..2 {
        drawing.write(Text::level(TextRole::Name, vec!["word".to_owned()], Point::new(20.0, 20.0), Anchor::Start));
    }
    drawing.add(Path::run(Role::Extension, &[Point::new(0.0, 21.0), Point::new(60.0, 21.0)]));
    let faults = faults(&Figure::new("", "", [drawing]));
    assert_eq!(faults.len(), 3, "{faults:?}");
}
