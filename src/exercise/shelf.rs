//! Where exercises stand: those that come with the program, and an instructor's own beside them.

use super::model::Exercise;
use super::read::read;
use include_dir::{Dir, include_dir};

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

/// Exercises to choose from, by name.
#[derive(Debug, Clone, Default)]
pub struct Shelf {
    exercises: Vec<Exercise>,
}

impl Shelf {
    /// A shelf with the shipped exercises on it.
    ///
    /// # Panics
    /// If a shipped exercise has a fault, which the tests rule out.
    pub fn shipped() -> Shelf {
        let mut shelf = Shelf::default();
        for (name, text) in shipped() {
            match read(name, text) {
                Ok(exercise) => {
                    shelf.put(exercise);
                }
                Err(faults) => panic!("the shipped exercise {name} has a fault: {}", faults[0]),
            }
        }
        shelf
    }

    /// Puts an exercise on the shelf; returns the one of the same name that it replaced.
    pub fn put(&mut self, exercise: Exercise) -> Option<Exercise> {
        match self.exercises.binary_search_by(|known| known.name.cmp(&exercise.name)) {
            Ok(at) => Some(std::mem::replace(&mut self.exercises[at], exercise)),
            Err(at) => {
                self.exercises.insert(at, exercise);
                None
            }
        }
    }

    /// The exercise of this name.
    ///
    /// # Errors
    /// A sentence with the nearest name, or with those there are.
    pub fn get(&self, name: &str) -> Result<&Exercise, String> {
        self.exercises.iter().find(|exercise| exercise.name == name).ok_or_else(|| {
            let names = || self.exercises.iter().map(|exercise| exercise.name.as_str());
            let hint = match crate::nearest::nearest(name, names()) {
                Some(near) => format!("did you mean {near}?"),
                None => format!("there are: {}", names().collect::<Vec<_>>().join(", ")),
            };
            format!("there is no exercise {}; {hint}", super::quoted(name))
        })
    }

    /// All of them, by name.
    pub fn iter(&self) -> impl Iterator<Item = &Exercise> {
        self.exercises.iter()
    }
}
