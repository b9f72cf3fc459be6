//! Practice: sets of problems, the levels of every exercise, sheets and their codes, slips to be found, and what trying an
//! exercise out finds. The problems are invented by the program; what is checked against the outside is arithmetic done
//! again here, apart from it.

mod codes;
mod heavy;
mod levels;
mod papers;
mod proof;
mod sets;
mod simulated;
mod slips;

#[path = "../shared/mod.rs"]
mod shared;
