//! What has to hold of every exercise on the shelf, whatever it drafts. The problems are the program's own, and random
//! givens from the whole of their ranges; what is checked is closed form: keys agree, lines lie where allowances say,
//! sewn edges are equally long.

mod outlines;
mod ranges;

use super::RULERS;
use foldmark::check::{answer_file, mark, read_answers};
use foldmark::draft::{CutPiece, Draft, broken_limit};
use foldmark::exercise::{Exercise, Sewn, Shelf, Slip, StepRule};
use foldmark::figure;
use foldmark::formula::Values;
use foldmark::geometry::Point;
use foldmark::length::{Ruler, Tolerance};
use foldmark::practice::set;
use geo::{Coord, LineString, Polygon, Validation};
use outlines::{is_simple, length};
use ranges::{Choices, Draws, told};
use rayon::prelude::*;

fn for_every_problem(count: usize, check: impl Fn(&Exercise, &Draft) + Sync) {
    let shelf = Shelf::shipped();
    let cases: Vec<_> =
        shelf.iter().flat_map(|exercise| exercise.rulers.iter().map(move |ruler| (exercise, *ruler))).collect();
    cases.par_iter().for_each(|&(exercise, ruler)| {
        let problems = set(exercise, ruler, count, 21);
        let problems = problems.unwrap_or_else(|fault| panic!("{} on {ruler}: {fault}", exercise.name));
        for problem in &problems {
            check(exercise, &problem.draft);
        }
    });
}

/// Every key is all right, and every choice falls on a tick.
#[test]
fn every_key_checks_as_all_right() {
    for_every_problem(250, |exercise, draft| {
        let filled = answer_file(draft, "Clover", true);
        let sheet = read_answers(&filled).unwrap();
        let marked = mark(exercise, &sheet).unwrap_or_else(|faults| panic!("{}: {faults:?}\n{filled}", exercise.name));
        assert!(marked.all_right(), "{}: {:?}\n{filled}", exercise.name, marked.cells);
        assert!(draft.seams().unwrap().iter().all(|seam| seam.is_true()), "{filled}");
        for step in exercise.steps.iter().filter(|step| matches!(step.rule, StepRule::Within { .. })) {
            let ruler = draft.givens.ruler;
            assert!((0..draft.rows(step)).all(|row| ruler.on_tick(draft.length(&step.name, row))), "{filled}");
        }
    });
}

/// So many drafts of each exercise.
const DRAFTS: usize = 3_000;

/// How often a draw was no draft that could be made.
#[derive(Debug, Default)]
struct Tally {
    /// A step could not be worked out.
    unworked: usize,
    /// The limits of a choice passed each other.
    closed: usize,
    /// A piece could not be cut, because a choice broke its limits.
    uncut: usize,
    /// What the program suggested broke a limit that could be kept.
    ill_suggested: usize,
    /// Every piece could be cut, and every choice kept to its limits.
    sound: usize,
}

/// Thousands of random givens from the whole of their ranges: what can't be made is told in a sentence, and whatever
/// is cut is cut right.
#[test]
fn over_the_whole_of_their_ranges() {
    let shelf = Shelf::shipped();
    let mut sound = 0;
    std::thread::scope(|scope| {
        let tried: Vec<_> = shelf.iter().map(|exercise| (exercise, scope.spawn(|| try_out(exercise)))).collect();
        for (exercise, tally) in tried {
            let tally = tally.join().unwrap_or_else(|_| panic!("{}: see above", exercise.name));
            let name = &exercise.name;

            // A roll's objects may be too unlike for one pocket; other drafts nearly always leave a choice.
            assert!(tally.sound >= DRAFTS / 20, "{name}: {tally:?}");
            assert!(tally.unworked <= DRAFTS / 5, "{name}: {tally:?}");
            assert!(tally.uncut <= DRAFTS / 5, "{name}: {tally:?}");
            assert!(tally.ill_suggested <= DRAFTS / 50, "{name}: {tally:?}");
            sound += tally.sound;
        }
        assert!(sound > shelf.iter().count() * DRAFTS / 2, "{sound} of all");
    });
}

fn try_out(exercise: &Exercise) -> Tally {
    let mut draws = Draws::new(7);
    let mut tally = Tally::default();
    for at in 0..DRAFTS {
        let how = [Choices::Suggested, Choices::Within, Choices::Wild][at % 3];
        let drawn = draws.draft(exercise, RULERS[at % RULERS.len()], how);
        let draft = match drawn.draft {
            Ok(draft) => draft,
            Err(fault) => {
                let is_told = fault.to_string().starts_with(&exercise.steps[fault.step].title);
                assert!(is_told, "{}: {fault}", exercise.name);
                tally.unworked += 1;
                continue;
            }
        };
        if let Some(step) = drawn.closed {
            let marked = mark(exercise, &read_answers(&answer_file(&draft, "Clover", true)).unwrap()).unwrap();
            // Marking says so, or that the number can't be meant where what is allowed is next to nothing.
            let closed = format!("with these givens no {} is possible", step.short);
            let mut cells = marked.cells.iter().filter(|cell| exercise.steps[cell.step].name == step.name);
            let is_told =
                cells.any(|cell| cell.remark.starts_with(&closed) || cell.remark.contains("is far more than"));
            assert!(is_told, "{}: {}", step.name, told(&draft));
            tally.closed += 1;
        }
        tally.ill_suggested += usize::from(drawn.is_legal && how == Choices::Suggested && !keeps_its_limits(&draft));
        let pieces: Vec<_> = draft.pieces().map(|piece| (piece, draft.piece(piece))).collect();
        let mut cut: Vec<CutPiece> = Vec::new();
        for (piece, made) in pieces {
            match made {
                Ok(made) => {
                    let fault = outlines::fault(&made.outline);
                    assert!(fault.is_none(), "{}: {}\n{}", piece.name, fault.unwrap_or_default(), told(&draft));
                    cut.push(made);
                }
                // Limits are there to be kept, and whoever keeps them can cut what they draft.
                Err(fault) if drawn.is_legal => panic!("{}: {fault}\n{}", piece.name, told(&draft)),
                Err(fault) => assert!(fault.to_string().starts_with("the edge \""), "{fault}"),
            }
        }
        if cut.len() < draft.pieces().count() {
            tally.uncut += 1;
            continue;
        }
        tally.sound += usize::from(drawn.is_legal);
        sewn_edges_agree(&draft, &cut);
    }
    tally
}

fn keeps_its_limits(draft: &Draft) -> bool {
    let tolerance = Tolerance::one_tick(draft.givens.ruler);
    draft.exercise.steps.iter().all(|step| {
        let value = |row| draft.measures.value(step.slot, row).unwrap();
        (0..draft.rows(step)).all(|row| broken_limit(step, value(row), &draft.measures, row, tolerance).is_none())
    })
}

/// Both sides of every seam are equally long to a micrometre, measured on the pieces.
fn sewn_edges_agree(draft: &Draft, cut: &[CutPiece]) {
    let measures = &draft.measures;
    for seam in &draft.exercise.seams {
        if seam.when.as_ref().is_some_and(|when| !when.holds(measures)) {
            continue;
        }
        let side = |edges: &[Sewn]| -> f64 {
            let sewn = |sewn: &Sewn| {
                let piece = &draft.exercise.pieces[sewn.piece].name;
                let made = cut.iter().find(|made| made.piece.name == *piece).unwrap();
                // An edge may be left in two stretches where a piece was split.
                let stretches = made.outline.edges().iter().filter(|edge| edge.name == sewn.edge);
                stretches.map(|edge| length(edge).unwrap_or_else(|| edge.stitching_length())).sum::<f64>()
            };
            edges.iter().map(sewn).sum()
        };
        let ease = seam.ease.as_ref().map_or(0.0, |ease| ease.evaluate(measures, None).unwrap() / 1e6);
        let (one, other) = (side(&seam.one), side(&seam.other));
        assert!((one + ease - other).abs() <= 1e-3, "{}: {one} against {other}\n{}", seam.name, told(draft));
    }
}

#[test]
fn every_figure_can_be_drawn() {
    for_every_problem(6, |exercise, draft| {
        let mut figures = vec![figure::whole(draft)];
        figures.extend(exercise.steps.keys().map(|step| figure::step(draft, step)));
        figures.extend(draft.pieces().map(|piece| figure::piece(draft, piece).unwrap()));
        figures.extend(exercise.sections.iter().map(|section| figure::section(draft, section).unwrap()));
        figures.extend(exercise.views.iter().map(|view| figure::view(draft, view).unwrap()));
        for figure in figures {
            let svg = figure.inline("f");
            assert!(!svg.contains("NaN") && !svg.contains("inf"), "{}: {}", exercise.name, figure.title());
            assert!(figure.description().chars().count() < 620, "{}: {}", exercise.name, figure.description());
        }
    });
}

/// The test for lines that cross themselves, against `geo`'s on random ones: five or six corners among the points of a
/// coarse grid, so that many touch.
#[test]
fn simple_lines_are_told_from_others() {
    let mut draws = Draws::new(3);
    let (mut simple, mut crossing) = (0, 0);
    for at in 0..4_000 {
        let line: Vec<Point> = (0..5 + at % 2).map(|_| draws.point(6)).collect();
        let ring = LineString(line.iter().map(|point| Coord { x: point.x, y: point.y }).collect());
        let is_valid = Polygon::new(ring, Vec::new()).is_valid();
        // `geo` lets two sides that share a corner lie on each other.
        assert!(!is_simple(&line) || is_valid, "{line:?}");
        assert!(is_simple(&line) || !is_valid || outlines::turns_back(&line), "{line:?}");
        *(if is_simple(&line) { &mut simple } else { &mut crossing }) += 1;
    }
    assert!(simple > 500 && crossing > 500, "{simple} and {crossing}");
}

/// No two slips of a step are the same formula in other words: where both can be made, they differ somewhere.
#[test]
fn slips_of_a_step_differ() {
    for exercise in Shelf::shipped().iter() {
        let problems = set(exercise, Ruler::SIXTEENTH, 40, 21).unwrap();
        for (at, one) in exercise.slips.iter_enumerated() {
            for other in exercise.slips.iter().skip(at.0 + 1).filter(|other| other.step == one.step) {
                let mut apart = problems.iter().filter_map(|problem| {
                    let measures = &problem.draft.measures;
                    let can_be = |slip: &Slip| slip.when.as_ref().is_none_or(|when| when.holds(measures));
                    let by = |row| {
                        (one.used.evaluate(measures, Some(row)).unwrap()
                            - other.used.evaluate(measures, Some(row)).unwrap())
                        .abs()
                    };
                    let rows = 0..problem.draft.rows(&exercise.steps[one.step]);
                    (can_be(one) && can_be(other)).then(|| rows.map(by).fold(0.0, f64::max))
                });
                let is_told = apart.next().is_none_or(|first| apart.fold(first, f64::max) > 1e3);
                assert!(is_told, "{}: {} and {}", exercise.name, one.name, other.name);
            }
        }
    }
}

/// What an exercise is expected to have: reasons, nudges that give nothing away, slips, pieces, cautions.
#[test]
fn every_exercise_is_complete() {
    for exercise in Shelf::shipped().iter() {
        let name = &exercise.name;
        assert!(exercise.steps.len() >= 5 && exercise.slips.len() >= 5, "{name}");
        assert!(!exercise.pieces.is_empty() && !exercise.cautions.is_empty(), "{name}");
        assert!(!exercise.practice.tells.is_empty() && !exercise.practice.require.is_empty(), "{name}");
        assert!(
            exercise.rulers.iter().any(|ruler| ruler.is_metric())
                && exercise.rulers.iter().any(|ruler| !ruler.is_metric()),
            "{name}"
        );
        for step in &exercise.steps {
            assert!(!step.why.is_empty() && !step.nudge.is_empty(), "{name}: {}", step.name);
            assert!(
                !step.nudge.chars().any(|letter| letter.is_ascii_digit()),
                "{name}: the nudge of {} has a number in it",
                step.name
            );
            if let StepRule::Within { limits, .. } = &step.rule {
                assert!(!limits.is_empty(), "{name}: {}", step.name);
            }
        }
    }
}
