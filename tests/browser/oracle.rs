//! What a lesson has to say of other givens: steps and what to cut from the command line, figures from the library.

use std::fs;
use std::path::Path;
use std::process::Command;

use foldmark::draft::{Draft, DrawFault, value_text};
use foldmark::exercise::{Exercise, GivenKind, Slip, StepRule};
use foldmark::figure;
use foldmark::formula::{Formula, Values};
use foldmark::length::Ruler;
use serde_json::{Value, json};

use crate::kit::Kit;

/// What was found in a lesson, by the numbers of the page's parts.
pub struct Lesson {
    pub exercise: String,
    found: Vec<Found>,
}

enum Found {
    Measure(String),
    /// Its name, its keys, and the number of its first figure.
    Block(String, toml::Table, Option<u64>),
    Nothing,
}

/// The names of the lessons of a built book that can be worked anew.
pub fn lessons(book: &Path) -> Vec<String> {
    let entries = fs::read_dir(book.join("foldmark/lessons")).expect("the book has lessons");
    let names = entries.filter_map(|entry| entry.ok()?.file_name().to_str()?.strip_suffix(".js").map(str::to_owned));
    let mut names: Vec<String> = names.collect();
    names.sort();
    names
}

impl Lesson {
    /// From what the page is given of it.
    pub fn read(book: &Path, name: &str) -> Lesson {
        let text = fs::read_to_string(book.join(format!("foldmark/lessons/{name}.js"))).expect("the lesson is there");
        let (start, end) = (text.find("...[").expect("an array") + 3, text.rfind(')').expect("an end"));
        let data: Value = serde_json::from_str(&text[start..end]).expect("the lesson is JSON");
        let found = |one: &Value| {
            if let Some(measure) = one["measure"].as_str() {
                return Found::Measure(measure.to_owned());
            }
            let block = &one["block"];
            let (Some(name), Some(body)) = (block["name"].as_str(), block["body"].as_str()) else {
                return Found::Nothing;
            };
            Found::Block(name.to_owned(), toml::from_str(body).expect("the block is TOML"), block["figure"].as_u64())
        };
        let found: Vec<Found> = data[2]["found"].as_array().expect("a list").iter().map(found).collect();
        let exercise = found.iter().find_map(|found| match found {
            Found::Block(name, body, _) if name == "draft" && body.get("quiet").is_none() => text_of(body, "exercise"),
            _ => None,
        });
        Lesson { exercise: exercise.expect("the lesson has an open draft"), found }
    }

    /// What every part would say, of this lesson's draft: lines, and figures with `ID` for an identifier.
    pub fn expected(&self, kit: &Kit, chosen: &[(String, String)], draft: &Draft) -> Value {
        let told = told(draft.exercise, kit, chosen);
        let parts = self.found.iter().enumerate().map(|(at, found)| {
            let number = if let Found::Block(_, _, number) = found { *number } else { None };
            let mut said = Said { draft, told: &told, number, lines: Vec::new(), figures: Vec::new() };
            match found {
                Found::Nothing => {}
                Found::Measure(text) => said.measure(text),
                Found::Block(name, body, _) => said.block(name, body),
            }
            json!({"part": at, "lines": said.lines, "figures": said.figures})
        });
        parts.collect()
    }
}

/// What `foldmark draft` says.
fn told(exercise: &Exercise, kit: &Kit, chosen: &[(String, String)]) -> Value {
    let mut command = Command::new(env!("CARGO_BIN_EXE_foldmark"));
    command.args(["draft", &exercise.name, "--json"]).args(kit.arguments());
    for (step, text) in chosen {
        command.args(["--choose", &format!("{step}={text}")]);
    }
    let output = command.output().expect("foldmark runs");
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{}, {:?}: {error}", exercise.name, kit.arguments());
    serde_json::from_slice(&output.stdout).expect("it is JSON")
}

fn text_of(body: &toml::Table, key: &str) -> Option<String> {
    body.get(key)?.as_str().map(str::to_owned)
}

/// One text, or a list of them.
fn texts_of(body: &toml::Table, key: &str) -> Vec<String> {
    match body.get(key) {
        Some(toml::Value::Array(list)) => list.iter().filter_map(|one| one.as_str().map(str::to_owned)).collect(),
        Some(one) => one.as_str().map(str::to_owned).into_iter().collect(),
        None => Vec::new(),
    }
}

fn str_of<'v>(value: &'v Value, key: &str) -> &'v str {
    value[key].as_str().unwrap_or_default()
}

/// What one part says.
struct Said<'d> {
    draft: &'d Draft<'d>,
    told: &'d Value,
    /// That of its figure.
    number: Option<u64>,
    lines: Vec<String>,
    figures: Vec<String>,
}

impl Said<'_> {
    fn measure(&mut self, text: &str) {
        let (text, ruler) = match text.rsplit_once(" as ") {
            Some((formula, ruler)) => (formula, Some(Ruler::read(ruler.trim()).expect("a ruler"))),
            None => (text, None),
        };
        let formula = text.split_once(':').map_or(text, |(_, formula)| formula).trim();
        if let ([step], None) = (&self.steps(|step| step == formula).collect::<Vec<_>>()[..], ruler) {
            let value = str_of(step, "value").to_owned();
            return self.lines.push(value);
        }
        // What belongs to an exercise of another draft is no part of this one.
        let Ok(formula) = Formula::compile(formula, &self.draft.exercise.scope) else { return };
        let value = formula.evaluate(&self.draft.measures, None);
        let ruler = ruler.unwrap_or(self.draft.givens.ruler);
        self.lines.push(value.map_or("—".to_owned(), |value| value_text(formula.kind().base, value, ruler)));
    }

    fn steps<'s>(&'s self, is_meant: impl Fn(&str) -> bool + 's) -> impl Iterator<Item = &'s Value> {
        let steps = self.told["steps"].as_array().expect("steps");
        steps.iter().filter(move |step| is_meant(str_of(step, "step")))
    }

    fn block(&mut self, name: &str, body: &toml::Table) {
        let draft = self.draft;
        let exercise = draft.exercise;
        let named = |key: &str| text_of(body, key);
        let caption = named("caption");
        let drawn = |figure: Result<figure::Figure, DrawFault>| figure.map_err(|fault| fault.to_string());
        let piece = |name: &str| exercise.piece(name).filter(|_| draft.pieces().any(|piece| piece.name == name));
        let no_piece = |name: &str| Err(format!("with these givens there is no piece \"{name}\""));
        match name {
            "draft" => self.givens(),
            "step" => self.step(&named("step").expect("a step")),
            "steps" => self.table(&texts_of(body, "only")),
            "slips" => self.slips(&texts_of(body, "steps")),
            "cutting" => self.cutting(),
            "cautions" => {
                self.lines.extend(exercise.cautions.iter().map(|it| format!("{}. {}", it.about, it.says)));
            }
            "figure" => {
                let figure = match (named("step"), named("piece")) {
                    (Some(step), _) => Ok(figure::step(draft, exercise.step_id(&step).expect("a step"))),
                    (None, None) => Ok(figure::whole(draft)),
                    (None, Some(name)) => match piece(&name) {
                        None => no_piece(&name),
                        Some(piece) if body.get("opened").is_some() => {
                            drawn(figure::opened(draft, piece).map(|figure| figure.expect("a fold")))
                        }
                        Some(piece) => drawn(figure::piece(draft, piece)),
                    },
                };
                self.figure(figure, caption);
            }
            "section" => {
                let name = named("section");
                let section = exercise.sections.iter().find(|one| Some(&one.name) == name.as_ref());
                self.figure(drawn(figure::section(draft, section.expect("a section"))), caption);
            }
            "view" => {
                let name = named("view");
                let view = exercise.views.iter().find(|one| name.as_ref().is_none_or(|name| *name == one.name));
                self.figure(drawn(figure::view(draft, view.expect("a view"))), caption);
            }
            "wrong" => {
                let name = named("slip");
                let slip = exercise.slips.iter().find(|one| Some(&one.name) == name.as_ref()).expect("a slip");
                if self.wrongly(slip).is_none() {
                    return self.lines.push("With these objects this mistake makes no difference.".to_owned());
                }
                let figure = match named("piece") {
                    Some(name) if piece(&name).is_none() => no_piece(&name),
                    name => drawn(figure::slip(draft, slip, name.as_deref().and_then(piece))),
                };
                self.figure(figure, caption.or(Some(slip.says.clone())));
            }
            _ => {}
        }
    }

    /// A figure with its caption, or that there is none.
    fn figure(&mut self, figure: Result<figure::Figure, String>, caption: Option<String>) {
        match figure {
            Ok(figure) => {
                self.figures.push(figure.inline("ID"));
                self.caption(caption.as_deref());
            }
            Err(_) => self.lines.push("With these objects there is nothing to show here.".to_owned()),
        }
    }

    /// What stands below a figure.
    fn caption(&mut self, caption: Option<&str>) {
        let number = self.number.expect("the figure has a number");
        self.lines.push(caption.map_or(format!("Figure {number}"), |caption| format!("Figure {number}. {caption}")));
    }

    /// What a slip makes of the value that is told of its step, where it can be made and makes another.
    fn wrongly(&self, slip: &Slip) -> Option<(&Value, String)> {
        let (draft, step) = (self.draft, &self.draft.exercise.steps[slip.step]);
        let can_be = slip.when.as_ref().is_none_or(|when| when.holds(&draft.measures));
        let told = self.steps(|name| name == step.name).next().filter(|_| can_be)?;
        let wrong = draft.write_value(step.kind.base, slip.used.evaluate(&draft.measures, Some(0)));
        (wrong != str_of(told, "value")).then_some((told, wrong))
    }

    fn givens(&mut self) {
        let (draft, values) = (self.draft, &self.draft.measures);
        let mut singles = vec!["Given | Value".to_owned()];
        for given in draft.exercise.givens.iter().filter(|given| given.is_needed(values)) {
            match &given.kind {
                GivenKind::Table { table, columns, each, .. } => {
                    let used: Vec<_> = columns.iter().filter(|column| column.is_needed(values)).collect();
                    let titles: Vec<&str> = used.iter().map(|column| column.title.as_str()).collect();
                    self.lines.push([&[each.as_str()][..], &titles].concat().join(" | "));
                    for row in 0..values.rows(*table) {
                        let cells = used.iter().map(|column| draft.text_at(column.slot, row));
                        let name = draft.givens.row_names[table.0][row].clone();
                        self.lines.push([name].into_iter().chain(cells).collect::<Vec<_>>().join(" | "));
                    }
                }
                GivenKind::Choice { slot, words, .. } => {
                    let word = &words[values.word(*slot).expect("a word")];
                    singles.push(format!("{} | {}", given.title, word.says));
                }
                GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } => {
                    singles.push(format!("{} | {}", given.title, draft.text_at(*slot, 0)));
                }
            }
        }
        self.lines.extend(singles);
    }

    fn step(&mut self, name: &str) {
        let id = self.draft.exercise.step_id(name).expect("a step");
        let step = &self.draft.exercise.steps[id];
        let sentence = |(row, told): (usize, &Value)| {
            let [value, sum] = ["value", "arithmetic"].map(|key| str_of(told, key));
            let (parts, why) = sum.split_once(", worked ").unwrap_or((sum, ""));
            let why = if why.is_empty() { String::new() } else { format!(" (worked {why})") };
            let label = label(told);
            let equals = if value.starts_with('≈') { "" } else { "= " };
            match &step.rule {
                StepRule::Within { .. } => format!("{label}, your choice within the limits below: {value}"),
                StepRule::Value(_) if parts == value.trim_start_matches("≈ ") => format!("{label} {equals}{value}"),
                StepRule::Value(rule) => {
                    let is_rounded = self.draft.sum(rule, step.kind.list.map(|_| row)).is_rounded;
                    let first = if is_rounded { '≈' } else { '=' };
                    format!("{label} {first} {parts} {equals}{value}{why}")
                }
            }
        };
        let sentences: Vec<String> = self.steps(|step| step == name).enumerate().map(sentence).collect();
        if !step.draw.is_empty() {
            self.figures.push(figure::step(self.draft, id).inline("ID"));
            self.caption(Some(&step.title));
        }
        self.lines.extend(sentences);
        self.lines.push(step.why.clone());
        self.lines.extend(self.draft.limits(step));
    }

    fn table(&mut self, only: &[String]) {
        let exercise = self.draft.exercise;
        let is_meant = |step: &str| only.is_empty() || only.iter().any(|name| name == step);
        let row = |told: &Value| {
            let rule = self.draft.rule(exercise.step(str_of(told, "step")).expect("a step"));
            format!("{} | {rule} | {} | {}", label(told), str_of(told, "arithmetic"), str_of(told, "value"))
        };
        let rows: Vec<String> = self.steps(is_meant).map(row).collect();
        self.lines.push("Measure | Rule | With the numbers | Value".to_owned());
        self.lines.extend(rows);
    }

    fn slips(&mut self, of: &[String]) {
        let exercise = self.draft.exercise;
        let is_meant = |slip: &&Slip| of.is_empty() || of.contains(&exercise.steps[slip.step].name);
        for slip in exercise.slips.iter().filter(is_meant) {
            let Some((told, wrong)) = self.wrongly(slip) else { continue };
            let line = format!("{}: {wrong} instead of {}. {}", label(told), str_of(told, "value"), slip.says);
            self.lines.push(line);
        }
    }

    fn cutting(&mut self) {
        self.lines.push("Piece | From | Cut | Width × height | Note".to_owned());
        for cut in self.told["cut"].as_array().expect("what to cut") {
            let piece = self.draft.exercise.piece(str_of(cut, "piece")).expect("a piece");
            let mut notes: Vec<String> =
                cut["fold"].as_str().map(|edge| format!("{edge} edge on the fold")).into_iter().collect();
            notes.extend(Some(piece.note.clone()).filter(|note| !note.is_empty()));
            let [cloth, width, height] = ["cloth", "width", "height"].map(|key| str_of(cut, key));
            let (title, count, notes) = (&piece.title, &cut["count"], notes.join("; "));
            self.lines.push(format!("{title} | {cloth} | {count} | {width} × {height} | {notes}"));
        }
    }
}

fn label(told: &Value) -> String {
    let (title, row) = (str_of(told, "title"), str_of(told, "row"));
    if row.is_empty() { title.to_owned() } else { format!("{title}, {row}") }
}
