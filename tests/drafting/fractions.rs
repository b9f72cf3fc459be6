//! Numbers with a fraction: how they are stated, how they are written and refused, and that what is worked with them is
//! exact.

use super::published::shared::draft_on;
use super::shared;
use foldmark::check::{blank_file, mark, read_answers};
use foldmark::draft::{Givens, Raw};
use foldmark::exercise::{Exercise, read};
use foldmark::formula::Values;
use foldmark::length::{Length, Ruler};
use foldmark::practice::set;

/// Cloth that is gathered, as for a pocket with elastic in its mouth or for a curtain before a shelf.
const GATHERED: &str = r#"
title = "Gathered cloth"
teaches = "Fullness"
rulers = ["1/8 in", "1 mm"]

[[given]]
name = "finished"
title = "Finished width"
kind = "length"
range = ["2 in", "200 in"]
usual = ["14 in", "35 cm"]
varies = { from = "6 in", to = "20 in", every = 4 }

[[given]]
name = "fullness"
title = "Fullness"
kind = "number"
parts = 100
range = [1, "4"]
usual = "1 1/2"
varies = { from = 1.25, to = "2" }

[[given]]
name = "cloths"
title = "Cloths"
each = "cloth"
rows = [1, 4]
columns = [
  { name = "width", title = "width", kind = "length", range = ["10 in", "100 in"], varies = { from = "30 in", to = "60 in" } },
  { name = "widths", title = "widths", kind = "number", parts = 2, range = ["1/2", 9], varies = { from = "1/2", to = 4 } },
]
example = [{ name = "canvas", width = "54 in", widths = "2 1/2" }]
varies = { rows = [1, 2], names = ["canvas", "calico"] }

[[step]]
name = "gathered"
title = "Gathered width"
value = "finished * fullness"
why = "So many times as wide as it finishes."

[[step]]
name = "whole"
title = "Whole widths"
value = "round_up(gathered, first(cloths.width))"
why = "Cloth is bought in whole widths."

[[step]]
name = "used"
title = "Used"
value = "cloths.width * cloths.widths"
why = "Half widths are used as well."

[practice]
tells = "A shelf is to be curtained."
"#;

fn gathered() -> Exercise {
    read("gathered", GATHERED).unwrap_or_else(|faults| panic!("{faults:?}"))
}

fn cloth(width: &str, widths: &str) -> String {
    format!("name: canvas, width: {width}, widths: {widths}")
}

/// Fullness in print: a track of 65 at 2.25 on cloth of 54 takes 3 widths (homesteady.com, how-7849834); 141 at 250 % on 48
/// takes 352.5 and 8 widths (mylltd.com, commonly used formulas); 3 times 63 on 54 takes 4 (drpinc.net); 68 twice on 54 takes
/// 136 and 2 1/2 widths, half ones being allowed (contractdecor.com 8713); a pocket piece 22 wide over a back of 14, so that a
/// roll does not curl (yougogirl.typepad.com, 2009/02); a wall of 28 1/2 where 19.35 goes round is 1.47 times as long
/// (craftcottonblog.co.uk, Katie bag).
#[test]
fn fullness_in_print() {
    let exercise = gathered();
    for (finished, fullness, width, gathered, widths) in [
        ("65 in", "2.25", "54 in", "146 1/4 in", 3),
        ("141 in", "2 1/2", "48 in", "352 1/2 in", 8),
        ("63 in", "3", "54 in", "189 in", 4),
        ("68 in", "2", "54 in", "136 in", 3),
    ] {
        let cloths = cloth(width, "2 1/2");
        let givens = [("finished", finished), ("fullness", fullness), ("cloths", &cloths)];
        let draft = draft_on(Ruler::SIXTEENTH, &exercise, &givens, &[]);
        let read = |text| Length::read(text, None).unwrap();
        assert_eq!(draft.length("gathered", 0), read(gathered), "{finished} at {fullness}");
        assert_eq!(draft.length("whole", 0).nm(), read(width).nm() * widths, "{finished} at {fullness}");
        // Half a width more than two is what 136 takes of 54.
        assert_eq!(draft.length("used", 0).nm() * 2, read(width).nm() * 5);
    }
    for (finished, fullness, gathered) in [("14 in", "1.57", 22.0), ("19.35 in", "1.47", 28.5)] {
        let draft = draft_on(
            Ruler::SIXTEENTH,
            &exercise,
            &[("finished", finished), ("fullness", fullness), ("cloths", &cloth("44 in", "1"))],
            &[],
        );
        let off = draft.length("gathered", 0).as_nm_f64() / 25.4e6 - gathered;
        assert!(off.abs() < 1.0 / 16.0, "{finished} at {fullness}: {off}");
    }
}

/// However a fraction is written, it is the same number; what falls between two parts, or beyond the range, is refused.
#[test]
fn every_way_to_write_it() {
    let exercise = gathered();
    let givens = |fullness: &str, widths: &str| {
        let mut raw = Raw::default();
        raw.add(&format!("fullness={fullness}")).unwrap();
        raw.add(&format!("cloths={}", cloth("44 in", widths))).unwrap();
        Givens::read(&exercise, &raw, None, Ruler::EIGHTH)
            .map_err(|faults| faults.iter().map(ToString::to_string).collect::<Vec<_>>())
    };
    let own = givens("2.5", "1.5").unwrap();
    for (fullness, widths) in [("2 1/2", "1 1/2"), ("2½", "1½"), (" 2.50 ", "3/2"), ("5/2", "1-1/2")] {
        assert_eq!(givens(fullness, widths).unwrap(), own, "{fullness}, {widths}");
    }
    for wrong in ["2.333", "0.5", "4.01", "2 1/3", "two", "2.5 in", "-2", "1e1", "NaN"] {
        let said = givens(wrong, "1").unwrap_err();
        assert!(said[0].contains("has to be a number in steps of 0.01 from 1 to 4"), "{wrong}: {said:?}");
    }
    let said = givens("2", "1.25").unwrap_err();
    assert!(said[0].contains("has to be a number in steps of 0.5 from 0.5 to 9"), "{said:?}");
}

/// A blank answer file has the usual value, and a file with fractions is marked.
#[test]
fn from_an_answer_file() {
    let exercise = gathered();
    assert!(blank_file(&exercise, Ruler::EIGHTH, 1).contains("fullness = \"1.5\""));
    for written in ["2.5", "\"2 1/2\"", "\"2,5\""] {
        let file = format!(
            "exercise = \"gathered\"\nstudent = \"Fennel\"\nruler = \"1/8 in\"\n[given]\nfinished = \"14 in\"\nfullness = {written}\n\
             [[given.cloths]]\nname = \"canvas\"\nwidth = \"54 in\"\nwidths = 1.5\n\
             [answer]\ngathered = \"35 in\"\nwhole = \"54 in\"\nused = [\"81 in\"]\n"
        );
        let sheet = read_answers(&file).unwrap_or_else(|faults| panic!("{}", faults[0]));
        let marked = mark(&exercise, &sheet).unwrap_or_else(|faults| panic!("{}", faults[0]));
        assert!(marked.all_right(), "{written}: {:?}", marked.told());
    }
}

/// Practice gives every hundredth between the two that the author named, and each of them is exact.
#[test]
fn in_practice() {
    let exercise = gathered();
    let problems = set(&exercise, Ruler::MILLIMETRE, 200, 7).unwrap_or_else(|fault| panic!("{fault}"));
    let slot = exercise.scope.slot("fullness").unwrap();
    let mut seen = std::collections::BTreeSet::new();
    for problem in &problems {
        let draft = &problem.draft;
        let hundredths = draft.measures.value(slot, 0).unwrap() * 100.0;
        assert_eq!(hundredths, hundredths.round());
        assert!((125.0..=200.0).contains(&hundredths));
        let finished = draft.measures.length(exercise.scope.slot("finished").unwrap(), 0).unwrap().nm();
        assert_eq!(draft.length("gathered", 0).nm(), finished * hundredths as i64 / 100);
        seen.insert(hundredths as i64);
    }
    assert!(seen.len() > 40, "{seen:?}");
}

/// What an author may write wrongly is told, with what was expected.
#[test]
fn wrong_in_a_file() {
    for (right, wrong, says) in [
        ("parts = 100", "parts = 3", "3 parts to a whole can't be written as a decimal"),
        ("usual = \"1 1/2\"", "usual = \"1.555\"", "\"1.555\" is not a number in steps of 0.01 from 1 to 4"),
        ("usual = \"1 1/2\"", "usual = 5", "\"5\" is not a number in steps of 0.01 from 1 to 4"),
        (
            "range = [1, \"4\"]",
            "range = [4, 1]",
            "a range has two numbers in steps of 0.01, the least and the greatest",
        ),
        ("range = [\"1/2\", 9]", "range = [\"1/3\", 9]", "a range has two numbers in steps of 0.5"),
        ("to = \"2\"", "to = \"4.5\"", "goes beyond the range"),
        ("parts = 2,", "", "a whole number from 0 to 1000000 was expected here, but this is text"),
    ] {
        let file = GATHERED.replacen(right, wrong, 1);
        let faults = read("gathered", &file).err().unwrap_or_else(|| panic!("{wrong} is not told"));
        assert!(faults.iter().any(|fault| fault.to_string().contains(says)), "{wrong}: {faults:?}");
    }
}

/// Explained, proved and set as practice, as with any other number.
#[test]
fn on_the_command_line() {
    let place = shared::folder();
    std::fs::write(place.path().join("gathered.toml"), GATHERED).unwrap();
    let run = |line: &[&str]| {
        let (status, text, told) = shared::run(place.path(), line);
        assert_eq!(status, 0, "{line:?}: {told}");
        text
    };
    assert!(run(&["proof", "gathered.toml"]).contains("no faults in 3 steps"));
    let explained = run(&["explain", "gathered", "--exercises", "."]);
    assert!(explained.contains("a number in steps of 0.01 from 1 to 4, usually 1.5."), "{explained}");
    assert!(explained.contains("widths: a number in steps of 0.5 from 0.5 to 9; "), "{explained}");
    let drafted = run(&["draft", "gathered", "--exercises", ".", "--given", "fullness=2 1/4"]);
    assert!(drafted.contains("31 1/2 in") && drafted.contains("14 in × 2.25"), "{drafted}");
    run(&["practice", "gathered", "--exercises", ".", "--count", "5", "--seed", "3", "--out", "sheets"]);
}
