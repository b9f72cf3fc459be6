//! The blocks a lesson may hold, as written: a fence whose information string is `foldmark` and one word.

use super::units::System;
use crate::draft::Raw;
use crate::text::schema::{Holds, Key, Schema, Variant, key, needed};
use crate::text::{Document, Fault, Section, Shown, Text, did_you_mean, quoted};

/// A block, read but not yet understood against an exercise.
#[derive(Debug, Clone)]
pub(super) enum Block {
    /// Works an exercise for given values; the blocks after it are about this draft.
    Draft(Box<DraftBlock>),
    /// Says something of the draft of this name, or of the last one.
    About(Option<Text>, About),
    /// A ruler with a reading marked.
    Ruler { ruler: Text, length: Text, reading: Text, caption: String },
}

impl Block {
    /// What the text calls its figure by, if it has one: the name of the step, piece, section, view or slip that it shows.
    pub(super) fn figure_name(&self) -> Option<&str> {
        match self {
            Block::Draft(_) => None,
            Block::Ruler { .. } => Some("ruler"),
            Block::About(_, about) => match about {
                About::Step { step: name }
                | About::Figure { step: Some(name), .. }
                | About::Figure { step: None, piece: Some(name), .. }
                | About::Wrong { slip: name, .. }
                | About::Section { section: name, .. }
                | About::View { view: Some(name), .. } => Some(&name.value),
                About::Figure { step: None, piece: None, .. } => Some("draft"),
                About::View { view: None, .. } => Some("view"),
                About::Steps { .. } | About::Slips { .. } | About::Cutting | About::Cautions | About::Homework => None,
            },
        }
    }
}

/// What a block says of a draft.
#[derive(Debug, Clone)]
pub(super) enum About {
    /// One step: rule, arithmetic, reason, and its figure if it draws.
    Step { step: Text },
    /// A figure of a step, a piece, or the whole; a piece may be opened out.
    Figure { step: Option<Text>, piece: Option<Text>, is_opened: bool, caption: String },
    /// Right and wrong side by side.
    Wrong { slip: Text, piece: Option<Text>, caption: String },
    /// A cross-section of the layers.
    Section { section: Text, caption: String },
    /// The finished object; the first view, where none is named.
    View { view: Option<Text>, caption: String },
    /// The steps as a table.
    Steps { only: Vec<Text> },
    /// What goes wrong.
    Slips { steps: Vec<Text> },
    /// What to cut.
    Cutting,
    /// What can hurt.
    Cautions,
    /// What to measure, and an answer file to copy.
    Homework,
}

#[derive(Debug, Clone)]
pub(super) struct DraftBlock {
    pub name: String,
    pub exercise: Text,
    pub values: Values,
    /// The same problem in the other system of units.
    pub twin: Option<(System, Values)>,
    pub quiet: bool,
}

/// The numbers of a draft in one system of units.
#[derive(Debug, Clone)]
pub(super) struct Values {
    pub unit: Option<Text>,
    pub ruler: Option<Text>,
    pub given: Option<Raw>,
    pub choice: Vec<(Text, Text)>,
}

const TEXT: Holds = Holds::Text;
const DRAFT: Key = key("draft", TEXT).says("which draft it is about; the last one above, if left out");
const CAPTION: Key = key("caption", TEXT).says("what stands below it");
const UNIT: Key = key("unit", TEXT).says("what a bare number is measured in");
const RULER: Key = key("ruler", TEXT).says("the smallest tick of the ruler");
const GIVEN: Key = key("given", Holds::Free(&Holds::Value)).says("values in place of those of the example");
const CHOICE: Key = key("choice", Holds::Free(&Holds::Value)).says("what a student might choose");

/// The same problem in the other system of units.
static TWIN: Schema = Schema::new(&[UNIT, RULER, GIVEN, CHOICE]).named("twin", "a draft in the other system of units");

/// The blocks, in the order in which a lesson uses them: the word of each, what it becomes, and its keys.
pub static BLOCKS: [Variant; 12] = [
    Variant::new(&[
        needed("exercise", TEXT).says("the exercise's name"),
        key("name", TEXT).says("what other blocks call this draft"),
        UNIT,
        RULER,
        GIVEN,
        CHOICE,
        key("inch", Holds::Table(&TWIN)).says("the same problem in inches"),
        key("metric", Holds::Table(&TWIN)).says("the same problem in centimetres"),
        key("quiet", Holds::Truth).says("whether it shows nothing"),
    ])
    .named("draft", "works an exercise and shows what is given; with `quiet = true` it shows nothing"),
    Variant::new(&[DRAFT, needed("step", TEXT).says("the step's name")])
        .named("step", "the figure of a step, its sum, its reason and its limits"),
    Variant::new(&[
        DRAFT,
        key("step", TEXT).says("the step's name"),
        key("piece", TEXT).says("the piece's name"),
        key("opened", Holds::Truth).says("whether a piece on the fold is opened out"),
        CAPTION,
    ])
    .named(
        "figure",
        "a figure of a step, of a piece, or of the whole; with `opened = true` a piece on the fold, \
         and opened out",
    ),
    Variant::new(&[DRAFT, needed("section", TEXT).says("the section's name"), CAPTION])
        .named("section", "a cross-section of the layers"),
    Variant::new(&[DRAFT, key("view", TEXT).says("the view's name"), CAPTION])
        .named("view", "the finished object; without a name, the first view"),
    Variant::new(&[DRAFT, key("only", Holds::OneOrMore(&TEXT)).says("the steps' names")])
        .named("steps", "a table of all steps, or of those named in `only`"),
    Variant::new(&[DRAFT, key("steps", Holds::OneOrMore(&TEXT)).says("the steps' names")])
        .named("slips", "what goes wrong, in all steps or in those named"),
    Variant::new(&[
        DRAFT,
        needed("slip", TEXT).says("the slip's name"),
        key("piece", TEXT).says("the piece's name"),
        CAPTION,
    ])
    .named(
        "wrong",
        "right and wrong side by side: what a mistake does to the draft, or to a piece; without a \
         caption, what the slip says",
    ),
    Variant::new(&[DRAFT]).named("cutting", "the cutting list"),
    Variant::new(&[DRAFT]).named("cautions", "what can hurt"),
    Variant::new(&[DRAFT]).named("homework", "what to measure, and an answer file to copy"),
    Variant::new(&[
        needed("ruler", TEXT).says("its smallest tick"),
        needed("length", TEXT).says("how much of it is shown"),
        needed("reading", TEXT).says("the reading"),
        CAPTION,
    ])
    .named("ruler", "a ruler with a reading marked"),
];

/// Reads a block. Faults have places within `text`.
pub(super) fn read_block(name: &str, text: &str) -> Result<Block, Vec<Fault>> {
    let Some(declared) = BLOCKS.iter().find(|block| block.name == name) else {
        let names = BLOCKS.each_ref().map(|block| block.name);
        let hint = did_you_mean(name, names, Shown::Key);
        let hint = hint.unwrap_or_else(|| format!("there are: {}", names.join(", ")));
        return Err(vec![Fault::whole(format!("there is no block {}; {hint}", quoted(name)))]);
    };
    let document = Document::new(text);
    let table = document.parse();
    if document.is_broken() {
        return Err(document.into_faults());
    }
    let block = read_keys(name, &Section::of_variant(&document, &table, declared));
    let faults = document.into_faults();
    match block {
        Some(block) if faults.is_empty() => Ok(block),
        _ => Err(faults),
    }
}

fn read_keys(name: &str, section: &Section) -> Option<Block> {
    let caption = || section.text("caption").map(|text| text.value).unwrap_or_default();
    if name == "ruler" {
        let (ruler, length, reading) = (section.text("ruler"), section.text("length"), section.text("reading"));
        let caption = caption();
        return Some(Block::Ruler { ruler: ruler?, length: length?, reading: reading?, caption });
    }
    if name == "draft" {
        return draft(section).map(Box::new).map(Block::Draft);
    }
    let draft = section.text("draft");
    let about = match name {
        "step" => About::Step { step: section.text("step")? },
        "figure" => {
            let (step, piece) = (section.text("step"), section.text("piece"));
            if step.is_some() && piece.is_some() {
                section.note("piece", "a figure shows a `step` or a `piece`, or the whole draft if neither is named");
            }
            let is_opened = section.truth("opened").unwrap_or(false);
            if is_opened && piece.is_none() {
                section.note("opened", "only a `piece` can be opened out; name the one that is cut on the fold");
            }
            About::Figure { step, piece, is_opened, caption: caption() }
        }
        "section" => {
            let named = section.text("section");
            let caption = caption();
            About::Section { section: named?, caption }
        }
        "view" => About::View { view: section.text("view"), caption: caption() },
        "steps" => About::Steps { only: section.texts("only") },
        "wrong" => {
            let (slip, piece) = (section.text("slip"), section.text("piece"));
            let caption = caption();
            About::Wrong { slip: slip?, piece, caption }
        }
        "slips" => About::Slips { steps: section.texts("steps") },
        "cutting" => About::Cutting,
        "cautions" => About::Cautions,
        "homework" => About::Homework,
        undone => unreachable!("the block {undone} is declared, but not read"),
    };
    Some(Block::About(draft, about))
}

fn draft(section: &Section) -> Option<DraftBlock> {
    let exercise = section.text("exercise");
    let name = section.text("name").map(|text| text.value).unwrap_or_default();
    if name.contains(':') {
        section.note("name", "a draft's name has no colon in it, since a colon ends it within a line");
    }
    let both = System::BOTH.map(|system| {
        let twin = section.table(system.key())?;
        Some((system, values(&twin)))
    });
    let twin = match both {
        [Some(_), Some(_)] => {
            let message = "a draft is in one system of units and has one twin, in the other; take one of them out";
            section.note(System::Metric.key(), message);
            None
        }
        [inch, metric] => inch.or(metric),
    };
    let quiet = section.truth("quiet").unwrap_or(false);
    Some(DraftBlock { name, values: values(section), twin, quiet, exercise: exercise? })
}

fn values(section: &Section) -> Values {
    let given = section.table("given").map(|given| Raw::from_section(&given));
    let choice = section.table("choice").map(|choice| choice.entries()).unwrap_or_default();
    let single = |(step, mut values): (Text, Vec<Text>)| {
        if values.len() == 1 {
            return Some((step, values.remove(0)));
        }
        section.document().note(step.span, &section.key("choice"), "one value is expected here, not a list");
        None
    };
    let choice = choice.into_iter().filter_map(single).collect();
    Values { unit: section.text("unit"), ruler: section.text("ruler"), given, choice }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// With nothing in it, a block is read, or what it needs is missed; a block that is declared alone would give up here.
    #[test]
    fn every_declared_block_is_read() {
        for declared in &BLOCKS {
            let faults = read_block(declared.name, "").err().unwrap_or_default();
            let missing: Vec<String> = faults.iter().map(|fault| fault.message.clone()).collect();
            let needed = declared.keys.iter().filter(|key| key.is_needed);
            assert_eq!(missing, needed.map(|key| format!("`{}` is missing", key.name)).collect::<Vec<_>>());
        }
    }
}
