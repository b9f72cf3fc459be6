//! A course: students against sets, with who is missing, late, refused or not on the roster.

use super::gradebook::push_cell;
use crate::class::{Points, RosterColumns, Student, which_student};
use crate::text::harmless;
use std::collections::BTreeMap;

/// One sheet as the course counts it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CourseSheet {
    /// Whose it is.
    pub student: Student,
    /// The exercise's name.
    pub exercise: String,
    /// The code of the sheet; may be empty.
    pub code: String,
    /// Points earned, and to be had; nothing for a sheet that was refused.
    pub points: Option<(Points, Points)>,
    /// Whether slips were to be found, which has a column of its own.
    pub is_hunt: bool,
    /// Whether it was handed in late.
    pub is_late: bool,
}

/// The sheets of one set.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CourseSet {
    /// What it is called in the gradebook, such as `week-1`; its folder.
    pub name: String,
    /// Its title; may be empty.
    pub title: String,
    /// Until when it was to be handed in; may be empty.
    pub due: String,
    /// Whom it was set; nobody, if it was for everybody.
    pub set_for: Vec<Student>,
    /// What was handed in of it.
    pub sheets: Vec<CourseSheet>,
}

/// What stands where a student meets a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CourseCell {
    /// It was not set for this student.
    NotSet,
    /// Nothing was handed in.
    Missing,
    /// What was handed in could not be marked.
    Refused,
    /// Points earned, and to be had.
    Marked {
        /// Earned.
        points: Points,
        /// To be had.
        out_of: Points,
        /// Whether any of it was late.
        is_late: bool,
    },
}

/// A column of the course: a set, or what of it was to be found in finished drafts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CourseColumn {
    /// Which set, as its place among them.
    pub set: usize,
    /// What it is called.
    pub name: String,
    /// Whether slips were to be found: the points of such a column are no part of the sum.
    pub is_hunt: bool,
}

/// A student's line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CourseRow {
    /// The student.
    pub student: Student,
    /// Whether the student is on the roster, if there is one.
    pub is_on_roster: bool,
    /// The student's page over all sets, as an address beside the course's page; none, if there is none.
    pub page: Option<String>,
    /// For each column what stands there.
    pub cells: Vec<CourseCell>,
}

/// Students against sets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Course {
    /// What the class is called.
    pub title: String,
    /// The sets.
    pub sets: Vec<CourseSet>,
    /// The columns, in the order of the sets.
    pub columns: Vec<CourseColumn>,
    /// The students: those of the roster in its order, then whoever else handed something in.
    pub rows: Vec<CourseRow>,
}

impl Course {
    /// Puts sets and students together. A sheet whose name is on the roster once is that student's, with or without an id
    /// and whether written with capitals or not.
    ///
    /// ```
    /// use foldmark::check::{Course, CourseCell, CourseSet, CourseSheet, course_gradebook};
    /// use foldmark::class::{Points, RosterColumns, Student};
    /// let student = |name: &str, id: &str| Student { name: name.into(), id: id.into() };
    /// let sheet = |name: &str| CourseSheet {
    ///     student: student(name, ""), exercise: "sleeve".into(), code: String::new(),
    ///     points: Some((Points::of(3), Points::of(4))), is_hunt: false, is_late: false,
    /// };
    /// let set = CourseSet { name: "week-1".into(), sheets: vec![sheet("tansy"), sheet("Moss")], ..CourseSet::default() };
    /// let course = Course::new("Thursday", &[student("Tansy", "1"), student("Sedge", "2")], vec![set]);
    /// assert_eq!(course.rows[1].cells, [CourseCell::Missing]);
    /// assert!(!course.rows[2].is_on_roster);
    /// let book = course_gradebook(&course, &RosterColumns::default());
    /// assert_eq!(book.lines().collect::<Vec<_>>()[1..], ["Tansy,1,3,4,3", "Sedge,2,0,0,", "Moss,,3,4,3"]);
    /// ```
    pub fn new(title: &str, roster: &[Student], sets: Vec<CourseSet>) -> Course {
        let mut columns = Vec::new();
        for (set, CourseSet { name, sheets, .. }) in sets.iter().enumerate() {
            let hunts = sheets.iter().filter(|sheet| sheet.is_hunt).count();
            if hunts < sheets.len() || sheets.is_empty() {
                columns.push(CourseColumn { set, name: name.clone(), is_hunt: false });
            }
            if hunts > 0 {
                let name = format!("{name}, slips to be found");
                columns.push(CourseColumn { set, name, is_hunt: true });
            }
        }
        let mut students: Vec<Student> = roster.to_vec();
        let mut placed: Vec<Vec<usize>> = Vec::new();
        for set in &sets {
            let place = |sheet: &CourseSheet| {
                let known = which_student(&students, &sheet.student);
                known.unwrap_or_else(|| {
                    students.push(sheet.student.clone());
                    students.len() - 1
                })
            };
            placed.push(set.sheets.iter().map(place).collect());
        }
        let is_on_roster = |row: usize| roster.is_empty() || row < roster.len();
        let cell = |row: usize, column: &CourseColumn| {
            let set = &sets[column.set];
            let mut found: Option<CourseCell> = None;
            for (sheet, _) in set
                .sheets
                .iter()
                .zip(&placed[column.set])
                .filter(|(sheet, at)| **at == row && sheet.is_hunt == column.is_hunt)
            {
                found = Some(match (found, sheet.points) {
                    (Some(CourseCell::Marked { points, out_of, is_late }), Some((more, most))) => CourseCell::Marked {
                        points: points + more,
                        out_of: out_of + most,
                        is_late: is_late || sheet.is_late,
                    },
                    (_, Some((points, out_of))) => CourseCell::Marked { points, out_of, is_late: sheet.is_late },
                    (Some(known), None) => known,
                    (None, None) => CourseCell::Refused,
                });
            }
            let is_for = || set.set_for.is_empty() || which_student(&set.set_for, &students[row]).is_some();
            found
                .unwrap_or_else(|| if is_on_roster(row) && is_for() { CourseCell::Missing } else { CourseCell::NotSet })
        };
        let rows = students.iter().enumerate().map(|(row, student)| CourseRow {
            student: student.clone(),
            is_on_roster: is_on_roster(row),
            page: None,
            cells: columns.iter().map(|column| cell(row, column)).collect(),
        });
        let rows = rows.collect();
        Course { title: title.to_owned(), columns, rows, sets }
    }

    /// Those of the roster who have handed in nothing of a set that was set for them.
    pub fn missing(&self, column: usize) -> impl Iterator<Item = &Student> {
        let missing = move |row: &&CourseRow| row.cells[column] == CourseCell::Missing;
        self.rows.iter().filter(missing).map(|row| &row.student)
    }
}

/// What the gradebook of every course begins with.
pub const COURSE_BEGINS: &str = "\u{feff}student,id,points,out of";

/// The gradebook of a course: a row for each student, a column with the points of each set, empty where there are none, and
/// before them all points together, but for slips to be found. The roster's other columns stand there as well, so that other programs know who is who. In the head stands what there was to be had, where it was the same for all.
pub fn course_gradebook(course: &Course, others: &RosterColumns) -> String {
    let mut book = COURSE_BEGINS.to_owned();
    for name in &others.names {
        book.push(',');
        push_cell(&mut book, &harmless(name, 60));
    }
    for (at, column) in course.columns.iter().enumerate() {
        let marked = course.rows.iter().filter_map(|row| match row.cells[at] {
            CourseCell::Marked { out_of, .. } => Some(out_of),
            CourseCell::NotSet | CourseCell::Missing | CourseCell::Refused => None,
        });
        let most: BTreeMap<Points, ()> = marked.map(|out_of| (out_of, ())).collect();
        book.push(',');
        match most.keys().next().filter(|_| most.len() == 1) {
            Some(most) => push_cell(&mut book, &format!("{} (of {most})", column.name)),
            None => push_cell(&mut book, &column.name),
        }
    }
    book.push_str("\r\n");
    for row in &course.rows {
        push_cell(&mut book, &harmless(&row.student.name, 60));
        book.push(',');
        push_cell(&mut book, &harmless(&row.student.id, 60));
        let drafts = row.cells.iter().zip(&course.columns).filter(|(_, column)| !column.is_hunt);
        let marked = drafts.filter_map(|(cell, _)| match cell {
            CourseCell::Marked { points, out_of, .. } => Some((*points, *out_of)),
            CourseCell::NotSet | CourseCell::Missing | CourseCell::Refused => None,
        });
        let (points, out_of): (Vec<Points>, Vec<Points>) = marked.unzip();
        for sum in [points, out_of] {
            book += &format!(",{}", sum.into_iter().sum::<Points>());
        }
        let known = others.fields.iter().find(|(student, _)| *student == row.student).map(|(_, fields)| fields);
        for at in 0..others.names.len() {
            book.push(',');
            push_cell(&mut book, &harmless(known.map_or("", |fields| &fields[at]), 120));
        }
        for cell in &row.cells {
            book.push(',');
            if let CourseCell::Marked { points, .. } = cell {
                book.push_str(&points.to_string());
            }
        }
        book.push_str("\r\n");
    }
    book
}
