//! The needle book against check values from outside the project: published cutting lists of leaves and pockets that are
//! built the same way, and closed form in whole sixteenths. Lengths are inches unless they say otherwise.

use super::shared::{answered, cut, exercise, gives, is_slip, length, outline};
use foldmark::check::Verdict;
use foldmark::draft::{Draft, Givens, Mark, Raw};
use foldmark::exercise::Exercise;
use foldmark::length::{Length, Ruler, Unit};
use foldmark::practice::set;
use proptest::prelude::*;
use std::f64::consts::PI;

fn book() -> &'static Exercise {
    exercise("needle-book")
}

/// The book worked for givens as the command line writes them, several kinds of needle among them.
fn draft<'e>(exercise: &'e Exercise, givens: &[&str]) -> Draft<'e> {
    let mut raw = Raw::default();
    for given in givens {
        raw.add(given).unwrap();
    }
    let givens = Givens::read(exercise, &raw, Some(Unit::Inch), Ruler::SIXTEENTH);
    Draft::new(exercise, givens.unwrap_or_else(|faults| panic!("{}", faults[0]))).unwrap()
}

/// A utensil roll 9 1/2 wide: margins of 1 1/4 on both sides, and between them four places of 1 3/4, so lines at 3,
/// 4 3/4 and 6 1/2.
///
/// Source: allpeoplequilt.com/bags-pillows-gifts/gifts/utensil-roll. Its arithmetic closes: 9 1/2 - 2 1/2 = 7 =
/// 4 x 1 3/4.
#[test]
fn places_between_two_margins() {
    let exercise = book();
    let row = |name: &str| format!("kinds=name: {name}, length: 6, room: 1 3/4, count: 1");
    let rows = ["knife", "fork", "spoon", "straw"].map(row);
    let mut givens: Vec<&str> = rows.iter().map(String::as_str).collect();
    givens.push("margin=1 1/4");
    let draft = draft(exercise, &givens);
    gives(&draft, &[("place", "1 3/4"), ("leaf_width", "9 1/2")]);
    let leaf = draft.piece(exercise.piece("leaf").unwrap()).unwrap();
    let lines: Vec<f64> = leaf
        .marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Lines { lines, label: None, .. } => Some(lines.iter().map(|(from, _)| from.x)),
            _ => None,
        })
        .flatten()
        .collect();
    // The piece is drawn from the middle of the spine.
    let begins = draft.length("spine", 0).as_nm_f64() / 2e6;
    let expected = [3.0, 4.75, 6.5].map(|inches| begins + inches * 25.4);
    assert_eq!(lines.len(), expected.len());
    assert!(lines.iter().zip(expected).all(|(line, expected)| (line - expected).abs() < 1e-6), "{lines:?}");
}

/// A pocket with hems of 1/2 on all its edges: 6 x 12 as finished is cut 7 x 13.
///
/// Source: favecrafts.com/Sewing/Case-for-Crochet-Hooks.
#[test]
fn a_leaf_hemmed_all_round() {
    let exercise = book();
    // 12 = 2 x 5 7/8 + 1/4, and 5 7/8 = 21 x 1/4 + 1/8 + 2 x 1/4; 6 = 5 1/2 + 2 x 1/4.
    let draft = draft(
        exercise,
        &[
            "leaf_cloth=woven",
            "kinds=name: hook, length: 5 1/2, room: 1/4, count: 21",
            "kinds=name: needle, length: 3, room: 1/8, count: 1",
            "margin=1/4",
            "leaves=1",
            "thickness=1/8",
            "hem=1/2",
        ],
    );
    gives(&draft, &[("leaf_height", "6"), ("leaf_cut", "13")]);
    assert_eq!(cut(&draft, "hemmed-leaf"), (length("13"), length("7")));
    assert!(draft.pieces().all(|piece| piece.name != "leaf"), "there is one kind of leaf");
}

/// Closed form: a half circle of diameter w is π w / 2 long; with the allowance a all round, the tab is cut as an oblong
/// of l - w/2 + a by w + 2a and half a circle of radius w/2 + a. (l and w are the finished length and width.)
#[test]
fn the_tab_ends_in_half_a_circle() {
    let exercise = book();
    for (width, allowance) in [("1", "1/4"), ("3/4", "3/8"), ("1 1/2", "1/8")] {
        let kinds = "kinds=name: darner, length: 2 1/2, room: 1/4, count: 20";
        let draft = draft(exercise, &[kinds, &format!("tab_width={width}"), &format!("allowance={allowance}")]);
        let tab = outline(&draft, "tab");
        let mm = |length: Length| length.as_nm_f64() / 1e6;
        let (w, a, l) = (mm(length(width)), mm(length(allowance)), mm(draft.length("tab_length", 0)));
        let end = tab.edges().iter().find(|edge| edge.name == "end").unwrap();
        assert!((end.stitching_length() - PI * w / 2.0).abs() < 1e-3);
        let radius = w / 2.0 + a;
        let area = (l - w / 2.0 + a) * 2.0 * radius + PI * radius * radius / 2.0;
        assert!((tab.cut_area() / area - 1.0).abs() < 5e-5, "{} for {area}", tab.cut_area());
        let across = draft.length("tab_cut", 0);
        assert_eq!(cut(&draft, "tab"), (across, length(width) + length(allowance) + length(allowance)));
    }
}

/// The example by hand: places 4 x 1/4 = 1, 8 x 1/8 = 1, 4 x 3/8 = 1 1/2; leaf 3 1/2 + 3/4 by 2 1/2 + 3/4; spine
/// 2 x 2 x 1/16; cover 2 x 4 1/2 + 1/4 by 3 1/4 + 1/2; on the fold 4 5/8 + 1/4. Common practice, no source.
#[test]
fn the_example_by_hand() {
    let exercise = book();
    let givens = Givens::read(exercise, &Raw::example(exercise), None, Ruler::SIXTEENTH).unwrap();
    let draft = Draft::new(exercise, givens).unwrap();
    gives(
        &draft,
        &[
            ("leaf_width", "4 1/4"),
            ("leaf_height", "3 1/4"),
            ("spine", "1/4"),
            ("cover_width", "9 1/4"),
            ("cover_height", "3 3/4"),
            ("cover_cut", "4 7/8"),
            ("cut_height", "4 1/4"),
            ("leaf_cut", "8 3/4"),
        ],
    );
    assert_eq!(cut(&draft, "cover"), (length("4 7/8"), length("4 1/4")));
    assert_eq!(cut(&draft, "lining"), cut(&draft, "cover"));
    assert_eq!(cut(&draft, "leaf"), (length("8 3/4"), length("3 1/4")));
}

/// Every slip is named when a student hands in what it gives, on some sheet of practice.
#[test]
fn every_slip_is_named() {
    let exercise = book();
    let problems = set(exercise, Ruler::SIXTEENTH, 12, 4).unwrap();
    for slip in exercise.slips.iter().filter(|slip| exercise.steps[slip.step].kind.list.is_none()) {
        let is_named = problems.iter().map(|problem| &problem.draft).any(|draft| {
            let holds = slip.when.as_ref().is_none_or(|when| when.holds(&draft.measures));
            let used = slip.used.evaluate(&draft.measures, None).and_then(Length::from_nm_f64).filter(|_| holds);
            used.is_some_and(|used| {
                let value = draft.givens.ruler.write_exactly(used);
                answered(draft, &exercise.steps[slip.step].name, &value) == (Verdict::NotRight, Some(&slip.name))
            })
        });
        assert!(is_named, "{} is never named", slip.name);
    }
    let one_kind = draft(exercise, &["kinds=name: darner, length: 2 1/2, room: 1/4, count: 4"]);
    is_slip(&one_kind, "place", "1/4", "kinds-not-needles");
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(14), ..ProptestConfig::default() })]

    /// Closed form, worked again in whole sixteenths of an inch.
    #[test]
    fn every_step_in_sixteenths(
        kinds in prop::collection::vec((16_i64..=96, 2_i64..=32, 1_i64..=40), 1..=8),
        margin in 2_i64..=32, leaves in 1_i64..=6, thickness in 1_i64..=4, hem in 2_i64..=8, border in 2_i64..=16,
        allowance in 2_i64..=16, is_woven: bool,
    ) {
        let exercise = book();
        let mut givens: Vec<String> = kinds
            .iter()
            .map(|(long, room, count)| format!("kinds=name: n, length: {long}/16, room: {room}/16, count: {count}"))
            .collect();
        for (name, value) in [("margin", margin), ("thickness", thickness), ("hem", hem), ("border", border), ("allowance", allowance)] {
            givens.push(format!("{name}={value}/16"));
        }
        givens.push(format!("leaves={leaves}"));
        givens.push(format!("leaf_cloth={}", if is_woven { "woven" } else { "felt" }));
        let draft = draft(exercise, &givens.iter().map(String::as_str).collect::<Vec<_>>());
        let leaf_width = kinds.iter().map(|(_, room, count)| room * count).sum::<i64>() + 2 * margin;
        let leaf_height = kinds.iter().map(|(long, ..)| *long).max().unwrap() + 2 * margin;
        let spine = 2 * leaves * thickness;
        let cover = (2 * leaf_width + 2 * border + spine, leaf_height + 2 * border);
        let hems = if is_woven { 2 * hem } else { 0 };
        // On the fold: half of the whole, so both sides are doubled.
        let half_sixteenths = [
            ("leaf_width", 2 * leaf_width),
            ("leaf_height", 2 * leaf_height),
            ("spine", 2 * spine),
            ("cover_width", 2 * cover.0),
            ("cover_height", 2 * cover.1),
            ("cover_cut", cover.0 + 2 * allowance),
            ("cut_height", 2 * cover.1 + 4 * allowance),
            ("leaf_cut", 4 * leaf_width + 2 * spine + 2 * hems),
        ];
        for (step, expected) in half_sixteenths {
            prop_assert_eq!(draft.length(step, 0), Length::from_nm(expected * 25_400_000 / 32), "{}", step);
        }
        let leaf = cut(&draft, if is_woven { "hemmed-leaf" } else { "leaf" });
        prop_assert_eq!(leaf, (draft.length("leaf_cut", 0), Length::from_nm((leaf_height + hems) * 25_400_000 / 16)));
        prop_assert_eq!(cut(&draft, "cover"), (draft.length("cover_cut", 0), draft.length("cut_height", 0)));
    }
}
