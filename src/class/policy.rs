//! What an instructor has laid down for a class: `class.toml`.

use super::points::Points;
use super::schema::{CLASS, MOST_POINTS};
use super::secret::Secret;
use super::show::Show;
use crate::exercise::{Exercise, Given, GivenKind, Shelf, StepId};
use crate::length::{Length, Ruler, Unit};
use crate::text::{Document, Fault, Section, Shown, is_reserved, or_did_you_mean, plain_name, quoted};
use typed_index_collections::TiVec;

/// What holds for a class. With no file, [`Policy::default`]: what a sheet says of itself, what it asks for counts, what
/// follows from a student's own figure earns all of its points.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Policy {
    /// What the class is called; may be empty.
    pub title: String,
    /// What a bare number is measured in, where a sheet does not say.
    pub unit: Option<Unit>,
    /// The class's ruler: that of a sheet that does not say, and the one that a coarser one is compared with.
    pub ruler: Option<Ruler>,
    /// What its sets are made from beside their numbers; without one, anyone with the program can make them.
    pub secret: Option<Secret>,
    /// How far an answer may be off, for every step that has no tolerance of its own.
    pub tolerance: Option<Length>,
    /// How many percent of its points an answer earns that follows from the student's own earlier one.
    pub follow_through: u32,
    /// How much a report shows.
    pub show: Option<Show>,
    /// Givens that hold for the whole class where a sheet leaves them out: name and value as written.
    pub given: Vec<(String, String)>,
    /// What holds for single exercises.
    pub exercises: Vec<ExercisePolicy>,
    /// The file with those who belong to the class, by its name beside `class.toml`.
    pub roster: Option<String>,
    /// Where its work lies.
    pub folders: Folders,
    /// What is set as practice where nothing else is asked for.
    pub practice: PracticePolicy,
    /// The course, week by week.
    pub weeks: Vec<Week>,
}

/// A week of a course.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Week {
    /// What it is called; may be empty.
    pub title: String,
    /// When its set is given out, as ISO 8601 has it; may be empty.
    pub date: String,
    /// Until when it is handed in; may be empty.
    pub due: String,
    /// The chapter that it goes with; may be empty.
    pub lesson: String,
    /// What its set is of; what the class practises otherwise, if no exercise is named.
    pub practice: PracticePolicy,
}

/// Where a class's work lies, as folders beside its `class.toml`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Folders {
    /// Exercises of the instructor's own.
    pub exercises: Option<String>,
    /// Practice sheets.
    pub sheets: Option<String>,
    /// Keys; never within the sheets' folder.
    pub keys: Option<String>,
    /// Answers that were handed in.
    pub handed_in: Option<String>,
    /// What came of marking them.
    pub marked: Option<String>,
}

/// What is set as practice in a class.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PracticePolicy {
    /// The exercises' names.
    pub exercises: Vec<String>,
    /// The level.
    pub level: Option<u8>,
    /// The steps that sheets ask for; of an exercise that has none of them, its core.
    pub steps: Vec<String>,
}

/// What holds for one exercise in a class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExercisePolicy {
    /// The exercise's name.
    pub name: String,
    /// The steps that count; the exercise's core, if none is named.
    pub steps: Vec<String>,
    /// Points for single steps, in place of the exercise's own.
    pub points: Vec<(String, u32)>,
}

impl Default for Policy {
    fn default() -> Policy {
        Policy {
            title: String::new(),
            unit: None,
            ruler: None,
            secret: None,
            tolerance: None,
            follow_through: 100,
            show: None,
            given: Vec::new(),
            exercises: Vec::new(),
            roster: None,
            folders: Folders::default(),
            practice: PracticePolicy::default(),
            weeks: Vec::new(),
        }
    }
}

impl Policy {
    /// Reads `class.toml`.
    ///
    /// ```
    /// use foldmark::class::{Points, Policy, Show};
    /// use foldmark::exercise::Shelf;
    /// let shelf = Shelf::shipped();
    /// let policy = Policy::read(r#"
    /// title = "Thursday evening"
    /// ruler = "1/8 in"
    /// follow_through = 50
    /// show = "coach"
    /// [given]
    /// allowance = "3/8 in"
    /// [[exercise]]
    /// name = "flap-roll"
    /// points = { cut_width = 3 }
    /// "#, &shelf).unwrap();
    /// assert_eq!((policy.follow_through, policy.show), (50, Some(Show::Coach)));
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let step = roll.steps.position(|step| step.name == "cut_width").unwrap();
    /// assert_eq!(policy.points(roll)[step], Points::of(3));
    /// ```
    ///
    /// # Errors
    /// Every fault, with its place: keys that are not known, values that can't be read, exercises that are not on the
    /// shelf, steps and givens that no exercise has.
    pub fn read(text: &str, shelf: &Shelf) -> Result<Policy, Vec<Fault>> {
        let document = Document::new(text);
        let table = document.parse();
        if document.is_broken() {
            return Err(document.into_faults());
        }
        let root = Section::root(&document, &table, &CLASS);
        let mut policy =
            Policy { title: root.text("title").map(|title| title.value).unwrap_or_default(), ..Policy::default() };
        policy.unit = root.text("unit").and_then(|unit| {
            Unit::named(unit.value.trim()).map_err(|fault| document.note(unit.span, "unit", fault.to_string())).ok()
        });
        policy.ruler = root.text("ruler").and_then(|ruler| {
            Ruler::read(&ruler.value).map_err(|error| document.note(ruler.span, "ruler", error.to_string())).ok()
        });
        policy.secret = root.text("secret").and_then(|secret| {
            Secret::read(&secret.value).map_err(|fault| document.note(secret.span, "secret", fault)).ok()
        });
        policy.tolerance = root.text("tolerance").and_then(|text| match Length::read(&text.value, policy.unit) {
            Ok(length) if !length.is_negative() => Some(length),
            Ok(_) => {
                document.note(text.span, "tolerance", "a tolerance is never negative");
                None
            }
            Err(error) => {
                document.note(text.span, "tolerance", error.to_string());
                None
            }
        });
        if let Some(percent) = root.whole("follow_through") {
            policy.follow_through = percent as u32;
        }
        policy.show = root.text("show").and_then(|show| {
            let read = Show::ALL.into_iter().find(|(word, _)| *word == show.value.trim());
            if read.is_none() {
                document.note(show.span, "show", format!("{} is not one of: marks, coach, full", quoted(&show.value)));
            }
            read.map(|(_, show)| show)
        });
        if let Some(section) = root.table("given") {
            policy.given = givens(&section, shelf, policy.unit);
        }
        policy.exercises = root.tables("exercise").into_iter().filter_map(|section| exercise(section, shelf)).collect();
        policy.roster = place(&root, "roster");
        if let Some(section) = root.table("folders") {
            policy.folders = folders(section);
        }
        if let Some(section) = root.table("practice") {
            policy.practice = practice(section, shelf);
        }
        policy.weeks = root.tables("week").into_iter().map(|section| week(section, shelf)).collect();
        let faults = document.into_faults();
        if faults.is_empty() { Ok(policy) } else { Err(faults) }
    }

    /// The folder of the class's own exercises, which have to be on the shelf before the rest of `class.toml` can be read.
    /// What is wrong with the file is told by [`Policy::read`].
    ///
    /// ```
    /// use foldmark::class::Policy;
    /// assert_eq!(Policy::own_exercises("[folders]\nexercises = \"mine\"\n"), Some("mine".to_owned()));
    /// assert_eq!(Policy::own_exercises("[folders]\nexercises = \"../mine\"\n"), None);
    /// ```
    pub fn own_exercises(text: &str) -> Option<String> {
        Policy::places(text).folders.exercises
    }

    /// A policy with nothing but the places that `class.toml` names, as far as they can be read: whatever else is wrong with
    /// the file, and whatever exercises there are.
    ///
    /// ```
    /// use foldmark::class::Policy;
    /// let policy = Policy::places("roster = \"us.csv\"\nruler = 7\n[folders]\nkeys = \"k\"\n");
    /// assert_eq!((policy.roster, policy.folders.keys), (Some("us.csv".to_owned()), Some("k".to_owned())));
    /// ```
    pub fn places(text: &str) -> Policy {
        let document = Document::new(text);
        let table = document.parse();
        let root = Section::root(&document, &table, &CLASS);
        let folders = root.table("folders").map(folders).unwrap_or_default();
        Policy { roster: place(&root, "roster"), folders, ..Policy::default() }
    }

    fn exercise(&self, name: &str) -> Option<&ExercisePolicy> {
        self.exercises.iter().find(|exercise| exercise.name == name)
    }

    /// What each step of an exercise earns: nothing, where it does not count. Those count that the set of a sheet asks
    /// for; else those that the class names; else the exercise's own core, and what the class gives points for.
    pub fn points(&self, exercise: &Exercise) -> TiVec<StepId, Points> {
        let worth = self.worth(exercise);
        let named = self.exercise(&exercise.name).map(|own| &own.points[..]).unwrap_or_default();
        let is_named = |step: StepId| named.iter().any(|(name, _)| *name == exercise.steps[step].name);
        let is_of_class = !self.counted(exercise).is_empty();
        let counts = |step: StepId| is_of_class || exercise.asks(step) || is_named(step) && !exercise.is_core_of_set;
        worth.into_iter_enumerated().map(|(step, worth)| if counts(step) { worth } else { Points::NONE }).collect()
    }

    /// What each step of an exercise earns where the whole of it is asked for, as in a finished draft with slips in it.
    pub fn worth(&self, exercise: &Exercise) -> TiVec<StepId, Points> {
        let named = self.exercise(&exercise.name).map(|own| &own.points[..]).unwrap_or_default();
        let counted = self.counted(exercise);
        let worth = |step: &crate::exercise::Step| {
            if !counted.is_empty() && !counted.contains(&step.name) {
                return Points::NONE;
            }
            let named = named.iter().find(|(name, _)| *name == step.name);
            Points::of(named.map_or(step.points, |(_, points)| *points))
        };
        exercise.steps.iter().map(worth).collect()
    }

    /// The steps that count in this class by their names; empty, where the class leaves it to the exercise or the set.
    pub fn counted(&self, exercise: &Exercise) -> &[String] {
        let own = self.exercise(&exercise.name).filter(|_| !exercise.is_core_of_set);
        own.map(|own| &own.steps[..]).unwrap_or_default()
    }
}

/// A file or folder beside the class's own file: nothing that leads anywhere else.
fn place(section: &Section, key: &str) -> Option<String> {
    let text = section.text(key)?;
    let is_plain = |part: &str| !matches!(part, "" | "." | "..") && !part.contains([':', '\\']);
    if let Some(part) = text.value.split('/').find(|part| is_reserved(part)) {
        let message = format!("{} is no name that a folder can have on every machine; choose another", quoted(part));
        section.document().note(text.span, &section.key(key), message);
        return None;
    }
    if text.value.split('/').all(is_plain) {
        return Some(text.value);
    }
    let message =
        format!("{} is not a place beside class.toml; write a name, such as \"handed-in\"", quoted(&text.value));
    section.document().note(text.span, &section.key(key), message);
    None
}

fn folders(section: Section) -> Folders {
    let folders = Folders {
        exercises: place(&section, "exercises"),
        sheets: place(&section, "sheets"),
        keys: place(&section, "keys"),
        handed_in: place(&section, "handed_in"),
        marked: place(&section, "marked"),
    };
    if let (Some(sheets), Some(keys)) = (&folders.sheets, &folders.keys) {
        // Some systems take large letters and small for the same.
        let [sheets, keys] = [sheets, keys].map(|name| format!("{}/", plain_name(name)));
        if keys.starts_with(&sheets) || sheets.starts_with(&keys) {
            section.note("keys", "keys never lie with the sheets; name a folder of their own");
        }
    }
    folders
}

fn week(section: Section, shelf: &Shelf) -> Week {
    let text = |key: &str| section.text(key).map(|text| text.value).unwrap_or_default();
    let day = |key: &str| {
        let day = text(key);
        let is_day = day.len() == 10
            && day
                .bytes()
                .enumerate()
                .all(|(at, byte)| if matches!(at, 4 | 7) { byte == b'-' } else { byte.is_ascii_digit() });
        if !day.is_empty() && !is_day {
            section.note(key, format!("{} is no day; write it as \"2026-03-05\"", quoted(&day)));
        }
        day
    };
    let (title, date, due, lesson) = (text("title"), day("date"), day("due"), text("lesson"));
    Week { title, date, due, lesson, practice: practice(section, shelf) }
}

fn practice(section: Section, shelf: &Shelf) -> PracticePolicy {
    let document = section.document();
    let mut exercises = Vec::new();
    for name in section.texts("exercises") {
        match shelf.get(&name.value) {
            Ok(_) => exercises.push(name.value),
            // Its faults are told where it is read, and the rest of the class goes on.
            Err(_) if shelf.is_faulty(&name.value) => exercises.push(name.value),
            Err(sentence) => document.note(name.span, &section.key("exercises"), sentence.to_string()),
        }
    }
    let level = section.whole("level").map(|level| level as u8);
    let steps = section.texts("steps");
    let practised = || shelf.iter().filter(|one| exercises.is_empty() || exercises.contains(&one.name));
    // Whoever has a fault in the only exercise is told of that, and not of its steps.
    for step in steps.iter().filter(|_| exercises.is_empty() || practised().next().is_some()) {
        if let Some(says) = unknown_step(&step.value, practised()) {
            document.note(step.span.clone(), &section.key("steps"), says);
        }
    }
    PracticePolicy { level, steps: steps.into_iter().map(|step| step.value).collect(), exercises }
}

/// What is wrong with a step that is to be asked for, if none of the exercises has it.
pub(crate) fn unknown_step<'e>(name: &str, exercises: impl Iterator<Item = &'e Exercise>) -> Option<String> {
    let steps: Vec<&str> = exercises.flat_map(|exercise| &exercise.steps).map(|step| step.name.as_str()).collect();
    let is_known = steps.contains(&name);
    let says =
        || format!("no exercise of the set has a step {}{}", quoted(name), or_did_you_mean(name, steps, Shown::Key));
    (!is_known).then(says)
}

fn givens(section: &Section, shelf: &Shelf, unit: Option<Unit>) -> Vec<(String, String)> {
    let document = section.document();
    let mut known: Vec<&str> =
        shelf.iter().flat_map(|exercise| &exercise.givens).map(|given| given.name.as_str()).collect();
    known.sort_unstable();
    known.dedup();
    let mut givens = Vec::new();
    for (key, mut values) in section.entries() {
        if !known.contains(&key.value.as_str()) {
            let hint = or_did_you_mean(&key.value, known.iter().copied(), Shown::Key);
            document.note(key.span, "given", format!("no exercise has a given {}{hint}", quoted(&key.value)));
        } else if values.len() != 1 {
            document.note(key.span, "given", "one value is expected here, not a list");
        } else {
            let value = values.remove(0);
            let named = || shelf.iter().filter_map(|exercise| exercise.given(&key.value));
            match named().map(|given| stated(given, &value.value, unit)).collect::<Result<Vec<()>, String>>() {
                Ok(_) => givens.push((key.value, value.value)),
                Err(sentence) => document.note(value.span, &format!("given.{}", key.value), sentence),
            }
        }
    }
    givens
}

/// Whether a given's value can be read: told here, so that no student is blamed for it.
fn stated(given: &Given, text: &str, unit: Option<Unit>) -> Result<(), String> {
    match &given.kind {
        GivenKind::Length { .. } => Length::read(text, unit).map(|_| ()).map_err(|error| error.to_string()),
        GivenKind::Number { parts, .. } => {
            parts.read(text).map(|_| ()).ok_or_else(|| format!("{} is not {parts}", quoted(text)))
        }
        GivenKind::Choice { words, .. } => {
            let known: Vec<&str> = words.iter().map(|choice| choice.word.as_str()).collect();
            let is_known = known.contains(&text.trim());
            if is_known { Ok(()) } else { Err(format!("{} is not one of: {}", quoted(text), known.join(", "))) }
        }
        GivenKind::Table { .. } => Err("a table belongs to a student, not to a class".to_owned()),
    }
}

fn exercise(section: Section, shelf: &Shelf) -> Option<ExercisePolicy> {
    let document = section.document();
    let name = section.text("name");
    let steps = section.texts("steps");
    let points = section.table("points");
    let exercise = name.as_ref().and_then(|name| {
        shelf
            .get(&name.value)
            .map_err(|sentence| {
                if shelf.is_faulty(&name.value) {
                    return;
                }
                document.note(name.span.clone(), "exercise.name", sentence.to_string());
            })
            .ok()
    });
    let known = |step: &crate::text::Text, key: &str| {
        let Some(exercise) = exercise else { return };
        if exercise.step(&step.value).is_none() {
            let known = exercise.steps.iter().map(|step| step.name.as_str());
            let hint = or_did_you_mean(&step.value, known, Shown::Key);
            let message = format!("{} has no step {}{hint}", exercise.title, quoted(&step.value));
            document.note(step.span.clone(), key, message);
        }
    };
    steps.iter().for_each(|step| known(step, "exercise.steps"));
    let mut worth = Vec::new();
    if let Some(points) = points {
        for (step, values) in points.entries() {
            known(&step, "exercise.points");
            let read = values.first().and_then(|value| value.value.trim().parse::<i64>().ok());
            match read.filter(|points| (0..=MOST_POINTS).contains(points) && values.len() == 1) {
                Some(points) => worth.push((step.value, points as u32)),
                None => document.note(
                    step.span,
                    "exercise.points",
                    format!("points are a whole number from 0 to {MOST_POINTS}"),
                ),
            }
        }
    }
    let steps = steps.into_iter().map(|step| step.value).collect();
    Some(ExercisePolicy { name: name?.value, steps, points: worth })
}
