//! The mdBook preprocessor, in this process or as a command of its own.

use super::chapter::{Chapter, render_chapter};
use super::library::{Library, folder_of};
use super::part::Output;
use mdbook_preprocessor::book::{Book, BookItem};
use mdbook_preprocessor::config::Config;
use mdbook_preprocessor::errors::{Error, Result};
use mdbook_preprocessor::{Preprocessor, PreprocessorContext};
use serde::Deserialize;
use std::path::PathBuf;

/// The preprocessor. It keeps nothing between runs: exercises are read anew each time, so that a book
/// being served shows a change to one at once.
#[derive(Debug, Clone, Copy, Default)]
pub struct Foldmark;

/// Its name in `book.toml`.
const NAME: &str = "foldmark";

/// Its table in `book.toml`. All but the last key are mdBook's own; a key that nobody knows is a fault.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
struct Settings {
    command: Option<String>,
    before: Vec<String>,
    after: Vec<String>,
    optional: bool,
    renderers: Vec<String>,
    /// A folder with exercises of the instructor's own, from the book's root.
    exercises: Option<PathBuf>,
}

fn settings(config: &Config) -> Result<Settings> {
    let read = config.get::<Settings>("preprocessor.foldmark");
    let settings = read.map_err(|error| Error::msg(format!("book.toml, [preprocessor.foldmark]: {error:#}")))?;
    Ok(settings.unwrap_or_default())
}

impl Foldmark {
    /// The exercises a book uses, with what there is to say about them.
    ///
    /// # Errors
    /// A key of `[preprocessor.foldmark]` that is not known, or exercises with faults.
    pub fn library(context: &PreprocessorContext) -> Result<Library> {
        let settings = settings(&context.config)?;
        match folder_of(&context.root, settings.exercises.as_deref()) {
            Some(folder) => Library::with_folder(&folder).map_err(|faults| Error::msg(faults.join("\n"))),
            None => Ok(Library::shipped()),
        }
    }

    /// A sentence of warning if the program that calls is of another mdBook version than this one was
    /// made with; it is no reason to fail.
    ///
    /// ```
    /// use foldmark::lesson::Foldmark;
    /// assert!(Foldmark::version_warning("0.4.40").is_some());
    /// assert!(Foldmark::version_warning(mdbook_preprocessor::MDBOOK_VERSION).is_none());
    /// ```
    pub fn version_warning(calling: &str) -> Option<String> {
        let line = |version: &str| version.split('.').take(2).collect::<Vec<_>>().join(".");
        let made_with = mdbook_preprocessor::MDBOOK_VERSION;
        (line(calling) != line(made_with)).then(|| {
            format!("mdbook-foldmark was made with mdBook {made_with}, and is called by mdBook {calling}; it may not understand it")
        })
    }
}

impl Preprocessor for Foldmark {
    fn name(&self) -> &str {
        NAME
    }

    fn run(&self, context: &PreprocessorContext, mut book: Book) -> Result<Book> {
        let library = Foldmark::library(context)?;
        let output = Output::of_renderer(&context.renderer);
        let mut faults = Vec::new();
        book.for_each_mut(|item| {
            let BookItem::Chapter(chapter) = item else { return };
            // A generated chapter has no source; a draft has neither path nor text.
            let Some(path) = chapter.source_path.as_ref().or(chapter.path.as_ref()) else { return };
            let path = path.to_string_lossy().into_owned();
            match render_chapter(&library.shelf, Chapter { path: &path, text: &chapter.content }, output) {
                Ok(text) => chapter.content = text,
                Err(more) => faults.extend(more.iter().map(ToString::to_string)),
            }
        });
        if faults.is_empty() { Ok(book) } else { Err(Error::msg(faults.join("\n"))) }
    }
}
