//! `foldmark draft`: an exercise worked for one's own objects.

use super::args::{DraftArgs, Drafting};
use super::shelf::open;
use super::terminal::{Done, Failure, Status, notice, print, print_json};
use crate::draft::{Draft, Givens, Raw, broken_limit, range, work};
use crate::exercise::{Exercise, Shelf, StepId};
use crate::figure;
use crate::files::{Staged, shown};
use crate::formula::Values;
use crate::length::{Length, Tolerance, Unit};
use crate::text::{Shown, did_you_mean, harmless};
use serde::Serialize;

pub(super) fn run(args: &DraftArgs) -> Done {
    let shelf = open(&args.drafting.shelf)?;
    // What is to be said of a draft is said only once there is one.
    let mut notices = Vec::new();
    let draft = worked(&args.drafting, &shelf, &mut notices)?;
    // Whatever can't be cut is told before anything is written.
    let text = if args.json { None } else { Some(text(&draft)?) };
    let data = if args.json { Some(data(&draft)?) } else { None };
    notices.iter().for_each(|sentence| notice(sentence));
    if let Some(dir) = &args.figures {
        let names = write_figures(&draft, dir, args.force)?;
        notice(&format!("{names} figures are in {}", shown(dir)));
    }
    match data {
        Some(data) => print_json(&data)?,
        None => print(&text.unwrap_or_default())?,
    }
    Ok(Status::Well)
}

/// The draft that the command line asks for; what is to be said of it is added to the notices.
pub(super) fn worked<'e>(args: &Drafting, shelf: &'e Shelf, notices: &mut Vec<String>) -> Result<Draft<'e>, Failure> {
    let exercise = shelf.get(&args.exercise)?;
    let ruler = args.measuring.ruler.unwrap_or_else(|| exercise.usual_ruler(args.measuring.is_metric()));
    let mut raw = Raw::default();
    if args.givens.is_empty() {
        notices.push(format!("no --given: this is the example of {}", exercise.name));
        raw = Raw::example(exercise);
    }
    let mut faults: Vec<String> =
        args.givens.iter().filter_map(|given| Some(raw.add(given).err()?.to_string())).collect();
    if !faults.is_empty() {
        return Err(Failure(faults));
    }
    for (table, rows) in Raw::example(exercise).tables {
        let is_given = |key: &str| key == table;
        // A single value where a table belongs is told below, and is not made good by the example's rows.
        if !raw.tables.iter().any(|(known, _)| is_given(known)) && !raw.singles.iter().any(|entry| is_given(&entry.key))
        {
            notices.push(format!("no --given for {table}: the rows are those of the example"));
            raw.tables.push((table, rows));
        }
    }
    let givens = Givens::read(exercise, &raw, args.measuring.unit, ruler);
    let givens = givens.map_err(|faults| Failure(faults.iter().map(ToString::to_string).collect()))?;
    let mut choices = Vec::new();
    for written in &args.choices {
        match choice(exercise, written, args.measuring.unit) {
            Ok((index, _)) if choices.iter().any(|(chosen, _)| *chosen == index) => {
                faults.push(format!("{} is chosen twice", exercise.steps[index].name));
            }
            Ok(choice) => choices.push(choice),
            Err(sentence) => faults.push(sentence),
        }
    }
    if !faults.is_empty() {
        return Err(Failure(faults));
    }
    drafted(exercise, givens, &choices, notices)
}

/// The draft, if every choice keeps to its limits; what the program suggests beyond them is only noticed, since
/// the maker can choose otherwise.
fn drafted<'e>(
    exercise: &'e Exercise,
    givens: Givens,
    choices: &[(StepId, f64)],
    notices: &mut Vec<String>,
) -> Result<Draft<'e>, Failure> {
    let chosen = |step: StepId| choices.iter().find(|(index, _)| *index == step).map(|(_, value)| *value);
    // A choice may be so far off that what follows can't be worked out: then it is the choice that is told.
    let mut measures = givens.measures.clone();
    let worked = work(exercise, &mut measures, &|step, _| chosen(step));
    let draft = Draft { exercise, givens, measures };
    let tolerance = Tolerance::one_tick(draft.givens.ruler);
    let (mut beyond, mut impossible) = (Vec::new(), Vec::new());
    for &index in &exercise.order {
        let step = &exercise.steps[index];
        let Some(value) = draft.measures.value(step.slot, 0) else { continue };
        if let (Some(low), Some(high)) = range(step, &draft.measures, 0)
            && low.value > high.value + tolerance.width().as_nm_f64()
        {
            let (low, high) = (draft.write_limit(&low), draft.write_limit(&high));
            impossible.push(format!(
                "with these givens no {} is possible: it would have to be {low} and {high}; change the givens",
                step.short
            ));
        } else if let Some(bound) = broken_limit(step, value, &draft.measures, 0, tolerance) {
            let why = if bound.limit.why.is_empty() { String::new() } else { format!("; {}", bound.limit.why) };
            let (value, limit) = (draft.text(&step.name, 0), draft.write_limit(&bound));
            let told = |whose: &str| format!("{} of {value} ({whose}) is outside the rule: {limit}{why}", step.title);
            match chosen(index) {
                Some(_) => beyond.push(told("your choice")),
                None => notices.push(told("what is suggested")),
            }
        }
    }
    // What is impossible may only be so because of a choice beyond its limits.
    for faults in [beyond, impossible] {
        if !faults.is_empty() {
            return Err(Failure(faults));
        }
    }
    worked?;
    Ok(draft)
}

fn choice(exercise: &Exercise, written: &str, unit: Option<Unit>) -> Result<(StepId, f64), String> {
    let Some((name, text)) = written.split_once('=') else {
        return Err(format!(
            "\"{}\" is not a choice; write step=measurement, such as \"pocket_height=5 in\"",
            harmless(written, 60)
        ));
    };
    let name = name.trim();
    let Some(index) = exercise.step_id(name).filter(|index| exercise.steps[*index].is_choice()) else {
        let chosen = exercise.steps.iter().filter(|step| step.is_choice());
        let names: Vec<&str> = chosen.map(|step| step.name.as_str()).collect();
        let hint = did_you_mean(name, names.iter().copied(), Shown::Bare);
        let hint = hint.unwrap_or_else(|| format!("the choices are {}", names.join(", ")));
        return Err(format!("\"{}\" is not chosen in this exercise; {hint}", harmless(name, 40)));
    };
    let length = Length::read(text, unit).map_err(|error| format!("{name}: {error}"))?;
    if length.is_negative() {
        return Err(format!("{name}: {length} is less than nothing"));
    }
    Ok((index, length.as_nm_f64()))
}

fn text(draft: &Draft) -> Result<String, Failure> {
    let mut lines = Vec::new();
    for step in &draft.exercise.steps {
        for row in 0..draft.rows(step) {
            let name = draft.label(step, row);
            lines.push((name, draft.text_at(step.slot, row), draft.arithmetic(step, row)));
        }
    }
    let wide = |of: fn(&(String, String, String)) -> &str| {
        lines.iter().map(|line| of(line).chars().count()).max().unwrap_or(0)
    };
    let (first, second) = (wide(|line| &line.0), wide(|line| &line.1));
    let mut text = format!("{}\n", draft.exercise.title);
    for (name, value, arithmetic) in &lines {
        text += &format!("  {name:first$}  {value:second$}  {arithmetic}\n");
    }
    text += "\nTo cut\n";
    for line in draft.cutting_list()? {
        let fold = line.fold.map_or_else(String::new, |edge| format!(", {edge} edge on the fold"));
        let note = if line.piece.note.is_empty() { String::new() } else { format!(", {}", line.piece.note) };
        let size = format!("{} × {}", draft.write(line.width), draft.write(line.height));
        text +=
            &format!("  {}: {} from {}, {size}{fold}{note}\n", line.piece.title, line.piece.count, line.piece.cloth);
    }
    let seams = draft.seams()?;
    if !seams.is_empty() {
        text += "\nSeams, along the stitching line\n";
    }
    for seam in seams {
        let agree = if seam.is_true() && seam.ease.is_zero() {
            "on both sides".to_owned()
        } else {
            format!("against {}", draft.write(seam.other))
        };
        text += &format!("  {}: {} {agree}\n", seam.seam.name, draft.write(seam.one));
    }
    Ok(text)
}

#[derive(Serialize)]
struct DraftData<'d> {
    exercise: &'d str,
    version: u32,
    ruler: String,
    steps: Vec<StepData<'d>>,
    cut: Vec<CutData<'d>>,
}

#[derive(Serialize)]
struct StepData<'d> {
    step: &'d str,
    title: &'d str,
    #[serde(skip_serializing_if = "str::is_empty")]
    row: &'d str,
    value: String,
    nanometres: Option<f64>,
    arithmetic: String,
}

#[derive(Serialize)]
struct CutData<'d> {
    piece: &'d str,
    cloth: &'d str,
    count: u32,
    width: String,
    height: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    fold: Option<&'d str>,
}

fn data<'d>(draft: &'d Draft) -> Result<DraftData<'d>, Failure> {
    let steps = draft.exercise.steps.iter().flat_map(|step| {
        (0..draft.rows(step)).map(move |row| StepData {
            step: &step.name,
            title: &step.title,
            row: draft.row_name(step, row),
            value: draft.text_at(step.slot, row),
            nanometres: draft.measures.value(step.slot, row),
            arithmetic: draft.arithmetic(step, row),
        })
    });
    let cut = draft.cutting_list()?.into_iter().map(|line| CutData {
        piece: &line.piece.name,
        cloth: &line.piece.cloth,
        count: line.piece.count,
        width: draft.write(line.width).to_string(),
        height: draft.write(line.height).to_string(),
        fold: line.fold,
    });
    Ok(DraftData {
        exercise: &draft.exercise.name,
        version: draft.exercise.version,
        ruler: draft.givens.ruler.to_string(),
        steps: steps.collect(),
        cut: cut.collect(),
    })
}

/// Writes every figure of a draft; returns how many.
fn write_figures(draft: &Draft, dir: &std::path::Path, force: bool) -> Result<usize, Failure> {
    let staged = Staged::new(dir)?;
    let mut names = Vec::new();
    for (index, step) in draft.exercise.steps.iter_enumerated().filter(|(_, step)| !step.draw.is_empty()) {
        names.push((format!("step-{:02}-{}.svg", index.0 + 1, step.name), figure::step(draft, index)));
    }
    names.push(("whole.svg".to_owned(), figure::whole(draft)));
    for piece in draft.pieces() {
        let figure = figure::piece(draft, piece).map_err(|fault| format!("{}: {fault}", piece.title))?;
        names.push((format!("piece-{}.svg", piece.name), figure));
    }
    // One that these givens have no shape for is told, and left out: the draft itself can be cut.
    let mut others = Vec::new();
    for section in &draft.exercise.sections {
        others.push((format!("section-{}", section.name), figure::section(draft, section)));
    }
    for view in &draft.exercise.views {
        others.push((format!("view-{}", view.name), figure::view(draft, view)));
    }
    for (name, figure) in others {
        match figure {
            Ok(figure) => names.push((format!("{name}.svg"), figure)),
            Err(fault) => notice(&format!("{name} is not drawn: {fault}")),
        }
    }
    for (name, figure) in &names {
        staged.write(name, &figure.file())?;
    }
    let entries: Vec<&str> = names.iter().map(|(name, _)| name.as_str()).collect();
    staged.put(&entries, force)?;
    Ok(entries.len())
}
