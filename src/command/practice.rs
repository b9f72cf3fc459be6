//! `foldmark practice`: a set of problems as sheets, empty answer files, and a key in a folder of its own.

use super::args::PracticeArgs;
use super::files::Staged;
use super::shelf::open;
use super::terminal::{Done, Failure, Progress, Status, print, shown};
use crate::check::answer_file;
use crate::practice::{Problem, key_html, set, sheet_html};
use std::fs;
use std::path::Path;

/// The folders of a set. The key never lies with the sheets.
pub(super) const FOLDERS: [&str; 3] = ["sheets", "answers", "key"];

pub(super) fn run(args: &PracticeArgs) -> Done {
    let shelf = open(&args.shelf)?;
    let exercise = shelf.get(&args.exercise)?;
    let ruler = args.measuring.ruler.unwrap_or_else(|| exercise.usual_ruler(args.measuring.is_metric()));
    let problems = set(exercise, ruler, args.count, args.seed)?;
    refuse_foreign_files(&args.out)?;
    let staged = Staged::new(&args.out)?;
    write(&problems, &staged, "")?;
    staged.put(&FOLDERS, args.force)?;
    let out = shown(&args.out);
    print(&format!(
        "{} of {} for seed {}: the sheets are in {out}/sheets, empty answer files in {out}/answers, the key in {out}/key.\n",
        if problems.len() == 1 { "1 sheet".to_owned() } else { format!("{} sheets", problems.len()) },
        exercise.title,
        args.seed
    ))?;
    Ok(Status::Well)
}

/// Writes a set below a folder of the staging place.
pub(super) fn write(problems: &[Problem], staged: &Staged, below: &str) -> Result<(), Failure> {
    let digits = problems.len().to_string().len().max(2);
    let progress = Progress::new(problems.len(), "writing sheets");
    for problem in problems {
        let number = format!("{:0digits$}", problem.number);
        let [sheets, answers, key] = FOLDERS.map(|folder| format!("{below}{folder}"));
        staged.write(&format!("{sheets}/sheet-{number}.html"), &sheet_html(problem))?;
        staged.write(&format!("{answers}/answers-{number}.toml"), &answer_file(&problem.draft, "", false))?;
        staged.write(&format!("{key}/key-{number}.html"), &key_html(problem))?;
        let filled = answer_file(&problem.draft, &format!("Key to sheet {number}"), true);
        staged.write(&format!("{key}/key-{number}.toml"), &filled)?;
        progress.step();
    }
    Ok(())
}

/// Replacing an earlier set takes its folders away whole, so they may hold nothing but a set's own files: answers that
/// were filled in under another name, for one, are not lost that way.
fn refuse_foreign_files(out: &Path) -> Result<(), Failure> {
    for (folder, start) in FOLDERS.iter().zip(["sheet-", "answers-", "key-"]) {
        let Ok(entries) = fs::read_dir(out.join(folder)) else { continue };
        for entry in entries.flatten() {
            let name = entry.file_name();
            let is_ours = name.to_str().is_some_and(|name| {
                let rest = name.strip_prefix(start).unwrap_or_default();
                let number = rest.strip_suffix(".html").or(rest.strip_suffix(".toml")).unwrap_or_default();
                !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit())
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
