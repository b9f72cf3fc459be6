//! Answers that are handed in: whether they are marked fairly and explained well, the pages that come out, and the command
//! `check` with its folders, tables and gradebooks.

mod check;
mod core;
mod demo_class;
mod fairness;
mod one_cause;
mod pages;
mod properties;
mod trial;

#[path = "../shared/mod.rs"]
mod shared;
