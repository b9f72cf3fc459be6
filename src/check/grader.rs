//! Grading a table piece by piece: rows in, lines of the gradebook out. Nothing is kept of a row but its line and what
//! there is to tell about it, so a table may be as long as it likes.

use super::answers::AnswerSheet;
use super::class::{ClassTally, ExerciseTally};
use super::gradebook::{Entry, gradebook_line};
use super::likeness::looks_like_another;
use super::mark::Marker;
use super::policy::Policy;
use super::records::{Fields, Records, Splitter};
use super::swift::Swift;
use super::table::{ID, STUDENT, Table, VERSION, read_version};
use crate::exercise::Shelf;
use crate::text::{Fault, harmless, is_hidden};

/// Grades the rows of a table for the gradebook: right or wrong, but not why.
///
/// ```
/// use foldmark::check::{Grader, Policy, Table};
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
    splitter: Splitter,
    desk: Desk<'s>,
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

impl<'s> Grader<'s> {
    /// Gets ready to grade.
    pub fn new(table: &'s Table, shelf: &'s Shelf, policy: &'s Policy, recall: Recall) -> Grader<'s> {
        let desk = Desk { table, shelf, policy, recall, known: Vec::new() };
        Grader { splitter: Splitter::new(table.delimiter), desk }
    }

    /// Grades a piece of the table: whole rows, without the head.
    pub fn grade(&mut self, piece: &[u8]) -> Graded {
        self.grade_either_way(piece, true)
    }

    /// `swiftly` is false where a test wants every row to go the general way.
    fn grade_either_way(&mut self, piece: &[u8], swiftly: bool) -> Graded {
        let Grader { splitter, desk } = self;
        let mut graded = Graded { lines: String::new(), rows: 0, faults: Vec::new(), all_right: true };
        for record in Records::new(piece, desk.table.delimiter) {
            graded.rows += 1;
            let fields = splitter.split(record.text).ok().filter(|_| swiftly && !record.is_open);
            if fields.is_some_and(|fields| desk.swiftly(fields, &mut graded).is_some()) {
                continue;
            }
            match desk.table.sheet(record, graded.rows, splitter, desk.shelf) {
                None => {}
                Some(Ok(mut sheet)) => match (desk.recall)(&mut sheet, desk.shelf) {
                    Ok(()) => desk.with_care(&sheet, &mut graded),
                    Err(faults) => graded.faults.extend(faults),
                },
                Some(Err(faults)) => graded.faults.extend(faults),
            }
        }
        graded
    }

    /// What was counted so far.
    pub fn into_tally(self) -> ClassTally {
        let counted = self.desk.known.into_iter().filter(|known| known.tally.sheets > 0);
        let mut tally = ClassTally::default();
        for known in counted {
            let name = known.swift.marker().exercise().name.clone();
            tally.add_counts(ClassTally { lines: Vec::new(), exercises: [(name, known.tally)].into() });
        }
        tally
    }
}

/// What rows are graded with.
struct Desk<'s> {
    table: &'s Table,
    shelf: &'s Shelf,
    policy: &'s Policy,
    recall: Recall,
    known: Vec<Known<'s>>,
}

/// What is known of one of the exercises that the rows are for.
struct Known<'s> {
    /// The level of practice.
    level: u8,
    swift: Swift<'s>,
    tally: ExerciseTally,
}

impl<'s> Desk<'s> {
    /// What is known of an exercise at a level; nothing, if the shelf does not have it.
    fn known(&mut self, name: &str, level: u8) -> Option<&mut Known<'s>> {
        let is_named = |known: &Known| known.level == level && known.swift.marker().exercise().name == name;
        if let Some(at) = self.known.iter().position(is_named) {
            return self.known.get_mut(at);
        }
        let exercise = self.shelf.get(name).ok()?.at_level(level)?;
        let swift = Swift::new(Marker::new(exercise, self.policy), self.table);
        self.known.push(Known { level, swift, tally: ExerciseTally::new(exercise) });
        self.known.last_mut()
    }

    /// Grades a row about which nothing has to be told; nothing, if it is no such row.
    fn swiftly(&mut self, fields: Fields, graded: &mut Graded) -> Option<()> {
        let table = self.table;
        let (student, id) = (table.text(fields, STUDENT), table.text(fields, ID));
        let version = table.text(fields, VERSION);
        let is_shown = |text: &str| text.bytes().all(|byte| (b' '..=b'~').contains(&byte)) || !text.contains(is_hidden);
        let is_named = !student.is_empty() && is_shown(student) && is_shown(id);
        let is_sound = is_named && (version.is_empty() || read_version(version).is_ok());
        if !is_sound || table.misfit(fields).is_some() || !table.is_asked(fields) {
            return None;
        }
        let Known { swift, tally, .. } = self.known(table.exercise(fields), 0)?;
        let found = swift.grade(table, fields)?;
        let grades = &swift.grades;
        graded.all_right &= grades.iter().all(|grade| !grade.counts || grade.verdict.earns());
        tally.count(grades, found.points == found.out_of);
        let entry = Entry {
            student: &harmless(student, 60),
            id: &harmless(id, 40),
            exercise: swift.marker().exercise(),
            points: found.points,
            out_of: found.out_of,
            grades,
        };
        entry.write(&mut graded.lines, |_| &[]);
        Some(())
    }

    /// Grades a row as any other sheet.
    fn with_care(&mut self, sheet: &AnswerSheet, graded: &mut Graded) {
        let shelf = self.shelf;
        let Some(Known { swift, tally, .. }) = self.known(&sheet.exercise, sheet.level()) else { return };
        let whole = |message: String| Fault { place: sheet.given.place, key: String::new(), message };
        if let Some((_, says)) = looks_like_another(sheet, Some(swift.marker().exercise()), shelf) {
            return graded.faults.push(whole(says));
        }
        match swift.marker().grade(sheet) {
            Ok(marked) => {
                graded.faults.extend(marked.told());
                graded.all_right &= marked.all_right();
                tally.count(&marked.grades(), marked.points == marked.out_of);
                graded.lines += &gradebook_line(&marked);
            }
            Err(faults) => {
                let placed = |fault: Fault| Fault { place: fault.place.or(sheet.given.place), ..fault };
                graded.faults.extend(faults.into_iter().map(placed));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::table::table_columns;
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

    /// Holds the swift way to the general one for rows made from one: row after row with the same two graders, so that
    /// nothing of one may spoil the next.
    fn hold_together(columns: &[String], policy: &Policy, rows: impl Iterator<Item = Vec<String>>) {
        let (table, notes) = Table::read(&csv(columns), None, &SHELF).unwrap();
        assert!(notes.is_empty(), "{notes:?}");
        let mut graders = [true, false].map(|swiftly| (Grader::new(&table, &SHELF, policy, |_, _| Ok(())), swiftly));
        for row in rows {
            let piece = csv(&row);
            let [swift, general] =
                graders.each_mut().map(|(grader, swiftly)| grader.grade_either_way(&piece, *swiftly));
            assert_eq!(swift, general, "{row:?}");
        }
        let [swift, general] = graders.map(|(grader, _)| format!("{:?}", grader.into_tally()));
        assert_eq!(swift, general);
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

    /// Were no row graded the swift way, the property above would say nothing.
    #[test]
    fn sound_rows_go_the_swift_way() {
        let policy = Policy::default();
        for (columns, row) in &*ROWS {
            let (table, _) = Table::read(&csv(columns), None, &SHELF).unwrap();
            let mut grader = Grader::new(&table, &SHELF, &policy, |_, _| Ok(()));
            let (mut graded, mut splitter) = (grader.grade(b""), Splitter::new(b','));
            let text = csv(row);
            let record = Records::new(&text, b',').next().unwrap();
            let fields = splitter.split(record.text).unwrap();
            assert!(grader.desk.swiftly(fields, &mut graded).is_some(), "{row:?}");
            assert!(graded.all_right, "{}", graded.lines);
        }
    }
}
