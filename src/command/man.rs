//! `foldmark man` and `completions`: what a system keeps of a command line.

use super::Args;
use super::args::{CompletionsArgs, ManArgs};
use super::terminal::{Done, Status, notice, print};
use crate::files::{Staged, shown};
use clap::{Command, CommandFactory};
use clap_mangen::Man;

/// Everything that can be asked for, but for the help that clap adds as a command.
fn commands() -> Command {
    let mut program = Args::command().disable_help_subcommand(true);
    program.build();
    program
}

pub(super) fn completions(args: &CompletionsArgs) -> Done {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Args::command(), "foldmark", &mut script);
    print(&String::from_utf8_lossy(&script))?;
    Ok(Status::Well)
}

pub(super) fn run(args: &ManArgs) -> Done {
    let program = commands();
    let Some(out) = &args.out else {
        let asked = match &args.of {
            None => &program,
            Some(name) => program.find_subcommand(name).ok_or_else(|| {
                let names: Vec<&str> = program.get_subcommands().map(Command::get_name).collect();
                format!("there is no command {}; there are {}", crate::text::quoted(name), names.join(", "))
            })?,
        };
        print(&page(asked)?)?;
        return Ok(Status::Well);
    };
    let staged = Staged::new(out)?;
    let mut names = Vec::new();
    for command in std::iter::once(&program).chain(program.get_subcommands()) {
        let name = format!("{}.1", called(command));
        staged.write(&name, &page(command)?)?;
        names.push(name);
    }
    staged.put(&names.iter().map(String::as_str).collect::<Vec<_>>(), true)?;
    notice(&format!("the man pages are in {}", shown(out)));
    Ok(Status::Well)
}

/// What a page is called: `foldmark-check`.
fn called(command: &Command) -> String {
    command.get_display_name().unwrap_or(command.get_name()).to_owned()
}

fn page(command: &Command) -> Result<String, String> {
    let mut page = Vec::new();
    let rendered = Man::new(command.clone()).render(&mut page);
    rendered.map_err(|error| format!("the page can't be written: {error}"))?;
    Ok(String::from_utf8_lossy(&page).into_owned())
}
