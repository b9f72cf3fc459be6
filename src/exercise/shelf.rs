//! Where exercises stand: those that come with the program, and an instructor's own beside them.

use super::model::Exercise;
use super::read::read;
use crate::text::{nearest, quoted};
use include_dir::{Dir, include_dir};
use std::collections::BTreeSet;
use std::fmt;
use std::sync::OnceLock;

static SHIPPED: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/exercises");

/// The exercises that come with the program, as name and TOML text, in the order of their names.
///
/// ```
/// assert!(foldmark::exercise::shipped().any(|(name, _)| name == "flap-roll"));
/// ```
pub fn shipped() -> impl Iterator<Item = (&'static str, &'static str)> {
    SHIPPED.files().filter_map(|file| {
        let path = file.path();
        let is_toml = path.extension().is_some_and(|ending| ending == "toml");
        let name = path.file_stem()?.to_str()?;
        is_toml.then_some((name, file.contents_utf8()?))
    })
}

/// That a shelf has no exercise of a name. Its `Display` is a whole sentence with the nearest name, or with those there are.
///
/// ```
/// use foldmark::exercise::Shelf;
/// let fault = Shelf::shipped().get("flap-rol").unwrap_err();
/// assert_eq!(fault.to_string(), "there is no exercise \"flap-rol\"; did you mean flap-roll?");
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownExercise {
    /// What was asked for.
    pub name: String,
    /// The nearest name there is, if one is near.
    pub near: Option<String>,
    /// All there are.
    pub known: Vec<String>,
    /// Whether there is one, but with faults in its file.
    pub is_faulty: bool,
}

impl std::error::Error for UnknownExercise {}

impl fmt::Display for UnknownExercise {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_faulty {
            return write!(f, "the exercise {} has faults, which are told by `foldmark proof`", quoted(&self.name));
        }
        write!(f, "there is no exercise {}; ", quoted(&self.name))?;
        match &self.near {
            Some(near) => write!(f, "did you mean {near}?"),
            None => write!(f, "there are: {}", self.known.join(", ")),
        }
    }
}

/// Exercises to choose from, by name. A shipped one is read when it is first asked for.
#[derive(Debug, Clone, Default)]
pub struct Shelf {
    shelved: Vec<Shelved>,
    /// The names of exercises whose files have faults.
    faulty: BTreeSet<String>,
}

#[derive(Debug, Clone)]
struct Shelved {
    name: String,
    /// The text of a shipped exercise.
    text: &'static str,
    exercise: OnceLock<Exercise>,
}

impl Shelved {
    fn exercise(&self) -> &Exercise {
        self.exercise.get_or_init(|| match read(&self.name, self.text) {
            Ok(exercise) => exercise,
            Err(faults) => panic!("the shipped exercise {} has a fault: {}", self.name, faults[0]),
        })
    }
}

impl Shelf {
    /// A shelf with the shipped exercises on it. One with a fault, which the tests rule out, would panic
    /// when it is asked for.
    pub fn shipped() -> Shelf {
        let one =
            |(name, text): (&str, &'static str)| Shelved { name: name.to_owned(), text, exercise: OnceLock::new() };
        let mut shelved: Vec<Shelved> = shipped().map(one).collect();
        shelved.sort_by(|a, b| a.name.cmp(&b.name));
        Shelf { shelved, faulty: BTreeSet::new() }
    }

    /// Puts an exercise on the shelf; returns whether it replaced one of the same name.
    pub fn put(&mut self, exercise: Exercise) -> bool {
        self.faulty.remove(&exercise.name);
        let found = self.shelved.binary_search_by(|known| known.name.cmp(&exercise.name));
        let one = Shelved { name: exercise.name.clone(), text: "", exercise: OnceLock::from(exercise) };
        match found {
            Ok(at) => self.shelved[at] = one,
            Err(at) => self.shelved.insert(at, one),
        }
        found.is_ok()
    }

    /// Puts down that an exercise has faults: nothing else of its name is taken for it.
    pub fn put_faulty(&mut self, name: &str) {
        self.faulty.insert(name.to_owned());
    }

    /// Whether there is an exercise of this name, but with faults.
    pub fn is_faulty(&self, name: &str) -> bool {
        self.faulty.contains(name)
    }

    /// The exercise of this name.
    ///
    /// # Errors
    /// That there is none, with the nearest name, or with those there are.
    pub fn get(&self, name: &str) -> Result<&Exercise, UnknownExercise> {
        let is_faulty = self.is_faulty(name);
        let found = self.shelved.binary_search_by(|known| known.name.as_str().cmp(name));
        found.ok().filter(|_| !is_faulty).ok_or(()).map(|at| self.shelved[at].exercise()).map_err(|_| {
            let known: Vec<String> = self.shelved.iter().map(|one| one.name.clone()).collect();
            let near = nearest(name, known.iter().map(String::as_str)).map(str::to_owned);
            UnknownExercise { name: name.to_owned(), near, known, is_faulty }
        })
    }

    /// All of them, by name.
    pub fn iter(&self) -> impl Iterator<Item = &Exercise> {
        self.shelved.iter().map(Shelved::exercise)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_shipped_exercise_is_sound() {
        for (name, text) in shipped() {
            let faults = read(name, text).err().unwrap_or_default();
            assert!(faults.is_empty(), "{name}: {faults:?}");
        }
        assert_eq!(Shelf::shipped().iter().count(), shipped().count());
    }
}
