//! `foldmark schema`: JSON Schemas of the files that are read and of what `check --json` prints, for editors and for
//! programs that read on. TOML files fit them once read as data.

mod answers;
mod class;
mod drawing;
mod exercise;
mod scene;

use super::args::{SchemaArgs, SchemaOf};
use super::terminal::{Done, Status, print_json};
use crate::check::Results;
use schemars::{JsonSchema, Schema, SchemaGenerator, generate::SchemaSettings};

pub(super) fn run(args: &SchemaArgs) -> Done {
    let schema = match args.of {
        SchemaOf::Exercise => schema_of::<exercise::Exercise>(),
        SchemaOf::Answers => schema_of::<answers::Answers>(),
        SchemaOf::Class => schema_of::<class::Class>(),
        SchemaOf::Result => schema_of::<Results>(),
    };
    print_json(&schema)?;
    Ok(Status::Well)
}

fn schema_of<T: JsonSchema>() -> Schema {
    SchemaGenerator::new(SchemaSettings::draft2020_12()).into_root_schema_for::<T>()
}
