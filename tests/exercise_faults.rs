//! An author's file with a fault in every place, told all at once; and files that are no exercise at all.

use foldmark::exercise::read;
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
  { circle = "hem" },
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

proptest! {
    // The same cases at every run: a fault that is found is found again.
    #![proptest_config(ProptestConfig { cases: 256, rng_seed: RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::default() })]

    /// Damage of any kind is told, never a panic: the shipped file with a stretch cut out, doubled or
    /// replaced.
    #[test]
    fn a_damaged_file_never_panics(at in 0_usize..30_000, length in 0_usize..200, with in "\\PC{0,20}") {
        let shipped = include_str!("../exercises/flap-roll.toml");
        let start = (0..=at.min(shipped.len())).rev().find(|at| shipped.is_char_boundary(*at)).unwrap_or(0);
        let end = (start..=(start + length).min(shipped.len())).rev().find(|at| shipped.is_char_boundary(*at)).unwrap_or(start);
        let damaged = format!("{}{with}{}", &shipped[..start], &shipped[end..]);
        for fault in read("flap-roll", &damaged).err().unwrap_or_default() {
            prop_assert!(!fault.message.is_empty());
        }
    }
}
