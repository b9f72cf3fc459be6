//! The desk: a page by itself, on which someone who has no terminal marks a class and sets practice.

use crate::html::{PAGE_END, page_head, style_sheet};

/// What the page is called.
pub const DESK: &str = "desk.html";

/// Its scripts, in parts that share one scope; those of lessons among them.
const SCRIPTS: [&str; 7] = [
    include_str!("pages/desk-door.js"),
    include_str!("pages/core.js"),
    include_str!("pages/page.js"),
    include_str!("pages/device.js"),
    include_str!("pages/own.js"),
    include_str!("pages/answers.js"),
    include_str!("pages/desk.js"),
];

/// Nothing is loaded, and nothing can be sent: not by a page that is shown in it, either.
const LOADS_NOTHING: &str = "http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; \
    script-src 'unsafe-inline' 'wasm-unsafe-eval'; style-src 'unsafe-inline'; img-src data: blob:; form-action 'none'; \
    base-uri 'none'\"";

/// The page, with all that it needs in it: it works from a folder, and without a network.
///
/// ```
/// let page = foldmark::book::desk_page();
/// assert!(page.starts_with("<!DOCTYPE html>") && !page.contains("src="));
/// ```
pub fn desk_page() -> String {
    let style = [&style_sheet(), include_str!("pages/panels.css"), include_str!("pages/desk.css")].concat();
    let metas = [LOADS_NOTHING, "name=\"viewport\" content=\"width=device-width, initial-scale=1\""];
    let head = page_head("The desk", &metas, &style);
    let engine = include_str!("../desk/engine.js");
    let scripts = SCRIPTS.join("\n");
    format!(
        "{head}{BEGIN}<script>\n{engine}</script>\n<script>\n(() => {{\n\"use strict\";\n{scripts}}})();\n</script>\n{PAGE_END}"
    )
}

const BEGIN: &str = "\
<header>
<h1>The desk</h1>
<p>Mark what students sent, and set practice. Everything stays on this machine: the page loads nothing, and nothing leaves it. What
it makes is what the program’s commands make.</p>
<p id=\"waiting\">This page works only where scripts may run.</p>
</header>
";
