//! Where what was given belongs in a class's folder.

use super::class::Places;
use super::names::CLASS_FILE;
use super::sources::is_hidden;
use std::path::Path;

/// What someone says that they give.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Given {
    /// Whatever it turns out to be.
    #[default]
    Any,
    /// What students sent.
    Answers,
    /// Who belongs to the class.
    Roster,
}

/// A folder's name and what lies in it; an empty one for what lies nowhere.
fn parts(name: &str) -> (&str, &str) {
    name.rsplit_once('/').unwrap_or(("", name))
}

/// Which of the files lays down what holds for a class, if there is one: its folder is the class's then.
pub(super) fn class_file(names: &[String]) -> Option<usize> {
    let is_class_file = |at: &usize| parts(&names[*at]).1.eq_ignore_ascii_case(CLASS_FILE);
    (0..names.len()).filter(is_class_file).min_by_key(|at| (names[*at].matches('/').count(), *at))
}

/// A name without what would lead out of the folder it lies in: whoever unpacks an archive may go by it.
pub(super) fn tame(name: &str) -> String {
    let parts = name.split(['/', '\\']).filter(|part| !matches!(*part, "" | "." | ".."));
    parts.collect::<Vec<&str>>().join("/")
}

/// Where a file goes; nowhere, if it is none of the class's work. `root` is the folder of the class that was given, if one was.
pub(super) fn place(name: &str, root: Option<&str>, given: Given, places: &Places) -> Option<String> {
    let (folder, file) = parts(name);
    if Path::new(name).ancestors().any(is_hidden) {
        return None;
    }
    if given == Given::Roster || (folder.is_empty() && root.is_none() && is_roster(file, places)) {
        return Some(places.roster.clone());
    }
    if let Some(root) = root {
        let own = if root.is_empty() { name } else { name.strip_prefix(root)?.strip_prefix('/')? };
        if own.eq_ignore_ascii_case(CLASS_FILE) {
            return Some(CLASS_FILE.to_owned());
        }
        let is_of = |place: &&str| own == *place || own.strip_prefix(*place).is_some_and(|rest| rest.starts_with('/'));
        return places.all().iter().any(is_of).then(|| own.to_owned());
    }
    let answers = name.strip_prefix(&format!("{}/", places.handed_in)).unwrap_or(name);
    Some(format!("{}/{answers}", places.handed_in))
}

/// A roster is called so, or as the class calls it.
fn is_roster(file: &str, places: &Places) -> bool {
    let stem = file.rsplit_once('.').filter(|(_, ending)| ["csv", "tsv", "xlsx", "ods"].contains(ending));
    *file == *places.roster || stem.is_some_and(|(stem, _)| stem.eq_ignore_ascii_case("roster"))
}

/// The name with a number before its ending, so that it comes after the name itself: of two sheets of one student the last counts.
pub(super) fn numbered(name: &str, number: usize) -> String {
    let (folder, file) = parts(name);
    let (stem, ending) = file.rsplit_once('.').unwrap_or((file, ""));
    let dot = if ending.is_empty() { "" } else { "." };
    let gap = if folder.is_empty() { "" } else { "/" };
    format!("{folder}{gap}{stem}_{number}{dot}{ending}")
}
