//! `foldmark pattern`: the pieces of a draft at true size.

use super::args::PatternArgs;
use super::draft::worked;
use super::shelf::open;
use super::terminal::{Done, Failure, Status, notice};
use crate::draft::Draft;
use crate::exercise::Shelf;
use crate::files::{StagedFile, shown};
use crate::length::Length;
use crate::pattern::{self, Named, PatternFault};
use crate::practice::coded;
use std::path::PathBuf;

const PRINT: &str = "print it at actual size, and measure the test squares first";
const UNITS: &str = "one unit in it is one millimetre";

pub(super) fn run(args: &PatternArgs) -> Done {
    let named = Named::read(args.maker.as_deref(), args.date.as_deref()).map_err(told)?;
    let shelf = open(&args.drafting.shelf)?;
    let mut notices = Vec::new();
    let draft = drafted(args, &shelf, &mut notices)?;
    let place = args.out.clone().unwrap_or_else(|| PathBuf::from(format!("{}.pdf", draft.exercise.name)));
    let ending = place.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    let (bytes, how) = match ending.as_deref() {
        Some("pdf") => (pdf(args, &draft, &named)?, PRINT),
        Some("svg" | "dxf") if args.sheet || args.overlay.is_some() => {
            return Err("the sheet to pin up and what to mark by are PDFs; let the file end in .pdf".to_owned().into());
        }
        Some("svg") => (pattern::svg(&draft, &named).map_err(told)?.into_bytes(), UNITS),
        Some("dxf") => (pattern::dxf(&draft, &named).map_err(told)?.into_bytes(), UNITS),
        _ => {
            let place = shown(&place);
            return Err(format!(
                "{place}: a pattern is a PDF, an SVG or a DXF; let the file end in .pdf, .svg or .dxf"
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

fn told(fault: PatternFault) -> Failure {
    Failure(vec![fault.to_string()])
}

/// What a practice sheet sets, or what the command line does.
fn drafted<'e>(args: &PatternArgs, shelf: &'e Shelf, notices: &mut Vec<String>) -> Result<Draft<'e>, Failure> {
    let Some(code) = &args.code else { return worked(&args.drafting, shelf, notices) };
    let exercise = shelf.get(&args.drafting.exercise)?;
    Ok(coded(code.trim(), exercise, shelf).map_err(|fault| Failure(vec![fault]))?.draft)
}

fn pdf(args: &PatternArgs, draft: &Draft, named: &Named) -> Result<Vec<u8>, Failure> {
    match args.overlay.as_deref() {
        _ if args.sheet => pattern::pinned(draft, args.paper, named),
        None => pattern::pdf(draft, args.paper, named),
        Some("") => pattern::overlay(draft, args.paper, named, draft.givens.ruler.tick()),
        Some(text) => {
            let off = Length::read(text, args.drafting.measuring.unit);
            let off = off.map_err(|fault| Failure(vec![format!("--overlay: {fault}")]))?;
            pattern::overlay(draft, args.paper, named, off)
        }
    }
    .map_err(told)
}
