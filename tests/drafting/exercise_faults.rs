//! An author's file with a fault in every place, told all at once; and files that are no exercise at all.

use foldmark::draft::{Draft, Givens, Mark, Raw};
use foldmark::exercise::read;
use foldmark::length::Ruler;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

fn faults(text: &str) -> String {
    match read("mine", text) {
        Ok(_) => "no faults".to_owned(),
        Err(faults) => faults.iter().map(|fault| format!("{fault}\n")).collect(),
    }
}

const FAULTY: &str = r#"
titel = "A mat"
title = ""
level = 9
rulers = ["1/7 in", "1 mm"]

[[given]]
name = "side"
title = "Side"
kind = "lenght"

[[given]]
name = "in"
title = "Named like a unit"
kind = "length"
range = ["1 in", "2 in"]

[[given]]
name = "hem"
title = "Hem"
kind = "length"
range = ["2 in", "1 in"]
usual = "half an inch"

[[given]]
name = "hem"
title = "Hem again"
kind = "number"
range = [1]

[[given]]
name = "parts"
title = "Parts"
each = "part"
rows = [1, 4]
columns = [{ name = "width", title = "width", kind = "length", range = ["1 in", "9 in"], needed = "hem" }]
example = [{ name = "a", widht = "2 in" }]

[[step]]
name = "lower"
title = "Lower"
value = "upper + hem"
why = "Because."

[[step]]
name = "upper"
title = "Upper"
value = "lower - hem"
why = "Because."

[[step]]
name = "third"
title = "Third"
value = "hem * hem"
why = "Because."
points = "two"

[[step]]
name = "fourth"
title = "Fourth"
value = "parts.widht + hem"
at_least = "1 in"
why = "Because."

[[step]]
name = "fifth"
title = "Fifth"
at_least = { value = "hem", wy = "no" }
at_most = "count(parts.width)"
suggest = "hem"
draw = [
  { line = ["hem", "hem"], pen = "cut" },
  { line = ["hem", "hem", "hem", "hem"], pen = "ink" },
  { measure = "sixth", from = ["hem"], to = ["hem", "hem"], side = "middle" },
  { oval = "hem" },
]

[[slip]]
name = "none"
step = "fiveth"
used = "hem"
says = "No."

[[slip]]
name = "kind"
step = "fifth"
used = "count(parts.width)"
says = "No."

[[piece]]
name = "panel"
title = "Panel"
cloth = "cloth"
grain = "sideways"
start = ["0 in", "0 in"]
edges = [
  { name = "base", to = ["hem", "0 in"], allowance = "hem" },
  { name = "side", to = ["hem", "hem"] },
  { name = "top", to = ["0 in", "hem"], fold = true },
]
marks = [{ notch = "bottom", at = "hem" }]

[practice]
require = [{ rule = "hem + 1", says = "no" }]
"#;

#[test]
fn every_fault_is_told_at_once_with_its_place() {
    insta::assert_snapshot!(faults(FAULTY));
}

#[test]
fn what_is_no_exercise_is_said_in_a_sentence() {
    assert_eq!(faults(" \n"), "the file is empty; an exercise needs a title, givens and steps\n");
    assert_eq!(
        faults("title = \"A\"\nteaches = \"B\"\n"),
        "line 1, column 1: step: there are no steps; a draft needs at least one [[step]]\n"
    );
    assert_eq!(faults("title = \"A"), "line 1, column 11: a quotation mark is missing at the end of this value\n");
    assert_eq!(
        faults(
            "title = \"A\"\ntitle = \"B\"\nteaches = \"C\"\n[[step]]\nname = \"a\"\ntitle = \"A\"\nvalue = \"1 in\"\nwhy = \"W\"\n"
        ),
        "line 2, column 1: title: this key stands here twice; keep one of the two\n"
    );
    assert!(faults(&"x".repeat((1 << 20) + 1)).starts_with("the file has 1048577 bytes"));
}

/// A sound exercise of one square, with more pieces, seams and marks put in.
fn square(steps: &str, marks: &str, more: &str) -> String {
    format!(
        r#"
title = "A mat"
teaches = "Nothing much"
[[given]]
name = "side"
title = "Side"
kind = "length"
range = ["0 in", "90 in"]
usual = "8 in"
[[given]]
name = "parts"
title = "Parts"
kind = "number"
range = [0, 900]
usual = 4
[[step]]
name = "cut"
title = "Cut side"
value = "side + 1 in"
why = "A seam on both sides."
draw = [{steps}]
[[piece]]
name = "mat"
title = "Mat"
cloth = "felt"
grain = "up"
start = ["0 in", "0 in"]
edges = [
  {{ name = "base", to = ["side", "0 in"], allowance = "1/2 in" }},
  {{ name = "right", to = ["side", "side"], allowance = "1/2 in" }},
  {{ name = "top", to = ["0 in", "side"], allowance = "1/2 in" }},
  {{ name = "left", allowance = "1/2 in" }},
]
marks = [{marks}]
{more}"#
    )
}

#[test]
fn what_is_asked_for_has_to_be_there_to_measure() {
    let more = r#"
[[step]]
name = "wide"
title = "Wide"
at_least = "cut"
suggest = "cut"
why = "A choice."
[[step]]
name = "far"
title = "Far"
value = "2 * wide"
why = "It rests on a choice."
"#;
    let shown = r#"{ measure = "cut", from = ["0 in", "0 in"], to = ["cut", "0 in"], side = "bottom" }"#;
    let exercise =
        |core: &str| square(shown, "", more).replacen("[[given]]", &format!("core = [{core}]\n[[given]]"), 1);
    assert_eq!(faults(&exercise("\"cut\"")), "no faults");
    for (core, says) in [
        ("\"cot\"", "core: there is no step \"cot\"; did you mean `cut`?"),
        ("\"side\"", "core: there is no step \"side\""),
        ("\"cut\", \"cut\"", "core: \"cut\" stands here twice"),
        (
            "\"wide\"",
            "core: \"wide\" has a dimension in no figure, so nobody can measure it; draw `measure = \"wide\"`",
        ),
        ("\"far\"", "core: \"far\" rests on the choice \"wide\", which has to be asked for as well"),
        (&["\"cut\""; 11].join(", "), "core: 11 steps are named; homework asks for at most 10"),
    ] {
        assert!(faults(&exercise(core)).contains(says), "{core}: {}", faults(&exercise(core)));
    }
    // So has the step of a slip: what is given is none.
    let slip =
        square(shown, "", "[[slip]]\nname = \"none\"\nstep = \"side\"\nused = \"2 * side\"\nsays = \"Twice.\"\n");
    assert!(faults(&slip).contains("slip.none.step: there is no step \"side\""), "{}", faults(&slip));
    // Told as reckoned, it need not be drawn.
    let reckoned = exercise("\"wide\", \"far\"").replace("suggest =", "reckoned = true\nsuggest =");
    let reckoned = reckoned.replace("value = \"2 * wide\"", "reckoned = true\nvalue = \"2 * wide\"");
    assert_eq!(faults(&reckoned), "no faults");
}

/// A part of the mat, above a line at half its height, with some keys exchanged.
fn part(name: &str, of: &str, more: &str) -> String {
    let line = r#"["0 in", "half(side)", "side", "half(side)"]"#;
    format!(
        r#"
[[piece]]
name = "{name}"
title = "{name}"
cloth = "felt"
split = {{ piece = "{of}", line = {line}, keep = "top", edge = "split", allowance = "1/4 in" }}
{more}"#
    )
}

/// What is wrong once it is worked with its usual values and some others.
fn drawn(text: &str, givens: &[&str]) -> Vec<String> {
    let exercise = read("mine", text).unwrap_or_else(|faults| panic!("{}", faults[0]));
    let mut raw = Raw::default();
    givens.iter().for_each(|given| raw.add(given).unwrap());
    let givens = Givens::read(&exercise, &raw, None, Ruler::EIGHTH).unwrap();
    let draft = Draft::new(&exercise, givens).unwrap();
    let steps = draft.drawing_faults().into_iter().map(|(step, fault)| format!("{step}: {fault}"));
    let pieces = draft.pieces().filter_map(|piece| Some(format!("{}: {}", piece.name, draft.piece(piece).err()?)));
    steps.chain(pieces).chain(draft.seams().err().map(|fault| fault.to_string())).collect()
}

#[test]
fn split_pieces_have_to_be_known() {
    assert_eq!(faults(&square("", "", &part("upper", "mat", ""))), "no faults");
    let told = |more: &str| faults(&square("", "", more));
    assert!(told(&part("upper", "mta", "")).ends_with("there is no piece \"mta\"; did you mean \"mat\"?\n"));
    let circle = told(&(part("one", "two", "") + &part("two", "one", "")));
    assert!(
        circle.contains(r#"these pieces are split from each other in a circle: "one" from "two" from "one""#),
        "{circle}"
    );
    assert!(told(&part("own", "own", "")).contains(r#"in a circle: "own" from "own""#));
    assert!(told(&part("upper", "mat", "start = [\"0 in\", \"0 in\"]")).contains("either split from another one, or"));
    let deep: String = (1..=10).map(|n| part(&format!("p{n}"), &format!("p{}", n - 1), "")).collect();
    assert!(told(&(part("p0", "mat", "") + &deep)).contains("a part of a part, more than 8 times over"));
    // The new edge may not have the name of one that is left.
    let twice = told(&part("upper", "mat", "").replace("edge = \"split\"", "edge = \"top\""));
    assert!(twice.contains("two edges are called \"top\""), "{twice}");
    let unknown = told(&part("upper", "mat", "").replace("keep = \"top\"", "keep = \"upper\", alowance = \"1 in\""));
    assert!(unknown.contains("\"upper\" is not one of: left, right, top, bottom"), "{unknown}");
    assert!(unknown.contains("this key is not known; did you mean `allowance`?"), "{unknown}");
}

#[test]
fn seams_and_notches_know_the_edges_of_a_part() {
    let with =
        |more: &str| square("", "", &(part("upper", "mat", "marks = [{ notch = \"split\", at = \"1 in\" }]") + more));
    let seam = |one: &str| format!("\n[[seam]]\nname = \"s\"\none = [\"{one}\"]\nother = [\"mat: base\"]\n");
    assert_eq!(faults(&with(&seam("upper: split"))), "no faults");
    assert!(drawn(&with(&seam("upper: split")), &[]).is_empty());
    let told = faults(&with(&seam("upper: splot")));
    assert!(told.ends_with("the piece \"upper\" has no edge \"splot\"; did you mean \"split\"?\n"), "{told}");
    let told = faults(&with(&seam("uper: split")));
    assert!(told.ends_with("there is no piece \"uper\"; did you mean \"upper\"?\n"), "{told}");
    assert!(faults(&with(&seam("upper split"))).ends_with("write the piece's name, a colon and the edge's name\n"));
    // An edge on the other side of the line is known, but not there.
    let other_side = drawn(&with(&seam("upper: base")), &[]);
    assert_eq!(other_side, ["upper: nothing is left of the edge \"base\", which is sewn"]);
    let notch = square("", "", &part("upper", "mat", "marks = [{ notch = \"base\", at = \"1 in\" }]"));
    assert_eq!(drawn(&notch, &[]), ["upper: the edge \"base\" has a notch, but nothing is left of it"]);
}

#[test]
fn a_part_keeps_the_notches_that_lie_on_it() {
    let marks = r#"{ divide = "outline", into = "8", from = "1 in" }, { spot = ["1 in", "7 in"] }"#;
    let text = square("", marks, &part("upper", "mat", ""));
    let exercise = read("mine", &text).unwrap();
    let draft = Draft::new(&exercise, Givens::read(&exercise, &Raw::default(), None, Ruler::EIGHTH).unwrap());
    let draft = draft.unwrap();
    let notches = |name: &str| -> Vec<(f64, f64)> {
        let cut = draft.piece(exercise.piece(name).unwrap()).unwrap();
        let at = |mark: &Mark| match mark {
            Mark::Notch { at, .. } => Some((at.x / 25.4, at.y / 25.4)),
            _ => None,
        };
        cut.marks.iter().filter_map(at).collect()
    };
    // Four inches apart round a square of eight, starting one from its lower left corner.
    let all = [(1.0, 0.0), (5.0, 0.0), (8.0, 1.0), (8.0, 5.0), (7.0, 8.0), (3.0, 8.0), (0.0, 7.0), (0.0, 3.0)];
    let close = |a: &[(f64, f64)], b: &[(f64, f64)]| {
        a.len() == b.len() && a.iter().zip(b).all(|(a, b)| (a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9)
    };
    assert!(close(&notches("mat"), &all), "{:?}", notches("mat"));
    assert!(close(&notches("upper"), &all[3..7]), "{:?}", notches("upper"));
}

#[test]
fn lines_that_do_not_split_are_told() {
    let with = |line: &str, keep: &str| {
        let upper = part("upper", "mat", "");
        let upper = upper.replace(r#"["0 in", "half(side)", "side", "half(side)"]"#, line);
        drawn(&square("", "", &upper.replace("keep = \"top\"", &format!("keep = \"{keep}\""))), &[])
    };
    assert_eq!(
        with(r#"["0 in", "9 in", "side", "9 in"]"#, "top"),
        ["upper: the edge \"split\" misses the outline; move its line so that it crosses the piece"]
    );
    assert_eq!(
        with(r#"["0 in", "4 in", "side", "4 in"]"#, "left"),
        [
            "upper: the edge \"split\" runs straight across, so nothing lies beside it; keep what lies top or bottom of it"
        ]
    );
    assert_eq!(
        with(r#"["4 in", "0 in", "4 in", "side"]"#, "bottom"),
        [
            "upper: the edge \"split\" runs straight up, so nothing lies above or below it; keep what lies left or right of it"
        ]
    );
    for (line, keep) in
        [(r#"["0 in", "4 in", "side", "5 in"]"#, "left"), (r#"["side", "5 in", "0 in", "4 in"]"#, "left")]
    {
        assert!(with(line, keep).is_empty());
    }
    let flat = square("", "", &part("upper", "mat", ""));
    assert_eq!(
        drawn(&flat, &["side=0 in"])[1],
        "upper: the edge \"base\" has no length; check the measures that it is drawn from (on the piece \"mat\", which this is a part of)"
    );
}

#[test]
fn notches_and_divisions_that_do_not_fit_are_told() {
    let mat = |marks: &str| square("", marks, "");
    let past = mat(r#"{ notch = "base", at = "side + 1 in" }"#);
    assert_eq!(drawn(&past, &[]), ["mat: the edge \"base\" has a notch 9 in from its first corner, and is 8 in long"]);
    let before = mat(r#"{ notch = "base", at = "-1 in" }"#);
    assert_eq!(
        drawn(&before, &[]),
        ["mat: the edge \"base\" has a notch -1 in from its first corner, and is 8 in long"]
    );
    assert!(drawn(&mat(r#"{ notch = "base", at = "side" }"#), &[]).is_empty());
    assert!(
        faults(&mat(r#"{ notch = "bse", at = "side" }"#)).contains("there is no edge \"bse\"; did you mean \"base\"?")
    );

    let edge = mat(r#"{ divide = "base", into = "parts" }"#);
    assert!(drawn(&edge, &[]).is_empty());
    for (parts, count) in [("1", "1"), ("0", "0"), ("900", "900")] {
        assert_eq!(
            drawn(&edge, &[&format!("parts={parts}")]),
            [format!(
                "mat: the edge \"base\" can't be divided: parts are counted in whole numbers from 2 to 200, and this is {count}"
            )]
        );
    }
    let halves = mat(r#"{ divide = "outline", into = "parts / 2" }"#);
    assert_eq!(
        drawn(&halves, &["parts=5"]),
        ["mat: the outline can't be divided: parts are counted in whole numbers from 2 to 200, and this is 2.5"]
    );
    let far = mat(r#"{ divide = "outline", into = "4", from = "4 * side" }"#);
    assert_eq!(drawn(&far, &[]), ["mat: the outline is to be divided from 32 in on, and is 32 in long"]);
    // What no measure decides is told when the file is read.
    assert!(
        faults(&mat(r#"{ divide = "outline", into = "3 / 2" }"#))
            .ends_with("into: parts are counted in whole numbers from 2 to 200, and this is 1.5\n")
    );
    assert!(
        faults(&mat(r#"{ divide = "base", into = "4", from = "1 in" }"#))
            .ends_with("only a whole outline is divided from a place on it; an edge is from its first corner\n")
    );
    assert!(faults(&square(r#"{ divide = "base", into = "4" }"#, "", "")).contains("nothing says what is drawn here"));
}

#[test]
fn arcs_that_are_none_are_told() {
    let step = |mark: &str| drawn(&square(mark, "", ""), &[]);
    assert!(step(r#"{ arc = ["0 in", "0 in", "2 in", "0 in"], centre = ["1 in", "0 in"], pen = "cut" }"#).is_empty());
    assert_eq!(
        step(r#"{ arc = ["0 in", "0 in", "3 in", "0 in"], centre = ["1 in", "0 in"], pen = "cut", label = "edge" }"#),
        ["cut: the arc \"edge\" ends 1 in farther from its centre than it starts"]
    );
    assert_eq!(
        step(r#"{ arc = ["1 in", "0 in", "1 in", "0 in"], centre = ["1 in", "0 in"], pen = "cut" }"#),
        ["cut: the arc has no radius: it starts in its centre"]
    );
    assert_eq!(
        step(r#"{ circle = ["1 in", "0 in"], radius = "0 in", pen = "cut" }"#),
        ["cut: the circle has a radius of 0 in; it has to be more than nothing"]
    );
    // The same on a piece, and nothing at all where the condition does not hold.
    let circle = |when: &str| {
        square(
            "",
            &format!(r#"{{ circle = ["1 in", "0 in"], radius = "side - 8 in", pen = "cut", when = "{when}" }}"#),
            "",
        )
    };
    assert_eq!(
        drawn(&circle("side > 1 in"), &[])[..],
        ["mat: the circle has a radius of 0 in; it has to be more than nothing"]
    );
    assert!(drawn(&circle("side > 8 in"), &[]).is_empty());
    assert!(faults(&circle("side")).ends_with("when: a yes-or-no is expected here, but this is a length\n"));
    let told = faults(&square(r#"{ circle = ["0 in", "0 in"], radius = "side", pen = "gap" }"#, "", ""));
    assert!(told.ends_with("pen: an opening is drawn along a straight line\n"), "{told}");
}

/// What can be drawn with the usual values only is found when the file is proofed over the whole of its ranges.
#[test]
fn proofing_draws_arcs_and_sews_parts() {
    let notes = |text: &str| foldmark::practice::try_out(&read("mine", text).unwrap()).notes;
    let found = |notes: &[String], start: &str| notes.iter().any(|note| note.starts_with(start));
    let circle = square(r#"{ circle = ["0 in", "0 in"], radius = "side - 4 in", pen = "cut" }"#, "", "");
    assert!(drawn(&circle, &[]).is_empty());
    let told = notes(&circle);
    assert!(found(&told, "step.cut.draw: the circle has a radius of "), "{told:?}");
    // A slanting line: it leaves all of the top edge of small squares, and less of large ones.
    let seam = "\n[[seam]]\nname = \"s\"\none = [\"upper: top\"]\nother = [\"mat: top\"]\n";
    let tilted = part("upper", "mat", seam).replace(
        r#"["0 in", "half(side)", "side", "half(side)"]"#,
        r#"["0 in", "half(side)", "10 in", "10 in + half(side)"]"#,
    );
    let told = notes(&square("", "", &tilted));
    assert!(found(&told, "seam.s: one side is "), "{told:?}");
}

#[test]
fn folds_are_single_and_straight() {
    let two = square("", "", "")
        .replace(r#"to = ["side", "side"], allowance = "1/2 in""#, r#"to = ["side", "side"], fold = true"#);
    assert_eq!(faults(&two), "no faults");
    let two = two.replace(r#"to = ["0 in", "side"], allowance = "1/2 in""#, r#"to = ["0 in", "side"], fold = true"#);
    assert!(
        faults(&two).contains("\"right\" and \"top\" both lie on the fold; a piece is cut on one fold of the cloth")
    );
    let curved = square("", "", "").replace(
        r#"{ name = "left", allowance = "1/2 in" }"#,
        r#"{ name = "left", centre = ["0 in", "half(side)"], fold = true }"#,
    );
    assert!(faults(&curved).contains("a curved edge can't lie on the fold; cloth folds along a straight line"));
    // A new fold on a part whose piece has one already is found when it is drawn.
    let folded = square("", "", &part("upper", "mat", "").replace("allowance = \"1/4 in\"", "fold = true"));
    assert!(drawn(&folded, &[]).is_empty());
    let twice =
        folded.replace(r#"to = ["0 in", "side"], allowance = "1/2 in""#, r#"to = ["0 in", "side"], fold = true"#);
    assert_eq!(
        drawn(&twice, &[]),
        ["upper: the edge \"top\" lies on the fold, and so does \"split\"; a piece can't lie on two folds"]
    );
}

/// A file that would keep the program busy for years is told in a sentence. How much work that takes is counted in
/// `program/nonsense.rs`.
#[test]
fn endless_work_is_refused_when_the_file_is_read() {
    let with = |rows: usize, value: &str| {
        faults(&format!(
            r#"
title = "A"
teaches = "B"
[[given]]
name = "parts"
title = "Parts"
rows = [1, {rows}]
columns = [{{ name = "width", title = "width", kind = "length", range = ["1 in", "9 in"] }}]
[[step]]
name = "share"
title = "Share"
why = "Because."
value = "{value}"
"#
        ))
    };
    let nested = |depth: usize| {
        format!("{}parts.width{}", "sum(parts.width * count(parts.width) + ".repeat(depth), ")".repeat(depth))
    };
    assert_eq!(with(1_000, "max(parts.width) + sum(parts.width)"), "no faults");
    // Each row's part of the whole: the rows times the rows.
    assert_eq!(with(200, "parts.width / sum(parts.width)"), "no faults");
    let told = with(1_000, "parts.width / sum(parts.width)");
    assert_eq!(
        told,
        "line 13, column 9: step.share.value: this has 1003000 parts to work out, with as many rows as its table may \
         have; work out a list within a list in a step of its own, or allow fewer rows\n"
    );
    for (rows, depth) in [(1_000, 2), (24, 8), (2, 30), (1_000, 30)] {
        let told = with(rows, &nested(depth));
        assert!(told.contains("parts to work out, with as many rows as its table may have"), "{rows} {depth}: {told}");
    }
    assert!(with(100_000, "1 in").contains("say how few and how many rows there may be"));
    // Much of everything.
    let steps: String = (0..3_000)
        .map(|n| format!("[[step]]\nname = \"s{n}\"\ntitle = \"S\"\nwhy = \"W\"\nvalue = \"1 in\"\n"))
        .collect();
    let told = faults(&format!("title = \"A\"\nteaches = \"B\"\n{steps}"));
    assert!(told.ends_with("step: there are 3000 of them, and at most 300 are read\n"), "{told}");
    let marks = r#"{ spot = ["1 in", "1 in"] },"#.repeat(5_000);
    assert!(
        faults(&square(&marks, "", "")).contains("step.cut.draw: there are 5000 of them, and at most 400 are read")
    );
}

proptest! {
    // The same cases at every run: a fault that is found is found again.
    #![proptest_config(ProptestConfig { cases: 256, rng_seed: RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::default() })]

    /// Damage of any kind is told, never a panic: the shipped file with a stretch cut out, doubled or
    /// replaced.
    #[test]
    fn a_damaged_file_never_panics(at in 0_usize..30_000, length in 0_usize..200, with in "\\PC{0,20}") {
        let shipped = include_str!("../../exercises/flap-roll.toml");
        let start = (0..=at.min(shipped.len())).rev().find(|at| shipped.is_char_boundary(*at)).unwrap_or(0);
        let end = (start..=(start + length).min(shipped.len())).rev().find(|at| shipped.is_char_boundary(*at)).unwrap_or(start);
        let damaged = format!("{}{with}{}", &shipped[..start], &shipped[end..]);
        for fault in read("flap-roll", &damaged).err().unwrap_or_default() {
            prop_assert!(!fault.message.is_empty());
        }
    }
}
