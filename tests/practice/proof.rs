//! What trying an exercise out finds: a small sound exercise, of which nothing is noted, and one change to it for each
//! fault that is to be found. The faults are put in by hand (common practice, no source).

use foldmark::exercise::{Exercise, read};
use foldmark::practice::try_out;

/// A placemat, hemmed all round, with a cord sewn to two of its edges.
const MAT: &str = r#"
title = "Placemat"
teaches = "A hem all round"
rulers = ["1/8 in", "1 mm"]

[[given]]
name = "sizes"
title = "Kind of size"
words = { long = "a runner", square = "a square mat" }
usual = "square"

[[given]]
name = "width"
title = "Finished width"
kind = "length"
range = ["4 in", "20 in"]
varies = { from = "8 in", to = "12 in", every = 4 }
example = "10 in"

[[given]]
name = "height"
title = "Finished height"
kind = "length"
range = ["4 in", "20 in"]
varies = { from = "8 in", to = "12 in", every = 4 }
example = "9 in"

[[given]]
name = "hem"
title = "Hem"
kind = "length"
range = ["1/4 in", "1 in"]
usual = ["1/2 in", "12 mm"]

[[given]]
name = "guests"
title = "Guests"
each = "guest"
rows = [1, 3]
columns = [
  { name = "plate", title = "plate", kind = "length", range = ["4 in", "12 in"], varies = { one_of = ["8 in", "20 cm"] } },
  { name = "runner", title = "length of the runner", kind = "length", range = ["10 in", "40 in"], needed = "sizes = 'long'", varies = { one_of = ["20 in", "50 cm"] } },
]
example = [{ name = "Reed", plate = "8 in" }]

[[step]]
name = "cut_width"
title = "Cut width"
value = "width + 2 * hem"
why = "A hem on either side."
draw = [{ line = ["0 in", "0 in", "cut_width", "0 in"], pen = "cut" }]

[[step]]
name = "cut_height"
title = "Cut height"
value = "height + 2 * hem"
why = "A hem above and below."

[[step]]
name = "runners"
title = "Length of the runners"
value = "if(sizes = 'long', sum(guests.runner), sum(guests.plate))"
why = "One after the other."

[[step]]
name = "loop"
title = "Place of the loop"
at_least = "hem"
at_most = "width - hem"
suggest = "round_near(half(width))"
why = "Not in the hem."

[[slip]]
name = "one-hem"
step = "cut_width"
used = "width + hem"
says = "The hem went on one side only."

[[slip]]
name = "no-hem"
step = "cut_width"
used = "width"
says = "The hem is missing."

[[piece]]
name = "mat"
title = "Mat"
cloth = "linen"
grain = "up"
start = ["0 in", "0 in"]
edges = [
  { name = "lower", to = ["width", "0 in"], allowance = "hem" },
  { name = "right", to = ["width", "height"], allowance = "hem" },
  { name = "upper", to = ["0 in", "height"], allowance = "hem" },
  { name = "left", allowance = "hem" },
]
marks = [{ notch = "lower", at = "loop" }]

[[seam]]
name = "cord"
one = ["mat: lower"]
other = ["mat: upper"]

[practice]
require = [{ rule = "width >= height", says = "a mat lies along the table" }]
"#;

fn exercise(text: &str) -> Exercise {
    read("mat", text).unwrap_or_else(|faults| panic!("{}", faults[0]))
}

/// What is noted of the mat with some of its text changed.
fn notes(changes: &[(&str, &str)]) -> Vec<String> {
    let mut text = MAT.to_owned();
    for (was, is) in changes {
        assert!(text.contains(was), "{was}");
        text = text.replace(was, is);
    }
    try_out(&exercise(&text)).notes
}

/// The only note there is: what it begins with, and whether it shows givens.
fn is_noted(changes: &[(&str, &str)], begins: &str) {
    let notes = notes(changes);
    assert_eq!(notes.len(), 1, "{notes:#?}");
    assert!(notes[0].starts_with(begins), "{notes:#?}");
    let (_, shown) = notes[0].split_once(" for instance ").expect("an example");
    assert!(["width ", "height ", "plate ", "a ruler of "].iter().all(|part| shown.contains(part)), "{notes:#?}");
}

#[test]
fn of_a_sound_exercise_nothing_is_noted() {
    assert_eq!(notes(&[]), [""; 0]);
}

#[test]
fn a_slip_in_other_words() {
    let other = ("used = \"width\"\n", "used = \"cut_width - hem\"\n");
    is_noted(&[other], "slip.no-hem: it can't be told from slip.one-hem anywhere in the ranges, for instance ");
    // Where they are never possible together, marking always knows which is meant.
    let [long, square] = ["long", "square"].map(|size| format!("when = \"sizes = '{size}'\"\nsays = \"The hem "));
    assert_eq!(
        notes(&[other, ("says = \"The hem went", &(long + "went")), ("says = \"The hem is", &(square + "is"))]),
        [""; 0]
    );
}

#[test]
fn a_slip_that_is_no_slip() {
    is_noted(
        &[("used = \"width\"\n", "used = \"hem + width + hem\"\n")],
        "slip.no-hem: it can't be told from the right answer anywhere in the ranges, for instance ",
    );
    let never = notes(&[("says = \"The hem is", "when = \"width < hem\"\nsays = \"The hem is")]);
    assert_eq!(never, ["slip.no-hem: it can be made nowhere in the ranges"]);
}

#[test]
fn a_figure_that_cannot_be_drawn() {
    let divided = ("\"cut_width\", \"0 in\"]", "\"cut_width\", \"width * (height / (width - 4 in))\"]");
    is_noted(&[divided], "step.cut_width.draw: entry 1 can't be drawn: its place can't be worked out, ");
    // The length of a runner is only given where it is needed.
    let runner = ("\"cut_width\", \"0 in\"]", "\"cut_width\", \"max(guests.runner)\"]");
    is_noted(&[runner], "step.cut_width.draw: entry 1 can't be drawn: ");
    let spot = ("at = \"loop\" }]", "at = \"loop\" }, { spot = [\"width / (height / hem - 16)\", \"0 in\"] }]");
    is_noted(&[spot], "piece.mat.marks: entry 2 can't be drawn: its place can't be worked out, ");
}

/// A label is held against the distance that it spans, on steps, pieces, views and sections.
#[test]
fn a_dimension_that_is_not_what_it_spans() {
    let line = "draw = [{ line = [\"0 in\", \"0 in\", \"cut_width\", \"0 in\"], pen = \"cut\" }]";
    let step = |to: &str, side: &str| {
        let measure =
            format!("{{ measure = \"cut_width\", from = [\"0 in\", \"0 in\"], to = [{to}], side = \"{side}\" }}");
        line.replace(" }]", &format!(" }}, {measure}]"))
    };
    assert_eq!(notes(&[(line, &step("\"cut_width\", \"0 in\"", "bottom"))]), [""; 0]);
    let short = step("\"width\", \"0 in\"", "bottom");
    is_noted(&[(line, &short)], "step.cut_width.draw: the dimension \"cut width\" tells 20 in and spans 19 in, ");
    // Upright, it is measured up, and there is nothing.
    is_noted(
        &[(line, &step("\"cut_width\", \"0 in\"", "left"))],
        "step.cut_width.draw: the dimension \"cut width\" tells ",
    );
    let piece = "at = \"loop\" }, { measure = \"cut_height\", from = [\"0 in\", \"-hem\"], to = [\"0 in\", \"height\"], side = \"left\" }]";
    is_noted(&[("at = \"loop\" }]", piece)], "piece.mat.marks: the dimension \"cut height\" tells ");
    let scenes = |across: &str| {
        format!(
            "[[view]]\nname = \"flat\"\ntitle = \"flat\"\nsays = \"It lies flat.\"\ndraw = [\n  {{ face = [[\"0 in\", \
             \"0 in\", \"0 in\"], [\"width\", \"0 in\", \"0 in\"], [\"width\", \"height\", \"0 in\"]] }},\n  {{ measure = \
             \"width\", from = [\"0 in\", \"0 in\", \"0 in\"], to = [\"{across}\", \"0 in\", \"0 in\"], side = \"bottom\" \
             }},\n]\n\n[practice]"
        )
    };
    assert_eq!(notes(&[("[practice]", &scenes("width"))]), [""; 0]);
    is_noted(&[("[practice]", &scenes("half(width)"))], "view.flat.draw: the dimension \"finished width\" tells ");
}

/// Where names stand at the right, a dimension that is asked for there comes out at the left.
#[test]
fn a_dimension_on_another_side() {
    let mark = |label: &str| {
        format!(
            "at = \"loop\" }}, {{ spot = [\"0 in\", \"0 in\"]{label} }}, {{ measure = \"cut_height\", from = [\"width\", \
             \"-hem\"], to = [\"width\", \"height + hem\"], side = \"right\" }}]"
        )
    };
    assert_eq!(notes(&[("at = \"loop\" }]", &mark(""))]), [""; 0]);
    is_noted(
        &[("at = \"loop\" }]", &mark(", label = \"loop\""))],
        "piece.mat.marks: the dimension \"cut height\" is asked for at the right, where the names stand, and comes out at ",
    );
}

/// An allowance may not be negative, and there has to be one.
#[test]
fn an_allowance_that_is_none() {
    let narrow = ("{ name = \"left\", allowance = \"hem\" }", "{ name = \"left\", allowance = \"hem - 3/8 in\" }");
    is_noted(&[narrow], "piece.mat: the edge \"left\" has an allowance of -1/8 in, which is less than nothing; check ");
    let divided = (
        "{ name = \"left\", allowance = \"hem\" }",
        "{ name = \"left\", allowance = \"hem * (width / (width - 4 in))\" }",
    );
    is_noted(&[divided], "piece.mat: the edge \"left\" has an allowance that can't be worked out; check the measures ");
}

#[test]
fn a_notch_past_the_end_of_its_edge() {
    for at in ["loop + 6 in", "hem - loop"] {
        // A piece that can't be cut may leave nothing to practise, which is noted after it.
        let notes = notes(&[("at = \"loop\"", &format!("at = \"{at}\""))]);
        assert!(notes[0].starts_with("piece.mat: the edge \"lower\" has a notch "), "{notes:#?}");
    }
    // On the very end of its edge a notch is in its place.
    assert_eq!(notes(&[("at = \"loop\"", "at = \"width\"")]), [""; 0]);
}

#[test]
fn a_suggestion_that_breaks_its_limits() {
    let short = ("round_near(half(width))", "round_near(half(width) - 2 in)");
    is_noted(&[short], "step.loop.suggest: ");
    let closed =
        [("at_most = \"width - hem\"", "at_most = \"width - 2 * hem - 2 in\""), ("round_near(half(width))", "hem")];
    is_noted(&closed, "step.loop: its limits leave nothing to choose (at least ");
}

#[test]
fn practice_with_too_few_problems() {
    // Widths and heights of 8, 8 1/2 and 9, no width less than the height: 6; one to three plates of 8: 18.
    let narrow = ("from = \"8 in\", to = \"12 in\"", "from = \"8 in\", to = \"9 in\"");
    let few = notes(&[narrow]);
    assert_eq!(few.len(), 1, "{few:#?}");
    assert!(
        few[0].starts_with("practice: only 18 different problems were found on a ruler of 1/8 in in 2"),
        "{few:#?}"
    );
    assert!(few[0].ends_with(" draws; let more givens vary, or in smaller steps"), "{few:#?}");
    // Only 12 is so much more than 8, so nothing is left but one to three plates.
    let hard = notes(&[("rule = \"width >= height\"", "rule = \"width > height + 3 7/8 in\"")]);
    assert_eq!(hard.len(), 2, "{hard:#?}");
    for (note, ruler) in hard.iter().zip(["1/8 in", "1 mm"]) {
        let begins = format!("practice: only 3 different problems were found on a ruler of {ruler} in ");
        let because =
            "mostly practice.require does not hold (\"a mat lies along the table\"), for instance with sizes ";
        assert!(note.starts_with(&begins) && note.contains(because), "{note}");
    }
}

#[test]
fn practice_on_a_ruler_that_nothing_falls_on() {
    let plates = ("one_of = [\"8 in\", \"20 cm\"]", "one_of = [\"8 in\", \"9 in\"]");
    assert_eq!(
        notes(&[plates]),
        ["given.guests.plate.varies: none of the values that practice may give it falls on a ruler of 1 mm, 8 in for \
          instance, so there is no practice on that ruler, which the exercise lists"]
    );
    let widths = (
        "varies = { from = \"8 in\", to = \"12 in\", every = 4 }\nexample = \"10 in\"",
        "varies = { from = \"8 1/8 in\", to = \"8 1/4 in\", every = 10 }\nexample = \"10 in\"",
    );
    assert_eq!(
        notes(&[widths])[0],
        "given.width.varies: no tick of a ruler of 1/8 in, counted by 10, lies from 8 1/8 in to 8 1/4 in, so there is no \
         practice on that ruler, which the exercise lists"
    );
    // Without anything to vary and without a usual value there is nothing to give.
    let none = ("varies = { from = \"8 in\", to = \"12 in\", every = 4 }\nexample = \"9 in\"", "example = \"9 in\"");
    let notes = notes(&[none]);
    assert_eq!(notes.len(), 2, "{notes:#?}");
    assert!(notes[0].starts_with("given.height.varies: practice has nothing to give it on a ruler of 1/8 in; "));
}
