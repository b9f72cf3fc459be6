//! What was handed in, read: every sheet with the set it is of, and which of two of one student counts.

use super::files::{Files, read_decoded};
use super::hands::{Hands, each};
use super::kept_sets::KeptSets;
use super::marking::{BATCH, Handed, Keeper, Marking, Placed, Unread};
use super::names::file_name;
use super::pieces::Pieces;
use super::sources::Source;
use super::spreadsheet::{Worksheet, worksheets};
use super::told::{Say, Told, shown};
use crate::check::{AnswerSheet, Table, read_handed_in, table_sheets};
use crate::class::{Policy, Student};
use crate::exercise::{Exercise, Shelf};
use crate::practice::{Code, recall};
use crate::text::{Fault, composed, harmless, plain_name, quoted};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// What grades a table for its gradebook alone, with nothing kept of its rows: it may be longer than the memory. Returns why
/// not all was read, if so.
pub(crate) type Grade<K> = fn(&Table, &str, Pieces, (&Shelf, &Policy), &mut Marking<K>) -> Result<Option<Told>, String>;

/// What sheets are read by.
pub(crate) struct Gathering<'s, K> {
    pub files: &'s dyn Files,
    pub hands: Hands,
    pub say: Say<'s>,
    pub kept: &'s KeptSets,
    pub policy: &'s Policy,
    /// The exercise that all sheets are for, if that is known.
    pub asked: Option<&'s Exercise>,
    /// Where nothing but a gradebook is wanted.
    pub grade: Option<Grade<K>>,
    /// Where a class's answers lie: folders below it tell sets apart that have no codes.
    pub handed_in: Option<PathBuf>,
}

/// The folder below those that were handed in whose sheets are late.
const LATE: &str = "late";

/// Whose a sheet is, and for what: of two that are the same in all of this, the later counts.
type Whose = [String; 4];

fn whose(sheet: &AnswerSheet) -> Whose {
    let plain = |text: &String| text.trim().to_owned();
    [composed(&sheet.student), plain(&sheet.id), plain(&sheet.exercise), plain(&sheet.code)]
}

/// What is known of all sheets together before the first is marked.
#[derive(Default)]
pub(crate) struct Together {
    /// Rows of tables in whose place a later sheet counts: by how the table is called, and the number of the row.
    superseded: BTreeSet<(String, usize)>,
    /// For each code those who handed in a sheet with it.
    by_code: BTreeMap<String, BTreeSet<String>>,
}

/// Where a sheet was found: a file's place among the sources, or a row of a table.
enum Found {
    File(usize),
    Row(String, usize),
}

/// A table as a file or a part of one.
struct Opened {
    /// How it is called in sentences.
    file: String,
    pieces: Pieces,
}

impl<'s, K: Keeper> Gathering<'s, K> {
    fn shelf(&self) -> &'s Shelf {
        &self.kept.shelves[0]
    }

    /// The answer files, read; nothing for one in whose place a later sheet of the same student counts, in a file or in a
    /// table. With them what is known of all sheets together.
    fn handed_in(&self, sources: &[Source]) -> (Vec<Option<Handed<'static>>>, Together) {
        let read = |source: &Source| match source {
            Source::Sheet(path) => Some(self.sheet(path)),
            Source::Table(_) | Source::Spreadsheet(_) => None,
        };
        let mut handed: Vec<Option<Handed>> = each(self.hands, sources, read);
        let mut latest: BTreeMap<Whose, (String, Found)> = BTreeMap::new();
        let mut together = Together::default();
        let mut dropped = BTreeSet::new();
        let mut take = |sheet: &AnswerSheet, called: String, found: Found| {
            if let Ok(code) = Code::read(&sheet.code) {
                together.by_code.entry(code.to_string()).or_default().insert(called_student(sheet));
            }
            let Some((earlier, at)) = latest.insert(whose(sheet), (called.clone(), found)) else { return };
            (self.say)(&format!(
                "{earlier} and {called} are both of {}, for {}; {called} counts. If these are two people, an `id` in their files tells them apart",
                sheet.shown_name(),
                quoted(&sheet.exercise)
            ));
            match at {
                Found::File(at) => _ = dropped.insert(at),
                Found::Row(file, row) => _ = together.superseded.insert((file, row)),
            }
        };
        for (at, (source, handed)) in sources.iter().zip(&handed).enumerate() {
            match handed {
                Some(Handed { sheet: Ok(sheet), file, .. }) => take(sheet, file.clone(), Found::File(at)),
                Some(_) => {}
                // A long table that is only graded is never kept as a whole.
                None if self.grade.is_some() => {}
                None => self.rows(source, &mut |sheet, file, row| {
                    take(sheet, format!("row {row} of {file}"), Found::Row(file.to_owned(), row));
                }),
            }
        }
        dropped.into_iter().for_each(|at: usize| handed[at] = None);
        let files = handed.into_iter().zip(sources).filter(|(_, source)| matches!(source, Source::Sheet(_)));
        let mut files: Vec<Option<Handed>> = files.map(|(handed, _)| handed).collect();
        files
            .iter_mut()
            .flatten()
            .filter_map(|it| it.sheet.as_mut().ok())
            .for_each(|sheet| self.say_of_code(sheet, &together));
        (files, together)
    }

    /// Tells every row of the tables of a source that can be read; what can't is told when it is marked.
    fn rows(&self, source: &Source, tell: &mut dyn FnMut(&AnswerSheet, &str, usize)) {
        for Opened { file, mut pieces } in self.open(source).unwrap_or_default() {
            let Ok((table, _)) = Table::read(pieces.begins(), self.asked, self.shelf()) else { continue };
            pieces.pass_head(&table);
            let mut row = 2;
            while let Ok(Some(piece)) = pieces.next() {
                let (sheets, rows) = table_sheets(&table, &piece, row, self.shelf());
                row += rows;
                for sheet in sheets.into_iter().flatten() {
                    tell(&sheet, &file, sheet.given.place.map_or(0, |place| place.line));
                }
            }
        }
    }

    /// Says of a sheet that its code is another student's, or that several have the same.
    fn say_of_code(&self, sheet: &mut AnswerSheet, together: &Together) {
        let Ok(code) = Code::read(&sheet.code) else { return };
        if let Some((set, owner)) = self.kept.of_code(&sheet.code).filter(|(_, owner)| !owner.student.is_empty()) {
            let is_own = plain_name(&owner.student) == plain_name(&sheet.student)
                && (sheet.id.trim().is_empty() || owner.id.is_empty() || owner.id == sheet.id.trim());
            if !is_own {
                let owner = quoted(&owner.student);
                let says = format!(
                    "the code on this sheet is that of {owner} in {}, whose numbers it was marked by",
                    set.name
                );
                (self.say)(&format!("{}: {says}", called_student(sheet)));
                sheet.remarks.push(says);
            }
        } else if let Some(students) = together.by_code.get(&code.to_string()).filter(|students| students.len() > 1) {
            let students: Vec<&str> = students.iter().map(String::as_str).collect();
            let says =
                format!("the same code is on the sheets of {}; each sheet has a code of its own", students.join(", "));
            (self.say)(&format!("{}: {says}", called_student(sheet)));
            sheet.remarks.push(says);
        }
    }

    /// Which set a sheet is of: by its code; else by the folder that it lies in below those that were handed in; else by its
    /// exercise.
    fn placed(&self, sheet: &AnswerSheet, path: &Path) -> Placed {
        let below = self.handed_in.as_ref().and_then(|folder| path.strip_prefix(folder).ok()).and_then(Path::parent);
        let folders: Vec<String> =
            below.into_iter().flatten().map(|part| part.to_string_lossy().into_owned()).collect();
        let is_late = |name: &String| name.eq_ignore_ascii_case(LATE);
        let by_folder = || folders.iter().find(|name| !is_late(name)).map(|name| file_name(name));
        let by_code = self.kept.of_code(&sheet.code).map(|(set, _)| set.name.clone());
        let set = by_code.or_else(by_folder).filter(|set| !set.is_empty());
        let student = Student { name: sheet.shown_name(), id: sheet.shown_id() };
        Placed {
            set: set.unwrap_or_else(|| file_name(&sheet.exercise)),
            shelf: self.kept.shelf_of(sheet),
            is_late: folders.iter().any(is_late),
            whose: Some((student, harmless(&sheet.exercise, 60).into_owned())),
        }
    }

    fn sheet(&self, path: &Path) -> Handed<'static> {
        let file = shown(path);
        let unread = |sheet| Handed { file: file.clone(), table: None, sheet: Err(sheet), placed: Placed::default() };
        let read = match read_decoded(self.files, path) {
            Ok(read) => read,
            Err(fault) => return unread(Unread::File(fault)),
        };
        let mut sheet = match read_handed_in(&read.text) {
            Ok(sheet) => sheet,
            Err(faults) => return unread(Unread::Faults(faults)),
        };
        sheet.remarks.extend(read.read_as.map(|encoding| format!("the file was read as {encoding}")));
        let placed = self.placed(&sheet, path);
        let sheet =
            recall(&mut sheet, &self.kept.shelves[placed.shelf]).map(|()| sheet).and_then(|sheet| match self.asked {
                Some(asked) if asked.name != sheet.exercise => {
                    let message = format!("this is for {}, and {} is asked for", quoted(&sheet.exercise), asked.name);
                    Err(vec![Fault { place: None, key: "exercise".to_owned(), message }])
                }
                _ => Ok(sheet),
            });
        Handed { file, table: None, sheet: sheet.map_err(Unread::Faults), placed }
    }

    /// The tables of a source: of a spreadsheet every sheet that has something in it.
    fn open(&self, source: &Source) -> Result<Vec<Opened>, Told> {
        match source {
            Source::Sheet(_) => Ok(Vec::new()),
            Source::Table(path) => Ok(vec![Opened { file: shown(path), pieces: Pieces::open(self.files, path)? }]),
            Source::Spreadsheet(path) => {
                let sheets = worksheets(self.files, path)?;
                let file = shown(path);
                let is_one = sheets.len() == 1;
                let called = |name: &str| if is_one { file.clone() } else { format!("{file}, sheet {}", quoted(name)) };
                if sheets.is_empty() {
                    return Err(Told { file, says: "there is nothing in this spreadsheet".to_owned() });
                }
                let open =
                    |sheet: Worksheet| Ok(Opened { file: called(&sheet.name), pieces: Pieces::of(path, sheet.csv)? });
                sheets.into_iter().map(open).collect()
            }
        }
    }

    /// Marks all that was handed in.
    pub fn all(&self, sources: &[Source], marking: &mut Marking<K>) -> Result<(), String> {
        let (sheets, together) = self.handed_in(sources);
        let mut sheets = sheets.into_iter();
        for run in sources.chunk_by(|one, next| matches!((one, next), (Source::Sheet(_), Source::Sheet(_)))) {
            match &run[0] {
                Source::Table(_) | Source::Spreadsheet(_) => self.tables(&run[0], &together, marking)?,
                Source::Sheet(_) => {
                    let handed: Vec<Handed> = sheets.by_ref().take(run.len()).flatten().collect();
                    marking.keeper.begin(handed.len() as u64);
                    for batch in handed.chunks(BATCH) {
                        marking.mark(batch)?;
                        marking.keeper.advance(batch.len() as u64);
                    }
                    marking.keeper.end();
                }
            }
        }
        Ok(())
    }

    /// Marks the rows of the tables of a source.
    fn tables(&self, source: &Source, together: &Together, marking: &mut Marking<K>) -> Result<(), String> {
        let (Source::Sheet(path) | Source::Table(path) | Source::Spreadsheet(path)) = source;
        let opened = match self.open(source) {
            Ok(opened) => opened,
            Err(fault) => {
                marking.faults.push(fault);
                return Ok(());
            }
        };
        let read = |opened: Opened| {
            let table = Table::read(opened.pieces.begins(), self.asked, self.shelf());
            (opened, table)
        };
        let read: Vec<_> = opened.into_iter().map(read).collect();
        // A spreadsheet has other sheets beside that with the answers.
        let has_answers = read.iter().any(|(_, table)| table.is_ok());
        for (Opened { file, mut pieces }, table) in read {
            let (table, notes) = match table {
                Ok(read) => read,
                Err(says) if has_answers => {
                    (self.say)(&format!("{file}: this is not read: {says}"));
                    continue;
                }
                Err(says) => {
                    marking.faults.push(Told { file, says: says.to_string() });
                    continue;
                }
            };
            for note in notes {
                let told = Told { file: file.clone(), says: note.says };
                if note.is_fault { marking.faults.push(told) } else { (self.say)(&told.to_string()) }
            }
            if let Some(encoding) = pieces.read_as {
                (self.say)(&format!("{file}: this was read as {encoding}"));
            }
            pieces.pass_head(&table);
            if pieces.begins().trim_ascii().is_empty() {
                let says = "the table has a head, and no rows".to_owned();
                marking.faults.push(Told { file: file.clone(), says });
            }
            marking.keeper.begin(pieces.length);
            let end = match self.grade {
                Some(grade) => grade(&table, &file, pieces, (self.shelf(), self.policy), marking)?,
                None => self.mark((path, &table, &file), pieces, together, marking)?,
            };
            marking.keeper.end();
            marking.faults.extend(end);
        }
        Ok(())
    }

    /// Marks every row as a sheet of its own. Returns why not all were read, if so.
    fn mark(
        &self,
        (path, table, file): (&Path, &Table, &str),
        mut pieces: Pieces,
        together: &Together,
        marking: &mut Marking<K>,
    ) -> Result<Option<Told>, String> {
        // As a spreadsheet counts: the head is the first.
        let mut row = 2;
        loop {
            let piece = match pieces.next() {
                Ok(Some(piece)) => piece,
                Ok(None) => return Ok(None),
                Err(fault) => return Ok(Some(fault)),
            };
            let (sheets, rows) = table_sheets(table, &piece, row, self.shelf());
            row += rows;
            let counts = |sheet: &Result<AnswerSheet, Vec<Fault>>| {
                let line = sheet.as_ref().ok().and_then(|sheet| sheet.given.place).map(|place| place.line);
                !line.is_some_and(|line| together.superseded.contains(&(file.to_owned(), line)))
            };
            let handed = |sheet: Result<AnswerSheet, Vec<Fault>>| {
                let file = file.to_owned();
                let mut sheet = match sheet {
                    Ok(sheet) => sheet,
                    Err(faults) => {
                        let placed = Placed::default();
                        return Handed { file, table: Some(table), sheet: Err(Unread::Faults(faults)), placed };
                    }
                };
                let placed = self.placed(&sheet, path);
                self.say_of_code(&mut sheet, together);
                let sheet = recall(&mut sheet, &self.kept.shelves[placed.shelf]).map(|()| sheet);
                Handed { file, table: Some(table), sheet: sheet.map_err(Unread::Faults), placed }
            };
            let handed: Vec<Handed> = sheets.into_iter().filter(counts).map(handed).collect();
            for batch in handed.chunks(BATCH) {
                marking.mark(batch)?;
            }
            marking.keeper.advance(piece.len() as u64);
        }
    }
}

/// A student as sentences call them.
fn called_student(sheet: &AnswerSheet) -> String {
    match sheet.shown_id() {
        id if id.is_empty() => sheet.shown_name(),
        id => format!("{} ({id})", sheet.shown_name()),
    }
}
