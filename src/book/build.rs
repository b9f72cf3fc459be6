//! A whole book built in this process, with no program but this one.

use super::preprocessor::Foldmark;
use super::sources::{look_at, without_commands};
use crate::desk::Notice;
use crate::files::{Staged, read_text, shown};
use crate::text::harmless;
use anyhow::{Context, Result, bail};
use mdbook_driver::MDBook;
use mdbook_preprocessor::PreprocessorContext;
use std::fs;
use std::path::{Path, PathBuf};

/// Builds the book whose `book.toml` lies in `root`, into `out` or the folder that `book.toml` names.
/// Returns the folder of the pages, and what there is to say about the exercises.
///
/// The pages are built beside their place and put there when all are whole: whatever goes wrong, and whoever interrupts,
/// the earlier pages stay as they were.
///
/// # Errors
/// Whatever mdBook or a lesson finds wrong, or a folder for the pages that holds something else.
pub fn build_book(root: &Path, out: Option<&Path>) -> Result<(PathBuf, Vec<Notice>)> {
    build_book_with(root, out, Commands::Refused)
}

/// What is to become of programs that a `book.toml` wants to be called.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Commands {
    /// They are not called, and a notice names them: whoever wrote that file may be a stranger.
    Refused,
    /// mdBook calls them.
    Called,
}

/// As [`build_book`], which calls no other program, where it is said whether others may be called.
///
/// # Errors
/// The same.
pub fn build_book_with(root: &Path, out: Option<&Path>, commands: Commands) -> Result<(PathBuf, Vec<Notice>)> {
    let file = root.join("book.toml");
    if !file.exists() {
        bail!(
            "{}: there is no such file, so there is no book here; `foldmark start` makes the folder of a class with one in it, and \
             `foldmark demo` builds the lessons that come with the program",
            shown(&file)
        );
    }
    let text = read_text(&file)?;
    let read = without_commands(&text).with_context(|| format!("{} can't be read", shown(&file)))?;
    let (mut config, refused) = match commands {
        Commands::Refused => read,
        Commands::Called => (text.parse()?, Default::default()),
    };
    if let Some(out) = out {
        config.build.build_dir = std::path::absolute(out)?;
    }
    let context = PreprocessorContext::new(root.to_owned(), config.clone(), "html".to_owned());
    let library = Foldmark::library(&context)?;
    let mut notices = library.notices.clone();
    notices.extend(refused.iter().map(|command| {
        let command = harmless(command, 120);
        format!("book.toml asks for the program {command}, which was not called; add --allow-commands if you trust it")
    }));
    look_at(root, &config, &root.join(&config.build.build_dir))?;
    // Renderers are called in folders of their own, and are told where the book lies.
    let told = if commands == Commands::Called { std::path::absolute(root)? } else { root.to_owned() };
    let mut book = MDBook::load_with_config(told, config)?;
    let html = book.build_dir_for("html");
    refuse_foreign_folder(&html)?;
    // The folder of all renderers, the pages' own or the one around it; where it is a link, what that leads to.
    let place = book.root.join(&book.config.build.build_dir);
    let place = fs::canonicalize(&place).or_else(|_| std::path::absolute(&place))?;
    let (Some(around), Some(name)) = (place.parent(), place.file_name().and_then(|name| name.to_str())) else {
        bail!("{}: pages can't be put here; name a folder for them", shown(&place));
    };
    // The folder is put in its place as a whole, and whoever stands in it would be left in the old one.
    if std::env::current_dir().is_ok_and(|here| here.starts_with(&place)) {
        bail!(
            "{}: the pages replace this folder, and you are in it; go elsewhere, or name another folder",
            shown(&place)
        );
    }
    let staged = Staged::new(around)?;
    book.config.build.build_dir = staged.path(name);
    // In place of the command of the same name, which `mdbook` itself would call.
    book.with_preprocessor(Foldmark::with_library(library));
    book.build()?;
    let built = book.build_dir_for("html");
    fs::write(built.join(BUILT), top_names(&built).join("\n"))
        .with_context(|| format!("{}: can't be written", shown(&html)))?;
    staged.put(&[name], true)?;
    Ok((html, notices))
}

/// The file that lists what a build put at the top of its folder.
const BUILT: &str = ".built-by-foldmark";

/// mdBook empties the folder it writes pages to. One that holds anything but an earlier build is left alone.
fn refuse_foreign_folder(pages: &Path) -> Result<()> {
    let names = top_names(pages);
    let list = match fs::read_to_string(pages.join(BUILT)) {
        Ok(list) => list,
        // mdBook itself leaves no list; its pages are known by their names.
        Err(_) if ["index.html", "toc.html", "print.html"].iter().all(|page| pages.join(page).is_file()) => {
            return Ok(());
        }
        Err(_) => String::new(),
    };
    let listed: Vec<&str> = list.lines().collect();
    if pages.exists() && !pages.is_dir() {
        bail!("{}: this is a file, not a folder", shown(pages));
    }
    match names.iter().find(|name| !listed.contains(&name.as_str()) && *name != BUILT) {
        None => Ok(()),
        Some(name) => bail!(
            "{}: this is not of an earlier build of a book; choose another place, or take it away",
            shown(&pages.join(name))
        ),
    }
}

fn top_names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut names: Vec<String> = entries.map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}
