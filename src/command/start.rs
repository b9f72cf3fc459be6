//! `foldmark start`: the folder of a class, with everything in it that the other commands need.

use super::args::StartArgs;
use super::files::Staged;
use super::terminal::{Done, Status, print, shown};
use include_dir::{Dir, include_dir};
use std::fmt::Write;

static TEMPLATE: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/src/command/start");

/// Folders that are empty to begin with.
const EMPTY: [&str; 3] = ["sheets", "keys", "marked"];

pub(super) fn run(args: &StartArgs) -> Done {
    let place = &args.dir;
    if place.symlink_metadata().is_ok() && !place.is_dir() {
        return Err(format!("{}: this is a file; name a folder, or one that does not exist yet", shown(place)).into());
    }
    let mut files = Vec::new();
    collect(&TEMPLATE, &mut files);
    files.sort();
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

fn collect<'t>(dir: &'t Dir<'t>, files: &mut Vec<(&'t str, &'t str)>) {
    let found = dir.files().filter_map(|file| Some((file.path().to_str()?, file.contents_utf8()?)));
    files.extend(found);
    dir.dirs().for_each(|dir| collect(dir, files));
}
