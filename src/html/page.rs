//! The shell of a page that is a file of its own.

use super::escape::escape;

/// What a page begins with, down to its main part, which is all there is in the body: its title, the `<meta>` lines beside that of its encoding, and its style
/// sheet.
pub(crate) fn page_head(title: &str, metas: &[&str], style: &str) -> String {
    let metas: String = metas.iter().map(|meta| format!("<meta {meta}>\n")).collect();
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n{metas}<title>{}</title>\n\
         <style>\n{style}</style>\n</head>\n<body>\n<main>\n",
        escape(title)
    )
}

/// What a page ends with.
pub(crate) const PAGE_END: &str = "</main>\n</body>\n</html>\n";
