//! The command line as its users meet it: help, exit status, files that are there already, bad input, a class's folder, and
//! the schemas that are printed; and the order of the program's own rooms.

mod asked;
mod bad_input;
mod class_weeks;
mod command;
mod dependencies;
mod desk;
#[cfg(target_os = "linux")]
mod faults;
mod next_set;
mod nonsense;
mod pipe;
mod rooms;
mod schema;
mod secret;
mod start;
mod trust;

#[path = "../shared/mod.rs"]
mod shared;
