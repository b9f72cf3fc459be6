//! `foldmark practice`: a set of problems as sheets, empty answer files, and a key in a folder of its own.

use super::args::PracticeArgs;
use super::class_folder;
use super::inputs::{RECORD_FILE, upward};
use super::shelf::open_for;
use super::terminal::{Done, Failure, Progress, Status, error, print};
use crate::class::{Folders, Policy, SetRecord, SetSheet, Student};
use crate::exercise::{Exercise, Shelf};
use crate::files::{Staged, read_bytes, shown, why};
use crate::length::{Ruler, Unit};
use crate::practice::{
    DOCUMENT_END, MOST_SHEETS, Maker, PracticeFault, Problem, Sheet, Sheets, Task, answer_table, coded_file_of,
    document, document_head, key_page, key_table,
};
use crate::text::{CsvRow, csv_rows, is_reserved};
use any_ascii::any_ascii;
use std::fs;
use std::path::{Path, PathBuf};

/// The folder beside a key with the exercises that the set was made from.
pub(super) const MADE_FROM: &str = "made-from";

/// The folders of a set. The key never lies with the sheets.
pub(super) const FOLDERS: [&str; 3] = ["sheets", "answers", "key"];

/// What is wanted of each exercise.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wish {
    /// The level; the lowest that the exercise has, if none is named.
    pub level: Option<u8>,
    pub task: Task,
    /// The ruler; the exercise's usual one, if none is named.
    pub ruler: Option<Ruler>,
    /// The class's ruler, where the level has none of its own.
    pub class_ruler: Option<Ruler>,
    pub is_metric: bool,
    pub count: usize,
    pub seed: u64,
}

/// What one student gets: a problem of each exercise.
pub(super) struct Paper<'e> {
    number: usize,
    student: Option<Student>,
    problems: Vec<Problem<'e>>,
}

pub(super) fn run(args: &PracticeArgs) -> Done {
    let library = open_for(&args.shelf, upward(Path::new("")).as_deref())?;
    let shelf = &library.shelf;
    let class = class_folder::here(shelf)?;
    let policy = class.as_ref().map(|(_, policy)| policy);
    let place = Place::new(args, class.as_ref())?;
    let week = place.week.and_then(|week| policy?.weeks.get(usize::try_from(week).ok()?.checked_sub(1)?));
    let mut practice = policy.map(|policy| policy.practice.clone()).unwrap_or_default();
    if let Some(week) = week {
        if !week.practice.exercises.is_empty() {
            practice.exercises = week.practice.exercises.clone();
        }
        practice.level = week.practice.level.or(practice.level);
    }
    let names = if args.exercises_named.is_empty() { practice.exercises } else { args.exercises_named.clone() };
    if names.is_empty() {
        return Err("name an exercise to set, such as `foldmark practice flap-roll`; `foldmark list` shows them"
            .to_owned()
            .into());
    }
    let roster = class.as_ref().and_then(|(folder, policy)| Some(folder.join(policy.roster.as_ref()?)));
    let roster = args.class.clone().or(roster.filter(|_| args.count.is_none()));
    let (students, _, refused) = roster.map(|file| class_folder::roster(&file)).transpose()?.unwrap_or_default();
    let (class_ruler, class_unit) = policy.map_or((None, None), |policy| (policy.ruler, policy.unit));
    let units = [args.measuring.ruler.map(Ruler::unit), args.measuring.unit, class_ruler.map(Ruler::unit), class_unit];
    let is_metric = units.into_iter().flatten().next().is_some_and(Unit::is_metric);
    let wish = Wish {
        level: args.level.or(practice.level.filter(|_| args.exercises_named.is_empty())),
        task: args.slips.map_or(Task::Draft, Task::FindSlips),
        ruler: args.measuring.ruler,
        class_ruler: class_ruler.filter(|ruler| ruler.is_metric() == is_metric),
        is_metric,
        count: args.count.unwrap_or(12),
        seed: args.seed.or(place.week).unwrap_or(1),
    };
    let papers = papers(shelf, &names, wish, students)?;
    place.refuse_foreign_files()?;
    let staged = Staged::new(&place.root)?;
    let about = week.map_or_else(SetRecord::default, |week| SetRecord {
        title: week.title.clone(),
        date: week.date.clone(),
        due: week.due.clone(),
        ..SetRecord::default()
    });
    let about = SetRecord { week: place.week.and_then(|week| u32::try_from(week).ok()), ..about };
    write(&papers, &staged, &place.folders, about, &|name| library.text(name))?;
    let entries: Vec<&str> = place.entries.iter().map(String::as_str).collect();
    staged.put(&entries, args.force)?;
    let titles: Vec<&str> = papers[0].problems.iter().map(|problem| problem.draft.exercise.title.as_str()).collect();
    let level = papers[0].problems[0].code.level;
    let [sheets, answers, key] = place.folders.each_ref().map(|folder| shown(&place.root.join(folder)));
    print(&format!(
        "{} of {}{} for seed {}.\n\
         To print: {sheets}/sheets.html, one page a student. Empty answer files: {answers}, and table.csv there to type in \
         what comes back on paper. The key: {key}, in short key-table.html.\n",
        if papers.len() == 1 { "1 sheet".to_owned() } else { format!("{} sheets", papers.len()) },
        titles.join(", "),
        if level == 0 { String::new() } else { format!(" at level {level}") },
        wish.seed
    ))?;
    if refused == 0 {
        return Ok(Status::Well);
    }
    error("not everyone on the roster has a sheet; mend the rows that are named above, and set it again with --force");
    Ok(Status::NotDone)
}

/// Where a set goes.
struct Place {
    root: PathBuf,
    /// The folders for sheets, answers and key below it.
    folders: [String; 3],
    /// What is put there as a whole.
    entries: Vec<String>,
    /// Which week's set of a class it is.
    week: Option<u64>,
}

impl Place {
    /// The folder that was named; else those of the class, with the week that was named, the last one if it is to be
    /// replaced, or the first that is not there yet; else `practice`.
    fn new(args: &PracticeArgs, class: Option<&(PathBuf, Policy)>) -> Result<Place, Failure> {
        let out = args.out.as_deref();
        let folders = class.map(|(root, policy)| (root, &policy.folders));
        if let (None, Some((root, Folders { sheets: Some(sheets), keys: Some(keys), .. }))) = (out, folders) {
            let root = if root.as_os_str().is_empty() { Path::new(".") } else { root };
            let is_there = |folder: &str, week: u64| root.join(format!("{folder}/week-{week}")).exists();
            let next = (1..).find(|week| !is_there(sheets, *week) && !is_there(keys, *week)).unwrap_or(1);
            let last = if args.force { (next - 1).max(1) } else { next };
            let week = args.week.map_or(last, u64::from);
            for folder in [sheets, keys].map(|folder| root.join(folder)) {
                fs::create_dir_all(&folder)
                    .map_err(|error| format!("{}: can't be written: {}", shown(&folder), why(&error)))?;
            }
            // What is a link may lead anywhere.
            let within = |one: &str, other: &str| {
                let [one, other] = [one, other].map(|folder| fs::canonicalize(root.join(folder)));
                matches!((one, other), (Ok(one), Ok(other)) if one.starts_with(&other))
            };
            if within(keys, sheets) || within(sheets, keys) {
                let (sheets, keys) = (shown(&root.join(sheets)), shown(&root.join(keys)));
                return Err(format!(
                    "{keys}: this leads to the same place as {sheets}, and keys never lie with the sheets; make it a folder of \
                     its own"
                )
                .into());
            }
            let entries = vec![format!("{sheets}/week-{week}"), format!("{keys}/week-{week}")];
            let folders = [entries[0].clone(), format!("{}/answers", entries[0]), entries[1].clone()];
            return Ok(Place { root: root.to_owned(), folders, entries, week: Some(week) });
        }
        if args.week.is_some() {
            return Err("--week is for the folder of a class, whose class.toml names folders for sheets and keys"
                .to_owned()
                .into());
        }
        let root = out.unwrap_or(Path::new("practice")).to_owned();
        let folders = FOLDERS.map(str::to_owned);
        Ok(Place { root, entries: folders.to_vec(), folders, week: None })
    }

    /// Replacing an earlier set takes its folders away whole, so they may hold nothing but a set's own files: answers that
    /// were filled in under another name, for one, are not lost that way.
    fn refuse_foreign_files(&self) -> Result<(), Failure> {
        for (folder, start, whole) in [
            (&self.folders[0], "sheet-", &["sheets.html", "answers"][..]),
            (&self.folders[1], "answers-", &["table.csv"][..]),
            (&self.folders[2], "key-", &["key.html", "key-table.html", RECORD_FILE, MADE_FROM][..]),
        ] {
            let Ok(entries) = fs::read_dir(self.root.join(folder)) else { continue };
            for entry in entries.flatten() {
                let name = entry.file_name();
                let is_ours = name.to_str().is_some_and(|name| {
                    let rest = name.strip_prefix(start).unwrap_or_default();
                    let middle = rest.strip_suffix(".html").or(rest.strip_suffix(".toml")).unwrap_or_default();
                    whole.contains(&name) || middle.starts_with(|first: char| first.is_ascii_digit())
                });
                if name == "table.csv" && is_filled_in(&entry.path()) {
                    let path = shown(&entry.path());
                    return Err(
                        format!("{path}: answers are filled in here; move it to those that were handed in").into()
                    );
                }
                if !is_ours {
                    let path = shown(&entry.path());
                    return Err(format!(
                        "{path}: this is not of an earlier set; move it, or choose another place with --out"
                    )
                    .into());
                }
            }
        }
        Ok(())
    }
}

/// The papers of a set: one for each student, or as many as are wanted for nobody in particular.
pub(super) fn papers<'s>(
    shelf: &'s Shelf,
    names: &[String],
    wish: Wish,
    students: Vec<Student>,
) -> Result<Vec<Paper<'s>>, Failure> {
    let count = if students.is_empty() { wish.count } else { students.len() };
    let mut students: Vec<Option<Student>> = students.into_iter().map(Some).collect();
    students.resize(count.min(MOST_SHEETS), None);
    let mut papers: Vec<Paper> = students
        .into_iter()
        .enumerate()
        .map(|(at, student)| Paper { number: at + 1, student, problems: Vec::new() })
        .collect();
    for (at, name) in names.iter().enumerate() {
        if names[..at].contains(name) {
            return Err(format!("{name} is named twice; a paper has one problem of each exercise").into());
        }
        let exercise = shelf.get(name)?;
        let problems = set(exercise, wish, count).map_err(|fault| {
            let is_of_all = matches!(fault, PracticeFault::Count(_));
            if is_of_all { fault.to_string() } else { format!("{name}: {fault}") }
        })?;
        for (paper, problem) in papers.iter_mut().zip(problems) {
            paper.problems.push(problem);
        }
    }
    Ok(papers)
}

fn set(exercise: &Exercise, wish: Wish, count: usize) -> Result<Vec<Problem<'_>>, PracticeFault> {
    let lowest = exercise.practice.levels.first().map_or(0, |level| level.level);
    let level = wish.level.unwrap_or(lowest);
    let set = exercise.at_level(level).unwrap_or(exercise);
    let has_own = exercise.level(level).is_some_and(|level| !level.rulers.is_empty());
    let of_class = wish.class_ruler.filter(|_| !has_own);
    let ruler = wish.ruler.or(of_class).unwrap_or_else(|| set.usual_ruler(wish.is_metric));
    Maker::new(exercise, level, wish.task, ruler)?.set(count, wish.seed)
}

/// Whether a set's table has an answer in it.
fn is_filled_in(table: &Path) -> bool {
    let rows = csv_rows(&read_bytes(table).unwrap_or_default());
    let Some(CsvRow::Fields(head)) = rows.first() else { return false };
    let is_filled = |row: &CsvRow| match row {
        CsvRow::Fields(fields) => {
            fields.iter().zip(head).any(|(field, name)| name.starts_with("answer.") && !field.trim().is_empty())
        }
        CsvRow::Empty | CsvRow::Open | CsvRow::NotText => false,
    };
    rows[1..].iter().any(is_filled)
}

/// What stands in the head of every sheet of a set.
fn heading(about: &SetRecord) -> String {
    let week = about.week.map(|week| format!("Week {week}"));
    let day = |what: &str, day: &str| (!day.is_empty()).then(|| format!("{what} {day}"));
    let parts =
        [week, day("", &about.title).map(|it| it.trim().to_owned()), day("set", &about.date), day("due", &about.due)];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// Writes a set into the folders for sheets, answers and key of the staging place. With the key lies what the set was made
/// from: whose code is whose, and the text of every exercise.
pub(super) fn write<'t>(
    papers: &[Paper],
    staged: &Staged,
    folders: &[String; 3],
    about: SetRecord,
    text_of: &dyn Fn(&str) -> Option<&'t str>,
) -> Result<(), Failure> {
    let digits = papers.len().to_string().len().max(2);
    let progress = Progress::new(papers.len(), "writing sheets");
    let [sheets, answers, key] = folders;
    let mut all = [staged.begin(&format!("{sheets}/sheets.html"))?, staged.begin(&format!("{key}/key.html"))?];
    let title = title(papers);
    for (file, title) in all.iter_mut().zip([title.clone(), format!("Key to {title}")]) {
        file.add(&document_head(&title))?;
    }
    let mut drawn = Sheets::headed(heading(&about));
    let mut record = about;
    for paper in papers {
        let student = paper.student.as_ref();
        let who = student.map_or_else(String::new, |student| format!("-{}", file_name(&student.name)));
        let number = format!("{:0digits$}{}", paper.number, who.trim_end_matches('-'));
        let (mut pages, mut keys) = (String::new(), String::new());
        for problem in &paper.problems {
            pages += &drawn.page(problem, student);
            keys += &key_page(problem, student);
            let part = match paper.problems.len() {
                1 => number.clone(),
                _ => format!("{number}-{}", problem.draft.exercise.name),
            };
            let nobody = |name: String| Student { name, id: String::new() };
            let whose = student.cloned().unwrap_or_else(|| nobody(String::new()));
            staged.write(&format!("{answers}/answers-{part}.toml"), &coded_file_of(problem, &whose, false))?;
            record.sheets.push(SetSheet {
                student: whose.name.clone(),
                id: whose.id.clone(),
                exercise: problem.draft.exercise.name.clone(),
                code: problem.code.to_string(),
            });
            let whose = if student.is_some() { whose } else { nobody(format!("Key to sheet {part}")) };
            staged.write(&format!("{key}/key-{part}.toml"), &coded_file_of(problem, &whose, true))?;
        }
        staged.write(&format!("{sheets}/sheet-{number}.html"), &document(&title, &pages))?;
        all[0].add(&pages)?;
        all[1].add(&keys)?;
        progress.step();
    }
    let all_sheets: Vec<Sheet> = papers
        .iter()
        .flat_map(|paper| paper.problems.iter().map(|problem| (problem, paper.student.as_ref())))
        .collect();
    staged.write(&format!("{answers}/table.csv"), &answer_table(&all_sheets))?;
    let title = format!("Key to {title}");
    staged.write(&format!("{key}/key-table.html"), &key_table(&title, &all_sheets))?;
    for problem in papers.first().map(|paper| &paper.problems[..]).unwrap_or_default() {
        let name = &problem.draft.exercise.name;
        staged.write(&format!("{key}/{MADE_FROM}/{name}.toml"), text_of(name).unwrap_or_default())?;
    }
    staged.write(&format!("{key}/{RECORD_FILE}"), &record.write())?;
    for mut file in all {
        file.add(DOCUMENT_END)?;
        file.end()?;
    }
    Ok(())
}

fn title(papers: &[Paper]) -> String {
    let titles = papers.first().map(|paper| &paper.problems[..]).unwrap_or_default();
    titles.iter().map(|problem| problem.draft.exercise.title.as_str()).collect::<Vec<_>>().join(", ")
}

/// A name as a part of a file's name on any machine: small letters, digits and hyphens.
pub(super) fn file_name(name: &str) -> String {
    let mut safe = String::new();
    let plain = any_ascii(name);
    for letter in plain.chars().flat_map(char::to_lowercase).take(60) {
        match letter {
            'a'..='z' | '0'..='9' => safe.push(letter),
            _ if safe.ends_with('-') || safe.is_empty() => {}
            _ => safe.push('-'),
        }
    }
    safe.truncate(safe.trim_end_matches('-').len());
    if is_reserved(&safe) { format!("x-{safe}") } else { safe }
}
