//! The paper that pages without a script are on: those of marking, and of progress.

use super::page::{PAGE_END, page_head};
use super::style::style_sheet;

/// What stands in the head. The policy forbids everything but the style sheet: no script runs here, whatever else should
/// go wrong.
const METAS: [&str; 3] = [
    "http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\"",
    "name=\"viewport\" content=\"width=device-width, initial-scale=1\"",
    "name=\"color-scheme\" content=\"light dark\"",
];

/// A page of its own. `style` is added to what all pages share; `body` is markup.
pub(crate) fn paper(title: &str, style: &str, body: &str) -> String {
    let head = page_head(title, &METAS, &(style_sheet() + style));
    format!("{head}{body}{PAGE_END}")
}
