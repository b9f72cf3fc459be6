//! One chapter, once its blocks and inline measures are found: each is replaced by what it says.

use super::block::{Block, read_block};
use super::compose;
use super::content::{Content, Numbered, Output, figure_words, write};
use super::drafted::{BlockFault, Drafted, wrong};
use super::markdown::markdown_text;
use super::measure::Measure;
use super::say::{Said, at, caption_of, say};
use super::units::{self, Both, System};
use crate::draft::Draft;
use crate::exercise::Shelf;
use crate::figure;
use crate::html::escape;
use crate::length::{Length, Ruler};
use crate::text::{Lines, Place, Text, harmless, quoted};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::ops::Range;

/// A chapter to be rendered.
#[derive(Debug, Clone, Copy)]
pub struct Chapter<'c> {
    /// Its path, for faults and for identifiers.
    pub path: &'c str,
    /// Its Markdown.
    pub text: &'c str,
    /// What shows first of what is in both systems of units; `None` for that of the chapter's first draft with a twin.
    pub first: Option<System>,
    /// Whether the page can be worked anew for a reader's own objects: then its parts are numbered.
    pub is_live: bool,
}

/// Something wrong in a chapter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LessonFault {
    /// The chapter's path.
    pub chapter: String,
    /// Line, from 1.
    pub line: usize,
    /// The key concerned, if there is one, and what is wrong.
    pub message: String,
}

impl fmt::Display for LessonFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, line {}: {}", harmless(&self.chapter, 200), self.line, self.message)
    }
}

/// What is replaced in a chapter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Found {
    /// A block.
    Block {
        /// What it is: the word after `foldmark`.
        name: String,
        /// What stands in it.
        body: String,
        /// Whether it stands within a list or a quotation.
        nested: bool,
        /// The number of its first figure in the chapter, if it is known: a page worked anew keeps it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        figure: Option<usize>,
    },
    /// Where the number of a figure stands: `next`, `last`, or what it shows.
    Figure(String),
    /// An inline measure: its formula.
    Measure(String),
    /// The end of the chapter's title, an empty place.
    Title,
}

/// A chapter, rendered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rendered {
    /// Its text, Markdown with HTML in it.
    pub text: String,
    /// Whether it has a draft that a reader may work for their own objects.
    pub is_open: bool,
    /// For each block that was found, the number of its first figure, if it has one.
    pub figures: Vec<Option<usize>>,
}

/// Replaces the blocks and inline measures that were found in a chapter, by their places in its text, in order.
///
/// ```
/// use foldmark::{exercise::Shelf, lesson::{Chapter, Found, Output, render_found}};
/// let shelf = Shelf::shipped();
/// let text = "Half an inch is `= 1/2 in as 1 mm`.";
/// let found = vec![(16..34, Found::Measure("1/2 in as 1 mm".to_owned()))];
/// let chapter = Chapter { path: "ruler.md", text, first: None, is_live: false };
/// assert_eq!(render_found(&shelf, chapter, Output::Html, &found).unwrap().text, "Half an inch is ≈\u{a0}1.3\u{a0}cm.");
/// ```
///
/// # Errors
/// Every fault, in the order of the lines.
pub fn render_found(
    shelf: &Shelf,
    chapter: Chapter,
    output: Output,
    found: &[(Range<usize>, Found)],
) -> Result<Rendered, Vec<LessonFault>> {
    let mut renderer = Renderer::new(shelf, chapter, output);
    let mut text = String::with_capacity(chapter.text.len());
    let (mut done, mut below_title) = (0, 0);
    let (mut references, mut figures) = (Vec::new(), Vec::with_capacity(found.len()));
    for (at, (range, found)) in found.iter().enumerate() {
        text.push_str(&chapter.text[done..range.start]);
        done = range.end;
        match found {
            Found::Block { name, body, nested, .. } => {
                let (before, start) = (renderer.numbers.len(), text.len());
                let block = renderer.block(at, name, body, *nested, range.start);
                // Blank lines around it, whatever stands before and after.
                if !block.is_empty() && !text.is_empty() && !text.ends_with("\n\n") {
                    text.push('\n');
                }
                renderer.places.resize(renderer.numbers.len(), start);
                figures.push((renderer.numbers.len() > before).then_some(before + 1));
                text.push_str(&block);
                if !block.is_empty() && !chapter.text[done..].starts_with("\n\n") {
                    text.push('\n');
                }
            }
            Found::Measure(formula) => text.push_str(&renderer.measure(at, formula, range.start)),
            Found::Figure(name) => {
                let (above, start) = (renderer.numbers.len(), range.start);
                references.push(Reference { name, at: text.len(), above, start });
            }
            Found::Title => below_title = text.len(),
        }
        figures.resize(at + 1, None);
    }
    text.push_str(&chapter.text[done..]);
    let mut put_in = renderer.refer(&references);
    put_in.sort_by_key(|(at, _)| std::cmp::Reverse(*at));
    for (at, said) in put_in {
        text.insert_str(at, &said);
        // A chapter may begin with a figure's number, and its title come later.
        below_title += if at < below_title { said.len() } else { 0 };
    }
    if let (true, Some(first)) = (renderer.is_both, renderer.first) {
        text.insert_str(below_title, &format!("\n{}\n\n", units::switch(first)));
    }
    if renderer.is_open {
        let marker =
            format!("\n<div class=\"foldmark-lesson\" data-lesson=\"{}\"></div>\n\n", identifier(chapter.path));
        text.insert_str(below_title, &marker);
    }
    if renderer.faults.is_empty() {
        Ok(Rendered { text, is_open: renderer.is_open, figures })
    } else {
        Err(renderer.faults)
    }
}

struct Renderer<'s, 'c> {
    shelf: &'s Shelf,
    chapter: Chapter<'c>,
    lines: Lines<'c>,
    output: Output,
    /// The drafts of the chapter so far; the last is the one meant where none is named.
    drafts: Vec<Drafted<'s>>,
    figures: usize,
    /// What each numbered figure so far is called, in order, and where its block begins in the text.
    numbers: Vec<String>,
    places: Vec<usize>,
    /// What shows first of what is in both systems of units, and whether anything is.
    first: Option<System>,
    is_both: bool,
    /// Whether a draft was shown that a reader may work for their own objects.
    is_open: bool,
    draft_failed: bool,
    faults: Vec<LessonFault>,
}

/// Where the text refers to a figure.
struct Reference<'f> {
    /// The figure's name, or `next` or `last`.
    name: &'f str,
    /// Its place in what is written.
    at: usize,
    /// So many figures stand above it.
    above: usize,
    /// Its place in the chapter.
    start: usize,
}

/// What a block becomes: once, or in both systems of units.
enum Parts {
    Once(Vec<Content>),
    Both(Both<Vec<Content>>),
}

impl<'s, 'c> Renderer<'s, 'c> {
    fn new(shelf: &'s Shelf, chapter: Chapter<'c>, output: Output) -> Renderer<'s, 'c> {
        Renderer {
            shelf,
            chapter,
            lines: Lines::new(chapter.text),
            output,
            drafts: Vec::new(),
            figures: 0,
            numbers: Vec::new(),
            places: Vec::new(),
            first: chapter.first,
            is_both: false,
            is_open: false,
            draft_failed: false,
            faults: Vec::new(),
        }
    }

    fn fault(&mut self, line: usize, message: String) {
        // What is missing only because a draft failed is not worth a fault of its own.
        if message.is_empty() {
            return;
        }
        // A chapter with more has something wrong as a whole.
        if self.faults.len() == 50 {
            return;
        }
        self.faults.push(LessonFault { chapter: self.chapter.path.to_owned(), line, message });
    }

    fn block(&mut self, at: usize, name: &str, body: &str, nested: bool, start: usize) -> String {
        let line = self.lines.place(start).line;
        if nested {
            self.fault(line, "a foldmark block stands at the left margin, not inside a list or a quotation".to_owned());
            return String::new();
        }
        let parts = match read_block(name, body) {
            Ok(block) => self
                .parts(&block, body)
                .map(|parts| (self.is_about_open(&block), parts, block.figure_name().unwrap_or_default().to_owned())),
            Err(faults) => Err(faults.into_iter().map(wrong).collect()),
        };
        match parts {
            Ok((true, parts, name_of_figure)) => {
                self.is_open = true;
                let text = self.written(&parts, &name_of_figure);
                // The page's script has something to do at some of them.
                let block = match name {
                    "draft" | "step" | "homework" => format!(" data-block=\"{name}\""),
                    _ => String::new(),
                };
                format!("<div class=\"foldmark-part\" data-part=\"{at}\"{block}>\n\n{text}\n\n</div>")
            }
            Ok((false, parts, name_of_figure)) => self.written(&parts, &name_of_figure),
            Err(wrongs) => {
                self.draft_failed |= name == "draft";
                for (place, message) in wrongs {
                    self.fault(line + place.map_or(0, |place| place.line), message);
                }
                String::new()
            }
        }
    }

    /// Whether a block is about a draft that a reader may work for their own objects.
    fn is_about_open(&self, block: &Block) -> bool {
        let is_open = |name: Option<&str>| self.draft_of(name).is_ok_and(|drafted| drafted.is_open);
        self.chapter.is_live
            && self.output == Output::Html
            && match block {
                Block::Draft(_) => is_open(None),
                Block::About(name, _) => is_open(name.as_ref().map(|name| name.value.as_str())),
                Block::Ruler { .. } => false,
            }
    }

    fn written(&mut self, parts: &Parts, name: &str) -> String {
        // One identifier for each figure, from the chapter's path: unique over the whole book.
        let stem = identifier(self.chapter.path);
        let (figures, before) = (&mut self.figures, self.numbers.len());
        let mut most = before;
        // Both systems show the same figures, which have the same numbers.
        let mut write = |parts: &[Content]| {
            let mut number = before;
            let mut next = || {
                *figures += 1;
                number += 1;
                Numbered { id: format!("fm-{stem}-{figures}"), number }
            };
            let written = write(parts, self.output, &mut next);
            most = most.max(number);
            written
        };
        let text = match parts {
            Parts::Once(parts) => write(parts).join("\n\n"),
            Parts::Both(parts) => {
                let both = Both { inch: write(&parts.inch), metric: write(&parts.metric) };
                let (text, is_both) = units::blocks(both, self.first.unwrap_or(System::Inch));
                self.is_both |= is_both;
                text
            }
        };
        self.numbers.resize(most, name.to_owned());
        text
    }

    /// What is put in where the text refers to figures, and at those figures, so that a link leads there: each with its
    /// place.
    fn refer(&mut self, references: &[Reference]) -> Vec<(usize, String)> {
        let stem = identifier(self.chapter.path);
        let has_faults = !self.faults.is_empty();
        let mut put_in = Vec::new();
        let mut known: Vec<usize> = Vec::new();
        for reference in references {
            let number = match reference.name {
                "next" => (reference.above < self.numbers.len()).then_some(reference.above + 1),
                "last" => (reference.above > 0).then_some(reference.above),
                name => self.numbers.iter().position(|known| known == name).map(|at| at + 1),
            };
            let Some(number) = number else {
                // What is missing only because another block failed is not worth a fault of its own.
                if has_faults {
                    continue;
                }
                let line = self.lines.place(reference.start).line;
                let name = harmless(reference.name, 60);
                let mut names: Vec<&str> = self.numbers.iter().map(String::as_str).collect();
                names.dedup();
                let there = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
                let message = format!(
                    "`= figure {name}`: there is no such figure; write `next`, `last`, or one of those in this chapter: {there}"
                );
                self.fault(line, message);
                continue;
            };
            let words = figure_words(number);
            if self.output == Output::Markdown {
                put_in.push((reference.at, words));
                continue;
            }
            put_in.push((reference.at, format!("<a href=\"#fm-{stem}-figure-{number}\">{words}</a>")));
            if !known.contains(&number) {
                known.push(number);
                let at = self.places[number - 1];
                put_in.push((at, format!("\n<div id=\"fm-{stem}-figure-{number}\"></div>\n\n")));
            }
        }
        put_in
    }

    fn parts(&mut self, block: &Block, body: &str) -> Result<Parts, Vec<BlockFault>> {
        match block {
            Block::Draft(block) => {
                let drafted = Drafted::work(self.shelf, block, body)?;
                let parts = if block.quiet {
                    Parts::Once(Vec::new())
                } else {
                    self.both(&drafted, &|draft| Ok(compose::givens(draft)))?
                };
                if drafted.twin.is_some() {
                    self.first.get_or_insert(System::of(drafted.own.givens.ruler));
                }
                self.draft_failed = false;
                self.drafts.retain(|known| known.name != drafted.name);
                self.drafts.push(drafted);
                Ok(parts)
            }
            Block::About(name, about) => {
                let drafted = self.named(name.as_ref(), body).map_err(|wrong| vec![wrong])?;
                self.both(drafted, &|draft| say(about, draft, body))
            }
            Block::Ruler { ruler, length, reading, caption } => {
                let one = |text: &Text, message: String| vec![(at(body, text), message)];
                let read = |text: &Text| Length::read(&text.value, None).map_err(|error| one(text, error.to_string()));
                let scale = Ruler::read(&ruler.value).map_err(|error| one(ruler, error.to_string()))?;
                let (long, mark) = (read(length)?, read(reading)?);
                if long.is_negative() || long.is_zero() || mark.is_negative() || mark > long {
                    return Err(one(reading, "the reading has to lie between 0 and the ruler's length".to_owned()));
                }
                let figure = figure::ruler(scale, long, mark);
                Ok(Parts::Once(vec![Content::Figure { figure, caption: caption_of(caption) }]))
            }
        }
    }

    /// What is said of a draft, and for a page of its twin, too.
    fn both(&self, drafted: &Drafted, say: &dyn Fn(&Draft) -> Said) -> Result<Parts, Vec<BlockFault>> {
        let own = say(&drafted.own)?;
        let Some(twin) = drafted.twin.as_ref().filter(|_| self.output == Output::Html) else {
            return Ok(Parts::Once(own));
        };
        let system = System::of(twin.givens.ruler);
        let of_twin = |(place, message)| (place, format!("in {}: {message}", system.people()));
        let twin = say(twin).map_err(|wrongs| wrongs.into_iter().map(of_twin).collect::<Vec<_>>())?;
        Ok(Parts::Both(Both::new(system, twin, own)))
    }

    /// The draft of this name, or the last one.
    fn named(&self, name: Option<&Text>, body: &str) -> Result<&Drafted<'s>, BlockFault> {
        let place = name.map(|name| Place::of(body, name.span.start));
        self.draft_of(name.map(|name| name.value.as_str())).map_err(|message| (place, message))
    }

    fn draft_of(&self, name: Option<&str>) -> Result<&Drafted<'s>, String> {
        let is_there = |name: &str| self.drafts.iter().any(|known| known.name == name);
        if self.draft_failed && !name.is_some_and(is_there) {
            return Err(String::new());
        }
        match name {
            None => self
                .drafts
                .last()
                .ok_or_else(|| "there is no draft yet; work one first, with a `foldmark draft` block above".to_owned()),
            Some(name) => self.drafts.iter().find(|known| known.name == name).ok_or_else(|| {
                let names: Vec<&str> =
                    self.drafts.iter().map(|known| known.name.as_str()).filter(|name| !name.is_empty()).collect();
                format!("there is no draft {} above; there are: {}", quoted(name), names.join(", "))
            }),
        }
    }

    /// An inline measure: `fold_height`, `chisels: fold_height`, `fold_height / 2 as 1 mm`.
    fn measure(&mut self, at: usize, text: &str, start: usize) -> String {
        match self.measure_text(text) {
            Ok(Measured { own, .. }) if self.output == Output::Markdown => markdown_text(&own),
            Ok(Measured { own, twin, is_open }) => {
                let text = match twin {
                    Some((system, twin)) if twin != own => {
                        self.is_both = true;
                        units::inline(Both::new(system, &twin, &own), self.first.unwrap_or(System::Inch))
                    }
                    _ => escape(&own),
                };
                if is_open && self.chapter.is_live { format!("<span data-part=\"{at}\">{text}</span>") } else { text }
            }
            Err(message) => {
                let line = self.lines.place(start).line;
                let told = format!("`= {}`: {message}", harmless(text, 60));
                self.fault(line, if message.is_empty() { message } else { told });
                String::new()
            }
        }
    }

    fn measure_text(&self, text: &str) -> Result<Measured, String> {
        let measure = Measure::read(text)?;
        if measure.draft.is_none() && self.drafts.is_empty() && !self.draft_failed {
            return Ok(Measured { own: measure.alone()?, twin: None, is_open: false });
        }
        let drafted = self.draft_of(measure.draft)?;
        let formula = measure.of(&drafted.own)?;
        let written = |draft: &Draft| measure.text(&formula, draft);
        let twin = match &drafted.twin {
            None => None,
            Some(twin) => {
                let system = System::of(twin.givens.ruler);
                Some((system, written(twin).map_err(|message| format!("in {}: {message}", system.people()))?))
            }
        };
        Ok(Measured { own: written(&drafted.own)?, twin, is_open: drafted.is_open })
    }
}

/// An inline measure as it is typeset.
struct Measured {
    own: String,
    /// That of the draft's twin, if it has one.
    twin: Option<(System, String)>,
    /// Whether a reader may work its draft for their own objects.
    is_open: bool,
}

/// A chapter's path as part of an identifier. Every character but letters, digits, `-` and `_` is written as its
/// code between full stops, so that different paths never share one.
///
/// ```
/// assert_eq!(foldmark::lesson::identifier("flat/roll.md"), "flat.2f.roll");
/// ```
pub fn identifier(path: &str) -> String {
    let mut id = String::new();
    for letter in path.trim_end_matches(".md").chars() {
        match letter {
            'a'..='z' | 'A'..='Z' | '0'..='9' | '-' | '_' => id.push(letter),
            other => id.push_str(&format!(".{:x}.", u32::from(other))),
        }
    }
    id
}
