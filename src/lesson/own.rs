//! A lesson worked for a reader's own objects: of the parts that are about one draft, what each says then.

use super::block::{About, Block, read_block};
use super::chapter::{Found, identifier};
use super::compose;
use super::content::{Content, Numbered, Output, plain, write};
use super::drafted::Drafted;
use super::measure::Measure;
use super::say::say;
use crate::draft::{Draft, Givens, Raw};
use crate::exercise::{Exercise, Shelf, StepId};
use crate::html::escape;
use crate::length::{Length, Ruler};
use crate::text::Fault;

/// What a reader works a draft with, in place of the lesson's values.
#[derive(Debug, Clone)]
pub struct Own {
    /// The ruler; a bare number is in its unit.
    pub ruler: Ruler,
    /// The givens, as typed.
    pub given: Raw,
    /// Choices by the step's name, as typed; what is not named is as suggested.
    pub choice: Vec<(String, String)>,
}

impl Own {
    /// Works an exercise with these values. A choice beyond its limits is put back within them; one that can't be read is as
    /// if there were none.
    ///
    /// # Errors
    /// Every given that is missing, unreadable or out of range; or the step that can't be worked out.
    pub fn draft<'e>(&self, exercise: &'e Exercise) -> Result<Draft<'e>, Vec<Fault>> {
        let unit = Some(self.ruler.unit());
        let givens = Givens::read(exercise, &self.given, unit, self.ruler)?;
        let chosen = |(name, text): &(String, String)| {
            let step = exercise.step_id(name).filter(|step| exercise.steps[*step].is_choice())?;
            Some((step, Length::read(text, unit).ok()?.as_nm_f64()))
        };
        let chosen: Vec<(StepId, f64)> = self.choice.iter().filter_map(chosen).collect();
        Draft::settling(exercise, &givens, chosen).map_err(|fault| vec![Fault::whole(fault.to_string())])
    }
}

/// The parts of a chapter that are about drafts which a reader may work, read once.
#[derive(Debug, Clone)]
pub struct OpenChapter {
    id: String,
    parts: Vec<OpenPart>,
}

#[derive(Debug, Clone)]
struct OpenPart {
    /// Its number on the page.
    at: usize,
    /// The draft it is about: its place among those of the chapter.
    draft: usize,
    what: What,
    /// The number of its first figure.
    figure: usize,
}

#[derive(Debug, Clone)]
enum What {
    /// A block, and its text.
    Block(Block, String),
    /// An inline measure.
    Measure(String),
}

/// A draft of a chapter that a reader may work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenDraft {
    /// The number on the page of the part that shows what is given.
    pub part: usize,
    /// The exercise.
    pub exercise: String,
}

impl OpenChapter {
    /// From what was found in a chapter, and the drafts in it that are open. What has a fault is left out: a chapter
    /// with one is not built.
    pub fn new(path: &str, found: &[Found]) -> (OpenChapter, Vec<OpenDraft>) {
        let mut parts = Vec::new();
        let mut drafts: Vec<(String, Option<usize>)> = Vec::new();
        let mut open = Vec::new();
        for (at, found) in found.iter().enumerate() {
            // The draft of this name, or the last one above, if it is open.
            let about = |drafts: &[(String, Option<usize>)], name: Option<&str>| match name {
                None => drafts.last().and_then(|(_, draft)| *draft),
                Some(name) => drafts.iter().rev().find(|(known, _)| known == name).and_then(|(_, draft)| *draft),
            };
            let figure = if let Found::Block { figure: Some(figure), .. } = found { *figure } else { 1 };
            let (draft, what) = match found {
                Found::Title | Found::Figure(_) => continue,
                Found::Measure(text) => {
                    let name = text.split_once(':').map(|(name, _)| name.trim());
                    (about(&drafts, name), What::Measure(text.clone()))
                }
                Found::Block { name, body, .. } => {
                    let Ok(block) = read_block(name, body) else { continue };
                    let draft = match &block {
                        Block::Draft(block) => {
                            let draft = (!block.quiet).then_some(open.len());
                            open.extend(draft.map(|_| OpenDraft { part: at, exercise: block.exercise.value.clone() }));
                            drafts.push((block.name.clone(), draft));
                            draft
                        }
                        Block::About(name, _) => about(&drafts, name.as_ref().map(|name| name.value.as_str())),
                        Block::Ruler { .. } => None,
                    };
                    (draft, What::Block(block, body.clone()))
                }
            };
            parts.extend(draft.map(|draft| OpenPart { at, draft, what, figure }));
        }
        (OpenChapter { id: identifier(path), parts }, open)
    }

    /// What each part about an open draft says of another draft of its exercise: its number on the page, and HTML; of all
    /// such parts, or of those that are wanted. Where a part has nothing to show, it says why.
    pub fn work(&self, open: usize, draft: &Draft, wanted: Option<&[usize]>) -> Vec<(usize, String)> {
        let is_wanted = |part: &&OpenPart| wanted.is_none_or(|wanted| wanted.contains(&part.at));
        let parts = self.parts.iter().filter(|part| part.draft == open).filter(is_wanted);
        parts.map(|part| (part.at, self.written(part, draft))).collect()
    }

    fn written(&self, part: &OpenPart, draft: &Draft) -> String {
        let mut figures = 0;
        let mut next = || {
            figures += 1;
            let id = format!("own-{}-{}-{figures}", self.id, part.at);
            Numbered { id, number: part.figure + figures - 1 }
        };
        match &part.what {
            What::Measure(text) => measured(text, draft).unwrap_or_else(|_| "—".to_owned()),
            What::Block(block, body) => {
                let said = match block {
                    Block::Draft(_) => Ok(compose::givens(draft)),
                    Block::About(_, About::Wrong { slip, .. }) if !makes_a_difference(&slip.value, draft) => {
                        Ok(vec![Content::Paragraph(plain("With these objects this mistake makes no difference."))])
                    }
                    Block::About(_, about) => say(about, draft, body),
                    Block::Ruler { .. } => Ok(Vec::new()),
                };
                let parts = said.unwrap_or_else(|_| {
                    // Such as a piece that these objects have not.
                    vec![Content::Paragraph(plain("With these objects there is nothing to show here."))]
                });
                write(&parts, Output::Html, &mut next).join("\n")
            }
        }
    }

    /// The lesson's own drafts of an open draft: in the system it is worked in, and its twin, if it has one.
    pub fn lessons<'s>(&self, shelf: &'s Shelf, open: usize) -> Vec<Draft<'s>> {
        let drafted = self.parts.iter().filter(|part| part.draft == open).find_map(|part| {
            let What::Block(Block::Draft(block), body) = &part.what else { return None };
            Drafted::work(shelf, block, body).ok()
        });
        drafted.into_iter().flat_map(|drafted| [Some(drafted.own), drafted.twin]).flatten().collect()
    }

    /// What the blocks say of open drafts, each with its number on the page and the draft.
    fn said(&self) -> impl Iterator<Item = (&About, usize, usize)> {
        self.parts.iter().filter_map(|part| {
            let What::Block(Block::About(_, about), _) = &part.what else { return None };
            Some((about, part.at, part.draft))
        })
    }

    /// Where homework is set: the number on the page, and the open draft that it is about.
    pub fn homework(&self) -> impl Iterator<Item = (usize, usize)> {
        self.said().filter(|(about, ..)| matches!(about, About::Homework)).map(|(_, at, draft)| (at, draft))
    }

    /// For each step that the chapter shows, the step's name and the part's number on the page.
    pub fn steps(&self, open: usize) -> impl Iterator<Item = (&str, usize)> {
        self.said().filter_map(move |(about, at, draft)| {
            let About::Step { step } = about else { return None };
            (draft == open).then_some((step.value.as_str(), at))
        })
    }
}

/// Whether a slip can be made in a draft, and gives another value there than the right one, as both are written.
fn makes_a_difference(slip: &str, draft: &Draft) -> bool {
    let Some(slip) = draft.exercise.slips.iter().find(|known| known.name == slip) else { return true };
    let step = &draft.exercise.steps[slip.step];
    let slot = step.slot;
    let written = |row| draft.write_value(step.kind.base, slip.used.evaluate(&draft.measures, Some(row)));
    let differs = |row| written(row) != draft.text_at(slot, row);
    slip.when.as_ref().is_none_or(|when| when.holds(&draft.measures))
        && (0..draft.measures.count(draft.exercise, slot)).any(differs)
}

fn measured(text: &str, draft: &Draft) -> Result<String, String> {
    let measure = Measure::read(text)?;
    measure.text(&measure.of(draft)?, draft).map(|text| escape(&text))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A part worked anew keeps the number that its figure has on the page.
    #[test]
    fn figures_keep_their_numbers() {
        let block = |name: &str, body: &str, figure: Option<usize>| Found::Block {
            name: name.to_owned(),
            body: body.to_owned(),
            nested: false,
            figure,
        };
        let draft = block("draft", "exercise = \"boxed-tote\"\nruler = \"1/8 in\"", None);
        let found = [draft, Found::Figure("next".to_owned()), block("figure", "", Some(7))];
        let (chapter, open) = OpenChapter::new("tote.md", &found);
        assert_eq!(open.len(), 1);
        let shelf = Shelf::shipped();
        let exercise = shelf.get("boxed-tote").unwrap();
        let givens = Givens::read(exercise, &Raw::example(exercise), None, Ruler::EIGHTH).unwrap();
        let said = chapter.work(0, &Draft::new(exercise, givens).unwrap(), None);
        assert_eq!(said.iter().map(|(at, _)| *at).collect::<Vec<_>>(), [0, 2]);
        assert!(said[1].1.contains("<strong>Figure\u{a0}7</strong>"), "{}", said[1].1);
    }
}
