//! `foldmark trace`: a shipped exercise or lesson traced off into the class's folder, to be changed there.

use super::args::{Shelf as ShelfArgs, TraceArgs};
use super::class_folder;
use super::demo::LESSONS;
use super::shelf::open;
use super::terminal::{Done, Failure, Status, notice, print};
use crate::class::Policy;
use crate::exercise::{Shelf, shipped};
use crate::files::{StagedFile, read_text, refresh, shown};
use crate::text::{is_reserved, quoted};
use std::path::{Path, PathBuf};

/// Where the chapters of a class's book lie, as `foldmark start` lays them out.
const BOOK: &str = "book";

pub(super) fn run(args: &TraceArgs) -> Done {
    // What a class lays down is read with its own exercises; what is traced off comes with the program.
    let class = class_folder::here(&open(&ShelfArgs { exercises: None })?)?;
    let shelf = Shelf::shipped();
    let (root, policy) = class.unwrap_or_else(|| (PathBuf::new(), Policy::default()));
    let name = args.rename.as_ref().unwrap_or(&args.name);
    let is_plain = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_');
    if name.is_empty() || !name.bytes().all(is_plain) || is_reserved(name) {
        return Err(format!("{} can't be the name of a file; use letters, digits and hyphens", quoted(name)).into());
    }
    if args.lesson { lesson(&root, &args.name, name) } else { exercise(&root, &policy, &args.name, name, &shelf) }
}

fn exercise(root: &Path, policy: &Policy, wanted: &str, name: &str, shelf: &Shelf) -> Done {
    shelf.get(wanted)?;
    let text = shipped().find(|(known, _)| *known == wanted).map_or("", |(_, text)| text);
    let folder = policy.folders.exercises.as_deref().unwrap_or("exercises");
    let place = root.join(folder).join(format!("{name}.toml"));
    put(&place, text)?;
    let place = shown(&place);
    let replaces = if name == wanted { " In this class it replaces the one that comes with the program." } else { "" };
    print(&format!(
        "The exercise is in {place}.{replaces} Change what you like, count its `version` up when you change what is right, and \
         read it with `foldmark proof {place}`.\n"
    ))?;
    Ok(Status::Well)
}

fn lesson(root: &Path, wanted: &str, name: &str) -> Done {
    let file = |name: &str| LESSONS.get_file(format!("{name}.md"));
    let Some(text) = file(wanted).filter(|_| wanted != "SUMMARY").and_then(|file| file.contents_utf8()) else {
        let chapters = LESSONS.files().filter_map(|file| file.path().to_str()?.strip_suffix(".md"));
        let chapters: Vec<&str> = chapters.filter(|chapter| *chapter != "SUMMARY").collect();
        return Err(format!("there is no lesson {}; there are: {}", quoted(wanted), chapters.join(", ")).into());
    };
    let folder = root.join(BOOK);
    let place = folder.join(format!("{name}.md"));
    put(&place, text)?;
    let title = text.lines().find_map(|line| line.strip_prefix("# ")).unwrap_or(name);
    let summary = folder.join("SUMMARY.md");
    let chapters = if summary.is_file() { read_text(&summary)? } else { "# Summary\n".to_owned() };
    if !chapters.contains(&format!("({name}.md)")) {
        refresh(&summary, format!("{}\n- [{title}]({name}.md)\n", chapters.trim_end()).as_bytes())?;
    }
    let lacking = lacking(text, &folder);
    if !lacking.is_empty() {
        notice(&format!(
            "the lesson leads to chapters that this book does not have ({}); trace them off as well, or take the links out",
            lacking.join(", ")
        ));
    }
    print(&format!("The lesson is in {}, and `foldmark book` builds it with the others.\n", shown(&place)))?;
    Ok(Status::Well)
}

/// The chapters that a lesson leads to, and that are not there.
fn lacking<'t>(text: &'t str, folder: &Path) -> Vec<&'t str> {
    let targets = text.split("](").skip(1).filter_map(|rest| rest.split([')', '#']).next());
    let mut lacking: Vec<&str> = targets.filter_map(|target| target.strip_suffix(".md")).collect();
    lacking.retain(|chapter| !folder.join(format!("{chapter}.md")).is_file());
    lacking.sort_unstable();
    lacking.dedup();
    lacking
}

/// Writes a file that is not there yet.
fn put(place: &Path, text: &str) -> Result<(), Failure> {
    if place.symlink_metadata().is_ok() {
        return Err(format!("{}: this exists already; give it another name with --as", shown(place)).into());
    }
    let mut file = StagedFile::new(place, false)?;
    file.add(text)?;
    Ok(file.put()?)
}
