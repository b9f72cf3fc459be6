//! Text within a page: the program's own, and what strangers wrote.

use super::escape::escape;
use super::lengths::keep_lengths;
use crate::text::is_hidden;

/// Text of the program's own, in which no length is parted at the end of a line.
pub(crate) fn text(text: &str) -> String {
    escape(&keep_lengths(text))
}

/// Text that a student wrote, kept apart from what stands around it: a name in letters that run from right to left
/// does not move its neighbours.
pub(crate) fn foreign(written: &str) -> String {
    format!("<bdi>{}</bdi>", text(written))
}

/// The same where no markup can stand: in the text of a title, or of a cell that is made into HTML later.
pub(crate) fn isolated(name: &str) -> String {
    if name.is_ascii() { name.to_owned() } else { format!("\u{2068}{name}\u{2069}") }
}

/// A name shortened to so many letters, with all of it for those who point at it.
pub(crate) fn shortened(name: &str, most: usize) -> String {
    if name.chars().count() <= most {
        return foreign(name);
    }
    let cut: String = name.chars().take(most.saturating_sub(1)).collect();
    format!("<bdi title=\"{}\">{}…</bdi>", escape(name), escape(cut.trim_end()))
}

/// A name that leads to a page, where there is one.
pub(crate) fn linked(shown: String, link: Option<&str>) -> String {
    match link.filter(|link| is_beside(link)) {
        Some(link) => format!("<a href=\"{}\">{shown}</a>", escape(link)),
        None => shown,
    }
}

/// Whether a link leads to a file beside the page or below it. Nothing else is linked to: no other site, no scheme,
/// nothing that a browser would run.
fn is_beside(link: &str) -> bool {
    let is_odd = |letter: char| is_hidden(letter) || letter.is_whitespace() || ":\\<>\"'`{}|^".contains(letter);
    !link.is_empty() && !link.starts_with(['/', '#', '?']) && !link.contains(is_odd)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_files_beside_the_page_are_linked_to() {
        for link in ["feedback/betony.html", "betony.html#flap", "../a/b.html", "bet%20ony.html", "\u{e9}t\u{e9}.html"]
        {
            assert!(linked(String::new(), Some(link)).contains("href"), "{link}");
        }
        let bad = [
            "javascript:alert(1)",
            " javascript:alert(1)",
            "java\nscript:alert(1)",
            "JAVASCRIPT:alert(1)",
            "data:text/html,x",
            "//elsewhere.example/x",
            "/etc/passwd",
            "\\\\server\\share",
            "https://elsewhere.example",
            "a b.html",
            "a\" onclick=\"alert(1)",
            "",
        ];
        for link in bad {
            assert_eq!(linked("x".to_owned(), Some(link)), "x", "{link}");
        }
        assert_eq!(linked("x".to_owned(), Some("a&b.html")), "<a href=\"a&amp;b.html\">x</a>");
    }

    #[test]
    fn long_names_are_cut() {
        assert_eq!(shortened("Sedge", 8), "<bdi>Sedge</bdi>");
        assert_eq!(shortened("Viper's bugloss", 8), "<bdi title=\"Viper&#39;s bugloss\">Viper&#39;s…</bdi>");
    }
}
