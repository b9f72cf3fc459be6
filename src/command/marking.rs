//! The marking of a class: sheets are marked side by side, and what comes of them is gathered in their order.

use super::course::CourseResults;
use super::results::{Folder, JSON_HEAD, json_end, json_gap};
use super::terminal::{Failure, Status, error};
use super::told::Told;
use crate::check::{
    AnswerSheet, ClassTally, HandedInFile, MarkedSheet, Marker, Table, feedback_page, feedback_part, gradebook_line,
    looks_like_another, report_text, sheet_report,
};
use crate::class::{Policy, Show, Student};
use crate::exercise::Shelf;
use crate::files::{FileFault, StagedFile};
use crate::text::Fault;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// So many sheets are marked side by side before what comes of them is gathered.
pub(super) const BATCH: usize = 128;

/// A sheet that was handed in, or what is wrong with it.
pub(super) struct Handed<'t> {
    /// How its file is called in sentences.
    pub file: String,
    /// The table that it is a row of.
    pub table: Option<&'t Table>,
    pub sheet: Result<AnswerSheet, Unread>,
    pub placed: Placed,
}

/// Where a sheet belongs in its class.
#[derive(Debug, Clone, Default)]
pub(super) struct Placed {
    /// Its set, by the name of its folder; empty where there is no class.
    pub set: String,
    /// Which shelf it is marked with.
    pub shelf: usize,
    pub is_late: bool,
    /// Whose it is and for which exercise, as far as that could be read.
    pub whose: Option<(Student, String)>,
}

/// Why there is nothing to mark.
pub(super) enum Unread {
    /// The file can't be read.
    File(FileFault),
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

/// What is made of every sheet.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Wanted {
    /// Its report as text.
    pub details: bool,
    /// The sheet as JSON.
    pub json: bool,
}

/// The marking of a class as it goes on.
pub(super) struct Marking<'s> {
    shelves: &'s [Shelf],
    policy: &'s Policy,
    show: Show,
    wanted: Wanted,
    /// By shelf, exercise and level of practice.
    markers: BTreeMap<(usize, &'s str, u8), Marker<'s>>,
    pub tally: ClassTally,
    /// Everything that could not be read.
    pub faults: Vec<Told>,
    /// How many sheets of each file were marked.
    marked: BTreeMap<String, usize>,
    /// Whether something was told already, and not kept.
    pub has_told: bool,
    pub all_right: bool,
    /// The report of the first sheet: it is printed where there is no other.
    first: String,
    reports: String,
    json: String,
    pub gradebook: Option<StagedFile>,
    pub folder: Option<Folder>,
    pub course: Option<CourseResults<'s>>,
    /// Whether an earlier result would be replaced.
    pub replaces: bool,
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
    line: String,
    report: String,
    data: String,
    page: String,
}

impl<'s> Marking<'s> {
    pub(super) fn new(shelves: &'s [Shelf], policy: &'s Policy, show: Show, wanted: Wanted) -> Marking<'s> {
        Marking {
            shelves,
            policy,
            show,
            wanted,
            markers: BTreeMap::new(),
            tally: ClassTally::default(),
            faults: Vec::new(),
            marked: BTreeMap::new(),
            has_told: false,
            all_right: true,
            first: String::new(),
            reports: String::new(),
            json: JSON_HEAD.to_owned(),
            gradebook: None,
            folder: None,
            course: None,
            replaces: false,
            handed_in: String::new(),
        }
    }

    /// Marks sheets, and gathers what comes of them.
    pub(super) fn mark(&mut self, handed: &[Handed]) -> Result<(), Failure> {
        for (sheet, shelf) in handed.iter().filter_map(|it| Some((it.sheet.as_ref().ok()?, it.placed.shelf))) {
            if !self.markers.contains_key(&(shelf, sheet.exercise.as_str(), sheet.level()))
                && let Ok(exercise) = self.shelves[shelf].get(&sheet.exercise)
                && let Some(set) = exercise.at_level(sheet.level())
            {
                self.markers.insert((shelf, &exercise.name, sheet.level()), Marker::new(set, self.policy));
            }
        }
        let made: Vec<Made> = handed.par_iter().map(|handed| self.make(handed)).collect::<Result<_, Failure>>()?;
        made.into_iter().try_for_each(|made| self.take(made))
    }

    fn make(&self, handed: &Handed) -> Result<Made<'s>, Failure> {
        let made =
            |told: Vec<Told>, marked| Made { file: handed.file.clone(), placed: handed.placed.clone(), told, marked };
        let unmarked = |told: Vec<Told>| Ok(made(told, None));
        let sheet = match &handed.sheet {
            Ok(sheet) => sheet,
            Err(Unread::File(fault)) => return unmarked(vec![fault.clone().into()]),
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
        let for_folder = self.folder.is_some() || for_course;
        let wanted = |is_wanted: bool, make: &dyn Fn() -> String| if is_wanted { make() } else { String::new() };
        let marked = Marked {
            line: wanted(for_folder || self.gradebook.is_some(), &|| gradebook_line(&sheet)),
            report: wanted(self.wanted.details, &|| report_text(&sheet, self.show)),
            page: wanted(for_folder, &|| match for_course {
                true => feedback_part(&sheet, self.show, &part_id(&sheet)),
                false => feedback_page(&sheet, self.show),
            }),
            data: match for_folder || self.wanted.json {
                true => serde_json::to_string(&sheet_report(&sheet, self.show))?,
                false => String::new(),
            },
            sheet,
        };
        Ok(made(handed.tell(&marked.sheet.told()), Some(marked)))
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

    fn take(&mut self, made: Made) -> Result<(), Failure> {
        self.faults.extend(made.told);
        let Placed { set, whose, .. } = made.placed;
        let Some(Marked { sheet, line, report, data, page }) = made.marked else {
            if let (Some(course), Some((student, exercise))) = (&mut self.course, whose) {
                course.refuse(&set, student, &exercise);
            }
            return Ok(());
        };
        *self.marked.entry(made.file).or_default() += 1;
        if self.tally.sheets() == 0 {
            self.first = report_text(&sheet, self.show);
        }
        if self.wanted.json {
            self.json += json_gap(self.tally.sheets());
            self.json += &data;
        }
        if self.wanted.details {
            self.reports += &report;
            self.reports.push('\n');
        }
        if let Some(gradebook) = &mut self.gradebook {
            gradebook.add(&line)?;
        }
        if let Some(folder) = &mut self.folder {
            folder.add(&page, &line, &data)?;
        }
        if let Some(course) = &mut self.course {
            course.add(&set, &sheet, page, line, data);
        }
        self.all_right &= sheet.all_right();
        self.tally.count(&sheet);
        Ok(())
    }

    /// The result as text: of a single sheet its report; of several what the class as a whole got wrong, after each
    /// report if the details are wanted.
    pub(super) fn text(&self) -> String {
        if self.tally.sheets() == 1 { self.first.clone() } else { format!("{}{}", self.reports, self.tally.text()) }
    }

    /// The result as JSON.
    pub(super) fn json(&self) -> Result<String, Failure> {
        Ok(format!("{}{}", self.json, json_end(&self.sentences())?))
    }

    fn sentences(&self) -> Vec<String> {
        self.faults.iter().map(Told::to_string).collect()
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

    /// Puts what was written into its place.
    pub(super) fn put(&mut self) -> Result<(), Failure> {
        let sentences = self.sentences();
        if let Some(course) = self.course.take() {
            let faults: Vec<String> =
                self.faults.iter().map(|told| format!("{}: {}", self.within(&told.file), told.says)).collect();
            for says in course.put(&self.files(), &faults)? {
                error(&says);
                self.has_told = true;
            }
        }
        if self.replaces && self.tally.sheets() == 0 {
            return Err("nothing was found that can be marked; the earlier result stays as it is".into());
        }
        if let Some(gradebook) = self.gradebook.take() {
            gradebook.put()?;
        }
        if let Some(folder) = self.folder.take() {
            folder.put(&self.tally, &self.policy.title, &sentences)?;
        }
        Ok(())
    }

    /// How it went.
    pub(super) fn status(&self) -> Status {
        if self.has_told || !self.faults.is_empty() {
            Status::NotDone
        } else if self.all_right {
            Status::Well
        } else {
            Status::NotRight
        }
    }
}
