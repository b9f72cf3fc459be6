//! A class in a drawer: its folder as the commands have it, with what they do to it.

use super::course::CourseResults;
use super::drawer::Drawer;
use super::encoding::decoded;
use super::files::{Files, read_text};
use super::gathering::Gathering;
use super::kept_sets::KeptSets;
use super::library::Library;
use super::marking::Marking;
use super::names::CLASS_FILE;
use super::next_set::{NextSet, WHY};
use super::roster::{Roster, roster, roster_with_wishes};
use super::set::{Each, SetRequest, asking, is_filled_in, papers, title, write_set};
use super::sources::sources;
use super::told::Told;
use crate::class::{Folders, Policy, Secret};
use std::collections::BTreeMap;
use std::path::Path;
use std::rc::Rc;
use std::sync::{Mutex, PoisonError};

/// What a class's own file says where none was given.
const USUAL: &str = "# What holds for this class.
roster = \"roster.csv\"

[folders]
sheets = \"sheets\"
keys = \"keys\"
handed_in = \"handed-in\"
marked = \"marked\"
";

/// A class whose folder lies in a drawer.
pub(super) struct Class {
    drawer: Drawer,
    places: Rc<Places>,
    /// Nothing, once it is other than it was read.
    opened: Option<Rc<Opened>>,
}

/// What was read of a class's folder, but for what was handed in.
pub(super) struct Opened {
    pub library: Library,
    pub policy: Policy,
    pub kept: KeptSets,
    /// What there is to say of it.
    pub notices: Vec<String>,
    pub folders: Rc<Places>,
    pub roster: Roster,
    /// What is wrong with the roster, and with exercises of the class.
    pub faults: Vec<String>,
}

/// Where the work of the class lies, with the usual name for each folder that its own file does not name.
pub(super) struct Places {
    pub exercises: String,
    pub sheets: String,
    pub keys: String,
    pub handed_in: String,
    pub marked: String,
    pub roster: String,
}

impl Places {
    /// As the class's own file has them.
    fn read(text: &str) -> Places {
        let policy = Policy::places(text);
        let or = |named: &Option<String>, usual: &str| named.clone().unwrap_or_else(|| usual.to_owned());
        let Folders { exercises, sheets, keys, handed_in, marked } = &policy.folders;
        Places {
            exercises: or(exercises, "exercises"),
            sheets: or(sheets, "sheets"),
            keys: or(keys, "keys"),
            handed_in: or(handed_in, "handed-in"),
            marked: or(marked, "marked"),
            roster: or(&policy.roster, "roster.csv"),
        }
    }

    /// All of them.
    pub fn all(&self) -> [&str; 6] {
        [&self.exercises, &self.sheets, &self.keys, &self.handed_in, &self.marked, &self.roster]
    }
}

/// What came of marking.
pub(super) struct Outcome {
    /// What the class as a whole got wrong.
    pub text: String,
    /// What could not be read, or was not done.
    pub faults: Vec<String>,
    pub notices: Vec<String>,
}

/// What came of setting a set.
pub(super) struct SetMade {
    pub says: String,
    /// Why everyone gets what they get, a line for each problem; empty, where that was not chosen from results.
    pub why: String,
    /// The page with all sheets, and that of the key.
    pub sheets: String,
    pub key: String,
}

/// Collects what is told.
#[derive(Default)]
struct Heard(Mutex<Vec<String>>);

impl Heard {
    fn hear(&self, says: &str) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).push(says.to_owned());
    }

    fn all(self) -> Vec<String> {
        self.0.into_inner().unwrap_or_else(PoisonError::into_inner)
    }
}

fn one_by_one(count: usize, work: &(dyn Fn(usize) + Sync)) {
    (0..count).for_each(work);
}

impl Class {
    pub fn new() -> Class {
        let files = BTreeMap::from([(CLASS_FILE.to_owned(), USUAL.into())]);
        Class { drawer: Drawer { files }, places: Rc::new(Places::read(USUAL)), opened: None }
    }

    /// Where everything lies.
    pub fn places(&self) -> &Rc<Places> {
        &self.places
    }

    pub fn drawer(&self) -> &Drawer {
        &self.drawer
    }

    /// Gives the class a secret, until a class's own file is given.
    pub fn keep_secret(&mut self, chance: [u8; 16]) {
        self.put(CLASS_FILE.to_owned(), Secret::by_chance(chance).at_head_of(USUAL).into_bytes());
    }

    /// Puts a file in its place.
    pub fn put(&mut self, name: String, bytes: Vec<u8>) {
        if name == CLASS_FILE {
            self.places = Rc::new(Places::read(&decoded(bytes.clone()).map(|read| read.text).unwrap_or_default()));
        }
        if !name.starts_with(&format!("{}/", self.places.handed_in)) {
            self.opened = None;
        }
        self.drawer.files.insert(name, bytes);
    }

    /// Takes a file out of what was handed in.
    pub fn take_out(&mut self, name: &str) {
        self.drawer.files.remove(name);
    }

    /// What the folder says of the class.
    ///
    /// # Errors
    /// What is wrong with the class's own file.
    pub fn opened(&mut self) -> Result<Rc<Opened>, Vec<String>> {
        if let Some(opened) = &self.opened {
            return Ok(Rc::clone(opened));
        }
        let opened = Rc::new(open(&self.drawer, Rc::clone(&self.places))?);
        Ok(Rc::clone(self.opened.insert(opened)))
    }

    /// Marks what was handed in. With `force` earlier results are replaced by less as well.
    ///
    /// # Errors
    /// Why nothing was done.
    pub fn mark(&mut self, force: bool) -> Result<Outcome, Vec<String>> {
        let opened = self.opened()?;
        let Opened { policy, kept, folders, .. } = &*opened;
        let handed_in = Path::new(&folders.handed_in);
        if !self.drawer.is_folder(handed_in) {
            return Err(vec!["nothing was handed in yet; give the files that students sent".to_owned()]);
        }
        let is_of_class = |path: &Path| folders.all().iter().any(|place| Path::new(place) == path && path != handed_in);
        let heard = Heard::default();
        let say = |says: &str| heard.hear(says);
        let (sources, faults) = sources(&self.drawer, &[handed_in.to_owned()], &is_of_class);
        let show = policy.show.unwrap_or_default();
        let mut marking = Marking::new((&kept.shelves, policy, show), one_by_one, ());
        marking.handed_in = folders.handed_in.clone();
        let root = Path::new(&folders.marked);
        let Roster { students, columns, .. } = opened.roster.clone();
        let course = CourseResults::new((&self.drawer, &say), root, force, &policy.title, (students, columns), kept);
        marking.course = Some(course);
        faults.into_iter().for_each(|told| marking.tell(told));
        let files: &dyn Files = &self.drawer;
        let (grade, asked, handed_in) = (None, None, Some(handed_in.to_owned()));
        let gathering = Gathering { files, hands: one_by_one, say: &say, kept, policy, asked, grade, handed_in };
        let failed = |says: String| vec![says];
        gathering.all(&sources, &mut marking).map_err(failed)?;
        let mut made: BTreeMap<String, String> = BTreeMap::new();
        let written = marking.write_course(&mut |name, text| {
            made.entry(name.to_owned()).or_default().push_str(text);
            Ok(())
        });
        let written = written.map_err(failed)?;
        let text = marking.text();
        let mut faults: Vec<String> = opened.faults.clone();
        faults.extend(marking.faults.iter().map(Told::to_string));
        let (entries, told, later) = written.map(|it| (it.entries, it.told, it.notices)).unwrap_or_default();
        drop((marking, gathering));
        faults.extend(told);
        let mut notices = opened.notices.clone();
        notices.extend(heard.all());
        notices.extend(later);
        self.replace(&folders.marked, &entries, made);
        Ok(Outcome { text, faults, notices })
    }

    /// Replaces whole entries of a folder.
    fn replace(&mut self, folder: &str, entries: &[String], made: BTreeMap<String, String>) {
        for entry in entries {
            let place = format!("{folder}/{entry}");
            let below = format!("{place}/");
            self.drawer.files.retain(|name, _| *name != place && !name.starts_with(&below));
        }
        let made = made.into_iter().map(|(name, text)| (format!("{folder}/{name}"), text.into_bytes()));
        self.drawer.files.extend(made);
    }

    /// The week of the next set: the first that is not there yet.
    pub fn next_week(&self, folders: &Places) -> u64 {
        let is_there = |folder: &str, week: u64| self.drawer.is_folder(Path::new(&format!("{folder}/week-{week}")));
        (1..).find(|week| !is_there(&folders.sheets, *week) && !is_there(&folders.keys, *week)).unwrap_or(1)
    }

    /// Makes a set: sheets and answer files in one folder of its week, the key in another. `from` names a set that was marked,
    /// from which problems are chosen, and says whether they are chosen for the class together.
    ///
    /// # Errors
    /// Why there is none.
    pub fn set(
        &mut self,
        mut request: SetRequest,
        from: Option<(&str, bool)>,
        replaces: bool,
    ) -> Result<SetMade, Vec<String>> {
        let opened = self.opened()?;
        let Opened { policy, library, folders, .. } = &*opened;
        let next = self.next_week(folders);
        let week = request.week.unwrap_or(next);
        request.week = Some(week);
        let places = [format!("{}/week-{week}", folders.sheets), format!("{}/week-{week}", folders.keys)];
        let is_there = |place: &String| self.drawer.is_folder(Path::new(place));
        if places.iter().any(is_there) {
            if !replaces {
                return Err(vec![format!(
                    "there is a set for week {week} already; choose another week, or replace it"
                )]);
            }
            let table = format!("{}/answers/table.csv", places[0]);
            if self.drawer.files.get(&table).is_some_and(|table| is_filled_in(table)) {
                let says = "answers are filled in here; move it to those that were handed in";
                return Err(vec![format!("{table}: {says}")]);
            }
        }
        let failed = |says: String| vec![says];
        let is_for_roster = request.count.is_none();
        let (is_of_level, is_measured) = (request.level.is_some(), request.unit.is_some() || request.ruler.is_some());
        let file = Path::new(&folders.roster);
        let roster = match is_for_roster && self.drawer.is_file(file) {
            true => roster_with_wishes(&self.drawer, file, &|_| {})?,
            false => Default::default(),
        };
        let (Roster { students, faults, .. }, wishes) = roster;
        let results = (Path::new(&folders.marked), Some(Path::new(&folders.keys)));
        let from = from.map(|(from, together)| NextSet::open(&self.drawer, results, from, together, &students));
        let from = from.transpose().map_err(failed)?;
        if let Some(from) = from.as_ref().filter(|_| request.exercises.is_empty()) {
            request.exercises = from.exercises();
            request.steps = from.steps().to_vec();
        }
        let (names, wish, about) = request.of_class(Some(policy)).map_err(failed)?;
        let each = Each { wishes, from, is_of_level, is_measured };
        let shelf = asking(&library.shelf, &names, &about.steps, Some(policy)).map_err(failed)?;
        let papers = papers(&shelf, &names, wish, students, &each).map_err(failed)?;
        let [sheets, key] = &places;
        let to = [sheets.clone(), format!("{sheets}/answers"), key.clone()];
        let mut made: BTreeMap<String, String> = BTreeMap::new();
        let mut put = |name: &str, text: &str| {
            made.entry(name.to_owned()).or_default().push_str(text);
            Ok(())
        };
        write_set(&papers, &mut put, &to, about, &|name| library.text(name)).map_err(failed)?;
        let why = each.reasons(&shelf, &papers);
        if !why.is_empty() {
            made.insert(format!("{key}/{WHY}"), why.clone());
        }
        let count = if papers.len() == 1 { "1 sheet".to_owned() } else { format!("{} sheets", papers.len()) };
        let mut says = format!("{count} of {} for week {week}.", title(&papers));
        if !faults.is_empty() {
            says += &format!(
                " Not everyone on the roster has a sheet; mend these rows, and set it again.\n{}",
                faults.join("\n")
            );
        }
        self.drawer.files.retain(|name, _| !places.iter().any(|place| name.starts_with(&format!("{place}/"))));
        self.drawer.files.extend(made.into_iter().map(|(name, text)| (name, text.into_bytes())));
        self.opened = None;
        Ok(SetMade { says, why, sheets: format!("{sheets}/sheets.html"), key: format!("{key}/key-table.html") })
    }
}

fn open(drawer: &Drawer, folders: Rc<Places>) -> Result<Opened, Vec<String>> {
    let heard = Heard::default();
    let file = Path::new(CLASS_FILE);
    let text = read_text(drawer, file).map_err(|told| vec![told.to_string()])?;
    let own = Policy::own_exercises(&text).filter(|folder| drawer.is_folder(Path::new(folder)));
    let library = own.map_or_else(|| Ok(Library::shipped()), |own| Library::with_folder(drawer, Path::new(&own)));
    let library = library.map_err(|says| vec![says])?;
    let policy = Policy::read(&text, &library.shelf);
    let policy =
        policy.map_err(|faults| faults.iter().map(|fault| format!("{CLASS_FILE}: {fault}")).collect::<Vec<_>>())?;
    let kept = KeptSets::open(drawer, Some(Path::new(&folders.keys)), &library, &|says| heard.hear(says));
    let mut faults = library.faults.clone();
    let file = Path::new(&folders.roster);
    let roster = match drawer.is_file(file) {
        true => roster(drawer, file).unwrap_or_else(|faults| Roster { faults, ..Roster::default() }),
        false => Roster::default(),
    };
    faults.extend(roster.faults.iter().cloned());
    let mut notices = library.notices.clone();
    notices.extend(heard.all());
    let Folders { sheets, keys, handed_in, marked, .. } = &policy.folders;
    if [sheets, keys, handed_in, marked].into_iter().any(Option::is_none) {
        notices.push(format!("{CLASS_FILE} does not name every folder of the class; the rest is called as usual here"));
    }
    Ok(Opened { library, policy, kept, notices, folders, roster, faults })
}
