//! `foldmark blank`: an empty answer file, or the head of a table.

use super::args::BlankArgs;
use super::shelf::open;
use super::terminal::{Done, Status, print};
use crate::check::{blank_file, table_columns};
use crate::files::StagedFile;

pub(super) fn run(args: &BlankArgs) -> Done {
    let shelf = open(&args.shelf)?;
    let exercise = shelf.get(&args.exercise)?;
    let rows = usize::from(args.rows);
    let text = if args.csv {
        if args.measuring.unit.is_some() || args.measuring.ruler.is_some() {
            return Err("a table has columns for unit and ruler; leave out --unit and --ruler".into());
        }
        // No name that an exercise may have needs quotation marks.
        table_columns(exercise, rows).join(",") + "\r\n"
    } else {
        let ruler = args.measuring.ruler.unwrap_or_else(|| exercise.usual_ruler(args.measuring.is_metric()));
        blank_file(exercise, ruler, rows)
    };
    match &args.out {
        None => print(&text)?,
        Some(out) => {
            let mut file = StagedFile::new(out, args.force)?;
            file.add(&text)?;
            file.put()?;
        }
    }
    Ok(Status::Well)
}
