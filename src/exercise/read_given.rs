//! The part of an exercise file that says what the student is given.

use super::index::GivenId;
use super::model::*;
use super::read::{Reader, text_of};
use super::read_drawing::label_of;
use super::scope::{column_kind, within_a_sentence};
use crate::formula::{self, Base, Kind, TableId};
use crate::length::{Length, read_with_unit};
use crate::text::{Section, Text, quoted};
use typed_index_collections::TiVec;

/// A table has so many rows at the most.
const MOST_ROWS: i64 = 1_000;

impl<'d, 't> Reader<'d, 't> {
    /// A name that is spelled as names are and not taken yet.
    pub(super) fn new_name(&self, section: &Section, prefix: &str) -> Option<Text> {
        let name = section.required_text("name")?;
        let whole = format!("{prefix}{}", name.value);
        // A column is always written after its table's name, so it may be called `count`.
        let fits =
            if prefix.is_empty() { formula::may_name(&name.value) } else { formula::spelled_as_name(&name.value) };
        if !fits {
            let message = format!(
                "{} can't name a measure; use letters, digits and _, a letter first, and no unit or function",
                quoted(&name.value)
            );
            self.document.note(name.span, &section.key("name"), message);
            return None;
        }
        if !prefix.is_empty() && name.value == "name" {
            let message = "every row has a `name` already, what the object is called; choose another word";
            self.document.note(name.span, &section.key("name"), message);
            return None;
        }
        if self.scope.slot(&whole).is_some() || self.scope.has_table(&whole) {
            let message = format!("the name `{whole}` is taken already; every measure needs one of its own");
            self.document.note(name.span, &section.key("name"), message);
            return None;
        }
        Some(name)
    }

    pub(super) fn given(&mut self, section: Section<'d, 't>) -> Option<Given> {
        let name = self.new_name(&section, "");
        let title = text_of(section.required_text("title"));
        let says = text_of(section.text("says"));
        let name = name?;
        let short = if section.has("columns") {
            String::new()
        } else if section.has("words") && !section.has("short") {
            // What is chosen stands after it: "how the ends are made: both drawn up".
            format!("{}:", within_a_sentence(&title))
        } else {
            short(&section, &title)
        };
        let kind = if section.has("columns") {
            self.table(&section, &name.value)
        } else if section.has("words") {
            self.choice(&section, &name.value, short)
        } else {
            match self.kind_word(&section)? {
                true => {
                    let range = self.length_range(&section);
                    let usual: Vec<Stated> =
                        section.texts("usual").iter().filter_map(|text| self.stated(&section, "usual", text)).collect();
                    let varies = section.table("varies").and_then(|varies| self.vary_length(varies));
                    self.keeps_to_range(&section, (range.0.nm(), range.1.nm()), &usual, varies.as_ref());
                    let slot = self.scope.add(name.value.clone(), short, Kind::LENGTH);
                    GivenKind::Length { slot, range, usual, varies }
                }
                false => {
                    let range = self.whole_range(&section);
                    let usual = section.whole("usual", range.0..=range.1);
                    let varies = section.table("varies").and_then(vary_whole);
                    self.keeps_to_range(&section, range, &[], varies.as_ref());
                    let slot = self.scope.add(name.value.clone(), short, Kind::NUMBER);
                    GivenKind::Number { slot, range, usual, varies }
                }
            }
        };
        let _ = section.text("needed");
        let example = if section.has("columns") { None } else { section.text("example").map(|text| text.value) };
        section.finish();
        Some(Given { example, name: name.value, title, says, needed: None, kind })
    }

    /// Whether `kind` says length; `None`, and a fault, if it says neither that nor number.
    fn kind_word(&self, section: &Section) -> Option<bool> {
        let kind = section.required_text("kind")?;
        match kind.value.as_str() {
            "length" => Some(true),
            "number" => Some(false),
            other => {
                let message = format!(
                    "a given is a length or a number, not {}; a table has columns, a choice has words",
                    quoted(other)
                );
                self.document.note(kind.span, &section.key("kind"), message);
                None
            }
        }
    }

    pub(super) fn length(&self, section: &Section, key: &str, text: &Text) -> Option<Length> {
        self.stated(section, key, text).map(|stated| stated.length)
    }

    /// A length, and the system it is written in.
    pub(super) fn stated(&self, section: &Section, key: &str, text: &Text) -> Option<Stated> {
        match read_with_unit(&text.value, None) {
            Ok((length, unit)) => Some(Stated { length, is_metric: unit.is_metric() }),
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
                    section.note(
                        "range",
                        "a range has two lengths, the least and the greatest, such as [\"1/8 in\", \"2 in\"]",
                    );
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
        let each = section.text("each").map_or_else(|| "row".to_owned(), |text| text.value);
        let rows = match section.wholes("rows", 1..=MOST_ROWS)[..] {
            [least, most] if least <= most => (least as usize, most as usize),
            _ => {
                section.note("rows", "say how few and how many rows there may be, such as rows = [1, 24]");
                (1, 24)
            }
        };
        let table = self.scope.add_table(rows.1);
        let columns: Vec<Column> =
            section.few("columns", 60).into_iter().filter_map(|column| self.column(column, name, table)).collect();
        let mut example = Vec::new();
        for row in section.few("example", MOST_ROWS as usize) {
            let mut read = Row { name: text_of(row.text("name")), cells: Vec::new() };
            for (key, texts) in row.entries() {
                if key.value == "name" {
                    continue;
                }
                if columns.iter().any(|column| column.name == key.value) {
                    read.cells.push((key.value, texts.into_iter().map(|text| text.value).collect()));
                } else {
                    let known = columns.iter().map(|column| column.name.as_str()).collect::<Vec<_>>().join(", ");
                    self.document.note(
                        key.span,
                        &row.path,
                        format!("there is no column {}; there are {known}", quoted(&key.value)),
                    );
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
        let (short, says) = (short(&section, &title), text_of(section.text("says")));
        let is_length = self.kind_word(&section);
        let (name, is_length) = (name?, is_length?);
        let (range, varies) = if is_length {
            let (least, most) = self.length_range(&section);
            ((least.nm(), most.nm()), section.table("varies").and_then(|varies| self.vary_length(varies)))
        } else {
            (self.whole_range(&section), section.table("varies").and_then(vary_whole))
        };
        self.keeps_to_range(&section, range, &[], varies.as_ref());
        let base = if is_length { Base::Length } else { Base::Number };
        let slot = self.scope.add(format!("{given}.{}", name.value), short, column_kind(base, table));
        let _ = section.text("needed");
        section.finish();
        Some(Column { name: name.value, title, says, slot, is_length, range, needed: None, varies })
    }

    /// Adds the conditions of givens and columns, which are read last because they may name any given.
    pub(super) fn conditions(
        &self,
        root: &Section<'d, 't>,
        mut givens: TiVec<GivenId, Given>,
    ) -> TiVec<GivenId, Given> {
        let needed = |section: &Section| {
            let text = section.text("needed")?;
            self.formula(section, "needed", &text, Some(Kind::TRUTH))
        };
        let name = |section: &Section| section.text("name").map(|text| text.value);
        for section in root.tables("given") {
            let Some(given) = givens.iter_mut().find(|given| Some(&given.name) == name(&section).as_ref()) else {
                continue;
            };
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
        let lengths = |key| -> Vec<Stated> {
            section.texts(key).iter().filter_map(|text| self.stated(&section, key, text)).collect()
        };
        let (one_of, from, to) = (lengths("one_of"), lengths("from"), lengths("to"));
        let every = section.whole("every", 1..=1_000).unwrap_or(1);
        let vary = match (&from[..], &to[..]) {
            _ if !one_of.is_empty() => Vary::OneOf(one_of),
            ([from], [to]) if from.length <= to.length => Vary::Ticks { from: from.length, to: to.length, every },
            _ => {
                section
                    .note("", "say what it varies over: one_of = [...], or from and to, with every = how many ticks");
                return None;
            }
        };
        section.finish();
        Some(vary)
    }

    /// Notes usual and practice values beyond the range: a sheet made with them could not be marked.
    fn keeps_to_range(&self, section: &Section, (least, most): (i64, i64), usual: &[Stated], varies: Option<&Vary>) {
        let outside = |length: Length| !(least..=most).contains(&length.nm());
        let any_outside = |lengths: &[Stated]| lengths.iter().any(|one| outside(one.length));
        if any_outside(usual) {
            section.note("usual", "a usual value lies outside the range");
        }
        let is_beyond = match varies {
            Some(Vary::Ticks { from, to, .. }) => outside(*from) || outside(*to),
            Some(Vary::OneOf(lengths)) => any_outside(lengths),
            Some(Vary::Whole { from, to }) => *from < least || *to > most,
            Some(Vary::Words(_)) | None => false,
        };
        if is_beyond {
            section.note("varies", "what practice varies it over goes beyond the range");
        }
    }
}

/// How a title reads within a sentence or a formula.
pub(super) fn short(section: &Section, title: &str) -> String {
    section.text("short").map_or_else(|| within_a_sentence(title), |text| label_of(&text))
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
