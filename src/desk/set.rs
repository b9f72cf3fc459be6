//! A set of problems for a roster: sheets, empty answer files, a key, and what the set was made from.

use super::files::Write;
use super::names::{MADE_FROM, RECORD_FILE, file_name};
use super::next_set::NextSet;
use crate::class::{Policy, SetRecord, SetSheet, Student, Wishes, unknown_step};
use crate::exercise::{Exercise, Shelf, SlipId, StepId};
use crate::length::{Ruler, Unit};
use crate::practice::{
    DOCUMENT_END, MOST_SHEETS, Maker, PracticeFault, Problem, Sheet, Sheets, Task, answer_table, coded_file_of,
    document, document_head, key_page, key_table,
};
use crate::progress::{Next, give_out};
use crate::text::{CsvRow, csv_rows, harmless};
use std::collections::BTreeMap;

/// So many problems are made for each that is set, where they are chosen from.
const TO_CHOOSE_FROM: usize = 4;

/// What is wanted of each exercise.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wish {
    /// The level; the lowest that the exercise has, if none is named.
    pub level: Option<u8>,
    pub task: Task,
    /// The ruler; the exercise's usual one, if none is named.
    pub ruler: Option<Ruler>,
    /// The class's ruler, where the level has none of its own.
    pub class_ruler: Option<Ruler>,
    pub is_metric: bool,
    pub count: usize,
    /// What it is asked for by: a seed, or the week.
    #[cfg_attr(not(feature = "cli"), expect(dead_code, reason = "only a terminal tells it"))]
    pub number: u64,
    /// What it is made from: the number, with the secret of the class where it has one.
    pub seed: u64,
}

/// What a set is asked for with; what is left out, the class lays down.
#[derive(Debug, Clone)]
pub(crate) struct SetRequest {
    pub exercises: Vec<String>,
    pub level: Option<u8>,
    /// The steps that its sheets ask for; the core of each exercise, if there are none.
    pub steps: Vec<String>,
    pub task: Task,
    pub ruler: Option<Ruler>,
    pub unit: Option<Unit>,
    pub count: Option<usize>,
    pub seed: Option<u64>,
    /// Which week's set of the class it is.
    pub week: Option<u64>,
}

impl SetRequest {
    /// The exercises, what is wanted of each, and what is known of the set so far.
    ///
    /// # Errors
    /// That there is no exercise.
    pub fn of_class(self, policy: Option<&Policy>) -> Result<(Vec<String>, Wish, SetRecord), String> {
        let week = self.week.and_then(|week| policy?.weeks.get(usize::try_from(week).ok()?.checked_sub(1)?));
        let mut practice = policy.map(|policy| policy.practice.clone()).unwrap_or_default();
        if let Some(week) = week {
            if !week.practice.exercises.is_empty() {
                practice.exercises = week.practice.exercises.clone();
                practice.steps.clear();
            }
            if !week.practice.steps.is_empty() {
                practice.steps = week.practice.steps.clone();
            }
            practice.level = week.practice.level.or(practice.level);
        }
        let level = self.level.or(practice.level.filter(|_| self.exercises.is_empty()));
        let is_of_class = self.exercises.is_empty() && self.steps.is_empty();
        let steps = if is_of_class { practice.steps } else { self.steps };
        let names = if self.exercises.is_empty() { practice.exercises } else { self.exercises };
        if names.is_empty() {
            return Err(
                "name an exercise to set, such as `foldmark practice flap-roll`; `foldmark list` shows them".to_owned()
            );
        }
        let (class_ruler, class_unit) = policy.map_or((None, None), |policy| (policy.ruler, policy.unit));
        let units = [self.ruler.map(Ruler::unit), self.unit, class_ruler.map(Ruler::unit), class_unit];
        let is_metric = units.into_iter().flatten().next().is_some_and(Unit::is_metric);
        let number = self.seed.or(self.week).unwrap_or(1);
        let secret = policy.and_then(|policy| policy.secret.as_ref());
        let wish = Wish {
            level,
            task: self.task,
            ruler: self.ruler,
            class_ruler,
            is_metric,
            count: self.count.unwrap_or(12),
            number,
            seed: secret.map_or(number, |secret| secret.seed(number)),
        };
        let about = week.map_or_else(SetRecord::default, |week| SetRecord {
            title: week.title.clone(),
            date: week.date.clone(),
            due: week.due.clone(),
            ..SetRecord::default()
        });
        Ok((names, wish, SetRecord { week: self.week.and_then(|week| u32::try_from(week).ok()), steps, ..about }))
    }
}

/// The exercises as the sheets of a set ask for them: for the steps of the set, else for those that the class names, else
/// for their core.
///
/// # Errors
/// A step that none of them has.
pub(crate) fn asking(
    shelf: &Shelf,
    names: &[String],
    steps: &[String],
    policy: Option<&Policy>,
) -> Result<Shelf, String> {
    let exercises: Vec<&Exercise> = names.iter().filter_map(|name| shelf.get(name).ok()).collect();
    if let Some(says) = steps.iter().find_map(|step| unknown_step(step, exercises.iter().copied())) {
        return Err(says);
    }
    let mut set = shelf.clone();
    for exercise in exercises {
        let of_class = || asking_of_set(exercise, policy?.counted(exercise));
        if let Some(asking) = asking_of_set(exercise, steps).or_else(of_class) {
            set.put(asking);
        }
    }
    Ok(set)
}

/// An exercise that asks for those of the steps that it has; nothing, where it has none of them.
pub(super) fn asking_of_set(exercise: &Exercise, steps: &[String]) -> Option<Exercise> {
    let steps: Vec<StepId> = steps.iter().filter_map(|step| exercise.step_id(step)).collect();
    (!steps.is_empty()).then(|| exercise.asking(&steps))
}

/// What one student gets: a problem of each exercise.
pub(crate) struct Paper<'e> {
    number: usize,
    student: Option<Student>,
    pub problems: Vec<Problem<'e>>,
}

/// What of a set is each student's own.
#[derive(Default)]
pub(crate) struct Each {
    /// What the roster says of each; may be shorter than the roster.
    pub wishes: Vec<Wishes>,
    /// The results that problems are chosen from.
    pub from: Option<NextSet>,
    /// Whether a level is asked for, which holds for all then.
    pub is_of_level: bool,
    /// Whether a ruler or a unit is asked for, which holds for all then.
    pub is_measured: bool,
}

/// What one student gets of an exercise, where it is not what all get.
struct Own {
    level: Option<u8>,
    is_metric: Option<bool>,
    /// Whether the level is the roster's.
    is_of_roster: bool,
    next: Option<Next>,
}

impl Each {
    fn own(&self, exercise: &Exercise, student: usize) -> Own {
        let of_roster = self.wishes.get(student).copied().unwrap_or_default();
        let next = self.from.as_ref().map(|from| from.next(exercise, student));
        let levels = || exercise.practice.levels.iter().map(|level| level.level);
        // Not every exercise has every level that a roster may name.
        let nearest = |wanted: u8| levels().filter(|level| *level <= wanted).max().or(levels().next());
        let level = of_roster.level.and_then(nearest).or(next.as_ref().map(|next| next.level));
        Own {
            level: level.filter(|_| !self.is_of_level),
            is_metric: of_roster.unit.filter(|_| !self.is_measured).map(Unit::is_metric),
            is_of_roster: !self.is_of_level && of_roster.level.is_some(),
            next,
        }
    }

    /// Why everyone gets what they get, where that is chosen from results: a line for each problem.
    pub fn reasons(&self, shelf: &Shelf, papers: &[Paper]) -> String {
        let mut why = String::new();
        if self.from.is_none() {
            return why;
        }
        for (at, paper) in papers.iter().enumerate() {
            for problem in &paper.problems {
                // The problem has its exercise as the level sets it, which knows no other level.
                let exercise = shelf.get(&problem.draft.exercise.name).unwrap_or(problem.draft.exercise);
                let Own { next: Some(next), is_of_roster, .. } = self.own(exercise, at) else { continue };
                let name = paper.student.as_ref().map_or_else(String::new, |student| match student.id.as_str() {
                    "" => student.name.clone(),
                    id => format!("{} ({id})", student.name),
                });
                let of_roster = if is_of_roster { ", as the roster says" } else { "" };
                let level = match problem.code.level {
                    0 => String::new(),
                    level => format!("; level {level}{of_roster}"),
                };
                let title = &problem.draft.exercise.title;
                why += &format!("{}, {title}: {}{level}.\n", harmless(&name, 120), next.says);
            }
        }
        why
    }
}

/// The papers of a set: one for each student, or as many as are wanted for nobody in particular.
pub(crate) fn papers<'s>(
    shelf: &'s Shelf,
    names: &[String],
    wish: Wish,
    students: Vec<Student>,
    each: &Each,
) -> Result<Vec<Paper<'s>>, String> {
    let count = if students.is_empty() { wish.count } else { students.len() };
    let mut students: Vec<Option<Student>> = students.into_iter().map(Some).collect();
    students.resize(count.min(MOST_SHEETS), None);
    let mut papers: Vec<Paper> = students
        .into_iter()
        .enumerate()
        .map(|(at, student)| Paper { number: at + 1, student, problems: Vec::new() })
        .collect();
    for (at, name) in names.iter().enumerate() {
        if names[..at].contains(name) {
            return Err(format!("{name} is named twice; a paper has one problem of each exercise"));
        }
        let exercise = shelf.get(name).map_err(|unknown| unknown.to_string())?;
        let own: Vec<Own> = (0..papers.len()).map(|student| each.own(exercise, student)).collect();
        let problems = if count == papers.len() && count > 0 {
            set_each(exercise, wish, &own)
        } else {
            set(exercise, wish, count)
        };
        let problems = problems.map_err(|fault| {
            let is_of_all = matches!(fault, PracticeFault::Count(_));
            if is_of_all { fault.to_string() } else { format!("{name}: {fault}") }
        })?;
        for (paper, problem) in papers.iter_mut().zip(problems) {
            paper.problems.push(problem);
        }
    }
    Ok(papers)
}

/// A set in which everyone gets what is theirs: those with the same level and unit share one.
fn set_each<'e>(exercise: &'e Exercise, wish: Wish, own: &[Own]) -> Result<Vec<Problem<'e>>, PracticeFault> {
    let lowest = exercise.practice.levels.first().map_or(0, |level| level.level);
    let mut groups: BTreeMap<(u8, bool), Vec<usize>> = BTreeMap::new();
    for (at, own) in own.iter().enumerate() {
        let level = own.level.or(wish.level).unwrap_or(lowest);
        groups.entry((level, own.is_metric.unwrap_or(wish.is_metric))).or_default().push(at);
    }
    let mut given: BTreeMap<usize, Problem> = BTreeMap::new();
    for ((level, is_metric), members) in groups {
        let wish = Wish { level: Some(level), is_metric, ..wish };
        let slips = |at: &usize| own[*at].next.as_ref().map_or(&[][..], |next| &next.slips);
        let wanted: Vec<&[Vec<SlipId>]> = members.iter().map(slips).collect();
        // From more problems than are needed those are taken in which what was missed matters.
        let more = if wanted.iter().any(|slips| !slips.is_empty()) { TO_CHOOSE_FROM } else { 1 };
        let pool = set(exercise, wish, (more * members.len()).min(MOST_SHEETS.max(members.len())));
        let pool = pool.or_else(|_| set(exercise, wish, members.len()))?;
        given.extend(members.iter().copied().zip(give_out(pool, &wanted)));
    }
    let numbered = given.into_values().enumerate().map(|(at, problem)| Problem { number: at + 1, ..problem });
    Ok(numbered.collect())
}

fn set(exercise: &Exercise, wish: Wish, count: usize) -> Result<Vec<Problem<'_>>, PracticeFault> {
    let lowest = exercise.practice.levels.first().map_or(0, |level| level.level);
    let level = wish.level.unwrap_or(lowest);
    let set = exercise.at_level(level).unwrap_or(exercise);
    let has_own = exercise.level(level).is_some_and(|level| !level.rulers.is_empty());
    let of_class = wish.class_ruler.filter(|ruler| !has_own && ruler.is_metric() == wish.is_metric);
    let ruler = wish.ruler.or(of_class).unwrap_or_else(|| set.usual_ruler(wish.is_metric));
    Maker::new(exercise, level, wish.task, ruler)?.set(count, wish.seed)
}

/// What stands in the head of every sheet of a set.
fn heading(about: &SetRecord) -> String {
    let week = about.week.map(|week| format!("Week {week}"));
    let day = |what: &str, day: &str| (!day.is_empty()).then(|| format!("{what} {day}"));
    let parts =
        [week, day("", &about.title).map(|it| it.trim().to_owned()), day("set", &about.date), day("due", &about.due)];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// Writes a set into its folders for sheets, answers and key. With the key lies what the set was made
/// from: whose code is whose, and the text of every exercise.
pub(crate) fn write_set<'t>(
    papers: &[Paper],
    write: &mut Write<'_>,
    folders: &[String; 3],
    about: SetRecord,
    text_of: &dyn Fn(&str) -> Option<&'t str>,
) -> Result<(), String> {
    let digits = papers.len().to_string().len().max(2);
    let [sheets, answers, key] = folders;
    let all = [format!("{sheets}/sheets.html"), format!("{key}/key.html")];
    let title = title(papers);
    for (file, title) in all.iter().zip([title.clone(), format!("Key to {title}")]) {
        write(file, &document_head(&title))?;
    }
    let mut drawn = Sheets::headed(heading(&about));
    let mut record = about;
    for paper in papers {
        let student = paper.student.as_ref();
        let who = student.map_or_else(String::new, |student| format!("-{}", file_name(&student.name)));
        let number = format!("{:0digits$}{}", paper.number, who.trim_end_matches('-'));
        let (mut pages, mut keys) = (String::new(), String::new());
        for problem in &paper.problems {
            pages += &drawn.page(problem, student);
            keys += &key_page(problem, student);
            let part = match paper.problems.len() {
                1 => number.clone(),
                _ => format!("{number}-{}", problem.draft.exercise.name),
            };
            let nobody = |name: String| Student { name, id: String::new() };
            let whose = student.cloned().unwrap_or_else(|| nobody(String::new()));
            write(&format!("{answers}/answers-{part}.toml"), &coded_file_of(problem, &whose, false))?;
            record.sheets.push(SetSheet {
                student: whose.name.clone(),
                id: whose.id.clone(),
                exercise: problem.draft.exercise.name.clone(),
                code: problem.code.to_string(),
            });
            let whose = if student.is_some() { whose } else { nobody(format!("Key to sheet {part}")) };
            write(&format!("{key}/key-{part}.toml"), &coded_file_of(problem, &whose, true))?;
        }
        write(&format!("{sheets}/sheet-{number}.html"), &document(&title, &pages))?;
        write(&all[0], &pages)?;
        write(&all[1], &keys)?;
    }
    let all_sheets: Vec<Sheet> = papers
        .iter()
        .flat_map(|paper| paper.problems.iter().map(|problem| (problem, paper.student.as_ref())))
        .collect();
    write(&format!("{answers}/table.csv"), &answer_table(&all_sheets))?;
    let title = format!("Key to {title}");
    write(&format!("{key}/key-table.html"), &key_table(&title, &all_sheets))?;
    for problem in papers.first().map(|paper| &paper.problems[..]).unwrap_or_default() {
        let name = &problem.draft.exercise.name;
        write(&format!("{key}/{MADE_FROM}/{name}.toml"), text_of(name).unwrap_or_default())?;
    }
    write(&format!("{key}/{RECORD_FILE}"), &record.write())?;
    all.iter().try_for_each(|file| write(file, DOCUMENT_END))
}

/// What a set is called by its exercises.
pub(crate) fn title(papers: &[Paper]) -> String {
    let titles = papers.first().map(|paper| &paper.problems[..]).unwrap_or_default();
    titles.iter().map(|problem| problem.draft.exercise.title.as_str()).collect::<Vec<_>>().join(", ")
}

/// Whether a set's table has an answer in it.
pub(crate) fn is_filled_in(table: &[u8]) -> bool {
    let rows = csv_rows(table);
    let Some(CsvRow::Fields(head)) = rows.first() else { return false };
    let is_filled = |row: &CsvRow| match row {
        CsvRow::Fields(fields) => {
            fields.iter().zip(head).any(|(field, name)| name.starts_with("answer.") && !field.trim().is_empty())
        }
        CsvRow::Empty | CsvRow::Open | CsvRow::NotText => false,
    };
    rows[1..].iter().any(is_filled)
}
