//! The mdBook preprocessor, in this process or as a command of its own.

use super::companions::{self, OpenPage};
use super::find::find;
use crate::class::Show;
use crate::desk::{Library, Notice};
use crate::exercise::Shelf;
use crate::files::Disk;
use crate::lesson::{Chapter, Found, LessonFault, Output, Rendered, Shown, System, render_found};
use crate::text::quoted;
use mdbook_preprocessor::book::{Book, BookItem};
use mdbook_preprocessor::config::Config;
use mdbook_preprocessor::errors::{Error, Result};
use mdbook_preprocessor::{Preprocessor, PreprocessorContext};
use serde::Deserialize;
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// The preprocessor. As mdBook calls it, it keeps nothing between runs: exercises are read anew each time,
/// so that a book being served shows a change to one at once.
#[derive(Debug, Clone, Default)]
pub struct Foldmark {
    /// Exercises read beforehand, for one build in this process.
    library: Option<Library>,
}

/// Its name in `book.toml`.
pub(super) const NAME: &str = "foldmark";

/// Its table in `book.toml`. All but the last three keys are mdBook's own; a key that nobody knows is a fault.
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
    /// What shows first of what is in both systems of units: "in" or "cm".
    unit: Option<String>,
    /// How much pages show of what was found in answers: "marks", "coach", "full" or "none".
    show: Option<String>,
}

fn settings(config: &Config) -> Result<Settings> {
    let read = config.get::<Settings>("preprocessor.foldmark");
    let settings = read.map_err(|error| Error::msg(format!("book.toml, [preprocessor.foldmark]: {error:#}")))?;
    Ok(settings.unwrap_or_default())
}

/// The system of units that the book's pages start with, if it says so.
fn first(config: &Config) -> Result<Option<System>> {
    let Some(unit) = settings(config)?.unit else { return Ok(None) };
    let system = match unit.as_str() {
        "in" | "cm" => System::read(&unit),
        _ => None,
    };
    let message = || {
        let unit = quoted(&unit);
        Error::msg(format!("book.toml, [preprocessor.foldmark]: unit is {unit}, but has to be \"in\" or \"cm\""))
    };
    system.map(Some).ok_or_else(message)
}

/// How much the book's pages show of what was found in answers.
fn show(config: &Config) -> Result<Shown> {
    let named = settings(config)?.show;
    let show = named.as_deref().map_or(Some(Shown::As(Show::Coach)), Shown::named);
    let told = quoted(&named.unwrap_or_default());
    show.ok_or_else(|| {
        Error::msg(format!(
            "book.toml, [preprocessor.foldmark]: show is {told}, but has to be \"marks\", \"coach\", \"full\" or \"none\""
        ))
    })
}

impl Foldmark {
    /// With exercises that were read already.
    pub fn with_library(library: Library) -> Foldmark {
        Foldmark { library: Some(library) }
    }

    /// The exercises a book uses, with what there is to say about them.
    ///
    /// # Errors
    /// A key of `[preprocessor.foldmark]` that is not known, or exercises with faults.
    pub fn library(context: &PreprocessorContext) -> Result<Library> {
        let settings = settings(&context.config)?;
        match settings.exercises.map(|folder| context.root.join(folder)) {
            Some(folder) => {
                let mut library = Library::with_folder(&Disk, &folder).map_err(Error::msg)?;
                library.notices.append(&mut library.faults);
                Ok(library)
            }
            None => Ok(Library::shipped()),
        }
    }

    /// What there is to say about how a book is set up: that its pages can't answer, or that what a chapter includes comes
    /// too late to be looked at for blocks.
    pub fn notices(context: &PreprocessorContext, book: &Book) -> Vec<Notice> {
        let is_html = Output::of_renderer(&context.renderer) == Output::Html;
        let mut notices = Vec::new();
        if is_html && companions::folder(context).is_none() {
            notices.push(
                "the pages of this book have no style and don't answer: run `mdbook-foldmark install` in its folder"
                    .to_owned(),
            );
        }
        let includes = |item: &BookItem| {
            let BookItem::Chapter(chapter) = item else { return None };
            chapter.content.contains("{{#include").then(|| chapter.name.clone())
        };
        if let Some(chapter) = book.iter().find_map(includes) {
            notices.push(format!(
                "the chapter {} includes a file, and blocks in it are not seen: write after = [\"links\"] under \
                 [preprocessor.foldmark] in book.toml",
                quoted(&chapter)
            ));
        }
        notices
    }

    /// A sentence of warning if the program that calls is of another mdBook version than this one was
    /// made with; it is no reason to fail.
    ///
    /// ```
    /// use foldmark::book::Foldmark;
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

    /// Every renderer but one that takes the words of a book out for translation: it has to see what the author wrote.
    fn supports_renderer(&self, renderer: &str) -> Result<bool> {
        Ok(renderer != "xgettext")
    }

    fn run(&self, context: &PreprocessorContext, mut book: Book) -> Result<Book> {
        let read;
        let library = match &self.library {
            Some(library) => library,
            None => {
                read = Foldmark::library(context)?;
                &read
            }
        };
        let output = Output::of_renderer(&context.renderer);
        let (first, show) = (first(&context.config)?, show(&context.config)?);
        let folder = companions::folder(context).filter(|_| output == Output::Html);
        let mut jobs: Vec<(String, String)> = Vec::new();
        each_chapter(&mut book, |path, content| jobs.push((path, std::mem::take(content))));
        let chapter = |(path, text)| Chapter { path, text, first, is_live: folder.is_some() };
        let chapters: Vec<Chapter> = jobs.iter().map(|(path, text)| chapter((path, text))).collect();
        let mut rendered = render_all(&library.shelf, &chapters, output);
        let mut faults = Vec::new();
        let mut done = rendered.iter_mut();
        each_chapter(&mut book, |_, content| match done.next() {
            Some((_, Ok(rendered))) => *content = std::mem::take(&mut rendered.text),
            Some((_, Err(more))) => faults.extend(more.iter().map(ToString::to_string)),
            None => {}
        });
        if !faults.is_empty() {
            return Err(Error::msg(faults.join("\n")));
        }
        if let Some(folder) = folder {
            let is_open = |(_, (_, rendered)): &(&Chapter, &(Vec<Found>, Rendering))| {
                rendered.as_ref().is_ok_and(|rendered| rendered.is_open)
            };
            let open = chapters.iter().zip(&rendered).filter(is_open);
            let pages: Vec<OpenPage> =
                open.map(|(chapter, (found, _))| OpenPage { path: chapter.path, found }).collect();
            companions::put(&folder, &pages, library, show)?;
        }
        Ok(book)
    }
}

/// Visits the text of every chapter that has one, with the path it is known by: its source, or for a
/// generated chapter, its place. A draft has neither path nor text.
fn each_chapter(book: &mut Book, mut visit: impl FnMut(String, &mut String)) {
    book.for_each_mut(|item| {
        let BookItem::Chapter(chapter) = item else { return };
        if let Some(path) = chapter.source_path.as_ref().or(chapter.path.as_ref()) {
            visit(path.to_string_lossy().into_owned(), &mut chapter.content);
        }
    });
}

type Rendering = std::result::Result<Rendered, Vec<LessonFault>>;

/// Renders chapters on all processors, each with what was found in it. Each is rendered alone, so the result does not depend
/// on how many there are.
fn render_all(shelf: &Shelf, jobs: &[Chapter], output: Output) -> Vec<(Vec<Found>, Rendering)> {
    let workers = thread::available_parallelism().map_or(1, usize::from).min(jobs.len()).max(1);
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(chapter) = jobs.get(at) else { break };
            let found = find(chapter.text);
            let rendered = render_found(shelf, *chapter, output, &found);
            done.push((at, (found.into_iter().map(|(_, found)| found).collect(), rendered)));
        }
        done
    };
    let mut all: Vec<(usize, (Vec<Found>, Rendering))> = thread::scope(|scope| {
        // Where the system refuses threads, this one does what is left.
        let others: Vec<_> =
            (1..workers).map_while(|_| thread::Builder::new().spawn_scoped(scope, work).ok()).collect();
        let mut done = work();
        for other in others {
            done.extend(other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        }
        done
    });
    all.sort_by_key(|(at, _)| *at);
    all.into_iter().map(|(_, rendered)| rendered).collect()
}
