//! SVG and DXF of every exercise, read back with an SVG parser and a CAD library, against the core's outlines and areas.
//!
//! "As commonly restated" are the layers of the table in `LAYERS`: three public lists agree on them; the standard itself, ASTM
//! D6673, was withdrawn in 2019 and not read.

use dxf::entities::EntityType;
use foldmark::draft::{CutPiece, Draft, Givens, Raw};
use foldmark::exercise::Shelf;
use foldmark::geometry::{Finish, Point};
use foldmark::length::Ruler;
use foldmark::pattern::{self, Named};
use kurbo::{BezPath, PathEl};
use std::collections::{BTreeMap, BTreeSet};
use svg::node::element::tag::Type;
use svg::parser::Event;

/// Boundary, turn and curve points, notches, mirror line, grain, internal lines, cut-outs, drill holes, sew lines, annotation.
const LAYERS: [&str; 11] = ["1", "2", "3", "4", "6", "7", "8", "11", "13", "14", "15"];
/// A micrometre.
const MICRO: f64 = 1e-3;

fn each(mut check: impl FnMut(&str, &Draft)) {
    let shelf = Shelf::shipped();
    for exercise in shelf.iter() {
        let givens = Givens::read(exercise, &Raw::example(exercise), None, Ruler::EIGHTH).unwrap();
        check(&exercise.name, &Draft::new(exercise, givens).unwrap());
    }
}

fn area(ring: &[Point]) -> f64 {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    sides.map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>() / 2.0
}

/// That a ring is the piece's cutting line, moved somewhere: every corner to a micrometre, the area by what lines to a
/// micrometre of a curve can leave out.
fn is_outline(ring: &[Point], cut: &CutPiece, what: &str) {
    let expected = cut.outline.cutting_near(MICRO);
    assert_eq!(ring.len(), expected.len(), "{what}");
    let moved = |start: usize| {
        let by = Point::new(ring[start].x - expected[0].x, ring[start].y - expected[0].y);
        expected.iter().enumerate().all(|(index, point)| {
            let own = ring[(start + index) % ring.len()];
            own.distance(Point::new(point.x + by.x, point.y + by.y)) < MICRO
        })
    };
    assert!((0..ring.len()).any(moved), "{what}");
    let length: f64 = ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum();
    let off = area(ring) - cut.outline.cut_area();
    assert!(off.abs() < length * 2.0 * MICRO, "{what}: {off} mm² off");
}

/// That no two straight stretches lie on each other.
fn none_is_doubled(lines: &[Vec<Point>], what: &str) {
    let sides: Vec<(Point, Point)> =
        lines.iter().flat_map(|line| line.windows(2).map(|pair| (pair[0], pair[1]))).collect();
    for (index, (a, b)) in sides.iter().enumerate() {
        let length = a.distance(*b);
        assert!(length > 1e-4, "{what}: a line without length at {a:?}");
        let (x, y) = ((b.x - a.x) / length, (b.y - a.y) / length);
        let along = |p: &Point| (p.x - a.x) * x + (p.y - a.y) * y;
        let beside = |p: &Point| ((p.y - a.y) * x - (p.x - a.x) * y).abs();
        for (c, d) in &sides[index + 1..] {
            if beside(c) < MICRO && beside(d) < MICRO {
                let (from, to) = (along(c).min(along(d)), along(c).max(along(d)));
                assert!(to.min(length) - from.max(0.0) < 0.01, "{what}: {a:?} to {b:?} is drawn twice");
            }
        }
    }
}

/// The lines of a group by their class, y up.
type Lines = BTreeMap<String, Vec<(Vec<Point>, bool)>>;

fn groups(text: &str) -> BTreeMap<String, Lines> {
    let mut groups: BTreeMap<String, Lines> = BTreeMap::new();
    let mut now = String::new();
    for event in svg::read(text).unwrap() {
        let Event::Tag(name, Type::Start | Type::Empty, attributes) = event else { continue };
        let attribute = |name: &str| attributes.get(name).map(|value| value.to_string()).unwrap_or_default();
        match name {
            "svg" => {
                let view: Vec<String> = attribute("viewBox").split(' ').map(str::to_owned).collect();
                assert_eq!(
                    [attribute("width"), attribute("height")],
                    [format!("{}mm", view[2]), format!("{}mm", view[3])]
                );
            }
            "g" if attributes.contains_key("id") => now = attribute("id"),
            "path" => {
                let path = BezPath::from_svg(&attribute("d")).unwrap();
                let points = path.elements().iter().filter_map(|element| match element {
                    PathEl::MoveTo(at) | PathEl::LineTo(at) => Some(Point::new(at.x, -at.y)),
                    _ => None,
                });
                let is_closed = path.elements().last() == Some(&PathEl::ClosePath);
                let line = (points.collect(), is_closed);
                groups.entry(now.clone()).or_default().entry(attribute("class")).or_default().push(line);
            }
            _ => {}
        }
    }
    groups
}

#[test]
fn an_svg_is_true_to_a_micrometre() {
    each(|name, draft| {
        let text = pattern::svg(draft, &Named::default()).unwrap();
        assert_eq!(text, pattern::svg(draft, &Named::default()).unwrap(), "the same bytes");
        let groups = groups(&text);
        assert_eq!(groups.len(), draft.pieces().count() + 1, "{name}: the pieces, and the test squares");
        for piece in draft.pieces() {
            let what = format!("{name}: {}", piece.name);
            let cut = draft.piece(piece).unwrap();
            let lines = &groups[&piece.name];
            let [(points, is_closed)] = &lines["cut"][..] else { panic!("{what}: one cutting line") };
            let mut ring = points.clone();
            if cut.outline.fold().is_some() {
                // The fold closes what is cut.
                let [(fold, false)] = &lines["on-the-fold"][..] else { panic!("{what}: one fold") };
                assert!(!is_closed && fold.last() == points.first() && fold.first() == points.last(), "{what}");
                ring.extend(&fold[1..fold.len() - 1]);
            } else {
                assert!(*is_closed, "{what}");
            }
            is_outline(&ring, &cut, &what);
            let all = lines.iter().filter(|(class, _)| *class != "sign" && *class != "grain");
            for (class, lines) in all {
                let lines: Vec<Vec<Point>> = lines.iter().map(|(points, closed)| whole(points, *closed)).collect();
                none_is_doubled(&lines, &format!("{what}, {class}"));
            }
        }
        let squares = &groups["foldmark-test-squares"]["sheet"];
        assert_eq!(squares.iter().map(|(ring, _)| area(ring).abs().sqrt()).collect::<Vec<_>>().len(), 2);
        for ((ring, _), side) in squares.iter().zip([50.0_f64, 50.8]) {
            assert!((area(ring).abs() - side * side).abs() < MICRO);
        }
    });
}

fn whole(points: &[Point], is_closed: bool) -> Vec<Point> {
    points.iter().chain(points.first().filter(|_| is_closed)).copied().collect()
}

#[test]
fn a_dxf_is_true_to_a_micrometre_with_layers_as_restated() {
    each(|name, draft| {
        let named = Named::read(Some("Żółty Müller"), Some("2026-03-05")).unwrap();
        let text = pattern::dxf(draft, &named).unwrap();
        assert!(text.is_ascii() && text.contains("AUTHOR: Zolty Muller"), "{name}");
        assert_eq!(text, pattern::dxf(draft, &named).unwrap(), "the same bytes");
        let drawing = dxf::Drawing::load(&mut text.as_bytes()).unwrap();
        assert_eq!(drawing.header.version, dxf::enums::AcadVersion::R12);
        let blocks: Vec<&dxf::Block> = drawing.blocks().collect();
        let names: BTreeSet<&str> = blocks.iter().map(|block| block.name.as_str()).collect();
        assert_eq!(names.len(), draft.pieces().count(), "{name}: one block a piece");
        let inserts = drawing.entities().filter(|entity| matches!(entity.specific, EntityType::Insert(_)));
        assert_eq!(inserts.count(), names.len());
        for (piece, block) in draft.pieces().zip(blocks) {
            let what = format!("{name}: {}", piece.name);
            let cut = draft.piece(piece).unwrap();
            let mut lines: BTreeMap<&str, Vec<Vec<Point>>> = BTreeMap::new();
            let mut points: BTreeMap<&str, Vec<Point>> = BTreeMap::new();
            let mut texts = BTreeSet::new();
            for entity in &block.entities {
                let layer = entity.common.layer.as_str();
                assert!(LAYERS.contains(&layer), "{what}: layer {layer}");
                match &entity.specific {
                    EntityType::Polyline(line) => {
                        let run: Vec<Point> =
                            line.vertices().map(|at| Point::new(at.location.x, at.location.y)).collect();
                        if layer == "1" {
                            assert!(line.is_closed(), "{what}");
                            is_outline(&run, &cut, &what);
                        }
                        lines.entry(layer).or_default().push(whole(&run, line.is_closed()));
                    }
                    EntityType::Line(line) => {
                        let run = vec![Point::new(line.p1.x, line.p1.y), Point::new(line.p2.x, line.p2.y)];
                        lines.entry(layer).or_default().push(run);
                    }
                    EntityType::ModelPoint(point) => {
                        points.entry(layer).or_default().push(Point::new(point.location.x, point.location.y));
                    }
                    EntityType::Text(text) => {
                        texts.insert((layer, text.value.clone()));
                    }
                    other => panic!("{what}: {other:?}"),
                }
            }
            assert_eq!(lines["1"].len(), 1, "{what}: one boundary");
            assert_eq!(lines["7"].len(), 1, "{what}: one grain line");
            assert_eq!(lines.get("6").map_or(0, Vec::len), usize::from(cut.outline.fold().is_some()), "{what}");
            assert!(texts.contains(&("1", format!("QUANTITY: {}", piece.count))), "{what}");
            for (layer, lines) in &lines {
                none_is_doubled(lines, &format!("{what}, layer {layer}"));
            }
            let has = |layer: &str, at: Point| {
                points.get(layer).is_some_and(|all| all.iter().any(|p| p.distance(at) < MICRO))
            };
            // Every edge that is sewn runs on the layer of sew lines from corner to corner.
            for edge in
                cut.outline.edges().iter().filter(|edge| matches!(edge.finish, Finish::Allowance(width) if width > 0.0))
            {
                let runs = |line: &Vec<Point>| {
                    line[0].distance(edge.from()) < MICRO && line[line.len() - 1].distance(edge.to()) < MICRO
                };
                assert!(lines["14"].iter().any(runs), "{what}: {}", edge.name);
                assert!(has("2", edge.from()) && has("2", edge.to()), "{what}: {}", edge.name);
            }
            // Every notch lies on the boundary.
            for notch in points.get("4").into_iter().flatten() {
                let sides = lines["1"][0].windows(2);
                let off =
                    sides.map(|pair| pair[0].distance(*notch) + notch.distance(pair[1]) - pair[0].distance(pair[1]));
                assert!(off.fold(f64::INFINITY, f64::min) < 0.01, "{what}: {notch:?}");
            }
        }
    });
}
