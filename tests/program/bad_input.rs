//! Bad input to every exercise: one sentence that a student understands, with the given and its limits in the sheet's own
//! unit; no panic, and nothing written. What is expected are the ranges the exercises state, and sentences read by hand.

use super::shared::{folder, run};
use foldmark::check::{answer_file, mark, read_answers};
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::{Exercise, GivenKind, Shelf};
use foldmark::length::{Length, Ruler};
use foldmark::text::Fault;
use std::fs;
use std::path::Path;

/// A value of an answer file that can be replaced: its key, the words it is asked for by, and its range.
struct Blank {
    /// As the fault names it: "given.objects.1.girth".
    key: String,
    title: String,
    kind: Kind,
}

enum Kind {
    Length(Length, Length),
    Number(i64, i64),
    Words(Vec<String>),
}

/// Every given and every column's first cell.
fn blanks(exercise: &Exercise) -> Vec<Blank> {
    let mut blanks = Vec::new();
    for given in &exercise.givens {
        let key = format!("given.{}", given.name);
        let kind = match &given.kind {
            GivenKind::Length { range, .. } => Kind::Length(range.0, range.1),
            GivenKind::Number { range, .. } => Kind::Number(range.0, range.1),
            GivenKind::Choice { words, .. } => Kind::Words(words.iter().map(|choice| choice.word.clone()).collect()),
            GivenKind::Table { columns, .. } => {
                blanks.extend(columns.iter().map(|column| {
                    let (least, most) = column.range;
                    let kind = match column.is_length {
                        true => Kind::Length(Length::from_nm(least), Length::from_nm(most)),
                        false => Kind::Number(least, most),
                    };
                    Blank { key: format!("{key}.1.{}", column.name), title: column.title.clone(), kind }
                }));
                continue;
            }
        };
        blanks.push(Blank { key, title: given.title.clone(), kind });
    }
    blanks
}

/// A filled answer file for the exercise's example.
fn filled(exercise: &Exercise, ruler: Ruler) -> String {
    let givens = Givens::read(exercise, &Raw::example(exercise), None, ruler).unwrap();
    answer_file(&Draft::new(exercise, givens).unwrap(), "Sorrel", true)
}

/// The file with something else in a blank; the blank is added where the example leaves it out.
fn with(filled: &str, blank: &Blank, value: &str) -> String {
    let value = toml::Value::String(value.to_owned());
    let (section, name) = match blank.key.split('.').collect::<Vec<_>>()[..] {
        [_, name] => ("[given]".to_owned(), name),
        [_, table, _, column] => (format!("[[given.{table}]]"), column),
        _ => unreachable!(),
    };
    let (before, rest) = filled.split_once(&format!("{section}\n")).unwrap();
    let (part, after) = rest.split_once("\n\n").unwrap();
    let others = part.lines().filter(|line| !line.starts_with(&format!("{name} =")));
    format!("{before}{section}\n{name} = {value}\n{}\n\n{after}", others.collect::<Vec<_>>().join("\n"))
}

fn faults(exercise: &Exercise, file: &str) -> Vec<Fault> {
    read_answers(file).and_then(|sheet| mark(exercise, &sheet)).err().unwrap_or_default()
}

/// What is said of the one fault there is.
fn sentence(exercise: &Exercise, file: &str, blank: &Blank) -> String {
    let faults = faults(exercise, file);
    assert_eq!(faults.len(), 1, "{} {}: {faults:?}", exercise.name, blank.key);
    let Fault { place, key, message } = &faults[0];
    assert!(place.is_some() && *key == blank.key, "{faults:?}");
    assert!(message.chars().count() < 250 && !message.chars().any(char::is_control), "{message}");
    message.clone()
}

fn for_every_blank(look: impl Fn(&Exercise, Ruler, &str, &Blank)) {
    for exercise in Shelf::shipped().iter() {
        for &ruler in &exercise.rulers {
            let filled = filled(exercise, ruler);
            assert_eq!(faults(exercise, &filled), []);
            for blank in blanks(exercise) {
                look(exercise, ruler, &filled, &blank);
            }
        }
    }
}

/// Below and above its range a value is refused with what it is and the range in the sheet's own unit. Whoever then
/// writes a limit as it was told is not refused again.
#[test]
fn values_out_of_their_range() {
    for_every_blank(|exercise, ruler, filled, blank| {
        let refused = |value: &str| sentence(exercise, &with(filled, blank, value), blank);
        match &blank.kind {
            Kind::Length(least, most) => {
                let nm = |length: Length| format!("{} mm", length.as_nm_f64() / 1e6);
                let beyond = |length: Length| [length - *least, *most - length].iter().any(|left| left.is_negative());
                for value in [*least - ruler.tick(), *most + ruler.tick(), Length::ZERO, -*most] {
                    if !beyond(value) {
                        continue;
                    }
                    let said = refused(&nm(value));
                    let (what, range) = said.split_once(" is out of range; ").unwrap();
                    assert!(range.starts_with(&blank.title), "{said}");
                    let (_, range) = range.rsplit_once(" goes from ").unwrap();
                    let (from, to) = range.split_once(" to ").unwrap();
                    let unit = if ruler.is_metric() { "cm" } else { "in" };
                    assert!([what, from, to].iter().all(|length| length.ends_with(unit)), "{said}");
                    for limit in [from, to] {
                        assert_eq!(faults(exercise, &with(filled, blank, limit)), [], "{said}");
                    }
                }
            }
            Kind::Number(least, most) => {
                for value in
                    [(least - 1).to_string(), (most + 1).to_string(), "10000".into(), "2.5".into(), "-3".into()]
                {
                    let said = refused(&value);
                    assert!(said.starts_with(&format!("\"{value}\" was read, but {}", blank.title)), "{said}");
                    assert!(said.ends_with(&format!(" has to be a whole number from {least} to {most}")), "{said}");
                }
            }
            Kind::Words(words) => {
                let said = refused("by eye");
                assert_eq!(said, format!("\"by eye\" is not one of: {}", words.join(", ")));
            }
        }
    });
}

/// What is no measurement at all is quoted, shortened and made harmless.
#[test]
fn values_that_are_none() {
    for_every_blank(|exercise, _, filled, blank| {
        for value in ["wide", "nan", "inf in", "1/0 in", "1,250 mm", "12 apples", "9e9 in", "- in", "½½ in", "١٢ in"]
        {
            let said = sentence(exercise, &with(filled, blank, value), blank);
            assert!(said.starts_with(&format!("\"{value}\"")), "{said}");
        }
        let long = sentence(exercise, &with(filled, blank, &"9".repeat(3_000)), blank);
        assert!(long.starts_with("\"99999999"), "{long}");
        for hidden in ["1 \u{1b}[31m in", "1 \u{202e}in", "\u{0} in", "1\u{7f}"] {
            let faults = faults(exercise, &with(filled, blank, hidden));
            assert!(faults.len() == 1 && !faults[0].message.contains(hidden), "{faults:?}");
        }
    });
}

/// A table that is missing, empty, too long, or no table.
#[test]
fn tables_that_are_none() {
    for exercise in Shelf::shipped().iter() {
        let file = filled(exercise, exercise.rulers[0]);
        for given in &exercise.givens {
            let GivenKind::Table { rows: (_, most), each, columns, .. } = &given.kind else { continue };
            let begins = format!("[[given.{}]]\n", given.name);
            let parts: Vec<&str> = file.split("\n\n").filter(|part| !part.starts_with(&begins)).collect();
            let without = parts.join("\n\n");
            let said = |file: &str| {
                let faults = faults(exercise, file);
                assert_eq!(faults.len(), 1, "{faults:?}");
                assert!(faults[0].place.is_some() && faults[0].key == format!("given.{}", given.name), "{faults:?}");
                faults[0].message.clone()
            };
            let asks = format!("give at least one {each}, and at most {most} kinds");
            assert_eq!(said(&without), format!("there is none; {asks}"));
            let empty = format!("{begins}name = \"\"\n{} = \"\"\n\n[answer]", columns[0].name);
            assert_eq!(said(&without.replace("[answer]", &empty)), format!("there is none; {asks}"));
            let single = without.replace("[given]\n", &format!("[given]\n{} = \"3 in\"\n", given.name));
            assert_eq!(said(&single), "this has to be a table with a row for each kind");
            let row = format!("{begins}name = \"one\"\n");
            let many = without.replace("[answer]", &(row.repeat(10_000) + "[answer]"));
            assert_eq!(said(&many), format!("there are 10000 rows; {asks}"));
            let cells = faults(exercise, &without.replace("[answer]", &(row + "[answer]")));
            let needed: Vec<_> = cells.iter().map(|fault| fault.message.as_str()).collect();
            assert!(!needed.is_empty() && needed.iter().all(|said| said.ends_with(" (one) is missing")), "{needed:?}");
        }
    }
}

/// Exit status, standard output and standard error; and nothing may have been written.
fn draft(dir: &Path, args: &[&str]) -> (i32, String, String) {
    run(dir, &[&["draft"][..], args, &["--figures", "figures"]].concat())
}

/// What a maker may ask for on the command line, and the whole of what is said.
#[test]
fn drafts_that_cannot_be_made() {
    let chisels = "objects=name: chisel, length: 9 in, girth: 3 in, count: 4";
    let nines = "9".repeat(50_000);
    let many: Vec<&str> = ["flap-roll"].into_iter().chain(["--given", chisels].repeat(10_000)).collect();
    let table: &[(&[&str], &str)] = &[
        (
            &["flap-roll", "--given", chisels, "--given", "allowance=0 in"],
            "given.allowance: 0 in is out of range; Seam allowance goes from 1/8 in to 2 in",
        ),
        (
            &["flap-roll", "--given", chisels, "--given", "allowance=10 cm", "--ruler", "1 mm"],
            "given.allowance: 10 cm is out of range; Seam allowance goes from 0.4 cm to 5 cm",
        ),
        (
            &["flap-roll", "--given", chisels, "--given", "allowance=-1/2 in"],
            "given.allowance: -1/2 in is out of range; Seam allowance goes from 1/8 in to 2 in",
        ),
        (
            &["flap-roll", "--given", "objects=name: chisel, length: 9 in, girth: 0 in, count: 4"],
            "given.objects.1.girth: 0 in is out of range; girth (chisel) goes from 1/4 in to 20 in",
        ),
        (
            &["flap-roll", "--given", "objects=name: chisel, length: 9 in, girth: 3 in, count: 10000"],
            "given.objects.1.count: \"10000\" was read, but how many (chisel) has to be a whole number from 1 to 60",
        ),
        (
            &["flap-roll", "--given", "objects=length: 9 in, girth: 3 in"],
            "given.objects.1.count: how many (object 1) is missing",
        ),
        (&many, "given.objects: there are 10000 rows; give at least one object, and at most 24 kinds"),
        (&["flap-roll", "--given", "objects=3"], "given.objects: this has to be a table with a row for each kind"),
        (
            &["flap-roll", "--given", chisels, "--given", "objects=name: pin, length: 1 in, girth: 1 in, count: 9"],
            "with these givens no pocket height is possible: it would have to be at least 4 7/8 in and at most 0 in; \
             change the givens",
        ),
        (
            &["flap-roll", "--given", chisels, "--choose", "flap=12 in"],
            "Flap of 12 in (your choice) is outside the rule: at most 5 3/4 in; more than half as much again only adds \
             bulk",
        ),
        (
            &["mixed-roll", "--choose", "flap=40 in"],
            "Flap of 40 in (your choice) is outside the rule: at most 12 3/4 in; a longer flap would pass the base",
        ),
        (
            &["flap-roll", "--given", chisels, "--choose", "pocket_height=0 in"],
            "Pocket height of 0 in (your choice) is outside the rule: at least 4 7/8 in; a shallower pocket lets a long \
             object fall out",
        ),
        (&["flap-roll", "--choose", "flap=-1 in"], "flap: -1 in is less than nothing"),
        (
            &["flap-roll", "--choose", "flap=1000000 in"],
            "flap: \"1000000 in\": longer than 100 m; check the number and its unit",
        ),
        (
            &["gusseted-bag", "--given", "width=10 in", "--choose", "radius=6 in"],
            "Corner radius of 6 in (your choice) is outside the rule: less than 5 in; with half the panel each, the two \
             corners would leave none of the base straight",
        ),
        (
            &["gusseted-bag", "--unit", "cm", "--given", "width=30", "--choose", "radius=15"],
            "Corner radius of 15 cm (your choice) is outside the rule: less than 15 cm; with half the panel each, the two \
             corners would leave none of the base straight",
        ),
        (
            &["patch-pocket", "--choose", "height=0 in"],
            "Finished height of 0 in (your choice) is outside the rule: at least 4 in; a shallower pocket lets it tip out",
        ),
        (
            &["shaped-flap", "--choose", "reach=0 in"],
            "Reach over the front of 0 in (your choice) is outside the rule: at least 3 1/4 in; a shorter flap opens by \
             itself when the bag is set down",
        ),
        (
            &["round-bucket", "--given", "across=0 in"],
            "given.across: 0 in is out of range; Across the contents goes from 2 in to 30 in",
        ),
        (
            &["sleeve", "--given", &format!("width={nines} in")],
            "given.width: \"999999999999999999999999999999999999999…\": longer than 64 characters; write the length alone, \
             like 12 1/2 in or 31.8 cm",
        ),
        (
            &["sleeve", "--given", "width=9\u{1b}[31m in"],
            "given.width: \"9\\u{1b}[31m in\": read 9, but \"\\u{1b}[31m\" is not a unit; write in, ft, yd, mm, cm or m",
        ),
    ];
    let dir = folder();
    for (args, expected) in table {
        let (status, output, errors) = draft(dir.path(), args);
        assert_eq!((status, output.as_str(), errors), (2, "", format!("error: {expected}\n")));
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0, "{expected}");
    }
}

/// A ruler of the other system is no fault: what is given in inches is told in centimetres.
#[test]
fn a_ruler_of_the_other_system() {
    let dir = folder();
    for exercise in Shelf::shipped().iter() {
        let args = [exercise.name.as_str(), "--ruler", "1 mm", "--unit", "in"];
        let (status, output, errors) = draft(dir.path(), &args);
        assert_eq!(status, 0, "{errors}");
        let is_inches = |at: usize| output[..at].ends_with(|c: char| c.is_ascii_digit());
        assert!(output.contains(" cm") && !output.match_indices(" in").any(|(at, _)| is_inches(at)), "{output}");
        fs::remove_dir_all(dir.path().join("figures")).unwrap();
    }
}
