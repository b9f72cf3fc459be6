//! `foldmark list` and `explain`: what there is.

use super::args::{ExplainArgs, ListArgs, Shelf as ShelfArgs};
use super::class_folder;
use super::inputs::upward;
use super::terminal::{Done, Failure, Status, error, notice, print, print_json};
use crate::desk::Library;
use crate::draft::{Draft, Givens, Raw};
use crate::exercise::{Exercise, GivenKind, Shelf, Step, StepRule, usual_on};
use crate::files::Disk;
use crate::length::{Length, Ruler};
use serde::Serialize;
use std::path::Path;

/// The exercises to choose from; in a class's folder, or below it, its own are among them.
pub(super) fn open(args: &ShelfArgs) -> Result<Shelf, Failure> {
    Ok(open_for(args, upward(Path::new("")).as_deref())?.shelf)
}

/// The exercises to choose from, with those of the class that lays down what a `class.toml` says.
pub(super) fn open_for(args: &ShelfArgs, class_file: Option<&Path>) -> Result<Library, Failure> {
    let own = match (&args.exercises, class_file) {
        (None, Some(file)) => class_folder::exercises(file)?,
        (named, _) => named.clone(),
    };
    let library = match &own {
        Some(folder) => Library::with_folder(&Disk, folder)?,
        None => Library::shipped(),
    };
    for sentence in &library.notices {
        notice(sentence);
    }
    for sentence in &library.faults {
        error(sentence);
    }
    Ok(library)
}

#[derive(Serialize)]
struct Listed<'e> {
    name: &'e str,
    version: u32,
    level: u8,
    title: &'e str,
    teaches: &'e str,
}

pub(super) fn list(args: &ListArgs) -> Done {
    let shelf = open(&args.shelf)?;
    let all: Vec<Listed> = shelf
        .iter()
        .map(|Exercise { name, version, level, title, teaches, .. }| Listed {
            name,
            version: *version,
            level: *level,
            title,
            teaches,
        })
        .collect();
    if args.json {
        print_json(&all)?;
        return Ok(Status::Well);
    }
    let wide = all.iter().map(|listed| listed.name.chars().count()).max().unwrap_or(0);
    let lines = all.iter().map(|listed| {
        let Listed { name, level, title, teaches, .. } = listed;
        format!("{name:wide$}  level {level}  {title}\n{:wide$}           {teaches}\n", "")
    });
    print(&lines.collect::<String>())?;
    Ok(Status::Well)
}

pub(super) fn explain(args: &ExplainArgs) -> Done {
    let shelf = open(&args.shelf)?;
    let exercise = shelf.get(&args.exercise)?;
    let metric = args.measuring.is_metric();
    let ruler = args.measuring.ruler.unwrap_or_else(|| exercise.usual_ruler(metric));
    let draft = example(exercise, ruler)?;
    let mut text = format!(
        "{} ({}, version {}, level {})\n{}\n\nGiven\n",
        exercise.title, exercise.name, exercise.version, exercise.level, exercise.teaches
    );
    for given in &exercise.givens {
        let says = if given.says.is_empty() { String::new() } else { format!(" {}", given.says) };
        text += &format!("  {} ({}): {}{says}\n", given.name, given.title, about(&given.kind, ruler));
        if let GivenKind::Table { columns, .. } = &given.kind {
            for column in columns {
                let range = if column.is_length {
                    between(Length::from_nm(column.range.0), Length::from_nm(column.range.1), ruler)
                } else {
                    let [least, most] = [column.range.0, column.range.1].map(|count| column.parts.write(count));
                    format!("{} from {least} to {most}", column.parts)
                };
                text += &format!(
                    "    {}: {range}; {}\n",
                    column.name,
                    if column.says.is_empty() { &column.title } else { &column.says }
                );
            }
        }
    }
    text += "\nSteps\n";
    for (index, step) in exercise.steps.iter_enumerated() {
        let aside = if exercise.asks(index) { "" } else { ", beside the core" };
        text += &format!("  {} ({}){aside}\n", step.title, step.name);
        for line in rules(&draft, step) {
            text += &format!("    {line}\n");
        }
        text += &format!("    {}\n", step.why);
    }
    if !exercise.practice.levels.is_empty() {
        text += "\nPractice\n";
    }
    for level in &exercise.practice.levels {
        text += &format!("  level {}: {}\n", level.level, level.says);
    }
    if !exercise.cautions.is_empty() {
        text += "\nTake care\n";
    }
    for caution in &exercise.cautions {
        text += &format!("  {}. {}\n", caution.about, caution.says);
    }
    print(&text)?;
    Ok(Status::Well)
}

/// A step's rule in words; each limit with its reason.
fn rules(draft: &Draft, step: &Step) -> Vec<String> {
    match &step.rule {
        StepRule::Value(formula) => vec![format!("= {}", draft.in_names_whole(formula))],
        StepRule::Within { limits, .. } => limits
            .iter()
            .map(|limit| {
                let why = if limit.why.is_empty() { String::new() } else { format!(": {}", limit.why) };
                format!("{} {}{why}", limit.kind.words(), draft.in_names_whole(&limit.value))
            })
            .collect(),
    }
}

fn about(kind: &GivenKind, ruler: Ruler) -> String {
    match kind {
        GivenKind::Length { range, usual, .. } => {
            let usual = usual_on(ruler, usual).map(|length| format!(", usually {}", ruler.write_exactly(length)));
            let usual = usual.unwrap_or_default();
            format!("{}{usual}.", between(range.0, range.1, ruler))
        }
        GivenKind::Number { parts, range, usual, .. } => {
            let usual = usual.map_or_else(String::new, |count| format!(", usually {}", parts.write(count)));
            format!("{parts} from {} to {}{usual}.", parts.write(range.0), parts.write(range.1))
        }
        GivenKind::Choice { words, usual, .. } => {
            let choices: Vec<String> =
                words.iter().map(|choice| format!("{} ({})", choice.word, choice.says)).collect();
            let usual = usual.map_or_else(String::new, |index| format!("; usually {}", words[index].word));
            format!("{}{usual}.", choices.join(" or "))
        }
        GivenKind::Table { rows, each, .. } => {
            format!("a table, from {} to {} rows, one for each {each}.", rows.0, rows.1)
        }
    }
}

fn between(least: Length, most: Length, ruler: Ruler) -> String {
    format!("from {} to {}", ruler.write(least), ruler.write(most))
}

/// The exercise worked for its own example.
pub(super) fn example(exercise: &Exercise, ruler: Ruler) -> Result<Draft<'_>, Failure> {
    let faults = |faults: Vec<crate::text::Fault>| {
        Failure(faults.iter().map(|fault| format!("the example of {}: {fault}", exercise.name)).collect())
    };
    let givens = Givens::read(exercise, &Raw::example(exercise), None, ruler).map_err(faults)?;
    Ok(Draft::new(exercise, givens)?)
}
