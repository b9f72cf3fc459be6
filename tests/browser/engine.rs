//! The engine that pages load against the same code in this process: to the same request both give the same bytes. And
//! whatever it is asked, it answers.

use std::collections::BTreeMap;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};

use foldmark::check::read_answers;
use foldmark::exercise::{Exercise, Shelf};
use foldmark::length::Ruler;
use foldmark::live::Live;
use foldmark::practice::{self, Maker, Task};
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::devtools::Tab;
use crate::requests::{self, Writing, as_written, chapters, own, sheet};
use crate::seeded::Seeded;
use crate::{built_book, open_tab};

/// So much text is handed to the page at once, in so many requests: what it answers has to fit into one message.
const AT_ONCE: (usize, usize) = (1 << 20, 100);

/// The engine in a page, and the same code here.
pub struct Both {
    tab: Tab,
    live: Live,
    _folder: TempDir,
    complaints: Vec<String>,
    asked: usize,
    bytes: usize,
    /// What took the page longest, in milliseconds.
    longest: (f64, String),
}

impl Both {
    pub fn new() -> Both {
        let folder = tempfile::tempdir().expect("a temporary directory");
        let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).expect("a file is written");
        write("engine.js", include_str!("../../src/live/engine.js"));
        write("trial.js", include_str!("engine.js"));
        write(
            "page.html",
            "<!DOCTYPE html><meta charset=\"utf-8\"><script src=\"engine.js\"></script><script src=\"trial.js\"></script>",
        );
        let mut tab = open_tab();
        let page = format!("file://{}", folder.path().join("page.html").display());
        tab.load(&page, 360, "").unwrap_or_else(|error| panic!("{error}"));
        let imports = tab.evaluate("trial.begin()").unwrap_or_else(|error| panic!("the engine doesn't begin: {error}"));
        assert_eq!(imports, 0, "the module wants something of the page");
        Both {
            tab,
            live: Live::new(),
            _folder: folder,
            complaints: Vec::new(),
            asked: 0,
            bytes: 0,
            longest: (0.0, String::new()),
        }
    }

    /// Gives both what they have to know.
    pub fn knowing(requests: &[String]) -> Both {
        let mut both = Both::new();
        for answer in both.ask(requests) {
            assert!(!answer.contains("\"fault\""), "{answer}");
        }
        both
    }

    /// Asks both, and gives the answers. Those that differ, or are none, are complained of.
    pub fn ask(&mut self, requests: &[String]) -> Vec<String> {
        let mut answers = Vec::new();
        let mut rest = requests;
        while !rest.is_empty() {
            let mut size = 0;
            let fit = rest.iter().take(AT_ONCE.1).take_while(|request| {
                size += request.len();
                size < AT_ONCE.0
            });
            let (batch, more) = rest.split_at(fit.count().max(1));
            rest = more;
            let expression = format!("trial.answers({})", json!(batch));
            let told = self.tab.evaluate(&expression).unwrap_or_else(|error| panic!("{error}"));
            for (request, told) in batch.iter().zip(told.as_array().into_iter().flatten()) {
                let native = self.native(request);
                self.compare(&shown(request), &native, told);
                answers.push(native);
            }
        }
        answers
    }

    /// The same with what is no text.
    pub fn ask_bytes(&mut self, requests: &[&[u8]]) {
        let told = self.tab.evaluate(&format!("trial.answers({})", json!(requests)));
        let told = told.unwrap_or_else(|error| panic!("{error}"));
        for (request, told) in requests.iter().zip(told.as_array().into_iter().flatten()) {
            let request = String::from_utf8_lossy(request);
            let native = self.native(&request);
            self.compare(&shown(&request), &native, told);
        }
    }

    /// Notes that something is wrong with what was asked.
    pub fn complain(&mut self, what: &str, request: &str) {
        self.complaints.push(format!("{what}: {}", shown(request)));
    }

    /// What the same code says here; a panic is complained of.
    fn native(&mut self, request: &str) -> String {
        let live = &mut self.live;
        catch_unwind(AssertUnwindSafe(|| live.answer(request))).unwrap_or_else(|_| {
            self.complaints.push(format!("panics here: {}", shown(request)));
            String::new()
        })
    }

    fn compare(&mut self, request: &str, native: &str, told: &Value) {
        self.asked += 1;
        self.bytes += native.len();
        let took = told["took"].as_f64().unwrap_or_default();
        if took > self.longest.0 {
            self.longest = (took, request.to_owned());
        }
        match told["says"].as_str() {
            Some(says) if says == native => {}
            // A page counts in 32 bits: there a number is refused that is read here, and refused for what it says.
            Some(says) if says.contains("expected usize") && native.starts_with("{\"fault\"") => {}
            Some(says) => {
                let at = says.bytes().zip(native.bytes()).take_while(|(one, other)| one == other).count();
                let near = |text: &str| text.chars().skip(at.saturating_sub(40)).take(120).collect::<String>();
                self.complaints.push(format!(
                    "differs at byte {at}: {request}\n    page: …{}\n    here: …{}",
                    near(says),
                    near(native)
                ));
            }
            None => self.complaints.push(format!("traps in the page: {request}: {}", told["trap"])),
        }
    }

    /// Fails with what was complained of, and else prints how much was asked.
    pub fn finish(self, what: &str) {
        let count = self.complaints.len();
        let first: Vec<String> = self.complaints.into_iter().take(20).collect();
        assert!(first.is_empty(), "{what}: {count} of {} answers:\n{}", self.asked, first.join("\n"));
        let (took, request) = self.longest;
        println!(
            "{what}: {} answers, {} bytes, the same; the longest took {took:.0} ms: {request}",
            self.asked, self.bytes
        );
    }
}

/// A request, as far as it can be shown.
fn shown(request: &str) -> String {
    let start: String = request.chars().take(300).collect();
    format!("{:?} ({} bytes)", start, request.len())
}

/// Every shipped exercise on every ruler that it lists: its form, its lessons worked for its example, and its sheet right,
/// wrong, half filled in and full of nonsense, marked and written as a file; and every sheet of the shipped class.
#[test]
fn the_engine_gives_the_bytes_of_the_program() {
    let shelf = Shelf::shipped();
    let book = built_book();
    let chapters = chapters(book.path());
    let mut both = Both::knowing(&requests::exercises());
    // Where each exercise is taught: the chapter, and which of its drafts.
    let mut taught: BTreeMap<String, Vec<(String, usize)>> = BTreeMap::new();
    let given: Vec<String> = chapters.iter().map(|(_, request)| request.clone()).collect();
    for ((path, _), answer) in chapters.iter().zip(both.ask(&given)) {
        let answer: Value = serde_json::from_str(&answer).expect("an answer is JSON");
        for (at, draft) in answer["drafts"].as_array().expect("drafts").iter().enumerate() {
            let exercise = draft["exercise"].as_str().expect("an exercise").to_owned();
            taught.entry(exercise).or_default().push((path.clone(), at));
        }
    }
    assert!(taught.len() > 10, "only {} exercises are taught: {taught:?}", taught.len());

    let mut asked = Vec::new();
    let nonsense = ["", "9 3", "½", "1/0", "-3 in", "1e400", "<b>9</b>", "9 cm 3", "nine", "0,5"];
    for exercise in shelf.iter() {
        for ruler in &exercise.rulers {
            let filled = requests::example(exercise, *ruler)
                .unwrap_or_else(|| panic!("{}: no example on {ruler}", exercise.name));
            let own = own(&filled.given, &ruler.to_string());
            let empty = json!({ "ruler": ruler.to_string() });
            for own in [&own, &empty] {
                asked.push(json!({ "ask": "form", "exercise": exercise.name, "own": own }));
            }
            for (chapter, draft) in taught.get(&exercise.name).into_iter().flatten() {
                asked.push(json!({ "ask": "lesson", "chapter": chapter, "draft": draft, "own": own }));
            }
            let wrong = |at: usize, text: &str| if at % 4 == 1 { format!("1{text}") } else { text.to_owned() };
            let half = |at: usize, text: &str| if at.is_multiple_of(2) { text.to_owned() } else { String::new() };
            let odd = |at: usize, _: &str| nonsense[at % nonsense.len()].to_owned();
            let writings: [Writing; 4] = [&as_written, &wrong, &half, &odd];
            for write in writings {
                for show in ["full", "coach"] {
                    asked.push(sheet("mark", &filled, show, write));
                }
                asked.push(sheet("file", &filled, "full", write));
            }
        }
    }
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("exercises/class");
    let mut class = 0;
    for file in fs::read_dir(folder).expect("the class's folder") {
        let text = fs::read_to_string(file.expect("a file").path()).expect("an answer file is text");
        let handed_in = read_answers(&text).expect("an answer file of the class");
        class += 1;
        for show in ["full", "coach", "marks", "none"] {
            asked.push(sheet("mark", &handed_in, show, &as_written));
        }
        asked.push(sheet("file", &handed_in, "full", &as_written));
    }
    assert!(class >= 18, "the class has only {class} sheets");
    let asked: Vec<String> = asked.iter().map(Value::to_string).collect();
    let answers = both.ask(&asked);
    let refused = answers.iter().zip(&asked).find(|(answer, _)| answer.contains("\"fault\":"));
    assert!(refused.is_none(), "{refused:?}");
    both.finish("exercises, lessons, sheets");
}

/// A thousand problems of every exercise, level, ruler and task: as they are set, made anew from their codes, and marked with
/// the key's answers, all of which are right.
#[test]
fn a_thousand_codes_are_the_same_in_a_page() {
    let shelf = Shelf::shipped();
    let mut both = Both::knowing(&requests::exercises());
    let kinds = kinds(&shelf);
    let mut asked = Vec::new();
    let mut made = 0;
    let mut seeds = Seeded(27);
    for (exercise, level, ruler, task) in kinds.iter().cycle().take(40_000) {
        let seed = seeds.next() as u32;
        let Ok(maker) = Maker::new(exercise, *level, *task, *ruler) else { continue };
        let Some(problem) = maker.problem(seed) else { continue };
        let slips = if let Task::FindSlips(slips) = task { *slips } else { 0 };
        let (name, code) = (&exercise.name, problem.code.to_string());
        if made % 3 == 0 {
            let weak: Vec<&str> = exercise.slips.iter().take(made % 4).map(|slip| slip.name.as_str()).collect();
            asked.push(json!({ "ask": "problem", "exercise": name, "level": level, "ruler": ruler.to_string(),
                "seed": u64::from(seed) << (made % 30), "slips": slips, "weak": weak }));
        }
        asked.push(json!({ "ask": "coded", "exercise": name, "code": code }));
        let key = read_answers(&practice::coded_file(&problem, "Tansy", true)).expect("a key can be read");
        asked.push(sheet("mark", &key, if made % 2 == 0 { "coach" } else { "full" }, &as_written));
        made += 1;
        if made == 1_000 {
            break;
        }
    }
    assert_eq!(made, 1_000, "{} kinds", kinds.len());
    let asked: Vec<String> = asked.iter().map(Value::to_string).collect();
    let answers = both.ask(&asked);
    for (request, answer) in asked.iter().zip(&answers) {
        let answer: Value = serde_json::from_str(answer).expect("an answer is JSON");
        let is_wrong = answer.get("fault").is_some() || answer["right"] != answer["asked"];
        if is_wrong {
            both.complaints.push(format!(
                "not right: {request}: fault {}, {} of {} right",
                answer["fault"], answer["right"], answer["asked"]
            ));
        }
    }
    both.finish("a thousand codes");
}

/// Every exercise, level, ruler and task of practice.
pub fn kinds(shelf: &Shelf) -> Vec<(&Exercise, u8, Ruler, Task)> {
    let mut kinds = Vec::new();
    for exercise in shelf.iter() {
        let levels: Vec<u8> = exercise.practice.levels.iter().map(|level| level.level).collect();
        for level in if levels.is_empty() { vec![0] } else { levels } {
            for ruler in &exercise.rulers {
                for task in [Task::Draft, Task::FindSlips(1), Task::FindSlips(2)] {
                    if task == Task::Draft || !exercise.slips.is_empty() {
                        kinds.push((exercise, level, *ruler, task));
                    }
                }
            }
        }
    }
    // One after another differ in exercise.
    let count = kinds.len();
    (0..count).map(|at| kinds[at * 389 % count]).collect()
}
