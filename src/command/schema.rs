//! `foldmark schema`: JSON Schemas of the files that are read and of what `check --json` prints, for editors and for
//! programs that read on. TOML files fit them once read as data.

use super::args::{SchemaArgs, SchemaOf};
use super::terminal::{Done, Status, print_json};
use crate::check::{ANSWERS, ResultLine, Results};
use crate::class::CLASS;
use crate::exercise::language::EXERCISE;
use crate::text::schema::{Holds, Schema, Variant};
use schemars::{SchemaGenerator, generate::SchemaSettings};
use serde_json::{Map, Value, json};
use std::ops::RangeInclusive;

const DIALECT: &str = "https://json-schema.org/draft/2020-12/schema";

pub(super) fn run(args: &SchemaArgs) -> Done {
    match args.of {
        SchemaOf::Exercise => print_json(&of_file(&EXERCISE))?,
        SchemaOf::Answers => print_json(&of_file(&ANSWERS))?,
        SchemaOf::Class => print_json(&of_file(&CLASS))?,
        SchemaOf::Line => print_json(&of_data().into_root_schema_for::<ResultLine>())?,
        SchemaOf::Result => print_json(&of_data().into_root_schema_for::<Results>())?,
    }
    Ok(Status::Well)
}

fn of_data() -> SchemaGenerator {
    SchemaGenerator::new(SchemaSettings::draft2020_12())
}

/// The schema of a file, with those of its parts.
fn of_file(schema: &'static Schema) -> Value {
    let mut parts = Map::new();
    let mut whole = of_table(schema, &mut parts);
    whole["$schema"] = DIALECT.into();
    whole["title"] = schema.name.into();
    whole["$defs"] = parts.into();
    whole
}

fn of_table(schema: &'static Schema, parts: &mut Map<String, Value>) -> Value {
    let mut of_variant = |variant: &'static Variant| {
        let properties = variant.keys.iter().map(|key| {
            let mut property = of_value(&key.holds, parts);
            property["description"] = sentence(key.says).into();
            (key.name.to_owned(), property)
        });
        let properties: Map<String, Value> = properties.collect();
        let required: Vec<&str> = variant.keys.iter().filter(|key| key.is_needed).map(|key| key.name).collect();
        json!({
            "type": "object",
            "description": sentence(variant.says),
            "properties": properties,
            "required": required,
            "additionalProperties": false,
        })
    };
    if let [variant] = schema.variants() {
        return of_variant(variant);
    }
    let variants: Vec<(String, Value)> = schema
        .variants()
        .iter()
        .map(|variant| (format!("{}-{}", schema.name, variant.name), of_variant(variant)))
        .collect();
    let any: Vec<Value> = variants.iter().map(|(name, _)| reference(name)).collect();
    parts.extend(variants);
    json!({ "description": sentence(schema.says), "anyOf": any })
}

fn of_value(holds: &'static Holds, parts: &mut Map<String, Value>) -> Value {
    match holds {
        Holds::Text => json!({ "type": "string" }),
        Holds::Value => json!({ "type": ["string", "number"] }),
        Holds::Truth => json!({ "type": "boolean" }),
        Holds::Whole(limits) => json!({ "type": "integer", "minimum": limits.start(), "maximum": limits.end() }),
        Holds::Word(words) => json!({ "enum": words }),
        Holds::List(item, count) => of_list(of_value(item, parts), count),
        Holds::OneOrMore(item) => {
            let item = of_value(item, parts);
            json!({ "anyOf": [item, { "type": "array", "items": item }] })
        }
        Holds::Table(schema) => of_part(schema, parts),
        Holds::Tables(schema, count) => of_list(of_part(schema, parts), count),
        Holds::Free(value) => json!({ "type": "object", "additionalProperties": of_value(value, parts) }),
        Holds::Either(several) => {
            json!({ "anyOf": several.iter().map(|one| of_value(one, parts)).collect::<Vec<_>>() })
        }
    }
}

fn of_list(items: Value, count: &RangeInclusive<usize>) -> Value {
    let mut list = json!({ "type": "array", "items": items, "minItems": count.start() });
    if *count.end() < usize::MAX {
        list["maxItems"] = (*count.end()).into();
    }
    list
}

/// A table that is described once, however often it is referred to.
fn of_part(schema: &'static Schema, parts: &mut Map<String, Value>) -> Value {
    if !parts.contains_key(schema.name) {
        let part = of_table(schema, parts);
        parts.insert(schema.name.to_owned(), part);
    }
    reference(schema.name)
}

fn reference(name: &str) -> Value {
    json!({ "$ref": format!("#/$defs/{name}") })
}

/// What is said of a key, as a sentence of its own.
fn sentence(says: &str) -> String {
    let mut letters = says.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}
