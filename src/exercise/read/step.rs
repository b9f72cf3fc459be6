//! Steps of the draft, and slips.

use super::given::new_name;
use super::mark::read_marks;
use super::reader::{Reader, line_of, plain_name, short, stated};
use crate::exercise::model::{Limit, LimitKind, OnSheet, Slip, Step, StepId, StepRule};
use crate::formula::{self, Base, Formula, Kind, Slot};
use crate::length::Length;
use crate::text::{Section, Text};
use std::collections::BTreeMap;
use std::sync::OnceLock;
use typed_index_collections::{TiSlice, TiVec};

const LIMITS: [(&str, LimitKind); 4] = [
    ("at_least", LimitKind::AtLeast),
    ("above", LimitKind::Above),
    ("at_most", LimitKind::AtMost),
    ("below", LimitKind::Below),
];

/// A step as written, before its formulas are compiled.
struct WrittenStep<'d, 't> {
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
    is_reckoned: bool,
}

/// Reads every step; with an order in which each comes after those that it uses.
pub(super) fn read_steps(reader: &mut Reader, root: &Section) -> (TiVec<StepId, Step>, Vec<StepId>) {
    let written: Vec<WrittenStep> =
        root.tables("step").into_iter().filter_map(|section| read_written(reader, section)).collect();
    let order = order(&written);
    let mut rules: BTreeMap<usize, (StepRule, Kind)> = BTreeMap::new();
    for &index in &order {
        if let Some((rule, kind)) = read_rule(reader, &written[index]) {
            if let Some(slot) = reader.scope.slot(&written[index].name.value) {
                reader.scope.set_kind(slot, kind);
            }
            rules.insert(index, (rule, kind));
        }
    }
    let mut steps: TiVec<StepId, Step> = TiVec::new();
    let mut sections = Vec::new();
    let mut places = BTreeMap::new();
    for (index, step) in written.into_iter().enumerate() {
        let Some((rule, kind)) = rules.remove(&index) else {
            // Its fault is noted; its marks are still looked at.
            let _ = read_marks(reader, &step.section, "draw", TiSlice::from_ref(&[]), &[]);
            continue;
        };
        let slot = reader.scope.slot(&step.name.value).unwrap_or(Slot(0));
        places.insert(index, steps.next_key());
        steps.push(Step {
            name: step.name.value,
            title: step.title,
            short: step.short,
            slot,
            kind,
            rule,
            uses: Vec::new(),
            why: step.why,
            nudge: step.nudge,
            points: step.points,
            tolerance: step.tolerance,
            is_reckoned: step.is_reckoned,
            draw: Vec::new(),
            on_sheet: OnSheet::default(),
            is_exact: false,
            changes: OnceLock::new(),
        });
        sections.push(step.section);
    }
    for index in steps.keys() {
        let slots: Vec<Slot> = steps[index].formulas().flat_map(Formula::uses).copied().collect();
        steps[index].uses = steps.keys().filter(|other| slots.contains(&steps[*other].slot)).collect();
    }
    // What a step draws may name any step, so it is read when all are there.
    for (index, section) in steps.keys().zip(sections) {
        steps[index].draw = read_marks(reader, &section, "draw", &steps, &[]);
    }
    let order = order.iter().filter_map(|index| places.get(index).copied()).collect();
    (steps, order)
}

fn read_written<'d, 't>(reader: &mut Reader, section: Section<'d, 't>) -> Option<WrittenStep<'d, 't>> {
    let name = new_name(reader, &section, "");
    let title = line_of(&section, "title");
    let short = short(&section, &title);
    let value = section.text("value");
    let mut limits = Vec::new();
    for (key, kind) in LIMITS {
        limits.extend(limit_texts(&section, key).into_iter().map(|(text, why)| (kind, text, why)));
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
    let (why, nudge) = (line_of(&section, "why"), line_of(&section, "nudge"));
    let points = section.whole("points").unwrap_or(1) as u32;
    let tolerance = section.text("tolerance").and_then(|text| stated(&section, "tolerance", &text));
    let tolerance = tolerance.map(|tolerance| tolerance.length);
    let is_reckoned = section.truth("reckoned").unwrap_or_default();
    let name = name?;
    // The kind is found when the formula is compiled; until then the name only has to be known.
    reader.scope.add(name.value.clone(), short.clone(), Kind::LENGTH);
    reader.steps.push(name.value.clone());
    Some(WrittenStep {
        section,
        name,
        title,
        short,
        value,
        limits,
        suggest,
        why,
        nudge,
        points,
        tolerance,
        is_reckoned,
    })
}

/// A limit is a formula, a table `{ value, why }`, or a list of such tables.
fn limit_texts(section: &Section, key: &str) -> Vec<(Text, String)> {
    section
        .tables_or_texts(key)
        .into_iter()
        .filter_map(|limit| match limit {
            Ok(text) => Some((text, String::new())),
            Err(table) => {
                let (value, why) = (table.text("value"), line_of(&table, "why"));
                Some((value?, why))
            }
        })
        .collect()
}

/// The steps in an order in which each comes after those it uses. Steps that use each other in a
/// circle are left out, and the circle is noted with its members.
fn order(steps: &[WrittenStep]) -> Vec<usize> {
    let uses: Vec<Vec<usize>> = steps
        .iter()
        .map(|step| {
            let texts = step.value.iter().chain(&step.suggest).chain(step.limits.iter().map(|(_, text, _)| text));
            let names: Vec<String> = texts.flat_map(|text| formula::names_in(&text.value)).collect();
            (0..steps.len()).filter(|other| names.contains(&steps[*other].name.value)).collect()
        })
        .collect();
    let mut order = Vec::new();
    let mut done = vec![false; steps.len()];
    while let Some(next) = (0..steps.len()).find(|&index| !done[index] && uses[index].iter().all(|used| done[*used])) {
        done[next] = true;
        order.push(next);
    }
    if let Some(stuck) = (0..steps.len()).find(|index| !done[*index]) {
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
            circle.iter().chain(circle.first()).map(|index| format!("`{}`", steps[*index].name.value)).collect();
        let first = &steps[circle[0]];
        let message = format!("these steps use each other in a circle: {}", members.join(" needs "));
        first.section.document().note(first.name.span.clone(), &first.section.path, message);
    }
    order
}

fn read_rule(reader: &Reader, step: &WrittenStep) -> Option<(StepRule, Kind)> {
    let section = &step.section;
    if let Some(text) = &step.value {
        let formula = reader.formula(section, "value", text, None)?;
        let kind = formula.kind();
        if !matches!(kind.base, Base::Length | Base::Number) {
            let message = format!("a step works out a length or a number, but this is {}", kind.describe());
            section.note_text("value", text, message);
            return None;
        }
        return Some((StepRule::Value(formula), kind));
    }
    let suggest = reader.formula(section, "suggest", step.suggest.as_ref()?, None)?;
    let kind = suggest.kind();
    if kind != Kind::LENGTH {
        let message = format!("a choice is one length, but this is {}", kind.describe());
        section.note("suggest", message);
        return None;
    }
    let mut limits = Vec::new();
    for (limit, text, why) in &step.limits {
        let key = LIMITS.iter().find(|(_, kind)| kind == limit).map_or("at_least", |(key, _)| key);
        let value = reader.formula(section, key, text, Some(kind));
        limits.extend(value.map(|value| Limit { kind: *limit, value, why: why.clone() }));
    }
    Some((StepRule::Within { limits, suggest }, kind))
}

/// Reads a slip.
pub(super) fn read_slip(reader: &Reader, section: &Section, steps: &TiSlice<StepId, Step>) -> Option<Slip> {
    let name = plain_name(section);
    let (step, used, says) = (section.text("step"), section.text("used"), line_of(section, "says"));
    let when = reader.condition(section, "when");
    let step = step.and_then(|text| reader.find_step(section, "step", text, steps));
    let wanted = step.map(|step| steps[step].kind);
    let used = used.and_then(|text| reader.formula(section, "used", &text, wanted));
    Some(Slip { name: name?.value, step: step?, used: used?, when: when?, says })
}
