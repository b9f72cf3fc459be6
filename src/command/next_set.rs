//! `foldmark practice --from week-1`: the results of a class, from which its next set is chosen.

use super::inputs::RECORD_FILE;
use super::terminal::Failure;
use crate::class::{Policy, SetRecord, Student, set_order};
use crate::exercise::Exercise;
use crate::files::{read_text, shown};
use crate::practice::{Code, Task};
use crate::progress::{History, Next};
use std::fs;
use std::path::PathBuf;

/// What the next set is chosen from.
pub(super) struct NextSet {
    history: History,
    /// Which set it is chosen from.
    set: usize,
    /// The exercises of that set, with the level that each had.
    exercises: Vec<(String, u8)>,
    students: Vec<Student>,
    is_together: bool,
}

impl NextSet {
    pub fn open(
        from: &str,
        is_together: bool,
        class: Option<&(PathBuf, Policy)>,
        students: &[Student],
    ) -> Result<NextSet, Failure> {
        let folders = class.and_then(|(root, policy)| Some((root.join(policy.folders.marked.as_ref()?), root, policy)));
        let Some((marked, root, policy)) = folders else {
            return Err("--from is for the folder of a class, whose class.toml names a folder for what was marked"
                .to_owned()
                .into());
        };
        let entries = fs::read_dir(&marked).into_iter().flatten().flatten();
        let mut names: Vec<String> = entries
            .filter(|entry| entry.path().join("result.json").is_file())
            .filter_map(|entry| entry.file_name().into_string().ok())
            .collect();
        names.sort_by_cached_key(|name| set_order(name));
        let Some(set) = names.iter().position(|name| name == from) else {
            let there = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
            return Err(format!(
                "there are no results of \"{}\" in {}; there are: {there}. `foldmark check` marks what was handed in",
                from.escape_debug(),
                shown(&marked)
            )
            .into());
        };
        let mut history = History::default();
        for name in &names {
            history.add(name, &read_text(&marked.join(name).join("result.json"))?);
        }
        if students.is_empty() {
            return Err("--from needs a roster: name it in class.toml, as `roster = \"roster.csv\"`".to_owned().into());
        }
        let record = policy.folders.keys.as_ref().map(|keys| root.join(keys).join(from).join(RECORD_FILE));
        let record = record.and_then(|file| SetRecord::read(&read_text(&file).ok()?).ok()).unwrap_or_default();
        let of_record = record.sheets.iter().map(|sheet| (&sheet.exercise, &sheet.code));
        let of_results = history.sets[set].1.sheets.iter().map(|sheet| (&sheet.exercise, &sheet.code));
        let mut exercises: Vec<(String, u8)> = Vec::new();
        for (exercise, code) in of_record.chain(of_results) {
            let code = Code::read(code).ok();
            let is_draft = code.is_none_or(|code| code.task == Task::Draft);
            if is_draft && !exercises.iter().any(|(known, _)| known == exercise) {
                exercises.push((exercise.clone(), code.map_or(0, |code| code.level)));
            }
        }
        Ok(NextSet { history, set, exercises, students: students.to_vec(), is_together })
    }

    /// The exercises of the set that it is chosen from.
    pub fn exercises(&self) -> Vec<String> {
        self.exercises.iter().map(|(name, _)| name.clone()).collect()
    }

    /// What a student is set of an exercise.
    pub fn next(&self, exercise: &Exercise, student: usize) -> Next {
        let lowest = exercise.practice.levels.first().map_or(0, |level| level.level);
        let known = self.exercises.iter().find(|(name, _)| *name == exercise.name);
        let level = known.map_or(lowest, |(_, level)| *level);
        let level = if exercise.at_level(level).is_some() { level } else { lowest };
        let all: Vec<usize> = (0..self.students.len()).collect();
        let whom = if self.is_together { &all[..] } else { &all[student..=student] };
        self.history.among(&self.students).next(self.set, whom, exercise, level)
    }
}

/// Where the reasons stand, beside the key.
pub(super) const WHY: &str = "why.txt";
