//! What a set was made from: kept with its key, so that its sheets are known again by their codes.

use crate::text::schema::{Holds, Schema, key, needed};
use crate::text::{Document, Fault, Section};
use std::fmt::Write;

const TEXT: Holds = Holds::Text;

/// What a set's own file holds.
static RECORD: Schema = Schema::new(&[
    key("title", TEXT).says("what the set is called"),
    key("week", Holds::Whole(1..=999)).says("which week of the class it is for"),
    key("date", TEXT).says("when it is set, as 2026-03-05"),
    key("due", TEXT).says("until when it is handed in"),
    key("sheet", Holds::Tables(&SHEET, 0..=usize::MAX)).says("its sheets"),
])
.named("set", "what a set was made from");

static SHEET: Schema = Schema::new(&[
    key("student", TEXT).says("whose it is"),
    key("id", TEXT).says("what tells the student from others of the same name"),
    needed("exercise", TEXT).says("the exercise"),
    needed("code", TEXT).says("the code in its head"),
])
.named("sheet", "a sheet of the set");

/// What a set was made from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SetRecord {
    /// What it is called; may be empty.
    pub title: String,
    /// Which week of the class it is for.
    pub week: Option<u32>,
    /// When it is set; may be empty.
    pub date: String,
    /// Until when it is handed in; may be empty.
    pub due: String,
    /// Its sheets.
    pub sheets: Vec<SetSheet>,
}

/// A sheet of a set.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SetSheet {
    /// Whose it is; empty, if it was made for nobody in particular.
    pub student: String,
    /// What tells the student from others of the same name.
    pub id: String,
    /// The exercise's name.
    pub exercise: String,
    /// The code in its head.
    pub code: String,
}

impl SetRecord {
    /// Writes it as a file.
    ///
    /// ```
    /// use foldmark::class::{SetRecord, SetSheet};
    /// let sheet = SetSheet { student: "Tansy \"T.\"".into(), exercise: "sleeve".into(), code: "A-B".into(), ..SetSheet::default() };
    /// let record = SetRecord { title: "Rolls".into(), week: Some(2), sheets: vec![sheet], ..SetRecord::default() };
    /// assert_eq!(SetRecord::read(&record.write()).unwrap(), record);
    /// ```
    pub fn write(&self) -> String {
        let mut text = "# What this set was made from. Its sheets are marked by this; leave it as it is.\n".to_owned();
        // Writing to a String can't fail.
        let mut line = |name: &str, value: &str| {
            if !value.is_empty() {
                let _ = writeln!(text, "{name} = {}", toml::Value::from(value));
            }
        };
        line("title", &self.title);
        line("date", &self.date);
        line("due", &self.due);
        if let Some(week) = self.week {
            let _ = writeln!(text, "week = {week}");
        }
        for sheet in &self.sheets {
            text.push_str("\n[[sheet]]\n");
            let values =
                [("student", &sheet.student), ("id", &sheet.id), ("exercise", &sheet.exercise), ("code", &sheet.code)];
            for (name, value) in values.into_iter().filter(|(_, value)| !value.is_empty()) {
                let _ = writeln!(text, "{name} = {}", toml::Value::from(value.as_str()));
            }
        }
        text
    }

    /// Reads such a file.
    ///
    /// # Errors
    /// Every fault, with its place.
    pub fn read(text: &str) -> Result<SetRecord, Vec<Fault>> {
        let document = Document::new(text);
        let table = document.parse();
        if document.is_broken() {
            return Err(document.into_faults());
        }
        let root = Section::root(&document, &table, &RECORD);
        let of = |section: &Section, key: &str| section.text(key).map(|text| text.value).unwrap_or_default();
        let sheet = |section: Section| SetSheet {
            student: of(&section, "student"),
            id: of(&section, "id"),
            exercise: of(&section, "exercise"),
            code: of(&section, "code"),
        };
        let record = SetRecord {
            title: of(&root, "title"),
            week: root.whole("week").map(|week| week as u32),
            date: of(&root, "date"),
            due: of(&root, "due"),
            sheets: root.tables("sheet").into_iter().map(sheet).collect(),
        };
        let faults = document.into_faults();
        if faults.is_empty() { Ok(record) } else { Err(faults) }
    }
}

/// By what the sets of a class are put in order: the first number in their names, so that week 10 comes after week 9.
///
/// ```
/// use foldmark::class::set_order;
/// let mut sets = ["week-10", "week-9", "extra"];
/// sets.sort_by_key(|name| set_order(name));
/// assert_eq!(sets, ["extra", "week-9", "week-10"]);
/// ```
pub fn set_order(name: &str) -> (u64, String) {
    let number: String = name.chars().skip_while(|c| !c.is_ascii_digit()).take_while(char::is_ascii_digit).collect();
    (number.parse().unwrap_or(0), name.to_owned())
}
