//! The results of a class, from which its next set is chosen.

use super::files::{Files, whole};
use super::names::RECORD_FILE;
use super::told::shown;
use crate::class::{SetRecord, Student, set_order};
use crate::exercise::Exercise;
use crate::practice::{Code, Task};
use crate::progress::{History, Next};
use std::path::Path;

/// What the next set is chosen from.
pub(crate) struct NextSet {
    history: History,
    /// Which set it is chosen from.
    set: usize,
    /// The exercises of that set, with the level that each had.
    exercises: Vec<(String, u8)>,
    /// The steps that it asked for.
    steps: Vec<String>,
    students: Vec<Student>,
    is_together: bool,
}

impl NextSet {
    /// From the results in the folder `marked`, and what is known of the sets beside their `keys`.
    ///
    /// # Errors
    /// That there are no results of that set, or that nobody is to get one.
    pub fn open(
        files: &dyn Files,
        (marked, keys): (&Path, Option<&Path>),
        from: &str,
        is_together: bool,
        students: &[Student],
    ) -> Result<NextSet, String> {
        let entries = files.entries(marked).unwrap_or_default().into_iter().map(|(path, _)| path);
        let mut names: Vec<String> = entries
            .filter(|path| files.is_file(&path.join("result.json")))
            .filter_map(|path| path.file_name()?.to_str().map(str::to_owned))
            .collect();
        names.sort_by_cached_key(|name| set_order(name));
        let Some(set) = names.iter().position(|name| name == from) else {
            let there = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
            return Err(format!(
                "there are no results of \"{}\" in {}; there are: {there}. `foldmark check` marks what was handed in",
                from.escape_debug(),
                shown(marked)
            ));
        };
        let mut history = History::default();
        for name in &names {
            history.add(name, &whole(files, &marked.join(name).join("result.json")).unwrap_or_default());
        }
        if students.is_empty() {
            return Err("--from needs a roster: name it in class.toml, as `roster = \"roster.csv\"`".to_owned());
        }
        let record = keys.map(|keys| keys.join(from).join(RECORD_FILE));
        let record = record.and_then(|file| SetRecord::read(&whole(files, &file)?).ok()).unwrap_or_default();
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
        let steps = record.steps;
        Ok(NextSet { history, set, exercises, steps, students: students.to_vec(), is_together })
    }

    /// The exercises of the set that it is chosen from.
    pub fn exercises(&self) -> Vec<String> {
        self.exercises.iter().map(|(name, _)| name.clone()).collect()
    }

    /// The steps that it asked for; none, if it asked for the core.
    pub fn steps(&self) -> &[String] {
        &self.steps
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
pub(crate) const WHY: &str = "why.txt";
