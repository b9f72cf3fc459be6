//! From marks to the next set: what is set is chosen from what went wrong, and it is said why. The class is invented.

use super::class_weeks::Class;
use foldmark::exercise::read;
use std::fs;

/// What the first set asks for, and so those that are chosen from it.
const WIDTHS: &str = "slots_width,finished_width";

/// The set that is chosen from the results of a week, for three students: one with a mistake, one with none, one without a sheet.
fn class() -> Class {
    let class = Class::new();
    class.write("roster.csv", "student,id\nRosemary,\nSorrel,\nTansy,\n");
    assert_eq!(class.run(&["practice", "flap-roll", "--level", "2", "--steps", WIDTHS]).0, 0);
    class.write("handed-in/sorrel.toml", class.filled(1, "02-sorrel"));
    class
}

#[test]
fn the_next_set_is_chosen_from_what_went_wrong() {
    let class = class();
    // Rosemary leaves out the ease at the sides: her finished width is that of her slots.
    let key = class.filled(1, "01-rosemary");
    let slots = key.lines().find(|line| line.starts_with("slots_width = ")).map(|line| line.split('"').nth(1).unwrap());
    let missing = slots.expect("the sheet asks for the slots together");
    let line = key.lines().find(|line| line.starts_with("finished_width = ")).unwrap();
    class.write("handed-in/rosemary.toml", key.replace(line, &format!("finished_width = \"{missing}\"")));
    assert_eq!(class.run(&["check"]).0, 1);
    let page = class.read("marked/by_student/rosemary.html");
    assert!(
        page.contains("<strong>Finished width</strong> (Roll with a folding flap): not right in 1 of 1 tries"),
        "{page}"
    );

    let (status, text, errors) = class.run(&["practice", "--from", "week-1"]);
    assert_eq!((status, errors.as_str()), (0, ""));
    for says in [
        "Rosemary, Roll with a folding flap: missed in week-1: \"Finished width\"; level 2.\n",
        "Sorrel, Roll with a folding flap: nothing was missed in week-1, or it is mastered since: a level further; level 3.\n",
        "Tansy, Roll with a folding flap: nothing of week-1 was marked: the same again; level 2.\n",
    ] {
        assert!(text.contains(says), "{says}: {text}");
        assert!(class.read("keys/week-2/why.txt").contains(says));
    }
    // In Rosemary's problem it matters: there is ease at the sides.
    let key = class.filled(2, "01-rosemary");
    let value = |name: &str| {
        let line = key.lines().find(|line| line.starts_with(&format!("{name} = "))).unwrap();
        line.split('"').nth(1).unwrap().to_owned()
    };
    assert_ne!(value("slots_width"), value("finished_width"));

    // The same again comes out the same, and for all together it is one level.
    let before = class.filled(2, "01-rosemary");
    assert_eq!(class.run(&["practice", "--from", "week-1", "--week", "2", "--force"]).0, 0);
    assert_eq!(class.filled(2, "01-rosemary"), before);
    let (_, text, _) = class.run(&["practice", "--from", "week-1", "--together"]);
    assert_eq!(text.matches("missed in week-1: \"Finished width\"; level 2.").count(), 3, "{text}");
    // What is chosen can be marked like any other set.
    for name in ["01-rosemary", "02-sorrel", "03-tansy"] {
        class.write(&format!("handed-in/week-2-{name}.toml"), class.filled(2, name));
    }
    class.run(&["check"]);
    assert!(class.gradebook().0[1].starts_with("week-2"), "{:?}", class.gradebook());
}

#[test]
fn what_it_needs_is_said() {
    let class = class();
    let (status, _, errors) = class.run(&["practice", "--from", "week-1"]);
    assert!(
        status == 2 && errors.contains("there are no results of \"week-1\" in marked; there are: none"),
        "{errors}"
    );
    class.run(&["check"]);
    let (_, _, errors) = class.run(&["practice", "--from", "week-2"]);
    assert!(errors.contains("there are: week-1. `foldmark check` marks what was handed in"), "{errors}");
    let (status, _, errors) = super::shared::run(class.at("..").as_path(), &["practice", "--from", "week-1"]);
    assert!(status == 2 && errors.contains("--from is for the folder of a class"), "{errors}");
}

#[test]
fn a_roster_says_who_gets_which_level_and_unit() {
    let class = Class::new();
    class.write("roster.csv", "student,id,level,unit,colour\nRosemary,,2,cm,red\nSorrel,,,,\nTansy,,4,in,\n");
    let (status, _, errors) = class.run(&["practice", "flap-roll"]);
    assert_eq!(status, 0, "{errors}");
    assert_eq!(errors, "note: roster.csv: the column \"colour\" is only handed on to the gradebook\n");
    let roll = read("flap-roll", include_str!("../../exercises/flap-roll.toml")).unwrap();
    let highest = roll.practice.levels.iter().map(|level| level.level).max().unwrap();
    for (key, level, is_metric) in [("01-rosemary", 2, true), ("02-sorrel", 1, false), ("03-tansy", highest, false)] {
        let text = class.filled(1, key);
        let code = text.lines().find(|line| line.starts_with("code = ")).unwrap().split('"').nth(1).unwrap();
        let code = foldmark::practice::Code::read(code).unwrap();
        assert_eq!((code.level, code.ruler.is_metric()), (level, is_metric), "{key}");
    }
    // Neither is a column of the gradebook; what is not known is handed on.
    class.write("handed-in/tansy.toml", class.filled(1, "03-tansy"));
    class.run(&["check"]);
    let head = fs::read_to_string(class.at("marked/gradebook.csv")).unwrap();
    assert!(head.starts_with("\u{feff}student,id,points,out of,colour,week-1"), "{head}");
    class.write("roster.csv", "student,level\nRosemary,hard\n");
    let (status, _, errors) = class.run(&["practice"]);
    assert!(
        status == 2 && errors.contains("Rosemary, level: \"hard\" is no level; write a number from 1 to 4"),
        "{errors}"
    );
}

/// Slips to be found have a column of their own, and their points spoil no sum.
#[test]
fn slips_to_be_found_stand_apart() {
    let class = class();
    assert_eq!(class.run(&["practice", "flap-roll", "--slips", "1"]).0, 0);
    let hunt = class.filled(2, "02-sorrel");
    let nothing_found: String = hunt.split("[answer]").next().unwrap().to_owned() + "[answer]\n";
    class.write("handed-in/hunt.toml", nothing_found);
    class.run(&["check"]);
    let (head, lines) = class.gradebook();
    assert!(head[1].starts_with("week-2, slips to be found"), "{head:?}");
    let book = class.read("marked/gradebook.csv");
    let line: Vec<&str> = book.lines().find(|line| line.starts_with("Sorrel,")).unwrap().split(',').collect();
    assert_eq!((line[2], line[2]), (line[3], lines["Sorrel"][0].as_str()), "{book}");
    assert_eq!(lines["Sorrel"][1], "0");
    // Nor are they tries at making a draft.
    assert!(!class.read("marked/by_student/sorrel.html").contains("<small>2</small>"));
}
