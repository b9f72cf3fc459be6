//! The tables of the chapter for authors, made of what the program declares: a row for every key, mark and block.

use foldmark::exercise::language::*;
use foldmark::lesson::BLOCKS;
use foldmark::text::schema::{Key, Schema, Variant};

/// A table of the chapter: the heading it stands under, which one there, and its text.
pub struct Table {
    pub heading: &'static str,
    pub index: usize,
    pub text: String,
}

/// Every table that is made of declarations, in the order of the chapter.
pub fn tables() -> Vec<Table> {
    let mut tables = Vec::new();
    let mut add = |heading, index, text| tables.push(Table { heading, index, text });
    add("The parts of a file", 0, keys_of(&EXERCISE));
    add("Givens", 0, keys("for", &named(&GIVEN)));
    add("Givens", 1, keys_of(&COLUMN));
    let varies = [("length", &VARY_LENGTH), ("number", &VARY_NUMBER), ("choice", &VARY_CHOICE), ("table", &VARY_TABLE)];
    add("Givens", 2, keys("for", &varies.map(whole)));
    add("Steps", 0, keys_of(&STEP));
    add("Steps", 1, keys_of(&LIMIT));
    add("Marks", 0, variants(["mark", "what it draws"], MARK_OF_A_PIECE.variants()));
    add("Slips", 0, keys_of(&SLIP));
    add("Pieces", 0, keys_of(&PIECE));
    add("Pieces", 1, keys_of(&EDGE));
    add("Pieces", 2, keys_of(&SPLIT));
    add("Seams", 0, keys_of(&SEAM));
    add("Fittings", 0, keys_of(&FITTING));
    add("Sections", 0, keys_of(&SECTION));
    add("Sections", 1, keys_of(&LAYER));
    add("Sections", 2, variants(["mark", "what is drawn"], LAYER_MARK.variants()));
    add("Views", 0, keys_of(&VIEW));
    add("Views", 1, variants(["form", "what is drawn"], SOLID.variants()));
    let others = [("caution", &CAUTION), ("practice", &PRACTICE), ("require", &REQUIREMENT)];
    add("Cautions and practice", 0, keys("in", &others.map(whole)));
    add("Levels of practice", 0, keys_of(&LEVEL));
    add("Blocks in a lesson", 0, variants(["block", "what it becomes"], &BLOCKS));
    tables
}

/// The chapter with its tables as they are declared.
pub fn with_tables(chapter: &str) -> String {
    let mut lines: Vec<String> = chapter.lines().map(str::to_owned).collect();
    for table in tables() {
        let heading = |line: &String| line.trim_start_matches('#').trim() == table.heading && line.starts_with('#');
        let from = lines.iter().position(heading).unwrap_or_else(|| panic!("there is no heading {}", table.heading));
        let starts =
            (from..lines.len() - 1).filter(|at| lines[at + 1].starts_with('|') && !lines[*at].starts_with('|'));
        let start = 1 + starts.into_iter().nth(table.index).unwrap();
        let end = (start..lines.len()).find(|at| !lines[*at].starts_with('|')).unwrap_or(lines.len());
        lines.splice(start..end, table.text.lines().map(str::to_owned));
    }
    lines.join("\n") + "\n"
}

type Part = (&'static str, &'static [Key]);

fn whole((name, schema): (&'static str, &'static Schema)) -> Part {
    (name, schema.variants()[0].keys)
}

fn named(schema: &'static Schema) -> Vec<Part> {
    schema.variants().iter().map(|variant| (variant.name, variant.keys)).collect()
}

/// A key, what is said of it, and the parts that have it.
struct Row {
    key: &'static Key,
    is_needed: bool,
    parts: Vec<&'static str>,
}

/// The keys of some parts, each after the one that it follows; those that are alike stand in one row.
fn rows(parts: &[Part]) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for (part, keys) in parts {
        let mut next = rows.len();
        for key in *keys {
            let alike = |row: &Row| row.key.name == key.name && row.key.says == key.says;
            match rows.iter().position(alike) {
                Some(at) => {
                    rows[at].is_needed &= key.is_needed;
                    rows[at].parts.push(part);
                    next = at + 1;
                }
                None => {
                    rows.insert(next, Row { key, is_needed: key.is_needed, parts: vec![part] });
                    next += 1;
                }
            }
        }
    }
    rows
}

fn keys_of(schema: &'static Schema) -> String {
    let mut rows = rows(&named(schema));
    // What only one of several variants needs can be left out of the others.
    rows.iter_mut().for_each(|row| row.is_needed &= row.parts.len() == schema.variants().len());
    let lines = rows.iter().map(|row| format!("| `{}` | {} |\n", row.key.name, said(row)));
    format!("| key | what it is |\n|---|---|\n{}", lines.collect::<String>())
}

/// As [`keys_of`], with the parts to which a key belongs.
fn keys(column: &str, parts: &[Part]) -> String {
    let mut text = format!("| key | {column} | what it is |\n|---|---|---|\n");
    for row in rows(parts) {
        let of = if row.parts.len() == parts.len() { "all".to_owned() } else { row.parts.join(", ") };
        text += &format!("| `{}` | {of} | {} |\n", row.key.name, said(&row));
    }
    text
}

fn said(row: &Row) -> String {
    format!("{}{}", row.key.says, if row.is_needed { "; required" } else { "" })
}

/// A row for each of several variants, with all its keys.
fn variants([first, last]: [&str; 2], variants: &[Variant]) -> String {
    let mut text = format!("| {first} | keys | {last} |\n|---|---|---|\n");
    for variant in variants {
        let keys: Vec<String> = variant.keys.iter().map(|key| format!("`{}`", key.name)).collect();
        text += &format!("| `{}` | {} | {} |\n", variant.name, keys.join(" "), variant.says);
    }
    text
}
