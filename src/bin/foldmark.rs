//! The `foldmark` command.

use foldmark::command::{Status, read_args, run};

fn main() -> Status {
    read_args().map_or_else(|ended| ended, run)
}
