//! What has to hold of every exercise on the shelf, whatever it drafts. The problems are the program's own; what is
//! checked is closed form: keys agree, lines lie where allowances say, sewn edges are equally long.

use foldmark::check::{answer_file, mark, read_answers};
use foldmark::draft::Draft;
use foldmark::exercise::{Exercise, Shelf, Slip, StepRule};
use foldmark::figure;
use foldmark::geometry::{Edge, Finish, Outline, Point};
use foldmark::length::Ruler;
use foldmark::practice::set;

const RULERS: [Ruler; 3] = [Ruler::EIGHTH, Ruler::SIXTEENTH, Ruler::MILLIMETRE];

fn for_every_problem(count: usize, check: impl Fn(&Exercise, &Draft)) {
    let shelf = Shelf::shipped();
    for exercise in shelf.iter() {
        for ruler in RULERS {
            let problems = set(exercise, ruler, count, 21);
            let problems = problems.unwrap_or_else(|fault| panic!("{} on {ruler}: {fault}", exercise.name));
            for problem in &problems {
                check(exercise, &problem.draft);
            }
        }
    }
}

#[test]
fn every_key_checks_as_all_right() {
    for_every_problem(150, |exercise, draft| {
        let filled = answer_file(draft, "Clover", true);
        let sheet = read_answers(&filled).unwrap();
        let marked = mark(exercise, &sheet).unwrap_or_else(|faults| panic!("{}: {faults:?}\n{filled}", exercise.name));
        assert!(marked.all_right(), "{}: {:?}\n{filled}", exercise.name, marked.cells);
    });
}

#[test]
fn cutting_lines_lie_outside_stitching_lines_by_the_allowance() {
    for_every_problem(150, |exercise, draft| {
        for piece in draft.pieces() {
            let cut = draft.piece(piece).unwrap_or_else(|fault| panic!("{} {}: {fault}", exercise.name, piece.name));
            let outline = &cut.outline;
            for (edge, points) in outline.edges().iter().zip(stations(outline)) {
                let width = edge.finish.width();
                assert!(edge.finish != Finish::Fold || width == 0.0);
                for point in points {
                    // Square to the edge the cut is as far out as the allowance, unless a corner has come before.
                    let nearest = outline
                        .edges()
                        .iter()
                        .map(|other| distance(point, other) - other.finish.width())
                        .fold(f64::MAX, f64::min);
                    assert!(
                        nearest > -1e-3,
                        "{} {}: {} is cut {nearest} too near",
                        exercise.name,
                        piece.name,
                        edge.name
                    );
                }
            }
        }
    });
}

/// Points of each edge's cutting line, between the corners.
fn stations(outline: &Outline) -> Vec<Vec<Point>> {
    let inside = |point: &Point| outline.cutting().iter().any(|corner| corner.distance(*point) < 1e-6);
    outline
        .edges()
        .iter()
        .map(|edge| {
            let width = edge.finish.width();
            let all = (1..8).map(|at| edge.curve.moved(f64::from(at) / 8.0, width));
            all.filter(|point| inside(point) || !edge.curve.is_straight()).collect()
        })
        .collect()
}

/// From a point to an edge's stitching line, closely enough walked.
fn distance(point: Point, edge: &Edge) -> f64 {
    let points = edge.drawn();
    let to_segment = |from: Point, to: Point| {
        let length = from.distance(to).max(1e-12);
        let along = ((point.x - from.x) * (to.x - from.x) + (point.y - from.y) * (to.y - from.y)) / (length * length);
        point.distance(from.towards(to, along.clamp(0.0, 1.0)))
    };
    // A chord lies up to a twentieth of a millimetre inside its curve.
    let slack = if edge.curve.is_straight() { 0.0 } else { 0.06 };
    points.windows(2).map(|pair| to_segment(pair[0], pair[1])).fold(f64::MAX, f64::min) + slack
}

#[test]
fn sewn_edges_are_equally_long() {
    for_every_problem(150, |exercise, draft| {
        for seam in draft.seams().unwrap() {
            assert!(seam.is_true(), "{} {}: {} against {}", exercise.name, seam.seam.name, seam.one, seam.other);
        }
    });
}

#[test]
fn every_figure_can_be_drawn() {
    for_every_problem(6, |exercise, draft| {
        let mut figures = vec![figure::whole(draft)];
        figures.extend((0..exercise.steps.len()).map(|step| figure::step(draft, step)));
        figures.extend(draft.pieces().map(|piece| figure::piece(draft, piece).unwrap()));
        for figure in figures {
            let svg = figure.inline("f");
            assert!(!svg.contains("NaN") && !svg.contains("inf"), "{}: {}", exercise.name, figure.title());
            assert!(figure.description().chars().count() < 420, "{}: {}", exercise.name, figure.description());
        }
    });
}

/// No two slips of a step are the same formula in other words: where both can be made, they differ somewhere.
#[test]
fn slips_of_a_step_differ() {
    for exercise in Shelf::shipped().iter() {
        let problems = set(exercise, Ruler::SIXTEENTH, 40, 21).unwrap();
        for (at, one) in exercise.slips.iter().enumerate() {
            for other in exercise.slips[at + 1..].iter().filter(|other| other.step == one.step) {
                let mut apart = problems.iter().filter_map(|problem| {
                    let measures = &problem.draft.measures;
                    let can_be =
                        |slip: &Slip| slip.when.as_ref().is_none_or(|when| when.evaluate(measures, None) != 0.0);
                    let by =
                        |row| (one.used.evaluate(measures, Some(row)) - other.used.evaluate(measures, Some(row))).abs();
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
