//! `foldmark pattern`: the pieces of a draft at true size.

use super::args::PatternArgs;
use super::draft::worked;
use super::shelf::open;
use super::terminal::{Done, Failure, Status, notice};
use crate::files::{StagedFile, shown};
use crate::pattern::{self, Named};
use std::path::PathBuf;

pub(super) fn run(args: &PatternArgs) -> Done {
    let shelf = open(&args.drafting.shelf)?;
    let mut notices = Vec::new();
    let draft = worked(&args.drafting, &shelf, &mut notices)?;
    let named = Named { maker: args.maker.clone(), date: args.date.clone() };
    let pdf = pattern::pdf(&draft, args.paper, &named).map_err(|fault| Failure(vec![fault.to_string()]))?;
    let place = args.out.clone().unwrap_or_else(|| PathBuf::from(format!("{}.pdf", draft.exercise.name)));
    let mut file = StagedFile::new(&place, args.force)?;
    file.add_bytes(&pdf)?;
    file.put()?;
    notices.iter().for_each(|sentence| notice(sentence));
    notice(&format!("the pattern is in {}; print it at actual size, and measure the test squares", shown(&place)));
    Ok(Status::Well)
}
