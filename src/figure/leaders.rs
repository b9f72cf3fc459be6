//! Every leader of every figure is followed: it crosses no other leader, and as few objects and folds as can be.

use super::Figure;
use super::drawing::{Area, Drawing, Path, Role, Shape, TextRole};
use super::layout::beside::cross;
use super::layout::inside;
use crate::draft::{Draft, Givens, Raw};
use crate::exercise::{Pen, Shelf};
use crate::geometry::Point;
use crate::length::Ruler;

type Line = (Point, Point);

/// How often leaders cross each other, objects, and folds.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
struct Crossings {
    leaders: usize,
    of_leaders: usize,
    of_objects: usize,
    of_folds: usize,
}

/// The lines of the paths with a role, each path on its own.
fn of_role(drawing: &Drawing, is: impl Fn(Role) -> bool) -> Vec<Vec<Line>> {
    let paths = drawing.paths().iter().filter(|path| is(path.role));
    paths.map(|path: &Path| inside::lines_of(path)).collect()
}

fn crossings(figure: &Figure) -> Crossings {
    let mut all = Crossings::default();
    for drawing in figure.drawings() {
        let leaders = of_role(drawing, |role| role == Role::Leader);
        let folds = of_role(drawing, |role| matches!(role, Role::Line(Pen::Fold) | Role::Layer)).concat();
        let objects: Vec<Area> = drawing
            .paths()
            .iter()
            .filter(|path| path.role == Role::Objects)
            .filter_map(|path| match &path.shape {
                Shape::Rounded(all) => Some(all.iter().map(|one| Area::from(one.rect()))),
                Shape::Runs(_) | Shape::Arc { .. } => None,
            })
            .flatten()
            .collect();
        all.leaders += leaders.len();
        for (index, leader) in leaders.iter().enumerate() {
            let meets = |others: &[Line]| leader.iter().any(|one| others.iter().any(|other| cross(*one, *other)));
            all.of_leaders += leaders[..index].iter().filter(|other| meets(other)).count();
            all.of_folds += usize::from(meets(&folds));
            let Some((start, _)) = leader.first() else { continue };
            let is_its_own = |area: &&Area| area.grown(0.5).meets(Area::around(*start, 0.1));
            let others = objects.iter().filter(|area| !is_its_own(area));
            all.of_objects +=
                others.filter(|area| leader.iter().any(|(a, b)| area.part_inside(*a, *b).is_some())).count();
        }
    }
    all
}

/// Where a leader has to cross an object or a fold: a pocket lies between two layers, through which a seam or a fold goes; and
/// where many narrow objects stand close together, there is no way out between them.
const CROSSED: [&str; 4] = [
    "Roll with a folding flap: the layers before turning",
    "Flat pouch with a zip: the seam at the zip",
    "Mixed roll with two pocket heights: the finished draft",
    "Needle book: the finished draft",
];

/// The steps, the whole, the pieces, sections and views of the example of every exercise, on every ruler. No leader crosses
/// another, none crosses an object or a fold but in the figures named above, and most names need none.
#[test]
fn leaders_cross_nothing_they_need_not() {
    let shelf = Shelf::shipped();
    let (mut drafts, mut named, mut leaders) = (0, 0, 0);
    for exercise in shelf.iter() {
        for ruler in [Ruler::EIGHTH, Ruler::SIXTEENTH, Ruler::MILLIMETRE, Ruler::FIVE_MILLIMETRES] {
            let Ok(givens) = Givens::read(exercise, &Raw::example(exercise), None, ruler) else { continue };
            let draft = Draft::new(exercise, givens).unwrap();
            let steps = exercise.steps.keys().map(|step| super::step(&draft, step));
            let pieces = exercise.pieces.iter().flat_map(|piece| {
                super::piece(&draft, piece).ok().into_iter().chain(super::opened(&draft, piece).ok().flatten())
            });
            let sections = exercise.sections.iter().map(|one| super::section(&draft, one).unwrap());
            let views = exercise.views.iter().map(|one| super::view(&draft, one).unwrap());
            let figures = steps.chain([super::whole(&draft)]).chain(pieces).chain(sections).chain(views);
            for figure in figures {
                let here = crossings(&figure);
                leaders += here.leaders;
                assert_eq!(here.of_leaders, 0, "{} on {ruler}, {}", exercise.name, figure.title());
                let is_clear = here.of_objects + here.of_folds == 0 || CROSSED.contains(&figure.title());
                assert!(is_clear, "{} on {ruler}, {}: {here:?}", exercise.name, figure.title());
                let texts = figure.drawings().iter().flat_map(Drawing::texts);
                named += texts.filter(|text| matches!(text.role, TextRole::Name | TextRole::NewName)).count();
            }
            drafts += 1;
        }
    }
    assert!(drafts > 50 && named > 4_000 && leaders * 3 < named * 2, "{leaders} leaders for {named} names");
}
