//! Grading a table piece by piece: rows in, lines of the gradebook out. Nothing is kept of a row but its line and what
//! there is to tell about it, so a table may be as long as it likes.

use super::class::{ClassTally, ExerciseTally};
use super::gradebook::{Entry, gradebook_line};
use super::likeness::looks_like_another;
use super::mark::Marker;
use super::policy::Policy;
use super::records::{Fields, Record, Records, Splitter};
use super::swift::Swift;
use super::table::{ID, STUDENT, Table, VERSION, read_version};
use crate::exercise::{Fault, Shelf};
use crate::plain::harmless;

/// Grades the rows of a table for the gradebook: right or wrong, but not why.
///
/// ```
/// use foldmark::check::{Grader, Policy, Table};
/// use foldmark::exercise::Shelf;
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("zip-pouch").unwrap();
/// let (table, _) = Table::read(b"student,unit,given.zip,answer.finished_width", Some(roll), &shelf).unwrap();
/// let policy = Policy::default();
/// let mut grader = Grader::new(&table, &shelf, &policy);
/// let graded = grader.grade(b"Sorrel,in,8,7 1/2\n\nSedge,in,8 feet and more,7 1/2\n");
/// assert_eq!((graded.rows, graded.lines.lines().count()), (3, 1));
/// assert!(table.tell(&graded.faults[0]).starts_with("row 3, given.zip: "));
/// ```
pub struct Grader<'s> {
    table: &'s Table,
    shelf: &'s Shelf,
    policy: &'s Policy,
    splitter: Splitter,
    known: Vec<Known<'s>>,
    again: String,
}

/// What is known of one of the exercises that the rows are for.
struct Known<'s> {
    swift: Swift<'s>,
    tally: ExerciseTally,
}

/// What came of a piece of a table.
#[derive(Debug, Clone, Default)]
pub struct Graded {
    /// A line of the gradebook for each sheet that could be graded.
    pub lines: String,
    /// How many rows the piece has, empty ones among them.
    pub rows: usize,
    /// What has to be told; the place of each is its row in the piece and its column.
    pub faults: Vec<Fault>,
    /// Whether every sheet has everything right that counts.
    pub all_right: bool,
}

impl<'s> Grader<'s> {
    /// Gets ready to grade.
    pub fn new(table: &'s Table, shelf: &'s Shelf, policy: &'s Policy) -> Grader<'s> {
        let splitter = Splitter::new(table.delimiter);
        Grader { table, shelf, policy, splitter, known: Vec::new(), again: String::new() }
    }

    /// Grades a piece of the table: whole rows, without the head.
    pub fn grade(&mut self, piece: &[u8]) -> Graded {
        let mut graded = Graded { all_right: true, ..Graded::default() };
        for record in Records::new(piece, self.table.delimiter) {
            graded.rows += 1;
            if !self.swiftly(record, &mut graded) {
                self.with_care(record, &mut graded);
            }
        }
        graded
    }

    /// What was counted so far.
    pub fn into_tally(self) -> ClassTally {
        let counted = self.known.into_iter().filter(|known| known.tally.sheets > 0);
        let exercises = counted.map(|known| (known.swift.marker().exercise().name.clone(), known.tally));
        ClassTally { lines: Vec::new(), exercises: exercises.collect() }
    }

    /// The place of an exercise among those known.
    fn known(&mut self, name: &str) -> Option<usize> {
        let is_named = |known: &Known| known.swift.marker().exercise().name == name;
        if let Some(at) = self.known.iter().position(is_named) {
            return Some(at);
        }
        let exercise = self.shelf.get(name).ok()?;
        let marker = Marker::new(exercise, self.policy);
        self.known.push(Known { swift: Swift::new(marker, self.table), tally: ExerciseTally::new(exercise) });
        Some(self.known.len() - 1)
    }

    /// Grades a row about which nothing has to be told; whether it is one.
    fn swiftly(&mut self, record: Record, graded: &mut Graded) -> bool {
        let mut splitter = std::mem::replace(&mut self.splitter, Splitter::new(self.table.delimiter));
        let fields = splitter.split(record.text).ok().filter(|_| !record.is_open);
        let done = fields.is_some_and(|fields| self.swift_line(fields, graded).is_some());
        self.splitter = splitter;
        done
    }

    fn swift_line(&mut self, fields: Fields, graded: &mut Graded) -> Option<()> {
        let table = self.table;
        let [student, version] = [STUDENT, VERSION].map(|plain| table.text(fields, plain));
        let is_sound = !student.is_empty() && (version.is_empty() || read_version(version).is_ok());
        if !is_sound || table.misfit(fields).is_some() || !table.is_asked(fields) {
            return None;
        }
        let known = self.known(table.exercise(fields))?;
        let Known { swift, tally } = &mut self.known[known];
        let found = swift.grade(table, fields)?;
        let grades = &swift.grades;
        graded.all_right &= grades.iter().all(|grade| !grade.counts || grade.verdict.earns());
        tally.count(grades, found.points == found.out_of);
        let entry = Entry {
            student: &harmless(student, 60),
            id: &harmless(table.text(fields, ID), 40),
            exercise: swift.marker().exercise(),
            points: found.points,
            out_of: found.out_of,
            grades,
        };
        entry.write(&mut graded.lines, &mut self.again, |_| &[]);
        Some(())
    }

    /// Grades a row as any other sheet.
    fn with_care(&mut self, record: Record, graded: &mut Graded) {
        let sheet = match self.table.sheet(record, graded.rows, &mut self.splitter, self.shelf) {
            None => return,
            Some(Ok(sheet)) => sheet,
            Some(Err(faults)) => return graded.faults.extend(faults),
        };
        let Some(known) = self.known(&sheet.exercise) else { return };
        let Known { swift, tally } = &mut self.known[known];
        if let Some(says) = looks_like_another(&sheet, Some(swift.marker().exercise()), self.shelf) {
            let place = sheet.given.place;
            return graded.faults.push(Fault { place, key: String::new(), message: says });
        }
        match swift.marker().grade(&sheet) {
            Ok(marked) => {
                graded.faults.extend(marked.told());
                graded.all_right &= marked.all_right();
                tally.count(&marked.grades(), marked.points == marked.out_of);
                graded.lines += &gradebook_line(&marked);
            }
            Err(faults) => graded
                .faults
                .extend(faults.into_iter().map(|fault| Fault { place: fault.place.or(sheet.given.place), ..fault })),
        }
    }
}
