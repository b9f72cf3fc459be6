//! A whole book built in this process, with no program but this one.

use super::library::Notice;
use super::preprocessor::Foldmark;
use anyhow::{Context, Result};
use mdbook_driver::MDBook;
use mdbook_preprocessor::PreprocessorContext;
use mdbook_preprocessor::config::Config;
use std::path::{Path, PathBuf};

/// Builds the book whose `book.toml` lies in `root`, into `out` or the folder that `book.toml` names.
/// Returns the folder of the pages, and what there is to say about the exercises.
///
/// # Errors
/// Whatever mdBook or a lesson finds wrong; the folder may then hold part of the pages.
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
    // In place of the command of the same name, which `mdbook` itself would call.
    book.with_preprocessor(Foldmark::with_library(library));
    book.build()?;
    let html = book.build_dir_for("html");
    Ok((html, notices))
}
