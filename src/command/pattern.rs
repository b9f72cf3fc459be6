//! `foldmark pattern`: the pieces of a draft at true size.

use super::args::PatternArgs;
use super::draft::worked;
use super::shelf::open;
use super::terminal::{Done, Failure, Status, notice};
use crate::files::{StagedFile, shown};
use crate::pattern::{self, Named, PatternFault};
use std::path::PathBuf;

pub(super) fn run(args: &PatternArgs) -> Done {
    let told = |fault: PatternFault| Failure(vec![fault.to_string()]);
    let named = Named::read(args.maker.as_deref(), args.date.as_deref()).map_err(told)?;
    let shelf = open(&args.drafting.shelf)?;
    let mut notices = Vec::new();
    let draft = worked(&args.drafting, &shelf, &mut notices)?;
    let place = args.out.clone().unwrap_or_else(|| PathBuf::from(format!("{}.pdf", draft.exercise.name)));
    let ending = place.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    let (bytes, how) = match ending.as_deref() {
        Some("pdf") if args.sheet => {
            (pattern::pinned(&draft, args.paper, &named).map_err(told)?, "pin it above the table")
        }
        Some("pdf") => (
            pattern::pdf(&draft, args.paper, &named).map_err(told)?,
            "print it at actual size, and measure the test squares before you cut",
        ),
        Some("svg" | "dxf") if args.sheet => {
            return Err("the sheet to pin up is a PDF; leave out --sheet, or let the file end in .pdf"
                .to_owned()
                .into());
        }
        Some("svg") => (pattern::svg(&draft, &named).map_err(told)?.into_bytes(), "one unit in it is one millimetre"),
        Some("dxf") => (pattern::dxf(&draft, &named).map_err(told)?.into_bytes(), "one unit in it is one millimetre"),
        _ => {
            return Err(format!(
                "{}: a pattern is a PDF, an SVG or a DXF; let the file end in .pdf, .svg or .dxf",
                shown(&place)
            )
            .into());
        }
    };
    let mut file = StagedFile::new(&place, args.force)?;
    file.add_bytes(&bytes)?;
    file.put()?;
    notices.iter().for_each(|sentence| notice(sentence));
    let what = if args.sheet { "the sheet of the draft" } else { "the pattern" };
    notice(&format!("{what} is in {}; {how}", shown(&place)));
    Ok(Status::Well)
}
