//! The demo class, marked by hand.
//!
//! The eighteen students of `exercises/class` and their kits are invented; the rules are those of
//! `exercises/flap-roll.toml`. The table below was marked by hand from these rules, with fractions
//! on paper, before the program was run on each sheet for the first time.
//!
//! On six sheets one thing went wrong from end to end. It is charged to one answer, the first in the order of the sheet that is
//! wrong by it; what comes out by it is right from the student's own figure.

use Verdict::{
    CantBeJudged as Unjudged, Missing, NotRight, OutsideRule as Outside, RightFromOwn as OwnFigure, Unreadable,
};
use foldmark::check::{AnswerSheet, MarkedSheet, Verdict, mark, read_answers};
use foldmark::class::Points;
use foldmark::exercise::{Exercise, Shelf};
use foldmark::text::Fault;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// One student of the class, as marked by hand.
struct Student {
    file: &'static str,
    points: u32,
    /// Step, row, verdict, and the name of the slip or nothing.
    not_plainly_right: &'static [(&'static str, usize, Verdict, &'static str)],
}

// The table, in the order of the alphabet: points, then every answer that is not plainly right.
// A row of a list step is counted from 1; an answer that is not in a list has row 0.
const CLASS: &[Student] = &[
    Student {
        file: "agrimony",
        points: 17,
        not_plainly_right: &[
            ("cut_width", 0, NotRight, "given-misread"), // 13 3/4 + 2 x 3/8 = 14 1/2; with 5/8 for the allowance 15
            ("cut_height", 0, OwnFigure, ""),            // 19 1/2; with 5/8: 20
            ("pocket_cut", 0, OwnFigure, ""),            // 6 5/8; with 5/8: 6 7/8
            ("pocket_opened", 0, OwnFigure, ""),         // 13 1/4; with 5/8: 13 3/4
            ("basting", 0, OwnFigure, ""),               // 1/2 lies past 3/8, within 5/8
        ],
    },
    Student {
        file: "betony",
        points: 16,
        not_plainly_right: &[
            // Two thirds of 28 cm is 18 2/3 cm, and the pipe cutter allows 20 - 3 = 17 cm.
            ("pocket_height", 0, Outside, ""),
            ("pocket_cut", 0, NotRight, "allowance-on-fold"), // 19.5 + 1.5 = 21
            ("pocket_opened", 0, OwnFigure, ""),
        ],
    },
    Student {
        file: "bryony",
        points: 11,
        not_plainly_right: &[
            ("slots_width", 0, NotRight, "a-whole-one-off"), // 11 1/4 + 2 7/8 + 3 = 17 1/8: an inch was lost
            ("finished_width", 0, OwnFigure, ""),
            ("fold_height", 0, NotRight, ""), // both gaps are 1/2 in: nobody can say which is missing
            ("bare_height", 0, OwnFigure, ""),
            ("full_height", 0, OwnFigure, ""),
            ("tie_position", 0, OwnFigure, ""),
            ("end_slot", 0, NotRight, "end-slot-plain"), // 2 1/4 + 1/2 = 2 3/4
            ("cut_width", 0, OwnFigure, ""),
            ("cut_height", 0, OwnFigure, ""),
            ("pocket_opened", 0, NotRight, "opened-not-doubled"), // 2 x 5 5/8 = 11 1/4
            ("basting", 0, Missing, ""),
            ("turning_gap", 0, Missing, ""),
            ("tie_cut", 0, NotRight, "tie-one-turn"), // 35 + 2 x 1/2 = 36
        ],
    },
    Student {
        file: "burdock",
        points: 18,
        not_plainly_right: &[
            // The slot is 10.85 cm; read off as 10.9 it is right, but four of them are 2 mm more.
            ("slots_width", 0, OwnFigure, ""),
            ("finished_width", 0, OwnFigure, ""),
            ("cut_width", 0, OwnFigure, ""),
        ],
    },
    Student {
        file: "comfrey",
        points: 15,
        not_plainly_right: &[
            ("flap", 0, Outside, ""),                       // 8 3/4 - 5 3/4 + 1 = 4 at least
            ("tie_position", 0, NotRight, "tie-from-full"), // 8 3/4 / 2 = 4 3/8
            ("end_slot", 0, NotRight, "end-slot-all"),      // 1 1/4 + 3/8 = 1 5/8
        ],
    },
    Student {
        file: "hyssop",
        points: 17,
        not_plainly_right: &[
            ("fold_height", 0, NotRight, "given-misread"), // 24 + 1.8 = 25.8; with 28 for the 18 cm of the picking knife 29.8
            ("pocket_height", 0, OwnFigure, ""),           // 15.5 at most, from the picking knife; with 28: 19.8
            ("bare_height", 0, OwnFigure, ""),
            ("flap", 0, OwnFigure, ""), // 8 to 12; from 12: 12 to 18
            ("full_height", 0, OwnFigure, ""),
            ("tie_position", 0, OwnFigure, ""),
            ("cut_height", 0, OwnFigure, ""),
        ],
    },
    Student {
        file: "melilot",
        points: 17,
        not_plainly_right: &[
            ("slot", 1, NotRight, "wrong-unit"), // 2 1/4 in are 5.7 cm; from here to the end all is in centimetres
            ("slot", 2, OwnFigure, ""),
            ("slot", 3, OwnFigure, ""),
            ("slots_width", 0, OwnFigure, ""),
            ("finished_width", 0, OwnFigure, ""),
            ("fold_height", 0, OwnFigure, ""),
            ("pocket_height", 0, OwnFigure, ""),
            ("bare_height", 0, OwnFigure, ""),
            ("flap", 0, OwnFigure, ""),
            ("full_height", 0, OwnFigure, ""),
            ("tie_position", 0, OwnFigure, ""),
            ("tie_length", 0, OwnFigure, ""),
            ("end_slot", 0, OwnFigure, ""),
            ("cut_width", 0, OwnFigure, ""),
            ("cut_height", 0, OwnFigure, ""),
            ("pocket_cut", 0, OwnFigure, ""),
            ("pocket_opened", 0, OwnFigure, ""),
            ("basting", 0, OwnFigure, ""),     // 0.6 in lies past 1/2 in, 0.6 cm does not
            ("turning_gap", 0, OwnFigure, ""), // 12 in at most
            ("tie_cut", 0, OwnFigure, ""),
        ],
    },
    Student {
        file: "mugwort",
        points: 16,
        not_plainly_right: &[
            ("full_height", 0, Missing, "shifted-by-a-line"), // left empty; 32.8 stands on the line below, and so on to the end
            ("tie_position", 0, OwnFigure, ""),
            ("tie_length", 0, OwnFigure, ""),
            ("end_slot", 0, OwnFigure, ""),
            ("cut_width", 0, OwnFigure, ""),
            ("cut_height", 0, OwnFigure, ""),
            ("pocket_cut", 0, OwnFigure, ""),
            ("pocket_opened", 0, OwnFigure, ""),
            ("basting", 0, OwnFigure, ""),
            ("turning_gap", 0, OwnFigure, ""),
            ("tie_cut", 0, Missing, ""), // 9 is the turning gap; 49.4 fell off the end
        ],
    },
    Student {
        file: "mullein",
        points: 15,
        not_plainly_right: &[
            ("slot", 1, NotRight, "whole-girth"), // 3/4 + 1/8 = 7/8
            ("slot", 2, NotRight, "whole-girth"), // 5/8 + 1/8 = 3/4
            ("slot", 3, NotRight, "whole-girth"), // 1 1/4 + 1/8 = 1 3/8
            ("slots_width", 0, OwnFigure, ""),
            ("finished_width", 0, OwnFigure, ""),
            ("tie_length", 0, OwnFigure, ""), // 17 to 30; from 20 1/2: up to 51 1/4
            ("end_slot", 0, OwnFigure, ""),
            ("cut_width", 0, NotRight, "width-allowance-once"), // 11 1/4 + 3/4 = 12; from 20 1/2: 21 1/4
            ("cut_height", 0, NotRight, "height-allowance-once"), // 12 1/4 + 3/4 = 13
        ],
    },
    Student { file: "rosemary", points: 18, not_plainly_right: &[] },
    Student {
        file: "sainfoin",
        points: 17,
        not_plainly_right: &[
            ("finished_width", 0, NotRight, "exchanged"), // 11 1/8 + 1/2 = 11 5/8, and the fold is at 9 3/4
            ("fold_height", 0, OwnFigure, ""),
        ],
    },
    Student {
        file: "sedge",
        points: 14,
        not_plainly_right: &[
            ("finished_width", 0, NotRight, "side-ease-twice"), // 57.5 + 2.4 = 59.9
            ("tie_position", 0, NotRight, "tie-from-pocket"),   // 27 / 2 = 13.5
            ("cut_width", 0, OwnFigure, ""),
            ("pocket_opened", 0, NotRight, "opened-one-allowance"), // 2 x 18.5 = 37
            ("tie_cut", 0, Unreadable, ""),
        ],
    },
    Student {
        file: "sorrel",
        points: 17,
        not_plainly_right: &[
            ("fold_height", 0, NotRight, "base-gap-missing"), // 15 + 0.6 + 1.2 = 16.8
            ("bare_height", 0, OwnFigure, ""),
            ("full_height", 0, OwnFigure, ""),
            ("tie_position", 0, OwnFigure, ""),
            ("cut_height", 0, OwnFigure, ""),
        ],
    },
    Student {
        file: "tansy",
        points: 16,
        not_plainly_right: &[
            ("cut_width", 0, NotRight, "width-allowance-once"), // 12 1/2 + 1 = 13 1/2
            ("cut_height", 0, NotRight, "height-allowance-once"), // 13 3/4 + 1 = 14 3/4
        ],
    },
    Student {
        file: "teasel",
        points: 13,
        not_plainly_right: &[
            ("slot", 2, Missing, ""),
            ("pocket_height", 0, Missing, ""),
            ("bare_height", 0, Unjudged, ""), // nobody knows the pocket
            ("flap", 0, OwnFigure, ""),       // 4 to 6, from the bare height that was given
            ("cut_width", 0, NotRight, "width-allowance-once"), // 12 1/2 + 1 1/4 = 13 3/4
            ("pocket_cut", 0, Unjudged, ""),
            ("pocket_opened", 0, OwnFigure, ""), // twice the pocket cut that was given
        ],
    },
    Student {
        file: "tormentil",
        points: 17,
        not_plainly_right: &[
            ("slot", 1, NotRight, "other-row"), // 5.5 + 0.6 = 6.1: the figures of the saw file for those of the honing strop
            ("slots_width", 0, OwnFigure, ""),  // 6.1 + 4 x 3.1 + 2 x 5.1 = 28.7; with eight saw files 35
            ("finished_width", 0, OwnFigure, ""),
            ("fold_height", 0, OwnFigure, ""),   // 26 + 1.8 = 27.8; with 20: 21.8
            ("pocket_height", 0, OwnFigure, ""), // 13.9 at least; from 21.8: 10.9
            ("bare_height", 0, OwnFigure, ""),
            ("flap", 0, OwnFigure, ""), // 14.8 at least; from 8.8: 8.8
            ("full_height", 0, OwnFigure, ""),
            ("tie_position", 0, OwnFigure, ""),
            ("end_slot", 0, OwnFigure, ""),
            ("cut_width", 0, OwnFigure, ""),
            ("cut_height", 0, OwnFigure, ""),
        ],
    },
    Student {
        file: "vetch",
        points: 11,
        not_plainly_right: &[
            ("slot", 2, NotRight, "slot-no-ease"), // 2 + 1/4 = 2 1/4
            ("slots_width", 0, Unreadable, ""),
            ("finished_width", 0, OwnFigure, ""), // 6 x 1 3/4 + 2 x 2 + 1/2 = 15, past the unreadable sum
            ("tie_length", 0, Unreadable, ""),
            ("cut_width", 0, OwnFigure, ""),
            ("cut_height", 0, NotRight, "height-allowance-once"), // 16 + 1 1/4 = 17 1/4
            ("pocket_cut", 0, NotRight, "pocket-no-allowance"),   // 6 + 5/8 = 6 5/8
            ("pocket_opened", 0, OwnFigure, ""),
            ("basting", 0, Outside, ""),  // 5/8 is the seam line
            ("tie_cut", 0, Unjudged, ""), // nobody can read the tie length
        ],
    },
    Student { file: "yarrow", points: 18, not_plainly_right: &[] },
];

/// An answer file of the class.
pub fn sheet(name: &str) -> AnswerSheet {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("exercises/class").join(name).with_extension("toml");
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    read_answers(&text).unwrap_or_else(|faults| panic!("{name}: {}", faults[0]))
}

/// The names of the class, in order.
pub fn names() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("exercises/class");
    let entries = fs::read_dir(folder).unwrap();
    let name = |entry: fs::DirEntry| Some(entry.path().file_stem()?.to_str()?.to_owned());
    let mut names: Vec<String> = entries.filter_map(|entry| name(entry.ok()?)).collect();
    names.sort();
    names
}

fn sheets() -> BTreeMap<String, AnswerSheet> {
    names().into_iter().map(|name| (name.clone(), sheet(&name))).collect()
}

fn marked<'e>(exercise: &'e Exercise, name: &str, sheet: &AnswerSheet) -> MarkedSheet<'e> {
    let marked = mark(exercise, sheet).unwrap_or_else(|faults| panic!("{name}: {}", listed(&faults)));
    assert!(marked.faults.is_empty(), "{name}: {}", listed(&marked.faults));
    marked
}

fn listed(faults: &[Fault]) -> String {
    faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}

/// What one answer was given, in words: two of these are compared.
fn line(verdict: Verdict, slip: &str) -> String {
    if slip.is_empty() { verdict.words().to_owned() } else { format!("{} ({slip})", verdict.words()) }
}

/// How the program's marks differ from the table's, a line for each answer.
fn differences(student: &Student, sheet: &MarkedSheet) -> Vec<String> {
    let exercise = sheet.truth.exercise;
    let mut by_hand: BTreeMap<(&str, usize), String> = BTreeMap::new();
    for &(step, row, verdict, slip) in student.not_plainly_right {
        let again = by_hand.insert((step, row), line(verdict, slip));
        assert!(again.is_none(), "{}: {step} {row} stands in the table twice", student.file);
    }
    let mut found = Vec::new();
    for cell in &sheet.cells {
        let step = &exercise.steps[cell.step];
        let row = if step.kind.list.is_some() { cell.row + 1 } else { 0 };
        let slip = cell.cause().map_or("", |cause| cause.name(exercise));
        let program = line(cell.verdict, slip);
        let hand = by_hand.remove(&(step.name.as_str(), row)).unwrap_or_else(|| line(Verdict::Right, ""));
        if program != hand {
            let row = if row == 0 { String::new() } else { format!(", row {row}") };
            let name = student.file;
            found.push(format!(
                "{name}: {}{row}, \"{}\": by hand {hand}, by the program {program}",
                step.name, cell.written
            ));
        }
    }
    found.extend(by_hand.keys().map(|(step, row)| format!("{}: the sheet has no {step}, row {row}", student.file)));
    if sheet.points != Points::of(student.points) {
        found.push(format!("{}: by hand {} points, by the program {}", student.file, student.points, sheet.points));
    }
    if sheet.out_of != Points::of(18) {
        found.push(format!("{}: by hand out of 18 points, by the program out of {}", student.file, sheet.out_of));
    }
    found
}

#[test]
fn the_class_is_marked_as_by_hand() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap_or_else(|error| panic!("{error}"));
    let sheets = sheets();
    let files: Vec<&str> = sheets.keys().map(String::as_str).collect();
    let table: Vec<&str> = CLASS.iter().map(|student| student.file).collect();
    assert_eq!(files, table, "the files and the table name different students");
    let mut found = Vec::new();
    for student in CLASS {
        let sheet = &sheets[student.file];
        assert_eq!(sheet.exercise, "flap-roll", "{}", student.file);
        assert_eq!(sheet.student.to_lowercase(), student.file);
        found.extend(differences(student, &marked(roll, student.file, sheet)));
    }
    assert!(found.is_empty(), "the program marks otherwise:\n{}", found.join("\n"));
}

#[test]
fn the_class_shows_what_can_happen() {
    let shelf = Shelf::shipped();
    let roll = shelf.get("flap-roll").unwrap_or_else(|error| panic!("{error}"));
    let sheets = sheets();
    assert_eq!(sheets.len(), 18);
    let is_metric = |sheet: &AnswerSheet| sheet.unit.is_some_and(|unit| unit.is_metric());
    let metric = sheets.values().filter(|sheet| is_metric(sheet)).count();
    assert!((5..=9).contains(&metric), "{metric} of 18 sheets are metric");
    let verdicts: BTreeSet<Verdict> =
        sheets.iter().flat_map(|(name, sheet)| marked(roll, name, sheet).cells).map(|cell| cell.verdict).collect();
    assert_eq!(verdicts, Verdict::ALL.into_iter().collect());
}
