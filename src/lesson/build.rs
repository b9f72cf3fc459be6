//! A whole book built in this process, with no program but this one.

use super::library::Notice;
use super::preprocessor::Foldmark;
use anyhow::{Context, Result, bail};
use mdbook_driver::MDBook;
use mdbook_preprocessor::PreprocessorContext;
use mdbook_preprocessor::config::Config;
use std::fs;
use std::path::{Path, PathBuf};

/// Builds the book whose `book.toml` lies in `root`, into `out` or the folder that `book.toml` names.
/// Returns the folder of the pages, and what there is to say about the exercises.
///
/// # Errors
/// Whatever mdBook or a lesson finds wrong, or a folder for the pages that holds something else. A fault in a
/// lesson is found before the earlier pages are touched.
pub fn build_book(root: &Path, out: Option<&Path>) -> Result<(PathBuf, Vec<Notice>)> {
    let file = root.join("book.toml");
    let mut config = Config::from_disk(&file).with_context(|| format!("{} can't be read", file.display()))?;
    if let Some(out) = out {
        config.build.build_dir = std::path::absolute(out)?;
    }
    let context = PreprocessorContext::new(root.to_owned(), config.clone(), "html".to_owned());
    let library = Foldmark::library(&context)?;
    let notices = library.notices.clone();
    let mut book = MDBook::load_with_config(root, config)?;
    refuse_foreign_folder(&book.build_dir_for("html"))?;
    // In place of the command of the same name, which `mdbook` itself would call.
    book.with_preprocessor(Foldmark::with_library(library));
    book.build()?;
    let html = book.build_dir_for("html");
    Ok((html, notices))
}

/// mdBook empties the folder it writes pages to. One that holds anything but an earlier build is left alone.
fn refuse_foreign_folder(pages: &Path) -> Result<()> {
    let is_free = fs::read_dir(pages).map_or(!pages.exists(), |mut entries| entries.next().is_none());
    let is_earlier = ["index.html", "toc.html", "print.html"].iter().all(|page| pages.join(page).is_file());
    if is_free || is_earlier {
        return Ok(());
    }
    bail!("{}: this exists and is not an earlier build of a book; choose another place, or empty it", pages.display())
}
