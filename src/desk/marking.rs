//! The marking of a class: sheets are marked side by side, and what comes of them is gathered in their order.

use super::course::{CourseResults, Written};
use super::files::Write;
use super::hands::{Hands, each};
use super::told::Told;
use crate::check::{
    AnswerSheet, ClassTally, HandedInFile, Keeps, MarkedSheet, Marker, Table, feedback_page, feedback_part,
    gradebook_line, looks_like_another, report_text, sheet_report,
};
use crate::class::{Policy, Show, Student};
use crate::exercise::Shelf;
use crate::text::Fault;
use std::collections::BTreeMap;

/// So many sheets are marked side by side before what comes of them is gathered.
pub(crate) const BATCH: usize = 128;

/// A sheet that was handed in, or what is wrong with it.
pub(crate) struct Handed<'t> {
    /// How its file is called in sentences.
    pub file: String,
    /// The table that it is a row of.
    pub table: Option<&'t Table>,
    pub sheet: Result<AnswerSheet, Unread>,
    pub placed: Placed,
}

/// Where a sheet belongs in its class.
#[derive(Debug, Clone, Default)]
pub(crate) struct Placed {
    /// Its set, by the name of its folder; empty where there is no class.
    pub set: String,
    /// Which shelf it is marked with.
    pub shelf: usize,
    pub is_late: bool,
    /// Whose it is and for which exercise, as far as that could be read.
    pub whose: Option<(Student, String)>,
}

/// Why there is nothing to mark.
pub(crate) enum Unread {
    /// The file can't be read.
    File(Told),
    /// What is wrong in it.
    Faults(Vec<Fault>),
}

impl Handed<'_> {
    /// Faults as sentences, with file, place and key.
    fn tell(&self, faults: &[Fault]) -> Vec<Told> {
        let tell = |fault: &Fault| Told {
            file: self.file.clone(),
            says: self.table.map_or_else(|| fault.to_string(), |table| table.tell(fault)),
        };
        faults.iter().map(tell).collect()
    }
}

/// What tells the drawing of a sheet from the others that are printed with it.
fn part_id(sheet: &MarkedSheet) -> String {
    let whose = [&sheet.student, &sheet.id, &sheet.truth.exercise.name, &sheet.code];
    let bytes = whose.into_iter().flat_map(|text| text.bytes().chain([0]));
    // FNV-1a (Fowler, Noll, Vo), 64 bit: short, and the same everywhere.
    let hash =
        bytes.fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x100_0000_01b3));
    format!("draft-{hash:016x}")
}

/// What is wanted of every sheet.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Wanted {
    pub page: bool,
    /// Its line of a gradebook.
    pub line: bool,
    /// Its report as text.
    pub report: bool,
    /// The sheet as JSON.
    pub data: bool,
}

/// What comes of a sheet; empty, where it is not wanted.
pub(crate) struct OfSheet {
    pub page: String,
    pub line: String,
    #[cfg_attr(not(feature = "cli"), expect(dead_code, reason = "only a terminal prints it"))]
    pub report: String,
    pub data: String,
}

/// Keeps what comes of each sheet, and is told how far the work is.
pub(crate) trait Keeper: Sync {
    fn wants(&self) -> Wanted {
        Wanted::default()
    }

    /// Whether nobody waits for more.
    fn has_enough(&self) -> bool {
        false
    }

    /// Takes in what comes of a sheet.
    fn keep(&mut self, of_sheet: &OfSheet) -> Result<(), String>;

    /// Takes in what could not be read.
    fn hear(&mut self, told: &Told);

    /// So much work begins, counted in whatever is told of as done.
    fn begin(&mut self, work: u64);

    /// So much is done.
    fn advance(&mut self, work: u64) -> Result<(), String>;

    /// All of it is.
    fn end(&mut self);
}

/// Nobody: what is wanted is kept elsewhere.
impl Keeper for () {
    fn keep(&mut self, _of_sheet: &OfSheet) -> Result<(), String> {
        Ok(())
    }

    fn hear(&mut self, _told: &Told) {}

    fn begin(&mut self, _work: u64) {}

    fn advance(&mut self, _work: u64) -> Result<(), String> {
        Ok(())
    }

    fn end(&mut self) {}
}

/// The marking of a class as it goes on.
pub(crate) struct Marking<'s, K> {
    shelves: &'s [Shelf],
    hands: Hands,
    /// Who keeps what comes of each sheet.
    pub keeper: K,
    pub policy: &'s Policy,
    show: Show,
    /// By shelf, exercise and level of practice.
    markers: BTreeMap<(usize, &'s str, u8), Marker<'s>>,
    pub tally: ClassTally,
    /// Everything of a class that could not be read.
    pub faults: Vec<Told>,
    /// How many sheets of each file were marked.
    marked: BTreeMap<String, usize>,
    pub all_right: bool,
    /// The report of the first sheet: it is printed where there is no other.
    first: String,
    pub course: Option<CourseResults<'s>>,
    /// What every file of a class begins with, and its pages leave out: they are the same wherever the command is run.
    pub handed_in: String,
}

/// What came of one sheet.
struct Made<'s> {
    file: String,
    placed: Placed,
    told: Vec<Told>,
    marked: Option<Marked<'s>>,
}

struct Marked<'s> {
    sheet: MarkedSheet<'s>,
    comes: OfSheet,
}

impl<'s, K: Keeper> Marking<'s, K> {
    pub fn new((shelves, policy, show): (&'s [Shelf], &'s Policy, Show), hands: Hands, keeper: K) -> Marking<'s, K> {
        let keeps = match keeper.wants() {
            Wanted { page: true, .. } => Keeps::All,
            Wanted { data: true, .. } => Keeps::Counts,
            Wanted { .. } => Keeps::Lines,
        };
        Marking {
            shelves,
            hands,
            keeper,
            policy,
            show,
            markers: BTreeMap::new(),
            tally: ClassTally::keeping(keeps),
            faults: Vec::new(),
            marked: BTreeMap::new(),
            all_right: true,
            first: String::new(),
            course: None,
            handed_in: String::new(),
        }
    }

    /// Marks sheets, and gathers what comes of them.
    pub fn mark(&mut self, handed: &[Handed]) -> Result<(), String> {
        for (sheet, shelf) in handed.iter().filter_map(|it| Some((it.sheet.as_ref().ok()?, it.placed.shelf))) {
            if !self.markers.contains_key(&(shelf, sheet.exercise.as_str(), sheet.level()))
                && let Ok(exercise) = self.shelves[shelf].get(&sheet.exercise)
                && let Some(set) = exercise.at_level(sheet.level())
            {
                self.markers.insert((shelf, &exercise.name, sheet.level()), Marker::new(set, self.policy));
            }
        }
        let made = each(self.hands, handed, |handed| self.make(handed));
        made.into_iter().try_for_each(|made| self.take(made?))
    }

    fn make(&self, handed: &Handed) -> Result<Made<'s>, String> {
        let made =
            |told: Vec<Told>, marked| Made { file: handed.file.clone(), placed: handed.placed.clone(), told, marked };
        let unmarked = |told: Vec<Told>| Ok(made(told, None));
        let sheet = match &handed.sheet {
            Ok(sheet) => sheet,
            Err(Unread::File(fault)) => return unmarked(vec![fault.clone()]),
            Err(Unread::Faults(faults)) => return unmarked(handed.tell(faults)),
        };
        let is_coded = sheet.assignment.is_some();
        let mut sheet = match self.marked(sheet, handed) {
            Ok(sheet) => sheet,
            Err(faults) => return unmarked(handed.tell(&faults)),
        };
        sheet.is_late = handed.placed.is_late;
        if !is_coded && sheet.has_only_usual_givens() {
            let says =
                "everything given is the usual; if the draft was for something else, what it was for is missing here";
            sheet.remarks.push(says.to_owned());
        }
        let for_course = self.course.is_some();
        let Wanted { page, line, report, data } = self.keeper.wants();
        let wanted = |is_wanted: bool, make: &dyn Fn() -> String| if is_wanted { make() } else { String::new() };
        let comes = OfSheet {
            line: wanted(line || for_course, &|| gradebook_line(&sheet)),
            report: wanted(report, &|| report_text(&sheet, self.show)),
            page: wanted(page || for_course, &|| match for_course {
                true => feedback_part(&sheet, self.show, &part_id(&sheet)),
                false => feedback_page(&sheet, self.show),
            }),
            data: match data || for_course {
                true => serde_json::to_string(&sheet_report(&sheet, self.show)).map_err(|error| error.to_string())?,
                false => String::new(),
            },
        };
        Ok(made(handed.tell(&sheet.told()), Some(Marked { sheet, comes })))
    }

    fn marked(&self, sheet: &AnswerSheet, handed: &Handed) -> Result<MarkedSheet<'s>, Vec<Fault>> {
        let shelf = &self.shelves[handed.placed.shelf];
        let marker = self.markers.get(&(handed.placed.shelf, sheet.exercise.as_str(), sheet.level()));
        let place = sheet.given.place.filter(|_| handed.table.is_some());
        let fault = |key: &str, message: String| Fault { place, key: key.to_owned(), message };
        let mut faults: Vec<Fault> = Vec::new();
        let unknown = shelf.get(&sheet.exercise).err();
        if let Some((other, says)) = looks_like_another(sheet, marker.map(Marker::exercise), shelf) {
            let is_said = unknown.as_ref().is_some_and(|unknown| unknown.near.as_ref() == Some(&other.name));
            faults.extend((!is_said).then(|| fault("", says)));
        }
        faults.splice(0..0, unknown.map(|unknown| fault("exercise", unknown.to_string())));
        match marker {
            Some(marker) if faults.is_empty() => marker.mark(sheet),
            _ => Err(faults),
        }
    }

    /// Tells what could not be read.
    pub fn tell(&mut self, told: Told) {
        self.keeper.hear(&told);
        // The results of a class have it with the file that it is of.
        if self.course.is_some() {
            self.faults.push(told);
        }
    }

    /// Whether nobody waits for more.
    pub fn has_enough(&self) -> bool {
        self.course.is_none() && self.keeper.has_enough()
    }

    fn take(&mut self, made: Made) -> Result<(), String> {
        made.told.into_iter().for_each(|told| self.tell(told));
        let Placed { set, whose, .. } = made.placed;
        let Some(Marked { sheet, comes }) = made.marked else {
            if let (Some(course), Some((student, exercise))) = (&mut self.course, whose) {
                course.refuse(&set, student, &exercise);
            }
            return Ok(());
        };
        *self.marked.entry(made.file).or_default() += 1;
        if self.tally.sheets() == 0 {
            self.first = report_text(&sheet, self.show);
        }
        self.keeper.keep(&comes)?;
        if let Some(course) = &mut self.course {
            let OfSheet { page, line, data, .. } = comes;
            course.add(&set, &sheet, page, line, data);
        }
        self.all_right &= sheet.all_right();
        self.tally.count_of(if self.course.is_some() { &set } else { "" }, &sheet);
        Ok(())
    }

    /// The result as text: of a single sheet its report; of several what the class as a whole got wrong.
    pub fn text(&self) -> String {
        if self.tally.sheets() == 1 { self.first.clone() } else { self.tally.text() }
    }

    /// What a file is called on the pages of its class.
    fn within<'f>(&self, file: &'f str) -> &'f str {
        file.strip_prefix(&self.handed_in).map_or(file, |rest| rest.trim_start_matches(['/', '\\']))
    }

    /// Every file that something came of, or that could not be read.
    fn files(&self) -> Vec<HandedInFile> {
        let mut files: BTreeMap<&str, HandedInFile> = BTreeMap::new();
        let named = |file: &str| HandedInFile { file: file.to_owned(), sheets: 0, unread: Vec::new() };
        for (file, sheets) in &self.marked {
            let file = self.within(file);
            files.entry(file).or_insert_with(|| named(file)).sheets = *sheets;
        }
        for Told { file, says } in &self.faults {
            let file = self.within(file);
            files.entry(file).or_insert_with(|| named(file)).unread.push(says.clone());
        }
        files.into_values().collect()
    }

    /// Writes what comes of the marking of a class; nothing, where none is marked.
    pub fn write_course(&mut self, write: &mut Write<'_>) -> Result<Option<Written>, String> {
        let Some(course) = self.course.take() else { return Ok(None) };
        let faults = self.faults.iter().map(|told| format!("{}: {}", self.within(&told.file), told.says));
        let faults: Vec<String> = faults.collect();
        course.write(&self.files(), &faults, write).map(Some)
    }
}
