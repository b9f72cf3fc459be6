//! Cutting lines and areas against `geo`, a general-purpose geometry library, on thousands of random outlines.

use foldmark::geometry::{Curve, Edge, Finish, Outline, Point};
use geo::algorithm::buffer::{Buffer, BufferStyle, LineJoin};
use geo::{Area, BooleanOps, Coord, LineString, MultiPolygon, Polygon};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestRunner};
use std::cell::Cell;
use std::f64::consts::PI;

fn polygon(points: &[Point]) -> Polygon {
    Polygon::new(LineString(points.iter().map(|point| Coord { x: point.x, y: point.y }).collect()), Vec::new())
}

fn outline(corners: &[Point], allowance: f64) -> Result<Outline, String> {
    let next = corners.iter().cycle().skip(1);
    let edge = |(index, (from, to)): (usize, (&Point, &Point))| {
        Edge::straight(format!("edge {index}"), *from, *to, Finish::Allowance(allowance))
    };
    Outline::new(corners.iter().zip(next).enumerate().map(edge).collect()).map_err(|fault| fault.to_string())
}

/// The sharpest angle inside a counter-clockwise outline, in radians.
fn sharpest(corners: &[Point]) -> f64 {
    let count = corners.len();
    let angle = |at: usize| {
        let (a, b, c) = (corners[at], corners[(at + 1) % count], corners[(at + 2) % count]);
        let (before, after) = ((b.y - a.y).atan2(b.x - a.x), (c.y - b.y).atan2(c.x - b.x));
        let turn = (after - before + 3.0 * PI).rem_euclid(2.0 * PI) - PI;
        PI - turn
    };
    (0..count).map(angle).fold(f64::MAX, f64::min)
}

/// Outlines around a point: radii at growing angles, hollow corners among them.
fn stars() -> impl Strategy<Value = Vec<Point>> {
    proptest::collection::vec((60.0..200.0_f64, 0.3..1.0_f64), 4..12).prop_map(|parts| {
        let whole: f64 = parts.iter().map(|(_, step)| step).sum();
        let mut angle = 0.0;
        parts
            .iter()
            .map(|(radius, step)| {
                angle += step / whole * 2.0 * PI;
                Point::new(radius * angle.cos(), radius * angle.sin())
            })
            .collect()
    })
}

fn runner(cases: u32) -> TestRunner {
    TestRunner::new(Config { cases, rng_seed: RngSeed::Fixed(4), failure_persistence: None, ..Config::default() })
}

/// The cutting line is what `geo` draws around the stitching line with mitred corners: what the one covers and the
/// other does not is less than a hundredth of a square millimetre for each square centimetre.
#[test]
fn cutting_lines_agree() {
    let (compared, refused) = (Cell::new(0), Cell::new(0));
    let outcome = runner(4_000).run(&(stars(), 2.0..15.0_f64), |(corners, allowance)| {
        // Sharper corners are squared off here at four allowances, and elsewhere otherwise.
        prop_assume!(sharpest(&corners) > 0.6);
        let Ok(ours) = outline(&corners, allowance) else {
            refused.set(refused.get() + 1);
            return Ok(());
        };
        compared.set(compared.get() + 1);
        let style = BufferStyle::new(allowance).line_join(LineJoin::Miter(0.1));
        let theirs = polygon(&corners).buffer_with_style(style);
        let cut = polygon(&ours.cutting());
        let apart = theirs.xor(&geo::MultiPolygon(vec![cut.clone()])).unsigned_area();
        prop_assert!(apart < 1e-4 * cut.unsigned_area(), "apart by {apart} of {}", cut.unsigned_area());
        prop_assert!((ours.cut_area() - cut.unsigned_area()).abs() < 1e-6 * cut.unsigned_area());
        // Nowhere nearer to the stitching line than the allowance.
        for point in ours.cutting() {
            let nearest =
                ours.edges().iter().map(|edge| distance(point, edge.from(), edge.to())).fold(f64::MAX, f64::min);
            prop_assert!(nearest > allowance - 1e-6, "{nearest}");
        }
        Ok(())
    });
    outcome.unwrap();
    assert!(compared.get() > 1_500, "{} compared, {} refused", compared.get(), refused.get());
    assert!(refused.get() * 10 < compared.get(), "{} compared, {} refused", compared.get(), refused.get());
}

fn distance(point: Point, from: Point, to: Point) -> f64 {
    let length = from.distance(to);
    let along = ((point.x - from.x) * (to.x - from.x) + (point.y - from.y) * (to.y - from.y)) / (length * length);
    point.distance(from.towards(to, along.clamp(0.0, 1.0)))
}

/// Rounded oblongs, all four corners arcs of different radii: the area by `geo`, the lengths by closed form.
#[test]
fn rounded_outlines_agree() {
    let radii = [10.0..40.0_f64, 10.0..40.0_f64, 10.0..40.0_f64, 10.0..40.0_f64];
    let sizes = (100.0..400.0_f64, 100.0..400.0_f64, 1.0..25.0_f64);
    let outcome = runner(1_000).run(&(sizes, radii), |((w, h, allowance), r)| {
        let p = Point::new;
        let finish = Finish::Allowance(allowance);
        let straight = |name: &str, from, to| Edge::straight(name, from, to, finish);
        let arc = |name: &str, from, centre, to| Edge {
            curve: Curve::arc(from, centre, to, true).unwrap(),
            ..straight(name, from, to)
        };
        let piece = Outline::new(vec![
            straight("base", p(r[0], 0.0), p(w - r[1], 0.0)),
            arc("one", p(w - r[1], 0.0), p(w - r[1], r[1]), p(w, r[1])),
            straight("right", p(w, r[1]), p(w, h - r[2])),
            arc("two", p(w, h - r[2]), p(w - r[2], h - r[2]), p(w - r[2], h)),
            straight("top", p(w - r[2], h), p(r[3], h)),
            arc("three", p(r[3], h), p(r[3], h - r[3]), p(0.0, h - r[3])),
            straight("left", p(0.0, h - r[3]), p(0.0, r[0])),
            arc("four", p(0.0, r[0]), p(r[0], r[0]), p(r[0], 0.0)),
        ])
        .unwrap();
        let all: f64 = r.iter().sum();
        let stitching = 2.0 * w + 2.0 * h - 2.0 * all + all * PI / 2.0;
        prop_assert!((piece.stitching_length() - stitching).abs() < 1e-3);
        let cut: f64 = (0..8).map(|edge| piece.cut_length(edge)).sum();
        prop_assert!((cut - (stitching + 2.0 * PI * allowance)).abs() < 1e-3, "a turn of 360 degrees adds 2 π a");
        // Steiner's formula for a convex outline: A + L a + π a².
        let area = w * h - r.iter().map(|r| r * r).sum::<f64>() * (1.0 - PI / 4.0);
        let grown = area + stitching * allowance + PI * allowance * allowance;
        // As much as a line that is off by a micrometre all the way round.
        prop_assert!((piece.cut_area() - grown).abs() < 1e-3 * cut);
        prop_assert!((polygon(&piece.cutting()).unsigned_area() / grown - 1.0).abs() < 1e-3);
        let bounds = piece.cutting_bounds();
        prop_assert!(
            (bounds.width() - (w + 2.0 * allowance)).abs() < 1e-3
                && (bounds.height() - (h + 2.0 * allowance)).abs() < 1e-3
        );
        Ok(())
    });
    outcome.unwrap();
}

/// A star some of whose edges bulge or are hollow, as arcs or as cubics.
fn shapes() -> impl Strategy<Value = (Vec<Point>, Vec<(u8, f64)>)> {
    (stars(), proptest::collection::vec((0_u8..5, 0.6..3.0_f64), 12))
}

fn shaped(corners: &[Point], bends: &[(u8, f64)], allowance: f64) -> Result<Outline, String> {
    let edge = |index: usize| {
        let (from, to) = (corners[index], corners[(index + 1) % corners.len()]);
        let (kind, far) = bends[index];
        let (middle, chord) = (from.towards(to, 0.5), from.distance(to));
        // Square to the edge, to its left.
        let beside = |part: f64| Point::new(middle.x - (to.y - from.y) * part, middle.y + (to.x - from.x) * part);
        let curve = match kind {
            0 => Curve::arc(from, beside(far), to, true).unwrap(),
            1 => Curve::arc(from, beside(-far), to, false).unwrap(),
            2 => {
                let handle = |at: f64| from.towards(to, at).towards(beside(-far / 4.0), 0.5);
                Curve::Cubic { from, leaving: handle(0.2), reaching: handle(0.9), to }
            }
            _ => Curve::Line { from, to },
        };
        assert!(chord > 0.0);
        Edge { curve, ..Edge::straight(format!("edge {index}"), from, to, Finish::Allowance(allowance)) }
    };
    Outline::new((0..corners.len()).map(edge).collect()).map_err(|fault| fault.to_string())
}

/// The stitching line in chords that leave it by a tenth of a micrometre: of an outline a metre round, they leave out a
/// tenth of a square millimetre.
fn stitched(outline: &Outline) -> Polygon {
    let points = outline.edges().iter().flat_map(|edge| {
        let steps = edge.curve.steps(0.0, 1e-4);
        steps.into_iter().map(|t| edge.curve.at(t)).collect::<Vec<_>>()
    });
    polygon(&points.collect::<Vec<_>>())
}

/// Split by any line through their inside, the two parts are what `geo` finds on either side of it; their areas sum to
/// the whole; no length is lost; and the cut at both new edges is an allowance away from the line.
#[test]
fn split_outlines_agree() {
    let (compared, refused) = (Cell::new(0), Cell::new(0));
    let lines = (-30.0..30.0_f64, -30.0..30.0_f64, 0.0..2.0 * PI);
    let outcome = runner(400).run(&(shapes(), lines, 0.5..6.0_f64), |((corners, bends), (x, y, angle), allowance)| {
        let Ok(whole) = shaped(&corners, &bends, 1.0) else { return Ok(()) };
        let (from, along) = (Point::new(x, y), Point::new(angle.cos(), angle.sin()));
        let to = Point::new(x + along.x, y + along.y);
        let finish = Finish::Allowance(allowance);
        let parts = [whole.split(from, to, "new", finish), whole.split(to, from, "new", finish)];
        let [Ok(left), Ok(right)] = parts else {
            refused.set(refused.get() + 1);
            return Ok(());
        };
        compared.set(compared.get() + 1);
        let area = |outline: &Outline| stitched(outline).unsigned_area();
        let all = area(&whole);
        prop_assert!((area(&left) + area(&right) - all).abs() < 1e-3, "{} and {} of {all}", area(&left), area(&right));
        // The half plane left of the line, as far as any outline reaches.
        let corner = |ahead: f64, beside: f64| {
            Point::new(x + along.x * ahead - along.y * beside, y + along.y * ahead + along.x * beside)
        };
        let half = polygon(&[corner(-2e3, 0.0), corner(2e3, 0.0), corner(2e3, 4e3), corner(-2e3, 4e3)]);
        let apart = stitched(&whole).intersection(&half).xor(&MultiPolygon(vec![stitched(&left)])).unsigned_area();
        // The other library works on a grid of its own.
        prop_assert!(apart < 1e-6 * all, "apart by {apart} of {all}");
        // What is left of the edges is as long as they were; the new edge is alike on both sides. To a micrometre.
        let new = left.edges()[0].stitching_length();
        prop_assert!((new - right.edges()[0].stitching_length()).abs() < 1e-3);
        let lengths = left.stitching_length() + right.stitching_length() - 2.0 * new;
        prop_assert!((lengths - whole.stitching_length()).abs() < 1e-3);
        for (part, side) in [(&left, 1.0), (&right, -1.0)] {
            let height = |point: Point| ((point.y - y) * along.x - (point.x - x) * along.y) * side;
            let edge = &part.edges()[0];
            prop_assert!(height(edge.from()).abs() < 1e-3 && height(edge.to()).abs() < 1e-3);
            // No cut lies farther beyond the line than the allowance, and both corners of the new edge's cut do lie there.
            let lowest = part.cutting().into_iter().map(height).fold(f64::MAX, f64::min);
            let beside = part.edges().iter().map(|edge| edge.finish.width()).fold(0.0, f64::max);
            prop_assert!(lowest > -beside - 1e-6 && lowest < -allowance + 1e-3, "{lowest} for {allowance}");
        }
        Ok(())
    });
    outcome.unwrap();
    assert!(compared.get() > 300 && refused.get() < 40, "{} compared, {} refused", compared.get(), refused.get());
}

/// Places evenly spaced along closed lines of straight edges, arcs and cubics: measured with chords of a hundred thousand
/// parts to each edge, which know nothing of the curves but their points, neighbours are equally far apart to a micrometre.
#[test]
fn places_along_an_outline_are_evenly_spaced() {
    const PARTS: u32 = 100_000;
    let compared = Cell::new(0);
    let outcome = runner(60).run(&(shapes(), 2_u32..9, 0.0..0.99_f64), |((corners, bends), count, start)| {
        let Ok(outline) = shaped(&corners, &bends, 1.0) else { return Ok(()) };
        compared.set(compared.get() + 1);
        // How far along the whole line each edge starts, and its part to a place on it.
        let mut begins = vec![0.0];
        let walk = |edge: &Edge, place: Point| {
            let (mut far, mut nearest, mut before) = (0.0, (f64::MAX, 0.0), edge.curve.at(0.0));
            for at in 1..=PARTS {
                let point = edge.curve.at(f64::from(at) / f64::from(PARTS));
                let length = before.distance(point);
                let along = ((place.x - before.x) * (point.x - before.x) + (place.y - before.y) * (point.y - before.y))
                    / length;
                let off = place.distance(before.towards(point, (along / length).clamp(0.0, 1.0)));
                if off < nearest.0 {
                    nearest = (off, far + along.clamp(0.0, length));
                }
                far += length;
                before = point;
            }
            (far, nearest)
        };
        for edge in outline.edges() {
            begins.push(begins[begins.len() - 1] + walk(edge, edge.from()).0);
        }
        let whole = begins[begins.len() - 1];
        prop_assert!((whole - outline.stitching_length()).abs() < 1e-3);
        for at in 0..count {
            let wanted = (whole * start + whole * f64::from(at) / f64::from(count)) % whole;
            let (edge, distance) =
                outline.along(outline.stitching_length() * (start + f64::from(at) / f64::from(count)));
            let (off, far) = walk(&outline.edges()[edge], outline.edges()[edge].along(distance)).1;
            prop_assert!(off < 1e-3, "{off} off the line");
            let apart = (begins[edge] + far - wanted).abs();
            prop_assert!(apart < 1e-3 || (apart - whole).abs() < 1e-3, "{} for {wanted}", begins[edge] + far);
        }
        Ok(())
    });
    outcome.unwrap();
    assert!(compared.get() > 30, "{}", compared.get());
}
