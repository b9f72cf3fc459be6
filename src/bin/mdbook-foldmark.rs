//! The preprocessor as a command, for `mdbook` to call: `supports RENDERER`, or a book on standard input.

use foldmark::book::{Foldmark, install};
use mdbook_preprocessor::Preprocessor;
use std::io::{self, Read, Write};
use std::path::Path;
use std::process::ExitCode;

/// For whoever calls it by hand.
const HELP: &str = "\
Puts figures, tables and measures in place of the foldmark blocks of a book. It is called by mdbook, which gives it the book on
standard input.

mdbook-foldmark install [DIR]       adds to the book.toml in DIR, or here, the lines that a book with lessons needs
mdbook-foldmark supports RENDERER   whether it serves a renderer; answers with its exit status
mdbook-foldmark --version           which version this is
mdbook-foldmark --help              this text

foldmark book builds a book without mdbook.";

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    match (args.next().as_deref(), args.next()) {
        (Some("--help" | "-h"), None) => tell(HELP),
        (Some("--version" | "-V"), None) => tell(concat!("mdbook-foldmark ", env!("CARGO_PKG_VERSION"))),
        (Some("supports"), Some(renderer)) => match Foldmark::default().supports_renderer(&renderer) {
            Ok(true) => ExitCode::SUCCESS,
            _ => ExitCode::FAILURE,
        },
        (Some("install"), folder) if args.next().is_none() => done(put_lines(folder.as_deref().unwrap_or("."))),
        (None, _) => done(preprocess()),
        _ => {
            say("this is called by mdbook, with a book on standard input; mdbook-foldmark --help says how");
            ExitCode::from(2)
        }
    }
}

fn done(result: Result<(), String>) -> ExitCode {
    let Err(sentences) = result else { return ExitCode::SUCCESS };
    for sentence in sentences.lines() {
        say(sentence);
    }
    ExitCode::from(2)
}

fn put_lines(folder: &str) -> Result<(), String> {
    let added = install(Path::new(folder)).map_err(|fault| fault.to_string())?;
    if added.is_empty() {
        tell("book.toml has all the lines already.");
    } else {
        tell(&format!("Added to book.toml: {}.", added.join(", ")));
    }
    tell("What the pages load lies in the folder foldmark beside the chapters; every build brings it up to date.");
    Ok(())
}

fn preprocess() -> Result<(), String> {
    let mut input = Vec::new();
    io::stdin()
        .read_to_end(&mut input)
        .map_err(|error| format!("the book can't be read from standard input: {error}"))?;
    let (context, book) = mdbook_preprocessor::parse_input(&input[..])
        .map_err(|error| format!("what came on standard input is not a book from mdbook: {error:#}"))?;
    if let Some(warning) = Foldmark::version_warning(&context.mdbook_version) {
        say(&format!("warning: {warning}"));
    }
    let library = Foldmark::library(&context).map_err(|error| format!("{error:#}"))?;
    for notice in library.notices.iter().chain(&Foldmark::notices(&context, &book)) {
        say(&format!("note: {notice}"));
    }
    let book = Foldmark::with_library(library).run(&context, book).map_err(|error| format!("{error:#}"))?;
    let output = serde_json::to_vec(&book).map_err(|error| format!("the book can't be written: {error}"))?;
    io::stdout().write_all(&output).map_err(|error| format!("the book can't be written to standard output: {error}"))
}

/// A text on standard output; whoever reads it may stop early.
fn tell(text: &str) -> ExitCode {
    let mut out = io::stdout().lock();
    match writeln!(out, "{text}").and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            say(&format!("this can't be printed: {error}"));
            ExitCode::from(2)
        }
        _ => ExitCode::SUCCESS,
    }
}

/// A line on standard error; one that can't be written is let go, since there is nowhere to say so.
fn say(sentence: &str) {
    let _ = writeln!(io::stderr(), "mdbook-foldmark: {sentence}");
}
