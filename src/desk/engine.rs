//! The one whom the desk asks.

use super::archive::{MOST_BYTES, MOST_FILES, packed, unpacked};
use super::class::{Class, Opened};
use super::files::Files;
use super::names::file_name;
use super::placing::{Given, class_file, numbered, place, tame};
use super::set::SetRequest;
use super::spreadsheet::worksheets;
use super::told::shown;
use crate::length::Ruler;
use crate::live::Live;
use crate::practice::Task;
use serde::Deserialize;
use serde_json::{Value, json};
use std::path::Path;

/// Longest single file, in bytes; an archive may be as long as all that is kept.
const LONGEST_FILE: u64 = 16 << 20;

/// What the desk's page talks to: it keeps a class's folder, and does with it what the commands do.
///
/// A request is JSON, and perhaps a line end and bytes after it; so is an answer.
///
/// ```
/// use foldmark::desk::Desk;
/// let mut desk = Desk::new();
/// let mut ask = |request: &[u8]| String::from_utf8(desk.answer(request)).unwrap();
/// ask(b"{\"ask\":\"put\",\"place\":\"roster.csv\"}\nstudent\nTansy\nSorrel\n");
/// let set = ask(br#"{"ask":"set","exercises":["flap-roll"],"level":1}"#);
/// assert!(set.contains("2 sheets of Roll with a folding flap for week 1."), "{set}");
/// assert!(ask(br#"{"ask":"read","name":"sheets/week-1/sheets.html"}"#).contains("<bdi>Tansy</bdi>"));
/// assert!(ask(br#"{"ask":"check"}"#).contains("nothing was handed in yet"));
/// ```
pub struct Desk {
    class: Class,
    live: Live,
    /// The shelf that `live` has: that of a set, by its number.
    live_has: Option<usize>,
}

/// Why something was not done: sentences.
type Done<T> = Result<T, Vec<String>>;

#[derive(Deserialize)]
#[serde(tag = "ask", rename_all = "lowercase")]
enum Ask {
    /// A class of one's own begins, with bytes left to chance for its secret.
    Begin { chance: [u8; 16] },
    /// Whether files of these names and lengths are taken, and where they go.
    Place {
        names: Vec<String>,
        lengths: Vec<u64>,
        #[serde(default)]
        given: Given,
    },
    /// A file for its place.
    Put { place: String },
    /// An archive of a class, or of what students sent.
    Unpack,
    /// A file that was handed in is taken out again.
    Out { name: String },
    /// How things stand.
    Class,
    /// Marks what was handed in.
    Check {
        #[serde(default)]
        force: bool,
    },
    /// Makes a set.
    Set(SetAsked),
    /// A file's bytes.
    Read { name: String },
    /// All files as one archive.
    Save,
    /// A sheet of paper, typed in.
    Typed { set: String, sheet: Value },
}

#[derive(Deserialize)]
#[serde(default)]
struct SetAsked {
    exercises: Vec<String>,
    level: Option<u8>,
    slips: u8,
    ruler: String,
    count: Option<usize>,
    week: Option<u64>,
    /// A set that was marked, whose results problems are chosen from; empty, if from none.
    from: String,
    /// Whether they are chosen for the class together.
    together: bool,
    replaces: bool,
}

impl Default for SetAsked {
    fn default() -> SetAsked {
        let (exercises, ruler, from) = (Vec::new(), String::new(), String::new());
        let (together, replaces) = (false, false);
        SetAsked { exercises, level: None, slips: 0, ruler, count: None, week: None, from, together, replaces }
    }
}

/// What is asked of `live`, with the set's own exercises.
const OF_LIVE: [&str; 4] = ["form", "coded", "mark", "file"];

impl Default for Desk {
    fn default() -> Desk {
        Desk::new()
    }
}

impl Desk {
    /// One with nothing on it.
    pub fn new() -> Desk {
        Desk { class: Class::new(), live: Live::new(), live_has: None }
    }

    /// Answers a request. What is wrong with it is its answer: `{"fault": "…"}`.
    pub fn answer(&mut self, request: &[u8]) -> Vec<u8> {
        let end = request.iter().position(|byte| *byte == b'\n').unwrap_or(request.len());
        let (text, bytes) = (String::from_utf8_lossy(&request[..end]), request.get(end + 1..).unwrap_or_default());
        let answer = self.asked(&text, bytes);
        answer.unwrap_or_else(|faults| json!({ "fault": faults.join("\n") }).to_string().into_bytes())
    }

    fn asked(&mut self, text: &str, bytes: &[u8]) -> Done<Vec<u8>> {
        let unread = |error: serde_json::Error| vec![error.to_string()];
        let whole: Value = serde_json::from_str(text).map_err(unread)?;
        let what = whole["ask"].as_str().unwrap_or_default();
        if OF_LIVE.contains(&what) {
            return self.of_live(whole).map(|answer| answer.to_string().into_bytes());
        }
        let answer = match serde_json::from_value(whole).map_err(unread)? {
            Ask::Begin { chance } => {
                self.class.keep_secret(chance);
                json!({})
            }
            Ask::Place { names, lengths, given } => self.place(&names, &lengths, given)?,
            Ask::Put { place } => json!({ "place": self.put(&place, bytes.to_vec())? }),
            Ask::Unpack => self.unpack(bytes.to_vec())?,
            Ask::Out { name } => {
                self.class.take_out(&name);
                json!({})
            }
            Ask::Class => self.state()?,
            Ask::Check { force } => {
                let made = self.class.mark(force)?;
                json!({ "text": made.text, "faults": made.faults, "notices": made.notices })
            }
            Ask::Set(asked) => self.set(asked)?,
            Ask::Read { name } => {
                let file = self.class.drawer().files.get(&name);
                let file = file.ok_or_else(|| vec![format!("{}: there is no such file", shown(Path::new(&name)))])?;
                return Ok([b"{}\n", &file[..]].concat());
            }
            Ask::Save => {
                return Ok([b"{}\n", &packed(self.class.drawer()).map_err(|says| vec![says])?[..]].concat());
            }
            Ask::Typed { set, sheet } => self.typed(&set, sheet)?,
        };
        Ok(answer.to_string().into_bytes())
    }

    /// Where files go, each by its number: empty for those that are none of the class's work. The class's own file is put
    /// first, for it says where the rest goes.
    fn place(&mut self, names: &[String], lengths: &[u64], given: Given) -> Done<Value> {
        let kept: u64 = self.class.drawer().files.values().map(|bytes| bytes.len() as u64).sum();
        let total: u64 = lengths.iter().sum();
        if names.len() + self.class.drawer().files.len() > MOST_FILES {
            return Err(vec![format!("these are {} files; at most {MOST_FILES} are read", names.len())]);
        }
        if kept + total > MOST_BYTES {
            let says = "these are more than {} MB; give the files that students sent, and nothing else";
            return Err(vec![says.replace("{}", &(MOST_BYTES >> 20).to_string())]);
        }
        let is_archive = |name: &str| name.to_ascii_lowercase().ends_with(".zip");
        let long = names.iter().zip(lengths).find(|(name, length)| **length > LONGEST_FILE && !is_archive(name));
        if let Some((name, length)) = long {
            let (name, megabytes) = (shown(Path::new(name)), *length as f64 / 1e6);
            return Err(vec![format!(
                "{name}: the file has {megabytes:.1} MB; at most {} MB are read",
                LONGEST_FILE >> 20
            )]);
        }
        let names: Vec<String> = names.iter().map(|name| tame(name)).collect();
        let own = class_file(&names).filter(|_| given == Given::Any);
        let root = own.map(|at| names[at].rsplit_once('/').map_or("", |(folder, _)| folder).to_owned());
        let places = self.class.places();
        let placed: Vec<String> =
            names.iter().map(|name| place(name, root.as_deref(), given, places).unwrap_or_default()).collect();
        Ok(json!({ "places": placed, "class": own }))
    }

    /// Puts a file in its place, and returns that: of two that are called the same but are not the same, both are kept.
    fn put(&mut self, place: &str, bytes: Vec<u8>) -> Done<String> {
        let place = tame(place);
        let bytes = if place == self.class.places().roster { as_roster(&place, bytes)? } else { bytes };
        let is_answers = place.starts_with(&format!("{}/", self.class.places().handed_in));
        let others = (2..).map(|number| numbered(&place, number));
        let mut names = std::iter::once(place.clone()).chain(others);
        let is_free = |name: &String| self.class.drawer().files.get(name).is_none_or(|known| *known == bytes);
        let name = if is_answers { names.find(is_free).unwrap_or(place) } else { place };
        self.class.put(name.clone(), bytes);
        Ok(name)
    }

    /// Puts everything of an archive in its place: of a class, or of what students sent.
    fn unpack(&mut self, bytes: Vec<u8>) -> Done<Value> {
        let files = unpacked(bytes).map_err(|says| vec![says])?;
        let names: Vec<String> = files.keys().cloned().collect();
        if let Some(own) = class_file(&names) {
            self.put("class.toml", files[&names[own]].clone())?;
        }
        let lengths: Vec<u64> = files.values().map(|bytes| bytes.len() as u64).collect();
        let placed = self.place(&names, &lengths, Given::Any)?;
        let places = placed["places"].as_array().into_iter().flatten().filter_map(Value::as_str);
        let mut count = 0;
        for (place, bytes) in places.zip(files.into_values()).filter(|(place, _)| !place.is_empty()) {
            self.put(place, bytes)?;
            count += 1;
        }
        Ok(json!({ "count": count }))
    }

    fn state(&mut self) -> Done<Value> {
        let opened = self.class.opened()?;
        let Opened { library, policy, kept, folders, roster, faults, notices } = &*opened;
        let drawer = self.class.drawer();
        let exercise = |exercise: &crate::exercise::Exercise| {
            let levels: Vec<(u8, &str)> =
                exercise.practice.levels.iter().map(|level| (level.level, level.says.as_str())).collect();
            let rulers: Vec<String> = exercise.rulers.iter().map(ToString::to_string).collect();
            json!({ "name": exercise.name, "title": exercise.title, "levels": levels, "rulers": rulers,
                "has_slips": !exercise.slips.is_empty() })
        };
        let typed = typed_prefix(&folders.handed_in);
        let sheet = |set: &str, sheet: &crate::class::SetSheet| {
            let is_typed = drawer.files.contains_key(&typed_name(&typed, set, sheet));
            json!({ "student": sheet.student, "id": sheet.id, "exercise": sheet.exercise, "code": sheet.code,
                "is_typed": is_typed })
        };
        let set = |set: &super::kept_sets::KeptSet| {
            let sheets: Vec<Value> = set.record.sheets.iter().map(|it| sheet(&set.name, it)).collect();
            json!({ "name": set.name, "title": set.record.title, "sheets": sheets })
        };
        let pages = |folder: &str| -> Vec<String> {
            let pages = drawer.within(folder).filter(|(name, _)| name.ends_with(".html"));
            pages.map(|(name, _)| format!("{folder}/{name}")).collect()
        };
        let students: Vec<Value> =
            roster.students.iter().map(|student| json!({ "name": student.name, "id": student.id })).collect();
        let results = drawer.within(&folders.marked).filter_map(|(name, _)| name.strip_suffix("/result.json"));
        let sheets = [pages(&folders.sheets), pages(&folders.keys)].concat();
        let handed_in: Vec<&str> = drawer.within(&folders.handed_in).map(|(name, _)| name).collect();
        Ok(json!({
            "title": policy.title,
            "students": students,
            "exercises": library.shelf.iter().map(exercise).collect::<Vec<Value>>(),
            "usual": policy.practice.exercises,
            "results": results.collect::<Vec<&str>>(),
            "sets": kept.sets.iter().map(set).collect::<Vec<Value>>(),
            "week": self.class.next_week(folders),
            "handed_in": handed_in,
            "folder": folders.handed_in,
            "marked": pages(&folders.marked),
            "index": format!("{}/index.html", folders.marked),
            "sheets": sheets,
            "faults": faults,
            "notices": notices,
        }))
    }

    fn set(&mut self, asked: SetAsked) -> Done<Value> {
        let ruler = match asked.ruler.as_str() {
            "" => None,
            text => Some(Ruler::read(text).map_err(|fault| vec![fault.to_string()])?),
        };
        let task = if asked.slips == 0 { Task::Draft } else { Task::FindSlips(asked.slips) };
        let SetAsked { exercises, level, count, week, from, together, replaces, .. } = asked;
        let request =
            SetRequest { exercises, level, steps: Vec::new(), task, ruler, unit: None, count, seed: None, week };
        let from = Some((from.as_str(), together)).filter(|(from, _)| !from.is_empty());
        let made = self.class.set(request, from, replaces)?;
        self.live_has = None;
        let why: Vec<&str> = made.why.lines().collect();
        Ok(json!({ "says": made.says, "why": why, "sheets": made.sheets, "key": made.key }))
    }

    /// What is asked of `live`, which is given the exercises of the set that the code is of.
    fn of_live(&mut self, request: Value) -> Done<Value> {
        let opened = self.class.opened()?;
        let code = request["code"].as_str().unwrap_or_default();
        let shelf = opened.kept.of_code(code).map_or(0, |(set, _)| set.shelf());
        if self.live_has != Some(shelf) {
            self.live.put_shelf(opened.kept.shelves[shelf].clone());
            self.live_has = Some(shelf);
        }
        serde_json::from_str(&self.live.answer(&request.to_string())).map_err(|error| vec![error.to_string()])
    }

    /// Puts a sheet of paper with those that were handed in; one that was typed before is replaced.
    fn typed(&mut self, set: &str, mut sheet: Value) -> Done<Value> {
        sheet["ask"] = "file".into();
        let text = |key: &str| sheet[key].as_str().unwrap_or_default().to_owned();
        let of = crate::class::SetSheet {
            student: text("student"),
            id: text("id"),
            exercise: text("exercise"),
            code: text("code"),
        };
        if of.student.trim().is_empty() {
            return Err(vec!["whose sheet it is, is missing".to_owned()]);
        }
        let file = self.of_live(sheet)?;
        let Some(text) = file["text"].as_str() else {
            return Err(vec![file["fault"].as_str().unwrap_or_default().to_owned()]);
        };
        let name = typed_name(&typed_prefix(&self.class.places().handed_in), set, &of);
        self.class.put(name.clone(), text.as_bytes().to_vec());
        Ok(json!({ "name": name }))
    }
}

/// Where sheets of paper lie once they are typed in.
fn typed_prefix(handed_in: &str) -> String {
    format!("{handed_in}/typed-in")
}

fn typed_name(prefix: &str, set: &str, sheet: &crate::class::SetSheet) -> String {
    let parts = [&sheet.student, &sheet.id, &sheet.exercise].map(|part| file_name(part));
    let parts: Vec<&str> = parts.iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
    format!("{prefix}/{}/{}.toml", file_name(set), parts.join("-"))
}

/// A roster as the class's own file names it: a spreadsheet becomes the table that is in it.
fn as_roster(place: &str, bytes: Vec<u8>) -> Done<Vec<u8>> {
    let is_spreadsheet = |name: &str| name.ends_with(".xlsx") || name.ends_with(".ods");
    if is_spreadsheet(place) || !bytes.starts_with(b"PK\x03\x04") {
        return Ok(bytes);
    }
    let mut drawer = super::drawer::Drawer::default();
    let name = ["roster.xlsx", "roster.ods"];
    for name in name {
        drawer.files.insert(name.to_owned(), bytes.clone());
        let read = worksheets(&drawer as &dyn Files, Path::new(name));
        if let Some(sheet) = read.ok().and_then(|sheets| sheets.into_iter().next()) {
            return Ok(sheet.csv.into_bytes());
        }
    }
    Err(vec!["this roster can't be read as a spreadsheet; save it again, as .xlsx or as .csv".to_owned()])
}
