//! From TOML to an [`Exercise`], with every fault at once.

use super::index::{GivenId, PieceId, SlipId, StepId};
use super::level::Part;
use super::model::*;
use super::piece::Piece;
use super::read_drawing::{label_of, read_marks};
use super::read_given::short;
use super::read_piece::{plain_name, read_pieces, read_seams};
use super::read_scene::{read_section, read_view};
use super::scene::{CrossSection, View};
use super::scope::Scope;
use crate::formula::{self, Base, Formula, Kind, Slot};
use crate::length::{Length, Ruler};
use crate::text::{Document, Fault, Section, Text, nearest, quoted};
use std::cell::Cell;
use std::collections::BTreeMap;
use typed_index_collections::{TiSlice, TiVec};

/// Longest exercise file that is read, in bytes.
const LONGEST: usize = 1 << 20;

/// A formula has so many parts to be worked out at the most, those within a list once for each of its rows.
const MOST_WORK: u64 = 200_000;
/// And all formulas of an exercise so many: they are worked out hundreds of times while a set of problems is made.
const MOST_WORK_OF_ALL: u64 = 3_000_000;

/// Reads an exercise.
///
/// ```
/// let text = r#"
/// title = "Square mat"
/// teaches = "One allowance on every side"
/// [[given]]
/// name = "side"
/// title = "Finished side"
/// kind = "length"
/// range = ["2 in", "40 in"]
/// [[given]]
/// name = "allowance"
/// title = "Allowance"
/// kind = "length"
/// range = ["1/8 in", "1 in"]
/// usual = "1/2 in"
/// [[step]]
/// name = "cut_side"
/// title = "Cut side"
/// value = "side + 2 * allowence"
/// why = "A seam on both sides."
/// "#;
/// let faults = foldmark::exercise::read("mat", text).unwrap_err();
/// assert_eq!(
///     faults[0].to_string(),
///     "line 18, column 21: step.cut_side.value: there is no measure `allowence`; did you mean `allowance`?"
/// );
/// ```
///
/// # Errors
/// Every fault found, in the order of their places.
pub fn read(name: &str, text: &str) -> Result<Exercise, Vec<Fault>> {
    if text.trim().is_empty() {
        return Err(vec![Fault::whole("the file is empty; an exercise needs a title, givens and steps")]);
    }
    if text.len() > LONGEST {
        return Err(vec![Fault::whole(format!(
            "the file has {} bytes, and an exercise has at most {LONGEST}",
            text.len()
        ))]);
    }
    let document = Document::new(text);
    let table = document.parse();
    if document.is_broken() {
        return Err(document.into_faults());
    }
    let reader = Reader { document: &document, scope: Scope::default(), work: Cell::new(0) };
    let exercise = reader.exercise(name, &table);
    let faults = document.into_faults();
    if faults.is_empty() { Ok(exercise) } else { Err(faults) }
}

/// What is known while an exercise is being read.
pub(super) struct Reader<'d, 't> {
    pub document: &'d Document<'t>,
    pub scope: Scope,
    /// What all formulas together take to be worked out, as far as they are read.
    pub work: Cell<u64>,
}

/// A step as written, before its formulas are compiled.
struct Draft<'d, 't> {
    section: Section<'d, 't>,
    name: Text,
    title: String,
    short: String,
    value: Option<Text>,
    limits: Vec<(LimitKind, Text, String)>,
    suggest: Option<Text>,
    why: String,
    nudge: String,
    points: u32,
    tolerance: Option<Length>,
}

impl<'d, 't> Reader<'d, 't> {
    fn exercise(mut self, name: &str, table: &'d toml::de::DeTable<'t>) -> Exercise {
        let root = Section::root(self.document, table);
        let title = text_of(root.required_text("title"));
        let teaches = text_of(root.required_text("teaches"));
        let version = root.whole("version", 1..=9_999).unwrap_or(1) as u32;
        let level = root.whole("level", 1..=4).unwrap_or(1) as u8;
        let rulers = self.rulers(&root);
        let givens: TiVec<GivenId, Given> =
            root.few("given", 100).into_iter().filter_map(|section| self.given(section)).collect();
        let givens = self.conditions(&root, givens);
        let drafts: Vec<Draft> = root.few("step", 300).into_iter().filter_map(|section| self.draft(section)).collect();
        if !root.has("step") {
            root.note("step", "there are no steps; a draft needs at least one [[step]]");
        }
        let (steps, order) = self.steps(drafts);
        let slips: TiVec<SlipId, Slip> =
            root.few("slip", 1000).into_iter().filter_map(|section| self.slip(section, &steps)).collect();
        let pieces: TiVec<PieceId, Piece> = read_pieces(&self, root.few("piece", 100), &steps).into();
        let seams = read_seams(&self, &root, &pieces);
        let sections: Vec<CrossSection> =
            root.few("section", 50).into_iter().filter_map(|section| read_section(&self, section)).collect();
        let views: Vec<View> =
            root.few("view", 50).into_iter().filter_map(|section| read_view(&self, section)).collect();
        let cautions = root.few("caution", 100).into_iter().filter_map(caution).collect();
        let practice =
            root.table("practice").map(|section| self.practice(section, &givens, &steps)).unwrap_or_default();
        for (key, names) in [
            ("slip", slips.iter().map(|slip: &Slip| slip.name.as_str()).collect::<Vec<_>>()),
            ("piece", pieces.iter().map(|piece| piece.name.as_str()).collect()),
            ("section", sections.iter().map(|section| section.name.as_str()).collect()),
            ("view", views.iter().map(|view| view.name.as_str()).collect()),
        ] {
            if let Some(twice) = (1..names.len()).find(|at| names[..*at].contains(&names[*at])) {
                root.note(
                    key,
                    format!("the name {} stands here twice; every {key} needs one of its own", quoted(names[twice])),
                );
            }
        }
        root.finish();
        let Reader { scope, .. } = self;
        Exercise {
            name: name.to_owned(),
            title,
            version,
            level,
            teaches,
            rulers,
            givens,
            steps,
            slips,
            pieces,
            seams,
            sections,
            views,
            cautions,
            practice,
            scope,
            order,
        }
    }

    pub(super) fn rulers(&self, root: &Section) -> Vec<Ruler> {
        let read = |text: Text| match Ruler::read(&text.value) {
            Ok(ruler) => Some(ruler),
            Err(error) => {
                self.document.note(text.span, &root.key("rulers"), error.to_string());
                None
            }
        };
        root.texts("rulers").into_iter().filter_map(read).collect()
    }

    /// Compiles a formula and checks its kind, noting a fault at its place.
    pub(super) fn formula(&self, section: &Section, key: &str, text: &Text, wanted: Option<Kind>) -> Option<Formula> {
        match Formula::compile(&text.value, &self.scope) {
            Ok(formula) if !self.is_workable(section, key, text, &formula) => None,
            Ok(formula) => match wanted {
                Some(wanted) if formula.kind() != wanted => {
                    let message =
                        format!("{} is expected here, but this is {}", wanted.describe(), formula.kind().describe());
                    self.document.note(text.span.clone(), &section.key(key), message);
                    None
                }
                _ => Some(formula),
            },
            Err(fault) => {
                self.document.note_within(text, fault.start, &section.key(key), fault.message);
                None
            }
        }
    }

    /// Whether a formula can be worked out in a moment, with as many rows as its tables may have; a fault otherwise.
    fn is_workable(&self, section: &Section, key: &str, text: &Text, formula: &Formula) -> bool {
        let cost = formula.cost(&|table| self.scope.rows(table) as u64);
        let before = self.work.get();
        self.work.set(before.saturating_add(cost));
        let message = if cost > MOST_WORK {
            format!(
                "this has {cost} parts to work out, with as many rows as its table may have; work out a list within a \
                 list in a step of its own, or allow fewer rows"
            )
        } else if before <= MOST_WORK_OF_ALL && self.work.get() > MOST_WORK_OF_ALL {
            format!(
                "up to here the formulas have {} parts to work out, with as many rows as the tables may have; allow fewer rows",
                self.work.get()
            )
        } else {
            return true;
        };
        self.document.note(text.span.clone(), &section.key(key), message);
        false
    }

    fn draft(&mut self, section: Section<'d, 't>) -> Option<Draft<'d, 't>> {
        let name = self.new_name(&section, "");
        let title = text_of(section.required_text("title"));
        let short = short(&section, &title);
        let value = section.text("value");
        let mut limits = Vec::new();
        for (key, kind) in LIMITS {
            for (text, why) in limit_texts(&section, key) {
                limits.push((kind, text, why));
            }
        }
        let suggest = section.text("suggest");
        if value.is_some() == (!limits.is_empty() || suggest.is_some()) {
            section.note(
                "",
                "a step has either a `value`, or limits (`at_least`, `above`, `at_most`, `below`) and a `suggest`",
            );
        } else if value.is_none() && suggest.is_none() {
            section.note("suggest", "what the program chooses where nobody did is missing");
        }
        let why = text_of(section.required_text("why"));
        let nudge = text_of(section.text("nudge"));
        let points = section.whole("points", 0..=100).unwrap_or(1) as u32;
        let tolerance = section.text("tolerance").and_then(|text| self.length(&section, "tolerance", &text));
        let name = name?;
        // The kind is found when the formula is compiled; until then the name only has to be known.
        self.scope.add(name.value.clone(), short.clone(), Kind::LENGTH);
        Some(Draft { section, name, title, short, value, limits, suggest, why, nudge, points, tolerance })
    }

    fn steps(&mut self, drafts: Vec<Draft<'d, 't>>) -> (TiVec<StepId, Step>, Vec<StepId>) {
        let order = self.order(&drafts);
        let mut rules: BTreeMap<usize, (StepRule, Kind)> = BTreeMap::new();
        for &index in &order {
            if let Some((rule, kind)) = self.rule(&drafts[index]) {
                if let Some(slot) = self.scope.slot(&drafts[index].name.value) {
                    self.scope.set_kind(slot, kind);
                }
                rules.insert(index, (rule, kind));
            }
        }
        let mut steps: TiVec<StepId, Step> = TiVec::new();
        let mut sections = Vec::new();
        let mut places = BTreeMap::new();
        for (index, draft) in drafts.into_iter().enumerate() {
            let Some((rule, kind)) = rules.remove(&index) else {
                // Its fault is noted; its other keys are still looked at.
                let _ = read_marks(self, &draft.section, "draw", TiSlice::from_ref(&[]), None);
                draft.section.finish();
                continue;
            };
            let slot = self.scope.slot(&draft.name.value).unwrap_or(Slot(0));
            places.insert(index, steps.next_key());
            steps.push(Step {
                name: draft.name.value,
                title: draft.title,
                short: draft.short,
                slot,
                kind,
                rule,
                uses: Vec::new(),
                why: draft.why,
                nudge: draft.nudge,
                points: draft.points,
                tolerance: draft.tolerance,
                draw: Vec::new(),
                part: Part::default(),
                is_exact: false,
            });
            sections.push(draft.section);
        }
        for index in steps.keys() {
            let slots: Vec<Slot> = steps[index].formulas().flat_map(Formula::uses).copied().collect();
            steps[index].uses = steps.keys().filter(|other| slots.contains(&steps[*other].slot)).collect();
        }
        // What a step draws may name any step, so it is read when all are there.
        for (index, section) in steps.keys().zip(sections) {
            steps[index].draw = read_marks(self, &section, "draw", &steps, None);
            section.finish();
        }
        let order = order.iter().filter_map(|index| places.get(index).copied()).collect();
        (steps, order)
    }

    /// The steps in an order in which each comes after those it uses. Steps that use each other in a
    /// circle are left out, and the circle is noted with its members.
    fn order(&self, drafts: &[Draft]) -> Vec<usize> {
        let uses: Vec<Vec<usize>> = drafts
            .iter()
            .map(|draft| {
                let texts =
                    draft.value.iter().chain(&draft.suggest).chain(draft.limits.iter().map(|(_, text, _)| text));
                let names: Vec<String> = texts.flat_map(|text| formula::names_in(&text.value)).collect();
                (0..drafts.len()).filter(|other| names.contains(&drafts[*other].name.value)).collect()
            })
            .collect();
        let mut order = Vec::new();
        let mut done = vec![false; drafts.len()];
        while let Some(next) =
            (0..drafts.len()).find(|&index| !done[index] && uses[index].iter().all(|used| done[*used]))
        {
            done[next] = true;
            order.push(next);
        }
        if let Some(stuck) = (0..drafts.len()).find(|index| !done[*index]) {
            // Following an undone step to an undone step it uses must come round to itself.
            let mut path = vec![stuck];
            let circle = loop {
                let last = path[path.len() - 1];
                let Some(&next) = uses[last].iter().find(|used| !done[**used]) else { break path.clone() };
                if let Some(at) = path.iter().position(|seen| *seen == next) {
                    break path.split_off(at);
                }
                path.push(next);
            };
            let members: Vec<_> =
                circle.iter().chain(circle.first()).map(|index| format!("`{}`", drafts[*index].name.value)).collect();
            let first = &drafts[circle[0]];
            let message = format!("these steps use each other in a circle: {}", members.join(" needs "));
            self.document.note(first.name.span.clone(), &first.section.path, message);
        }
        order
    }

    fn rule(&self, draft: &Draft) -> Option<(StepRule, Kind)> {
        let section = &draft.section;
        if let Some(text) = &draft.value {
            let formula = self.formula(section, "value", text, None)?;
            let kind = formula.kind();
            if !matches!(kind.base, Base::Length | Base::Number) {
                let message = format!("a step works out a length or a number, but this is {}", kind.describe());
                self.document.note(text.span.clone(), &section.key("value"), message);
                return None;
            }
            return Some((StepRule::Value(formula), kind));
        }
        let suggest = self.formula(section, "suggest", draft.suggest.as_ref()?, None)?;
        let kind = suggest.kind();
        if kind != Kind::LENGTH {
            let message = format!("a choice is one length, but this is {}", kind.describe());
            section.note("suggest", message);
            return None;
        }
        let mut limits = Vec::new();
        for (limit, text, why) in &draft.limits {
            let key = LIMITS.iter().find(|(_, kind)| kind == limit).map_or("at_least", |(key, _)| key);
            let value = self.formula(section, key, text, Some(kind));
            limits.extend(value.map(|value| Limit { kind: *limit, value, why: why.clone() }));
        }
        Some((StepRule::Within { limits, suggest }, kind))
    }

    fn slip(&self, section: Section<'d, 't>, steps: &TiSlice<StepId, Step>) -> Option<Slip> {
        let name = plain_name(&section);
        let step = section.required_text("step");
        let used = section.required_text("used");
        let says = text_of(section.required_text("says"));
        let when = section.text("when").and_then(|text| self.formula(&section, "when", &text, Some(Kind::TRUTH)));
        let step = step.and_then(|text| self.find_step(&section, "step", text, steps));
        let wanted = step.map(|step| steps[step].kind);
        let used = used.and_then(|text| self.formula(&section, "used", &text, wanted));
        section.finish();
        Some(Slip { name: name?.value, step: step?, used: used?, when, says })
    }

    /// The index of a step, or a fault. A step whose own fault is noted already is not noted again.
    pub(super) fn find_step(
        &self,
        section: &Section,
        key: &str,
        text: Text,
        steps: &TiSlice<StepId, Step>,
    ) -> Option<StepId> {
        let found = steps.position(|step| step.name == text.value);
        if found.is_none() && self.scope.slot(&text.value).is_none() {
            let near = nearest(&text.value, steps.iter().map(|step| step.name.as_str()));
            let hint = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
            let message = format!("there is no step {}{hint}", quoted(&text.value));
            self.document.note(text.span, &section.key(key), message);
        }
        found
    }
}

const LIMITS: [(&str, LimitKind); 4] = [
    ("at_least", LimitKind::AtLeast),
    ("above", LimitKind::Above),
    ("at_most", LimitKind::AtMost),
    ("below", LimitKind::Below),
];

/// A limit is a formula, a table `{ value, why }`, or a list of such tables.
fn limit_texts(section: &Section, key: &'static str) -> Vec<(Text, String)> {
    section
        .tables_or_texts(key)
        .into_iter()
        .filter_map(|limit| match limit {
            Ok(text) => Some((text, String::new())),
            Err(table) => {
                let value = table.required_text("value");
                let why = text_of(table.text("why"));
                table.finish();
                Some((value?, why))
            }
        })
        .collect()
}

fn caution(section: Section) -> Option<Caution> {
    let about = section.required_text("about");
    let says = section.required_text("says");
    section.finish();
    Some(Caution { about: about?.value, says: says?.value })
}

pub(super) fn text_of(text: Option<Text>) -> String {
    text.map_or_else(String::new, |text| label_of(&text))
}
