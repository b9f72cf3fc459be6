//! What comes of marking a class in its folder: a folder for each set, and the course as a whole. Nothing that was marked
//! before is replaced by less, and what is other than before is said.

use super::kept_sets::KeptSets;
use super::practice::file_name;
use super::results::{JSON_HEAD, is_gradebook, json_end, json_gap};
use super::terminal::{Failure, notice};
use crate::check::{
    ClassTally, Course, CourseCell, CourseSet, CourseSheet, HandedInFile, MarkedSheet, course_gradebook, course_page,
    feedback_pages, gradebook_head, set_page,
};
use crate::class::{Points, RosterColumns, Student};
use crate::files::{Staged, settle_for, shown};
use crate::html;
use crate::text::{composed, plain_name};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// What stands in the folder of a set.
const OF_SET: [&str; 5] = ["index.html", "students", "gradebook.csv", "result.json", "print.html"];

/// What stands beside the folders of the sets.
const OF_COURSE: [&str; 3] = ["index.html", "gradebook.csv", "sheets.csv"];

/// The results of a class while they are gathered.
pub(super) struct CourseResults<'s> {
    root: PathBuf,
    force: bool,
    title: String,
    roster: (Vec<Student>, RosterColumns),
    kept: &'s KeptSets,
    sets: BTreeMap<String, Marked>,
}

/// What was marked of one set.
#[derive(Default)]
struct Marked {
    tally: ClassTally,
    sheets: Vec<CourseSheet>,
    /// Each student's page without its head, and its title.
    pages: Vec<(String, String)>,
    lines: Vec<String>,
    data: Vec<String>,
}

/// Which sheet it is, whatever became of it.
type Which = [String; 4];

fn which(sheet: &CourseSheet) -> Which {
    let Student { name, id } = &sheet.student;
    [composed(name), id.clone(), sheet.exercise.clone(), sheet.code.clone()]
}

impl<'s> CourseResults<'s> {
    pub fn new(
        root: &Path,
        force: bool,
        title: &str,
        roster: (Vec<Student>, RosterColumns),
        kept: &'s KeptSets,
    ) -> CourseResults<'s> {
        CourseResults { root: root.to_owned(), force, title: title.to_owned(), roster, kept, sets: BTreeMap::new() }
    }

    /// Adds a marked sheet.
    pub fn add(&mut self, set: &str, sheet: &MarkedSheet, page: String, line: String, data: String) {
        let marked = self.sets.entry(set.to_owned()).or_default();
        marked.tally.count(sheet);
        marked.pages.push((format!("{}: {}", sheet.student, sheet.truth.exercise.title), page));
        marked.lines.push(line);
        marked.data.push(data);
        marked.sheets.push(CourseSheet {
            student: Student { name: sheet.student.clone(), id: sheet.id.clone() },
            exercise: sheet.truth.exercise.name.clone(),
            code: sheet.code.clone(),
            points: Some((sheet.points, sheet.out_of)),
            is_hunt: sheet.is_hunt,
            is_late: sheet.is_late,
        });
    }

    /// Adds a sheet that could not be marked.
    pub fn refuse(&mut self, set: &str, student: Student, exercise: &str) {
        let (exercise, code) = (exercise.to_owned(), String::new());
        let sheet = CourseSheet { student, exercise, code, points: None, is_hunt: false, is_late: false };
        self.sets.entry(set.to_owned()).or_default().sheets.push(sheet);
    }

    /// Writes what is new, and leaves what would be replaced by less. Returns what is to be told as faults.
    pub fn put(mut self, files: &[HandedInFile], faults: &[String]) -> Result<Vec<String>, Failure> {
        settle_for(&self.root);
        let mut earlier = earlier(&self.root);
        let now: BTreeSet<Which> =
            self.sets.values().flat_map(|set| set.sheets.iter().filter(is_marked).map(which)).collect();
        if now.is_empty() && earlier.values().any(|sheets| !sheets.is_empty()) {
            let root = shown(&self.root);
            return Err(format!(
                "nothing was found that can be marked; the earlier results in {root} stay as they are"
            )
            .into());
        }
        // A set of which nothing could be marked has no page: its files are told of with all others.
        self.sets.retain(|_, marked| marked.sheets.iter().any(|sheet| is_marked(&sheet)));
        refuse_foreign_files(&self.root, &self.sets)?;
        let mut told = Vec::new();
        let mut entries: Vec<String> = Vec::new();
        let staged = Staged::new(&self.root)?;
        let (mut sets, mut kept_back) = (Vec::new(), BTreeMap::new());
        for (name, marked) in &self.sets {
            let before = earlier.remove(name).unwrap_or_default();
            let lost: Vec<&CourseSheet> = before.iter().filter(|sheet| !now.contains(&which(sheet))).collect();
            if !lost.is_empty() && !self.force {
                let whose = names(lost.iter().map(|sheet| &sheet.student));
                told.push(format!(
                    "{}: what was marked before is not all there any more ({whose}), and the earlier results stay; put the \
                     files back, or add --force",
                    shown(&self.root.join(name))
                ));
                kept_back.insert(name.clone(), before);
                continue;
            }
            changes(name, &before, &marked.sheets);
            sets.push(self.course_set(name, marked.sheets.clone()));
            entries.push(name.clone());
        }
        for (name, before) in earlier {
            // Sheets that are found in another set now are not lost.
            if before.iter().all(|sheet| now.contains(&which(sheet))) {
                entries.push(name);
            } else {
                notice(&format!("{name}: nothing of it was handed in this time, and its results stay as they are"));
                kept_back.insert(name, before);
            }
        }
        let kept_names: Vec<String> = kept_back.keys().cloned().collect();
        sets.extend(kept_back.into_iter().map(|(name, sheets)| self.course_set(&name, sheets)));
        // Week 10 comes after week 9.
        sets.sort_by_key(|set| (digits(&set.name), set.name.clone()));
        let course = Course::new(&self.title, &self.roster.0, sets);
        let mut lines: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for (name, marked) in self.sets.iter().filter(|(name, _)| !kept_names.contains(name)) {
            self.write_set(&staged, name, marked, &course, faults)?;
            lines.insert(name.clone(), marked.lines.clone());
        }
        for name in kept_names {
            let book = fs::read_to_string(self.root.join(&name).join("gradebook.csv")).unwrap_or_default();
            lines.insert(name, book.split_inclusive("\r\n").skip(1).map(str::to_owned).collect());
        }
        staged.write("index.html", &course_page(&course, files))?;
        staged.write("gradebook.csv", &course_gradebook(&course, &self.roster.1))?;
        staged.write("sheets.csv", &sheets_book(&course, &lines))?;
        entries.extend(OF_COURSE.map(str::to_owned));
        let entries: Vec<&str> = entries.iter().map(String::as_str).collect();
        staged.put(&entries, true)?;
        missing(&course);
        Ok(told)
    }

    fn course_set(&self, name: &str, sheets: Vec<CourseSheet>) -> CourseSet {
        let mut set = CourseSet { name: name.to_owned(), sheets, ..CourseSet::default() };
        if let Some(kept) = self.kept.sets.iter().find(|kept| kept.name == name) {
            set.title.clone_from(&kept.record.title);
            set.due.clone_from(&kept.record.due);
            let students = kept.record.sheets.iter().filter(|sheet| !sheet.student.is_empty());
            set.set_for = students.map(|sheet| Student { name: sheet.student.clone(), id: sheet.id.clone() }).collect();
        }
        set
    }

    fn write_set(
        &self,
        staged: &Staged,
        name: &str,
        marked: &Marked,
        course: &Course,
        faults: &[String],
    ) -> Result<(), Failure> {
        let pages = page_names(marked);
        for (page, (title, part)) in pages.iter().zip(&marked.pages) {
            staged.write(&format!("{name}/{page}"), &feedback_pages(title, std::slice::from_ref(part)))?;
        }
        fs::create_dir_all(staged.path(&format!("{name}/students"))).map_err(|error| crate::files::why(&error))?;
        let parts: Vec<String> = marked.pages.iter().map(|(_, part)| part.clone()).collect();
        let title = if self.title.is_empty() { name.to_owned() } else { format!("{}: {name}", self.title) };
        staged.write(&format!("{name}/print.html"), &feedback_pages(&title, &parts))?;
        let notes = notes(course, name);
        let page = set_page(&marked.tally, &title, &notes, &|line| pages.get(line).cloned());
        staged.write(&format!("{name}/index.html"), &page)?;
        staged.write(&format!("{name}/gradebook.csv"), &(gradebook_head() + &marked.lines.concat()))?;
        let data: String = marked.data.iter().enumerate().map(|(at, data)| format!("{}{data}", json_gap(at))).collect();
        staged.write(&format!("{name}/result.json"), &format!("{JSON_HEAD}{data}{}", json_end(faults)?))?;
        Ok(())
    }
}

fn is_marked(sheet: &&CourseSheet) -> bool {
    sheet.points.is_some()
}

/// The first number in a name.
fn digits(name: &str) -> u64 {
    let number: String = name.chars().skip_while(|c| !c.is_ascii_digit()).take_while(char::is_ascii_digit).collect();
    number.parse().unwrap_or(0)
}

fn named(student: &Student) -> String {
    match student.id.as_str() {
        "" => student.name.clone(),
        id => format!("{} ({id})", student.name),
    }
}

fn names<'n>(students: impl Iterator<Item = &'n Student>) -> String {
    students.map(named).collect::<Vec<_>>().join(", ")
}

/// The same for a page, where a name that runs from right to left does not move its neighbours.
fn isolated<'n>(students: impl Iterator<Item = &'n Student>) -> String {
    students.map(|student| html::isolated(&named(student))).collect::<Vec<_>>().join(", ")
}

/// Says what is other than at the last marking.
fn changes(set: &str, before: &[CourseSheet], now: &[CourseSheet]) {
    if before.is_empty() {
        return;
    }
    let find = |sheets: &[CourseSheet], wanted: &CourseSheet| {
        sheets.iter().find(|sheet| which(sheet) == which(wanted)).and_then(|sheet| sheet.points)
    };
    let marked = || now.iter().filter(is_marked);
    let new: Vec<&CourseSheet> = marked().filter(|sheet| find(before, sheet).is_none()).collect();
    let other: Vec<String> = marked()
        .filter_map(|sheet| {
            let ((before, _), (now, _)) = (find(before, sheet)?, sheet.points?);
            (before != now).then(|| format!("{}: {before}, now {now}", names(std::iter::once(&sheet.student))))
        })
        .collect();
    let gone: Vec<&CourseSheet> = before.iter().filter(|sheet| find(now, sheet).is_none()).collect();
    let mut says = Vec::new();
    if !new.is_empty() {
        says.push(format!("new: {}", names(new.iter().map(|sheet| &sheet.student))));
    }
    if !other.is_empty() {
        says.push(format!("other points than before: {}", other.join("; ")));
    }
    if !gone.is_empty() {
        says.push(format!("no longer in it: {}", names(gone.iter().map(|sheet| &sheet.student))));
    }
    if !says.is_empty() {
        notice(&format!("{set}: {}", says.join("; ")));
    }
}

/// Says who has handed in nothing, and who is not on the roster.
fn missing(course: &Course) {
    for (at, column) in course.columns.iter().enumerate() {
        let whose = names(course.missing(at));
        if !whose.is_empty() {
            notice(&format!("{}: missing: {whose}", column.name));
        }
    }
    let strangers = names(course.rows.iter().filter(|row| !row.is_on_roster).map(|row| &row.student));
    if !strangers.is_empty() {
        notice(&format!("not on the roster: {strangers}"));
    }
}

/// What the page of a set says before everything else.
fn notes(course: &Course, set: &str) -> Vec<String> {
    let mut notes = Vec::new();
    for (at, column) in course.columns.iter().enumerate().filter(|(_, column)| course.sets[column.set].name == set) {
        let with = |wanted: &dyn Fn(&CourseCell) -> bool| {
            isolated(course.rows.iter().filter(|row| wanted(&row.cells[at])).map(|row| &row.student))
        };
        let is_late = |cell: &CourseCell| matches!(cell, CourseCell::Marked { is_late: true, .. });
        let strangers = course.rows.iter().filter(|row| !row.is_on_roster && row.cells[at] != CourseCell::NotSet);
        let parts = [
            ("Missing", with(&|cell| *cell == CourseCell::Missing)),
            ("Refused", with(&|cell| *cell == CourseCell::Refused)),
            ("Late", with(&is_late)),
            ("Not on the roster", isolated(strangers.map(|row| &row.student))),
        ];
        let several = course.columns.iter().filter(|other| other.set == column.set).count() > 1;
        let of = if several { format!(" ({})", column.name) } else { String::new() };
        let parts = parts.into_iter().filter(|(_, whose)| !whose.is_empty());
        notes.extend(parts.map(|(what, whose)| format!("{what}{of}: {whose}.")));
    }
    notes
}

/// A page for each sheet, called after its student so that a teacher can tell them apart.
fn page_names(marked: &Marked) -> Vec<String> {
    let several = marked.sheets.iter().filter(is_marked).any(|sheet| sheet.exercise != marked.sheets[0].exercise);
    let mut used = BTreeSet::new();
    let named = marked.sheets.iter().filter(is_marked).map(|sheet| {
        let name = match file_name(&sheet.student.name) {
            name if name.is_empty() => "student".to_owned(),
            name => name,
        };
        let others = marked.sheets.iter();
        let others = others.filter(|other| plain_name(&other.student.name) == plain_name(&sheet.student.name));
        let needs_id = others.map(|other| &other.student.id).collect::<BTreeSet<_>>().len() > 1;
        let id = if needs_id { file_name(&sheet.student.id) } else { String::new() };
        let exercise = if several { sheet.exercise.as_str() } else { "" };
        let parts: Vec<&str> = [name.as_str(), &id, exercise].into_iter().filter(|part| !part.is_empty()).collect();
        let stem = parts.join("-");
        let stems = std::iter::once(stem.clone()).chain((2..).map(|number| format!("{stem}-{number}")));
        let stem = stems.into_iter().find(|stem| used.insert(stem.clone())).unwrap_or(stem);
        format!("students/{stem}.html")
    });
    named.collect()
}

/// A row for each sheet of the course, with its set before it.
fn sheets_book(course: &Course, lines: &BTreeMap<String, Vec<String>>) -> String {
    let head = gradebook_head();
    let mut book = format!("\u{feff}set,{}", head.trim_start_matches('\u{feff}'));
    for set in &course.sets {
        for line in lines.get(&set.name).into_iter().flatten() {
            book += &format!("{},{line}", set.name);
        }
    }
    book
}

/// What was marked before, by set.
fn earlier(root: &Path) -> BTreeMap<String, Vec<CourseSheet>> {
    let entries = fs::read_dir(root).into_iter().flatten().flatten();
    let folders = entries.filter(|entry| entry.path().is_dir() && is_gradebook(&entry.path().join("gradebook.csv")));
    folders.filter_map(|folder| Some((folder.file_name().into_string().ok()?, sheets_of(&folder.path())?))).collect()
}

/// The sheets of a set as its result tells them.
fn sheets_of(folder: &Path) -> Option<Vec<CourseSheet>> {
    let text = fs::read_to_string(folder.join("result.json")).ok()?;
    let data: serde_json::Value = serde_json::from_str(&text).ok()?;
    let sheet = |sheet: &serde_json::Value| {
        let text = |key: &str| sheet[key].as_str().unwrap_or_default().to_owned();
        let points = |key: &str| Points::of_hundredths((sheet[key].as_f64().unwrap_or(0.0) * 100.0).round() as u32);
        let truth = |key: &str| sheet[key].as_bool().unwrap_or(false);
        CourseSheet {
            student: Student { name: text("student"), id: text("id") },
            exercise: text("exercise"),
            code: text("code"),
            points: Some((points("points"), points("out_of"))),
            is_hunt: truth("is_hunt"),
            is_late: truth("is_late"),
        }
    };
    Some(data["sheets"].as_array()?.iter().map(sheet).collect())
}

/// Replacing an earlier result takes its pages away; what someone else put among them would be lost.
fn refuse_foreign_files(root: &Path, sets: &BTreeMap<String, Marked>) -> Result<(), Failure> {
    let foreign = |path: &Path| {
        Err(format!("{}: this is not of an earlier marking; move it, or choose another place", shown(path)).into())
    };
    for name in OF_COURSE {
        let path = root.join(name);
        let is_ours = || is_gradebook(&root.join("gradebook.csv"));
        if path.symlink_metadata().is_ok() && !is_ours() {
            return foreign(&path);
        }
    }
    for name in sets.keys() {
        for entry in fs::read_dir(root.join(name)).into_iter().flatten().flatten() {
            if !OF_SET.iter().any(|known| entry.file_name() == *known) {
                return foreign(&entry.path());
            }
        }
        for entry in fs::read_dir(root.join(name).join("students")).into_iter().flatten().flatten() {
            if entry.path().extension().is_none_or(|ending| ending != "html") {
                return foreign(&entry.path());
            }
        }
    }
    Ok(())
}
