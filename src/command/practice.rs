//! `foldmark practice`: a set of problems as sheets, empty answer files, and a key in a folder of its own.

use super::args::PracticeArgs;
use super::files::Staged;
use super::shelf::open;
use super::terminal::{Done, Failure, Progress, Status, print, shown};
use crate::exercise::{Exercise, Shelf};
use crate::length::Ruler;
use crate::practice::{
    MOST_SHEETS, Maker, PracticeFault, Problem, Sheets, Student, Task, coded_file, key_document, key_page,
};
use std::fs;
use std::path::Path;

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
    let wish = Wish {
        level: args.level,
        task: args.slips.map_or(Task::Draft, Task::SpotTheSlip),
        ruler: args.measuring.ruler,
        is_metric: args.measuring.is_metric(),
        count: args.count,
        seed: args.seed,
    };
    let papers = papers(&shelf, &args.exercises_named, wish, Vec::new())?;
    refuse_foreign_files(&args.out)?;
    let staged = Staged::new(&args.out)?;
    write(&papers, &staged, "")?;
    staged.put(&FOLDERS, args.force)?;
    let out = shown(&args.out);
    let titles: Vec<&str> = papers[0].problems.iter().map(|problem| problem.draft.exercise.title.as_str()).collect();
    let level = papers[0].problems[0].code.level;
    print(&format!(
        "{} of {}{} for seed {}.\n\
         To print: {out}/sheets/sheets.html, one page a student. Empty answer files: {out}/answers. The key: {out}/key.\n",
        if papers.len() == 1 { "1 sheet".to_owned() } else { format!("{} sheets", papers.len()) },
        titles.join(", "),
        if level == 0 { String::new() } else { format!(" at level {level}") },
        args.seed
    ))?;
    Ok(Status::Well)
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
        let problems = set(exercise, wish, count).map_err(|fault| match fault {
            PracticeFault::Count(_) => fault.to_string(),
            fault => format!("{name}: {fault}"),
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
    let ruler = wish.ruler.unwrap_or_else(|| set.usual_ruler(wish.is_metric));
    Maker::new(exercise, level, wish.task, ruler)?.set(count, wish.seed)
}

/// Writes a set below a folder of the staging place.
pub(super) fn write(papers: &[Paper], staged: &Staged, below: &str) -> Result<(), Failure> {
    let digits = papers.len().to_string().len().max(2);
    let progress = Progress::new(papers.len(), "writing sheets");
    let [sheets, answers, key] = FOLDERS.map(|folder| format!("{below}{folder}"));
    let mut all = [staged.begin(&format!("{sheets}/sheets.html"))?, staged.begin(&format!("{key}/key.html"))?];
    let title = title(papers);
    let heads = [Sheets::document(&title, ""), key_document(&format!("Key to {title}"), "")];
    for (file, head) in all.iter_mut().zip(&heads) {
        file.add(head.split_once("<body>\n").map_or(head, |(head, _)| head))?;
        file.add("<body>\n")?;
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
        staged.write(&format!("{sheets}/sheet-{number}.html"), &Sheets::document(&title, &pages))?;
        all[0].add(&pages)?;
        all[1].add(&keys)?;
        progress.step();
    }
    for mut file in all {
        file.add("</body>\n</html>\n")?;
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

/// Replacing an earlier set takes its folders away whole, so they may hold nothing but a set's own files: answers that
/// were filled in under another name, for one, are not lost that way.
fn refuse_foreign_files(out: &Path) -> Result<(), Failure> {
    for (folder, start, whole) in
        [("sheets", "sheet-", "sheets.html"), ("answers", "answers-", ""), ("key", "key-", "key.html")]
    {
        let Ok(entries) = fs::read_dir(out.join(folder)) else { continue };
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
