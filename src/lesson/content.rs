//! What a block becomes, before it is known for which renderer: paragraphs, tables, figures, code.

use super::image::image;
use super::markdown::{markdown_text, one_line};
use crate::figure::Figure;
use crate::html::escape;

/// What kind of page a chapter is rendered for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Output {
    /// HTML: figures are drawn in the page.
    Html,
    /// Anything else: figures are images, tables are Markdown.
    Markdown,
}

impl Output {
    /// The output for one of mdBook's renderers.
    pub fn of_renderer(renderer: &str) -> Output {
        if renderer == "html" { Output::Html } else { Output::Markdown }
    }
}

/// A stretch of text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Span {
    Plain(String),
    Strong(String),
}

/// A part of a chapter.
#[derive(Debug, Clone)]
pub(super) enum Content {
    Paragraph(Vec<Span>),
    /// What to take care of, set apart.
    Warning(Vec<Span>),
    List(Vec<Vec<Span>>),
    Table {
        head: Vec<String>,
        rows: Vec<Vec<Vec<Span>>>,
    },
    Figure {
        figure: Figure,
        caption: Vec<Span>,
    },
    /// A file to copy.
    Code {
        language: &'static str,
        text: String,
    },
}

pub(super) fn plain(text: impl Into<String>) -> Vec<Span> {
    vec![Span::Plain(text.into())]
}

/// What a figure is called: an identifier that is unique in the whole book, since one page may join all chapters, and its
/// number in the chapter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Numbered {
    pub id: String,
    pub number: usize,
}

/// A figure's number as it stands in captions and in the text.
pub(super) fn figure_words(number: usize) -> String {
    format!("Figure\u{a0}{number}")
}

/// Writes parts, each for itself. `next` calls each figure.
pub(super) fn write(parts: &[Content], output: Output, next: &mut dyn FnMut() -> Numbered) -> Vec<String> {
    // mdBook looks for its directives, such as `{{#include …}}`, after this. Text of an exercise is none: in Markdown
    // every bracket is escaped, and elsewhere two of them never meet.
    let mut written = |part: &Content| match (part, output) {
        (Content::Code { language, text }, _) => fence(language, &text.replace("{{", "{ {")),
        (part, Output::Html) => html(part, next).replace("{{", "{&#123;"),
        (part, Output::Markdown) => markdown(part, next),
    };
    parts.iter().map(&mut written).collect()
}

fn fence(language: &str, text: &str) -> String {
    // Longer than any run of backticks inside, so that the text can't close it.
    let longest = text.split(|letter| letter != '`').map(str::len).max().unwrap_or(0);
    let ticks = "`".repeat(longest.max(2) + 1);
    format!("{ticks}{language}\n{}\n{ticks}", text.trim_end())
}

/// A caption stands below its figure, no wider than that, and differs from the text around.
const CAPTION: &str = "max-width:36em;margin:.2em auto 0;text-align:center;font-size:.9em";

/// HTML that Markdown passes through whole: it starts with a block element and has no blank line.
fn html(part: &Content, next: &mut dyn FnMut() -> Numbered) -> String {
    let text = match part {
        Content::Paragraph(spans) => format!("<p>{}</p>", html_spans(spans)),
        Content::Warning(spans) => format!("<div class=\"warning\">\n{}\n</div>", html_spans(spans)),
        Content::List(items) => {
            let items: Vec<String> = items.iter().map(|item| format!("<li>{}</li>", html_spans(item))).collect();
            format!("<ul>\n{}\n</ul>", items.join("\n"))
        }
        Content::Table { head, rows } => {
            let head: String = head.iter().map(|cell| format!("<th scope=\"col\">{}</th>", escape(cell))).collect();
            // The first cell says what its row is about.
            let cell = |(column, cell): (usize, &Vec<Span>)| match column {
                0 => format!("<th scope=\"row\">{}</th>", html_spans(cell)),
                _ => format!("<td>{}</td>", html_spans(cell)),
            };
            let row = |row: &Vec<Vec<Span>>| {
                let cells: String = row.iter().enumerate().map(cell).collect();
                format!("<tr>{cells}</tr>")
            };
            let rows: Vec<String> = rows.iter().map(row).collect();
            // The class is mdBook's own for tables that may be wider than a phone.
            format!(
                "<div class=\"table-wrapper\" style=\"margin-block:1em\"><table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{}\n</tbody>\n</table></div>",
                rows.join("\n")
            )
        }
        Content::Figure { figure, caption } => {
            let Numbered { id, number } = next();
            let caption = html_spans(&numbered(number, caption));
            format!(
                "<figure class=\"foldmark\" style=\"margin:1.2em 0;break-inside:avoid\">\n{}\n<figcaption style=\"{CAPTION}\">{caption}</figcaption>\n</figure>",
                figure.inline(&id)
            )
        }
        Content::Code { .. } => String::new(),
    };
    debug_assert!(text.lines().all(|line| !line.trim().is_empty()), "a blank line would end the HTML block");
    text
}

/// A caption with the figure's number before it.
fn numbered(number: usize, caption: &[Span]) -> Vec<Span> {
    let number = figure_words(number);
    if caption.is_empty() {
        return vec![Span::Strong(number)];
    }
    [&[Span::Strong(number + "."), Span::Plain(" ".to_owned())], caption].concat()
}

fn html_spans(spans: &[Span]) -> String {
    let span = |span: &Span| match span {
        Span::Plain(text) => one_line(&escape(text)),
        Span::Strong(text) => format!("<strong>{}</strong>", one_line(&escape(text))),
    };
    spans.iter().map(span).collect()
}

fn markdown(part: &Content, next: &mut dyn FnMut() -> Numbered) -> String {
    match part {
        Content::Paragraph(spans) => markdown_spans(spans),
        Content::Warning(spans) => format!("> {}", markdown_spans(spans)),
        Content::List(items) => {
            items.iter().map(|item| format!("- {}", markdown_spans(item))).collect::<Vec<_>>().join("\n")
        }
        Content::Table { head, rows } => {
            let row = |cells: Vec<String>| format!("| {} |", cells.join(" | "));
            let mut lines = vec![row(head.iter().map(|cell| markdown_text(cell)).collect())];
            lines.push(row(vec!["---".to_owned(); head.len()]));
            lines.extend(rows.iter().map(|cells| row(cells.iter().map(|cell| markdown_spans(cell)).collect())));
            lines.join("\n")
        }
        Content::Figure { figure, caption } => {
            format!("{}\n\n{}", image(figure), markdown_spans(&numbered(next().number, caption)))
        }
        Content::Code { .. } => String::new(),
    }
}

fn markdown_spans(spans: &[Span]) -> String {
    let span = |span: &Span| match span {
        Span::Plain(text) => markdown_text(text),
        Span::Strong(text) => format!("**{}**", markdown_text(text)),
    };
    spans.iter().map(span).collect()
}
