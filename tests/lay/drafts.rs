//! Random drafts laid on random cloths, looked over with a general geometry library.

use super::QUICK;
use super::ranges::{Choices, Draws};
use foldmark::draft::Draft;
use foldmark::exercise::Shelf;
use foldmark::geometry::Point;
use foldmark::lay::{Cloth, Laid, Lay, LayFault, plan};
use foldmark::length::{Length, Ruler, Unit};
use geo::{Area, BooleanOps, Coord, LineString, Polygon};

/// So many drafts in all.
const DRAFTS: usize = if QUICK { 280 } else { 5_000 };

fn inches(count: f64) -> Length {
    Length::from_nm((count * 25_400_000.0) as i64)
}

fn polygon(points: &[Point]) -> Polygon {
    Polygon::new(LineString(points.iter().map(|point| Coord { x: point.x, y: point.y }).collect()), Vec::new())
}

#[test]
fn nothing_overlaps_and_grain_and_nap_are_kept() {
    let shelf = Shelf::shipped();
    let (mut draws, mut dice) = (Draws::new(11), Draws::new(12));
    let mut die = |sides: i64| dice.point(sides).x as usize;
    let exercises: Vec<_> = shelf.iter().collect();
    let (mut lays, mut refused, mut at) = (0, 0, 0);
    // How much longer the rows are than the lay, and how much longer the lay than no lay can be, by exercise.
    let mut table = vec![(0_u32, 0.0, 0.0, 0.0); exercises.len()];
    let mut laid = 0;
    while laid < DRAFTS {
        at += 1;
        let exercise = exercises[at % exercises.len()];
        let ruler = [Ruler::EIGHTH, Ruler::MILLIMETRE][at % 2];
        let Ok(draft) = draws.draft(exercise, ruler, Choices::Suggested).draft else { continue };
        if draft.cutting_list().is_err() {
            continue;
        }
        laid += 1;
        let is_one_way = die(3) == 0;
        let turns = !is_one_way && die(3) == 0;
        let cloth = Cloth {
            width: inches(30.0 + die(31) as f64),
            is_one_way,
            turns,
            is_folded: die(3) == 0,
            repeat: if !turns && die(4) == 0 { inches(1.0 + die(12) as f64) } else { Length::ZERO },
            ..Cloth::usual(false)
        };
        match plan(&draft, &|_| cloth.clone(), if QUICK { 2_000 } else { 20_000 }) {
            Ok(plan) => {
                let pieces: u32 = draft.pieces().map(|piece| piece.count).sum();
                let cut: u32 = plan.iter().flat_map(|lay| &lay.laid).map(|laid| laid.copies).sum();
                assert_eq!(cut, pieces, "{}", exercise.name);
                for lay in &plan {
                    check(&draft, lay);
                    lays += 1;
                    // What is turned was chosen for the lay: rows of the same would compare nothing.
                    if !turns {
                        let row = &mut table[at % exercises.len()];
                        let used = f64::from(lay.used()) / 100.0;
                        let rows = rows(lay) / lay.length.as_mm();
                        assert!(rows > 1.0 - 1e-9, "{}: rows are shorter", exercise.name);
                        *row = (row.0 + 1, row.1 + rows, row.2 + ratio(lay), row.3 + used);
                    }
                }
            }
            Err(fault @ LayFault::TooNarrow { .. }) => {
                let LayFault::TooNarrow { room, needs, .. } = &fault else { unreachable!() };
                assert!(needs.0 > *room && fault.to_string().contains("too narrow"), "{fault}");
                refused += 1;
            }
            Err(fault) => panic!("{}: {fault}", exercise.name),
        }
    }
    println!("{:20} {:>5} {:>12} {:>12} {:>12}", "", "lays", "rows / lay", "lay / least", "used");
    for (exercise, (count, rows, least, used)) in exercises.iter().zip(table) {
        let of = |sum: f64| sum / f64::from(count.max(1));
        println!("{:20} {count:5} {:12.3} {:12.3} {:10.0} %", exercise.name, of(rows), of(least), 100.0 * of(used));
    }
    println!("{DRAFTS} drafts, {lays} lays, {refused} too wide for their cloth");
    assert!(refused < DRAFTS / 2 && lays > DRAFTS / 2);
}

fn ratio(lay: &Lay) -> f64 {
    assert!(lay.length >= lay.least);
    lay.length.as_mm() / lay.least.as_mm()
}

/// The boxes of a lay in simple rows, the longest first.
fn rows(lay: &Lay) -> f64 {
    let mut sizes: Vec<(f64, f64, bool)> = lay
        .laid
        .iter()
        .map(|laid| {
            let repeat = lay.cloth.repeat.as_mm();
            let high = laid.bounds.height();
            let along = if repeat > 0.0 { ((high - 1e-6) / repeat).ceil() * repeat } else { high };
            (along, laid.bounds.width(), laid.on_fold)
        })
        .collect();
    sizes.sort_by(|a, b| b.0.total_cmp(&a.0).then(b.1.total_cmp(&a.1)));
    let room = lay.cloth.room().as_mm() + 1e-6;
    let mut rows: Vec<f64> = Vec::new();
    let mut length = 0.0;
    for (along, across, on_fold) in sizes {
        match rows.iter_mut().find(|taken| !on_fold && **taken + across <= room) {
            Some(taken) => *taken += across,
            None => {
                rows.push(across);
                length += along;
            }
        }
    }
    length
}

fn check(draft: &Draft, lay: &Lay) {
    let (room, length) = (lay.cloth.room().as_mm(), lay.length.as_mm());
    let polygons: Vec<Polygon> = lay.laid.iter().map(|laid| polygon(&laid.outline)).collect();
    for (at, (laid, one)) in lay.laid.iter().zip(&polygons).enumerate() {
        let name = format!("{}, {} on {:?}", draft.exercise.name, laid.piece.name, lay.cloth);
        for point in &laid.outline {
            let is_inside = (-1e-3..=room + 1e-3).contains(&point.x) && (-1e-3..=length + 1e-3).contains(&point.y);
            assert!(is_inside, "{name}: {point:?}");
        }
        for (other, its) in polygons[at + 1..].iter().zip(&lay.laid[at + 1..]) {
            let shared = one.intersection(other).unsigned_area();
            assert!(shared < 0.05, "{name} lies on {} by {shared} mm²", its.piece.name);
        }
        let repeat = lay.cloth.repeat.as_mm();
        if repeat > 0.0 {
            let rest = laid.bounds.least.y / repeat;
            assert!((rest - rest.round()).abs() < 1e-6, "{name}: begins within a repeat");
        }
        assert!(!laid.is_turned || lay.cloth.turns, "{name}: turned");
        assert!(!laid.on_fold || (lay.cloth.is_folded && laid.bounds.least.x == 0.0), "{name}: off the fold");
        lies_as_its_grain_says(draft, laid, lay.cloth.is_folded, &name);
    }
}

/// The piece is where it is drafted, moved, and neither turned nor mirrored in another way than is said.
fn lies_as_its_grain_says(draft: &Draft, laid: &Laid, is_folded: bool, name: &str) {
    let cut = draft.piece(laid.piece).unwrap();
    let drafted = if laid.on_fold { cut.outline.cutting() } else { cut.outline.unfolded() };
    assert_eq!(drafted.len(), laid.outline.len(), "{name}");
    assert!(!laid.on_fold || is_folded);
    let up = |point: Point| if laid.piece.grain_up { point } else { Point::new(-point.y, point.x) };
    let mirrored = |point: Point| if laid.is_mirrored { Point::new(-point.x, point.y) } else { point };
    let turned = |point: Point| if laid.is_turned { Point::new(-point.y, point.x) } else { point };
    let away = |at: usize| {
        let own = turned(mirrored(up(drafted[at])));
        (laid.outline[at].x - own.x, laid.outline[at].y - own.y)
    };
    let first = away(0);
    for at in 1..drafted.len() {
        let other = away(at);
        assert!((first.0 - other.0).abs() < 1e-6 && (first.1 - other.1).abs() < 1e-6, "{name}: {first:?} {other:?}");
    }
    // A pair is a left and a right.
    assert!(laid.on_fold || is_folded || laid.is_mirrored == (laid.copy.is_multiple_of(2)), "{name}");
}

/// A draft is laid in the same way every time.
#[test]
fn the_same_lay_every_time() {
    let shelf = Shelf::shipped();
    for exercise in shelf.iter() {
        let drafted = || Draws::new(3).draft(exercise, Ruler::EIGHTH, Choices::Suggested).draft;
        let (Ok(one), Ok(other)) = (drafted(), drafted()) else { continue };
        let cloth = Cloth { width: Length::of(60, Unit::Inch), ..Cloth::usual(false) };
        let of = |draft: &Draft| plan(draft, &|_| cloth.clone(), 5_000).map(|lays| format!("{lays:?}"));
        let told = |result: Result<String, LayFault>| result.unwrap_or_else(|fault| fault.to_string());
        assert_eq!(told(of(&one)), told(of(&other)), "{}", exercise.name);
    }
}
