//! `foldmark start`: the folder of a class, with everything in it that the other commands need.

use super::args::StartArgs;
use super::terminal::{Done, Failure, Status, print};
use crate::book::{DESK, desk_page};
use crate::class::Secret;
use crate::desk::CLASS_FILE;
use crate::files::{Staged, settle_for, shown};
use include_dir::{Dir, include_dir};
use std::fmt::Write;
use std::path::Path;

static TEMPLATE: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/src/command/start");

/// Folders that are empty to begin with.
const EMPTY: [&str; 3] = ["sheets", "keys", "marked"];

pub(super) fn run(args: &StartArgs) -> Done {
    let place = &args.dir;
    if place.symlink_metadata().is_ok() && !place.is_dir() {
        return Err(format!("{}: this is a file; name a folder, or one that does not exist yet", shown(place)).into());
    }
    // What an earlier start was about to put is put.
    settle_for(place);
    if place.join(CLASS_FILE).is_file() {
        print(&format!("{} is the folder of a class already; nothing was made, and nothing changed.\n", shown(place)))?;
        return Ok(Status::Well);
    }
    let (mut files, desk) = (Vec::new(), desk_page());
    collect(&TEMPLATE, &mut files);
    files.push((DESK, &desk));
    let class = with_secret(&files)?;
    files.iter_mut().filter(|(path, _)| *path == CLASS_FILE).for_each(|(_, text)| *text = &class);
    files.sort();
    refuse_obstacles(place, &files)?;
    let mut told = String::new();
    let staged = Staged::new(place)?;
    let mut entries = Vec::new();
    for (path, text) in &files {
        if place.join(path).symlink_metadata().is_ok() {
            let _ = writeln!(told, "  left as it is  {path}");
            continue;
        }
        let _ = writeln!(told, "  made           {path}");
        staged.write(path, text)?;
        entries.push(*path);
    }
    let empty: Vec<&str> = EMPTY.into_iter().filter(|folder| place.join(folder).symlink_metadata().is_err()).collect();
    staged.add(&entries, &empty)?;
    for folder in empty {
        let _ = writeln!(told, "  made           {folder}/");
    }
    let out = shown(place);
    print(&format!(
        "The class is in {out}:\n{told}Read {out}/README.md first. Then go there, and set practice: foldmark practice\n"
    ))?;
    Ok(Status::Well)
}

/// The class's own file, with a secret that no other class has.
fn with_secret(files: &[(&str, &str)]) -> Result<String, Failure> {
    let mut chance = [0; 16];
    getrandom::fill(&mut chance).map_err(|error| format!("no secret could be made for the class: {error}"))?;
    let text = files.iter().find(|(path, _)| *path == CLASS_FILE).map_or("", |(_, text)| *text);
    Ok(Secret::by_chance(chance).at_head_of(text))
}

/// What stands in the way of a file or a folder is told before anything is made.
fn refuse_obstacles(place: &Path, files: &[(&str, &str)]) -> Result<(), Failure> {
    let folders = files.iter().flat_map(|(path, _)| Path::new(path).ancestors().skip(1));
    let mut folders: Vec<&Path> = folders.chain(EMPTY.iter().map(Path::new)).collect();
    folders.sort();
    folders.dedup();
    let is_there = |path: &Path| path.symlink_metadata().is_ok();
    let no_folder = folders.iter().map(|folder| place.join(folder)).filter(|path| is_there(path) && !path.is_dir());
    let no_folder =
        no_folder.map(|path| format!("{}: this is a file, and a folder belongs here; move it", shown(&path)));
    let no_file = files.iter().map(|(path, _)| place.join(path)).filter(|path| path.is_dir());
    let no_file = no_file.map(|path| format!("{}: this is a folder, and a file belongs here; move it", shown(&path)));
    let told: Vec<String> = no_folder.chain(no_file).collect();
    if told.is_empty() { Ok(()) } else { Err(Failure(told)) }
}

fn collect<'t>(dir: &'static Dir<'static>, files: &mut Vec<(&'t str, &'t str)>) {
    let found = dir.files().filter_map(|file| Some((file.path().to_str()?, file.contents_utf8()?)));
    files.extend(found);
    dir.dirs().for_each(|dir| collect(dir, files));
}
