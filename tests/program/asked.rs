//! A set may ask for a few steps: its sheets, files, tables and marks are of those, and the set's record keeps them.

use super::class_weeks::Class;
use super::shared::{folder, run};

const CLASS: &str = "roster = \"roster.csv\"\n[folders]\nsheets = \"sheets\"\nkeys = \"keys\"\nhanded_in = \"handed-in\"\n\
    marked = \"marked\"\n[practice]\nexercises = [\"flap-roll\"]\n[[week]]\ntitle = \"Heights\"\n\
    steps = [\"fold_height\", \"cut_height\"]\n[[week]]\ntitle = \"All that matters\"\n";

fn class() -> Class {
    let class = Class::new();
    class.write("class.toml", CLASS);
    class.write("roster.csv", "student\nRosemary\nTansy\n");
    class
}

/// The steps of an answer file, in order.
fn steps(file: &str) -> Vec<&str> {
    let answers = file.split("[answer]").nth(1).unwrap();
    answers.lines().filter_map(|line| Some(line.split_once(" = ")?.0)).collect()
}

#[test]
fn a_week_asks_for_its_own_steps_and_is_marked_by_them() {
    let class = class();
    let (status, text, errors) = class.run(&["practice"]);
    assert_eq!((status, errors.as_str()), (0, ""), "{text}");
    // The cut height rests on two choices, which nobody could do without.
    let asked = ["fold_height", "pocket_height", "flap", "cut_height"];
    assert_eq!(steps(&class.read("sheets/week-1/answers/answers-01-rosemary.toml")), asked);
    let sheet = class.read("sheets/week-1/sheet-01-rosemary.html");
    assert_eq!(sheet.matches("<span class=\"box\">").count(), 4, "{sheet}");
    let table = class.read("sheets/week-1/answers/table.csv");
    let head: Vec<&str> = table.lines().next().unwrap().split(',').filter(|name| name.starts_with("answer.")).collect();
    assert_eq!(head, asked.map(|step| format!("answer.{step}")));
    let key_table = class.read("keys/week-1/key-table.html");
    assert!(key_table.contains("Cut height") && !key_table.contains("Cut width"));
    let record = class.read("keys/week-1/set.toml");
    assert!(record.contains("steps = [\"fold_height\", \"cut_height\"]"), "{record}");

    // The week after has no steps of its own: it asks for the core.
    assert_eq!(class.run(&["practice"]).0, 0);
    assert_eq!(steps(&class.filled(2, "01-rosemary")).len(), 10);
    assert!(!class.read("keys/week-2/set.toml").contains("steps"));

    // Rosemary hands in both; in the first week she adds a wrong cut width, which nobody asked for.
    let first = class.filled(1, "01-rosemary") + "cut_width = \"99 in\"\n";
    class.write("handed-in/rosemary-1.toml", first);
    class.write("handed-in/rosemary-2.toml", class.filled(2, "01-rosemary"));
    let (status, text, errors) = class.run(&["check"]);
    assert_eq!(status, 0, "{text}{errors}");
    let (head, lines) = class.gradebook();
    let points = |set: &str| {
        let at = head.iter().position(|name| name.starts_with(set)).unwrap_or_else(|| panic!("{set} of {head:?}"));
        lines["Rosemary"][at].clone()
    };
    assert_eq!([points("week-1"), points("week-2")], ["4", "10"], "{head:?}");
    assert!(head.iter().any(|name| name.starts_with("week-1") && name.contains('4')), "{head:?}");
    let page = class.read("marked/week-1/students/rosemary.html");
    assert!(page.contains("<strong>4</strong> of 4 points") && page.contains("does not count"), "{page}");
}

#[test]
fn steps_are_named_on_the_command_line_too_and_have_to_be_known() {
    let dir = folder();
    let practice = |steps: &str, out: &str| {
        run(dir.path(), &["practice", "sleeve", "zip-pouch", "--count", "1", "--steps", steps, "--out", out])
    };
    assert_eq!(practice("inner_width,cut_width", "one").0, 0);
    let file = |name: &str| std::fs::read_to_string(dir.path().join("one/answers").join(name)).unwrap();
    assert_eq!(steps(&file("answers-01-sleeve.toml")), ["inner_width", "cut_width"]);
    // The pouch has neither of them, and is asked for what matters in it.
    assert_eq!(steps(&file("answers-01-zip-pouch.toml")).len(), 9);
    let (status, _, errors) = practice("inner_widht", "two");
    assert_eq!(
        (status, errors.as_str()),
        (2, "error: no exercise of the set has a step \"inner_widht\"; did you mean `inner_width`?\n")
    );

    let class = class();
    class.write("class.toml", CLASS.replace("cut_height", "cut_hight"));
    let (status, _, errors) = class.run(&["practice"]);
    assert!(
        status == 2
            && errors.contains("steps: no exercise of the set")
            && errors.contains("did you mean `cut_height`?"),
        "{errors}"
    );
}
