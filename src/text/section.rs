//! A table of a file as it is read: opened with its schema, so that a key which is not known is told at once, and a value
//! that is no such value when it is asked for.

use super::harmless::{harmless, hidden_in, quoted};
use super::nearest::{Shown, did_you_mean};
use super::schema::{Holds, Key, Schema, Variant};
use super::toml::{Document, Text};
use ::toml::Spanned;
use ::toml::de::{DeTable, DeValue};
use std::collections::BTreeSet;
use std::ops::{Range, RangeInclusive};

/// Longest text that is read, in bytes.
const LONGEST_TEXT: usize = 4_000;

/// One table of the file. Its keys are read by name; one that is not declared in the table's schema is not there.
pub struct Section<'d, 't> {
    document: &'d Document<'t>,
    table: &'d DeTable<'t>,
    /// Where the section stands.
    pub span: Range<usize>,
    /// Its key path, for faults.
    pub path: String,
    /// The variants that it can have; none for a table whose keys the file's writer chooses.
    variants: &'static [Variant],
}

impl<'d, 't> Section<'d, 't> {
    /// The whole file as a section.
    pub fn root(document: &'d Document<'t>, table: &'d DeTable<'t>, schema: &'static Schema) -> Section<'d, 't> {
        Section::open(document, table, 0..0, String::new(), Some(schema))
    }

    /// The whole text as a section of a variant that is known from elsewhere.
    pub fn of_variant(
        document: &'d Document<'t>,
        table: &'d DeTable<'t>,
        variant: &'static Variant,
    ) -> Section<'d, 't> {
        let variants = std::slice::from_ref(variant);
        let section = Section { document, table, span: 0..0, path: String::new(), variants };
        section.note_unknown_keys();
        section
    }

    fn open(
        document: &'d Document<'t>,
        table: &'d DeTable<'t>,
        span: Range<usize>,
        path: String,
        schema: Option<&'static Schema>,
    ) -> Section<'d, 't> {
        let is_told = |variant: &Variant| {
            let there = table.get(variant.told_by).map(|value| value.get_ref().as_str());
            match variant.key(variant.told_by).map(|key| &key.holds) {
                Some(Holds::Word(words)) => there.flatten().is_some_and(|word| words.contains(&word)),
                _ => there.is_some(),
            }
        };
        let (variants, is_told) = schema.map_or((&[][..], false), |schema| schema.narrowed(is_told));
        let section = Section { document, table, span, path, variants };
        // A table that could not be told for what it is has a fault of its own.
        if is_told {
            section.note_unknown_keys();
        }
        section
    }

    /// Notes every key that is not known, with the nearest one that is.
    fn note_unknown_keys(&self) {
        for key in self.table.keys() {
            let name: &str = key.get_ref();
            if self.document.is_full() {
                return;
            }
            if self.declared(name).is_some() {
                continue;
            }
            let known: BTreeSet<&str> =
                self.variants.iter().flat_map(|variant| variant.keys).map(|key| key.name).collect();
            let hint = did_you_mean(name, known.iter().copied(), Shown::Key);
            let hint = hint.unwrap_or_else(|| format!("known here: {}", Vec::from_iter(known).join(", ")));
            let path = self.key(&harmless(name, 40));
            self.document.note(key.span(), &path, format!("this key is not known; {hint}"));
        }
    }

    /// A section below this one.
    fn below(&self, key: &str, table: &'d DeTable<'t>, span: Range<usize>, path: String) -> Section<'d, 't> {
        let schema = self.declared(key).and_then(|key| key.holds.schema());
        Section::open(self.document, table, span, path, schema)
    }

    /// The variant that the section has, if it is known.
    pub fn variant(&self) -> Option<&'static str> {
        if let [variant] = self.variants { Some(variant.name) } else { None }
    }

    /// The names of the variants that it can have.
    pub fn variants(&self) -> impl Iterator<Item = &'static str> {
        self.variants.iter().map(|variant| variant.name)
    }

    fn declared(&self, key: &str) -> Option<&'static Key> {
        self.variants.iter().find_map(|variant| variant.key(key))
    }

    /// Whether a key has to be there, whichever variant the section has.
    fn is_needed(&self, key: &str) -> bool {
        !self.variants.is_empty()
            && self.variants.iter().all(|variant| variant.key(key).is_some_and(|key| key.is_needed))
    }

    /// The path of one of its keys.
    pub fn key(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    /// Notes a fault of one of its keys: at the key's value, or at the section itself if it has no such key.
    pub fn note(&self, key: &str, message: impl Into<String>) {
        let span = self.table.get(key).map_or_else(|| self.span.clone(), Spanned::span);
        let path = if key.is_empty() { self.path.clone() } else { self.key(key) };
        self.document.note(span, &path, message);
    }

    fn value(&self, key: &str) -> Option<&'d Spanned<DeValue<'t>>> {
        let is_known = self.variants.is_empty() || self.declared(key).is_some();
        self.table.get(key).filter(|_| is_known)
    }

    fn wrong(&self, key: &str, found: &Spanned<DeValue<'_>>, wanted: &str) {
        self.wrong_at(key, found.span(), found.get_ref(), wanted);
    }

    fn wrong_at(&self, key: &str, span: Range<usize>, found: &DeValue<'_>, wanted: &str) {
        let found = whole_number(found).map_or_else(|| kind_of(found).to_owned(), |number| number.to_string());
        self.document.note(span, &self.key(key), format!("{wanted} was expected here, but this is {found}"));
    }

    /// The value as a text; a fault, with what is wanted, if it is none.
    fn as_text(&self, key: &str, value: &Spanned<DeValue<'_>>, wanted: &str) -> Option<Text> {
        let text = value.get_ref().as_str().map(|text| self.fit(key, text, value.span()));
        if text.is_none() {
            self.wrong(key, value, wanted);
        }
        text
    }

    /// The value as a table; a fault if it is none.
    fn as_table(&self, key: &str, value: &'d Spanned<DeValue<'t>>) -> Option<&'d DeTable<'t>> {
        let table = value.get_ref().as_table();
        if table.is_none() {
            self.wrong(key, value, "a table");
        }
        table
    }

    /// The items of the value; a fault, with what is wanted, if it is no list.
    fn as_list(&self, key: &str, value: &'d Spanned<DeValue<'t>>, wanted: &str) -> &'d [Spanned<DeValue<'t>>] {
        let list = value.get_ref().as_array();
        if list.is_none() {
            self.wrong(key, value, wanted);
        }
        list.map_or(&[], |list| list)
    }

    /// Whether the key is there.
    pub fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// A text as it is used; what can't be shown as it is, or is too long to be, is a fault.
    fn fit(&self, key: &str, text: &str, span: Range<usize>) -> Text {
        if let Some(hidden) = hidden_in(text).find(|letter| !letter.is_whitespace()) {
            let message = format!("there is an invisible character in it ({}); take it out", hidden.escape_unicode());
            self.document.note(span.clone(), &self.key(key), message);
        }
        if text.len() > LONGEST_TEXT {
            self.document.note(span.clone(), &self.key(key), format!("a text has at most {LONGEST_TEXT} bytes"));
        }
        Text { value: text.to_owned(), span }
    }

    /// Notes a fault of a text that stands under one of its keys.
    pub fn note_text(&self, key: &str, text: &Text, message: impl Into<String>) {
        self.document.note(text.span.clone(), &self.key(key), message);
    }

    /// Notes that a key is missing.
    pub fn note_missing(&self, key: &str) {
        self.note("", format!("`{key}` is missing"));
    }

    /// A text, if the key is there. Where the key has to be there, so has the text: it is a fault if either is missing.
    pub fn text(&self, key: &str) -> Option<Text> {
        let is_needed = self.is_needed(key);
        let Some(value) = self.value(key) else {
            if is_needed {
                self.note_missing(key);
            }
            return None;
        };
        let text = self.as_text(key, value, "text in quotation marks")?;
        if is_needed { self.filled(key, text) } else { Some(text) }
    }

    /// The text, if there is anything in it; a fault otherwise.
    pub fn filled(&self, key: &str, text: Text) -> Option<Text> {
        if text.value.trim().is_empty() {
            self.note_text(key, &text, "this is empty");
            return None;
        }
        Some(text)
    }

    /// What one of some words stands for, if the key is there.
    pub fn word<T: Copy>(&self, key: &str, words: &[(&'static str, T)]) -> Option<T> {
        let text = self.filled(key, self.text(key)?)?;
        let found = words.iter().find(|(word, _)| *word == text.value).map(|(_, meaning)| *meaning);
        if found.is_none() {
            let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            let message = format!("{} is not one of: {}", quoted(&text.value), known.join(", "));
            self.note_text(key, &text, message);
        }
        found
    }

    /// What `read` makes of a key that may be left out: nothing, if it is not there; `None` if it has a fault.
    pub fn if_there<T>(&self, key: &str, read: impl FnOnce(&str) -> Option<T>) -> Option<Option<T>> {
        if self.has(key) { read(key).map(Some) } else { Some(None) }
    }

    /// A yes-or-no, if the key is there.
    pub fn truth(&self, key: &str) -> Option<bool> {
        let value = self.value(key)?;
        let truth = value.get_ref().as_bool();
        if truth.is_none() {
            self.wrong(key, value, "true or false");
        }
        truth
    }

    /// A whole number between the limits of the key, if the key is there.
    pub fn whole(&self, key: &str) -> Option<i64> {
        self.whole_within(key, self.limits(key))
    }

    /// As [`Section::whole`], between limits that the file itself sets.
    pub fn whole_within(&self, key: &str, limits: RangeInclusive<i64>) -> Option<i64> {
        let value = self.value(key)?;
        self.number(key, value.span(), value.get_ref(), &limits)
    }

    /// A list of whole numbers between the limits of the key; empty if the key is not there.
    pub fn wholes(&self, key: &str) -> Vec<i64> {
        self.wholes_within(key, self.limits(key))
    }

    /// As [`Section::wholes`], between limits that the file itself sets.
    pub fn wholes_within(&self, key: &str, limits: RangeInclusive<i64>) -> Vec<i64> {
        let Some(value) = self.value(key) else { return Vec::new() };
        let items = value.get_ref().as_array().into_iter().flat_map(|items| items.iter());
        items.filter_map(|item| self.number(key, value.span(), item.get_ref(), &limits)).collect()
    }

    fn limits(&self, key: &str) -> RangeInclusive<i64> {
        self.declared(key).and_then(|key| key.holds.limits()).unwrap_or(i64::MIN..=i64::MAX)
    }

    fn number(&self, key: &str, span: Range<usize>, value: &DeValue<'_>, limits: &RangeInclusive<i64>) -> Option<i64> {
        let number = whole_number(value).filter(|number| limits.contains(number));
        if number.is_none() {
            self.wrong_at(key, span, value, &format!("a whole number from {} to {}", limits.start(), limits.end()));
        }
        number
    }

    /// Texts and tables under one key, alone or in a list: a text as `Ok`, a table as `Err`.
    pub fn tables_or_texts(&self, key: &str) -> Vec<Result<Text, Section<'d, 't>>> {
        let Some(value) = self.value(key) else { return Vec::new() };
        let items: &[Spanned<DeValue>] = value.get_ref().as_array().map_or(std::slice::from_ref(value), |list| list);
        let read = |item: &'d Spanned<DeValue<'t>>| match item.get_ref().as_table() {
            Some(table) => Some(Err(self.below(key, table, item.span(), self.key(key)))),
            None => self.as_text(key, item, "text in quotation marks, or a table,").map(Ok),
        };
        items.iter().filter_map(read).collect()
    }

    /// A list of texts; a single text counts as a list of one; empty if the key is not there.
    pub fn texts(&self, key: &str) -> Vec<Text> {
        let Some(value) = self.value(key) else { return Vec::new() };
        match value.get_ref().as_array() {
            Some(list) => self.as_texts(key, list),
            None => self.as_text(key, value, "text in quotation marks, or a list of texts,").into_iter().collect(),
        }
    }

    fn as_texts(&self, key: &str, list: &[Spanned<DeValue<'_>>]) -> Vec<Text> {
        list.iter().filter_map(|item| self.as_text(key, item, "text in quotation marks")).collect()
    }

    /// A list of lists of texts; empty if the key is not there.
    pub fn text_lists(&self, key: &str) -> Vec<Vec<Text>> {
        let Some(value) = self.value(key) else { return Vec::new() };
        let read = |item: &'d Spanned<DeValue<'t>>| {
            let texts = self.as_list(key, item, "a list of texts");
            item.get_ref().is_array().then(|| self.as_texts(key, texts))
        };
        self.as_list(key, value, "a list of lists of texts").iter().filter_map(read).collect()
    }

    /// A table, if the key is there.
    pub fn table(&self, key: &str) -> Option<Section<'d, 't>> {
        let value = self.value(key)?;
        Some(self.below(key, self.as_table(key, value)?, value.span(), self.key(key)))
    }

    /// A list of tables, each called by its `name` in faults; empty if the key is not there. More than the key allows are a
    /// fault, and left out.
    pub fn tables(&self, key: &str) -> Vec<Section<'d, 't>> {
        let Some(value) = self.value(key) else { return Vec::new() };
        let items = self.as_list(key, value, "a list of tables").iter().enumerate();
        let mut tables: Vec<_> =
            items.filter_map(|(index, item)| Some((index, self.as_table(key, item)?, item.span()))).collect();
        let most = self.declared(key).map_or(usize::MAX, |key| key.holds.most());
        if let Some((_, _, span)) = tables.get(most) {
            let message = format!("there are {} of them, and at most {most} are read", tables.len());
            self.document.note(span.clone(), &self.key(key), message);
            tables.truncate(most);
        }
        let open = |(index, table, span): (usize, &'d DeTable<'t>, _)| {
            let name = table.get("name").and_then(|name| name.get_ref().as_str());
            let called = name.map_or_else(|| (index + 1).to_string(), |name| harmless(name, 40).into_owned());
            self.below(key, table, span, format!("{}.{called}", self.key(key)))
        };
        tables.into_iter().map(open).collect()
    }

    /// Every entry whose value is text or a number, with the number as it was written; anything else is
    /// a fault. For tables whose keys the file's writer chooses.
    pub fn entries(&self) -> Vec<(Text, Vec<Text>)> {
        self.entries_except([])
    }

    /// As [`Section::entries`], passing over some keys.
    pub fn entries_except<'k>(&self, keys: impl IntoIterator<Item = &'k str>) -> Vec<(Text, Vec<Text>)> {
        let skipped: BTreeSet<&str> = keys.into_iter().collect();
        let mut entries = Vec::new();
        for (key, value) in self.table {
            if self.document.is_full() {
                break;
            }
            if skipped.contains(key.get_ref().as_ref()) {
                continue;
            }
            let name = Text { value: key.get_ref().to_string(), span: key.span() };
            let path = harmless(key.get_ref(), 40);
            let read = |item: &Spanned<DeValue>| self.as_written(&path, item);
            match value.get_ref().as_array() {
                Some(items) => entries.push((name, items.iter().filter_map(read).collect())),
                None => entries.extend(read(value).map(|text| (name, vec![text]))),
            }
        }
        entries.sort_by_key(|(name, _)| name.span.start);
        entries
    }

    /// As [`Section::entries`], for what a stranger wrote: a value of any other kind is the text as it stands in the file, to
    /// be read or not where it belongs. Only a table is a fault.
    pub fn entries_of_any_kind(&self) -> Vec<(Text, Vec<Text>)> {
        let mut entries = Vec::new();
        for (key, value) in self.table {
            if self.document.is_full() {
                break;
            }
            let path = harmless(key.get_ref(), 40);
            let read = |item: &Spanned<DeValue>| match item.get_ref() {
                DeValue::Boolean(_) | DeValue::Datetime(_) | DeValue::Array(_) => {
                    Some(Text { value: self.document.written(item.span()), span: item.span() })
                }
                DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_) | DeValue::Table(_) => {
                    self.as_written(&path, item)
                }
            };
            let name = Text { value: key.get_ref().to_string(), span: key.span() };
            match value.get_ref().as_array() {
                Some(items) => entries.push((name, items.iter().filter_map(read).collect())),
                None => entries.extend(read(value).map(|text| (name, vec![text]))),
            }
        }
        entries.sort_by_key(|(name, _)| name.span.start);
        entries
    }

    /// A text or a number as it was written; a fault if the value is neither.
    fn as_written(&self, key: &str, value: &Spanned<DeValue<'_>>) -> Option<Text> {
        let found = value.get_ref();
        let digits = found.as_integer().filter(|number| number.radix() == 10).map(|number| number.as_str());
        let text = found.as_str().or(digits).or_else(|| found.as_float().map(|number| number.as_str()));
        if text.is_none() && found.is_table() {
            let key = self.key(key);
            self.document.note(value.span(), &key, format!("a list of rows is written with two brackets: [[{key}]]"));
        } else if text.is_none() {
            self.wrong(key, value, "a measurement, such as \"12 1/2 in\",");
        }
        text.map(|text| Text { value: text.to_owned(), span: value.span() })
    }

    /// The names of its entries that are lists of tables, with the tables: [`Section::entries`] for tables.
    pub fn lists_of_tables(&self) -> Vec<(Text, Vec<Section<'d, 't>>)> {
        let mut lists = Vec::new();
        for (key, value) in self.table {
            let items = value.get_ref().as_array().map_or(&[][..], |items| items);
            if items.is_empty() || !items.iter().all(|item| item.get_ref().is_table()) {
                continue;
            }
            let path = self.key(&harmless(key.get_ref(), 40));
            let tables = items.iter().filter_map(|item| Some((item.get_ref().as_table()?, item.span()))).enumerate();
            let open = |(index, (table, span))| {
                Section::open(self.document, table, span, format!("{path}.{}", index + 1), None)
            };
            let name = Text { value: key.get_ref().to_string(), span: key.span() };
            lists.push((name, tables.map(open).collect()));
        }
        lists
    }

    /// The document, for noting faults in values.
    pub fn document(&self) -> &'d Document<'t> {
        self.document
    }
}

fn whole_number(value: &DeValue<'_>) -> Option<i64> {
    value.as_integer().and_then(|digits| i64::from_str_radix(digits.as_str(), digits.radix()).ok())
}

fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a decimal number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
