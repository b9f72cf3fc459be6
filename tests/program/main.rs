//! The command line as its users meet it: help, exit status, files that are there already, bad input, a class's folder, and
//! the schemas that are printed.

mod bad_input;
mod command;
mod nonsense;
mod schema;
mod start;

#[path = "../shared/mod.rs"]
mod shared;
