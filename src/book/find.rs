//! A chapter's blocks and inline measures, found with mdBook's own Markdown parser.

use crate::exercise::Shelf;
use crate::lesson::{Chapter, Found, LessonFault, Output, render_found};
use mdbook_markdown::pulldown_cmark::{CodeBlockKind, Event, HeadingLevel, Tag, TagEnd};
use std::ops::Range;

/// Replaces every block and inline measure of a chapter.
///
/// ```
/// use foldmark::{exercise::Shelf, book::render_chapter, lesson::{Chapter, Output}};
/// let shelf = Shelf::shipped();
/// let chapter = Chapter { path: "ruler.md", text: "Half an inch is `= 1/2 in as 1 mm`.", first: None, is_live: false };
/// assert_eq!(render_chapter(&shelf, chapter, Output::Html).unwrap(), "Half an inch is ≈\u{a0}1.3\u{a0}cm.");
/// ```
///
/// # Errors
/// Every fault, in the order of the lines.
pub fn render_chapter(shelf: &Shelf, chapter: Chapter, output: Output) -> Result<String, Vec<LessonFault>> {
    render_found(shelf, chapter, output, &find(chapter.text)).map(|rendered| rendered.text)
}

/// The blocks and inline measures of a text, in order. A block shown as an example inside another fence
/// is that fence's text, so the parser does not report it.
#[cfg_attr(
    not(test),
    expect(clippy::wildcard_enum_match_arm, reason = "Markdown has many more events than concern a block")
)]
pub(super) fn find(text: &str) -> Vec<(Range<usize>, Found)> {
    if !text.contains("foldmark") && !text.contains("`= ") {
        return Vec::new();
    }
    let parser = mdbook_markdown::new_cmark_parser(text, &mdbook_markdown::MarkdownOptions::default());
    let mut found = Vec::new();
    let (mut depth, mut is_titled) = (0, false);
    let mut open: Option<(Range<usize>, String, String)> = None;
    for (event, range) in parser.into_offset_iter() {
        match event {
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) => {
                let mut words = info.split(|c: char| c.is_whitespace() || c == ',').filter(|word| !word.is_empty());
                if words.next() == Some("foldmark") {
                    open = Some((range, words.collect::<Vec<_>>().join(" "), String::new()));
                }
            }
            Event::Text(piece) => {
                if let Some((_, _, body)) = &mut open {
                    body.push_str(&piece);
                }
            }
            Event::End(TagEnd::CodeBlock) => {
                if let Some((range, name, body)) = open.take() {
                    found.push((range, Found::Block { name, body, nested: depth > 0, figure: None }));
                }
            }
            Event::Start(Tag::List(_) | Tag::BlockQuote(_) | Tag::FootnoteDefinition(_) | Tag::DefinitionList) => {
                depth += 1
            }
            Event::End(
                TagEnd::List(_) | TagEnd::BlockQuote(_) | TagEnd::FootnoteDefinition | TagEnd::DefinitionList,
            ) => depth -= 1,
            Event::Code(code) => {
                if let Some(formula) = code.strip_prefix("= ") {
                    found.push((range, measure_or_figure(formula.trim())));
                }
            }
            Event::End(TagEnd::Heading(HeadingLevel::H1)) if !is_titled => {
                is_titled = true;
                found.push((range.end..range.end, Found::Title));
            }
            _ => {}
        }
    }
    found
}
/// `figure next` is the number of a figure; all else is a measure.
fn measure_or_figure(text: &str) -> Found {
    match text.strip_prefix("figure ") {
        Some(name) => Found::Figure(name.trim().to_owned()),
        None => Found::Measure(text.to_owned()),
    }
}
