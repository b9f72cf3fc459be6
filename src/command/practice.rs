//! `foldmark practice`: a set of problems as sheets, empty answer files, and a key in a folder of its own.

use super::args::PracticeArgs;
use super::class_folder;
use super::shelf::open;
use super::terminal::{Done, Failure, Progress, Status, print};
use crate::class::{Folders, Policy, Student};
use crate::exercise::{Exercise, Shelf};
use crate::files::{Staged, shown};
use crate::length::{Ruler, Unit};
use crate::practice::{
    DOCUMENT_END, MOST_SHEETS, Maker, PracticeFault, Problem, Sheets, Task, coded_file, document, document_head,
    key_page,
};
use std::fs;
use std::path::{Path, PathBuf};

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
    let shelf = open(&args.shelf)?;
    let policy = class_folder::policy(&shelf)?;
    let practice = policy.as_ref().map(|policy| policy.practice.clone()).unwrap_or_default();
    let names = if args.exercises_named.is_empty() { practice.exercises } else { args.exercises_named.clone() };
    if names.is_empty() {
        return Err("name an exercise to set, such as `foldmark practice flap-roll`; `foldmark list` shows them"
            .to_owned()
            .into());
    }
    let roster = policy.as_ref().and_then(|policy| policy.roster.clone()).filter(|_| args.count.is_none());
    let roster = args.class.clone().or(roster.map(PathBuf::from));
    let students = roster.map(|file| class_folder::roster(&file)).transpose()?.unwrap_or_default();
    let place = Place::new(args.out.as_deref(), policy.as_ref())?;
    let (class_ruler, class_unit) = policy.as_ref().map_or((None, None), |policy| (policy.ruler, policy.unit));
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
    let papers = papers(&shelf, &names, wish, students)?;
    place.refuse_foreign_files()?;
    let staged = Staged::new(&place.root)?;
    write(&papers, &staged, &place.folders)?;
    let entries: Vec<&str> = place.entries.iter().map(String::as_str).collect();
    staged.put(&entries, args.force)?;
    let titles: Vec<&str> = papers[0].problems.iter().map(|problem| problem.draft.exercise.title.as_str()).collect();
    let level = papers[0].problems[0].code.level;
    let [sheets, answers, key] = place.folders.each_ref().map(|folder| shown(&place.root.join(folder)));
    print(&format!(
        "{} of {}{} for seed {}.\n\
         To print: {sheets}/sheets.html, one page a student. Empty answer files: {answers}. The key: {key}.\n",
        if papers.len() == 1 { "1 sheet".to_owned() } else { format!("{} sheets", papers.len()) },
        titles.join(", "),
        if level == 0 { String::new() } else { format!(" at level {level}") },
        wish.seed
    ))?;
    Ok(Status::Well)
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
    /// The folder that was named; else those of the class, with the first week that is not there yet; else `practice`.
    fn new(out: Option<&Path>, policy: Option<&Policy>) -> Result<Place, Failure> {
        let folders = policy.map(|policy| &policy.folders);
        if let (None, Some(Folders { sheets: Some(sheets), keys: Some(keys), .. })) = (out, folders) {
            let is_there = |folder: &str, week: u64| Path::new(&format!("{folder}/week-{week}")).exists();
            let week = (1..).find(|week| !is_there(sheets, *week) && !is_there(keys, *week)).unwrap_or(1);
            for folder in [sheets, keys] {
                fs::create_dir_all(folder).map_err(|error| format!("{folder}: can't be written: {error}"))?;
            }
            let entries = vec![format!("{sheets}/week-{week}"), format!("{keys}/week-{week}")];
            let folders = [entries[0].clone(), format!("{}/answers", entries[0]), entries[1].clone()];
            return Ok(Place { root: PathBuf::from("."), folders, entries, week: Some(week) });
        }
        let root = out.unwrap_or(Path::new("practice")).to_owned();
        let folders = FOLDERS.map(str::to_owned);
        Ok(Place { root, entries: folders.to_vec(), folders, week: None })
    }

    /// Replacing an earlier set takes its folders away whole, so they may hold nothing but a set's own files: answers that
    /// were filled in under another name, for one, are not lost that way.
    fn refuse_foreign_files(&self) -> Result<(), Failure> {
        for (folder, start, whole) in [
            (&self.folders[0], "sheet-", "sheets.html"),
            (&self.folders[1], "answers-", ""),
            (&self.folders[2], "key-", "key.html"),
        ] {
            let Ok(entries) = fs::read_dir(self.root.join(folder)) else { continue };
            for entry in entries.flatten() {
                let name = entry.file_name();
                let is_ours = name.to_str().is_some_and(|name| {
                    let rest = name.strip_prefix(start).unwrap_or_default();
                    let middle = rest.strip_suffix(".html").or(rest.strip_suffix(".toml")).unwrap_or_default();
                    name == whole || middle.starts_with(|first: char| first.is_ascii_digit())
                });
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

/// Writes a set into the folders for sheets, answers and key of the staging place.
pub(super) fn write(papers: &[Paper], staged: &Staged, folders: &[String; 3]) -> Result<(), Failure> {
    let digits = papers.len().to_string().len().max(2);
    let progress = Progress::new(papers.len(), "writing sheets");
    let [sheets, answers, key] = folders;
    let mut all = [staged.begin(&format!("{sheets}/sheets.html"))?, staged.begin(&format!("{key}/key.html"))?];
    let title = title(papers);
    for (file, title) in all.iter_mut().zip([title.clone(), format!("Key to {title}")]) {
        file.add(&document_head(&title))?;
    }
    let mut drawn = Sheets::default();
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
            let name = student.map_or("", |student| &student.name);
            staged.write(&format!("{answers}/answers-{part}.toml"), &coded_file(problem, name, false))?;
            let name = if name.is_empty() { format!("Key to sheet {part}") } else { name.to_owned() };
            staged.write(&format!("{key}/key-{part}.toml"), &coded_file(problem, &name, true))?;
        }
        staged.write(&format!("{sheets}/sheet-{number}.html"), &document(&title, &pages))?;
        all[0].add(&pages)?;
        all[1].add(&keys)?;
        progress.step();
    }
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
fn file_name(name: &str) -> String {
    let mut safe = String::new();
    for letter in name.chars().flat_map(char::to_lowercase).take(60) {
        match letter {
            'a'..='z' | '0'..='9' => safe.push(letter),
            _ if safe.ends_with('-') || safe.is_empty() => {}
            _ => safe.push('-'),
        }
    }
    safe.truncate(safe.trim_end_matches('-').len());
    safe
}
