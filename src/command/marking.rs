//! The marking of a class: sheets are marked side by side, and what comes of them is gathered in their order.

use super::results::{Folder, JSON_HEAD, json_end, json_gap};
use super::terminal::{Failure, Status};
use crate::check::{
    AnswerSheet, ClassTally, MarkedSheet, Marker, Table, feedback_page, gradebook_line, looks_like_another,
    report_text, sheet_report,
};
use crate::class::{Policy, Show};
use crate::exercise::Shelf;
use crate::files::{FileFault, StagedFile};
use crate::text::Fault;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A sheet that was handed in, or what is wrong with it.
pub(super) struct Handed<'t> {
    /// How its file is called in sentences.
    pub file: String,
    /// The table that it is a row of.
    pub table: Option<&'t Table>,
    pub sheet: Result<AnswerSheet, Unread>,
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
    fn tell(&self, faults: &[Fault]) -> Vec<String> {
        let tell = |fault: &Fault| match self.table {
            Some(table) => format!("{}: {}", self.file, table.tell(fault)),
            None => format!("{}: {fault}", self.file),
        };
        faults.iter().map(tell).collect()
    }
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
    shelf: &'s Shelf,
    policy: &'s Policy,
    show: Show,
    wanted: Wanted,
    /// By exercise and level of practice.
    markers: BTreeMap<(&'s str, u8), Marker<'s>>,
    pub tally: ClassTally,
    /// A sentence for everything that could not be read.
    pub faults: Vec<String>,
    /// Whether something was told already, and not kept.
    pub has_told: bool,
    pub all_right: bool,
    /// The report of the first sheet: it is printed where there is no other.
    first: String,
    reports: String,
    json: String,
    pub gradebook: Option<StagedFile>,
    pub folder: Option<Folder>,
}

/// What came of one sheet.
struct Made<'s> {
    told: Vec<String>,
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
    pub(super) fn new(shelf: &'s Shelf, policy: &'s Policy, show: Show, wanted: Wanted) -> Marking<'s> {
        Marking {
            shelf,
            policy,
            show,
            wanted,
            markers: BTreeMap::new(),
            tally: ClassTally::default(),
            faults: Vec::new(),
            has_told: false,
            all_right: true,
            first: String::new(),
            reports: String::new(),
            json: JSON_HEAD.to_owned(),
            gradebook: None,
            folder: None,
        }
    }

    /// Marks sheets, and gathers what comes of them.
    pub(super) fn mark(&mut self, handed: &[Handed]) -> Result<(), Failure> {
        for sheet in handed.iter().filter_map(|handed| handed.sheet.as_ref().ok()) {
            if !self.markers.contains_key(&(sheet.exercise.as_str(), sheet.level()))
                && let Ok(exercise) = self.shelf.get(&sheet.exercise)
                && let Some(set) = exercise.at_level(sheet.level())
            {
                self.markers.insert((&exercise.name, sheet.level()), Marker::new(set, self.policy));
            }
        }
        let made: Vec<Made> = handed.par_iter().map(|handed| self.make(handed)).collect::<Result<_, Failure>>()?;
        made.into_iter().try_for_each(|made| self.take(made))
    }

    fn make(&self, handed: &Handed) -> Result<Made<'s>, Failure> {
        let unmarked = |told: Vec<String>| Ok(Made { told, marked: None });
        let sheet = match &handed.sheet {
            Ok(sheet) => sheet,
            Err(Unread::File(fault)) => return unmarked(vec![fault.to_string()]),
            Err(Unread::Faults(faults)) => return unmarked(handed.tell(faults)),
        };
        let sheet = match self.marked(sheet, handed.table.is_some()) {
            Ok(sheet) => sheet,
            Err(faults) => return unmarked(handed.tell(&faults)),
        };
        let for_folder = self.folder.is_some();
        let wanted = |is_wanted: bool, make: &dyn Fn() -> String| if is_wanted { make() } else { String::new() };
        let marked = Marked {
            line: wanted(for_folder || self.gradebook.is_some(), &|| gradebook_line(&sheet)),
            report: wanted(self.wanted.details, &|| report_text(&sheet, self.show)),
            page: wanted(for_folder, &|| feedback_page(&sheet, self.show)),
            data: match for_folder || self.wanted.json {
                true => serde_json::to_string(&sheet_report(&sheet, self.show))?,
                false => String::new(),
            },
            sheet,
        };
        Ok(Made { told: handed.tell(&marked.sheet.told()), marked: Some(marked) })
    }

    fn marked(&self, sheet: &AnswerSheet, is_row: bool) -> Result<MarkedSheet<'s>, Vec<Fault>> {
        let marker = self.markers.get(&(sheet.exercise.as_str(), sheet.level()));
        let place = sheet.given.place.filter(|_| is_row);
        let fault = |key: &str, message: String| Fault { place, key: key.to_owned(), message };
        let mut faults: Vec<Fault> = Vec::new();
        let unknown = self.shelf.get(&sheet.exercise).err();
        if let Some((other, says)) = looks_like_another(sheet, marker.map(Marker::exercise), self.shelf) {
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
        let Some(Marked { sheet, line, report, data, page }) = made.marked else { return Ok(()) };
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
        Ok(format!("{}{}", self.json, json_end(&self.faults)?))
    }

    /// Puts what was written into its place.
    pub(super) fn put(&mut self) -> Result<(), Failure> {
        if let Some(gradebook) = self.gradebook.take() {
            gradebook.put()?;
        }
        if let Some(folder) = self.folder.take() {
            folder.put(&self.tally, &self.policy.title, &self.faults)?;
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
