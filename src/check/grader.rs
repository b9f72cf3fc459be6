//! Grading a table piece by piece: rows in, lines of the gradebook out. Nothing is kept of a row but its line and what
//! there is to tell about it, so a table may be as long as it likes.

use super::handed_in::{AnswerSheet, Filed, Filled, HandedIn, Head, InPlace, Layout, Row, Table, looks_like_another};
use super::judge::Workbench;
use super::marker::Marker;
use super::result::{MarkedSheet, charged};
use super::tell::{ClassTally, ExerciseTally, GradebookLine, gradebook_line};
use crate::class::Policy;
use crate::exercise::{Exercise, Shelf};
use crate::text::{Fault, Records, Splitter, harmless};

/// Grades the rows of a table for the gradebook: right or wrong, but not why.
///
/// ```
/// use foldmark::check::{Grader, Table};
/// use foldmark::class::Policy;
/// use foldmark::exercise::Shelf;
/// let shelf = Shelf::shipped();
/// let pouch = shelf.get("zip-pouch").unwrap();
/// let (table, _) = Table::read(b"student,unit,given.zip,answer.finished_width", Some(pouch), &shelf).unwrap();
/// let policy = Policy::default();
/// let mut grader = Grader::new(&table, &shelf, &policy, foldmark::practice::recall);
/// let graded = grader.grade(b"Sorrel,in,8,7 1/2\n\nSedge,in,8 feet and more,7 1/2\n");
/// assert_eq!((graded.rows, graded.lines.lines().count()), (3, 1));
/// assert!(table.tell(&graded.faults[0]).starts_with("row 3, given.zip: "));
/// ```
pub struct Grader<'s> {
    table: &'s Table,
    shelf: &'s Shelf,
    policy: &'s Policy,
    recall: Recall,
    splitter: Splitter,
    /// The exercises that the rows are for, as far as they were met.
    known: Vec<Known<'s>>,
    filled: Filled,
}

/// Looks up what the code of a sheet sets, and puts it into the sheet.
pub type Recall = fn(&mut AnswerSheet, &Shelf) -> Result<(), Vec<Fault>>;

/// What came of a piece of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
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

/// An exercise that rows are for.
struct Known<'s> {
    /// The level of practice.
    level: u8,
    layout: Layout,
    grading: Grading<'s>,
}

/// What sheets of one exercise are graded with.
struct Grading<'s> {
    marker: Marker<'s>,
    bench: Workbench<'s>,
    tally: ExerciseTally,
}

impl Grading<'_> {
    /// Grades a sheet: a row in place, or the answer sheet that was made of one. `unknown` is what it has that the exercise
    /// does not.
    fn grade<S: HandedIn>(
        &mut self,
        sheet: &S,
        head: &Head,
        unknown: Vec<Fault>,
        graded: &mut Graded,
    ) -> Result<(), Vec<Fault>> {
        let Grading { marker, bench, tally } = self;
        let rules = &marker.rules;
        bench.read(rules, sheet)?;
        bench.judge(rules, sheet)?;
        let unread = bench.unread.iter().map(|unread| unread.fault(rules.exercise));
        graded.all_right &= unknown.is_empty();
        graded.faults.extend(unknown.into_iter().chain(unread));
        let grades = bench.grades(rules);
        graded.all_right &= grades.iter().all(|grade| !grade.counts || grade.verdict.earns());
        graded.all_right &= charged(rules.exercise, grades).next().is_none();
        let (points, out_of) = rules.points(grades);
        tally.count(grades, points == out_of);
        let (student, id, exercise) = (&harmless(head.student, 60), &harmless(head.id, 40), rules.exercise);
        GradebookLine { student, id, exercise, points, out_of, grades }.write(&mut graded.lines, |_| &[]);
        Ok(())
    }

    /// Takes in a sheet that was marked.
    fn take(&mut self, marked: &MarkedSheet, graded: &mut Graded) {
        graded.faults.extend(marked.told());
        graded.all_right &= marked.all_right();
        self.tally.count(&marked.grades(), marked.points == marked.out_of);
        graded.lines += &gradebook_line(marked);
    }
}

impl<'s> Grader<'s> {
    /// Gets ready to grade.
    pub fn new(table: &'s Table, shelf: &'s Shelf, policy: &'s Policy, recall: Recall) -> Grader<'s> {
        let splitter = Splitter::new(table.delimiter());
        Grader { table, shelf, policy, recall, splitter, known: Vec::new(), filled: Filled::default() }
    }

    /// Grades a piece of the table: whole rows, without the head.
    pub fn grade(&mut self, piece: &[u8]) -> Graded {
        self.grade_rows(piece, true)
    }

    /// `in_place` is false where a test wants every row to become an answer sheet first.
    fn grade_rows(&mut self, piece: &[u8], in_place: bool) -> Graded {
        let mut graded = Graded { lines: String::new(), rows: 0, faults: Vec::new(), all_right: true };
        let table = self.table;
        // Taken out, since its fields are read while all else is in use.
        let mut splitter = std::mem::replace(&mut self.splitter, Splitter::new(table.delimiter()));
        for record in Records::new(piece, table.delimiter()) {
            graded.rows += 1;
            let number = graded.rows;
            let done = match table.fields(record, number, &mut splitter) {
                None => Ok(()),
                Some(Ok(fields)) => self.grade_row(Row { table, fields, number }, in_place, &mut graded),
                Some(Err(faults)) => Err(faults),
            };
            graded.faults.extend(done.err().into_iter().flatten());
        }
        self.splitter = splitter;
        graded
    }

    fn grade_row(&mut self, row: Row, in_place: bool, graded: &mut Graded) -> Result<(), Vec<Fault>> {
        if row.is_still_empty() {
            return Ok(());
        }
        let (head, at) = row.head(|name| self.known(name, 0))?;
        let placed = |faults: Vec<Fault>| {
            let whole = Some(row.place());
            faults.into_iter().map(|fault| Fault { place: fault.place.or(whole), ..fault }).collect::<Vec<_>>()
        };
        let Known { layout, grading, .. } = &mut self.known[at];
        layout.fill(row, &mut self.filled);
        if in_place && head.code.is_empty() && !layout.is_odd(row, &self.filled) {
            let sheet = InPlace { layout, filled: &self.filled, head: &head, row };
            return grading.grade(&sheet, &head, Vec::new(), graded).map_err(placed);
        }
        let mut sheet = row.sheet(&head, grading.marker.exercise());
        (self.recall)(&mut sheet, self.shelf)?;
        let at = self.known(&sheet.exercise, sheet.level()).map_err(|it| placed(vec![Fault::whole(it)]))?;
        let grading = &mut self.known[at].grading;
        let exercise = grading.marker.exercise();
        if let Some((_, says)) = looks_like_another(&sheet, Some(exercise), self.shelf) {
            return Err(placed(vec![Fault::whole(says)]));
        }
        if !sheet.planted().is_empty() {
            grading.take(&grading.marker.mark(&sheet).map_err(placed)?, graded);
            return Ok(());
        }
        let filed = Filed::new(exercise, &sheet).map_err(placed)?;
        grading.grade(&filed, &head, filed.faults(), graded).map_err(placed)
    }

    /// The place of an exercise at a level among those that are known.
    ///
    /// # Errors
    /// Why there is no such exercise, in a sentence without a full stop.
    fn known(&mut self, name: &str, level: u8) -> Result<usize, String> {
        let is_named = |known: &Known| known.level == level && known.grading.marker.exercise().name == name;
        if let Some(at) = self.known.iter().position(is_named) {
            return Ok(at);
        }
        let exercise: &'s Exercise = self.shelf.get(name).map_err(|unknown| unknown.to_string())?;
        let exercise = exercise.at_level(level).unwrap_or(exercise);
        let marker = Marker::new(exercise, self.policy);
        let (layout, bench) = (Layout::new(self.table, exercise), Workbench::new(&marker.rules));
        let grading = Grading { marker, bench, tally: ExerciseTally::new(exercise) };
        self.known.push(Known { level, layout, grading });
        Ok(self.known.len() - 1)
    }

    /// What was counted so far.
    pub fn into_tally(self) -> ClassTally {
        let mut tally = ClassTally::default();
        let grading = self.known.into_iter().map(|known| known.grading);
        for Grading { marker, tally: counted, .. } in grading.filter(|grading| grading.tally.sheets > 0) {
            let name = marker.exercise().name.clone();
            let mut one = ClassTally::default();
            one.exercises.insert(name, counted);
            tally.add_counts(one);
        }
        tally
    }
}

#[cfg(test)]
mod tests {
    use super::super::handed_in::table_columns;
    use super::*;
    use crate::draft::{Draft, Givens, Raw};
    use proptest::prelude::*;
    use proptest::sample::Index;
    use proptest::test_runner::RngSeed;
    use std::sync::LazyLock;

    static SHELF: LazyLock<Shelf> = LazyLock::new(Shelf::shipped);
    static ROWS: LazyLock<Vec<(Vec<String>, Vec<String>)>> = LazyLock::new(sound_rows);

    /// What may stand in a field, sensible or not.
    const ODD: [&str; 24] = [
        "",
        " ",
        "0",
        "1",
        "3",
        "1/8 in",
        "12 1/2",
        "12 1/2\"",
        "31,8 cm",
        "31.8",
        "-1 in",
        "1 ft 3 in",
        "12 in long",
        "1,250 mm",
        "girth",
        "layout",
        "in",
        "cm",
        "1 mm",
        "1/4 in",
        "Sorrel",
        "zip-pouch",
        "100 m",
        "\u{1b}[2J",
    ];

    /// The head and a row in which everything is right, for the example of each exercise of a shelf with either ruler.
    fn sound_rows() -> Vec<(Vec<String>, Vec<String>)> {
        let mut found = Vec::new();
        for exercise in SHELF.iter() {
            let columns = table_columns(exercise, 3);
            for ruler in [false, true].map(|metric| exercise.usual_ruler(metric)) {
                let givens = Givens::read(exercise, &Raw::example(exercise), None, ruler).unwrap();
                let draft = Draft::new(exercise, givens).unwrap();
                let field = |name: &String| {
                    let parts: Vec<&str> = name.split('.').collect();
                    let row = |text: &str| text.parse::<usize>().unwrap() - 1;
                    match parts[..] {
                        ["student"] => "Sorrel".to_owned(),
                        ["exercise"] => exercise.name.clone(),
                        ["unit"] => ruler.unit().symbol().to_owned(),
                        ["ruler"] => ruler.to_string(),
                        ["given", table, row, "name"] => format!("{table} {row}"),
                        ["given", table, at, column] => {
                            let slot = exercise.scope.slot(&format!("{table}.{column}")).unwrap();
                            let is_there = row(at) < draft.measures.count(exercise, slot);
                            is_there.then(|| draft.givens.text(exercise, slot, row(at))).flatten().unwrap_or_default()
                        }
                        ["given", name] => {
                            draft.givens.text(exercise, exercise.scope.slot(name).unwrap(), 0).unwrap_or_default()
                        }
                        ["answer", step] => draft.text(step, 0),
                        ["answer", step, at] => {
                            let is_there = row(at) < draft.rows(exercise.step(step).unwrap());
                            if is_there { draft.text(step, row(at)) } else { String::new() }
                        }
                        _ => String::new(),
                    }
                };
                let mut row: Vec<String> = columns.iter().map(field).collect();
                // What has no row of givens has no name either.
                for (at, column) in columns.iter().enumerate().filter(|(_, column)| column.ends_with(".name")) {
                    let length = columns.iter().position(|other| *other == column.replace(".name", ".length"));
                    if length.is_some_and(|length| row[length].is_empty()) {
                        row[at].clear();
                    }
                }
                found.push((columns.clone(), row));
            }
        }
        found
    }

    fn csv(row: &[String]) -> Vec<u8> {
        let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
        writer.write_record(row).unwrap();
        writer.into_inner().unwrap()
    }

    const CLASS: &str = "ruler = \"1/8 in\"\nfollow_through = 50\n[given]\nallowance = \"3/8 in\"\nseam = \"1 cm\"\n\
                         [[exercise]]\nname = \"flap-roll\"\nsteps = [\"slot\", \"flap\", \"cut_width\"]\n";

    /// Holds rows read in place to the same rows as answer sheets: row after row with the same two graders, so that nothing
    /// of one may spoil the next.
    fn hold_together(columns: &[String], policy: &Policy, rows: impl Iterator<Item = Vec<String>>) {
        let (table, notes) = Table::read(&csv(columns), None, &SHELF).unwrap();
        assert!(notes.is_empty(), "{notes:?}");
        let mut graders = [true, false].map(|in_place| (Grader::new(&table, &SHELF, policy, |_, _| Ok(())), in_place));
        for row in rows {
            let piece = csv(&row);
            let [row_itself, sheet] = graders.each_mut().map(|(grader, in_place)| grader.grade_rows(&piece, *in_place));
            assert_eq!(row_itself, sheet, "{row:?}");
        }
        let [rows, sheets] = graders.map(|(grader, _)| format!("{:?}", grader.into_tally()));
        assert_eq!(rows, sheets);
    }

    fn policies() -> [Policy; 2] {
        [Policy::default(), Policy::read(CLASS, &SHELF).unwrap()]
    }

    #[test]
    fn one_odd_field_comes_to_the_same_both_ways() {
        for ((columns, row), policy) in ROWS.iter().zip(policies().iter().cycle()) {
            let rows = (0..row.len()).flat_map(|at| {
                ODD.map(|odd| {
                    let mut row = row.clone();
                    row[at] = odd.to_owned();
                    row
                })
            });
            hold_together(columns, policy, rows);
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 12, rng_seed: RngSeed::Fixed(8), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn several_odd_fields_come_to_the_same_both_ways(
            many in prop::collection::vec(prop::collection::vec((any::<Index>(), any::<Index>(), any::<bool>()), 2..5), 20),
            has_policy in any::<bool>(),
        ) {
            let policy = &policies()[usize::from(has_policy)];
            for (columns, row) in &*ROWS {
                let rows = many.iter().map(|changes| {
                    let mut row = row.clone();
                    for (field, odd, from_row) in changes {
                        let at = field.index(row.len());
                        row[at] = if *from_row { row[odd.index(row.len())].clone() } else { odd.get(&ODD).to_string() };
                    }
                    row
                });
                hold_together(columns, policy, rows);
            }
        }
    }

    /// Were no row read in place, the property above would say nothing.
    #[test]
    fn sound_rows_are_read_in_place() {
        let policy = Policy::default();
        for (columns, row) in &*ROWS {
            let (table, _) = Table::read(&csv(columns), None, &SHELF).unwrap();
            let mut grader = Grader::new(&table, &SHELF, &policy, |_, _| panic!("this row became a sheet"));
            let graded = grader.grade(&csv(row));
            assert!(graded.all_right && graded.lines.lines().count() == 1, "{row:?}: {}", graded.lines);
        }
    }
}
