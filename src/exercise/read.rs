//! From TOML to an [`Exercise`], with every fault at once.

use super::model::*;
use super::read_drawing::{label_of, read_marks, read_piece};
use super::scope::{Scope, column_kind, within_a_sentence};
use super::toml_text::{Document, Fault, Section, Text, quoted};
use crate::formula::{self, Base, Formula, Kind, Slot, TableId};
use crate::length::{Length, Ruler};
use crate::nearest::nearest;
use std::collections::BTreeMap;

/// Longest exercise file that is read, in bytes.
const LONGEST: usize = 1 << 20;

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
    let exercise = Reader { document: &document, scope: Scope::default() }.exercise(name, &table);
    let faults = document.into_faults();
    if faults.is_empty() { Ok(exercise) } else { Err(faults) }
}

/// What is known while an exercise is being read.
pub(super) struct Reader<'d, 't> {
    pub document: &'d Document<'t>,
    pub scope: Scope,
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
        let givens: Vec<Given> = root.tables("given").into_iter().filter_map(|section| self.given(section)).collect();
        let givens = self.conditions(&root, givens);
        let drafts: Vec<Draft> = root.tables("step").into_iter().filter_map(|section| self.draft(section)).collect();
        if !root.has("step") {
            root.note("step", "there are no steps; a draft needs at least one [[step]]");
        }
        let (steps, order) = self.steps(drafts);
        let slips = root.tables("slip").into_iter().filter_map(|section| self.slip(section, &steps)).collect();
        let pieces = root.tables("piece").into_iter().filter_map(|section| read_piece(&self, section, &steps)).collect();
        let cautions = root.tables("caution").into_iter().filter_map(caution).collect();
        let practice = root.table("practice").map(|section| self.practice(section)).unwrap_or_default();
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
            cautions,
            practice,
            scope,
            order,
        }
    }

    fn rulers(&self, root: &Section) -> Vec<Ruler> {
        let read = |text: Text| match Ruler::read(&text.value) {
            Ok(ruler) => Some(ruler),
            Err(error) => {
                self.document.note(text.span, "rulers", error.to_string());
                None
            }
        };
        root.texts("rulers").into_iter().filter_map(read).collect()
    }

    // ------------------------------------------------------------------ givens

    /// A name that is spelled as names are and not taken yet.
    fn new_name(&self, section: &Section, prefix: &str) -> Option<Text> {
        let name = section.required_text("name")?;
        let whole = format!("{prefix}{}", name.value);
        // A column is always written after its table's name, so it may be called `count`.
        let fits = if prefix.is_empty() { formula::may_name(&name.value) } else { formula::spelled_as_name(&name.value) };
        if !fits {
            let message = format!(
                "{} can't name a measure; use letters, digits and _, a letter first, and no unit or function",
                quoted(&name.value)
            );
            self.document.note(name.span, &section.key("name"), message);
            return None;
        }
        if self.scope.slot(&whole).is_some() {
            let message = format!("the name `{whole}` is taken already; every measure needs one of its own");
            self.document.note(name.span, &section.key("name"), message);
            return None;
        }
        Some(name)
    }

    fn given(&mut self, section: Section<'d, 't>) -> Option<Given> {
        let name = self.new_name(&section, "");
        let title = text_of(section.required_text("title"));
        let says = text_of(section.text("says"));
        let name = name?;
        let short = within_a_sentence(&title);
        let kind = if section.has("columns") {
            self.table(&section, &name.value)
        } else if section.has("words") {
            self.choice(&section, &name.value, short)
        } else {
            match self.kind_word(&section)? {
                true => {
                    let range = self.length_range(&section);
                    let usual = section.texts("usual").iter().filter_map(|text| self.length(&section, "usual", text)).collect();
                    let varies = section.table("varies").and_then(|varies| self.vary_length(varies));
                    let slot = self.scope.add(name.value.clone(), short, Kind::LENGTH);
                    GivenKind::Length { slot, range, usual, varies }
                }
                false => {
                    let range = self.whole_range(&section);
                    let usual = section.whole("usual", range.0..=range.1);
                    let varies = section.table("varies").and_then(vary_whole);
                    let slot = self.scope.add(name.value.clone(), short, Kind::NUMBER);
                    GivenKind::Number { slot, range, usual, varies }
                }
            }
        };
        let _ = section.text("needed");
        section.finish();
        Some(Given { name: name.value, title, says, needed: None, kind })
    }

    /// Whether `kind` says length; `None`, and a fault, if it says neither that nor number.
    fn kind_word(&self, section: &Section) -> Option<bool> {
        let kind = section.required_text("kind")?;
        match kind.value.as_str() {
            "length" => Some(true),
            "number" => Some(false),
            other => {
                let message = format!("a given is a length or a number, not {}; a table has columns, a choice has words", quoted(other));
                self.document.note(kind.span, &section.key("kind"), message);
                None
            }
        }
    }

    fn length(&self, section: &Section, key: &str, text: &Text) -> Option<Length> {
        match Length::read(&text.value, None) {
            Ok(length) => Some(length),
            Err(error) => {
                self.document.note(text.span.clone(), &section.key(key), error.to_string());
                None
            }
        }
    }

    fn length_range(&self, section: &Section) -> (Length, Length) {
        let texts = section.texts("range");
        let ends: Vec<_> = texts.iter().filter_map(|text| self.length(section, "range", text)).collect();
        match ends[..] {
            [least, most] if least <= most && !least.is_negative() => (least, most),
            _ => {
                if texts.len() == ends.len() {
                    section.note("range", "a range has two lengths, the least and the greatest, such as [\"1/8 in\", \"2 in\"]");
                }
                (Length::ZERO, Length::LIMIT)
            }
        }
    }

    fn whole_range(&self, section: &Section) -> (i64, i64) {
        match section.wholes("range", 0..=1_000_000)[..] {
            [least, most] if least <= most => (least, most),
            _ => {
                section.note("range", "a range has two whole numbers, the least and the greatest, such as [1, 60]");
                (0, 1_000_000)
            }
        }
    }

    fn choice(&mut self, section: &Section, name: &str, short: String) -> GivenKind {
        let mut words = Vec::new();
        if let Some(table) = section.table("words") {
            for (word, says) in table.entries() {
                words.push(Choice { word: word.value, says: says.into_iter().map(|text| text.value).collect() });
            }
        }
        if words.is_empty() {
            section.note("words", "a choice needs words to choose from");
        }
        let index = |key: &str, text: Text| {
            let found = words.iter().position(|choice| choice.word == text.value);
            if found.is_none() {
                let known = words.iter().map(|choice| choice.word.as_str()).collect::<Vec<_>>().join(", ");
                let message = format!("{} is not one of the words: {known}", quoted(&text.value));
                self.document.note(text.span, &section.key(key), message);
            }
            found
        };
        let usual = section.text("usual").and_then(|text| index("usual", text));
        let varies = section.table("varies").map(|varies| {
            let chosen = varies.texts("words").into_iter().filter_map(|text| index("varies.words", text)).collect();
            varies.finish();
            Vary::Words(chosen)
        });
        let set = self.scope.add_words(words.iter().map(|choice| choice.word.clone()).collect());
        let slot = self.scope.add(name.to_owned(), short, Kind::one(Base::Word(set)));
        GivenKind::Choice { slot, words, usual, varies }
    }

    fn table(&mut self, section: &Section<'d, 't>, name: &str) -> GivenKind {
        let table = self.scope.add_table();
        let each = section.text("each").map_or_else(|| "row".to_owned(), |text| text.value);
        let rows = match section.wholes("rows", 1..=10_000)[..] {
            [least, most] if least <= most => (least as usize, most as usize),
            _ => {
                section.note("rows", "say how few and how many rows there may be, such as rows = [1, 24]");
                (1, 24)
            }
        };
        let columns: Vec<Column> =
            section.tables("columns").into_iter().filter_map(|column| self.column(column, name, table)).collect();
        let mut example = Vec::new();
        for row in section.tables("example") {
            let mut read = Row { name: text_of(row.text("name")), cells: Vec::new() };
            for (key, texts) in row.entries() {
                if key.value == "name" {
                    continue;
                }
                if columns.iter().any(|column| column.name == key.value) {
                    read.cells.push((key.value, texts.into_iter().map(|text| text.value).collect()));
                } else {
                    let known = columns.iter().map(|column| column.name.as_str()).collect::<Vec<_>>().join(", ");
                    self.document.note(key.span, &row.path, format!("there is no column {}; there are {known}", quoted(&key.value)));
                }
            }
            example.push(read);
        }
        let varies = section.table("varies").map(|varies| {
            let many = varies.wholes("rows", rows.0 as i64..=rows.1 as i64);
            let names: Vec<String> = varies.texts("names").into_iter().map(|text| text.value).collect();
            let (least, most) = match many[..] {
                [least, most] if least <= most => (least as usize, most as usize),
                _ => {
                    varies.note("rows", "say how few and how many rows a problem has, such as rows = [1, 3]");
                    (1, 1)
                }
            };
            if names.len() < most {
                varies.note("names", format!("a problem has up to {most} rows, so at least as many names are needed"));
            }
            varies.finish();
            (least, most, names)
        });
        GivenKind::Table { table, each, rows, columns, example, varies }
    }

    fn column(&mut self, section: Section<'d, 't>, given: &str, table: TableId) -> Option<Column> {
        let name = self.new_name(&section, &format!("{given}."));
        let title = text_of(section.required_text("title"));
        let says = text_of(section.text("says"));
        let is_length = self.kind_word(&section);
        let (name, is_length) = (name?, is_length?);
        let (range, varies) = if is_length {
            let (least, most) = self.length_range(&section);
            ((least.nm(), most.nm()), section.table("varies").and_then(|varies| self.vary_length(varies)))
        } else {
            (self.whole_range(&section), section.table("varies").and_then(vary_whole))
        };
        let base = if is_length { Base::Length } else { Base::Number };
        let slot = self.scope.add(format!("{given}.{}", name.value), within_a_sentence(&title), column_kind(base, table));
        let _ = section.text("needed");
        section.finish();
        Some(Column { name: name.value, title, says, slot, is_length, range, needed: None, varies })
    }

    /// Adds the conditions of givens and columns, which are read last because they may name any given.
    fn conditions(&self, root: &Section<'d, 't>, mut givens: Vec<Given>) -> Vec<Given> {
        let needed = |section: &Section| {
            let text = section.text("needed")?;
            self.formula(section, "needed", &text, Some(Kind::TRUTH))
        };
        let name = |section: &Section| section.text("name").map(|text| text.value);
        for section in root.tables("given") {
            let Some(given) = givens.iter_mut().find(|given| Some(&given.name) == name(&section).as_ref()) else { continue };
            given.needed = needed(&section);
            let GivenKind::Table { columns, .. } = &mut given.kind else { continue };
            for section in section.tables("columns") {
                if let Some(column) = columns.iter_mut().find(|column| Some(&column.name) == name(&section).as_ref()) {
                    column.needed = needed(&section);
                }
            }
        }
        givens
    }

    fn vary_length(&self, section: Section<'d, 't>) -> Option<Vary> {
        let lengths = |key| -> Vec<Length> {
            section.texts(key).iter().filter_map(|text| self.length(&section, key, text)).collect()
        };
        let (one_of, from, to) = (lengths("one_of"), lengths("from"), lengths("to"));
        let every = section.whole("every", 1..=1_000).unwrap_or(1);
        let vary = match (&from[..], &to[..]) {
            _ if !one_of.is_empty() => Vary::OneOf(one_of),
            ([from], [to]) if from <= to => Vary::Ticks { from: *from, to: *to, every },
            _ => {
                section.note("", "say what it varies over: one_of = [...], or from and to, with every = how many ticks");
                return None;
            }
        };
        section.finish();
        Some(vary)
    }

    // ------------------------------------------------------------------ formulas

    /// Compiles a formula and checks its kind, noting a fault at its place.
    pub(super) fn formula(&self, section: &Section, key: &str, text: &Text, wanted: Option<Kind>) -> Option<Formula> {
        match Formula::compile(&text.value, &self.scope) {
            Ok(formula) => match wanted {
                Some(wanted) if formula.kind() != wanted => {
                    let message = format!("{} is expected here, but this is {}", wanted.describe(), formula.kind().describe());
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

    // ------------------------------------------------------------------ steps

    fn draft(&mut self, section: Section<'d, 't>) -> Option<Draft<'d, 't>> {
        let name = self.new_name(&section, "");
        let title = text_of(section.required_text("title"));
        let short = section.text("short").map_or_else(|| within_a_sentence(&title), |text| text.value);
        let value = section.text("value");
        let mut limits = Vec::new();
        for (key, kind) in LIMITS {
            for (text, why) in limit_texts(&section, key) {
                limits.push((kind, text, why));
            }
        }
        let suggest = section.text("suggest");
        if value.is_some() == (!limits.is_empty() || suggest.is_some()) {
            section.note("", "a step has either a `value`, or limits (`at_least`, `above`, `at_most`, `below`) and a `suggest`");
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

    fn steps(&mut self, drafts: Vec<Draft<'d, 't>>) -> (Vec<Step>, Vec<usize>) {
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
        let mut steps = Vec::new();
        let mut sections = Vec::new();
        let mut places = BTreeMap::new();
        for (index, draft) in drafts.into_iter().enumerate() {
            let Some((rule, kind)) = rules.remove(&index) else {
                // Its fault is noted; its other keys are still looked at.
                let _ = read_marks(self, &draft.section, "draw", &[], None);
                draft.section.finish();
                continue;
            };
            let slot = self.scope.slot(&draft.name.value).unwrap_or(Slot(0));
            places.insert(index, steps.len());
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
            });
            sections.push(draft.section);
        }
        for index in 0..steps.len() {
            let slots: Vec<Slot> = steps[index].formulas().flat_map(Formula::uses).copied().collect();
            steps[index].uses = (0..steps.len()).filter(|other| slots.contains(&steps[*other].slot)).collect();
        }
        // What a step draws may name any step, so it is read when all are there.
        for (index, section) in sections.into_iter().enumerate() {
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
                let texts = draft.value.iter().chain(&draft.suggest).chain(draft.limits.iter().map(|(_, text, _)| text));
                let names: Vec<String> = texts.flat_map(|text| formula::names_in(&text.value)).collect();
                (0..drafts.len()).filter(|other| names.contains(&drafts[*other].name.value)).collect()
            })
            .collect();
        let mut order = Vec::new();
        let mut done = vec![false; drafts.len()];
        while let Some(next) = (0..drafts.len()).find(|&index| !done[index] && uses[index].iter().all(|used| done[*used])) {
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
            let members: Vec<_> = circle.iter().chain(circle.first()).map(|index| format!("`{}`", drafts[*index].name.value)).collect();
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
        let mut limits = Vec::new();
        for (limit, text, why) in &draft.limits {
            let key = LIMITS.iter().find(|(_, kind)| kind == limit).map_or("at_least", |(key, _)| key);
            let value = self.formula(section, key, text, Some(kind));
            limits.extend(value.map(|value| Limit { kind: *limit, value, why: why.clone() }));
        }
        Some((StepRule::Within { limits, suggest }, kind))
    }

    fn slip(&self, section: Section<'d, 't>, steps: &[Step]) -> Option<Slip> {
        let name = section.required_text("name");
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
    pub(super) fn find_step(&self, section: &Section, key: &str, text: Text, steps: &[Step]) -> Option<usize> {
        let found = steps.iter().position(|step| step.name == text.value);
        if found.is_none() && self.scope.slot(&text.value).is_none() {
            let near = nearest(&text.value, steps.iter().map(|step| step.name.as_str()));
            let hint = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
            let message = format!("there is no step {}{hint}", quoted(&text.value));
            self.document.note(text.span, &section.key(key), message);
        }
        found
    }

    fn practice(&self, section: Section<'d, 't>) -> Practice {
        let tells = text_of(section.text("tells"));
        let mut require = Vec::new();
        for requirement in section.tables("require") {
            let rule = requirement.required_text("rule");
            let rule = rule.and_then(|text| self.formula(&requirement, "rule", &text, Some(Kind::TRUTH)));
            let says = text_of(requirement.required_text("says"));
            requirement.finish();
            require.extend(rule.map(|rule| Requirement { rule, says }));
        }
        section.finish();
        Practice { tells, require }
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

fn vary_whole(section: Section) -> Option<Vary> {
    let from = section.whole("from", 0..=1_000_000);
    let to = section.whole("to", 0..=1_000_000);
    let vary = match (from, to) {
        (Some(from), Some(to)) if from <= to => Some(Vary::Whole { from, to }),
        _ => {
            section.note("", "say what it varies over: from and to, two whole numbers");
            None
        }
    };
    section.finish();
    vary
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
