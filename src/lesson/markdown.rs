//! Text into Markdown, so that nothing in it can become markup.

/// Text with every character escaped that Markdown could take for markup.
pub(super) fn markdown_text(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in one_line(text).chars() {
        if matches!(letter, '\\' | '`' | '*' | '_' | '{' | '}' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '&' | '$') {
            out.push('\\');
        }
        out.push(letter);
    }
    out
}

/// The text on one line.
pub(super) fn one_line(text: &str) -> String {
    if text.contains(['\n', '\r']) { text.split_whitespace().collect::<Vec<_>>().join(" ") } else { text.to_owned() }
}
