//! What the student is given.

use super::reader::{Reader, label_of, line_of, short, stated};
use crate::exercise::model::{
    Choice, Column, Given, GivenId, GivenKind, Parts, Row, Stated, Vary, column_kind, within_a_sentence,
};
use crate::formula::{self, Base, Kind, TableId};
use crate::length::Length;
use crate::text::{Section, Text, quoted};
use typed_index_collections::TiVec;

/// Reads every given. Their conditions are read last, because they may name any of them.
pub(super) fn read_givens(reader: &mut Reader, root: &Section) -> TiVec<GivenId, Given> {
    let mut read = Vec::new();
    for section in root.tables("given") {
        let mut columns = Vec::new();
        let given = read_given(reader, &section, &mut columns);
        read.extend(given.map(|given| (given, section, columns)));
    }
    let conditioned = |(mut given, section, columns): (Given, Section, Vec<Section>)| {
        given.needed = reader.condition(&section, "needed").flatten();
        if let GivenKind::Table { columns: read, .. } = &mut given.kind {
            for (column, section) in read.iter_mut().zip(&columns) {
                column.needed = reader.condition(section, "needed").flatten();
            }
        }
        given
    };
    read.into_iter().map(conditioned).collect()
}

/// A name that is spelled as names are and not taken yet.
pub(super) fn new_name(reader: &Reader, section: &Section, prefix: &str) -> Option<Text> {
    let name = section.text("name")?;
    let whole = format!("{prefix}{}", name.value);
    // A column is always written after its table's name, so it may be called `count`.
    let fits = if prefix.is_empty() { formula::may_name(&name.value) } else { formula::spelled_as_name(&name.value) };
    let message = if !fits {
        format!(
            "{} can't name a measure; use letters, digits and _, a letter first, and no unit or function",
            quoted(&name.value)
        )
    } else if !prefix.is_empty() && name.value == "name" {
        "every row has a `name` already, what the object is called; choose another word".to_owned()
    } else if reader.scope.slot(&whole).is_some() || reader.scope.has_table(&whole) {
        format!("the name `{whole}` is taken already; every measure needs one of its own")
    } else {
        return Some(name);
    };
    section.note_text("name", &name, message);
    None
}

/// Reads a given; the sections of its columns are kept, for their conditions.
fn read_given<'d, 't>(
    reader: &mut Reader,
    section: &Section<'d, 't>,
    columns: &mut Vec<Section<'d, 't>>,
) -> Option<Given> {
    let name = new_name(reader, section, "");
    let (title, says) = (line_of(section, "title"), line_of(section, "says"));
    let name = name?.value;
    let kind = match section.variant() {
        Some("table") => read_table(reader, section, &name, columns),
        Some("choice") => {
            // What is chosen stands after it: "how the ends are made: both drawn up".
            let short = label_of(section, "short").unwrap_or_else(|| format!("{}:", within_a_sentence(&title)));
            read_choice(reader, section, &name, short)
        }
        _ => {
            let short = short(section, &title);
            if is_length(section)? {
                let range = length_range(section);
                let usual = stated_lengths(section, "usual");
                let varies = section.table("varies").and_then(|varies| vary_length(&varies));
                keeps_to_range(section, (range.0.nm(), range.1.nm()), &usual, varies.as_ref());
                let slot = reader.scope.add(name.clone(), short, Kind::LENGTH);
                GivenKind::Length { slot, range, usual, varies }
            } else {
                let parts = parts(section);
                let range = number_range(section, parts);
                let usual = number(section, "usual", parts, Some(range));
                let varies = section.table("varies").and_then(|varies| vary_number(&varies, parts));
                keeps_to_range(section, range, &[], varies.as_ref());
                let slot = reader.scope.add(name.clone(), short, Kind::NUMBER);
                GivenKind::Number { slot, parts, range, usual, varies }
            }
        }
    };
    let is_table = matches!(kind, GivenKind::Table { .. });
    let example = if is_table { None } else { section.text("example").map(|text| text.value) };
    Some(Given { example, name, title, says, needed: None, kind })
}

/// Whether `kind` says length; `None`, and a fault, if it says neither that nor number.
fn is_length(section: &Section) -> Option<bool> {
    if let Some(kind) = section.variant() {
        return Some(kind == "length");
    }
    if !section.has("kind") {
        section.note_missing("kind");
    }
    let kind = section.filled("kind", section.text("kind")?)?;
    let message = format!(
        "a given is a length or a number, not {}; a table has columns, a choice has words",
        quoted(&kind.value)
    );
    section.note_text("kind", &kind, message);
    None
}

/// The lengths under a key that can be read.
fn stated_lengths(section: &Section, key: &str) -> Vec<Stated> {
    section.texts(key).iter().filter_map(|text| stated(section, key, text)).collect()
}

fn length_range(section: &Section) -> (Length, Length) {
    let texts = section.texts("range");
    let ends: Vec<Length> =
        texts.iter().filter_map(|text| stated(section, "range", text)).map(|end| end.length).collect();
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

/// In what a number counts: in wholes, where nothing is said.
fn parts(section: &Section) -> Parts {
    let Some(parts) = section.whole("parts") else { return Parts::WHOLE };
    let found = Parts::new(parts);
    if found.is_none() {
        section.note("parts", format!("{parts} parts to a whole can't be written as a decimal; take 2, 4, 8, 5 or 10"));
    }
    found.unwrap_or(Parts::WHOLE)
}

/// A number under a key, in parts; a fault, if it is none, has finer parts, or lies outside the range.
fn number(section: &Section, key: &str, parts: Parts, range: Option<(i64, i64)>) -> Option<i64> {
    if parts == Parts::WHOLE {
        return range.map_or_else(|| section.whole(key), |range| section.whole_within(key, range.0..=range.1));
    }
    let text = section.written(key).into_iter().next()?;
    let (least, most) = range.unwrap_or((0, i64::MAX));
    let found = parts.read(&text.value).filter(|count| (least..=most).contains(count));
    if found.is_none() {
        let between = range.map(|(least, most)| format!(" from {} to {}", parts.write(least), parts.write(most)));
        let message = format!("{} is not {parts}{}", quoted(&text.value), between.unwrap_or_default());
        section.note_text(key, &text, message);
    }
    found
}

fn number_range(section: &Section, parts: Parts) -> (i64, i64) {
    let ends: Vec<i64> = if parts == Parts::WHOLE {
        section.wholes("range")
    } else {
        section.written("range").iter().filter_map(|text| parts.read(&text.value)).collect()
    };
    match ends[..] {
        [least, most] if least <= most => (least, most),
        _ if parts == Parts::WHOLE => {
            section.note("range", "a range has two whole numbers, the least and the greatest, such as [1, 60]");
            (0, 1_000_000)
        }
        _ => {
            let such = format!("a range has two numbers in steps of {}, the least and the greatest", parts.write(1));
            section.note("range", such);
            (0, i64::MAX)
        }
    }
}

fn read_choice(reader: &mut Reader, section: &Section, name: &str, short: String) -> GivenKind {
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
            section.note_text(key, &text, format!("{} is not one of the words: {known}", quoted(&text.value)));
        }
        found
    };
    let usual = section.text("usual").and_then(|text| index("usual", text));
    let varies = section.table("varies").map(|varies| {
        Vary::Words(varies.texts("words").into_iter().filter_map(|text| index("varies.words", text)).collect())
    });
    let set = reader.scope.add_words(words.iter().map(|choice| choice.word.clone()).collect());
    let slot = reader.scope.add(name.to_owned(), short, Kind::one(Base::Word(set)));
    GivenKind::Choice { slot, words, usual, varies }
}

fn read_table<'d, 't>(
    reader: &mut Reader,
    section: &Section<'d, 't>,
    name: &str,
    sections: &mut Vec<Section<'d, 't>>,
) -> GivenKind {
    let each = section.text("each").map_or_else(|| "row".to_owned(), |text| text.value);
    let rows = match section.wholes("rows")[..] {
        [least, most] if least <= most => (least as usize, most as usize),
        _ => {
            section.note("rows", "say how few and how many rows there may be, such as rows = [1, 24]");
            (1, 24)
        }
    };
    let table = reader.scope.add_table(rows.1);
    let mut columns = Vec::new();
    for column in section.tables("columns") {
        if let Some(read) = read_column(reader, &column, name, table) {
            columns.push(read);
            sections.push(column);
        }
    }
    let example = section.tables("example").iter().map(|row| read_row(row, &columns)).collect();
    let varies = section.table("varies").map(|varies| vary_rows(&varies, rows));
    GivenKind::Table { table, each, rows, columns, example, varies }
}

fn read_row(section: &Section, columns: &[Column]) -> Row {
    let mut row = Row { name: line_of(section, "name"), cells: Vec::new() };
    for (key, texts) in section.entries_except(["name"]) {
        if columns.iter().any(|column| column.name == key.value) {
            row.cells.push((key.value, texts.into_iter().map(|text| text.value).collect()));
        } else {
            let known = columns.iter().map(|column| column.name.as_str()).collect::<Vec<_>>().join(", ");
            let message = format!("there is no column {}; there are {known}", quoted(&key.value));
            section.document().note(key.span, &section.path, message);
        }
    }
    row
}

fn read_column(reader: &mut Reader, section: &Section, given: &str, table: TableId) -> Option<Column> {
    let name = new_name(reader, section, &format!("{given}."));
    let title = line_of(section, "title");
    let (short, says) = (short(section, &title), line_of(section, "says"));
    let is_length = is_length(section);
    let (name, is_length) = (name?.value, is_length?);
    let varies = section.table("varies");
    let parts = parts(section);
    let (range, varies) = if is_length {
        let (least, most) = length_range(section);
        ((least.nm(), most.nm()), varies.and_then(|varies| vary_length(&varies)))
    } else {
        (number_range(section, parts), varies.and_then(|varies| vary_number(&varies, parts)))
    };
    keeps_to_range(section, range, &[], varies.as_ref());
    let base = if is_length { Base::Length } else { Base::Number };
    let slot = reader.scope.add(format!("{given}.{name}"), short, column_kind(base, table));
    Some(Column { name, title, says, slot, is_length, parts, range, needed: None, varies })
}

/// How many rows a problem has, and what they are called.
fn vary_rows(section: &Section, rows: (usize, usize)) -> (usize, usize, Vec<String>) {
    let many = section.wholes_within("rows", rows.0 as i64..=rows.1 as i64);
    let names: Vec<String> = section.texts("names").into_iter().map(|text| text.value).collect();
    let (least, most) = match many[..] {
        [least, most] if least <= most => (least as usize, most as usize),
        _ => {
            section.note("rows", "say how few and how many rows a problem has, such as rows = [1, 3]");
            (1, 1)
        }
    };
    if names.len() < most {
        section.note("names", format!("a problem has up to {most} rows, so at least as many names are needed"));
    }
    (least, most, names)
}

fn vary_length(section: &Section) -> Option<Vary> {
    let lengths = |key| stated_lengths(section, key);
    let (one_of, from, to) = (lengths("one_of"), lengths("from"), lengths("to"));
    let every = section.whole("every").unwrap_or(1);
    match (&from[..], &to[..]) {
        _ if !one_of.is_empty() => Some(Vary::OneOf(one_of)),
        ([from], [to]) if from.length <= to.length => Some(Vary::Ticks { from: from.length, to: to.length, every }),
        _ => {
            section.note("", "say what it varies over: one_of = [...], or from and to, with every = how many ticks");
            None
        }
    }
}

fn vary_number(section: &Section, parts: Parts) -> Option<Vary> {
    match ["from", "to"].map(|key| number(section, key, parts, None)) {
        [Some(from), Some(to)] if from <= to => Some(Vary::Number { parts, from, to }),
        _ => {
            let what = if parts == Parts::WHOLE { "two whole numbers".to_owned() } else { format!("each {parts}") };
            section.note("", format!("say what it varies over: from and to, {what}"));
            None
        }
    }
}

/// Notes usual and practice values beyond the range: a sheet made with them could not be marked.
fn keeps_to_range(section: &Section, (least, most): (i64, i64), usual: &[Stated], varies: Option<&Vary>) {
    let outside = |length: Length| !(least..=most).contains(&length.nm());
    let any_outside = |lengths: &[Stated]| lengths.iter().any(|one| outside(one.length));
    if any_outside(usual) {
        section.note("usual", "a usual value lies outside the range");
    }
    let is_beyond = match varies {
        Some(Vary::Ticks { from, to, .. }) => outside(*from) || outside(*to),
        Some(Vary::OneOf(lengths)) => any_outside(lengths),
        Some(Vary::Number { from, to, .. }) => *from < least || *to > most,
        Some(Vary::Words(_)) | None => false,
    };
    if is_beyond {
        section.note("varies", "what practice varies it over goes beyond the range");
    }
}
