//! The data of a marking, [`Results`](crate::check::Results), written sheet by sheet; and how its gradebooks are known.

use super::files::Files;
use crate::check::{COURSE_BEGINS, GRADEBOOK_BEGINS};
use std::path::Path;

/// How the data begins.
pub(crate) const JSON_HEAD: &str = "{\"sheets\":[";

/// What stands before a sheet.
pub(crate) fn json_gap(before: usize) -> &'static str {
    if before == 0 { "\n" } else { ",\n" }
}

/// How it ends.
pub(crate) fn json_end(faults: &[String]) -> Result<String, String> {
    let faults = serde_json::to_string(faults).map_err(|error| error.to_string())?;
    Ok(format!("\n],\n\"faults\":{faults}}}\n"))
}

/// Whether a file is a gradebook that was written here.
pub(crate) fn is_gradebook(files: &dyn Files, path: &Path) -> bool {
    let mut begins = Vec::new();
    if !files.open(path).is_ok_and(|(mut more, _)| more(100, &mut begins).is_ok()) {
        return false;
    }
    let of_sheets = GRADEBOOK_BEGINS.replacen("student", "set,student", 1);
    [GRADEBOOK_BEGINS, COURSE_BEGINS, &of_sheets].iter().any(|known| begins.starts_with(known.as_bytes()))
}
