//! The roll against check values from outside the project.
//!
//! Each roll is a published cut list. What the source states is the expectation; what it measures
//! differently (a finished size where the exercise asks for objects and gaps) is turned into givens by
//! the arithmetic in the comment beside it. Lengths are inches.

use super::shared::*;
use foldmark::check::Verdict;
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::Exercise;
use foldmark::geometry::Bounds;
use foldmark::length::{Length, Ruler};

/// A roll: givens and choices in, measures out.
struct Roll<'r> {
    /// Width of one object in the layout, and how many.
    objects: &'r [(&'r str, u32)],
    side_ease: &'r str,
    /// The longest object, with the gaps that make up the height to the fold.
    longest: &'r str,
    base_gap: &'r str,
    top_gap: &'r str,
    allowance: &'r str,
    choices: &'r [(&'r str, &'r str)],
}

impl Roll<'_> {
    fn draft<'e>(&self, exercise: &'e Exercise) -> Draft<'e> {
        let object =
            |(width, count)| format!("name: object, length: {}, spread: {width}, count: {count}", self.longest);
        let objects: Vec<String> = self.objects.iter().copied().map(object).collect();
        let mut givens: Vec<(&str, &str)> = objects.iter().map(|object| ("objects", object.as_str())).collect();
        givens.extend([
            ("sizing", "layout"),
            ("side_ease", self.side_ease),
            ("base_gap", self.base_gap),
            ("top_gap", self.top_gap),
            ("allowance", self.allowance),
            ("top", if self.choices.contains(&("flap", "0 in")) { "open" } else { "flap" }),
        ]);
        draft(exercise, &givens, self.choices)
    }

    fn gives(&self, expected: &[(&str, &str)]) {
        gives(&self.draft(exercise("flap-roll")), expected);
    }

    /// Cut width and height of a piece, from its geometry.
    fn cut(&self, piece: &str) -> (Length, Length) {
        cut(&self.draft(exercise("flap-roll")), piece)
    }

    /// The verdict on one choice, with every other answer as it follows.
    fn verdict(&self, step: &str) -> Verdict {
        verdict(&self.draft(exercise("flap-roll")), step)
    }
}

/// Check values of the design: common practice, no source.
#[test]
fn twelve_objects_of_one_inch() {
    let roll = Roll {
        objects: &[("1", 12)],
        side_ease: "1/2",
        longest: "5 3/4",
        base_gap: "1/4",
        top_gap: "1/2",
        allowance: "1/2",
        choices: &[("pocket_height", "4"), ("flap", "3")],
    };
    roll.gives(&[
        ("finished_width", "12 1/2"),
        ("fold_height", "6 1/2"),
        ("bare_height", "2 1/2"),
        ("full_height", "9 1/2"),
        ("tie_position", "3 1/4"),
        ("cut_width", "13 1/2"),
        ("cut_height", "10 1/2"),
        ("pocket_cut", "4 1/2"),
        ("pocket_opened", "9"),
    ]);
    assert_eq!(roll.cut("outer"), (length("13 1/2"), length("10 1/2")));
    assert_eq!(roll.cut("pocket"), (length("13 1/2"), length("4 1/2")));
    assert_eq!(roll.verdict("pocket_height"), Verdict::Right);
    assert_eq!(roll.verdict("flap"), Verdict::Right);
}

/// 16 crayons, allowance 1/4: outer and inner 5 x 16 1/2, pocket 6 folded to 3, stitching lines 1 1/4 from
/// the raw ends, then every 1. Source: tssimplecreations.blogspot.com/2010/05/fabric-crayon-roll.html.
#[test]
fn crayon_roll_of_sixteen() {
    let roll = Roll {
        objects: &[("1", 16)],
        side_ease: "0 in",
        longest: "4",
        base_gap: "1/4",
        top_gap: "1/4", // 5 high, cut, is 4 1/2 finished
        allowance: "1/4",
        choices: &[("pocket_height", "2 3/4"), ("flap", "0 in"), ("turning_gap", "3"), ("tie_length", "30")],
    };
    roll.gives(&[
        ("cut_width", "16 1/2"),
        ("cut_height", "5"),
        ("pocket_cut", "3"),
        ("pocket_opened", "6"),
        ("end_slot", "1"), // 1 1/4 from the raw end, less the allowance
    ]);
    assert_eq!(roll.verdict("pocket_height"), Verdict::Right); // 0.61 of the height
    assert_eq!(roll.verdict("turning_gap"), Verdict::Right);
    assert_eq!(roll.verdict("tie_length"), Verdict::Right);
    // It has no flap, so what stands bare stays so.
    assert_eq!(roll.verdict("flap"), Verdict::Right);
    assert_eq!(roll.cut("outer"), (length("16 1/2"), length("5")));
    // A copy of the pattern (katyconfidential.com/2012/01/felt-crayon-roll) prints 15 pockets for the same width.
    let copy = Roll { objects: &[("1", 15)], ..roll };
    assert_ne!(copy.draft(exercise("flap-roll")).length("cut_width", 0), length("16 1/2"));
}

/// 16 fat crayons: outer 18 1/2 x 5 1/2, pockets 1, 2 to spare, allowance 1/4.
/// Source: handmadiya.com/2022/09/lazy-crayon-roll-tutorial.html.
#[test]
fn crayon_roll_with_two_inches_to_spare() {
    let roll = Roll {
        objects: &[("1", 16)],
        side_ease: "2",
        longest: "4 1/2",
        base_gap: "1/4",
        top_gap: "1/4",
        allowance: "1/4",
        choices: &[("pocket_height", "3 1/4"), ("flap", "0 in")], // 3 1/2 above the raw edge of the fold
    };
    roll.gives(&[
        ("slots_width", "16"),
        ("finished_width", "18"),
        ("cut_width", "18 1/2"),
        ("cut_height", "5 1/2"),
        ("pocket_cut", "3 1/2"),
    ]);
    assert_eq!(roll.verdict("pocket_height"), Verdict::Right); // 0.65 of the height
}

/// 12 pencils: 8 1/2 x 10 1/2, allowance 1/4, pocket 10 folded to 5, first line 1 1/4 from the raw edge, then
/// 3/4. Source: sewingschool.blogspot.com/2011/08, which prints 1 1/4 for the last pocket: its own numbers
/// leave 1 3/4, so the lines are not centred. Centred, what is left over is shared.
#[test]
fn pencil_roll_whose_last_pocket_is_printed_wrong() {
    let roll = Roll {
        objects: &[("3/4", 12)],
        side_ease: "1",
        longest: "7 1/4",
        base_gap: "1/4",
        top_gap: "1/2",
        allowance: "1/4",
        choices: &[("pocket_height", "4 3/4"), ("flap", "0 in")],
    };
    roll.gives(&[
        ("cut_width", "10 1/2"),
        ("cut_height", "8 1/2"),
        ("pocket_cut", "5"),
        ("pocket_opened", "10"),
        ("end_slot", "1 1/4"),
    ]);
    // With the source's ten lines 3/4 apart after the first, the last pocket of the raw width is 1 3/4, not 1 1/4.
    let exercise = exercise("flap-roll");
    let draft = roll.draft(exercise);
    let last = draft.length("cut_width", 0) - length("1 1/4") - draft.length("slot", 0) * 10;
    assert_eq!(last, length("1 3/4"));
}

/// 12 pencils: 18 x 12, allowance 1/2, folded up 4 and down 5, lines 7/8 apart.
/// Source: pynkhope.blogspot.com/2009.
#[test]
fn pencil_roll_with_a_flap() {
    let roll = Roll {
        objects: &[("7/8", 12)],
        side_ease: "1/2", // 12 x 7/8 = 10 1/2 within 11
        longest: "7",
        base_gap: "1/4",
        top_gap: "3/4", // body 17 - 4 - 5 = 8
        allowance: "1/2",
        choices: &[("pocket_height", "4"), ("flap", "5")],
    };
    roll.gives(&[("slots_width", "10 1/2"), ("finished_width", "11"), ("cut_width", "12"), ("bare_height", "4")]);
    assert_eq!(roll.verdict("pocket_height"), Verdict::Right); // exactly half
    assert_eq!(roll.verdict("flap"), Verdict::Right); // 5 covers the bare 4
}

/// 10 fat pencils and a pad of 5: 15 1/2 x 8 1/2, allowance 1/4, pocket 4 1/2 cut for 4 finished.
/// Source: thebarefootcrafter.com/sewing/pencil-roll-tutorial.
#[test]
fn pencils_and_a_pad() {
    let roll = Roll {
        objects: &[("1", 10), ("5", 1)],
        side_ease: "0 in",
        longest: "7 1/4",
        base_gap: "1/4",
        top_gap: "1/2",
        allowance: "1/4",
        choices: &[("pocket_height", "4"), ("flap", "0 in")],
    };
    roll.gives(&[("finished_width", "15"), ("cut_width", "15 1/2"), ("cut_height", "8 1/2")]);
    assert_eq!(roll.verdict("pocket_height"), Verdict::Right); // half of 8
    // The source cuts its pocket from two layers with a seam at the top: one allowance more than on the fold.
    let on_fold = roll.draft(exercise("flap-roll")).length("pocket_cut", 0);
    assert_eq!(on_fold + length("1/4"), length("4 1/2"));
}

/// 12 knitting needles at 1 3/8, allowance 1/4, 18 wide: the slots fit the 17 1/2 that are left; pocket 15
/// folded to 7 1/2. Source: S. Dittrich, Knitcircus 3 (July 2008), abcdocz.com/doc/92956.
#[test]
fn knitting_needles() {
    let roll = Roll {
        objects: &[("1 3/8", 12)],
        side_ease: "1",
        longest: "14",
        base_gap: "1/4",
        top_gap: "1/4",
        allowance: "1/4",
        choices: &[("pocket_height", "7 1/4"), ("flap", "7 1/4")],
    };
    roll.gives(&[
        ("slots_width", "16 1/2"),
        ("finished_width", "17 1/2"),
        ("cut_width", "18"),
        ("pocket_cut", "7 1/2"),
        ("pocket_opened", "15"),
    ]);
    assert_eq!(roll.verdict("pocket_height"), Verdict::Right);
}

/// Long brushes: body 17, pocket 9, flap 12, each with 1/2 hems all round: 16, 8 and 11 finished; 22 wide.
/// Source: bearshaped.blogspot.com/2012/06.
#[test]
fn brushes_with_a_long_flap() {
    let roll = Roll {
        objects: &[("1 1/2", 14)],
        side_ease: "0 in",
        longest: "15",
        base_gap: "1/2",
        top_gap: "1/2",
        allowance: "1/2",
        choices: &[("pocket_height", "8"), ("flap", "11")],
    };
    roll.gives(&[
        ("finished_width", "21"),
        ("cut_width", "22"),
        ("fold_height", "16"),
        ("bare_height", "8"),
        ("full_height", "27"),
    ]);
    assert_eq!(roll.verdict("pocket_height"), Verdict::Right); // 0.50
    assert_eq!(roll.verdict("flap"), Verdict::Right); // 11 covers the bare 8
}

/// Cutlery: finished 9 x 14 1/2 from 9 1/2 x 15, allowance 1/4, pocket 9 1/2 folded to 4 3/4, four slots of
/// 1 3/4, tie cut 2 x 20 for 1/2 x 19.
/// Source: allpeoplequilt.com/bags-pillows-gifts/gifts/utensil-roll.
#[test]
fn cutlery_roll() {
    let roll = Roll {
        objects: &[("1 3/4", 4)],
        side_ease: "2",
        longest: "8",
        base_gap: "1/4",
        top_gap: "3/4", // 9 to the fold and 5 1/2 of flap, which the source does not divide
        allowance: "1/4",
        choices: &[("pocket_height", "4 1/2"), ("flap", "5 1/2"), ("tie_length", "19")],
    };
    roll.gives(&[
        ("slots_width", "7"),
        ("finished_width", "9"),
        ("full_height", "14 1/2"),
        ("cut_width", "9 1/2"),
        ("cut_height", "15"),
        ("pocket_cut", "4 3/4"),
        ("pocket_opened", "9 1/2"),
        ("tie_cut", "20"),
    ]);
    assert_eq!(roll.cut("outer"), (length("9 1/2"), length("15")));
    assert_eq!(roll.cut("tie"), (length("20"), length("2")));
    assert_eq!(roll.verdict("tie_length"), Verdict::Right);
}

/// Cutlery: 8 wide with allowance 1/2 is 7 finished; slots of 1 1/2 on each side of the centre leave two
/// outer slots of 2. Source: joann.com/reusable-utensil-roll.
#[test]
fn what_is_left_over_goes_to_the_end_slots() {
    let roll = Roll {
        objects: &[("1 1/2", 4)],
        side_ease: "1",
        longest: "8",
        base_gap: "1/4",
        top_gap: "1/4",
        allowance: "1/2",
        choices: &[],
    };
    roll.gives(&[("finished_width", "7"), ("cut_width", "8"), ("end_slot", "2")]);
    let lines: Vec<f64> = slot_lines(&roll).iter().map(|x| (x * 1e6).round() / 1e6).collect();
    assert_eq!(lines, [2.0, 3.5, 5.0]); // one in the middle of 7, one 1 1/2 on either side
}

/// Hooks: the bare part is 10 1/2 - 6 = 4 1/2, and the flap is 3 1/2: it leaves an inch bare, and covers the tips.
/// Source: favecrafts.com/Sewing/Case-for-Crochet-Hooks, which says the bare part is about 4.
#[test]
fn hook_case_whose_flap_covers_the_tips() {
    let roll = Roll {
        objects: &[("3/4", 16)],
        side_ease: "0 in",
        longest: "9 1/2",
        base_gap: "1/2",
        top_gap: "1/2",
        allowance: "1/2",
        choices: &[("pocket_height", "6"), ("flap", "3 1/2")],
    };
    roll.gives(&[("finished_width", "12"), ("bare_height", "4 1/2")]);
    assert_eq!(roll.verdict("pocket_height"), Verdict::Right); // 0.57
    assert_eq!(roll.verdict("flap"), Verdict::Right); // 1/2 above the tips, and a cover of 1
    assert_eq!(
        Roll { choices: &[("pocket_height", "6"), ("flap", "1 3/8")], ..roll }.verdict("flap"),
        Verdict::OutsideRule
    );
}

/// Where the slot lines of the pocket lie, in inches from the left seam.
fn slot_lines(roll: &Roll) -> Vec<f64> {
    use foldmark::draft::Mark;
    use foldmark::exercise::Pen;
    let exercise = exercise("flap-roll");
    let draft = roll.draft(exercise);
    let pocket = draft.piece(exercise.piece("pocket").unwrap()).unwrap();
    let lines = pocket.marks.iter().find_map(|mark| match mark {
        Mark::Lines { lines, pen: Pen::Stitch, .. } => Some(lines),
        _ => None,
    });
    lines.unwrap().iter().map(|(from, _)| from.x / 25.4).collect()
}

/// Common practice, no source: an even number of equal slots has a line in the middle, an odd number none.
#[test]
fn a_line_in_the_middle_only_for_an_even_number() {
    for count in 2..14 {
        let objects = [("1", count)];
        let roll = Roll {
            objects: &objects,
            side_ease: "1",
            longest: "6",
            base_gap: "1/4",
            top_gap: "1/2",
            allowance: "1/2",
            choices: &[],
        };
        let lines = slot_lines(&roll);
        let middle = f64::from(count + 1) / 2.0;
        assert_eq!(lines.len(), count as usize - 1);
        assert_eq!(lines.iter().any(|x| (x - middle).abs() < 1e-9), count % 2 == 0, "{count}: {lines:?}");
    }
}

/// The pocket opened out is twice as high as it lies on the fold (common practice, no source): the same from
/// the geometry as from the step.
#[test]
fn the_pocket_opened_out_is_its_own_mirror_image() {
    let exercise = exercise("flap-roll");
    let givens = Givens::read(exercise, &Raw::example(exercise), None, Ruler::EIGHTH).unwrap();
    let draft = Draft::new(exercise, givens).unwrap();
    let opened = Bounds::around(outline(&draft, "pocket").unfolded()).unwrap();
    assert_eq!(Length::from_nm_f64(opened.height() * 1e6).unwrap(), draft.length("pocket_opened", 0));
    assert_eq!(Length::from_nm_f64(opened.width() * 1e6).unwrap(), draft.length("cut_width", 0));
}
