//! Reading the levels of practice.

use super::index::{GivenId, StepId};
use super::level::Level;
use super::model::{Given, GivenKind, Practice, Requirement, Step};
use super::read::{Reader, text_of};
use crate::formula::{Base, Kind};
use crate::text::{Section, Text, nearest, quoted};
use typed_index_collections::TiSlice;

/// The highest level there can be.
const HIGHEST: i64 = 4;

impl<'d, 't> Reader<'d, 't> {
    pub(super) fn practice(
        &self,
        section: Section<'d, 't>,
        givens: &TiSlice<GivenId, Given>,
        steps: &TiSlice<StepId, Step>,
    ) -> Practice {
        let tells = text_of(section.text("tells"));
        let require = self.requirements(&section);
        let mut levels: Vec<Level> = Vec::new();
        for level in section.few("level", HIGHEST as usize) {
            let Some(number) = level.whole("level", 1..=HIGHEST) else {
                if !level.has("level") {
                    level.note("level", format!("say which level this is, from 1 to {HIGHEST}"));
                }
                continue;
            };
            if levels.iter().any(|known| i64::from(known.level) == number) {
                level.note("level", format!("level {number} is laid down already"));
            }
            levels.push(self.level(level, number as u8, givens, steps));
        }
        levels.sort_by_key(|level| level.level);
        section.finish();
        Practice { tells, require, levels }
    }

    fn requirements(&self, section: &Section<'d, 't>) -> Vec<Requirement> {
        let mut require = Vec::new();
        for requirement in section.few("require", 60) {
            let rule = requirement.required_text("rule");
            let rule = rule.and_then(|text| self.formula(&requirement, "rule", &text, Some(Kind::TRUTH)));
            let says = text_of(requirement.required_text("says"));
            requirement.finish();
            require.extend(rule.map(|rule| Requirement { rule, says }));
        }
        require
    }

    fn level(
        &self,
        section: Section<'d, 't>,
        number: u8,
        givens: &TiSlice<GivenId, Given>,
        steps: &TiSlice<StepId, Step>,
    ) -> Level {
        let named = |key: &'static str| -> Vec<StepId> {
            section.texts(key).into_iter().filter_map(|text| self.find_step(&section, key, text, steps)).collect()
        };
        let given = |key: &'static str| -> Vec<GivenId> {
            section.texts(key).into_iter().filter_map(|text| self.find_given(&section, key, text, givens)).collect()
        };
        let level = Level {
            level: number,
            says: text_of(section.required_text("says")),
            rulers: self.rulers(&section),
            on_tick: section.truth("on_tick").unwrap_or(false),
            off_tick: named("off_tick"),
            keeps: given("keeps"),
            every: section.whole("every", 1..=1_000),
            rows: section.whole("rows", 1..=1_000).map(|rows| rows as usize),
            converts: section.truth("converts").unwrap_or(false),
            hides: given("hides"),
            tells: named("tells"),
            asks: named("asks"),
            rounds_up: named("rounds_up"),
            exact: section.truth("exact").unwrap_or(false),
            require: self.requirements(&section),
            ..Level::default()
        };
        check(&level, &section, givens, steps);
        section.finish();
        level
    }

    /// The index of a single given, or a fault.
    fn find_given(
        &self,
        section: &Section,
        key: &str,
        text: Text,
        givens: &TiSlice<GivenId, Given>,
    ) -> Option<GivenId> {
        let is_single = |given: &&Given| !matches!(given.kind, GivenKind::Table { .. });
        let found = givens.position(|given| given.name == text.value && is_single(&given));
        if found.is_none() {
            let known = givens.iter().filter(is_single).map(|given| given.name.as_str());
            let hint = nearest(&text.value, known).map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
            let message = format!("there is no single given {}{hint}", quoted(&text.value));
            self.document.note(text.span, &section.key(key), message);
        }
        found
    }
}

/// Notes what can't be in a level.
fn check(level: &Level, section: &Section, givens: &TiSlice<GivenId, Given>, steps: &TiSlice<StepId, Step>) {
    let name = |step: StepId| steps[step].name.as_str();
    if let Some(both) = level.asks.iter().find(|step| level.tells.contains(step)) {
        section.note("asks", format!("`{}` is told already; a sheet asks for a step or tells it", name(*both)));
    }
    if let Some(step) =
        level.rounds_up.iter().find(|step| steps[**step].is_choice() || steps[**step].kind.base != Base::Length)
    {
        let message = format!("`{}` is not a length that is worked out, so there is nothing to round up", name(*step));
        section.note("rounds_up", message);
    }
    if level.tells.len() == steps.len() {
        section.note("tells", "every step is told, so there is nothing to ask for");
    }
    let rests_on_unknown = |step: StepId| {
        let unknown = |used: &StepId| level.part(*used) == super::level::Part::Silent && steps[*used].is_choice();
        rest(steps, step).into_iter().find(unknown)
    };
    for step in steps.keys().filter(|step| level.part(*step) == super::level::Part::Asked) {
        if let Some(choice) = rests_on_unknown(step) {
            let message = format!(
                "`{}` rests on the choice `{}`, which is neither asked for nor told at this level",
                name(step),
                name(choice)
            );
            section.note("asks", message);
        }
    }
    for &given in &level.hides {
        let is_asked = |step: StepId| level.part(step) == super::level::Part::Asked;
        let rests =
            |such: &dyn Fn(StepId) -> bool| steps.keys().any(|step| such(step) && uses(steps, step, &givens[given]));
        if rests(&is_asked) && !rests(&|step| level.tells.contains(&step)) {
            let message = format!("`{}` is hidden, and nothing that is told rests on it", givens[given].name);
            section.note("hides", message);
        }
    }
    for &given in &level.keeps {
        let has_usual = match &givens[given].kind {
            GivenKind::Length { usual, .. } => !usual.is_empty(),
            GivenKind::Number { usual, .. } => usual.is_some(),
            GivenKind::Choice { usual, .. } => usual.is_some(),
            GivenKind::Table { .. } => true,
        };
        if !has_usual {
            section.note("keeps", format!("`{}` has no usual value to keep", givens[given].name));
        }
    }
    if let Some(rows) = level.rows {
        for given in givens {
            if let GivenKind::Table { rows: (least, most), varies, .. } = &given.kind {
                let names = varies.as_ref().map_or(0, |(_, _, names)| names.len());
                if rows < *least || rows > *most || rows > names {
                    let message =
                        format!("`{}` can't have {rows} rows: it has {least} to {most}, and {names} names", given.name);
                    section.note("rows", message);
                }
            }
        }
    }
}

/// Whether a step rests on a given, directly or through others.
fn uses(steps: &TiSlice<StepId, Step>, step: StepId, given: &Given) -> bool {
    let slot = match given.kind {
        GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } | GivenKind::Choice { slot, .. } => slot,
        GivenKind::Table { .. } => return false,
    };
    let reads = |step: &StepId| steps[*step].formulas().any(|formula| formula.uses().contains(&slot));
    reads(&step) || rest(steps, step).iter().any(reads)
}

/// Every step that a step rests on, directly or through others.
fn rest(steps: &TiSlice<StepId, Step>, step: StepId) -> Vec<StepId> {
    let (mut found, mut open) = (Vec::new(), steps[step].uses.clone());
    while let Some(next) = open.pop() {
        if !found.contains(&next) {
            found.push(next);
            open.extend(&steps[next].uses);
        }
    }
    found
}
