//! What is asked for counts, and nothing else does: a mark is out of the core, what is handed in beside it is told and costs
//! nothing, and a mistake in it is charged once, where it reaches what counts.

use foldmark::check::{
    MarkedSheet, Marker, Verdict, answer_file, feedback_page, read_answers, report_text, sheet_report,
};
use foldmark::class::{Points, Policy, Show};
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::{Exercise, Shelf};
use foldmark::length::Ruler;

/// The example of the roll, whose values were worked by hand with the demo class's rules: slots 2 1/4, 1 3/4 and 1 (two, four and
/// three of them), so 14 1/2 together, 15 wide and 16 to cut.
fn filled(roll: &Exercise) -> String {
    let draft = Draft::new(roll, Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap()).unwrap();
    answer_file(&draft, "Tansy", true)
}

/// The file with another answer, or with none.
fn with(file: &str, step: &str, answer: &str) -> String {
    let line = |line: &str| match line.starts_with(&format!("{step} = ")) {
        true => format!("{step} = \"{answer}\"\n"),
        false => format!("{line}\n"),
    };
    file.lines().map(line).collect()
}

/// The file as a student hands it in who answers only what is asked for.
fn core_only(file: &str) -> String {
    let (asked, _) = file.split_once("\n# If you measured these as well").expect("a second part");
    asked.to_owned()
}

fn marked<'e>(roll: &'e Exercise, policy: &Policy, file: &str) -> MarkedSheet<'e> {
    Marker::new(roll, policy).mark(&read_answers(file).unwrap()).unwrap()
}

fn verdict(sheet: &MarkedSheet, step: &str) -> Verdict {
    sheet.verdict(sheet.truth.exercise.step_id(step).unwrap())
}

#[test]
fn a_sheet_with_the_core_alone_is_full_and_says_nothing_of_the_rest() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let file = filled(roll);
    let sheet = marked(roll, &Policy::default(), &core_only(&file));
    assert_eq!((sheet.points, sheet.out_of), (Points::of(10), Points::of(10)));
    assert!(sheet.all_right());
    let (page, text) = (feedback_page(&sheet, Show::Full), report_text(&sheet, Show::Full));
    for title in ["Turning gap", "Tie, cut length", "Pocket opened out"] {
        assert!(!page.contains(title) && !text.contains(title), "{title}");
    }
    assert!(!text.contains("missing"), "{text}");
    assert_eq!(
        sheet_report(&sheet, Show::Full).answers.len(),
        9 + 3,
        "nine measures, and a slot for each of three kinds"
    );

    // What is missing of the core does cost.
    let sheet = marked(roll, &Policy::default(), &with(&core_only(&file), "tie_position", ""));
    assert_eq!((sheet.points, sheet.all_right()), (Points::of(9), false));
}

#[test]
fn what_is_handed_in_beside_it_is_told_and_costs_nothing() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    // Opened out, the pocket is twice as high as on the fold, and nowhere near a yard.
    let sheet = marked(roll, &Policy::default(), &with(&filled(roll), "pocket_opened", "36"));
    assert_eq!(verdict(&sheet, "pocket_opened"), Verdict::NotRight);
    assert_eq!((sheet.points, sheet.out_of), (Points::of(10), Points::of(10)));
    let page = feedback_page(&sheet, Show::Full);
    assert!(page.contains("Pocket opened out</bdi> <small>does not count</small>"), "{page}");
}

/// A student who shows where it went wrong pays neither more nor less than one who does not.
#[test]
fn a_mistake_that_nobody_asked_for_is_charged_once_where_it_counts() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    // The slots together are 14 1/2; an inch and a quarter is lost, and carried on to 13 3/4 and 14 3/4.
    let wrong = [("finished_width", "13 3/4"), ("cut_width", "14 3/4")];
    let carried = |file: String| wrong.iter().fold(file, |file, (step, answer)| with(&file, step, answer));
    let shown = marked(roll, &Policy::default(), &with(&carried(filled(roll)), "slots_width", "13 1/4"));
    assert_eq!(verdict(&shown, "slots_width"), Verdict::NotRight);
    assert_eq!(verdict(&shown, "finished_width"), Verdict::RightFromOwn);
    assert_eq!(verdict(&shown, "cut_width"), Verdict::RightFromOwn);
    assert_eq!((shown.points, shown.all_right()), (Points::of(9), false));
    let text = report_text(&shown, Show::Full);
    let says = "Finished width: ";
    let line = text.lines().find(|line| line.trim_start().starts_with(says)).unwrap();
    assert!(line.contains("Nobody asked for the slots together, so the slip in it costs its points here."), "{text}");
    assert_eq!(text.matches("costs its points here").count(), 1, "{text}");

    let hidden = marked(roll, &Policy::default(), &core_only(&carried(filled(roll))));
    assert_eq!(hidden.points, shown.points);

    // Where it is asked for, it is charged there.
    let all: Vec<_> = roll.steps.keys().collect();
    let whole = roll.asking(&all);
    let sheet = marked(&whole, &Policy::default(), &with(&carried(filled(roll)), "slots_width", "13 1/4"));
    assert_eq!((sheet.points, sheet.out_of), (Points::of(17), Points::of(18)));
}

#[test]
fn a_class_may_ask_for_other_steps() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap();
    let policy = |text: &str| Policy::read(&format!("[[exercise]]\nname = \"flap-roll\"\n{text}"), &shelf).unwrap();
    let file = filled(roll);
    let out_of = |policy: &Policy, roll| marked(roll, policy, &file).out_of;
    assert_eq!(out_of(&policy("steps = [\"slot\", \"tie_cut\"]"), roll), Points::of(2));
    // A step that points are laid down for counts beside the core, and one of the core by what it is worth.
    assert_eq!(out_of(&policy("points = { tie_cut = 2 }"), roll), Points::of(12));
    assert_eq!(out_of(&policy("points = { cut_width = 3 }"), roll), Points::of(12));
    // What a set asks for goes before what the class does.
    let asking = roll.asking(&[roll.step_id("basting").unwrap()]);
    assert_eq!(out_of(&policy("steps = [\"slot\", \"tie_cut\"]"), &asking), Points::of(1));
}
