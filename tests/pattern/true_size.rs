//! Every cutting line on the printed pages against the draft's own numbers, on A4 and Letter, and across tile joins.

use crate::shared;
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::Shelf;
use foldmark::geometry::Point;
use foldmark::length::Ruler;
use foldmark::pattern::{self, Named, Paper};
use foldmark::practice::{Maker, Task};
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

/// A ring from one of its corners on, so many points of it, turned by a quarter or not.
fn part(ring: &[Point], start: usize, count: usize, is_turned: bool) -> impl Iterator<Item = Point> + Clone + '_ {
    ring.iter().cycle().skip(start).take(count).map(move |at| if is_turned { Point::new(-at.y, at.x) } else { *at })
}

/// Whether a path is this line, moved somewhere: every point within a tenth of a millimetre; and where it was moved.
fn moved(path: &[Point], mut line: impl Iterator<Item = Point> + Clone) -> Option<Point> {
    let first = line.clone().next()?;
    let by = Point::new(path[0].x - first.x, path[0].y - first.y);
    let is_same = |a: &Point| line.next().is_some_and(|b| a.distance(Point::new(b.x + by.x, b.y + by.y)) < 0.1);
    path.iter().all(is_same).then_some(by)
}

#[test]
fn every_outline_is_true_and_whole_across_the_tiles() {
    let shelf = Shelf::shipped();
    for exercise in shelf.iter() {
        let givens = Givens::read(exercise, &Raw::example(exercise), None, Ruler::EIGHTH).unwrap();
        let draft = Draft::new(exercise, givens).unwrap();
        for paper in [Paper::A4, Paper::LETTER] {
            let bytes = pattern::pdf(&draft, paper, &Named::default()).unwrap();
            let pdf = lopdf::Document::load_mem(&bytes).unwrap();
            let found = paths(&pdf);
            let cuts: Vec<&Path> = found.iter().filter(|path| (path.width - 0.5).abs() < 1e-3).collect();
            for piece in draft.pieces() {
                let cut = draft.piece(piece).unwrap();
                let ring = cut.outline.cutting_near(0.01);
                let is_of = |path: &Path| {
                    // Where an edge lies on the fold, the cutting line is what is left of the ring.
                    let count = path.points.len();
                    let is_enough = if cut.outline.fold().is_some() { count > 2 } else { count == ring.len() + 1 };
                    if !is_enough || count > ring.len() + 1 {
                        return None;
                    }
                    let ways = (0..ring.len()).flat_map(|start| [(start, false), (start, true)]);
                    ways.into_iter().find_map(|(start, is_turned)| {
                        let line = part(&ring, start, count, is_turned);
                        moved(&path.points, line.clone()).map(|by| (line.collect::<Vec<_>>(), by))
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

/// Whatever may hurt is printed to its last word: read back by a PDF library.
#[test]
fn cautions_are_printed_whole() {
    let shelf = Shelf::shipped();
    for exercise in shelf.iter() {
        let givens = Givens::read(exercise, &Raw::example(exercise), None, Ruler::EIGHTH).unwrap();
        let bytes = pattern::pdf(&Draft::new(exercise, givens).unwrap(), Paper::A4, &Named::default()).unwrap();
        let pdf = lopdf::Document::load_mem(&bytes).unwrap();
        let pages: Vec<u32> = pdf.get_pages().into_keys().collect();
        let letters = |text: &str| text.chars().filter(|letter| !letter.is_whitespace()).collect::<String>();
        let printed = letters(&pdf.extract_text(&pages).unwrap());
        for caution in &exercise.cautions {
            assert!(printed.contains(&letters(&caution.says)), "{}: {}\n{printed}", exercise.name, caution.says);
        }
    }
}

#[test]
fn the_same_draft_gives_the_same_bytes_everywhere() {
    let shelf = Shelf::shipped();
    let hash = |bytes: &[u8]| crc::Crc::<u64>::new(&crc::CRC_64_XZ).checksum(bytes);
    let made = |name: &str, paper| {
        let exercise = shelf.get(name).unwrap();
        let draft = Draft::new(exercise, Givens::read(exercise, &Raw::example(exercise), None, Ruler::EIGHTH).unwrap());
        let named = Named::read(Some("Tansy"), Some("2026-03-05")).unwrap();
        hash(&pattern::pdf(&draft.unwrap(), paper, &named).unwrap())
    };
    let hashes = [made("needle-book", Paper::A4), made("round-bucket", Paper::LETTER)];
    assert_eq!(hashes, [made("needle-book", Paper::A4), made("round-bucket", Paper::LETTER)]);
    // Pinned, so that another machine or another version of a library is noticed.
    insta::assert_snapshot!(format!("{hashes:x?}"));
}

/// Half of a band is as wide as a line may be off, on every line that is drafted, and the line lies in its middle.
#[test]
fn what_is_marked_by_has_bands_as_wide_as_a_line_may_be_off() {
    let shelf = Shelf::shipped();
    for exercise in shelf.iter() {
        let draft = Draft::new(exercise, Givens::read(exercise, &Raw::example(exercise), None, Ruler::EIGHTH).unwrap());
        let draft = draft.unwrap();
        let off = Ruler::EIGHTH.tick();
        let bytes = pattern::overlay(&draft, Paper { width: 5080.0, height: 5080.0 }, &Named::default(), off).unwrap();
        let found = paths(&lopdf::Document::load_mem(&bytes).unwrap());
        let on_tiles = || found.iter().filter(|path| path.page > 0);
        let bands: Vec<&Path> = on_tiles().filter(|path| (path.width - 2.0 * 25.4 / 8.0).abs() < 1e-3).collect();
        for cut in on_tiles().filter(|path| (path.width - 0.5).abs() < 1e-3) {
            assert!(bands.iter().any(|band| band.points == cut.points), "{}", exercise.name);
        }
        let sewn = |piece| {
            let cut = draft.piece(piece).unwrap();
            cut.outline.edges().iter().filter(|edge| edge.finish.width() > 0.0).count() + 1
        };
        assert!(bands.len() >= draft.pieces().map(sewn).sum(), "{}", exercise.name);
    }
}

#[test]
fn a_practice_sheet_is_overlaid_by_its_code() {
    let dir = shared::folder();
    let shelf = Shelf::shipped();
    let exercise = shelf.get("zip-pouch").unwrap();
    let problem = &Maker::new(exercise, 1, Task::Draft, Ruler::EIGHTH).unwrap().set(1, 2026).unwrap()[0];
    let code = problem.code.to_string();
    let run = |args: &[&str]| shared::run(dir.path(), args);
    let (status, _, told) = run(&["pattern", "zip-pouch", "--code", &code, "--overlay", "--out", "by-code.pdf"]);
    assert_eq!(status, 0, "{told}");
    let off = problem.draft.givens.ruler.tick();
    let expected = pattern::overlay(&problem.draft, Paper::A4, &Named::default(), off).unwrap();
    assert!(std::fs::read(dir.path().join("by-code.pdf")).unwrap() == expected);
    let bad: [(&[&str], &str); 4] = [
        (&["--overlay=2in"], "can't be off by 2 in"),
        (&["--overlay=0mm"], "can't be off by 0"),
        (&["--overlay=much"], "--overlay: "),
        (&["--code", "AAAA-AAAA-A"], "code"),
    ];
    for (args, sentence) in bad {
        let (status, _, told) = run(&[&["pattern", "zip-pouch", "--out", "bad.pdf"], args].concat());
        assert!(status == 2 && told.contains(sentence), "{told}");
    }
    assert_eq!(shared::names(dir.path()), ["by-code.pdf"], "nothing half-written");
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
    let long = "x".repeat(61);
    let bad: [(&[&str], &str); 13] = [
        (&["--maker", "山田"], "in none of the scripts"),
        (&["--paper", "40x40"], "can't be used"),
        (&["--paper", "blanket"], "write a4, letter"),
        (&["--paper", "0x0"], "can't be used"),
        (
            &["--paper", "210x150", "--given", "objects=length: 20 in, girth: 10 in, count: 9"],
            "can't be glued together",
        ),
        (&["--date", "tomorrow"], "is no day"),
        (&["--date", "2026-02-29"], "is no day"),
        (&["--maker", &long], "a name of 61 letters"),
        (&["--out", "bad.png"], "let the file end in .pdf, .svg or .dxf"),
        (&["--out", "bad"], "let the file end in .pdf, .svg or .dxf"),
        (&["--out", "bad.dxf", "--sheet"], "are PDFs; let the file end in .pdf"),
        (&["--out", "flap-roll.pdf/bad.svg"], "flap-roll.pdf"),
        (&["--given", "objects=length: 20 yd, girth: 3 in, count: 1"], "out of range"),
    ];
    for (args, sentence) in bad {
        let all: Vec<&str> = ["pattern", "flap-roll"].iter().chain(args).copied().collect();
        let (status, _, told) = run(&all);
        assert!(status == 2 && told.contains(sentence), "{told}");
    }
    assert_eq!(shared::names(dir.path()), ["flap-roll.pdf"], "nothing half-written");
    for (name, begins) in [("roll.svg", "<svg "), ("roll.DXF", "  0\nSECTION"), ("sheet.pdf", "%PDF-1.7")] {
        let sheet: &[&str] = if name == "sheet.pdf" { &["--sheet"] } else { &[] };
        let (status, _, told) = run(&[&["pattern", "flap-roll", "--out", name], sheet].concat());
        assert_eq!(status, 0, "{told}");
        assert!(std::fs::read(dir.path().join(name)).unwrap().starts_with(begins.as_bytes()), "{name}");
    }
}
