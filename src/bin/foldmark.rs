//! The `foldmark` command.

use clap::Parser;
use foldmark::command::{Args, Status, run};

fn main() -> Status {
    run(Args::parse())
}
