//! Figures as a page or a file gets them: well-formed, steady, true to scale, and told in words.

use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::{Exercise, Shelf, StepId};
use foldmark::figure::{self, Figure};
use foldmark::length::{Length, Ruler, Unit};
use std::collections::BTreeSet;
use svg::node::element::tag::Type;
use svg::parser::Event;

fn draft<'e>(exercise: &'e Exercise, written: &[&str], ruler: Ruler) -> Draft<'e> {
    let mut raw = if written.is_empty() { Raw::example(exercise) } else { Raw::default() };
    for entry in written {
        raw.add(entry).unwrap();
    }
    let givens = Givens::read(exercise, &raw, None, ruler).unwrap_or_else(|faults| panic!("{}", faults[0]));
    Draft::new(exercise, givens).unwrap()
}

fn drafts(roll: &Exercise) -> Vec<Draft<'_>> {
    let mixed = [
        "objects=name: gauge, length: 9 in, girth: 3 in, count: 4",
        "objects=name: punch <&\" ']]>, length: 6 in, girth: 1 in, count: 5",
        "objects=name: rule, length: 11 1/2 in, girth: 2 in, count: 5",
    ];
    vec![
        draft(roll, &[], Ruler::EIGHTH),
        draft(roll, &["objects=name: chisel, length: 9 in, girth: 3 in, count: 1"], Ruler::EIGHTH),
        draft(roll, &mixed, Ruler::SIXTEENTH),
        draft(roll, &["objects=name: a, length: 9 in, girth: 1 in, count: 60"], Ruler::EIGHTH),
        draft(roll, &["objects=name: a, length: 213 mm, girth: 47 mm, count: 7"], Ruler::MILLIMETRE),
        draft(roll, &["objects=name: a, length: 30 in, girth: 1/4 in, count: 1", "side_ease=0 in"], Ruler::EIGHTH),
        draft(roll, &["objects=name: a, length: 2 in, girth: 2 in, count: 20", "grip=1/4 in"], Ruler::EIGHTH),
    ]
}

/// What is written in a figure, text by text, however its letters are set.
fn texts(svg: &str) -> Vec<String> {
    let whole = svg.split("<text").skip(1).filter_map(|rest| rest.split_once("</text>"));
    let without_tags = |text: &str| text.split('<').filter_map(|part| part.split('>').nth(1)).collect::<String>();
    whole.map(|(text, _)| without_tags(&format!("<{text}")).trim().to_owned()).collect()
}

fn figures(draft: &Draft) -> Vec<Figure> {
    let steps = draft.exercise.steps.keys();
    let mut all: Vec<Figure> = steps.map(|index| figure::step(draft, index)).collect();
    all.push(figure::whole(draft));
    all.extend(draft.exercise.pieces.iter().filter_map(|piece| figure::piece(draft, piece).ok()));
    let ruler = draft.givens.ruler;
    for (length, reading) in [(4, 3), (1, 9), (0, 0), (36, 20)] {
        all.push(figure::ruler(ruler, Length::of(length, Unit::Inch), Length::of(reading, Unit::Inch)));
    }
    all
}

fn unescaped(text: &str) -> String {
    let signs = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&apos;", "'"), ("&amp;", "&")];
    signs.iter().fold(text.to_owned(), |text, (name, sign)| text.replace(name, sign))
}

/// Every element's attributes, and a panic if the tags don't balance.
fn elements(text: &str) -> Vec<(String, Vec<(String, String)>)> {
    let mut open: Vec<String> = Vec::new();
    let mut elements = Vec::new();
    for event in svg::read(text).unwrap() {
        match event {
            Event::Tag(name, kind, attributes) => {
                if kind != Type::End {
                    let attributes = attributes.iter().map(|(key, value)| (key.clone(), value.to_string())).collect();
                    elements.push((name.to_owned(), attributes));
                }
                match kind {
                    Type::Start => open.push(name.to_owned()),
                    Type::End => assert_eq!(open.pop().as_deref(), Some(name), "in {text}"),
                    Type::Empty => {}
                }
            }
            Event::Error(error) => panic!("{error} in {text}"),
            _ => {}
        }
    }
    assert!(open.is_empty(), "{open:?} left open in {text}");
    elements
}

/// Every number of the drawing has at most two decimals.
fn check_numbers(elements: &[(String, Vec<(String, String)>)]) {
    let drawn =
        ["d", "x", "y", "width", "height", "viewBox", "stroke-width", "transform", "font-size", "stroke-opacity"];
    for (_, attributes) in elements {
        for (_, value) in attributes.iter().filter(|(key, _)| drawn.contains(&key.as_str())) {
            for number in value.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')) {
                let decimals = number.split_once('.').map_or("", |(_, decimals)| decimals);
                let is_trimmed = !decimals.ends_with('0') && !number.ends_with('.') && number != "-0";
                let is_number = number.is_empty() || number.ends_with('-') || number.parse::<f64>().is_ok();
                assert!(decimals.len() <= 2 && is_trimmed && is_number, "{number} in {value}");
            }
            assert!(!value.contains("NaN") && !value.contains("inf"), "{value}");
        }
    }
}

#[test]
fn figures_are_well_formed_and_fit_a_page() {
    let shelf = Shelf::shipped();
    for draft in drafts(shelf.get("flap-roll").unwrap()) {
        for figure in figures(&draft) {
            let inline = figure.inline("lesson-1");
            assert!(inline.starts_with("<svg ") && inline.ends_with("</svg>"), "{inline}");
            assert_eq!((inline.matches("<svg").count(), inline.matches("</svg>").count()), (1, 1));
            for line in inline.lines() {
                assert!(!line.trim().is_empty(), "a blank line in {inline}");
                assert!(!line.starts_with("    ") && !line.starts_with('\t'), "a code block in {inline}");
            }
            for never in ["<?xml", "CDATA", "<style", "<script", "px\""] {
                assert!(!inline.contains(never), "{never} in {inline}");
            }
            let all = elements(&inline);
            check_numbers(&all);
            let ids = all.iter().flat_map(|(_, attributes)| attributes).filter(|(key, _)| key == "id");
            let ids: Vec<&str> = ids.map(|(_, id)| id.as_str()).collect();
            // What a figure refers to within itself has its name before it.
            assert!(ids.iter().all(|id| *id == "lesson-1" || id.starts_with("lesson-1-")), "{ids:?}");
            assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len(), "{ids:?}");
            let (_, attributes) = &all[0];
            let has = |key: &str, value: &str| attributes.iter().any(|(k, v)| k == key && unescaped(v) == value);
            let is_told = has("aria-label", figure.title()) && has("aria-description", figure.description());
            assert!(has("role", "img") && is_told, "{attributes:?}");
            // What is told is no text of the page.
            assert!(!inline.contains("<title") && !inline.contains("<desc"), "{inline}");
            assert!(!attributes.iter().any(|(key, _)| key == "width" || key == "height"));
        }
    }
}

#[test]
fn a_file_is_a_drawing_of_its_own() {
    let shelf = Shelf::shipped();
    for draft in drafts(shelf.get("flap-roll").unwrap()) {
        for figure in figures(&draft) {
            let file = figure.file();
            check_numbers(&elements(&file));
            assert!(file.contains("xmlns=\"http://www.w3.org/2000/svg\"") && file.ends_with("</svg>\n"));
            assert!(file.contains("<rect "), "no paper in {file}");
            let told = [("title", figure.title()), ("desc", figure.description())];
            for (name, text) in told {
                let (_, rest) = file.split_once(&format!("<{name}>")).unwrap();
                assert_eq!(unescaped(rest.split_once(&format!("</{name}>")).unwrap().0), text);
            }
            assert!(!file.contains("currentColor") && !file.contains("var("), "{file}");
        }
    }
}

#[test]
fn the_same_draft_gives_the_same_bytes() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    for (one, other) in drafts(roll).iter().zip(drafts(roll)) {
        for (a, b) in figures(one).iter().zip(figures(&other)) {
            assert_eq!((a.inline("x"), a.file()), (b.inline("x"), b.file()));
            assert_eq!((a.title(), a.description()), (b.title(), b.description()));
        }
    }
}

/// The corners of the heaviest closed line.
fn heaviest(svg: &str) -> Vec<(f64, f64)> {
    let mut best: (f64, String) = (0.0, String::new());
    for (_, attributes) in elements(svg) {
        let find = |key: &str| attributes.iter().find(|(k, _)| k == key).map(|(_, value)| value.clone());
        let (Some(width), Some(d)) = (find("stroke-width"), find("d")) else { continue };
        let width: f64 = width.parse().unwrap();
        if width > best.0 {
            best = (width, d);
        }
    }
    let numbers: Vec<f64> = best.1.split(['M', 'L', 'Z', ' ']).filter_map(|number| number.parse().ok()).collect();
    numbers.chunks(2).map(|pair| (pair[0], pair[1])).collect()
}

fn size(points: &[(f64, f64)]) -> (f64, f64) {
    let span = |values: &mut dyn Iterator<Item = f64>| {
        let values: Vec<f64> = values.collect();
        let (low, high) =
            (values.iter().copied().fold(f64::MAX, f64::min), values.iter().copied().fold(f64::MIN, f64::max));
        high - low
    };
    (span(&mut points.iter().map(|point| point.0)), span(&mut points.iter().map(|point| point.1)))
}

#[test]
fn the_drawing_is_true_to_scale() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let cut_width = roll.steps.position(|step| step.name == "cut_width").unwrap();
    for draft in drafts(roll) {
        let (width, height) = (draft.length("cut_width", 0).as_mm(), draft.length("cut_height", 0).as_mm());
        let outer = roll.piece("outer").unwrap();
        for figure in [figure::step(&draft, cut_width), figure::whole(&draft), figure::piece(&draft, outer).unwrap()] {
            let (across, up) = size(&heaviest(&figure.inline("x")));
            assert!(across > 5.0 && up > 5.0, "{}: {across} × {up}", figure.title());
            // The longer side gives the scale. Each corner is rounded to a hundredth.
            let scale = if width > height { across / width } else { up / height };
            let (off_x, off_y) = ((across - width * scale).abs(), (up - height * scale).abs());
            assert!(off_x.max(off_y) <= 0.02, "{}: {across} × {up}", figure.title());
        }
    }
}

#[test]
fn all_steps_of_a_draft_are_drawn_at_one_scale() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let draft = draft(roll, &[], Ruler::EIGHTH);
    let sizes: BTreeSet<String> = (11..15)
        .map(|index| format!("{:?}", size(&heaviest(&figure::step(&draft, StepId(index)).inline("x")))))
        .collect();
    assert_eq!(sizes.len(), 1, "{sizes:?}");
}

#[test]
fn title_and_description_say_what_is_seen() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    for draft in drafts(roll) {
        for (index, step) in roll.steps.iter_enumerated() {
            let figure = figure::step(&draft, index);
            assert_eq!(figure.title(), format!("{}: step {} of {}", step.title, index.0 + 1, roll.steps.len()));
            if step.kind.list.is_none() && step.name != "basting" && step.name != "turning_gap" {
                let value = draft.text_at(step.slot, 0);
                assert!(figure.description().contains(&value), "{value}: {}", figure.description());
            }
        }
        for piece in &roll.pieces {
            let Ok(figure) = figure::piece(&draft, piece) else { continue };
            assert_eq!(figure.title(), format!("{}: cut {} of {}", piece.title, piece.count, piece.cloth));
            assert!(figure.description().contains(&format!("{} · cut {}", piece.title, piece.count)));
        }
        for figure in figures(&draft) {
            let length = figure.description().chars().count();
            assert!((10..600).contains(&length), "{length}: {}", figure.description());
        }
    }
}

#[test]
fn a_step_shows_its_own_dimension_only_and_the_whole_the_largest() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let draft = draft(roll, &[], Ruler::EIGHTH);
    // The last is the length of the scale's bar.
    let measures = |svg: &str| {
        let mut measures: Vec<String> = texts(svg).into_iter().filter(|text| text.ends_with(" in")).collect();
        measures.pop();
        measures
    };
    let pocket = figure::step(&draft, StepId(4)).inline("x");
    assert!(matches!(&measures(&pocket)[..], [measure] if measure.ends_with("5 1/2 in")), "{pocket}");
    let whole = figure::whole(&draft).inline("x");
    // Eleven are measured in all; the two shortest heights are left to their own steps.
    let shown = measures(&whole);
    assert_eq!(shown.len(), 9, "{whole}");
    for (measure, is_shown) in
        [("cut_height", true), ("fold_height", true), ("bare_height", false), ("tie_position", false)]
    {
        let is_told = shown.iter().any(|text| text.ends_with(&draft.text(measure, 0)));
        assert_eq!(is_told, is_shown, "{measure}: {whole}");
    }
    assert!(pocket.contains("var(--foldmark-accent,") && !whole.contains("var(--foldmark-accent,"));
}

/// Half of an inch: the one raised, the two on the line, both smaller than the letters around them.
#[test]
fn fractions_are_set_as_fractions() {
    let shelf = Shelf::shipped();
    let pocket = figure::step(&draft(shelf.get("flap-roll").unwrap(), &[], Ruler::EIGHTH), StepId(4)).inline("x");
    let (mut line, mut places) = (0.0, Vec::new());
    for (_, attributes) in elements(&pocket).into_iter().filter(|(name, _)| name == "tspan") {
        let ems = |key: &str| {
            let (_, value) = attributes.iter().find(|(name, _)| name == key)?;
            Some(value.strip_suffix("em").unwrap().parse::<f64>().unwrap())
        };
        // An em is that of the part's own letters.
        line += ems("dy").unwrap_or(0.0) * ems("font-size").unwrap_or(1.0);
        places.push(((line * 1e6).round() / 1e6, ems("font-size")));
    }
    let [(before, None), (over, Some(small)), (stroke, None), (under, Some(same)), (after, None), ..] = places[..]
    else {
        panic!("{places:?}: {pocket}")
    };
    assert!(over < before && under == before && stroke == before && after == before, "{places:?}");
    assert!(small == same && small < 1.0, "{places:?}");
}

#[test]
fn pens_differ_without_their_colour() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let draft = draft(roll, &[], Ruler::EIGHTH);
    let whole = figure::whole(&draft).inline("x");
    let mut looks = BTreeSet::new();
    for (_, attributes) in elements(&whole) {
        let find = |key: &str| attributes.iter().find(|(k, _)| k == key).map(|(_, value)| value.clone());
        if let Some(width) = find("stroke-width") {
            looks.insert((width, find("stroke-dasharray")));
        }
    }
    // Cut, edge, stitch, fold and baste, and what tells about them. Gaps, spots and objects differ from edges by their form.
    assert!(looks.len() >= 6, "{looks:?}");
    // Three weights, each twice the next: ISO 128-2 asks for twice between wide and narrow.
    let weights: BTreeSet<&str> = looks.iter().map(|(width, _)| width.as_str()).collect();
    assert_eq!(weights.into_iter().collect::<Vec<_>>(), ["0.6", "1.2", "2.4"]);
}

#[test]
fn a_pocket_lies_on_the_fold() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let draft = draft(roll, &[], Ruler::EIGHTH);
    let pocket = figure::piece(&draft, roll.piece("pocket").unwrap()).unwrap().inline("x");
    assert!(pocket.contains(">fold</text>"), "{pocket}");
    // The cutting line stops at the fold: three sides, not closed.
    let corners = heaviest(&pocket);
    assert_eq!(corners.len(), 4, "{corners:?}");
    let outer = figure::piece(&draft, roll.piece("outer").unwrap()).unwrap().inline("x");
    assert!(!outer.contains(">fold</text>"), "{outer}");
}

#[test]
fn a_ruler_has_every_tick() {
    let ticks = |ruler: Ruler, inches: i64| {
        let svg = figure::ruler(ruler, Length::of(inches, Unit::Inch), Length::ZERO).inline("r");
        let paths = elements(&svg).into_iter().filter_map(|(_, attributes)| {
            let d = attributes.iter().find(|(key, _)| key == "d")?.1.clone();
            // A tick is an upright line from the edge.
            Some(d.split('M').filter(|run| run.contains(" 0L") && !run.contains('Z')).count())
        });
        paths.sum::<usize>()
    };
    assert_eq!((ticks(Ruler::EIGHTH, 4), ticks(Ruler::SIXTEENTH, 3)), (33, 49));
    assert_eq!(ticks(Ruler::MILLIMETRE, 2), 51);
    // A ruler of a mile still is a drawing.
    let mile = figure::ruler(Ruler::SIXTEENTH, Length::of(63_360, Unit::Inch), Length::of(-3, Unit::Inch));
    assert!(mile.inline("r").len() < 60_000 && mile.description().contains("-3 in"));
    for nm in [i64::MAX, i64::MIN] {
        let longest = figure::ruler(Ruler::MILLIMETRE, Length::from_nm(nm), Length::from_nm(nm));
        check_numbers(&elements(&longest.inline("r")));
    }
}

/// Check values of the design (common practice, no source): a roll for twelve objects of 1 in, whose pocket is 13 1/2 by
/// 4 1/2 in on the fold and 13 1/2 by 9 in opened out.
#[test]
fn a_piece_on_the_fold_is_opened_out() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let written = [
        "objects=name: object, length: 5 3/4 in, spread: 1 in, count: 12",
        "sizing=layout",
        "side_ease=1/2 in",
        "base_gap=1/4 in",
        "top_gap=1/2 in",
        "allowance=1/2 in",
    ];
    let mut raw = Raw::default();
    for entry in written {
        raw.add(entry).unwrap();
    }
    let pocket_height = roll.steps.position(|step| step.name == "pocket_height").unwrap();
    let four = Length::of(4, Unit::Inch).as_nm_f64();
    let givens = Givens::read(roll, &raw, None, Ruler::EIGHTH).unwrap();
    let draft = Draft::choosing(roll, givens, &|step, _| (step == pocket_height).then_some(four)).unwrap();
    let figure = figure::opened(&draft, roll.piece("pocket").unwrap()).unwrap().unwrap();
    assert_eq!(figure.title(), "Pocket: on the fold, and opened out");
    let told = figure.description();
    assert!(told.contains("On the fold: 13 1/2 in wide and 4 1/2 in high;"), "{told}");
    assert!(told.contains("Opened out: 13 1/2 in wide and 9 in high,"), "{told}");
    let drawing = figure.file();
    for text in ["on the fold", "opened out", "4 1/2 in", "9 in", "fold"] {
        assert!(texts(&drawing).iter().any(|one| one == text), "{text}: {drawing}");
    }
    elements(&drawing);
}
