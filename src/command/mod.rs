//! The command line: files, terminal, progress. The work itself is done in the rooms below.

mod args;
mod blank;
mod book;
mod check;
mod class_folder;
mod course;
mod demo;
mod draft;
mod gathering;
mod grading;
mod inputs;
mod kept_sets;
mod marking;
mod pattern;
mod practice;
mod proof;
mod results;
mod schema;
mod shelf;
mod start;
mod terminal;
mod told;
mod trace;

pub use args::Args;
pub use terminal::Status;

use crate::files::when_interrupted;
use args::Command;
use terminal::Failure;

/// Carries out what the command line asks for. Results go to standard output, everything else to
/// standard error.
pub fn run(args: Args) -> Status {
    when_interrupted(|| terminal::notice("stopped; nothing was written"));
    let done = match args.command {
        Command::Demo(args) => demo::run(&args),
        Command::Book(args) => book::run(&args),
        Command::List(args) => shelf::list(&args),
        Command::Explain(args) => shelf::explain(&args),
        Command::Draft(args) => draft::run(&args),
        Command::Pattern(args) => pattern::run(&args),
        Command::Check(args) => check::run(&args),
        Command::Blank(args) => blank::run(&args),
        Command::Practice(args) => practice::run(&args),
        Command::Start(args) => start::run(&args),
        Command::Trace(args) => trace::run(&args),
        Command::Proof(args) => proof::run(&args),
        Command::Schema(args) => schema::run(&args),
        Command::Completions(args) => shelf::completions(&args),
    };
    done.unwrap_or_else(|Failure(sentences)| {
        for sentence in sentences {
            terminal::error(&sentence);
        }
        Status::NotDone
    })
}
