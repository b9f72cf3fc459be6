//! `foldmark book`: the lessons as web pages.

use super::args::BookArgs;
use super::terminal::{Done, Failure, Status, notice, print};
use crate::book::{Commands, build_book_with};
use crate::files::shown;
use std::path::Path;

pub(super) fn run(args: &BookArgs) -> Done {
    let commands = if args.allow_commands { Commands::Called } else { Commands::Refused };
    let pages = build(&args.dir, args.out.as_deref(), commands)?;
    print(&format!("The lessons are in {}; open index.html there.\n", shown(&pages)))?;
    Ok(Status::Well)
}

pub(super) fn build(dir: &Path, out: Option<&Path>, commands: Commands) -> Result<std::path::PathBuf, Failure> {
    let (pages, notices) = build_book_with(dir, out, commands)
        .map_err(|error| Failure(format!("{error:#}").lines().map(str::to_owned).collect()))?;
    for sentence in notices {
        notice(&sentence);
    }
    Ok(pages)
}
