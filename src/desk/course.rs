//! What comes of marking a class in its folder: a folder for each set, and the course as a whole. Nothing that was marked
//! before is replaced by less, and what is other than before is said.

use super::files::{Files, Write, whole};
use super::kept_sets::KeptSets;
use super::names::file_name;
use super::result::{JSON_HEAD, is_gradebook, json_end, json_gap};
use super::told::{Say, Told, shown};
use crate::check::{
    ClassTally, Course, CourseCell, CourseSet, CourseSheet, HandedInFile, MarkedSheet, course_gradebook, course_page,
    feedback_pages, gradebook_head, set_page,
};
use crate::class::{Points, RosterColumns, Student, set_order};
use crate::html;
use crate::progress::{History, progress_pages, progress_part};
use crate::text::{composed, plain_name};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// What stands in the folder of a set.
const OF_SET: [&str; 5] = ["index.html", "students", "gradebook.csv", "result.json", "print.html"];

/// What stands beside the folders of the sets.
const OF_COURSE: [&str; 4] = ["index.html", "gradebook.csv", "sheets.csv", BY_STUDENT];

/// The folder with a page for each student over all sets; no set's folder has an underscore in its name.
const BY_STUDENT: &str = "by_student";

/// What came of writing.
pub(crate) struct Written {
    /// The files and folders that are replaced as a whole, or taken away where nothing was written for them.
    pub entries: Vec<String>,
    /// What is to be told as faults.
    pub told: Vec<String>,
    /// What is to be told when all is in its place.
    pub notices: Vec<String>,
}

/// The results of a class while they are gathered.
pub(crate) struct CourseResults<'s> {
    files: &'s dyn Files,
    say: Say<'s>,
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
        (files, say): (&'s dyn Files, Say<'s>),
        root: &Path,
        force: bool,
        title: &str,
        roster: (Vec<Student>, RosterColumns),
        kept: &'s KeptSets,
    ) -> CourseResults<'s> {
        let (root, title) = (root.to_owned(), title.to_owned());
        CourseResults { files, say, root, force, title, roster, kept, sets: BTreeMap::new() }
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

    /// Writes what is new, and leaves what would be replaced by less.
    pub fn write(
        mut self,
        handed_in: &[HandedInFile],
        faults: &[String],
        write: &mut Write<'_>,
    ) -> Result<Written, String> {
        let mut earlier = earlier(self.files, &self.root);
        let now: BTreeSet<Which> =
            self.sets.values().flat_map(|set| set.sheets.iter().filter(is_marked).map(which)).collect();
        if now.is_empty() && earlier.values().any(|sheets| !sheets.is_empty()) {
            let root = shown(&self.root);
            return Err(format!(
                "nothing was found that can be marked; the earlier results in {root} stay as they are"
            ));
        }
        // A set of which nothing could be marked has no page: its files are told of with all others.
        self.sets.retain(|_, marked| marked.sheets.iter().any(|sheet| is_marked(&sheet)));
        refuse_foreign_files(self.files, &self.root, &self.sets)?;
        let mut told = Vec::new();
        let mut entries: Vec<String> = Vec::new();
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
            changes(self.say, name, &before, &marked.sheets);
            sets.push(self.course_set(name, marked.sheets.clone()));
            entries.push(name.clone());
        }
        for (name, before) in earlier {
            // Sheets that are found in another set now are not lost.
            if before.iter().all(|sheet| now.contains(&which(sheet))) {
                entries.push(name);
            } else {
                (self.say)(&format!("{name}: nothing of it was handed in this time, and its results stay as they are"));
                kept_back.insert(name, before);
            }
        }
        let kept_names: Vec<String> = kept_back.keys().cloned().collect();
        sets.extend(kept_back.into_iter().map(|(name, sheets)| self.course_set(&name, sheets)));
        sets.sort_by_cached_key(|set| set_order(&set.name));
        let mut course = Course::new(&self.title, &self.roster.0, sets);
        let mut lines: BTreeMap<String, Vec<String>> = BTreeMap::new();
        let mut results: BTreeMap<String, String> = BTreeMap::new();
        for (name, marked) in self.sets.iter().filter(|(name, _)| !kept_names.contains(name)) {
            results.insert(name.clone(), self.write_set(write, name, marked, &course, faults)?);
            lines.insert(name.clone(), marked.lines.clone());
        }
        for name in kept_names {
            let book = whole(self.files, &self.root.join(&name).join("gradebook.csv")).unwrap_or_default();
            lines.insert(name, book.split_inclusive("\r\n").skip(1).map(str::to_owned).collect());
        }
        self.by_student(write, &mut course, &results)?;
        write("index.html", &course_page(&course, handed_in))?;
        write("gradebook.csv", &course_gradebook(&course, &self.roster.1))?;
        write("sheets.csv", &sheets_book(&course, &lines))?;
        entries.extend(OF_COURSE.map(str::to_owned));
        Ok(Written { entries, told, notices: missing(&course) })
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

    /// Writes a page for each student over all sets, and one file that prints them all. `results` are those of the sets that
    /// are new.
    fn by_student(
        &self,
        write: &mut Write<'_>,
        course: &mut Course,
        results: &BTreeMap<String, String>,
    ) -> Result<(), String> {
        let mut history = History::default();
        for CourseSet { name, .. } in &course.sets {
            let earlier = || whole(self.files, &self.root.join(name).join("result.json")).unwrap_or_default();
            match results.get(name) {
                Some(new) => history.add(name, new),
                None => history.add(name, &earlier()),
            }
        }
        let students: Vec<Student> = course.rows.iter().map(|row| row.student.clone()).collect();
        let among = history.among(&students);
        let mut names = FileNames::among(students.iter());
        let mut parts = Vec::new();
        for (at, row) in course.rows.iter_mut().enumerate() {
            let part = progress_part(&among.of(at), &history);
            let page = format!("{BY_STUDENT}/{}.html", names.next(&row.student, ""));
            write(&page, &progress_pages(&row.student.name, std::slice::from_ref(&part)))?;
            row.page = Some(page);
            parts.push(part);
        }
        let title = if self.title.is_empty() { "Progress" } else { &self.title };
        write(&format!("{BY_STUDENT}/print_all.html"), &progress_pages(title, &parts))
    }

    /// Writes what stands in the folder of a set, and returns its result as data.
    fn write_set(
        &self,
        write: &mut Write<'_>,
        name: &str,
        marked: &Marked,
        course: &Course,
        faults: &[String],
    ) -> Result<String, String> {
        let pages = page_names(marked);
        for (page, (title, part)) in pages.iter().zip(&marked.pages) {
            write(&format!("{name}/{page}"), &feedback_pages(title, std::slice::from_ref(part)))?;
        }
        let parts: Vec<String> = marked.pages.iter().map(|(_, part)| part.clone()).collect();
        let title = if self.title.is_empty() { name.to_owned() } else { format!("{}: {name}", self.title) };
        write(&format!("{name}/print.html"), &feedback_pages(&title, &parts))?;
        let notes = notes(course, name);
        let page = set_page(&marked.tally, &title, &notes, &|line| pages.get(line).cloned());
        write(&format!("{name}/index.html"), &page)?;
        write(&format!("{name}/gradebook.csv"), &(gradebook_head() + &marked.lines.concat()))?;
        let data: String = marked.data.iter().enumerate().map(|(at, data)| format!("{}{data}", json_gap(at))).collect();
        let result = format!("{JSON_HEAD}{data}{}", json_end(faults)?);
        write(&format!("{name}/result.json"), &result)?;
        Ok(result)
    }
}

fn is_marked(sheet: &&CourseSheet) -> bool {
    sheet.points.is_some()
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
fn changes(say: Say<'_>, set: &str, before: &[CourseSheet], now: &[CourseSheet]) {
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
        say(&format!("{set}: {}", says.join("; ")));
    }
}

/// Says who has handed in nothing, and who is not on the roster.
fn missing(course: &Course) -> Vec<String> {
    let mut notices = Vec::new();
    for (at, column) in course.columns.iter().enumerate() {
        let whose = names(course.missing(at));
        if !whose.is_empty() {
            notices.push(format!("{}: missing: {whose}", column.name));
        }
    }
    let strangers = names(course.rows.iter().filter(|row| !row.is_on_roster).map(|row| &row.student));
    if !strangers.is_empty() {
        notices.push(format!("not on the roster: {strangers}"));
    }
    notices
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
    let mut names = FileNames::among(marked.sheets.iter().map(|sheet| &sheet.student));
    let named = marked.sheets.iter().filter(is_marked).map(|sheet| {
        let exercise = if several { sheet.exercise.as_str() } else { "" };
        format!("students/{}.html", names.next(&sheet.student, exercise))
    });
    named.collect()
}

/// Names for students' files, of which no two are the same.
struct FileNames {
    /// The ids of those who are called the same.
    ids: BTreeMap<String, BTreeSet<String>>,
    used: BTreeSet<String>,
}

impl FileNames {
    fn among<'n>(students: impl Iterator<Item = &'n Student>) -> FileNames {
        let mut ids: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for student in students {
            ids.entry(plain_name(&student.name)).or_default().insert(student.id.clone());
        }
        FileNames { ids, used: BTreeSet::new() }
    }

    /// One for a student's file: with the id where several are called the same.
    fn next(&mut self, student: &Student, exercise: &str) -> String {
        let name = match file_name(&student.name) {
            name if name.is_empty() => "student".to_owned(),
            name => name,
        };
        let needs_id = self.ids.get(&plain_name(&student.name)).is_some_and(|ids| ids.len() > 1);
        let id = if needs_id { file_name(&student.id) } else { String::new() };
        let parts: Vec<&str> = [name.as_str(), &id, exercise].into_iter().filter(|part| !part.is_empty()).collect();
        let stem = parts.join("-");
        let stems = std::iter::once(stem.clone()).chain((2..).map(|number| format!("{stem}-{number}")));
        let stem = stems.into_iter().find(|stem| !self.used.contains(stem)).unwrap_or(stem);
        self.used.insert(stem.clone());
        stem
    }
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
fn earlier(files: &dyn Files, root: &Path) -> BTreeMap<String, Vec<CourseSheet>> {
    let entries = files.entries(root).unwrap_or_default().into_iter();
    let is_set = |folder: &PathBuf| is_gradebook(files, &folder.join("gradebook.csv"));
    let folders = entries.filter(|(_, is_folder)| *is_folder).map(|(folder, _)| folder).filter(is_set);
    folders.filter_map(|folder| Some((name_of(&folder)?, sheets_of(files, &folder)?))).collect()
}

/// The sheets of a set as its result tells them.
fn sheets_of(files: &dyn Files, folder: &Path) -> Option<Vec<CourseSheet>> {
    let text = whole(files, &folder.join("result.json"))?;
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

fn name_of(path: &Path) -> Option<String> {
    path.file_name()?.to_str().map(str::to_owned)
}

/// Replacing an earlier result takes its pages away; what someone else put among them would be lost.
fn refuse_foreign_files(files: &dyn Files, root: &Path, sets: &BTreeMap<String, Marked>) -> Result<(), String> {
    let foreign = |path: &Path| {
        Err(Told::of(path, "this is not of an earlier marking; move it, or choose another place").to_string())
    };
    let entries = |folder: &Path| {
        let entries = files.entries(folder).unwrap_or_default().into_iter();
        entries.map(|(path, _)| path).collect::<Vec<PathBuf>>()
    };
    for path in entries(root) {
        let is_named = OF_COURSE.iter().any(|known| path.ends_with(known));
        if is_named && !is_gradebook(files, &root.join("gradebook.csv")) {
            return foreign(&path);
        }
    }
    for name in sets.keys() {
        for path in entries(&root.join(name)) {
            if !OF_SET.iter().any(|known| path.ends_with(known)) {
                return foreign(&path);
            }
        }
    }
    let of_sets = sets.keys().map(|name| root.join(name).join("students"));
    for folder in of_sets.chain([root.join(BY_STUDENT)]) {
        for path in entries(&folder) {
            if path.extension().is_none_or(|ending| ending != "html") {
                return foreign(&path);
            }
        }
    }
    Ok(())
}
