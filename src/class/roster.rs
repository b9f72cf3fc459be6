//! Those who get a sheet: a class's roster.

use crate::exercise::language::HIGHEST_LEVEL;
use crate::length::Unit;
use crate::text::{CsvRow, Fault, Shown, csv_rows, hidden_in, or_did_you_mean, passed_over, plain_name, quoted};
use std::collections::BTreeMap;

/// A student of a class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Student {
    /// The name.
    pub name: String,
    /// What tells the student from others of the same name; may be empty.
    pub id: String,
}

/// Longest name, in letters: it stands in the head of a sheet.
const LONGEST: usize = 60;

/// So many faults are told; a roster with more has something wrong as a whole.
const MOST_FAULTS: usize = 50;

/// Reads a roster: CSV with a head that has a column `student` and may have `id`; other columns are not looked at.
/// With them comes what is wrong in single rows, as a spreadsheet counts them: whoever stands there is not among them, and
/// stops nobody else.
///
/// ```
/// use foldmark::class::read_roster;
/// let (roster, faults) = read_roster(b"student,id\nRosemary,1\nRosemary,2\nTansy,\n", 100).unwrap();
/// assert_eq!((roster.len(), roster[2].name.as_str(), faults), (3, "Tansy", vec![]));
/// let (roster, faults) = read_roster(b"student\nSorrel\n\nSorrel\n", 100).unwrap();
/// assert_eq!(roster.len(), 1);
/// assert_eq!(
///     faults[0].to_string(),
///     "row 4: \"Sorrel\" stands in row 2 already; if these are two people, an `id` tells them apart"
/// );
/// ```
///
/// # Errors
/// If nobody can be read, there are more than `most`, or so much is wrong that it is no roster.
pub fn read_roster(text: &[u8], most: usize) -> Result<(Vec<Student>, Vec<Fault>), Vec<Fault>> {
    let text = text.strip_prefix("\u{feff}".as_bytes()).unwrap_or(text);
    let text = &text[passed_over(text)..];
    let mut rows = csv_rows(text).into_iter();
    let head = match rows.next() {
        Some(CsvRow::Fields(head)) => head,
        _ => Vec::new(),
    };
    let column = |name: &str| head.iter().position(|field| field.trim().eq_ignore_ascii_case(name));
    let Some(name) = column("student") else {
        return Err(vec![Fault::whole(
            "its first row has no column `student`; write `student,id` there, and a student in each row below",
        )]);
    };
    let id = column("id");
    let mut students = Vec::new();
    let mut seen: BTreeMap<(String, String), usize> = BTreeMap::new();
    let mut faults = Vec::new();
    for (row, fields) in rows.enumerate().map(|(at, row)| (at + 2, row)) {
        let mut note = |message: String| {
            faults.push(Fault { place: None, key: format!("row {row}"), message });
        };
        let fields = match fields {
            CsvRow::Empty => continue,
            CsvRow::Fields(fields) => fields,
            CsvRow::Open => {
                note("a quotation mark is opened in this row and never closed".to_owned());
                continue;
            }
            CsvRow::NotText => {
                note("this is not UTF-8 text; save the roster as UTF-8".to_owned());
                continue;
            }
        };
        if fields.iter().skip(head.len()).any(|field| !field.trim().is_empty()) {
            let (found, wanted) = (fields.len(), head.len());
            note(format!(
                "there are {found} fields in it, and {wanted} in the first row; a name with a comma in it has to stand between quotation marks"
            ));
            continue;
        }
        let field = |column: Option<usize>| column.and_then(|at| fields.get(at)).map_or("", |field| field.trim());
        let student = Student { name: field(Some(name)).to_owned(), id: field(id).to_owned() };
        if let Some(hidden) = [&student.name, &student.id].iter().find_map(|text| hidden_in(text).next()) {
            note(format!("there is an invisible character in it ({}); take it out", hidden.escape_unicode()));
        } else if student.name.is_empty() {
            note("the student's name is missing".to_owned());
        } else if [&student.name, &student.id].iter().any(|text| text.chars().count() > LONGEST) {
            note(format!("a name has at most {LONGEST} letters"));
        } else if let Some(before) = seen.get(&(plain_name(&student.name), student.id.clone())) {
            let name = quoted(&student.name);
            note(format!("{name} stands in row {before} already; if these are two people, an `id` tells them apart"));
        } else {
            seen.insert((plain_name(&student.name), student.id.clone()), row);
            students.push(student);
        }
    }
    if faults.len() > MOST_FAULTS {
        faults.truncate(MOST_FAULTS);
        faults.push(Fault::whole("there is more wrong than is told here; mend this first"));
        return Err(faults);
    }
    match students.len() {
        0 if !faults.is_empty() => Err(faults),
        0 => Err(vec![Fault::whole("there is nobody on it; write a student in each row below the first")]),
        many if many > most => {
            Err(vec![Fault::whole(format!("there are {many} students on it; a set has at most {most} sheets"))])
        }
        _ => Ok((students, faults)),
    }
}

/// Which of some students someone is: the one of that name and id, or the only one of that name where an id is missing. Names are
/// compared as [`plain_name`] has them.
///
/// ```
/// use foldmark::class::{Student, which_student};
/// let student = |name: &str, id: &str| Student { name: name.into(), id: id.into() };
/// let class = [student("Tansy", "1"), student("Sorrel", "3"), student("Sorrel", "9")];
/// assert_eq!(which_student(&class, &student(" tansy", "")), Some(0));
/// assert_eq!(which_student(&class, &student("Sorrel", "9")), Some(2));
/// assert_eq!(which_student(&class, &student("Sorrel", "")), None);
/// ```
pub fn which_student(students: &[Student], wanted: &Student) -> Option<usize> {
    let name = plain_name(&wanted.name);
    let of_name: Vec<usize> = (0..students.len()).filter(|at| plain_name(&students[*at].name) == name).collect();
    let exact = of_name.iter().copied().find(|at| students[*at].id == wanted.id);
    exact.or(match of_name[..] {
        [only] if wanted.id.is_empty() || students[only].id.is_empty() => Some(only),
        _ => None,
    })
}

/// The columns of a roster beside those with names and ids: a number or an e-mail address, by which other programs know who is
/// who.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RosterColumns {
    /// What they are called.
    pub names: Vec<String>,
    /// What stands there, by student.
    pub fields: Vec<(Student, Vec<String>)>,
}

/// Columns that say what a student gets.
const OF_WISHES: [&str; 2] = ["level", "unit"];

/// Columns by which other programs know who is who.
const OF_OTHERS: [&str; 6] = ["number", "e-mail", "email", "mail", "user", "username"];

/// What a roster says of a student's sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Wishes {
    /// The level of practice.
    pub level: Option<u8>,
    /// What the sheets are measured in.
    pub unit: Option<Unit>,
}

/// A student with what stands in the columns.
type RosterRow = (Student, Vec<String>);

/// A roster's head, and each student's fields.
fn rows(text: &[u8]) -> Option<(Vec<String>, Vec<RosterRow>)> {
    let text = text.strip_prefix("\u{feff}".as_bytes()).unwrap_or(text);
    let mut rows = csv_rows(&text[passed_over(text)..]).into_iter();
    let Some(CsvRow::Fields(head)) = rows.next() else { return None };
    let head: Vec<String> = head.iter().map(|name| name.trim().to_owned()).collect();
    let students = rows.filter_map(|row| match row {
        // With more fields than the head, nobody knows which is whose.
        CsvRow::Fields(fields) if fields.iter().skip(head.len()).all(|field| field.trim().is_empty()) => {
            let fields: Vec<String> =
                (0..head.len()).map(|at| fields.get(at).map_or("", |field| field.trim()).to_owned()).collect();
            let field = |name: &str| head.iter().zip(&fields).find(|(head, _)| head.eq_ignore_ascii_case(name));
            let [name, id] =
                ["student", "id"].map(|name| field(name).map(|(_, field)| field.clone()).unwrap_or_default());
            Some((Student { name, id }, fields))
        }
        CsvRow::Fields(_) | CsvRow::Empty | CsvRow::Open | CsvRow::NotText => None,
    });
    let students = students.collect();
    Some((head, students))
}

/// Reads the other columns of a roster that [`read_roster`] has read.
///
/// ```
/// use foldmark::class::roster_columns;
/// let columns = roster_columns(b"student,id,number,level\nRosemary,1,A-7,2\n");
/// assert_eq!((columns.names, columns.fields[0].1.clone()), (vec!["number".to_owned()], vec!["A-7".to_owned()]));
/// ```
pub fn roster_columns(text: &[u8]) -> RosterColumns {
    let Some((head, students)) = rows(text) else { return RosterColumns::default() };
    let is_known = |name: &String| ["student", "id"].iter().chain(&OF_WISHES).any(|it| name.eq_ignore_ascii_case(it));
    let others: Vec<usize> = (0..head.len()).filter(|at| !head[*at].is_empty() && !is_known(&head[*at])).collect();
    let of_others = |fields: Vec<String>| others.iter().map(|at| fields[*at].clone()).collect();
    RosterColumns {
        fields: students.into_iter().map(|(student, fields)| (student, of_others(fields))).collect(),
        names: others.iter().map(|at| head[*at].clone()).collect(),
    }
}

/// Reads what a roster says of the sheets of each student that [`read_roster`] has read, with what is to be said of columns
/// that are not known.
///
/// ```
/// use foldmark::{class::{Wishes, read_roster, roster_wishes}, length::Unit};
/// let text = b"student,level,unit,levle\nRosemary,2,cm,\n,9,,\nTansy,,,\n";
/// let (students, faults) = read_roster(text, 100).unwrap();
/// assert_eq!((students.len(), faults.len()), (2, 1));
/// let (wishes, said) = roster_wishes(text, &students).unwrap();
/// assert_eq!(wishes, [Wishes { level: Some(2), unit: Some(Unit::Centimetre) }, Wishes::default()]);
/// assert_eq!(said, ["the column \"levle\" is only handed on to the gradebook; did you mean `level`?"]);
/// let faults = roster_wishes(b"student,level,unit\nRosemary,hard,ells\n", &students).unwrap_err();
/// assert_eq!(faults[0].to_string(), "Rosemary, level: \"hard\" is no level; write a number from 1 to 4, or nothing");
/// ```
///
/// # Errors
/// For everything that is no level, or no unit.
pub fn roster_wishes(text: &[u8], students: &[Student]) -> Result<(Vec<Wishes>, Vec<String>), Vec<Fault>> {
    let (head, rows) = rows(text).unwrap_or_default();
    let mut faults = Vec::new();
    let column = |name: &str| head.iter().position(|head| head.eq_ignore_ascii_case(name));
    let [level, unit] = OF_WISHES.map(column);
    let mut wishes = Vec::new();
    for student in students {
        let fields = rows.iter().find(|(other, _)| other == student).map_or(&[][..], |(_, fields)| fields);
        let field = |column: Option<usize>| fields.get(column?).filter(|field| !field.is_empty());
        let mut note = |key: &str, message: String| {
            faults.push(Fault { place: None, key: format!("{}, {key}", student.name), message });
        };
        let mut wish = Wishes::default();
        if let Some(text) = field(level) {
            wish.level = text.parse().ok().filter(|level| (1..=HIGHEST_LEVEL).contains(&i64::from(*level)));
            if wish.level.is_none() {
                let text = quoted(text);
                note("level", format!("{text} is no level; write a number from 1 to {HIGHEST_LEVEL}, or nothing"));
            }
        }
        if let Some(text) = field(unit) {
            match Unit::named(text) {
                Ok(unit) => wish.unit = Some(unit),
                Err(fault) => note("unit", fault.to_string()),
            }
        }
        wishes.push(wish);
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let is_known = |name: &&String| {
        let known = ["student", "id"].iter().chain(&OF_WISHES).chain(&OF_OTHERS);
        name.is_empty() || known.into_iter().any(|it| name.eq_ignore_ascii_case(it))
    };
    let said = head.iter().filter(|name| !is_known(name)).map(|name| {
        let hint = or_did_you_mean(name, OF_WISHES.into_iter().chain(OF_OTHERS), Shown::Key);
        format!("the column {} is only handed on to the gradebook{hint}", quoted(name))
    });
    Ok((wishes, said.collect()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn faults(text: &[u8]) -> Vec<String> {
        read_roster(text, 10).map_or_else(|faults| faults, |(_, faults)| faults).iter().map(Fault::to_string).collect()
    }

    #[test]
    fn what_is_wrong_with_a_roster_is_told_row_by_row() {
        assert_eq!(
            faults("name,id\nTansy,1\n".as_bytes()),
            ["its first row has no column `student`; write `student,id` there, and a student in each row below"]
        );
        assert_eq!(faults(b""), faults(b"\xff\xfe"));
        assert_eq!(faults(b"student,id\n,\n"), ["there is nobody on it; write a student in each row below the first"]);
        assert_eq!(
            faults("student;id\nTansy;1\n;2\nSor\u{202e}rel;3\ntansy;1\n\"Sedge\n".as_bytes()),
            [
                "row 3: the student's name is missing",
                "row 4: there is an invisible character in it (\\u{202e}); take it out",
                "row 5: \"tansy\" stands in row 2 already; if these are two people, an `id` tells them apart",
                "row 6: a quotation mark is opened in this row and never closed",
            ]
        );
        assert_eq!(
            faults(b"student\nTansy\nSorrel \xe9\n"),
            ["row 3: this is not UTF-8 text; save the roster as UTF-8"]
        );
        assert_eq!(
            faults(b"student,id\nVetch, the elder,7\n\"Vetch, the younger\",8,\n"),
            [
                "row 2: there are 3 fields in it, and 2 in the first row; a name with a comma in it has to stand between quotation marks"
            ]
        );
        let told = faults(format!("student\n{}", "\u{1b}\n".repeat(60)).as_bytes());
        assert_eq!((told.len(), told[50].as_str()), (51, "there is more wrong than is told here; mend this first"));
        assert_eq!(
            faults(format!("student\n{}\n", "x".repeat(61)).as_bytes()),
            ["row 2: a name has at most 60 letters"]
        );
        let many: String = (0..11).map(|at| format!("Sedge {at}\n")).collect();
        assert_eq!(
            faults(format!("student\n{many}").as_bytes()),
            ["there are 11 students on it; a set has at most 10 sheets"]
        );
    }

    /// A name with a joiner where it belongs is a name; one with an accent in two forms is one; a name that can't be taken
    /// stops nobody else.
    #[test]
    fn names_of_every_script() {
        let text = "student\nمی\u{200c}رود\nRen\u{e9}\nrene\u{301}\n\u{3164}\nTansy\nTa\u{34f}nsy\n";
        let (roster, faults) = read_roster(text.as_bytes(), 10).unwrap();
        let names: Vec<&str> = roster.iter().map(|student| student.name.as_str()).collect();
        assert_eq!(names, ["می\u{200c}رود", "Ren\u{e9}", "Tansy"]);
        let faults: Vec<String> = faults.iter().map(Fault::to_string).collect();
        assert_eq!(
            faults,
            [
                "row 4: \"rene\u{301}\" stands in row 3 already; if these are two people, an `id` tells them apart",
                "row 5: there is an invisible character in it (\\u{3164}); take it out",
                "row 7: there is an invisible character in it (\\u{34f}); take it out",
            ]
        );
    }

    /// A name that looks like a formula, a path or HTML is only text: it is made harmless where it is shown.
    #[test]
    fn a_hostile_name_is_a_name() {
        let (roster, _) = read_roster("\u{feff}Student\n=SUM(A1)\n../../x\n<b>Sorrel</b>\n".as_bytes(), 10).unwrap();
        assert_eq!(
            roster.iter().map(|student| student.name.as_str()).collect::<Vec<_>>(),
            ["=SUM(A1)", "../../x", "<b>Sorrel</b>"]
        );
    }
}
