//! Cross-sections and views: what is read, what is refused, and what is drawn.

use foldmark::book::render_chapter;
use foldmark::draft::{Draft, Givens, Raw, Seen, Stretch};
use foldmark::exercise::{Exercise, Shelf, read};
use foldmark::figure;
use foldmark::length::Ruler;
use foldmark::lesson::{Chapter, Output};

/// An exercise with something to see, stated by `scenes`.
fn file(scenes: &str) -> String {
    format!(
        r#"title = "Mat"
teaches = "T"
[[given]]
name = "side"
title = "Finished side"
kind = "length"
range = ["0 in", "40 in"]
usual = "8 in"
[[step]]
name = "cut_side"
title = "Cut side"
value = "side + 1 in"
why = "W"
{scenes}"#
    )
}

fn sentences(scenes: &str) -> Vec<String> {
    read("mat", &file(scenes)).unwrap_err().iter().map(ToString::to_string).collect()
}

fn draft<'e>(exercise: &'e Exercise, side: &str) -> Draft<'e> {
    let mut raw = Raw::default();
    raw.add(&format!("side={side}")).unwrap();
    Draft::new(exercise, Givens::read(exercise, &raw, None, Ruler::EIGHTH).unwrap()).unwrap()
}

const SECTION: &str = "[[section]]\nname = \"c\"\ntitle = \"T\"\nsays = \"S.\"\n";
const VIEW: &str = "[[view]]\nname = \"v\"\ntitle = \"T\"\nsays = \"S.\"\n";

#[test]
fn every_fault_has_its_line_key_and_hint() {
    let section = |rest: &str| sentences(&format!("{SECTION}{rest}")).join("\n");
    let view = |rest: &str| sentences(&format!("{VIEW}draw = [{{ {rest} }}]")).join("\n");
    let told = [
        (
            section("layers = [{ label = \"a\", run = [\"0 in\", \"sid\"] }]"),
            "line 18, column 42: section.c.layers.1.run: there is no measure `sid`; did you mean `side`?",
        ),
        (
            section("layers = [{ label = \"a\", run = [\"0 in\"] }]"),
            "a layer begins at a length, folds back at each one on the way, and ends: 2 to 21 lengths",
        ),
        (
            section("layers = [{ label = \"a\", run = [\"0 in\", \"side\"], levels = [1, 2] }]"),
            "there is one level for each stretch of the run, and one length more than stretches",
        ),
        (
            section("layers = [{ label = \"a\", run = [\"0 in\", \"side\"], levels = [99] }]"),
            "a whole number from 0 to 40 was expected here, but this is 99",
        ),
        (
            section("layers = [{ label = \"a\", run = [\"0 in\", \"side\"], right_side = \"out\" }]"),
            "\"out\" is not one of: up, down",
        ),
        (
            section("layers = [{ label = \"a\", run = [\"0 in\", \"side\"] }]\nmarks = [{ seam = \"0 in\" }]"),
            "section.c.marks.1: nothing says what is marked here; start with one of stitch, fold, spot, measure",
        ),
        (
            section("layers = [{ label = \"a\", run = [\"0 in\", \"side\"] }]\nmarks = [{ spot = \"0 in\" }]"),
            "`level` is missing: the layer that it lies on, the lowest is 0",
        ),
        (
            section(
                "layers = [{ label = \"a\", run = [\"0 in\", \"side\"] }]\nmarks = [{ stitch = \"0 in\", levels = [3, 1] }]",
            ),
            "two levels are expected here, the lowest and the highest it goes through",
        ),
        (
            section(
                "layers = [{ label = \"a\", run = [\"0 in\", \"side\"] }]\nmarks = [{ measure = \"2 * side\", from = \"0 in\", to = \"side\", side = \"top\" }]",
            ),
            "`label` is missing: what this is called, since it is neither a given nor a step",
        ),
        (
            section("layers = [{ label = \"a\", run = [\"0 in\", \"side\"] }]\nbroken = \"top\""),
            "section.c.broken: \"top\" is not one of: left, right",
        ),
        (section(""), "section.c.layers: a section needs at least one layer"),
        (
            view("face = [[\"0 in\", \"0 in\", \"0 in\"], [\"side\", \"0 in\", \"0 in\"]]"),
            "view.v.draw.1.face: 3 to 60 points are expected here, each with three lengths",
        ),
        (
            view("line = [[\"0 in\", \"0 in\"], [\"side\", \"0 in\", \"0 in\"]]"),
            "a point of a view has three lengths: across, up, and deep, away from the eye",
        ),
        (view("line = [\"0 in\", \"0 in\"]"), "a list of texts was expected here, but this is text"),
        (view("curve = [[\"0 in\", \"0 in\", \"0 in\"]]"), "4 points are expected here, each with three lengths"),
        (view("ring = [\"0 in\", \"0 in\", \"0 in\"]"), "view.v.draw.1: `radius` is missing"),
        (
            view("ball = \"1 in\""),
            "view.v.draw.1: nothing says what is drawn here; start with one of face, box, ring, line, dividers, curve, measure",
        ),
        (
            view("line = [[\"0 in\", \"0 in\", \"0 in\"], [\"side\", \"0 in\", \"0 in\"]], pen = \"gap\""),
            "an opening is drawn on a draft, not in a view",
        ),
        (
            view(
                "face = [[\"0 in\", \"0 in\", \"0 in\"], [\"side\", \"0 in\", \"0 in\"], [\"side\", \"side\", \"0 in\"]], rounds = [\"1 in\", \"1 in\"]",
            ),
            "view.v.draw.1.rounds: there is one radius for each corner, \"0 in\" for a sharp one: 3 are expected here, and these are 2",
        ),
        (
            view("line = [[\"0 in\", \"0 in\", \"0 in\"], [\"side\", \"0 in\", \"0 in\"]], rounds = [\"1 in\"]"),
            "view.v.draw.1.rounds: a line from point to point has corners only between its ends, and here is none to be rounded",
        ),
        (
            view(
                "line = [[\"0 in\", \"0 in\", \"0 in\"], [\"side\", \"0 in\", \"0 in\"], [\"side\", \"side\", \"0 in\"]], rounds = [\"1\"]",
            ),
            "view.v.draw.1.rounds: a length is expected here, but this is a number",
        ),
        (
            sentences(&format!("{VIEW}recedes = \"left\"\n")).join("\n"),
            "view.v.recedes: \"left\" is not one of: right, up",
        ),
        (sentences(VIEW).join("\n"), "view.v.draw: nothing is drawn"),
    ];
    for (found, expected) in told {
        assert!(found.contains(expected), "{expected}\n{found}");
    }
    let twice = format!("{VIEW}draw = [{{ ring = [\"0 in\", \"0 in\", \"0 in\"], radius = \"side\" }}]\n");
    assert!(sentences(&format!("{twice}{twice}"))[0].contains("the name \"v\" stands here twice"));
}

/// A file may hold as much as it likes; what is read of it is bounded.
#[test]
fn a_hostile_file_is_refused() {
    let many = |count: usize, one: &str| vec![one; count].join(", ");
    let layer = "{ label = \"a\", run = [\"0 in\", \"side\"] }";
    let point = "[\"0 in\", \"0 in\", \"0 in\"]";
    let line = format!("{{ line = [{point}, {point}] }}");
    let told = [
        (format!("{SECTION}layers = [{}]", many(41, layer)), "there are 41 of them, and at most 40 are read"),
        (
            format!("{SECTION}layers = [{layer}]\nmarks = [{}]", many(101, "{ stitch = \"0 in\" }")),
            "there are 101 of them, and at most 100 are read",
        ),
        (format!("{VIEW}draw = [{}]", many(201, &line)), "there are 201 of them, and at most 200 are read"),
        (format!("{VIEW}draw = [{{ face = [{}] }}]", many(61, point)), "3 to 60 points are expected here"),
        (format!("{SECTION}layers = [{{ label = \"a\", run = [{}] }}]", many(22, "\"0 in\"")), "2 to 21 lengths"),
    ];
    for (scenes, expected) in told {
        let found = sentences(&scenes).join("\n");
        assert!(found.contains(expected), "{expected}\n{found}");
    }
}

/// A strip folded in four: the second and the fourth stretch run back, one level up each.
#[test]
fn a_layer_folds_back_one_level_up() {
    let scenes = format!("{SECTION}layers = [{{ label = \"a\", run = [\"0 in\", \"side\", \"1 in\", \"side\"] }}]");
    let exercise = read("mat", &file(&scenes)).unwrap();
    let draft = draft(&exercise, "8 in");
    let (layers, _) = draft.section(&exercise.sections[0]).unwrap();
    let stretch = |from: f64, to: f64, level: u32| Stretch { from, to, level };
    assert_eq!(layers[0].stretches, [stretch(0.0, 203.2, 0), stretch(203.2, 25.4, 1), stretch(25.4, 203.2, 2)]);
}

#[test]
fn what_cannot_be_drawn_is_told() {
    let scenes = format!(
        "{SECTION}layers = [{{ label = \"a\", run = [\"0 in\", \"side\", \"4 in\"] }}]\n{VIEW}draw = [{{ ring = [\"0 in\", \"0 in\", \"0 in\"], radius = \"side\" }}]"
    );
    let exercise = read("mat", &file(&scenes)).unwrap();
    assert!(draft(&exercise, "8 in").scene_faults().is_empty());
    let told = |side: &str| -> Vec<String> {
        let draft = draft(&exercise, side);
        draft.scene_faults().into_iter().map(|(key, fault)| format!("{key}: {fault}")).collect()
    };
    // At 2 in the layer would go on the same way beyond its fold.
    assert_eq!(told("2 in"), ["section.c: the layer \"a\" does not turn back at its fold number 1"]);
    assert!(
        told("0 in")[1].starts_with("view.v: entry 1 can't be drawn: a round body needs a radius"),
        "{:?}",
        told("0 in")
    );
}

/// A rounded corner of a face begins and ends its radius from where the sides would meet, and none is less than sharp.
#[test]
fn corners_are_rounded() {
    let scenes = format!(
        "{VIEW}draw = [{{ face = [[\"0 in\", \"0 in\", \"0 in\"], [\"8 in\", \"0 in\", \"0 in\"], [\"8 in\", \"8 in\", \"0 in\"], [\"0 in\", \"8 in\", \"0 in\"]], rounds = [\"0 in\", \"side - 1 in\", \"0 in\", \"0 in\"] }}]"
    );
    let exercise = read("mat", &file(&scenes)).unwrap();
    let seen = draft(&exercise, "3 in").view(&exercise.views[0]).unwrap();
    let [Seen::Face { corners, .. }] = &seen[..] else { panic!("{seen:?}") };
    // Eight inches are 203.2 mm, two are 50.8 mm.
    let is_there = |x: f64, y: f64| corners.iter().any(|at| (at[0] - x).abs() < 1e-9 && (at[1] - y).abs() < 1e-9);
    assert!(is_there(0.0, 0.0) && is_there(203.2, 203.2) && !is_there(203.2, 0.0));
    assert!(is_there(203.2 - 50.8, 0.0) && is_there(203.2, 50.8));
    let told = draft(&exercise, "1/2 in").scene_faults();
    assert_eq!(told[0].1.to_string(), "entry 1 can't be drawn: the radius of a corner has to be nothing, or more");
}

/// Sixty corners, each of them nearly turning back: every one of them takes an arc of nearly half a circle.
#[test]
fn no_view_has_too_many_points() {
    let corners: Vec<String> = (0..60)
        .map(|at| format!("[\"{}\", \"{at} in\", \"0 in\"]", if at % 2 == 0 { "0 in" } else { "side" }))
        .collect();
    let rounds = vec!["\"1/8 in\""; 60].join(", ");
    let face = format!("{{ face = [{}], rounds = [{rounds}] }}", corners.join(", "));
    let view = |count: usize| format!("{VIEW}draw = [{}]", vec![face.clone(); count].join(", "));
    let told = |count: usize| {
        let exercise = read("mat", &file(&view(count))).unwrap();
        let draft = draft(&exercise, "36 in");
        draft.scene_faults().into_iter().map(|(_, fault)| fault.to_string()).collect::<Vec<_>>()
    };
    assert_eq!(told(1), [""; 0]);
    let fault = &told(4)[0];
    assert!(fault.ends_with("points, with those of its round corners, and at most 10000 are drawn"), "{fault}");
}

/// Not to scale, what is a hair and what is a yard apart lies at the same distance.
#[test]
fn places_lie_evenly_where_nothing_is_to_scale() {
    let scenes = format!(
        "{SECTION}to_scale = false\nlayers = [{{ label = \"a\", run = [\"0 in\", \"side\"] }}, {{ label = \"b\", run = [\"1/8 in\", \"side\"] }}]"
    );
    let exercise = read("mat", &file(&scenes)).unwrap();
    let draft = draft(&exercise, "36 in");
    let (layers, _) = draft.section(&exercise.sections[0]).unwrap();
    let ends: Vec<f64> = layers.iter().flat_map(|laid| [laid.stretches[0].from, laid.stretches[0].to]).collect();
    assert_eq!(ends[1] - ends[2], ends[2] - ends[0]);
    assert!(figure::section(&draft, &exercise.sections[0]).unwrap().description().contains("Not to scale"));
}

/// An open box shows its far and its left wall, a closed one its lid instead.
#[test]
fn a_box_is_drawn_from_back_to_front() {
    let faces = |open: &str| {
        let scenes = format!(
            "{VIEW}draw = [{{ box = [[\"0 in\", \"0 in\", \"0 in\"], [\"side\", \"2 in\", \"1 in\"]]{open} }}]"
        );
        let exercise = read("mat", &file(&scenes)).unwrap();
        let seen = draft(&exercise, "4 in").view(&exercise.views[0]).unwrap();
        let depths = seen.iter().map(|one| match one {
            Seen::Face { corners, .. } => corners.iter().map(|corner| corner[2]).fold(0.0, f64::max),
            other => panic!("{other:?}"),
        });
        depths.collect::<Vec<f64>>()
    };
    // The front, at no depth, comes last.
    assert_eq!(faces(""), [25.4, 25.4, 0.0]);
    assert_eq!(faces(", open = true"), [25.4, 25.4, 25.4, 0.0]);
}

/// Slots of 2, 2, 1 and 1 in from 1/4 in on: lines after 2 1/4, 4 1/4 and 5 1/4 in, the last of them with the name.
#[test]
fn a_row_of_slots_has_a_line_between_each_and_the_next() {
    let table = r#"
[[given]]
name = "things"
title = "Things"
rows = [1, 4]
columns = [
  { name = "slot", title = "slot", kind = "length", range = ["0 in", "9 in"] },
  { name = "count", title = "count", kind = "number", range = [0, 9] },
]
example = [{ name = "one", slot = "2 in", count = 2 }, { name = "other", slot = "1 in", count = 2 }]
"#;
    let view = |rest: &str| {
        format!(
            "{VIEW}draw = [{{ dividers = \"things.slot\", {rest} from = \"1 in\", to = \"side\", label = \"slots\" }}]"
        )
    };
    let exercise =
        read("mat", &file(&(table.to_owned() + &view("times = \"things.count\", start = \"1/4 in\",")))).unwrap();
    let givens = Givens::read(&exercise, &Raw::example(&exercise), None, Ruler::EIGHTH).unwrap();
    let seen = Draft::new(&exercise, givens).unwrap().view(&exercise.views[0]).unwrap();
    let lines: Vec<_> = seen
        .iter()
        .map(|one| match one {
            Seen::Line { points, label, .. } => {
                assert!(points.iter().all(|at| at[0] == points[0][0] && at[2] == 0.0));
                ((points[0][0] / 25.4, points[0][1] / 25.4, points[1][1] / 25.4), label.as_deref())
            }
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(lines, [((2.25, 1.0, 8.0), None), ((4.25, 1.0, 8.0), None), ((5.25, 1.0, 8.0), Some("slots"))]);
    let told = sentences(&(table.to_owned() + &view(""))).join("\n");
    assert!(told.contains("view.v.draw.1: `start` is missing"), "{told}");
    let told = sentences(&(table.to_owned() + &view("start = \"0 in\",").replace("things.slot", "side"))).join("\n");
    assert!(told.contains("view.v.draw.1.dividers: a list of lengths is expected here"), "{told}");
}

/// A description tells which way the depth recedes; without a word it is to the right. What lies flat has none.
#[test]
fn round_things_recede_upwards() {
    let told = |recedes: &str| {
        let ring = "draw = [{ ring = [\"0 in\", \"0 in\", \"0 in\"], radius = \"side\", height = \"side\" }]";
        let exercise = read("mat", &file(&format!("{VIEW}{recedes}\n{ring}"))).unwrap();
        let figure = figure::view(&draft(&exercise, "4 in"), &exercise.views[0]).unwrap();
        figure.description().to_owned()
    };
    let right = "S. The depth recedes at 45° to half its length. A bar below it is 1 in long.";
    assert_eq!([told(""), told("recedes = \"right\"")], [right, right]);
    assert_eq!(
        told("recedes = \"up\""),
        "S. The depth recedes straight up to half its length. A bar below it is 1 in long."
    );
    let line = "draw = [{ line = [[\"0 in\", \"0 in\", \"0 in\"], [\"side\", \"side\", \"0 in\"]] }]";
    let exercise = read("mat", &file(&format!("{VIEW}{line}"))).unwrap();
    let flat = figure::view(&draft(&exercise, "4 in"), &exercise.views[0]).unwrap();
    assert_eq!(flat.description(), "S. Lengths to scale. A bar below it is 1/2 in long.");
}

#[test]
fn every_exercise_has_a_view_and_most_have_a_section() {
    let shelf = Shelf::shipped();
    for exercise in shelf.iter() {
        assert!(!exercise.views.is_empty(), "{}", exercise.name);
        // An altered pouch is drafted, and sewn as any other.
        assert!(!exercise.sections.is_empty() || exercise.name == "altered-pouch", "{}", exercise.name);
    }
}

#[test]
fn a_lesson_asks_for_sections_and_views() {
    let shelf = Shelf::shipped();
    let render =
        |text: &str| render_chapter(&shelf, Chapter { path: "a.md", text, first: None, is_live: false }, Output::Html);
    let draft = "```foldmark draft\nexercise = \"boxed-tote\"\nquiet = true\n```\n";
    let page = render(&format!(
        "{draft}```foldmark section\nsection = \"hem\"\ncaption = \"The hem.\"\n```\n```foldmark view\n```\n"
    ))
    .unwrap();
    assert!(page.contains("Boxed tote: the hem at the top edge") && page.contains("The hem."), "{page}");
    assert!(page.contains("Boxed tote: standing") && page.contains("depth 4 in"), "{page}");
    let fault = |block: &str| render(&format!("{draft}{block}")).unwrap_err()[0].to_string();
    assert_eq!(
        fault("```foldmark section\nsection = \"hemm\"\n```\n"),
        "a.md, line 6: there is no section \"hemm\"; there are: hem"
    );
    assert_eq!(
        fault("```foldmark view\nview = \"lying\"\n```\n"),
        "a.md, line 6: there is no view \"lying\"; there are: standing, corner"
    );
}
