//! The patch pocket, the shaped flap and the altered pouch against check values from outside the project.

use super::shared::*;
use foldmark::check::{Verdict, answer_file, mark, read_answers};
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::StepId;
use foldmark::geometry::{Outline, Point};
use foldmark::length::Ruler;
use proptest::prelude::*;
use std::f64::consts::PI;

/// How far a point lies from the straight line through two others, in millimetres.
fn off_line(point: Point, from: Point, to: Point) -> f64 {
    let (x, y) = (to.x - from.x, to.y - from.y);
    ((point.x - from.x) * y - (point.y - from.y) * x).abs() / x.hypot(y)
}

// ---------------------------------------------------------------- the patch pocket

/// The edges of a patch pocket may be cut 2 mm off, either way.
/// Source: Industrial Cutting of Textile Materials, table 13.1 (p. 210).
#[test]
fn the_edges_of_a_pocket_may_be_two_millimetres_off() {
    let pocket = exercise("patch-pocket");
    let draft = draft_on(
        Ruler::MILLIMETRE,
        pocket,
        &[
            ("width", "100 mm"),
            ("length", "200 mm"),
            ("thickness", "5 mm"),
            ("ease", "15 mm"),
            ("taper", "15 mm"),
            ("grip", "25 mm"),
            ("turn_under", "10 mm"),
            ("side", "10 mm"),
            ("base", "15 mm"),
            ("panel_width", "300 mm"),
            ("panel_height", "300 mm"),
            ("margin", "25 mm"),
        ],
        &[("height", "150 mm"), ("hem_depth", "40 mm")],
    );
    // 100 + 5 + 15; 120 + 30; (300 - 150) / 2; 150 + 20; 150 + 50 + 15; 170 - 2 x 15 x 50 / 150.
    gives(
        &draft,
        &[
            ("base_width", "120 mm"),
            ("mouth_width", "150 mm"),
            ("above", "50 mm"),
            ("from_side", "75 mm"),
            ("base_in", "90 mm"),
            ("hem_turn", "50 mm"),
            ("cut_width", "170 mm"),
            ("cut_height", "215 mm"),
            ("hem_edge", "160 mm"),
        ],
    );
    for (step, right) in [("cut_width", 170), ("cut_height", 215), ("hem_edge", 160)] {
        for off in [-2, 2] {
            assert_eq!(answered(&draft, step, &format!("{} mm", right + off)).0, Verdict::Right, "{step} {off}");
        }
        for off in [-3, 3] {
            assert_eq!(answered(&draft, step, &format!("{} mm", right + off)).0, Verdict::NotRight, "{step} {off}");
        }
    }
    // The hem cut straight up, and the slant carried on: 5 mm too wide at either end, and 10 mm.
    is_slip(&draft, "hem_edge", "170 mm", "hem-straight-up");
    is_slip(&draft, "hem_edge", "180 mm", "taper-runs-on");
}

/// Topstitching lies about 1/4 from the edge, edge-stitching less than 1/8.
/// Sources: customsuits.blogspot 2009-11; ultimatelexicon.com.
#[test]
fn topstitching_and_edge_stitching_are_both_allowed() {
    let pocket = exercise("patch-pocket");
    let draft = draft(pocket, &[("side", "1/2"), ("base", "5/8")], &[]);
    gives(&draft, &[("topstitch", "1/4")]);
    assert_eq!(answered(&draft, "topstitch", "1/16").0, Verdict::Right);
    assert_eq!(answered(&draft, "topstitch", "1/8").0, Verdict::Right);
    // It has to catch what is pressed under (common practice, no source).
    assert_eq!(answered(&draft, "topstitch", "1/2").0, Verdict::OutsideRule);
    assert_eq!(answered(&draft, "topstitch", "0 in").0, Verdict::OutsideRule);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Half the girth, the place in the middle, the turned corners: whatever is given.
    #[test]
    fn every_pocket_closes(
        width in 16_i64..=256, length in 64_i64..=320, thickness in 0_i64..=32, ease in 0_i64..=32, taper in 0_i64..=12,
        turn_under in 2_i64..=6, side in 4_i64..=16, base in 4_i64..=16, panel in 96_i64..=640,
    ) {
        let pocket = exercise("patch-pocket");
        let given = sixteenths(&[
            ("width", width), ("length", length), ("thickness", thickness), ("ease", ease), ("taper", taper),
            ("turn_under", turn_under), ("side", side), ("base", base), ("panel_width", panel),
        ]);
        let draft = draft(pocket, &borrowed(&given), &[]);
        let is = |name: &str| draft.length(name, 0).nm();
        // Two layers hold the girth and the ease of both.
        prop_assert_eq!(2 * (is("base_width") - ease * TICK), 2 * (width + thickness) * TICK);
        prop_assert_eq!(2 * is("from_side") + is("mouth_width"), panel * TICK);
        prop_assert_eq!(2 * is("base_in") + is("base_width"), panel * TICK);
        prop_assert_eq!(is("base_in") - is("from_side"), taper * TICK);
        prop_assert_eq!(is("above") + is("height"), length * TICK);
        prop_assert_eq!(is("cut_height"), is("height") + is("hem_depth") + (turn_under + base) * TICK);

        let outline = outline(&draft, "pocket");
        let (wide, high) = cut_size(&outline);
        prop_assert!(close(wide, is("cut_width")), "{} for {}", wide, is("cut_width"));
        prop_assert!(close(high, is("cut_height")), "{} for {}", high, is("cut_height"));
        // The hem is the third edge: two turned corners at each of its ends, at the fold and at the raw edge.
        let points = outline.cutting();
        prop_assert!(close(nm(outline.cut_length(2)), is("hem_edge")));
        let fold = is("height") as f64 / 1e6;
        let top: Vec<Point> = points.iter().copied().filter(|point| point.y > fold + 1e-6).collect();
        prop_assert_eq!(top.len(), 2, "a raw edge has two ends: {:?}", top);
        let at_fold: Vec<Point> = points.iter().copied().filter(|point| (point.y - fold).abs() < 1e-6).collect();
        let at_base: Vec<Point> = points.iter().copied().filter(|point| point.y < 0.0).collect();
        prop_assert_eq!((at_fold.len(), at_base.len()), (2, 2));
        // Folded down along the mouth, the ends of the raw edge lie on the cut sides, to a micrometre.
        let middle = is("mouth_width") as f64 / 2e6;
        for raw in top {
            let turned = Point::new(raw.x, 2.0 * fold - raw.y);
            let on_side = |points: &[Point]| *points.iter().find(|point| (point.x < middle) == (raw.x < middle)).unwrap();
            let off = off_line(turned, on_side(&at_base), on_side(&at_fold));
            prop_assert!(off < 1e-3, "{} mm off the side", off);
        }
        // The side allowance is the same measured level, at the fold and at the base.
        for point in &at_fold {
            let out = (point.x - middle).abs() - middle;
            prop_assert!(close(nm(out), side * TICK));
        }
        prop_assert!(draft.seams().unwrap().iter().all(|seam| seam.is_true()));
    }
}

/// With upright sides no corner is turned: the hem is as wide as the pocket, and the piece is a rectangle.
#[test]
fn an_upright_pocket_is_a_rectangle() {
    let pocket = exercise("patch-pocket");
    let draft = draft(pocket, &[("taper", "0 in"), ("width", "5"), ("thickness", "0 in"), ("ease", "1/2")], &[]);
    gives(&draft, &[("base_width", "5 1/2"), ("mouth_width", "5 1/2"), ("cut_width", "6 1/2"), ("hem_edge", "6 1/2")]);
    let outline = outline(&draft, "pocket");
    let (wide, high) = cut_size(&outline);
    assert!((outline.cut_area() - wide as f64 * high as f64 / 1e12).abs() < 1e-6);
}

// ---------------------------------------------------------------- the shaped flap

/// A seam is trimmed to 1/8 to 1/4. Source: Apparel (Goodheart-Willcox, 2012), p. 451.
#[test]
fn a_curved_seam_is_trimmed_to_an_eighth_or_a_quarter() {
    let flap = exercise("shaped-flap");
    let draft = draft(flap, &[("seam", "1/2")], &[]);
    gives(&draft, &[("trim", "3/16")]);
    for right in ["1/8", "1/4"] {
        assert_eq!(answered(&draft, "trim", right).0, Verdict::Right, "{right}");
    }
    for wrong in ["0 in", "3/8", "1/2"] {
        assert_eq!(answered(&draft, "trim", wrong).0, Verdict::OutsideRule, "{wrong}");
    }
}

/// Closed form, no source: a flap of 10 x 8 with corners of 2, turn of cloth 1/8.
#[test]
fn a_flap_worked_by_hand() {
    let flap = exercise("shaped-flap");
    let draft = draft(
        flap,
        &[
            ("bag_width", "10 1/2"),
            ("bag_height", "10"),
            ("over", "3"),
            ("clear", "1/4"),
            ("turn", "1/8"),
            ("seam", "3/8"),
            ("back_seam", "3/4"),
            ("fastening", "5/8"),
        ],
        &[("reach", "5"), ("radius", "2"), ("fastening_up", "1 1/4")],
    );
    gives(
        &draft,
        &[
            ("flap_width", "10"),
            ("flap_length", "8"),
            ("facing_width", "9 3/4"),
            ("facing_length", "7 7/8"),
            ("facing_radius", "1 7/8"),
            ("cut_width", "10 3/4"),
            ("cut_length", "9 1/8"),
            ("on_front", "3 3/4"),
        ],
    );
    // Two sides of 6, a lower edge of 6, and half a circle.
    let is = |name: &str| draft.length(name, 0).nm();
    assert!(close(is("flap_edge"), nm((18.0 + 2.0 * PI) * 25.4)));
    assert!(close(is("facing_edge"), nm((18.0 + 1.875 * PI) * 25.4)));
    assert!(close(is("eased"), nm(PI / 8.0 * 25.4)));
    is_slip(&draft, "eased", "3/16", "ease-of-one-corner"); // 0.196
    is_slip(&draft, "eased", "1/2", "turns-counted");
    is_slip(&draft, "facing_length", "7 3/4", "facing-turn-twice");
    is_slip(&draft, "flap_edge", "26", "square-corners"); // 16 + 10
    is_slip(&draft, "on_front", "6 3/4", "from-the-back-seam"); // 8 - 1 1/4
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// The flap is eased by pi times the turn of cloth, half of it at each corner, whatever the radius; the
    /// facing lies one turn of cloth inside it; pieces are as large as the steps say.
    #[test]
    fn every_flap_closes(
        width in 112_i64..=480, height in 96_i64..=480, over in 8_i64..=160, clear in 0_i64..=16, turn in 1_i64..=4,
        seam in 4_i64..=12, back in 4_i64..=24, fastening in 4_i64..=20, larger in 0_i64..=100,
    ) {
        let flap = exercise("shaped-flap");
        let given = sixteenths(&[
            ("bag_width", width), ("bag_height", height), ("over", over), ("clear", clear), ("turn", turn),
            ("seam", seam), ("back_seam", back), ("fastening", fastening),
        ]);
        // Any radius within the limits, in whole sixteenths.
        let given = borrowed(&given);
        let reach = draft(flap, &given, &[]).length("reach", 0).nm() / TICK;
        let (least, most) = (2 * seam + turn, ((width - 2 * clear) * 2 / 5).min(reach));
        prop_assert!(least <= most, "the ranges leave a radius to choose: {} to {}", least, most);
        let radius = least + (most - least) * larger / 100;
        let chosen = format!("{radius}/16 in");
        let draft = draft(flap, &given, &[("radius", &chosen)]);
        let is = |name: &str| draft.length(name, 0).nm();

        prop_assert!(close(is("eased"), nm(PI * (turn * TICK) as f64 / 1e6)));
        prop_assert_eq!(is("facing_width") + 2 * turn * TICK, is("flap_width"));
        prop_assert_eq!(is("on_front") + is("fastening_up") + over * TICK, is("flap_length"));
        let seams = draft.seams().unwrap();
        for seam in &seams {
            prop_assert!(seam.is_true(), "{}: {} against {}", seam.seam.name, seam.one, seam.other);
        }
        // Measured on the pieces, not taken from the steps.
        let (outer, facing) = (outline(&draft, "flap"), outline(&draft, "facing"));
        let curved = |outline: &Outline| -> f64 { [0, 1, 2, 4, 5].iter().map(|at| outline.edges()[*at].stitching_length()).sum() };
        prop_assert!(close(nm(curved(&outer)), is("flap_edge")));
        prop_assert!(close(nm(curved(&facing)), is("facing_edge")));
        for corner in [1, 5] {
            let quarter = PI / 2.0 * (radius * TICK) as f64 / 1e6;
            prop_assert!(close(nm(outer.edges()[corner].stitching_length()), nm(quarter)));
            // The line beside it, one allowance out, is a quarter circle too.
            let raw = PI / 2.0 * ((radius + seam) * TICK) as f64 / 1e6;
            prop_assert!(close(nm(outer.cut_length(corner)), nm(raw)));
        }
        let ((wide, long), (facing_wide, facing_long)) = (cut_size(&outer), cut_size(&facing));
        prop_assert!(close(wide, is("cut_width")) && close(long, is("cut_length")));
        prop_assert!(close(facing_wide, wide - 2 * turn * TICK) && close(facing_long, long - turn * TICK));
        prop_assert!(close(facing_wide, is("facing_width") + 2 * seam * TICK));
        // Every choice that the program makes keeps to its own limits.
        let filled = answer_file(&draft, "Fennel", true);
        let marked = mark(flap, &read_answers(&filled).unwrap()).unwrap();
        prop_assert!(marked.cells.iter().all(|cell| cell.verdict == Verdict::Right), "{}", filled);
    }
}

// ---------------------------------------------------------------- the altered pouch

/// Squares of 2 from the raw edges make 4 of depth, and a panel of 19 x 16 becomes 15 wide and 14 high.
/// Source: Lazy Girl Designs, lazygirldesigns.com/pdf-files/tutorial-box-the-bottom-corners-of-a-bag.
#[test]
fn squares_of_two_make_four_of_depth() {
    let pouch = exercise("altered-pouch");
    for allowance in ["1/4", "3/8", "1/2", "5/8"] {
        // An old pouch of 13 x 12 finished, 2 wider and 2 longer.
        let givens = [
            ("old_cut_width", "13 1/2"),
            ("old_cut_height", "12 1/2"),
            ("old_seam", "1/4"),
            ("new_seam", allowance),
            ("wider", "2"),
            ("longer", "2"),
            ("depth", "4"),
        ];
        let draft = draft(pouch, &givens, &[]);
        gives(&draft, &[("old_width", "13"), ("flat_width", "19"), ("flat_height", "16"), ("square", "2")]);
    }
}

/// "Half the bottom and the allowance" for a bottom of 2 and an allowance of 1/2 gives a square of 1 1/2, which
/// is too much. Source, wrong: bestfabricstore.com/blog/how-to-box-the-corners-of-a-bag.
#[test]
fn half_the_depth_and_the_allowance_is_too_much() {
    let pouch = exercise("altered-pouch");
    let draft = draft(pouch, &[("depth", "2"), ("new_seam", "1/2")], &[]);
    gives(&draft, &[("square", "1")]);
    is_slip(&draft, "square", "1 1/2", "square-with-allowance");
}

/// A zip of 7 with tabs goes into panels cut 8 1/2 wide: an allowance of 1/4 and 1/2 of tab at either end.
/// Source: kelbysews.blogspot.com/2011/03 (how the 3/4 at an end divides is left open there).
#[test]
fn a_zip_of_seven_in_panels_of_eight_and_a_half() {
    let pouch = exercise("altered-pouch");
    let draft = draft(
        pouch,
        &[
            ("old_cut_width", "7 1/2"),
            ("old_seam", "1/4"),
            ("new_seam", "1/4"),
            ("wider", "0 in"),
            ("depth", "1"),
            ("zip_end", "1/2"),
        ],
        &[],
    );
    gives(&draft, &[("cut_width", "8 1/2"), ("zip", "7")]);
}

/// What goes wrong when a draft is altered (common practice, no source), each named as what it is.
#[test]
fn slips_of_an_alteration_are_named() {
    let pouch = exercise("altered-pouch");
    let draft = draft(
        pouch,
        &[
            ("old_cut_width", "10 1/4"),
            ("old_cut_height", "8 1/4"),
            ("old_seam", "3/8"),
            ("new_seam", "1/2"),
            ("wider", "1"),
            ("longer", "1"),
            ("depth", "2"),
        ],
        &[("split", "3")],
    );
    gives(
        &draft,
        &[
            ("old_width", "9 1/2"),
            ("old_height", "7 1/2"),
            ("side_out", "1 1/2"),
            ("flat_width", "12 1/2"),
            ("flat_height", "9 1/2"),
            ("cut_width", "13 1/2"),
            ("cut_height", "10 1/2"),
            ("upper_cut", "4"),
            ("lower_cut", "7 1/2"),
        ],
    );
    for (step, value, slip) in [
        ("old_width", "9 1/4", "new-allowance-off"),
        ("flat_width", "11", "one-side-widened"),
        ("flat_width", "11 1/2", "depth-not-doubled"),
        ("flat_width", "12 3/4", "allowance-in-flat-width"),
        ("cut_width", "13 1/4", "old-allowance-kept"),
        ("cut_width", "13", "allowance-once"),
        ("cut_height", "10 1/4", "old-allowance-kept-in-height"),
        ("upper_cut", "3 1/2", "upper-split-edge-bare"),
        ("lower_cut", "7", "lower-split-edge-bare"),
        ("lower_cut", "6 1/2", "cut-height-divided"),
        ("zip", "8 3/4", "old-zip"), // 9 1/2 - 2 x 3/8
        ("pocket_from_base", "2 1/2", "pocket-without-base"),
        ("loop", "2", "loop-moved-down"),
    ] {
        is_slip(&draft, step, value, slip);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// The finished size does not depend on the allowance; both parts of the front together are the back and
    /// two allowances; nothing that hangs on the top edge has moved from it.
    #[test]
    fn every_alteration_closes(
        wide in 112_i64..=384, high in 80_i64..=384, old in 2_i64..=10, new in 2_i64..=10, wider in 0_i64..=160,
        longer in 0_i64..=160, depth in 16_i64..=96, zip_end in 0_i64..=20, pocket in 16_i64..=96, up in 8_i64..=192,
        lower in 0_i64..=100,
    ) {
        let pouch = exercise("altered-pouch");
        let with = |seam: i64| {
            sixteenths(&[
                ("old_cut_width", wide), ("old_cut_height", high), ("old_seam", old), ("new_seam", seam), ("wider", wider),
                ("longer", longer), ("depth", depth), ("zip_end", zip_end), ("pocket_width", pocket), ("pocket_up", up),
            ])
        };
        // Any split line within its limits, in whole sixteenths.
        let (least, most) = (3 * new, high - 2 * old + longer - 2 * new);
        prop_assert!(least <= most);
        let chosen = format!("{}/16 in", least + (most - least) * lower / 100);
        let given = with(new);
        let draft = draft(pouch, &borrowed(&given), &[("split", &chosen)]);
        let is = |name: &str| draft.length(name, 0).nm();

        let other = with(12 - new);
        let other = draft_on(Ruler::SIXTEENTH, pouch, &borrowed(&other), &[]);
        for step in ["old_width", "old_height", "side_out", "flat_width", "flat_height", "square", "zip", "pocket_in", "pocket_from_base", "loop"] {
            prop_assert_eq!(is(step), other.length(step, 0).nm(), "{} changes with the allowance", step);
        }
        // Boxed, the pouch is as wide and as high as was asked for.
        prop_assert_eq!(is("flat_width") - depth * TICK, is("old_width") + wider * TICK);
        prop_assert_eq!(2 * is("flat_height") - depth * TICK, 2 * (is("old_height") + longer * TICK));
        prop_assert_eq!(is("upper_cut") + is("lower_cut"), is("cut_height") + 2 * new * TICK);
        // Old and new distance of the pocket's lower edge from the top edge.
        prop_assert_eq!(is("old_height") - up * TICK, is("flat_height") - is("pocket_from_base"));
        let old_in = (wide - 2 * old - pocket) * TICK;
        prop_assert_eq!(2 * is("pocket_in"), old_in + 2 * is("side_out"));

        // The same from the pieces: sizes, and the cloth of both parts against the whole.
        let [back, upper, lower, lining] = ["back", "upper-front", "lower-front", "lining"].map(|piece| outline(&draft, piece));
        prop_assert!(close(cut_size(&back).0, is("cut_width")) && close(cut_size(&back).1, is("cut_height")));
        prop_assert!(close(cut_size(&upper).0, is("cut_width")) && close(cut_size(&upper).1, is("upper_cut")));
        prop_assert!(close(cut_size(&lower).0, is("cut_width")) && close(cut_size(&lower).1, is("lower_cut")));
        prop_assert_eq!(cut_size(&lining), cut_size(&back));
        let strip = is("cut_width") as f64 * (2 * new * TICK) as f64 / 1e12;
        let more = upper.cut_area() + lower.cut_area() - back.cut_area();
        prop_assert!((more - strip).abs() < 1e-3, "{} mm2 for {}", more, strip);
        // Both corner squares are measured from the raw edge.
        let raw = back.cutting_bounds().least;
        let hollow = back.cutting()[7];
        prop_assert!(close(nm(hollow.x - raw.x), is("square")) && close(nm(hollow.y - raw.y), is("square")));
        prop_assert!(draft.seams().unwrap().iter().all(|seam| seam.is_true()));
    }
}

/// What can't be drawn is told in a sentence that names the edge and what to do.
#[test]
fn what_cannot_be_drawn_is_told() {
    let fault = |name: &str, givens: &[(&str, &str)], choices: &[(&str, &str)]| {
        let exercise = exercise(name);
        draft(exercise, givens, choices).cutting_list().unwrap_err().to_string()
    };
    assert_eq!(
        fault("shaped-flap", &[("bag_width", "10"), ("clear", "0 in")], &[("radius", "5")]),
        "Flap: the edge \"lower edge\" has no length; check the measures that it is drawn from"
    );
    assert_eq!(
        fault("shaped-flap", &[("turn", "1/8")], &[("radius", "1/8")]),
        "Facing: the edge \"right corner\" has no length; check the measures that it is drawn from"
    );
    assert_eq!(
        fault("altered-pouch", &[], &[("split", "0 in")]),
        "Upper front: the edge \"split\" runs along the edge \"top\", where there is nothing to split; move its line into the piece"
    );
    // The slant of a pocket without height can't even be worked out.
    let pocket = exercise("patch-pocket");
    let givens = Givens::read(pocket, &Raw::default(), None, Ruler::EIGHTH).unwrap();
    let flat = |step: StepId, _: usize| (pocket.steps[step].name == "height").then_some(0.0);
    let fault = Draft::choosing(pocket, givens, &flat).unwrap_err().to_string();
    assert!(fault.contains("Raw edge of the hem, cut width"), "{fault}");
}
