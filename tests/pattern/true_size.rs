//! Every cutting line on the printed pages against the draft's own numbers, on A4 and Letter, and across tile joins.

use crate::shared;
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::Shelf;
use foldmark::geometry::Point;
use foldmark::length::Ruler;
use foldmark::pattern::{self, Named, Paper};
use lopdf::content::Content;

const MM: f64 = 25.4 / 72.0;

/// A path as it stands on a page, in millimetres.
struct Path {
    page: usize,
    width: f64,
    points: Vec<Point>,
    clip: Option<[f64; 4]>,
}

fn paths(pdf: &lopdf::Document) -> Vec<Path> {
    let mut paths = Vec::new();
    for (page, id) in pdf.page_iter().enumerate() {
        let content = Content::decode(&pdf.get_page_content(id)).unwrap();
        let (mut width, mut points, mut clip, mut boxed) = (0.0, Vec::new(), None, None);
        for operation in content.operations {
            let number = |at: usize| f64::from(operation.operands[at].as_float().unwrap()) * MM;
            match operation.operator.as_str() {
                "w" => width = number(0),
                "m" => points = vec![Point::new(number(0), number(1))],
                "l" => points.push(Point::new(number(0), number(1))),
                "h" => points.push(points[0]),
                "re" => boxed = Some([number(0), number(1), number(2), number(3)]),
                "W" => clip = boxed,
                "Q" => clip = None,
                "S" => paths.push(Path { page, width, points: std::mem::take(&mut points), clip }),
                _ => {}
            }
        }
    }
    paths
}

fn turned(points: &[Point]) -> Vec<Point> {
    points.iter().map(|point| Point::new(-point.y, point.x)).collect()
}

/// Whether a path is this line, moved somewhere: every point within a tenth of a millimetre; and where it was moved.
fn moved(path: &[Point], line: &[Point]) -> Option<Point> {
    let by = Point::new(path[0].x - line[0].x, path[0].y - line[0].y);
    let is_same = |(a, b): (&Point, &Point)| a.distance(Point::new(b.x + by.x, b.y + by.y)) < 0.1;
    (path.len() == line.len() && path.iter().zip(line).all(is_same)).then_some(by)
}

#[test]
fn every_outline_is_true_and_whole_across_the_tiles() {
    let shelf = Shelf::shipped();
    for exercise in shelf.iter() {
        let givens = Givens::read(exercise, &Raw::example(exercise), None, Ruler::EIGHTH).unwrap();
        let draft = Draft::new(exercise, givens).unwrap();
        for paper in [Paper::A4, Paper::LETTER] {
            let bytes = pattern::pdf(&draft, paper, &Named::default()).unwrap();
            assert_eq!(bytes, pattern::pdf(&draft, paper, &Named::default()).unwrap(), "the same bytes");
            let pdf = lopdf::Document::load_mem(&bytes).unwrap();
            let found = paths(&pdf);
            let cuts: Vec<&Path> = found.iter().filter(|path| (path.width - 0.5).abs() < 1e-3).collect();
            for piece in draft.pieces() {
                let cut = draft.piece(piece).unwrap();
                let mut ring = cut.outline.cutting();
                // Where an edge lies on the fold, the cutting line is what is left of the ring.
                let lines: Vec<Vec<Point>> = (0..ring.len())
                    .map(|_| {
                        ring.rotate_left(1);
                        ring.iter().chain(ring.first()).copied().collect()
                    })
                    .collect();
                let is_of = |path: &Path| {
                    lines.iter().find_map(|line| {
                        let part = &line[..path.points.len().min(line.len())];
                        let is_enough = cut.outline.fold().is_some() || part.len() == line.len();
                        let straight = moved(&path.points, part).map(|by| (part.to_vec(), by));
                        let found =
                            straight.or_else(|| moved(&path.points, &turned(part)).map(|by| (turned(part), by)));
                        found.filter(|_| is_enough && part.len() > 2)
                    })
                };
                let mut shown: Vec<(Vec<Point>, Point, [f64; 4])> = Vec::new();
                for path in &cuts {
                    if let Some((line, by)) = is_of(path) {
                        assert!(path.page > 0);
                        shown.push((line, by, path.clip.expect("a tile shows its field only")));
                    }
                }
                assert!(!shown.is_empty(), "{}: {} is on no page", exercise.name, piece.name);
                // Every point of the line, and points between, lies in the field of a page, well within it or not.
                let line = &shown[0].0;
                for pair in line.windows(2) {
                    for part in 0..=40 {
                        let at = pair[0].towards(pair[1], f64::from(part) / 40.0);
                        let is_seen = shown.iter().any(|(_, by, [left, foot, width, height])| {
                            let (x, y) = (at.x + by.x - left, at.y + by.y - foot);
                            (0.0..=*width).contains(&x) && (0.0..=*height).contains(&y)
                        });
                        assert!(is_seen, "{}: {} misses {at:?}", exercise.name, piece.name);
                    }
                }
            }
            // Both test squares on every page, and everything within what a printer reaches.
            let (across, up) = if paper == Paper::A4 { (210.0, 297.0) } else { (215.9, 279.4) };
            for page in 0..pdf.page_iter().count() {
                for side in [50.0, 50.8] {
                    let is_square = |path: &&Path| {
                        path.page == page
                            && path.points.len() == 5
                            && path.points.windows(2).all(|pair| (pair[0].distance(pair[1]) - side).abs() < 0.01)
                    };
                    assert_eq!(found.iter().filter(is_square).count(), 1, "{} page {page}", exercise.name);
                }
            }
            let (left, foot) = ((across - 190.0) / 2.0 - 1e-3, (up - 259.0) / 2.0 - 1e-3);
            for path in &found {
                let is_within =
                    |point: &Point| (left..=across - left).contains(&point.x) && (foot..=up - foot).contains(&point.y);
                let field = path.clip.map(|[x, y, w, h]| [Point::new(x, y), Point::new(x + w, y + h)]);
                let shown = field.as_ref().map_or(&path.points[..], |field| &field[..]);
                assert!(shown.iter().all(is_within), "{} page {}", exercise.name, path.page);
            }
            let catalog = pdf.catalog().unwrap().get(b"ViewerPreferences").unwrap().as_dict().unwrap();
            assert_eq!(catalog.get(b"PrintScaling").unwrap().as_name().unwrap(), b"None");
        }
    }
}

#[test]
fn the_command_writes_it_whole_or_not_at_all() {
    let dir = shared::folder();
    let run = |args: &[&str]| shared::run(dir.path(), args);
    let (status, _, told) = run(&["pattern", "flap-roll", "--paper", "letter", "--maker", "Żółty Müller"]);
    assert_eq!(status, 0, "{told}");
    assert_eq!(shared::names(dir.path()), ["flap-roll.pdf"]);
    let (status, _, told) = run(&["pattern", "flap-roll"]);
    assert!(status == 2 && told.contains("exists already"), "{told}");
    assert_eq!(run(&["pattern", "flap-roll", "--force"]).0, 0);
    for (args, sentence) in [
        (["--maker", "山田"], "in none of the scripts"),
        (["--paper", "40x40"], "can't be used"),
        (["--paper", "blanket"], "write a4, letter"),
        (["--given", "objects=length: 20 yd, girth: 3 in, count: 1"], "out of range"),
    ]
    .map(|(args, sentence)| (args.to_vec(), sentence))
    {
        let all: Vec<&str> = ["pattern", "flap-roll", "--out", "bad.pdf"].into_iter().chain(args).collect();
        let (status, _, told) = run(&all);
        assert!(status == 2 && told.contains(sentence), "{told}");
    }
    assert_eq!(shared::names(dir.path()), ["flap-roll.pdf"], "nothing half-written");
}
