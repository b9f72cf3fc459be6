//! `foldmark demo`: the whole job on what comes with the program.

use super::args::DemoArgs;
use super::book;
use super::check::side_by_side;
use super::practice::FOLDERS;
use super::results::{Folder, Kept, Prints};
use super::terminal::{Done, Failure, Status, print};
use crate::book::Commands;
use crate::check::read_answers;
use crate::class::{Policy, SetRecord, Show};
use crate::desk::{Each, Handed, Marking, Placed, Unread, Wish, papers, write_set};
use crate::exercise::Shelf;
use crate::files::{Staged, shown, why};
use crate::practice::Task;
use include_dir::{Dir, include_dir};
use std::fs;
use std::path::Path;

/// The lessons that come with the program.
pub(super) static LESSONS: Dir<'static> = include_dir!("$OUT_DIR/book");
static CLASS: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/exercises/class");
static BOOK_TOML: &str = include_str!("../../book.toml");

/// A file that says a folder is a demo of ours, and may be replaced by the next.
const MARKER: &str = "made-by-foldmark-demo.txt";

pub(super) fn run(args: &DemoArgs) -> Done {
    let out = &args.out;
    let is_ours = out.join(MARKER).is_file();
    let is_free = fs::read_dir(out).map_or(!out.exists(), |mut entries| entries.next().is_none());
    if !is_ours && !is_free {
        return Err(
            format!("{}: this exists and is not an earlier demo; choose another place with --out", shown(out)).into()
        );
    }
    let staged = Staged::new(out)?;
    let shelf = Shelf::shipped();

    lessons(&staged)?;
    let class = marking(&shelf, &staged)?;
    print(&class)?;
    let wish = Wish {
        level: None,
        task: Task::Draft,
        ruler: None,
        class_ruler: None,
        is_metric: false,
        count: 12,
        number: 7,
        seed: 7,
    };
    let papers = papers(&shelf, &["flap-roll".to_owned()], wish, Vec::new(), &Each::default())?;
    let folders = FOLDERS.map(|folder| format!("practice/{folder}"));
    let text_of = |wanted: &str| crate::exercise::shipped().find(|(name, _)| *name == wanted).map(|(_, text)| text);
    let mut put = |name: &str, text: &str| staged.append(name, text).map_err(|fault| fault.to_string());
    write_set(&papers, &mut put, &folders, SetRecord::default(), &text_of)?;
    staged.write(MARKER, "This folder was made by `foldmark demo`, and is replaced when it runs again.\n")?;
    staged.put(&["lessons", "marking", "practice", MARKER], true)?;

    let out = shown(out);
    print(&format!(
        "\nThe lessons:      open {out}/lessons/index.html\n\
         The marking:      open {out}/marking/index.html, for the answers in {out}/marking/handed-in\n\
         The practice set: {out}/practice, with sheets, empty answer files, and the key in a folder of its own\n"
    ))?;
    Ok(Status::Well)
}

/// The book's sources come with the program; they are laid out once more to be built.
fn lessons(staged: &Staged) -> Result<(), Failure> {
    staged.write("source/book.toml", BOOK_TOML)?;
    extract(&LESSONS, &staged.path("source/book"))?;
    for (name, text) in crate::exercise::shipped() {
        staged.write(&format!("source/exercises/{name}.toml"), text)?;
    }
    book::build(&staged.path("source"), Some(&staged.path("lessons")), Commands::Refused)?;
    Ok(())
}

fn extract(dir: &Dir, to: &Path) -> Result<(), Failure> {
    fs::create_dir_all(to)
        .and_then(|()| dir.extract(to))
        .map_err(|error| format!("{}: can't be written: {}", shown(to), why(&error)).into())
}

/// Marks the class that comes with the program: pages, and a text with every detail. Returns what it got wrong.
fn marking(shelf: &Shelf, staged: &Staged) -> Result<String, Failure> {
    let mut files: Vec<_> = CLASS.files().collect();
    files.sort_by_key(|file| file.path());
    let mut handed = Vec::new();
    for file in files {
        let name = file.path().display().to_string();
        let Some(text) = file.contents_utf8() else { continue };
        staged.write(&format!("marking/handed-in/{name}"), text)?;
        handed.push(Handed {
            file: name,
            table: None,
            sheet: read_answers(text).map_err(Unread::Faults),
            placed: Placed::default(),
        });
    }
    // This class was asked for every measure.
    let mut whole = shelf.clone();
    let is_for =
        |exercise: &str| handed.iter().any(|it| it.sheet.as_ref().is_ok_and(|sheet| sheet.exercise == exercise));
    for exercise in shelf.iter().filter(|exercise| is_for(&exercise.name)) {
        whole.put(exercise.asking(&exercise.steps.keys().collect::<Vec<_>>()));
    }
    let policy = Policy::default();
    let folder = Folder::new(&staged.path("marking"), false)?;
    let mut keeper = Kept::new(Prints::Reports);
    (keeper.folder, keeper.is_silent) = (Some(folder), true);
    let by = (std::slice::from_ref(&whole), &policy, Show::Full);
    let mut marking = Marking::new(by, side_by_side, keeper);
    marking.mark(&handed)?;
    let mut report = marking.keeper.printing() + &marking.text();
    let faults = marking.keeper.folder.iter().flat_map(|folder| &folder.faults);
    let faults: Vec<String> = faults.map(|sentence| format!("  {sentence}\n")).collect();
    if !faults.is_empty() {
        report += "What could not be read:\n";
        report += &faults.concat();
    }
    marking.keeper.put(&marking.tally, &policy.title)?;
    staged.write("marking/class.txt", &report)?;
    Ok(marking.tally.text())
}
