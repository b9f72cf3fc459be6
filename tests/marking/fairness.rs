//! Marking where it would be easy to be unfair. Invented sheets; what is expected was reasoned out by hand.

use crate::shared::whole_shelf;
use foldmark::check::{Cause, Marker, Verdict, mark, read_answers, sentences};
use foldmark::class::{Points, Policy, Show};
use foldmark::exercise::{SlipId, read};

/// A roll of six equal tools, 9 long: the height to the fold is 9 3/4.
fn sheet(shortest: &str, answers: &str) -> String {
    format!(
        "exercise = \"flap-roll\"\nstudent = \"Lovage\"\nunit = \"in\"\nruler = \"1/8 in\"\n[given]\nsizing = \"layout\"\n\
         [[given.objects]]\nname = \"file\"\nlength = \"9\"\nspread = \"2\"\ncount = 4\n\
         [[given.objects]]\nname = \"awl\"\nlength = \"{shortest}\"\nspread = \"1\"\ncount = 2\n\
         [[given.objects]]\nname = \"\"\nlength = \"\"\nspread = \"\"\ncount = \"\"\n[answer]\n{answers}\n"
    )
}

/// The verdict on a step, and what a student is told about it.
fn marked(text: &str, step: &str) -> (Verdict, Option<String>, String) {
    let shelf = whole_shelf();
    let exercise = shelf.get("flap-roll").unwrap();
    let sheet = mark(exercise, &read_answers(text).unwrap()).unwrap_or_else(|faults| panic!("{faults:?}"));
    let cell = sheet.cells.iter().find(|cell| exercise.steps[cell.step].name == step).unwrap();
    let slip = cell.cause().map(|cause| cause.name(exercise).to_owned());
    (cell.verdict, slip, sentences(&sheet, cell, Show::Full).join(" "))
}

/// With an awl of 4 in the pocket would have to be at least 4 7/8 and at most 3: whatever is chosen, nobody could have
/// chosen rightly.
#[test]
fn an_impossible_choice_costs_nothing() {
    for choice in ["3", "4", "4 7/8", "6"] {
        let (verdict, _, says) = marked(&sheet("4", &format!("pocket_height = \"{choice}\"")), "pocket_height");
        assert_eq!(verdict, Verdict::Right, "{choice}");
        assert_eq!(
            says,
            "With these givens no pocket height is possible: it would have to be at least 4 7/8 in and at most 3 in; change the givens."
        );
    }
    assert_eq!(marked(&sheet("8", "pocket_height = \"3\""), "pocket_height").0, Verdict::OutsideRule);
}

/// Nothing is guessed from a choice that was never made: 12 1/4 is what one slip makes of the suggested pocket height.
#[test]
fn no_slip_is_named_for_what_rests_on_a_missing_choice() {
    let (verdict, slip, says) = marked(&sheet("8", "pocket_opened = \"12 1/4\""), "pocket_opened");
    assert_eq!((verdict, slip), (Verdict::CantBeJudged, None));
    assert_eq!(says, "It rests on the pocket height, which is missing, so it can't be judged.");
    // What follows from an answer that was given is judged all the same.
    let (verdict, ..) = marked(&sheet("8", "pocket_cut = \"6 1/2\"\npocket_opened = \"13\""), "pocket_opened");
    assert_eq!(verdict, Verdict::RightFromOwn);
}

/// A flap that was chosen carries on what follows it, though its own limits rest on a pocket height that is missing.
#[test]
fn a_choice_that_was_made_is_enough() {
    let text = sheet("8", "flap = \"5\"\nfull_height = \"14 3/4\"");
    assert_eq!(marked(&text, "flap").0, Verdict::CantBeJudged);
    assert_eq!(marked(&text, "full_height").0, Verdict::Right);
}

/// A slip of the unit in a choice is told as one, and nothing is worked from it.
#[test]
fn an_absurd_choice_is_told_as_a_slip_of_the_pen() {
    let text = sheet("8", "pocket_height = \"6 ft 6 in\"\nbare_height = \"3 1/4\"");
    let (verdict, _, says) = marked(&text, "pocket_height");
    assert_eq!(verdict, Verdict::Unreadable);
    let told = "\"6 ft 6 in\" is far more than it could be; check the number and its unit. It is your choice: at least 4 7/8 in, at most 7 in.";
    assert_eq!(says, told);
    let (verdict, _, says) = marked(&text, "bare_height");
    assert_eq!(verdict, Verdict::CantBeJudged);
    assert_eq!(says, "It rests on the pocket height, which can't be read, so it can't be judged.");
}

/// Where exactly two slips fit, both are offered as a question: with both gaps alike, leaving out one is leaving out the
/// other.
#[test]
fn two_slips_that_fit_alike_are_asked_about() {
    let text = sheet("8", "fold_height = \"9 1/2\"").replace("sizing", "base_gap = \"1/2\"\ntop_gap = \"1/2\"\nsizing");
    let (verdict, slip, says) = marked(&text, "fold_height");
    assert_eq!((verdict, slip), (Verdict::NotRight, None));
    let asked = "Which was it? Either: The gap at the base was left out. Or: The gap at the top was left out.";
    assert!(says.starts_with(asked), "{says}");
}

/// A choice beyond its limits may have a slip behind it, too.
#[test]
fn a_slip_is_named_for_a_choice_as_well() {
    let (verdict, slip, says) = marked(&sheet("8", "pocket_height = \"3\""), "pocket_height");
    assert_eq!((verdict, slip.as_deref()), (Verdict::OutsideRule, Some("pocket-share-of-object")));
    assert!(says.contains("It has to be at least the height to the fold ÷ 2, 4 7/8 in"), "{says}");
}

/// A count is right or wrong, with no ruler between: 7 for 6 is a slip, and is named as one.
#[test]
fn a_number_is_not_measured() {
    let exercise = read(
        "rack",
        r#"
title = "Rack of pockets"
teaches = "Counting"
rulers = ["1/8 in", "1 mm"]
[[given]]
name = "width"
title = "Width"
kind = "length"
range = ["1/4 in", "40 in"]
[[step]]
name = "hooks"
title = "Hooks"
value = "width / 2 in + 1"
why = "One at either end."
[[slip]]
name = "gaps"
step = "hooks"
used = "width / 2 in"
says = "These are the gaps between the hooks."
"#,
    )
    .unwrap();
    for (width, hooks, expected) in [
        ("12 in", "7", (Verdict::Right, None)),
        ("12 in", "7.0", (Verdict::Right, None)),
        ("12 in", "6", (Verdict::NotRight, Some(Cause::Slip(SlipId(0))))),
        ("12 in", "8", (Verdict::NotRight, None)),
        ("12 in", "7.01", (Verdict::NotRight, None)),
        ("1 in", "1.5", (Verdict::Right, None)),
        // A third, with the four decimals that the program itself writes.
        ("254/15 mm", "1.3333", (Verdict::Right, None)),
        ("254/15 mm", "0.3333", (Verdict::NotRight, Some(Cause::Slip(SlipId(0))))),
        ("254/15 mm", "1.333", (Verdict::NotRight, None)),
    ] {
        let sheet = format!(
            "exercise = \"rack\"\nstudent = \"Sage\"\nunit = \"in\"\n[given]\nwidth = \"{width}\"\n[answer]\nhooks = {hooks}\n"
        );
        let marked = mark(&exercise, &read_answers(&sheet).unwrap());
        let cell = &marked.unwrap_or_else(|faults| panic!("{}", faults[0])).cells[0];
        assert_eq!((cell.verdict, cell.cause()), expected, "{width}: {hooks}");
    }
}

/// What follows from a choice beyond its limits is not told "with those put right": the true values are worked from
/// the same choice.
#[test]
fn a_choice_beyond_its_limits_is_no_base_to_put_right_from() {
    // The fold is at 9 3/4, so the pocket is at most 6 1/2, and 9 leaves 3/4 bare.
    let text = sheet("8", "fold_height = \"9 3/4\"\npocket_height = \"12\"\nflap = \"2\"\nbare_height = \"3\"");
    let (verdict, _, says) = marked(&text, "flap");
    assert_eq!(verdict, Verdict::Right);
    assert_eq!(says, "With your pocket height no flap is possible; put the pocket height right first.");
    let (verdict, _, says) = marked(&text, "bare_height");
    assert_eq!(verdict, Verdict::NotRight);
    assert!(!says.contains("put right"), "{says}");
}

/// Rounding to the ruler at every step is no mistake, and costs nothing where what follows from one earns only a part.
#[test]
fn rounded_figures_that_are_right_cost_nothing() {
    let shelf = whole_shelf();
    let exercise = shelf.get("flap-roll").unwrap();
    let policy = Policy { follow_through: 0, ..Policy::default() };
    // Slots of 1 5/16 are read as 1 3/8: six are 8 1/4 from the figure on paper, 7 7/8 without rounding.
    let text = "exercise = \"flap-roll\"\nstudent = \"Lovage\"\nunit = \"in\"\nruler = \"1/8 in\"\n[given]\nslot_ease = \"1/8\"\n\
                [[given.objects]]\nname = \"file\"\nlength = \"9\"\ngirth = \"2 3/8\"\ncount = 6\n[answer]\nslot = [\"1 3/8\"]\n\
                slots_width = \"8 1/4\"\n";
    let marked = Marker::new(exercise, &policy).mark(&read_answers(text).unwrap()).unwrap();
    let slots = exercise.steps.position(|step| step.name == "slots_width").unwrap();
    assert_eq!((marked.verdict(slots), marked.points), (Verdict::RightFromOwn, Points::of(2)));
    // With the slot wrong, nothing is earned for what follows from it.
    let wrong = text.replace("[\"1 3/8\"]", "[\"2\"]").replace("8 1/4", "12");
    let marked = Marker::new(exercise, &policy).mark(&read_answers(&wrong).unwrap()).unwrap();
    assert_eq!((marked.verdict(slots), marked.points), (Verdict::RightFromOwn, Points::NONE));
    assert_eq!(
        Marker::new(exercise, &Policy::default()).mark(&read_answers(&wrong).unwrap()).unwrap().points,
        Points::of(1)
    );
}

/// A value in class.toml that can't be read is told of class.toml, and no student is blamed.
#[test]
fn a_class_states_givens_that_can_be_read() {
    let fault = |given: &str| {
        let faults = Policy::read(&format!("unit = \"in\"\n[given]\n{given}"), &whole_shelf()).unwrap_err();
        faults[0].to_string()
    };
    assert!(fault("allowance = \"3/8 inn\"").starts_with("line 3, column 13: given.allowance: "));
    assert!(fault("sizing = \"by eye\"").ends_with("\"by eye\" is not one of: girth, layout"));
    assert!(fault("objects = \"three\"").ends_with("a table belongs to a student, not to a class"));
    assert!(fault("alowance = \"3/8\"").ends_with("did you mean `allowance`?"));
}
