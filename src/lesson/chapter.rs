//! One chapter, once its blocks and inline measures are found: each is replaced by what it says.

use super::block::{About, Block, read_block};
use super::compose;
use super::content::{Content, Output, plain, write};
use super::drafted::{BlockFault, Drafted, step_index, step_indices, wrong};
use super::markdown::markdown_text;
use super::units::{self, Both, System};
use crate::draft::{Draft, value_text};
use crate::exercise::{Piece, Shelf, View};
use crate::figure;
use crate::formula::{Base, Formula, NoNames, NoValues};
use crate::html::{escape, keep_together};
use crate::length::{Length, Ruler};
use crate::text::{Lines, Place, Shown, Text, harmless, or_did_you_mean, quoted};
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
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    /// A block.
    Block {
        /// What it is: the word after `foldmark`.
        name: String,
        /// What stands in it.
        body: String,
        /// Whether it stands within a list or a quotation.
        nested: bool,
    },
    /// An inline measure: its formula.
    Measure(String),
    /// The end of the chapter's title, an empty place.
    Title,
}

/// Replaces the blocks and inline measures that were found in a chapter, by their places in its text, in order.
///
/// ```
/// use foldmark::{exercise::Shelf, lesson::{Chapter, Found, Output, render_found}};
/// let shelf = Shelf::shipped();
/// let text = "Half an inch is `= 1/2 in as 1 mm`.";
/// let found = vec![(16..34, Found::Measure("1/2 in as 1 mm".to_owned()))];
/// let chapter = Chapter { path: "ruler.md", text, first: None };
/// assert_eq!(render_found(&shelf, chapter, Output::Html, found).unwrap(), "Half an inch is ≈\u{a0}1.3\u{a0}cm.");
/// ```
///
/// # Errors
/// Every fault, in the order of the lines.
pub fn render_found(
    shelf: &Shelf,
    chapter: Chapter,
    output: Output,
    found: Vec<(Range<usize>, Found)>,
) -> Result<String, Vec<LessonFault>> {
    let mut renderer = Renderer {
        shelf,
        chapter,
        lines: Lines::new(chapter.text),
        output,
        drafts: Vec::new(),
        figures: 0,
        first: chapter.first,
        is_both: false,
        is_styled: false,
        draft_failed: false,
        faults: Vec::new(),
    };
    let mut text = String::with_capacity(chapter.text.len());
    let (mut done, mut below_title) = (0, 0);
    for (range, found) in found {
        text.push_str(&chapter.text[done..range.start]);
        done = range.end;
        match found {
            Found::Block { name, body, nested } => {
                let block = renderer.block(&name, &body, nested, range.start);
                renderer.is_styled |= output == Output::Html && !block.is_empty();
                // Blank lines around it, whatever stands before and after.
                if !block.is_empty() && !text.is_empty() && !text.ends_with("\n\n") {
                    text.push('\n');
                }
                text.push_str(&block);
                if !block.is_empty() && !chapter.text[done..].starts_with("\n\n") {
                    text.push('\n');
                }
            }
            Found::Measure(formula) => text.push_str(&renderer.measure(&formula, range.start)),
            Found::Title => below_title = text.len(),
        }
    }
    text.push_str(&chapter.text[done..]);
    if renderer.is_styled {
        text.insert_str(below_title, STYLE);
    }
    if let (true, Some(first)) = (renderer.is_both, renderer.first) {
        text.insert_str(below_title, &format!("\n{}\n\n", units::switch(first)));
    }
    if renderer.faults.is_empty() { Ok(text) } else { Err(renderer.faults) }
}

/// How a chapter with blocks looks. On paper what belongs together stays on one page, and closed answers are there to be read.
const STYLE: &str = concat!("\n<style>\n", include_str!("lesson.css"), "</style>\n");

struct Renderer<'s, 'c> {
    shelf: &'s Shelf,
    chapter: Chapter<'c>,
    lines: Lines<'c>,
    output: Output,
    /// The drafts of the chapter so far; the last is the one meant where none is named.
    drafts: Vec<Drafted<'s>>,
    figures: usize,
    /// What shows first of what is in both systems of units, and whether anything is.
    first: Option<System>,
    is_both: bool,
    /// Whether a block shows anything on a page of HTML.
    is_styled: bool,
    draft_failed: bool,
    faults: Vec<LessonFault>,
}

/// What is said of one draft.
type Said = Result<Vec<Content>, Vec<BlockFault>>;

/// What a block becomes: once, or in both systems of units.
enum Parts {
    Once(Vec<Content>),
    Both(Both<Vec<Content>>),
}

impl<'s> Renderer<'s, '_> {
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

    fn block(&mut self, name: &str, body: &str, nested: bool, start: usize) -> String {
        let line = self.lines.place(start).line;
        if nested {
            self.fault(line, "a foldmark block stands at the left margin, not inside a list or a quotation".to_owned());
            return String::new();
        }
        let parts = match read_block(name, body) {
            Ok(block) => self.parts(&block, body),
            Err(faults) => Err(faults.into_iter().map(wrong).collect()),
        };
        match parts {
            Ok(parts) => self.written(&parts),
            Err(wrongs) => {
                self.draft_failed |= name == "draft";
                for (place, message) in wrongs {
                    self.fault(line + place.map_or(0, |place| place.line), message);
                }
                String::new()
            }
        }
    }

    fn written(&mut self, parts: &Parts) -> String {
        // One identifier for each figure, from the chapter's path: unique over the whole book.
        let stem = identifier(self.chapter.path);
        let figures = &mut self.figures;
        let mut id = || {
            *figures += 1;
            format!("fm-{stem}-{figures}")
        };
        let mut write = |parts: &[Content]| write(parts, self.output, &mut id);
        match parts {
            Parts::Once(parts) => write(parts).join("\n\n"),
            Parts::Both(parts) => {
                let both = Both { inch: write(&parts.inch), metric: write(&parts.metric) };
                let (text, is_both) = units::blocks(both, self.first.unwrap_or(System::Inch));
                self.is_both |= is_both;
                text
            }
        }
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
    fn measure(&mut self, text: &str, start: usize) -> String {
        match self.measure_text(text) {
            Ok((own, twin)) => match (self.output, twin) {
                (Output::Markdown, _) => markdown_text(&own),
                (Output::Html, Some((system, twin))) if twin != own => {
                    self.is_both = true;
                    units::inline(Both::new(system, &twin, &own), self.first.unwrap_or(System::Inch))
                }
                (Output::Html, _) => escape(&own),
            },
            Err(message) => {
                let line = self.lines.place(start).line;
                let told = format!("`= {}`: {message}", harmless(text, 60));
                self.fault(line, if message.is_empty() { message } else { told });
                String::new()
            }
        }
    }

    /// The measure as it is typeset, and that of the draft's twin, if it has one.
    fn measure_text(&self, text: &str) -> Result<(String, Option<(System, String)>), String> {
        let (text, ruler) = match text.rsplit_once(" as ") {
            Some((formula, ruler)) => (formula, Some(Ruler::read(ruler.trim()).map_err(|error| error.to_string())?)),
            None => (text, None),
        };
        let (name, text) = match text.split_once(':') {
            Some((name, formula)) => (Some(name.trim()), formula.trim()),
            None => (None, text.trim()),
        };
        if name.is_none() && self.drafts.is_empty() && !self.draft_failed {
            let formula = Formula::compile(text, &NoNames).map_err(|fault| fault.message)?;
            return Ok((keep_together(&literal(&formula, ruler)?), None));
        }
        let drafted = self.draft_of(name)?;
        let formula = Formula::compile(text, &drafted.own.exercise.scope).map_err(|fault| fault.message)?;
        if formula.kind().list.is_some() {
            return Err("this has a value for each row; fold it into one, with sum, max, first or the like".to_owned());
        }
        let written = |draft: &Draft| {
            let value = measurable(&formula, formula.evaluate(&draft.measures, None))?;
            let text = value_text(formula.kind().base, value, ruler.unwrap_or(draft.givens.ruler));
            Ok::<_, String>(keep_together(&text))
        };
        let twin = match &drafted.twin {
            None => None,
            Some(twin) => {
                let system = System::of(twin.givens.ruler);
                Some((system, written(twin).map_err(|message| format!("in {}: {message}", system.people()))?))
            }
        };
        Ok((written(&drafted.own)?, twin))
    }
}

/// What a block says of a draft.
fn say(about: &About, draft: &Draft, body: &str) -> Said {
    let one = |wrong: BlockFault| vec![wrong];
    let exercise = draft.exercise;
    match about {
        About::Step { step } => Ok(compose::step(draft, step_index(exercise, step, body).map_err(one)?)),
        About::Figure { step, piece, is_opened, caption } => {
            let figure = match (step, piece) {
                (Some(step), _) => figure::step(draft, step_index(exercise, step, body).map_err(one)?),
                (None, Some(name)) => {
                    let piece = piece_of(draft, name, body).map_err(one)?;
                    let fault = |message: String| one((at(body, name), format!("{}: {message}", piece.title)));
                    if *is_opened {
                        let figure = figure::opened(draft, piece).map_err(|error| fault(error.to_string()))?;
                        figure.ok_or_else(|| {
                            fault("none of its edges is on the fold, so there is nothing to open out".to_owned())
                        })?
                    } else {
                        figure::piece(draft, piece).map_err(|error| fault(error.to_string()))?
                    }
                }
                (None, None) => figure::whole(draft),
            };
            Ok(vec![Content::Figure { figure, caption: caption_of(caption) }])
        }
        About::Section { section: name, caption } => {
            let found = exercise.sections.iter().find(|section| section.name == name.value);
            let found = found.ok_or_else(|| {
                let names = exercise.sections.iter().map(|section| section.name.as_str());
                one((at(body, name), format!("there is no section {}{}", quoted(&name.value), there_are(names))))
            })?;
            let figure = figure::section(draft, found);
            let figure = figure.map_err(|fault| one((at(body, name), format!("{}: {fault}", found.title))))?;
            Ok(vec![Content::Figure { figure, caption: caption_of(caption) }])
        }
        About::View { view: name, caption } => {
            let place = name.as_ref().and_then(|name| at(body, name));
            let is_meant = |view: &&View| name.as_ref().is_none_or(|name| view.name == name.value);
            let found = exercise.views.iter().find(is_meant).ok_or_else(|| {
                let called = name.as_ref().map_or_else(String::new, |name| format!(" {}", quoted(&name.value)));
                let names = exercise.views.iter().map(|view| view.name.as_str());
                one((place, format!("there is no view{called}{}", there_are(names))))
            })?;
            let figure = figure::view(draft, found);
            let figure = figure.map_err(|fault| one((place, format!("{}: {fault}", found.title))))?;
            Ok(vec![Content::Figure { figure, caption: caption_of(caption) }])
        }
        About::Wrong { slip: name, piece, caption } => {
            let slip = exercise.slips.iter().find(|slip| slip.name == name.value).ok_or_else(|| {
                let known = exercise.slips.iter().map(|slip| slip.name.as_str());
                let hint = or_did_you_mean(&name.value, known, Shown::Key);
                one((at(body, name), format!("there is no slip {}{hint}", quoted(&name.value))))
            })?;
            let piece = piece.as_ref().map(|piece| piece_of(draft, piece, body)).transpose().map_err(one)?;
            let figure = figure::slip(draft, slip, piece).map_err(|fault| one((at(body, name), fault.to_string())))?;
            // What the exercise says of the mistake does for a caption.
            let caption = if caption.is_empty() { &slip.says } else { caption };
            Ok(vec![Content::Figure { figure, caption: caption_of(caption) }])
        }
        About::Steps { only } => Ok(compose::steps(draft, &step_indices(exercise, only, body)?)),
        About::Slips { steps } => Ok(compose::slips(draft, &step_indices(exercise, steps, body)?)),
        About::Cutting => compose::cutting(draft).map_err(|fault| one((None, fault.to_string()))),
        About::Cautions => Ok(compose::cautions(exercise)),
        About::Homework => Ok(compose::homework(exercise, draft.givens.ruler)),
    }
}

/// A piece that the draft has.
fn piece_of<'e>(draft: &Draft<'e>, name: &Text, body: &str) -> Result<&'e Piece, BlockFault> {
    let there = || draft.pieces().map(|piece| piece.name.as_str()).collect::<Vec<_>>().join(", ");
    let message = match draft.exercise.piece(&name.value) {
        Some(piece) if draft.pieces().any(|known| known.name == piece.name) => return Ok(piece),
        Some(_) => format!("with these givens there is no piece {}; there are: {}", quoted(&name.value), there()),
        None => format!("there is no piece {}; there are: {}", quoted(&name.value), there()),
    };
    Err((at(body, name), message))
}

fn at(body: &str, text: &Text) -> Option<Place> {
    Some(Place::of(body, text.span.start))
}

/// A value that can be printed as a measure.
fn measurable(formula: &Formula, value: Option<f64>) -> Result<f64, String> {
    let kind = formula.kind();
    if !matches!(kind.base, Base::Length | Base::Number | Base::Area) {
        return Err(format!("a measure is expected here, but this is {}", kind.describe()));
    }
    let fits = |value: &f64| kind.base != Base::Length || Length::from_nm_f64(*value).is_some();
    value.filter(fits).ok_or_else(|| "this can't be worked out; does it divide by nothing?".to_owned())
}

/// A formula of literals only; a length on the ruler, or exactly where none is named.
fn literal(formula: &Formula, ruler: Option<Ruler>) -> Result<String, String> {
    let value = measurable(formula, formula.evaluate(&NoValues, None))?;
    match (ruler, Length::from_nm_f64(value)) {
        (None, Some(length)) if formula.kind() == crate::formula::Kind::LENGTH => Ok(length.to_string()),
        (ruler, _) => Ok(value_text(formula.kind().base, value, ruler.unwrap_or(Ruler::SIXTEENTH))),
    }
}

/// The rest of a sentence on something that is not there.
fn there_are<'n>(names: impl Iterator<Item = &'n str>) -> String {
    match names.collect::<Vec<_>>()[..] {
        [] => "; this exercise has none".to_owned(),
        ref names => format!("; there are: {}", names.join(", ")),
    }
}

fn caption_of(caption: &str) -> Vec<super::content::Span> {
    if caption.is_empty() { Vec::new() } else { plain(caption) }
}

/// A chapter's path as part of an identifier. Every character but letters, digits, `-` and `_` is written as its
/// code between full stops, so that different paths never share one.
fn identifier(path: &str) -> String {
    let mut id = String::new();
    for letter in path.trim_end_matches(".md").chars() {
        match letter {
            'a'..='z' | 'A'..='Z' | '0'..='9' | '-' | '_' => id.push(letter),
            other => id.push_str(&format!(".{:x}.", u32::from(other))),
        }
    }
    id
}
