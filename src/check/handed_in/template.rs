//! Writing answer files: empty for a student, or filled in from a draft.

use super::answer_file::AnswerSheet;
use super::columns::table_of;
use super::letter::{BEGIN, END};
use crate::class::Student;
use crate::draft::{Draft, Givens};
use crate::exercise::{Exercise, GivenKind, Step, StepId, usual_on};
use crate::formula::{Base, Values};
use crate::length::Ruler;
use std::fmt::Write;

/// An answer file with the givens filled in, and the answers too if `filled` says so.
///
/// ```
/// use foldmark::{check::{answer_file, mark, read_answers}, draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let filled = answer_file(&draft, "Tansy", true);
/// assert!(mark(roll, &read_answers(&filled).unwrap()).unwrap().all_right());
/// ```
pub fn answer_file(draft: &Draft, student: &str, filled: bool) -> String {
    let exercise = draft.exercise;
    let mut file = head(exercise, draft.givens.ruler, student);
    write_givens(&mut file, exercise, &draft.givens);
    file.push_str("\n[answer]\n");
    write_parts(&mut file, exercise, |step| {
        let values = values(draft, step, |row| if filled { exact_text(draft, step, row) } else { String::new() });
        format!("{} = {values}  # {}", step.name, note(draft, step))
    });
    file
}

/// A line for each step: first for those that are asked for, then for the others.
fn write_parts(file: &mut String, exercise: &Exercise, line: impl Fn(&Step) -> String) {
    for is_asked in [true, false] {
        let steps = exercise.steps.iter_enumerated().filter(|(index, _)| exercise.asks(*index) == is_asked);
        let lines: Vec<String> = steps.map(|(_, step)| line(step) + "\n").collect();
        if !is_asked && !lines.is_empty() {
            file.push_str("\n# If you measured these as well; what you leave empty costs nothing.\n");
        }
        file.extend(lines);
    }
}

/// An answer file with nothing filled in but the usual givens, for a student's own objects: with so many empty rows in
/// each table, as far as it may have them.
pub fn blank_file(exercise: &Exercise, ruler: Ruler, rows: usize) -> String {
    let mut file = head(exercise, ruler, "");
    file.push_str("\n[given]\n");
    for given in &exercise.givens {
        let value = match &given.kind {
            GivenKind::Length { usual, .. } => {
                usual_on(ruler, usual).map(|length| ruler.write_exactly(length)).unwrap_or_default()
            }
            GivenKind::Number { parts, usual, .. } => usual.map(|count| parts.write(count)).unwrap_or_default(),
            GivenKind::Choice { words, usual, .. } => usual.map(|index| words[index].word.clone()).unwrap_or_default(),
            GivenKind::Table { .. } => continue,
        };
        let _ = writeln!(file, "{} = {}  # {}", given.name, toml_text(&value), given.title);
    }
    for given in &exercise.givens {
        let GivenKind::Table { columns, each, rows: (_, most), .. } = &given.kind else { continue };
        let _ = writeln!(file, "\n# One part like this for each kind of {each}; copy it as often as you need.");
        for row in 0..rows.min(*most) {
            let gap = if row == 0 { "" } else { "\n" };
            let _ = writeln!(file, "{gap}[[given.{}]]\nname = \"\"", given.name);
            for column in columns {
                let says = if column.says.is_empty() { &column.title } else { &column.says };
                let _ = writeln!(file, "{} = \"\"  # {says}", column.name);
            }
        }
    }
    file.push_str("\n[answer]\n");
    write_parts(&mut file, exercise, |step| {
        let (value, note) = match table_of(exercise, step) {
            Some((_, most)) => {
                let blanks = vec!["\"\""; rows.min(most)];
                (format!("[{}]", blanks.join(", ")), ", one for each part above, in the same order")
            }
            None => ("\"\"".to_owned(), ""),
        };
        format!("{} = {value}  # {}{note}", step.name, titled(step))
    });
    file
}

/// The answer file of a sheet with a code, which stands for everything that is given: only the steps that the sheet asks
/// for, those filled in of which `fills` says so, as somebody with that ruler writes them.
pub fn answer_file_of(
    draft: &Draft,
    student: &Student,
    code: &str,
    asked: &[StepId],
    fills: &dyn Fn(StepId) -> bool,
) -> String {
    let exercise = draft.exercise;
    let mut file = head(exercise, draft.givens.ruler, &student.name);
    if !student.id.is_empty() {
        let _ = writeln!(file, "id = {}", toml_text(&student.id));
    }
    let _ = writeln!(
        file,
        "code = {}  # stands in the head of the sheet, and for all that is given there",
        toml_text(code)
    );
    file.push_str("\n[answer]\n");
    for &index in asked {
        let (step, is_filled) = (&exercise.steps[index], fills(index));
        let values = values(draft, step, |row| if is_filled { draft.text_at(step.slot, row) } else { String::new() });
        let _ = writeln!(file, "{} = {values}  # {}", step.name, note(draft, step));
    }
    file
}

/// The answer file of a sheet that was filled in elsewhere, as it was written, right or wrong: read again it is the same
/// sheet.
///
/// ```
/// use foldmark::{check::{read_answers, written_file}, exercise::Shelf, length::Ruler};
/// let shelf = Shelf::shipped();
/// let pouch = shelf.get("zip-pouch").unwrap();
/// let text = "exercise = \"zip-pouch\"\nversion = 1\nstudent = \"Tansy\"\nunit = \"in\"\nruler = \"1/8 in\"\n\
///     [given]\nzip = \"8\"\n[answer]\nfinished_width = \"7 \\\"or so\"\n";
/// let sheet = read_answers(text).unwrap();
/// let again = read_answers(&written_file(pouch, Ruler::EIGHTH, &sheet)).unwrap();
/// assert_eq!(again.answers[0].values[0].text, sheet.answers[0].values[0].text);
/// ```
pub fn written_file(exercise: &Exercise, ruler: Ruler, sheet: &AnswerSheet) -> String {
    let mut file = format!("{BEGIN}\n# {}\n{}", exercise.title, whose(exercise, ruler, &sheet.student));
    // Writing to a String can't fail.
    if !sheet.id.is_empty() {
        let _ = writeln!(file, "id = {}", toml_text(&sheet.id));
    }
    if sheet.code.is_empty() {
        file.push_str("\n[given]\n");
        for entry in &sheet.given.singles {
            let _ = writeln!(file, "{} = {}", toml_key(&entry.key), toml_text(&entry.text));
        }
        for (table, rows) in &sheet.given.tables {
            for row in rows {
                let _ = writeln!(file, "\n[[given.{}]]\nname = {}", toml_key(table), toml_text(&row.name));
                for cell in &row.cells {
                    let _ = writeln!(file, "{} = {}", toml_key(&cell.key), toml_text(&cell.text));
                }
            }
        }
    } else {
        let _ = writeln!(file, "code = {}", toml_text(&sheet.code));
    }
    file.push_str("\n[answer]\n");
    for answer in &sheet.answers {
        let values: Vec<String> = answer.values.iter().map(|value| toml_text(&value.text)).collect();
        let is_list = exercise.step(&answer.step).is_some_and(|step| step.kind.list.is_some());
        let values = match &values[..] {
            [value] if !is_list => value.clone(),
            values => format!("[{}]", values.join(", ")),
        };
        let title = exercise.step(&answer.step).map(|step| format!("  # {}", step.title)).unwrap_or_default();
        let _ = writeln!(file, "{} = {values}{title}", toml_key(&answer.step));
    }
    file + END + "\n"
}

fn head(exercise: &Exercise, ruler: Ruler, student: &str) -> String {
    let sample = sample(ruler.is_metric());
    let hint = format!("# Write each measurement between its quotation marks, such as \"{sample}\".\n");
    format!("# {}\n{hint}{}", exercise.title, whose(exercise, ruler, student))
}

/// Which exercise, whose, and how it was measured.
fn whose(exercise: &Exercise, ruler: Ruler, student: &str) -> String {
    let mut file = String::new();
    // Writing to a String can't fail.
    let _ = writeln!(file, "exercise = {}", toml_text(&exercise.name));
    let _ = writeln!(file, "version = {}", exercise.version);
    let _ = writeln!(file, "student = {}", toml_text(student));
    let _ = writeln!(file, "unit = \"{}\"", ruler.unit().symbol());
    let _ = writeln!(file, "ruler = {}", toml_text(&ruler.to_string()));
    file
}

fn sample(metric: bool) -> &'static str {
    if metric { "31.8 cm" } else { "12 1/2 in" }
}

fn write_givens(file: &mut String, exercise: &Exercise, givens: &Givens) {
    file.push_str("\n[given]\n");
    let singles = exercise.givens.iter().filter_map(|given| match given.kind {
        GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } | GivenKind::Choice { slot, .. } => {
            Some((given, slot))
        }
        GivenKind::Table { .. } => None,
    });
    for (given, slot) in singles {
        if let Some(text) = givens.text(exercise, slot, 0) {
            let _ = writeln!(file, "{} = {}  # {}", given.name, toml_text(&text), given.title);
        }
    }
    for given in &exercise.givens {
        let GivenKind::Table { table, columns, .. } = &given.kind else { continue };
        for row in 0..givens.measures.rows(*table) {
            let _ = writeln!(file, "\n[[given.{}]]\nname = {}", given.name, toml_text(&givens.row_names[table.0][row]));
            for column in columns {
                if let Some(text) = givens.text(exercise, column.slot, row) {
                    let _ = writeln!(file, "{} = {}", column.name, toml_text(&text));
                }
            }
        }
    }
}

fn values(draft: &Draft, step: &Step, text: impl Fn(usize) -> String) -> String {
    let one = |row: usize| toml_text(&text(row));
    match step.kind.list {
        None => one(0),
        Some(_) => format!("[{}]", (0..draft.rows(step)).map(one).collect::<Vec<_>>().join(", ")),
    }
}

/// On the ruler where it falls on a tick, exactly otherwise: nothing that follows from it is moved.
fn exact_text(draft: &Draft, step: &Step, row: usize) -> String {
    let ruler = draft.givens.ruler;
    match draft.measures.length(step.slot, row).filter(|_| step.kind.base == Base::Length) {
        Some(length) => ruler.write_exactly(length),
        None => draft.measures.value(step.slot, row).map_or_else(String::new, |value| value.to_string()),
    }
}

fn note(draft: &Draft, step: &Step) -> String {
    if step.kind.list.is_none() {
        return titled(step);
    }
    let names: Vec<&str> = (0..draft.rows(step)).map(|row| draft.row_name(step, row)).collect();
    format!("{}: {}", titled(step), names.join(", "))
}

/// What is not on the paper is handed in as it was reckoned.
fn titled(step: &Step) -> String {
    format!("{}{}", step.title, if step.is_reckoned { ", as you reckoned it" } else { "" })
}

/// A key as TOML writes it: bare where it may be.
fn toml_key(key: &str) -> String {
    let is_bare = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'_' || byte == b'-';
    if !key.is_empty() && key.bytes().all(is_bare) { key.to_owned() } else { toml_text(key) }
}

/// Text as TOML writes it, with every character that needs it escaped.
fn toml_text(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}
