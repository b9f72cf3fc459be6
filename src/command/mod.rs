//! The command line: files, terminal, progress. The work itself is done in the rooms below.

mod args;
mod blank;
mod book;
mod check;
mod class_folder;
mod demo;
mod draft;
mod grading;
mod inputs;
mod lay;
mod man;
mod pattern;
mod practice;
mod proof;
mod results;
mod schema;
mod shelf;
mod start;
mod terminal;
mod trace;

pub use args::Args;
pub use terminal::Status;

use crate::files::{when_interrupted, why};
use args::{Colour, Command};
use clap::Parser;
use rayon::ThreadPoolBuilder;
use std::io::Write;
use terminal::Failure;

/// What the first thread of a program has on most systems, in bytes.
const STACK: usize = 8 << 20;

/// Reads the command line. What is wrong with it, or the help that it asks for, is printed here, and nothing is left to do but
/// to end.
///
/// # Errors
/// How the program is to end.
pub fn read_args() -> Result<Args, Status> {
    terminal::colour(Colour::asked(std::env::args_os().skip(1)));
    Args::try_parse().map_err(|told| {
        let printed = told.print().and_then(|()| std::io::stdout().flush());
        match printed {
            // Whoever reads the help may stop early.
            Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
                terminal::error(&format!("the help can't be printed: {}", why(&error)));
                Status::NotDone
            }
            _ if told.use_stderr() => Status::NotDone,
            _ => Status::Well,
        }
    })
}

/// Carries out what the command line asks for. Results go to standard output, everything else to
/// standard error.
pub fn run(args: Args) -> Status {
    terminal::colour(args.saying.color);
    terminal::be_quiet(args.saying.quiet);
    when_interrupted(|has_put| {
        terminal::notice(match has_put {
            false => "stopped; nothing was written",
            true => "stopped; what was done before is whole, and in its place",
        });
    });
    // Where the system refuses threads, this one does everything.
    let done = match ThreadPoolBuilder::new().stack_size(STACK).build() {
        Ok(threads) => threads.install(|| carry_out(args.command)),
        Err(_) => {
            let _ = ThreadPoolBuilder::new().num_threads(1).use_current_thread().build_global();
            carry_out(args.command)
        }
    };
    done.unwrap_or_else(|Failure(sentences)| {
        for sentence in sentences {
            terminal::error(&sentence);
        }
        Status::NotDone
    })
}

fn carry_out(command: Command) -> terminal::Done {
    match command {
        Command::Demo(args) => demo::run(&args),
        Command::Book(args) => book::run(&args),
        Command::List(args) => shelf::list(&args),
        Command::Explain(args) => shelf::explain(&args),
        Command::Draft(args) => draft::run(&args),
        Command::Lay(args) => lay::run(&args),
        Command::Pattern(args) => pattern::run(&args),
        Command::Check(args) => check::run(&args),
        Command::Blank(args) => blank::run(&args),
        Command::Practice(args) => practice::run(&args),
        Command::Start(args) => start::run(&args),
        Command::Trace(args) => trace::run(&args),
        Command::Proof(args) => proof::run(&args),
        Command::Schema(args) => schema::run(&args),
        Command::Completions(args) => man::completions(&args),
        Command::Man(args) => man::run(&args),
    }
}
