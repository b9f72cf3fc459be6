//! The README's figure is what the program draws, and its two commands are those the gate runs.

use super::shared::is_update;
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::Shelf;
use foldmark::figure;
use foldmark::length::Ruler;
use std::path::Path;

#[test]
fn the_figure_is_up_to_date() {
    let shelf = Shelf::shipped();
    let exercise = shelf.get("flap-roll").unwrap();
    let givens = Givens::read(exercise, &Raw::example(exercise), None, Ruler::EIGHTH).unwrap();
    let draft = Draft::new(exercise, givens).unwrap();
    let step = exercise.steps.position(|step| step.name == "end_slot").unwrap();
    let drawn = figure::step(&draft, step).file();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("book/roll.svg");
    if is_update() {
        std::fs::write(&path, &drawn).unwrap();
    }
    let there = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(there == drawn, "book/roll.svg is out of date; run FOLDMARK_UPDATE=1 cargo test --test lessons readme");
}

#[test]
fn the_two_commands_are_the_ones_the_gate_runs() {
    let readme = include_str!("../../README.md");
    let gate = include_str!("../../.ci/run");
    let (demo, test) = ("cargo run --release -- demo", "cargo test");
    assert!(readme.contains(&format!("    {demo}\n    {test}\n")));
    assert!(gate.lines().any(|line| line == test) && gate.contains(demo));
}

/// The class.toml that the README shows is one, and names what there is.
#[test]
fn the_readmes_class_can_be_read() {
    let readme = std::fs::read_to_string("README.md").unwrap();
    let (_, rest) = readme.split_once("```toml\n").unwrap();
    let (class, _) = rest.split_once("```").unwrap();
    let policy = foldmark::class::Policy::read(class, &foldmark::exercise::Shelf::shipped());
    let policy = policy.unwrap_or_else(|faults| panic!("{}", faults[0]));
    assert_eq!((policy.follow_through, policy.exercises.len(), policy.given.len()), (50, 1, 1));
}
