//! One chapter: its blocks and inline measures found with mdBook's own Markdown parser, and replaced.

use super::block::{Block, DraftBlock, read_block};
use super::compose;
use super::part::{Output, Part, markdown_text, plain, write};
use crate::draft::{Draft, Givens, Raw, broken_limit, value_text};
use crate::exercise::{Exercise, Fault, Lines, Place, Shelf, StepRule, Text, harmless, quoted};
use crate::figure;
use crate::formula::{Base, Formula, NoNames, NoValues};
use crate::html::{escape, keep_together};
use crate::length::{Length, Ruler, Tolerance, Unit};
use crate::nearest::nearest;
use mdbook_markdown::pulldown_cmark::{CodeBlockKind, Event, Tag, TagEnd};
use std::fmt;
use std::ops::Range;

/// A chapter to be rendered.
#[derive(Debug, Clone, Copy)]
pub struct Chapter<'c> {
    /// Its path, for faults and for identifiers.
    pub path: &'c str,
    /// Its Markdown.
    pub text: &'c str,
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

/// Replaces every block and inline measure of a chapter.
///
/// ```
/// use foldmark::{exercise::Shelf, lesson::{Chapter, Output, render_chapter}};
/// let shelf = Shelf::shipped();
/// let chapter = Chapter { path: "ruler.md", text: "Half an inch is `= 1/2 in as 1 mm`." };
/// assert_eq!(render_chapter(&shelf, chapter, Output::Html).unwrap(), "Half an inch is ≈\u{a0}1.3\u{a0}cm.");
/// ```
///
/// # Errors
/// Every fault, in the order of the lines.
pub fn render_chapter(shelf: &Shelf, chapter: Chapter, output: Output) -> Result<String, Vec<LessonFault>> {
    let mut renderer = Renderer {
        shelf,
        chapter,
        lines: Lines::new(chapter.text),
        output,
        drafts: Vec::new(),
        figures: 0,
        draft_failed: false,
        faults: Vec::new(),
    };
    let mut text = String::with_capacity(chapter.text.len());
    let mut done = 0;
    for (range, found) in find(chapter.text) {
        text.push_str(&chapter.text[done..range.start]);
        done = range.end;
        match found {
            Found::Block { name, body, nested } => {
                let block = renderer.block(&name, &body, nested, range.start);
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
        }
    }
    text.push_str(&chapter.text[done..]);
    if renderer.faults.is_empty() { Ok(text) } else { Err(renderer.faults) }
}

enum Found {
    Block { name: String, body: String, nested: bool },
    Measure(String),
}

/// The blocks and inline measures of a text, in order. A block shown as an example inside another fence
/// is that fence's text, so the parser does not report it.
fn find(text: &str) -> Vec<(Range<usize>, Found)> {
    if !text.contains("foldmark") && !text.contains("`= ") {
        return Vec::new();
    }
    let parser = mdbook_markdown::new_cmark_parser(text, &mdbook_markdown::MarkdownOptions::default());
    let mut found = Vec::new();
    let mut depth = 0;
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
                    found.push((range, Found::Block { name, body, nested: depth > 0 }));
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
                    found.push((range, Found::Measure(formula.trim().to_owned())));
                }
            }
            _ => {}
        }
    }
    found
}

struct Renderer<'s, 'c> {
    shelf: &'s Shelf,
    chapter: Chapter<'c>,
    lines: Lines<'c>,
    output: Output,
    /// The drafts of the chapter so far; the last is the one meant where none is named.
    drafts: Vec<(String, Draft<'s>)>,
    figures: usize,
    draft_failed: bool,
    faults: Vec<LessonFault>,
}

/// What is wrong, and where in the block's text, if that can be told.
type Wrong = (Option<Place>, String);

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
            Ok(parts) => {
                // One identifier for each figure, from the chapter's path: unique over the whole book.
                let stem = identifier(self.chapter.path);
                let figures = &mut self.figures;
                let mut id = || {
                    *figures += 1;
                    format!("fm-{stem}-{figures}")
                };
                write(&parts, self.output, &mut id)
            }
            Err(wrongs) => {
                self.draft_failed |= name == "draft";
                for (place, message) in wrongs {
                    self.fault(line + place.map_or(0, |place| place.line), message);
                }
                String::new()
            }
        }
    }

    fn parts(&mut self, block: &Block, body: &str) -> Result<Vec<Part>, Vec<Wrong>> {
        let one = |wrong: Wrong| vec![wrong];
        let at = |text: &Text| Some(Place::of(body, text.span.start));
        match block {
            Block::Draft(block) => self.draft(block, body),
            Block::Ruler { ruler, length, reading, caption } => {
                let read =
                    |text: &Text| Length::read(&text.value, None).map_err(|error| one((at(text), error.to_string())));
                let scale = Ruler::read(&ruler.value).map_err(|error| one((at(ruler), error.to_string())))?;
                let (long, mark) = (read(length)?, read(reading)?);
                if long.is_negative() || long.is_zero() || mark.is_negative() || mark > long {
                    return Err(one((
                        at(reading),
                        "the reading has to lie between 0 and the ruler's length".to_owned(),
                    )));
                }
                Ok(vec![Part::Figure { figure: figure::ruler(scale, long, mark), caption: caption_of(caption) }])
            }
            Block::Step { draft, step } => {
                let draft = self.named(draft.as_ref(), body).map_err(one)?;
                Ok(compose::step(draft, step_index(draft.exercise, step, body).map_err(one)?))
            }
            Block::Figure { draft, step, piece, caption } => {
                let draft = self.named(draft.as_ref(), body).map_err(one)?;
                let figure = match (step, piece) {
                    (Some(step), _) => figure::step(draft, step_index(draft.exercise, step, body).map_err(one)?),
                    (None, Some(name)) => {
                        let piece = draft.exercise.piece(&name.value).ok_or_else(|| {
                            let names: Vec<&str> =
                                draft.exercise.pieces.iter().map(|piece| piece.name.as_str()).collect();
                            one((
                                at(name),
                                format!("there is no piece {}; there are: {}", quoted(&name.value), names.join(", ")),
                            ))
                        })?;
                        figure::piece(draft, piece)
                            .map_err(|fault| one((at(name), format!("{}: {fault}", piece.title))))?
                    }
                    (None, None) => figure::whole(draft),
                };
                Ok(vec![Part::Figure { figure, caption: caption_of(caption) }])
            }
            Block::Steps { draft, only } => {
                let draft = self.named(draft.as_ref(), body).map_err(one)?;
                Ok(compose::steps(draft, &step_indices(draft.exercise, only, body)?))
            }
            Block::Slips { draft, steps } => {
                let draft = self.named(draft.as_ref(), body).map_err(one)?;
                Ok(compose::slips(draft, &step_indices(draft.exercise, steps, body)?))
            }
            Block::Cutting { draft } => {
                let draft = self.named(draft.as_ref(), body).map_err(one)?;
                compose::cutting(draft).map_err(|message| one((None, message)))
            }
            Block::Cautions { draft } => Ok(compose::cautions(self.named(draft.as_ref(), body).map_err(one)?.exercise)),
            Block::Homework { draft } => {
                let draft = self.named(draft.as_ref(), body).map_err(one)?;
                Ok(compose::homework(draft.exercise, draft.givens.ruler))
            }
        }
    }

    /// The draft of this name, or the last one.
    fn named(&self, name: Option<&Text>, body: &str) -> Result<&Draft<'s>, Wrong> {
        let place = name.map(|name| Place::of(body, name.span.start));
        self.draft_of(name.map(|name| name.value.as_str())).map_err(|message| (place, message))
    }

    fn draft_of(&self, name: Option<&str>) -> Result<&Draft<'s>, String> {
        let is_there = |name: &str| self.drafts.iter().any(|(known, _)| known == name);
        if self.draft_failed && !name.is_some_and(is_there) {
            return Err(String::new());
        }
        match name {
            None => {
                self.drafts.last().map(|(_, draft)| draft).ok_or_else(|| {
                    "there is no draft yet; work one first, with a `foldmark draft` block above".to_owned()
                })
            }
            Some(name) => {
                self.drafts.iter().find(|(known, _)| known == name).map(|(_, draft)| draft).ok_or_else(|| {
                    let names: Vec<&str> =
                        self.drafts.iter().map(|(name, _)| name.as_str()).filter(|name| !name.is_empty()).collect();
                    format!("there is no draft {} above; there are: {}", quoted(name), names.join(", "))
                })
            }
        }
    }

    fn draft(&mut self, block: &DraftBlock, body: &str) -> Result<Vec<Part>, Vec<Wrong>> {
        let at = |text: &Text| Some(Place::of(body, text.span.start));
        let exercise = self.shelf.get(&block.exercise.value).map_err(|message| {
            if message.contains("did you mean") {
                return vec![(at(&block.exercise), message)];
            }
            let hint = "name a folder of your own in book.toml, as exercises = \"DIR\" under [preprocessor.foldmark]";
            vec![(at(&block.exercise), format!("{message}; {hint}"))]
        })?;
        let unit = match &block.unit {
            None => None,
            Some(text) => Some(
                Unit::read(&text.value)
                    .ok_or_else(|| vec![(at(text), format!("{} is not a unit", quoted(&text.value)))])?,
            ),
        };
        let ruler = match &block.ruler {
            Some(text) => Ruler::read(&text.value).map_err(|error| vec![(at(text), error.to_string())])?,
            None => exercise.usual_ruler(unit.is_some_and(Unit::is_metric)),
        };
        let raw = block.given.clone().unwrap_or_else(|| Raw::example(exercise));
        let givens = Givens::read(exercise, &raw, unit, ruler)
            .map_err(|faults| faults.into_iter().map(wrong).collect::<Vec<_>>())?;
        let (mut choices, mut wrongs) = (Vec::new(), Vec::new());
        for (name, text) in &block.choice {
            match read_choice(exercise, name, text, unit, body) {
                Ok((index, value)) => choices.push((index, value, text)),
                Err(wrong) => wrongs.push(wrong),
            }
        }
        let choose =
            |step: usize, _: usize| choices.iter().find(|(index, ..)| *index == step).map(|(_, value, _)| *value);
        let draft = Draft::new(exercise, givens, &choose).map_err(|fault| vec![(None, fault.to_string())])?;
        for (index, value, text) in &choices {
            let step = &exercise.steps[*index];
            if let Some(bound) = broken_limit(step, *value, &draft.measures, 0, Tolerance::exactly()) {
                let message =
                    format!("{} of {} is outside the rule: {}", step.title, text.value, draft.write_limit(&bound));
                wrongs.push((at(text), message));
            }
        }
        if !wrongs.is_empty() {
            return Err(wrongs);
        }
        let parts = if block.quiet { Vec::new() } else { compose::givens(&draft) };
        self.draft_failed = false;
        self.drafts.retain(|(name, _)| *name != block.name);
        self.drafts.push((block.name.clone(), draft));
        Ok(parts)
    }

    /// An inline measure: `fold_height`, `chisels: fold_height`, `fold_height / 2 as 1 mm`.
    fn measure(&mut self, text: &str, start: usize) -> String {
        match self.measure_text(text) {
            Ok(value) => match self.output {
                Output::Html => escape(&keep_together(&value)),
                Output::Markdown => markdown_text(&keep_together(&value)),
            },
            Err(message) => {
                let line = self.lines.place(start).line;
                let told = format!("`= {}`: {message}", harmless(text, 60));
                self.fault(line, if message.is_empty() { message } else { told });
                String::new()
            }
        }
    }

    fn measure_text(&self, text: &str) -> Result<String, String> {
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
            return literal(&formula, ruler);
        }
        let draft = self.draft_of(name)?;
        let formula = Formula::compile(text, &draft.exercise.scope).map_err(|fault| fault.message)?;
        if formula.kind().list.is_some() {
            return Err("this has a value for each row; fold it into one, with sum, max, first or the like".to_owned());
        }
        let value = measurable(&formula, formula.evaluate(&draft.measures, None))?;
        Ok(value_text(formula.kind().base, value, ruler.unwrap_or(draft.givens.ruler)))
    }
}

/// A value that can be printed as a measure.
fn measurable(formula: &Formula, value: f64) -> Result<f64, String> {
    let kind = formula.kind();
    if !matches!(kind.base, Base::Length | Base::Number | Base::Area) {
        return Err(format!("a measure is expected here, but this is {}", kind.describe()));
    }
    let fits = if kind.base == Base::Length { Length::from_nm_f64(value).is_some() } else { value.is_finite() };
    if fits { Ok(value) } else { Err("this can't be worked out; does it divide by nothing?".to_owned()) }
}

/// A formula of literals only; a length on the ruler, or exactly where none is named.
fn literal(formula: &Formula, ruler: Option<Ruler>) -> Result<String, String> {
    let value = measurable(formula, formula.evaluate(&NoValues, None))?;
    match (ruler, Length::from_nm_f64(value)) {
        (None, Some(length)) if formula.kind() == crate::formula::Kind::LENGTH => Ok(length.to_string()),
        (ruler, _) => Ok(value_text(formula.kind().base, value, ruler.unwrap_or(Ruler::SIXTEENTH))),
    }
}

/// A choice in a draft block: the step's index and the value.
fn read_choice(
    exercise: &Exercise,
    name: &Text,
    text: &Text,
    unit: Option<Unit>,
    body: &str,
) -> Result<(usize, f64), Wrong> {
    let index = step_index(exercise, name, body)?;
    if !matches!(exercise.steps[index].rule, StepRule::Within { .. }) {
        let place = Some(Place::of(body, name.span.start));
        return Err((place, format!("{} is worked out, not chosen", exercise.steps[index].title)));
    }
    let length =
        Length::read(&text.value, unit).map_err(|error| (Some(Place::of(body, text.span.start)), error.to_string()))?;
    Ok((index, length.as_nm_f64()))
}

fn wrong(fault: Fault) -> Wrong {
    let message = if fault.key.is_empty() { fault.message } else { format!("{}: {}", fault.key, fault.message) };
    (fault.place, message)
}

fn caption_of(caption: &str) -> Vec<super::part::Span> {
    if caption.is_empty() { Vec::new() } else { plain(caption) }
}

fn step_index(exercise: &Exercise, name: &Text, body: &str) -> Result<usize, Wrong> {
    exercise.steps.iter().position(|step| step.name == name.value).ok_or_else(|| {
        let near = nearest(&name.value, exercise.steps.iter().map(|step| step.name.as_str()));
        let hint = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
        (Some(Place::of(body, name.span.start)), format!("there is no step {}{hint}", quoted(&name.value)))
    })
}

/// The steps named, or all if none is.
fn step_indices(exercise: &Exercise, names: &[Text], body: &str) -> Result<Vec<usize>, Vec<Wrong>> {
    if names.is_empty() {
        return Ok((0..exercise.steps.len()).collect());
    }
    names.iter().map(|name| step_index(exercise, name, body)).collect::<Result<_, _>>().map_err(|wrong| vec![wrong])
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
