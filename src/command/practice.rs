//! `foldmark practice`: a set of problems as sheets, empty answer files, and a key in a folder of its own.

use super::args::PracticeArgs;
use super::class_folder;
use super::inputs::upward;
use super::shelf::open_for;
use super::terminal::{Done, Failure, Progress, Status, error, print};
use crate::class::{Folders, Policy, Student};
use crate::desk::{
    Each, MADE_FROM, NextSet, RECORD_FILE, Roster, SetRequest, WHY, asking, is_filled_in, papers, title, write_set,
};
use crate::files::{Disk, Staged, read_bytes, settle_for, shown, why};
use crate::practice::Task;
use std::fs;
use std::path::{Path, PathBuf};

/// The folders of a set. The key never lies with the sheets.
pub(super) const FOLDERS: [&str; 3] = ["sheets", "answers", "key"];

pub(super) fn run(args: &PracticeArgs) -> Done {
    let library = open_for(&args.shelf, upward(Path::new("")).as_deref())?;
    let shelf = &library.shelf;
    let class = class_folder::here(shelf)?;
    let policy = class.as_ref().map(|(_, policy)| policy);
    let place = Place::new(args, class.as_ref())?;
    let roster = class.as_ref().and_then(|(folder, policy)| Some(folder.join(policy.roster.as_ref()?)));
    let roster = args.class.clone().or(roster.filter(|_| args.count.is_none()));
    let roster = roster.map(|file| class_folder::roster_with_wishes(&file)).transpose()?.unwrap_or_default();
    let (Roster { students, faults, .. }, wishes) = roster;
    let from = args.from.as_ref();
    let from = from.map(|from| next_set(from, args.together, class.as_ref(), &students)).transpose()?;
    let results = from.as_ref().filter(|_| args.exercises_named.is_empty());
    let of_results = results.map(NextSet::exercises);
    let steps = results.map(NextSet::steps).filter(|_| args.steps.is_empty());
    let request = SetRequest {
        exercises: of_results.unwrap_or_else(|| args.exercises_named.clone()),
        level: args.level,
        steps: steps.unwrap_or(&args.steps).to_vec(),
        task: args.slips.map_or(Task::Draft, Task::FindSlips),
        ruler: args.measuring.ruler,
        unit: args.measuring.unit,
        count: args.count,
        seed: args.seed,
        week: place.week,
    };
    let (names, wish, about) = request.of_class(policy)?;
    let is_measured = args.measuring.unit.is_some() || args.measuring.ruler.is_some();
    let each = Each { wishes, from, is_of_level: args.level.is_some(), is_measured };
    let shelf = &asking(shelf, &names, &about.steps, policy)?;
    let papers = papers(shelf, &names, wish, students, &each)?;
    place.refuse_foreign_files()?;
    let staged = Staged::new(&place.root)?;
    let progress = Progress::new(papers.len(), "writing sheets");
    let of_sheet = format!("{}/sheet-", place.folders[0]);
    let mut put = |name: &str, text: &str| {
        if name.starts_with(&of_sheet) {
            progress.step();
        }
        staged.append(name, text).map_err(|fault| fault.to_string())
    };
    write_set(&papers, &mut put, &place.folders, about, &|name| library.text(name))?;
    let why = each.reasons(shelf, &papers);
    if !why.is_empty() {
        staged.write(&format!("{}/{WHY}", place.folders[2]), &why)?;
    }
    let entries: Vec<&str> = place.entries.iter().map(String::as_str).collect();
    staged.put(&entries, args.force)?;
    let level = papers[0].problems[0].code.level;
    let is_one_level = papers.iter().all(|paper| paper.problems.iter().all(|problem| problem.code.level == level));
    let [sheets, answers, key] = place.folders.each_ref().map(|folder| shown(&place.root.join(folder)));
    print(&format!(
        "{} of {}{} for seed {}{}.\n\
         To print: {sheets}/sheets.html, one page a student. Empty answer files: {answers}, and table.csv there to type in \
         what comes back on paper. The key: {key}, in short key-table.html.\n{why}",
        if papers.len() == 1 { "1 sheet".to_owned() } else { format!("{} sheets", papers.len()) },
        title(&papers),
        if level == 0 || !is_one_level { String::new() } else { format!(" at level {level}") },
        wish.number,
        if policy.is_some_and(|policy| policy.secret.is_some()) { " and the class's secret" } else { "" }
    ))?;
    if faults.is_empty() {
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
            (&self.folders[2], "key-", &["key.html", "key-table.html", RECORD_FILE, MADE_FROM, WHY][..]),
        ] {
            let Ok(entries) = fs::read_dir(self.root.join(folder)) else { continue };
            for entry in entries.flatten() {
                let name = entry.file_name();
                let is_ours = name.to_str().is_some_and(|name| {
                    let rest = name.strip_prefix(start).unwrap_or_default();
                    let middle = rest.strip_suffix(".html").or(rest.strip_suffix(".toml")).unwrap_or_default();
                    whole.contains(&name) || middle.starts_with(|first: char| first.is_ascii_digit())
                });
                if name == "table.csv" && is_filled_in(&read_bytes(&entry.path()).unwrap_or_default()) {
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

/// What the next set is chosen from: the results of a class.
fn next_set(
    from: &str,
    is_together: bool,
    class: Option<&(PathBuf, Policy)>,
    students: &[Student],
) -> Result<NextSet, Failure> {
    let folders = class.and_then(|(root, policy)| Some((root.join(policy.folders.marked.as_ref()?), root, policy)));
    let Some((marked, root, policy)) = folders else {
        return Err("--from is for the folder of a class, whose class.toml names a folder for what was marked"
            .to_owned()
            .into());
    };
    // What a killed program was about to put is put.
    settle_for(root);
    settle_for(&marked);
    let keys = policy.folders.keys.as_ref().map(|keys| root.join(keys));
    Ok(NextSet::open(&Disk, (&marked, keys.as_deref()), from, is_together, students)?)
}
